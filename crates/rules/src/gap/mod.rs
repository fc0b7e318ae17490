//! Gaps within one part.

pub mod fused;
