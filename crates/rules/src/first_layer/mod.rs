//! What touches the plate.

pub mod small;
pub mod spread;

/// An opening that the bulge of both its sides closes, mm.
pub(crate) fn closes_mm() -> f64 {
    let bulge = limits::first_layer().spread_most.value;
    bulge + bulge
}
