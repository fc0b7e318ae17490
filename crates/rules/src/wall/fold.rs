//! One departure from what several promises say of the same part.

use measure::walls;

use super::Asked;
use crate::Departure;
use crate::words::{mm, of_promises};

/// The places that break one promise, worst first; at least one.
pub(crate) struct Hit<'a> {
    /// What the promise asks.
    pub asked: &'a Asked<'a>,
    /// The places.
    pub places: Vec<walls::Place>,
}

impl Hit<'_> {
    /// Share of the thickness asked for that is there at the worst place.
    fn share(&self) -> f64 {
        self.places.first().map_or(1.0, share)
    }
}

/// Share of the thickness asked for that is there.
pub(crate) fn share(place: &walls::Place) -> f64 {
    place.thickness_mm / place.asked_mm
}

/// Folds the hits of all promises into one departure; the hit that is worst gives value and places.
/// `needs` gives what is needed at a place, mm, and its words after "needs 0.40 mm".
pub(crate) fn fold<'a>(
    hits: &'a [Hit<'a>],
    promises: usize,
    needs: impl Fn(&Hit, &walls::Place) -> (f64, String),
) -> Option<(Departure, &'a Hit<'a>)> {
    let worst = hits
        .iter()
        .reduce(|a, b| if b.share() < a.share() { b } else { a })?;
    let place = worst.places.first()?;
    let (needs_mm, why) = needs(worst, place);
    let mut reading = format!(
        "{}, needs {} ({})",
        mm(place.thickness_mm),
        mm(needs_mm),
        why
    );
    if promises > 1 {
        reading = format!(
            "{reading}{}, worst: {}",
            of_promises(hits.len(), promises),
            worst.asked.promise.id
        );
    }
    let departure = Departure {
        promises: hits.iter().map(|h| h.asked.promise.id.clone()).collect(),
        measured: Some(place.thickness_mm),
        limit: Some(needs_mm),
        unit: "mm",
        reading,
        places: worst.places.iter().map(place_of).collect(),
        places_total: worst.places.len(),
        ..Departure::default()
    };
    Some((departure, worst))
}

/// A place as a finding holds it.
pub(crate) fn place_of(place: &walls::Place) -> findings::Place {
    findings::Place {
        measured: Some(place.thickness_mm),
        outward: Some(place.outward),
        along: Some(place.across),
        reach_mm: place.reach_mm(),
        note: format!("over {:.1} mm2", place.area_mm2),
        ..findings::Place::at(place.at)
    }
}
