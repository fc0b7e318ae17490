//! `show.facets`: a curve on a show face that is drawn with visible facets.

use findings::{Level, Place, Rule, Worse};

use super::known;
use crate::words::mm;
use crate::{Departure, Entry, Judge, PartCase};

/// The rule.
pub static ENTRY: Entry = Entry {
    rule: Rule {
        id: "show.facets",
        title: "a curve on a show face that is drawn with visible facets",
        level: Level::Note,
        worse: Worse::Higher,
        measures: "How far the flat facets of a curve leave the arc they stand for: the sagitta of a chord by its \
                   width and its turn against its neighbour. Only strips of even width that turn by a few degrees \
                   count; coarser polygons are meant as they are.",
        why: "The printer repeats every flat. A coat of gloss paint makes them plain to see.",
        fix: "Export the mesh again with a finer tolerance.",
        source: "geometry of the circle; limits: common practice, no source",
        limits: &[
            "show.toml facets.sag",
            "show.toml facets.smooth",
            "show.toml facets.length",
        ],
        aliases: &[],
    },
    judge: Judge::Part(judge),
};

fn judge(case: &PartCase) -> Vec<Departure> {
    let limits = limits::show();
    let Some(show) = known(case) else {
        return Vec::new();
    };
    let worst = show
        .faceted
        .iter()
        .filter(|f| f.length_mm >= limits.facets_length.value)
        .reduce(|a, b| if b.sag_mm > a.sag_mm { b } else { a });
    let Some(f) = worst else {
        return Vec::new();
    };
    let sag = limits.sag.value;
    vec![Departure {
        measured: Some(f.sag_mm),
        limit: Some(sag),
        unit: "mm",
        reading: format!(
            "facets {:.1} mm wide leave the curve by {}, at most {}",
            f.width_mm,
            mm(f.sag_mm),
            mm(sag)
        ),
        places: vec![Place {
            measured: Some(f.sag_mm),
            outward: Some(f.outward),
            reach_mm: f.width_mm,
            note: format!("turns by {:.1} degrees", f.turn_deg),
            ..Place::at(f.at)
        }],
        places_total: f.edges,
        message: format!(
            "facets {:.1} mm wide show on a curve, along {:.0} mm of edges",
            f.width_mm, f.length_mm
        ),
        fix: format!(
            "export it with a tolerance of {}: facets {:.1} mm wide",
            mm(sag),
            // The sagitta goes with the square of the width.
            f.width_mm * (sag / f.sag_mm).sqrt()
        ),
        ..Departure::default()
    }]
}
