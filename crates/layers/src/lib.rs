//! The 2-D kernel and the stack of layers: slicing, rasters, offsets, widths.
//! It must not know kits, limits or verdicts.

pub mod contour;
pub mod raster;

pub use contour::{Contour, Layer};
pub use raster::{Grid, Raster};
