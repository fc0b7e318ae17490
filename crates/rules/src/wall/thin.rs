//! `wall.thin`: a wall thinner than two lines or two layers, or than the part's own `min-wall`.

use findings::{Level, Rule, Worse};
use measure::walls::Place;

use super::asked::own;
use super::lost::lost;
use super::{Asked, Hit, Kind, asked, fold, kind, place_of};
use crate::words::mm;
use crate::{Departure, Entry, Judge, PartCase};

/// The rule.
pub static ENTRY: Entry = Entry {
    rule: Rule {
        id: "wall.thin",
        title: "a wall thinner than two lines or two layers",
        level: Level::Warn,
        worse: Worse::Lower,
        measures: "The diameter of the largest ball between two opposite faces, over the whole surface, where \
                   it changes by less than half a millimetre a millimetre over at least 2 mm. It is compared \
                   with two nozzle widths, less a rounding, in the layers' plane, with two of the coarsest \
                   promised layers along their normal, and with the part's own min-wall, under which it blocks.",
        why: "A single line has no second one to lean on: the wall prints with gaps, bends and breaks in the hand.",
        fix: "Thicken the wall to two lines, or stand a rib behind it.",
        source: "Ma, Bae, Choi 2012, The Visual Computer 28 (shrinking ball); limits: common practice, no source",
        aliases: &[],
    },
    judge: Judge::Part(judge),
};

fn judge(case: &PartCase) -> Vec<Departure> {
    let asked = asked(case.case.kit, case.part);
    if let Some(departure) = under_own(case, &asked) {
        return vec![departure];
    }
    let hits: Vec<Hit> = asked.iter().filter_map(|a| hit(case, a)).collect();
    let words = |hit: &Hit, _: &Place| format!("two lines on {}", hit.asked.promise.id);
    let Some((departure, worst)) = fold(&hits, asked.len(), words) else {
        return Vec::new();
    };
    vec![worded(departure, &worst.places)]
}

/// What counts as a thin wall: a wall, and long enough.
fn counts(place: &Place, bead_mm: f64) -> bool {
    place.thickness_mm < place.asked_mm
        && place.longest_mm >= limits::walls().thin_run.value
        && kind(place, bead_mm) == Kind::Wall
}

fn hit<'a>(case: &PartCase<'a>, asked: &'a Asked<'a>) -> Option<Hit<'a>> {
    let lost = lost(case, asked);
    let places: Vec<&Place> = case
        .facts
        .walls
        .as_ref()?
        .walls(asked.thin.as_ref()?)?
        .list
        .iter()
        .filter(|p| counts(p, asked.bead_mm))
        // A lost wall is thin around the place where it is lost: one cause, one finding.
        .filter(|p| !lost.iter().any(|l| belongs(l, p)))
        .collect();
    (!places.is_empty()).then_some(Hit { asked, places })
}

/// Whether a lost place lies in a thin one.
fn belongs(lost: &Place, thin: &Place) -> bool {
    mesh::vector::distance(lost.at, thin.at) <= thin.extent_mm + thin.asked_mm
}

/// The departure under the part's own `min-wall`; it blocks and hangs on no promise.
fn under_own(case: &PartCase, asked: &[Asked]) -> Option<Departure> {
    let own = own(case.part)?;
    let bead_mm = asked.iter().map(|a| a.bead_mm).reduce(f64::max)?;
    let walls = case.facts.walls.as_ref()?;
    let lost: Vec<&Place> = asked.iter().flat_map(|a| lost(case, a)).collect();
    let places: Vec<&Place> = walls
        .walls(&own)?
        .list
        .iter()
        .filter(|p| counts(p, bead_mm))
        .filter(|p| !lost.iter().any(|l| belongs(l, p)))
        .collect();
    let worst = places.first()?;
    let departure = Departure {
        level: Some(Level::Block),
        measured: Some(worst.thickness_mm),
        limit: Some(worst.asked_mm),
        unit: "mm",
        reading: format!(
            "{}, needs {} (the part's own min-wall)",
            mm(worst.thickness_mm),
            mm(worst.asked_mm)
        ),
        places: places.iter().map(|p| place_of(p)).collect(),
        places_total: places.len(),
        ..Departure::default()
    };
    Some(worded(departure, &places))
}

fn worded(departure: Departure, places: &[&Place]) -> Departure {
    let Some(worst) = places.first() else {
        return departure;
    };
    Departure {
        message: format!(
            "a wall of {} over {:.1} mm2",
            mm(worst.thickness_mm),
            places.iter().map(|p| p.area_mm2).sum::<f64>()
        ),
        fix: format!(
            "thicken it by {}, or stand a rib behind it",
            mm(worst.asked_mm - worst.thickness_mm)
        ),
        ..departure
    }
}
