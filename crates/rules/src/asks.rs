//! What is to be measured for the rules to judge it: limits as plain arguments of a measure.

use kit::{Kit, Part};
use limits::soundness_limits;
use measure::ambiguity;
use measure::soundness::Asked;

/// What is asked of a mesh's soundness.
pub fn soundness_asks() -> Asked {
    let l = soundness_limits();
    Asked {
        merge_share: l.merge_share.value,
        slit_mm: l.slit.value,
        gap_reach_mm: l.gap_reach.value,
        sliver_height_mm: l.sliver_height.value,
        most_places: l.most_places.value as usize,
    }
}

/// What is asked of a mesh's layers: at the settings' own height.
pub fn ambiguity_asks(kit: &Kit, part: &Part) -> ambiguity::Asks {
    let layers = limits::layers();
    ambiguity::Asks {
        layer_mm: kit.settings_of(part).layer_mm,
        crack_mm: layers.crack.value,
        merge_share: soundness_limits().merge_share.value,
        most_layers: layers.most_layers.value as usize,
        pixel_mm: layers.pixel.value,
        most_pixels: layers.most_pixels.value,
    }
}
