//! What begins in the air.

pub mod in_air;
