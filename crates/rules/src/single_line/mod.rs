//! Parts printed as one closed line a layer.

pub mod broken;
