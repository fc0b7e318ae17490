//! Software rendering of meshes to PNG and of drawings to SVG.
