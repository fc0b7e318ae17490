//! `first-layer.spread`: a slit on the plate that the bulge of the first layer closes.

use findings::{Level, Place, Rule, Worse};
use measure::print::first_layer::Opening;

use super::closes_mm;
use crate::stability::{Printed, printed, promises};
use crate::words::{mm, of_promises};
use crate::{Departure, Entry, Judge, PartCase};

/// The rule.
pub static ENTRY: Entry = Entry {
    rule: Rule {
        id: "first-layer.spread",
        title: "a slit that the first layer closes",
        level: Level::Note,
        worse: Worse::Lower,
        measures: "The width between parallel sides of every opening of the first layer, exactly on its outline. \
                   Sides with a chamfer are further apart there, so they are not found. Slits too narrow for any \
                   layer are `gap.fused`.",
        why: "The first layers are pressed onto the plate and bulge sideways. Parts that should move against each \
              other are one at the plate, and letters cut into the underside fill.",
        fix: "Chamfer both sides of the slit at the plate by 0.3 to 0.5 mm.",
        source: "common practice, no source",
        limits: &[
            "first-layer.toml spread.most",
            "first-layer.toml spread.run",
            "first-layer.toml spread.steepest",
            "walls.toml gap.fused",
        ],
        aliases: &[],
    },
    judge: Judge::Part(judge),
};

fn judge(case: &PartCase) -> Vec<Departure> {
    let all = printed(case);
    let hits: Vec<&Printed> = all.iter().filter(|p| !closing(p).is_empty()).collect();
    let width = |p: &Printed| closing(p).first().map_or(f64::INFINITY, |o| o.width_mm);
    let Some(worst) = hits
        .iter()
        .copied()
        .reduce(|a, b| if width(b) < width(a) { b } else { a })
    else {
        return Vec::new();
    };
    let openings = closing(worst);
    let Some(narrowest) = openings.first() else {
        return Vec::new();
    };
    let broken = promises(&hits);
    let offered = case.case.kit.promises_for(case.part).len();
    let bulge = limits::first_layer().spread_most.value;
    vec![Departure {
        measured: Some(narrowest.width_mm),
        limit: Some(closes_mm()),
        unit: "mm",
        reading: format!(
            "{} wide on the plate; each side bulges by up to {}{}",
            mm(narrowest.width_mm),
            mm(bulge),
            of_promises(broken.len(), offered)
        ),
        promises: broken,
        places: openings
            .iter()
            .map(|o| Place {
                reach_mm: o.length_mm,
                outward: Some(case.part.orientation.up.map(|x| -x)),
                ..Place::at(o.at).measuring(o.width_mm)
            })
            .collect(),
        places_total: openings.len(),
        message: format!(
            "a slit of {} on the plate, {:.0} mm long, closes in the first layer",
            mm(narrowest.width_mm),
            narrowest.length_mm
        ),
        fix: format!(
            "chamfer its sides at the plate by {}, or widen it there to {}",
            mm(bulge),
            mm(closes_mm())
        ),
        ..Departure::default()
    }]
}

/// The slits that close, narrowest first.
fn closing<'a>(printed: &Printed<'a>) -> Vec<&'a Opening> {
    let (limits, fused) = (limits::first_layer(), limits::walls().gap_fused.value);
    let open = &printed.facts.first_layer.openings;
    open.iter()
        .filter(|o| o.width_mm >= fused && o.width_mm < closes_mm())
        .filter(|o| o.length_mm >= limits.spread_run.value)
        .collect()
}
