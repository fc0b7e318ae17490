//! What the benchmarks ask of overhangs: what a check asks.

use measure::print::overhang;

/// The asks; at most so many pixels a layer.
pub fn overhangs(most_pixels: f64) -> overhang::Asks {
    overhang::Asks {
        allowed_deg: 45.0,
        slack_deg: 0.5,
        held_lines: 3.0,
        loose_lines: 1.0,
        pixel_mm: 0.1,
        most_pixels,
        sag_lines: 0.75,
        drop_lines: 1.5,
        reach_mm: 1.1,
        area_mm2: 4.0,
        island_mm2: 0.5,
        island_layers: 2,
        way_out_mm: 2.0,
    }
}
