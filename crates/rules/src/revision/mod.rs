//! The kit's revision against its base.

pub mod too_small;
