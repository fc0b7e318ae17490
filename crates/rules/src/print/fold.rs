//! One departure from what several promises and heights say of the same part.

use findings::{Level, Place};
use kit::{Promise, Supports};
use measure::print::PrintFacts;

use super::on;
use crate::words::of_promises;
use crate::{Departure, PartCase};

/// What one promise breaks at one height.
pub(crate) struct Hit<'a> {
    /// The promise.
    pub promise: &'a Promise,
    /// The facts at that height.
    pub facts: &'a PrintFacts,
    /// How grave it is.
    pub level: Level,
    /// The worst value; higher is worse.
    pub measured: f64,
    /// The limit it met.
    pub limit: f64,
    /// Where, worst first.
    pub places: Vec<Place>,
}

/// A promise with its supports, as a rule looks at it.
pub(crate) struct Printed<'a> {
    /// The promise.
    pub promise: &'a Promise,
    /// Which supports it allows for the part.
    pub supports: Supports,
    /// The facts at one of its heights.
    pub facts: &'a PrintFacts,
}

/// Looks at every promise at each of its heights; keeps the worst hit of each promise.
pub(crate) fn hits<'a>(
    case: &PartCase<'a>,
    look: impl Fn(&Printed<'a>) -> Option<Hit<'a>>,
) -> Vec<Hit<'a>> {
    let (kit, part) = (case.case.kit, case.part);
    let settings = kit.settings_of(part);
    kit.promises_for(part)
        .into_iter()
        .filter_map(|promise| {
            let supports = kit.supports_for(part, promise);
            on(case.facts, settings, promise)
                .into_iter()
                .filter_map(|facts| {
                    look(&Printed {
                        promise,
                        supports,
                        facts,
                    })
                })
                .reduce(|a, b| if b.measured > a.measured { b } else { a })
        })
        .collect()
}

/// Folds the hits of all promises into one departure, whose words are still to be said; the worst hit gives value,
/// level and places. `reading` says what was measured; which promises and which height it was is added.
pub(crate) fn fold<'a, 'h>(
    case: &PartCase<'a>,
    hits: &'h [Hit<'a>],
    reading: impl Fn(&Hit<'a>) -> String,
) -> Option<(Departure, &'h Hit<'a>)> {
    let worst = hits
        .iter()
        .reduce(|a, b| if b.measured > a.measured { b } else { a })?;
    let promises = case.case.kit.promises_for(case.part).len();
    let mut words = format!(
        "{} at layers of {} mm",
        reading(worst),
        worst.facts.height.layer_mm
    );
    if promises > 1 {
        words = format!(
            "{words}{}, worst: {}",
            of_promises(hits.len(), promises),
            worst.promise.id
        );
    }
    let departure = Departure {
        promises: hits.iter().map(|h| h.promise.id.clone()).collect(),
        level: Some(worst.level),
        measured: Some(worst.measured),
        limit: Some(worst.limit),
        unit: "mm",
        reading: words,
        places: worst.places.clone(),
        places_total: worst.places.len(),
        ..Departure::default()
    };
    Some((departure, worst))
}

/// A place seen from below.
pub(crate) fn from_below(case: &PartCase, at: [f64; 3], height_mm: f64, note: &str) -> Place {
    Place {
        outward: Some(case.part.orientation.up.map(|x| -x)),
        note: format!("{note}, {height_mm:.1} mm above the plate"),
        ..Place::at(at)
    }
}
