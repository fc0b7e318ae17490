//! `wall.thin`: a wall thinner than two lines or two layers, or than the part's own `min-wall`.

use findings::{Level, Rule, Worse};
use measure::walls::{Ask, Place};

use super::asked::own;
use super::layered::{added, stands};
use super::lost::lost;
use super::{Asked, Hit, Kind, asked, fold, kind, place_of, share};
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
                   promised layers along their normal, and with the part's own min-wall, under which it blocks. \
                   The part's layers confirm, clear or add what is thin in their plane.",
        why: "A single line has no second one to lean on: the wall prints with gaps, bends and breaks in the hand.",
        fix: "Thicken the wall to two lines, or stand a rib behind it.",
        source: "Ma, Bae, Choi 2012, The Visual Computer 28 (shrinking ball); limits: common practice, no source",
        limits: &[
            "walls.toml thin.lines",
            "walls.toml thin.layers",
            "walls.toml thin.slack",
            "walls.toml thin.run",
            "walls.toml steepest",
        ],
        aliases: &[],
    },
    judge: Judge::Part(judge),
};

fn judge(case: &PartCase) -> Vec<Departure> {
    let asked = asked(case.case.kit, case.part);
    // A wall that is lost on one promise is thin on the next: one cause, one finding.
    let lost: Vec<_> = asked.iter().flat_map(|a| lost(case, a)).collect();
    if let Some(departure) = under_own(case, &asked, &lost) {
        return vec![departure];
    }
    let hits: Vec<Hit> = asked.iter().filter_map(|a| hit(case, a, &lost)).collect();
    let needs = |hit: &Hit, place: &Place| {
        let least = hit.asked.thin.as_ref().unwrap_or(&hit.asked.lost);
        hit.asked.needs(least, place)
    };
    let Some((departure, worst)) = fold(&hits, asked.len(), needs) else {
        return Vec::new();
    };
    vec![worded(departure, &worst.places)]
}

/// What counts as a thin wall: a wall, long enough, and broader than a detail on that length.
fn counts(place: &Place, bead_mm: f64) -> bool {
    let limits = limits::walls();
    let run_mm = limits.thin_run.value;
    place.thickness_mm < place.asked_mm
        && place.longest_mm >= run_mm
        && place.area_mm2 >= run_mm * limits.detail_lines.value * bead_mm
        && kind(place, bead_mm) == Kind::Wall
}

fn hit<'a>(case: &PartCase, asked: &'a Asked<'a>, lost: &[(Kind, Place)]) -> Option<Hit<'a>> {
    let places = thin(case, asked, &asked.thin.as_ref()?.ask, lost)?;
    (!places.is_empty()).then_some(Hit { asked, places })
}

/// The thin walls of one promise, thinnest first: those of the surface that the layers let stand, and those that
/// only the layers show.
fn thin(case: &PartCase, asked: &Asked, ask: &Ask, lost: &[(Kind, Place)]) -> Option<Vec<Place>> {
    let balls = &case.facts.walls.as_ref()?.walls(ask)?.list;
    let mut places: Vec<Place> = balls
        .iter()
        .filter(|p| stands(case, asked, ask, p, false))
        .copied()
        .chain(added(
            case,
            asked,
            ask,
            limits::walls().thin_run.value,
            false,
        ))
        .filter(|p| counts(p, asked.bead_mm))
        .filter(|p| !lost.iter().any(|l| belongs(l, p)))
        .collect();
    places.sort_by(|a, b| share(a).total_cmp(&share(b)));
    Some(places)
}

/// Whether a thin place is what surrounds a lost wall, or the foot of a lost detail: one cause, one finding.
fn belongs((kind, lost): &(Kind, Place), thin: &Place) -> bool {
    let near = mesh::vector::distance(lost.at, thin.at) <= thin.extent_mm + thin.asked_mm;
    near && match kind {
        Kind::Wall => true,
        Kind::Detail => thin.proud_mm.is_some(),
        Kind::Nothing => false,
    }
}

/// The departure under the part's own `min-wall`; it blocks and hangs on no promise.
fn under_own(case: &PartCase, asked: &[Asked], lost: &[(Kind, Place)]) -> Option<Departure> {
    let own = own(case.part)?;
    let widest = asked
        .iter()
        .reduce(|a, b| if b.bead_mm > a.bead_mm { b } else { a })?;
    let places = thin(case, widest, &own, lost)?;
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
        places: places.iter().map(place_of).collect(),
        places_total: places.len(),
        ..Departure::default()
    };
    Some(worded(departure, &places))
}

fn worded(departure: Departure, places: &[Place]) -> Departure {
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
            mm(departure.limit.unwrap_or(worst.asked_mm) - worst.thickness_mm)
        ),
        ..departure
    }
}
