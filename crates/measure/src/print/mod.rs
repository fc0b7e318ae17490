//! Facts of a part as it is printed: what its layers say in the print pose, at one layer height.
//!
//! Settings come in as plain arguments. It must not know promises, limits or verdicts.

pub mod column;
pub mod stability;
pub mod warp;

pub use column::Column;
pub use stability::{Stability, Tip};
pub use warp::{Cooling, Warp};
