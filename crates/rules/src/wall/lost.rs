//! `wall.lost`: a wall thinner than one line or one layer.

use findings::{Level, Rule, Worse};
use measure::walls::Place;

use super::{Asked, Hit, Kind, asked, fold, kind};
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
                   coarsest promised layer where it is thin along their normal.",
        why: "Nothing is laid where not even one line fits: the wall is missing from the print, and what it \
              held falls off.",
        fix: "Thicken the wall to one line to print, to two lines to last; or turn the part so that the wall \
              is thin along the layers' normal.",
        source: "Ma, Bae, Choi 2012, The Visual Computer 28 (shrinking ball); limits: common practice, no source",
        aliases: &[],
    },
    judge: Judge::Part(judge),
};

fn judge(case: &PartCase) -> Vec<Departure> {
    let asked = asked(case.case.kit, case.part);
    let hits: Vec<Hit> = asked.iter().filter_map(|a| hit(case, a)).collect();
    let words = |hit: &Hit, place: &Place| asked_in_words(hit.asked, place);
    let Some((departure, worst)) = fold(&hits, asked.len(), words) else {
        return Vec::new();
    };
    let Some(place) = worst.places.first() else {
        return Vec::new();
    };
    let to_print = mm(place.asked_mm - place.thickness_mm);
    let fix = match worst.asked.thin {
        Some(thin) => format!(
            "thicken it by {to_print} to print, by {} to last",
            mm(thin.thickness_mm(place.across) - place.thickness_mm)
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

/// The lost walls of a part on one promise.
pub(super) fn lost<'a>(case: &PartCase<'a>, asked: &Asked) -> Vec<&'a Place> {
    let places = case.facts.walls.as_ref().and_then(|w| w.walls(&asked.lost));
    places.map_or(Vec::new(), |places| {
        places
            .list
            .iter()
            .filter(|p| p.thickness_mm < p.asked_mm && kind(p, asked.bead_mm) == Kind::Wall)
            .collect()
    })
}

fn hit<'a>(case: &PartCase<'a>, asked: &'a Asked<'a>) -> Option<Hit<'a>> {
    let places = lost(case, asked);
    (!places.is_empty()).then_some(Hit { asked, places })
}

/// Which of the two lengths was asked for at a place: a line's width or a layer's height.
fn asked_in_words(asked: &Asked, place: &Place) -> String {
    let ask = &asked.lost;
    let upright = measure::walls::Ask {
        in_plane_mm: 0.0,
        ..*ask
    };
    if upright.thickness_mm(place.across) < place.asked_mm {
        asked.line_words.clone()
    } else {
        asked.layer_words.clone()
    }
}
