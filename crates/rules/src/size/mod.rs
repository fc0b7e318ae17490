//! A part against the plates of the promises.

mod laid;

pub mod diagonal_only;
pub mod edge_margin;
pub mod over_plate;
