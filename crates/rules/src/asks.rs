//! What is to be measured for the rules to judge it: limits as plain arguments of a measure.

use limits::soundness_limits;
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
