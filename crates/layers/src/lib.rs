//! The 2-D kernel and the stack of layers: slicing, rasters, offsets, widths.
//! It must not know kits, limits or verdicts.

mod volume;

pub mod beyond;
pub mod contour;
pub(crate) mod inside;
pub mod join;
pub mod moments;
pub mod narrow;
pub mod opening;
pub mod outline;
pub mod pieces;
pub mod plain;
pub mod posed;
pub mod raster;
pub mod slice;
pub(crate) mod sweep;
pub mod united;
pub(crate) mod walk;
pub mod width;

pub use contour::{Contour, Layer};
pub use moments::Moments;
pub use pieces::{Piece, pieces};
pub use posed::{Posed, Turn};
pub use raster::{Grid, Raster};
pub use slice::{Run, Slicer, Stack};
