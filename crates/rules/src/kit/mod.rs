//! The manifest as a whole.

pub mod unmeasured;
