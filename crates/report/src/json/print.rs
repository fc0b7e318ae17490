//! A part's layers, a row a layer height, the settings' own first.

use measure::PartFacts;
use measure::print::overhang::{Bridge, Island};
use measure::print::{FirstLayer, PrintFacts};
use serde::Serialize;

use crate::number::{measure, point};

#[derive(Serialize)]
pub(super) struct PrintOut {
    layer_mm: Option<f64>,
    bead_mm: Option<f64>,
    layers: usize,
    height_mm: Option<f64>,
    first_layer_mm2: Option<f64>,
    first_layer: FirstLayerOut,
    overhang_mm2: Option<f64>,
    support_contact_mm2: Option<f64>,
    support_landing_mm2: Option<f64>,
    support_mm3: Option<f64>,
    trapped_support_mm3: Option<f64>,
    islands: Vec<IslandOut>,
    bridges: Vec<BridgeOut>,
    lost_lines_mm2: Option<f64>,
    thin_lines_mm2: Option<f64>,
    fused_gaps_mm2: Option<f64>,
    tip_deg: Option<f64>,
    slenderness: Option<f64>,
    warp_rank: Option<usize>,
}

#[derive(Serialize)]
struct FirstLayerOut {
    pieces: usize,
    least_feature_mm: Option<f64>,
    sharp_corners: usize,
    chamfered_share: Option<f64>,
    least_slit_mm: Option<f64>,
}

#[derive(Serialize)]
struct IslandOut {
    at: [f64; 3],
    height_mm: Option<f64>,
    area_mm2: Option<f64>,
    joined_mm: Option<f64>,
}

#[derive(Serialize)]
struct BridgeOut {
    at: [f64; 3],
    span_mm: Option<f64>,
    area_mm2: Option<f64>,
}

/// The rows; `None` where the layers were not measured.
pub(super) fn rows(facts: &PartFacts) -> Option<Vec<PrintOut>> {
    let print = facts.print.as_ref()?.as_ref().ok()?;
    Some(print.iter().map(row).collect())
}

fn row(p: &PrintFacts) -> PrintOut {
    let areas = p.lines.areas.as_ref();
    PrintOut {
        layer_mm: measure(p.height.layer_mm),
        bead_mm: measure(p.height.bead_mm),
        layers: p.layers,
        height_mm: measure(p.height_mm),
        first_layer_mm2: measure(p.first_layer.contact_mm2),
        first_layer: first_layer(&p.first_layer),
        overhang_mm2: measure(p.overhang.area_mm2),
        support_contact_mm2: measure(p.overhang.support.contact_mm2),
        support_landing_mm2: measure(p.overhang.support.landing_mm2),
        support_mm3: measure(p.overhang.support.volume_mm3),
        trapped_support_mm3: measure(p.overhang.support.trapped_mm3),
        islands: p.overhang.islands.iter().map(island).collect(),
        bridges: p.overhang.bridges.iter().map(bridge).collect(),
        lost_lines_mm2: areas.and_then(|a| measure(a.lost_mm2)),
        thin_lines_mm2: areas.and_then(|a| measure(a.thin_mm2)),
        fused_gaps_mm2: areas.and_then(|a| measure(a.fused_mm2)),
        tip_deg: p.stability.tip_deg().and_then(measure),
        slenderness: p.stability.slender.and_then(|c| measure(c.ratio)),
        warp_rank: p.warp.as_ref().and_then(|w| w.rank),
    }
}

fn first_layer(f: &FirstLayer) -> FirstLayerOut {
    FirstLayerOut {
        pieces: f.pieces_total,
        least_feature_mm: f.least_feature_mm.and_then(measure),
        sharp_corners: f.sharp_corners,
        chamfered_share: measure(f.relieved()),
        least_slit_mm: f.openings.first().and_then(|o| measure(o.width_mm)),
    }
}

fn island(i: &Island) -> IslandOut {
    IslandOut {
        at: point(i.at),
        height_mm: measure(i.height_mm),
        area_mm2: measure(i.area_mm2),
        joined_mm: i.joined_mm.and_then(measure),
    }
}

fn bridge(b: &Bridge) -> BridgeOut {
    BridgeOut {
        at: point(b.at),
        span_mm: measure(b.span_mm),
        area_mm2: measure(b.area_mm2),
    }
}
