//! Edges that are too sharp to print.

pub mod feather;
