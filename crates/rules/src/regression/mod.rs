//! A kit against the values its designer signed off.

pub mod engine;
pub mod unsigned;
pub mod worse;
