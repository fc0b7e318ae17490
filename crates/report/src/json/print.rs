//! A part's layers, a row a layer height, the settings' own first.

use measure::PartFacts;
use measure::print::PrintFacts;
use serde::Serialize;

use crate::number::measure;

#[derive(Serialize)]
pub(super) struct PrintOut {
    layer_mm: Option<f64>,
    bead_mm: Option<f64>,
    layers: usize,
    height_mm: Option<f64>,
    tip_deg: Option<f64>,
    slenderness: Option<f64>,
    warp_rank: Option<usize>,
}

/// The rows; `None` where the layers were not measured.
pub(super) fn rows(facts: &PartFacts) -> Option<Vec<PrintOut>> {
    let print = facts.print.as_ref()?.as_ref().ok()?;
    Some(print.iter().map(row).collect())
}

fn row(p: &PrintFacts) -> PrintOut {
    PrintOut {
        layer_mm: measure(p.height.layer_mm),
        bead_mm: measure(p.height.bead_mm),
        layers: p.layers,
        height_mm: measure(p.height_mm),
        tip_deg: p.stability.tip_deg().and_then(measure),
        slenderness: p.stability.slender.and_then(|c| measure(c.ratio)),
        warp_rank: p.warp.as_ref().and_then(|w| w.rank),
    }
}
