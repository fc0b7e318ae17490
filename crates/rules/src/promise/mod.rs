//! What a kit promises to print on.

pub mod none;
