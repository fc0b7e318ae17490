//! A part against the plates of the promises.

mod laid;

pub mod diagonal_only;
pub mod edge_margin;
pub mod over_plate;

use measure::size::{OnPlate, Placed};

/// The turn about the vertical at which a part fits a plate, degrees; `None` where it fits at none.
pub fn turn_deg(plate: &OnPlate) -> Option<f64> {
    plate.turn_deg(limits::size_limits().rounding.value)
}

/// How a part lies at that turn, or at the best one where it fits at none.
pub fn placed(plate: &OnPlate) -> &Placed {
    plate.placed(limits::size_limits().rounding.value)
}
