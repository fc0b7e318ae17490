//! `wall.lost`: a wall thinner than one line or one layer.

use findings::{Level, Rule, Worse};
use measure::walls::Place;

use super::layered::{added, stands};
use super::{Asked, Hit, Kind, asked, fold, kind, share};
use crate::words::mm;
use crate::{Departure, Entry, Judge, PartCase};

/// The rule.
pub static ENTRY: Entry = Entry {
    rule: Rule {
        id: "wall.lost",
        title: "a wall thinner than one line or one layer",
        level: Level::Block,
        worse: Worse::Lower,
        measures: "The diameter of the largest ball between two opposite faces, over the whole surface. It is \
                   compared with one nozzle width where the wall is thin in the layers' plane and with the \
                   coarsest promised layer where it is thin along their normal. What is thin in their plane is \
                   looked for in the part's layers too: a place that no layer shows is cleared, a wall that \
                   only layers show is added.",
        why: "Nothing is laid where not even one line fits: the wall is missing from the print, and what it \
              held falls off.",
        fix: "Thicken the wall to one line to print, to two lines to last; or turn the part so that the wall \
              is thin along the layers' normal.",
        source: "Ma, Bae, Choi 2012, The Visual Computer 28 (shrinking ball); Blum 1967 (medial axis); limits: common practice, no source",
        limits: &[
            "walls.toml lost.lines",
            "walls.toml lost.layers",
            "walls.toml lost.slack",
            "walls.toml lost.area",
            "walls.toml steepest",
        ],
        aliases: &[],
    },
    judge: Judge::Part(judge),
};

fn judge(case: &PartCase) -> Vec<Departure> {
    let asked = asked(case.case.kit, case.part);
    let hits: Vec<Hit> = asked.iter().filter_map(|a| hit(case, a)).collect();
    let needs = |hit: &Hit, place: &Place| hit.asked.needs(&hit.asked.lost, place);
    let Some((departure, worst)) = fold(&hits, asked.len(), needs) else {
        return Vec::new();
    };
    let Some(place) = worst.places.first() else {
        return Vec::new();
    };
    let to_print = mm(worst.asked.lost.needs_mm(place) - place.thickness_mm);
    let fix = match worst.asked.thin {
        Some(thin) => format!(
            "thicken it by {to_print} to print, by {} to last",
            mm(thin.needs_mm(place) - place.thickness_mm)
        ),
        None => format!("thicken it by {to_print}"),
    };
    vec![Departure {
        message: format!(
            "a wall of {} will not print, over {:.1} mm2",
            mm(place.thickness_mm),
            worst.places.iter().map(|p| p.area_mm2).sum::<f64>()
        ),
        fix,
        ..departure
    }]
}

/// The places of a part that are thin enough to be lost on one promise, with what they are: those of the surface
/// that the layers let stand, and those that only the layers show.
pub(super) fn lost(case: &PartCase, asked: &Asked) -> Vec<(Kind, Place)> {
    let places = case
        .facts
        .walls
        .as_ref()
        .and_then(|w| w.walls(&asked.lost.ask));
    let ask = &asked.lost.ask;
    let balls = places
        .into_iter()
        .flat_map(|places| &places.list)
        .filter(|p| p.thickness_mm < p.asked_mm && stands(case, asked, ask, p, false))
        .copied();
    let run_mm = limits::walls().detail_lines.value * asked.bead_mm;
    let mut all: Vec<(Kind, Place)> = balls
        .chain(added(case, asked, ask, run_mm, false))
        .map(|p| (kind(&p, asked.bead_mm), p))
        .collect();
    all.sort_by(|(_, a), (_, b)| share(a).total_cmp(&share(b)));
    all
}

fn hit<'a>(case: &PartCase, asked: &'a Asked<'a>) -> Option<Hit<'a>> {
    let places: Vec<Place> = lost(case, asked)
        .into_iter()
        .filter(|(kind, _)| *kind == Kind::Wall)
        .map(|(_, place)| place)
        .collect();
    (!places.is_empty()).then_some(Hit { asked, places })
}
