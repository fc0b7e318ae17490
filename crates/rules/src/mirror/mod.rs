//! Parts that are said to be mirror images.

pub mod differs;
