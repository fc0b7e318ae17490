//! `show.scar`: the underside of a bridge, or the marks of support, on a show face.

use findings::{Level, Place, Rule, Worse};
use kit::Supports;
use measure::print::PrintFacts;
use measure::show::{Sample, ShowFacts};
use mesh::vector::{Vec3, distance, dot, scale};

use super::known;
use crate::{Departure, Entry, Judge, PartCase};

/// The rule.
pub static ENTRY: Entry = Entry {
    rule: Rule {
        id: "show.scar",
        title: "a rough underside on a show face",
        level: Level::Note,
        worse: Worse::Higher,
        measures: "The area of show faces that look down in the print pose where a bridge hangs, and, where a promise \
                   allows supports, where they would stand.",
        why: "Bridged lines sag and support leaves scars: the face is rough where it is seen.",
        fix: "Turn the part, shorten the bridge, slope the underside to the angle that needs no support, or plan to \
              fill and sand it: wet or with a mask, and by the safety data sheet.",
        source: "common practice, no source",
        limits: &[
            "show.toml scar.near",
            "show.toml scar.area",
            "show.toml scar.down",
            "layers.toml bridge.note",
        ],
        aliases: &[],
    },
    judge: Judge::Part(judge),
};

/// What leaves a scar.
struct Cause {
    at: Vec3,
    reach_mm: f64,
    words: String,
}

/// A scar on a show face.
struct Scar {
    cause: Cause,
    area_mm2: f64,
}

fn judge(case: &PartCase) -> Vec<Departure> {
    let Some(show) = known(case) else {
        return Vec::new();
    };
    let kit = case.case.kit;
    let settings = kit.settings_of(case.part);
    let mut promises: Vec<String> = Vec::new();
    let mut worst: Vec<Scar> = Vec::new();
    let area = |scars: &[Scar]| scars.iter().map(|s| s.area_mm2).sum::<f64>();
    for promise in kit.promises_for(case.part) {
        let supported = kit.supports_for(case.part, promise) != Supports::None;
        let mut here: Vec<Scar> = Vec::new();
        for print in crate::print::on(case.facts, settings, promise) {
            let found = scars(show, print, case.part.orientation.up, supported);
            if area(&found) > area(&here) {
                here = found;
            }
        }
        if here.is_empty() {
            continue;
        }
        promises.push(promise.id.clone());
        if area(&here) > area(&worst) {
            worst = here;
        }
    }
    worst.sort_by(|a, b| b.area_mm2.total_cmp(&a.area_mm2));
    let Some(first) = worst.first() else {
        return Vec::new();
    };
    let all = area(&worst);
    let least = limits::show().scar_area.value;
    let down = scale(case.part.orientation.up, -1.0);
    vec![Departure {
        promises,
        measured: Some(all),
        limit: Some(least),
        unit: "mm2",
        reading: format!(
            "{all:.0} mm2 of show face, most of it {}",
            first.cause.words
        ),
        message: format!(
            "{all:.0} mm2 of show face come out rough: {}",
            first.cause.words
        ),
        fix: "turn the part, slope the underside to 45 degrees, or plan to fill and sand it".into(),
        places: worst
            .iter()
            .map(|s| Place {
                measured: Some(s.area_mm2),
                outward: Some(down),
                reach_mm: s.cause.reach_mm,
                note: s.cause.words.clone(),
                ..Place::at(s.cause.at)
            })
            .collect(),
        ..Departure::default()
    }]
}

fn scars(show: &ShowFacts, print: &PrintFacts, up: Vec3, supported: bool) -> Vec<Scar> {
    let limits = limits::show();
    let near = limits.scar_near.value;
    let faces: Vec<&Sample> = show
        .places
        .iter()
        .filter(|s| dot(s.normal, up) <= -limits.scar_down.value)
        .collect();
    causes(print, supported)
        .into_iter()
        .map(|cause| Scar {
            area_mm2: faces
                .iter()
                .filter(|s| {
                    distance(s.at, cause.at) <= cause.reach_mm + near
                        && dot(mesh::vector::sub(s.at, cause.at), up).abs() <= near
                })
                .map(|s| s.area_mm2)
                .sum(),
            cause,
        })
        .filter(|scar| scar.area_mm2 >= limits.scar_area.value)
        .collect()
}

fn causes(print: &PrintFacts, supported: bool) -> Vec<Cause> {
    let longest = limits::layers().bridge_note.value;
    if supported {
        return print
            .overhang
            .places
            .iter()
            .map(|o| Cause {
                at: o.at,
                reach_mm: o
                    .outline
                    .iter()
                    .map(|&p| distance(p, o.at))
                    .fold(0.0, f64::max),
                words: format!("under a support at {:.1} mm of height", o.height_mm),
            })
            .collect();
    }
    print
        .overhang
        .bridges
        .iter()
        .filter(|b| b.span_mm >= longest)
        .map(|b| Cause {
            at: b.at,
            reach_mm: distance(b.ends[0], b.ends[1]) / (1.0 + 1.0),
            words: format!("the underside of a bridge of {:.1} mm", b.span_mm),
        })
        .collect()
}
