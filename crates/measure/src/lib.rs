//! Facts of one part: soundness, walls, gaps, size. It returns values and places and never says pass.

pub mod hull2;
pub mod size;
pub mod turning;
