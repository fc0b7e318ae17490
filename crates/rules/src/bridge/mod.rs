//! What is laid across the air from side to side.

pub mod long;
