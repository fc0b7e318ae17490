//! What the designer writes of changed parts.

pub mod idle;
pub mod missing;
