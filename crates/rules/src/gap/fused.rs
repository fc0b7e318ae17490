//! `gap.fused`: a slit so narrow that its sides print as one.

use findings::{Level, Rule, Worse};
use measure::walls::Place;

use crate::wall::layered::{added, stands};
use crate::wall::{Asked, Hit, Kind, asked, fold, kind, share};
use crate::words::mm;
use crate::{Departure, Entry, Judge, PartCase};

/// The rule.
pub static ENTRY: Entry = Entry {
    rule: Rule {
        id: "gap.fused",
        title: "a gap so narrow that its sides print as one",
        level: Level::Warn,
        worse: Worse::Lower,
        measures: "The diameter of the largest ball in the air between two opposite faces of the part, where it \
                   hardly changes over at least 2 mm and the slit is deeper than two lines. Slits up to \
                   0.05 mm are taken for cuts drawn on purpose. The part's layers confirm, clear or add what is \
                   narrow in their plane.",
        why: "Beads spread: what was meant to move or come apart is one piece.",
        fix: "Widen the gap to 0.3 mm or more, or close it in the model.",
        source: "course test report of a university: under 0.2 mm fuses, from 0.3 mm on parts move freely",
        limits: &[
            "walls.toml gap.fused",
            "walls.toml gap.layers",
            "walls.toml gap.drawn",
            "walls.toml gap.steepest",
            "walls.toml gap.run",
        ],
        aliases: &[],
    },
    judge: Judge::Part(judge),
};

fn judge(case: &PartCase) -> Vec<Departure> {
    let asked = asked(case.case.kit, case.part);
    let hits: Vec<Hit> = asked.iter().filter_map(|a| hit(case, a)).collect();
    let needs = |_: &Hit, place: &Place| (place.asked_mm, "to stay open".to_string());
    let Some((departure, worst)) = fold(&hits, asked.len(), needs) else {
        return Vec::new();
    };
    let Some(place) = worst.places.first() else {
        return Vec::new();
    };
    vec![Departure {
        message: format!(
            "a gap of {} will fuse, over {:.1} mm2",
            mm(place.thickness_mm),
            worst.places.iter().map(|p| p.area_mm2).sum::<f64>()
        ),
        fix: format!(
            "widen it by {} or more, or close it",
            mm(place.asked_mm - place.thickness_mm)
        ),
        ..departure
    }]
}

fn hit<'a>(case: &PartCase, asked: &'a Asked<'a>) -> Option<Hit<'a>> {
    let gap = asked.gap.as_ref()?;
    let run_mm = limits::walls().gap_run.value;
    let balls = &case.facts.walls.as_ref()?.gaps(gap)?.list;
    let mut places: Vec<Place> = balls
        .iter()
        .filter(|p| stands(case, asked, gap, p, true))
        .copied()
        .chain(added(case, asked, gap, run_mm, true))
        .filter(|p| {
            p.thickness_mm < p.asked_mm
                && p.thickness_mm >= gap.from_mm
                && p.longest_mm >= run_mm
                && kind(p, asked.bead_mm) == Kind::Wall
        })
        .collect();
    places.sort_by(|a, b| share(a).total_cmp(&share(b)));
    (!places.is_empty()).then_some(Hit { asked, places })
}
