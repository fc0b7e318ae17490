//! Measures of the part's layers, at the height of its own settings.

use findings::Worse;
use measure::PartFacts;
use measure::print::PrintFacts;

use super::Measure;

/// The layers at the height of the part's own settings, which are measured first.
fn own(facts: &PartFacts) -> Option<&PrintFacts> {
    facts.print.as_ref()?.as_ref().ok()?.first()
}

/// Sorted by name.
pub(super) const MEASURES: &[Measure] = &[
    Measure {
        key: "bridge-span",
        title: "longest bridge",
        unit: "mm",
        worse: Worse::Higher,
        alone: true,
        resolution: || limits::signoff().span.value,
        take: |facts| {
            let bridges = &own(facts)?.overhang.bridges;
            Some(bridges.iter().map(|b| b.span_mm).fold(0.0, f64::max))
        },
        at: |facts| own(facts)?.overhang.bridges.first().map(|b| b.at),
    },
    Measure {
        key: "first-layer-area",
        title: "area on the plate",
        unit: "mm2",
        worse: Worse::Lower,
        alone: true,
        resolution: || limits::signoff().area.value,
        take: |facts| Some(own(facts)?.first_layer.contact_mm2),
        at: |facts| own(facts)?.first_layer.pieces.first().map(|p| p.at),
    },
    Measure {
        key: "first-layer-pieces",
        title: "pieces on the plate",
        unit: "",
        worse: Worse::Higher,
        alone: true,
        resolution: || limits::signoff().count.value,
        take: |facts| Some(own(facts)?.first_layer.pieces_total as f64),
        at: |facts| own(facts)?.first_layer.pieces.first().map(|p| p.at),
    },
    Measure {
        key: "fused-gaps",
        title: "gaps that fuse, area of all layers",
        unit: "mm2",
        worse: Worse::Higher,
        alone: true,
        resolution: || limits::signoff().area.value,
        take: |facts| Some(own(facts)?.lines.areas?.fused_mm2),
        at: |facts| {
            let all = own(facts)?.lines.gaps.iter();
            all.flat_map(|p| &p.list).next().map(|p| p.at_mm)
        },
    },
    Measure {
        key: "islands",
        title: "stretches that begin in the air",
        unit: "",
        worse: Worse::Higher,
        alone: true,
        resolution: || limits::signoff().count.value,
        take: |facts| Some(own(facts)?.overhang.islands.len() as f64),
        at: |facts| own(facts)?.overhang.islands.first().map(|i| i.at),
    },
    Measure {
        key: "lost-lines",
        title: "where no line fits, area of all layers",
        unit: "mm2",
        worse: Worse::Higher,
        alone: true,
        resolution: || limits::signoff().area.value,
        take: |facts| Some(own(facts)?.lines.areas?.lost_mm2),
        at: narrow,
    },
    Measure {
        key: "overhang-area",
        title: "overhang",
        unit: "mm2",
        worse: Worse::Higher,
        alone: true,
        resolution: || limits::signoff().area.value,
        take: |facts| Some(own(facts)?.overhang.area_mm2),
        at: |facts| own(facts)?.overhang.places.first().map(|o| o.at),
    },
    Measure {
        key: "slenderness",
        title: "slenderness of its most slender column",
        unit: "",
        worse: Worse::Higher,
        alone: true,
        resolution: || limits::signoff().ratio.value,
        take: |facts| Some(own(facts)?.stability.slender?.ratio),
        at: |facts| {
            let print = own(facts)?;
            let column = print.stability.slender?;
            let [x, y] = column.at_mm;
            Some(print.frame.to_mesh([x, y, column.top_mm]))
        },
    },
    Measure {
        key: "support-volume",
        title: "supports, were they printed",
        unit: "mm3",
        worse: Worse::Higher,
        alone: true,
        resolution: || limits::signoff().support.value,
        take: |facts| Some(own(facts)?.overhang.support.volume_mm3),
        at: |facts| own(facts)?.overhang.places.first().map(|o| o.at),
    },
    Measure {
        key: "thin-lines",
        title: "where one line fits and not two, area of all layers",
        unit: "mm2",
        worse: Worse::Higher,
        alone: true,
        resolution: || limits::signoff().area.value,
        take: |facts| Some(own(facts)?.lines.areas?.thin_mm2),
        at: narrow,
    },
    Measure {
        key: "tip-angle",
        title: "angle at which it tips",
        unit: "deg",
        worse: Worse::Lower,
        alone: true,
        resolution: || limits::signoff().angle.value,
        take: |facts| own(facts)?.stability.tip_deg(),
        at: |facts| {
            let print = own(facts)?;
            let [x, y] = print.stability.tip.as_ref()?.edge_mm;
            Some(print.frame.to_mesh([x, y, 0.0]))
        },
    },
];

fn narrow(facts: &PartFacts) -> Option<[f64; 3]> {
    let all = own(facts)?.lines.widths.iter();
    all.flat_map(|p| &p.list).next().map(|p| p.at_mm)
}
