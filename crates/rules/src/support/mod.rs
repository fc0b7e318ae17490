//! What supports do to a part.

pub mod trapped;
