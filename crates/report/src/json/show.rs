//! What is seen of a part.

use measure::show::{Basis, LoopStart, ShowFacts};
use serde::Serialize;

use crate::number::measure;

#[derive(Serialize)]
pub(super) struct ShowOut {
    basis: &'static str,
    area_mm2: Option<f64>,
    step_mm_worst: Option<f64>,
    step_mm_p95: Option<f64>,
    ra_um_p95: Option<f64>,
    sanding_mm2: Option<f64>,
    abrasive: Option<&'static str>,
    brim_scar_mm: Option<f64>,
    loop_start_mm: Option<f64>,
    joint_line_mm: Option<f64>,
}

pub(super) fn show(facts: &ShowFacts) -> ShowOut {
    ShowOut {
        basis: match facts.basis {
            Basis::Assembled => "seen in the assembled kit",
            Basis::Alone => "seen on the part alone",
            Basis::Declared => "declared directions",
            Basis::Every => "every face",
            Basis::Nothing => "none",
        },
        area_mm2: measure(facts.area_mm2),
        step_mm_worst: measure(facts.step_mm_worst),
        step_mm_p95: measure(facts.step_mm_p95),
        ra_um_p95: measure(facts.ra_um_p95()),
        sanding_mm2: measure(facts.sanding_mm2),
        abrasive: rules::show::abrasive(facts),
        brim_scar_mm: measure(facts.brim.map_or(0.0, |b| b.length_mm)),
        loop_start_mm: measure(facts.starts.iter().map(LoopStart::height_mm).sum()),
        joint_line_mm: measure(facts.joints.iter().map(|j| j.length_mm).sum()),
    }
}
