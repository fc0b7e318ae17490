//! `edge.feather`: an edge that tapers to nothing and prints short.

use findings::{Level, Place, Rule, Worse};
use kit::{Part, Show};
use measure::walls::Feather;
use mesh::vector::scale;

use crate::wall::asked;
use crate::words::{count, mm};
use crate::{Departure, Entry, Judge, PartCase};

/// The rule.
pub static ENTRY: Entry = Entry {
    rule: Rule {
        id: "edge.feather",
        title: "an edge that tapers to nothing and prints short",
        level: Level::Note,
        worse: Worse::Higher,
        measures: "Edges where two faces meet at 60 degrees or less through the material. The value is how far \
                   from the edge not even one line fits: bead / (2 sin(a/2)), a the angle.",
        why: "The edge recedes by that much and comes out ragged; on a show face it is seen.",
        fix: "Cut the edge off where one line fits, or round it; a plain end prints cleanly.",
        source: "geometry of the wedge; 60 degrees: common practice, no source",
        limits: &[
            "walls.toml feather.least-length",
            "walls.toml feather.show-depth",
        ],
        aliases: &[],
    },
    judge: Judge::Part(judge),
};

fn judge(case: &PartCase) -> Vec<Departure> {
    let limits = limits::walls();
    let bead_mm = asked(case.case.kit, case.part)
        .iter()
        .map(|a| a.bead_mm)
        .reduce(f64::max);
    let (Some(bead_mm), Some(walls)) = (bead_mm, &case.facts.walls) else {
        return Vec::new();
    };
    let mut feathers: Vec<(f64, &Feather)> = walls
        .feathers
        .iter()
        .filter(|f| f.length_mm >= limits.feather_least_length.value)
        .map(|f| (f.recedes_mm(bead_mm), f))
        .collect();
    feathers.sort_by(|a, b| b.0.total_cmp(&a.0));
    let Some(&(recedes_mm, worst)) = feathers.first() else {
        return Vec::new();
    };
    let seen = feathers.iter().any(|(recedes, feather)| {
        *recedes > limits.feather_show_depth.value && on_show(case.part, feather)
    });
    let length: f64 = feathers.iter().map(|(_, f)| f.length_mm).sum();
    vec![Departure {
        level: seen.then_some(Level::Warn),
        measured: Some(recedes_mm),
        unit: "mm",
        reading: format!(
            "{} will not print, at an edge of {:.0} degrees",
            mm(recedes_mm),
            worst.angle_deg
        ),
        places: feathers
            .iter()
            .take(measure::walls::MOST_PLACES)
            .map(|(recedes, f)| place(*recedes, f))
            .collect(),
        places_total: feathers.len(),
        message: format!(
            "{}, {length:.0} mm in all, will recede by up to {}",
            count(feathers.len() as u64, "sharp edge", "sharp edges"),
            mm(recedes_mm)
        ),
        fix: format!("end it at a thickness of {}, or round it", mm(bead_mm)),
        ..Departure::default()
    }]
}

fn place(recedes_mm: f64, feather: &Feather) -> Place {
    Place {
        measured: Some(recedes_mm),
        outward: Some(scale(feather.inward, -1.0)),
        note: format!(
            "edge of {:.0} degrees, {:.0} mm",
            feather.angle_deg, feather.length_mm
        ),
        reach_mm: recedes_mm,
        ..Place::at(feather.at)
    }
}

/// Whether the manifest puts the edge on show. What is visible in the assembled kit is not known here.
fn on_show(part: &Part, feather: &Feather) -> bool {
    match &part.show {
        Show::All => true,
        Show::Visible | Show::None => false,
        Show::Directions(cones) => cones
            .iter()
            .any(|cone| feather.looks_along(cone.toward, cone.cone_deg)),
    }
}
