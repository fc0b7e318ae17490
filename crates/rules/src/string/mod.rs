//! Hairs drawn between pieces of a layer.

pub mod risk;
