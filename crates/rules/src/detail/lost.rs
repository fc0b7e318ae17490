//! `detail.lost`: a rivet, letter or panel line too fine to show.

use findings::{Level, Rule, Worse};
use measure::walls::{Place, Places};

use crate::wall::{Asked, Hit, Kind, asked, fold, kind};
use crate::words::{count, mm};
use crate::{Departure, Entry, Judge, PartCase};

/// The rule.
pub static ENTRY: Entry = Entry {
    rule: Rule {
        id: "detail.lost",
        title: "a rivet, letter or panel line too fine to show",
        level: Level::Note,
        worse: Worse::Lower,
        measures: "What stands proud of solid ground, or lies deep in it, by less than two line widths, and is \
                   thinner than one line or layer, or as a groove so narrow that it fuses.",
        why: "The detail is missing from the print or filled up; the part holds all the same.",
        fix: "Widen the detail to one line, or leave it to paint and decals.",
        source: "Ma, Bae, Choi 2012, The Visual Computer 28 (shrinking ball); limits: common practice, no source",
        limits: &["walls.toml detail.lines", "walls.toml detail.least"],
        aliases: &[],
    },
    judge: Judge::Part(judge),
};

fn judge(case: &PartCase) -> Vec<Departure> {
    let asked = asked(case.case.kit, case.part);
    let hits: Vec<Hit> = asked.iter().filter_map(|a| hit(case, a)).collect();
    let needs = |hit: &Hit, place: &Place| (needs_mm(hit.asked, place), "to show".to_string());
    let Some((departure, worst)) = fold(&hits, asked.len(), needs) else {
        return Vec::new();
    };
    let Some(place) = worst.places.first() else {
        return Vec::new();
    };
    vec![Departure {
        message: format!(
            "{} of {} or more will not show",
            count(worst.places.len() as u64, "fine detail", "fine details"),
            mm(place.thickness_mm)
        ),
        fix: format!(
            "widen it to {}, or leave it to paint",
            mm(needs_mm(worst.asked, place))
        ),
        ..departure
    }]
}

/// What a detail needs: a line where it stands proud, a gap that stays open where it lies deep.
fn needs_mm(asked: &Asked, place: &Place) -> f64 {
    if asked.lost.ask.thickness_mm(place.across) == place.asked_mm {
        asked.lost.needs_mm(place)
    } else {
        place.asked_mm
    }
}

fn hit<'a>(case: &PartCase<'a>, asked: &'a Asked<'a>) -> Option<Hit<'a>> {
    let walls = case.facts.walls.as_ref()?;
    let of = |places: Option<&'a Places>| {
        places
            .into_iter()
            .flat_map(|p| &p.list)
            .filter(|p| p.thickness_mm < p.asked_mm && kind(p, asked.bead_mm) == Kind::Detail)
    };
    let grooves = asked.gap.as_ref().and_then(|gap| walls.gaps(gap));
    let mut places: Vec<&Place> = of(walls.walls(&asked.lost.ask))
        .chain(of(grooves))
        .collect();
    let share = |p: &Place| p.thickness_mm / p.asked_mm;
    places.sort_by(|a, b| share(a).total_cmp(&share(b)));
    places.truncate(measure::walls::MOST_PLACES);
    let places: Vec<Place> = places.into_iter().copied().collect();
    (!places.is_empty()).then_some(Hit { asked, places })
}
