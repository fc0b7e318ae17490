//! The manifest of a kit: as written, with spans, then checked. No disk.
