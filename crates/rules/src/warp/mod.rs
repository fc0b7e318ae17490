//! How much parts are inclined to lift off the plate.

pub mod corner;

/// The least height of a part that is ranked, mm.
pub fn least_height_mm() -> f64 {
    limits::stability().warp_height.value
}
