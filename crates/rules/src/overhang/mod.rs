//! What hangs over nothing, against the supports that are promised.

pub mod steep;
pub mod unsupported;
