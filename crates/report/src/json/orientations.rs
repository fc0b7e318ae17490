//! Other ways to lay a part: those that dominate the intended one first, then by support.

use measure::orientation::{Orientations, Way};
use serde::Serialize;

use crate::number::{measure, rounded};

#[derive(Serialize)]
pub(super) struct WayOut {
    up: [Option<f64>; 3],
    intended: bool,
    needs_support: bool,
    support_mm3: Option<f64>,
    support_contact_mm2: Option<f64>,
    overhang_mm2: Option<f64>,
    scar_mm2: Option<f64>,
    step_mm: Option<f64>,
    height_mm: Option<f64>,
    first_layer_mm2: Option<f64>,
    flat_mm2: Option<f64>,
    tip_deg: Option<f64>,
    section_mm2: Option<f64>,
    fits: bool,
    dominates_intended: bool,
}

/// The intended one's row stands last.
pub(super) fn rows(found: &Orientations) -> Vec<WayOut> {
    let others = rules::orientation::offered(found);
    others
        .into_iter()
        .chain([&found.intended])
        .map(|way| row(way, &found.intended))
        .collect()
}

fn row(way: &Way, intended: &Way) -> WayOut {
    WayOut {
        up: way.up.map(|v| rounded(v, 6)),
        intended: std::ptr::eq(way, intended),
        needs_support: way.needs_support,
        support_mm3: measure(way.support_mm3),
        support_contact_mm2: measure(way.contact_mm2),
        overhang_mm2: measure(way.overhang_mm2),
        scar_mm2: measure(way.scar_mm2),
        step_mm: measure(way.step_mm),
        height_mm: measure(way.height_mm),
        first_layer_mm2: measure(way.first_layer_mm2),
        flat_mm2: measure(way.flat_mm2),
        tip_deg: measure(way.tip_deg),
        section_mm2: way.section_mm2.and_then(measure),
        fits: way.fits,
        dominates_intended: rules::orientation::dominates(way, intended),
    }
}
