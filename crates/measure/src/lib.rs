//! Facts of one part: soundness, walls, gaps, size. It returns values and places and never says pass.
