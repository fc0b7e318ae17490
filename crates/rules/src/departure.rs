//! What a rule says when it is broken, before levels and waivers are applied.

use findings::{Level, Place};

/// One departure from a limit, worded by its rule.
#[derive(Debug, Clone, Default)]
pub struct Departure {
    /// The parts it concerns; a rule judged part by part may leave it empty, its own part is filled in.
    pub parts: Vec<String>,
    /// The promises it breaks; empty where it does not depend on a promise.
    pub promises: Vec<String>,
    /// Another weight than the rule's own, where the facts call for it (a part's own `min-wall`).
    pub level: Option<Level>,
    /// The value at the worst place.
    pub measured: Option<f64>,
    /// The limit it met.
    pub limit: Option<f64>,
    /// Unit of both ("mm", "places", ...).
    pub unit: &'static str,
    /// Value and limit in words: "0.31 mm, needs 0.40 mm (one width of a 0.4 mm nozzle)".
    pub reading: String,
    /// Where, worst first; at most a hundred.
    pub places: Vec<Place>,
    /// How many places there are in all; 0 means as many as stand in `places`.
    pub places_total: usize,
    /// The fault in one sentence, without the part's name.
    pub message: String,
    /// What to do about it, with numbers.
    pub fix: String,
}
