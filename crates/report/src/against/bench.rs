//! How to tell the old part from the new one on the bench.

use revisions::{Caliper, Dimension, PartChange};
use rules::reprint::{Class, Row};

use crate::number::rounded;

/// The line; `None` where the parts are the same, or one of them is not there.
pub fn told_apart(
    row: &Row,
    change: Option<&PartChange>,
    base: &str,
    present: &str,
) -> Option<String> {
    if matches!(row.class, Class::New | Class::Retired) {
        return None;
    }
    let change = change.filter(|c| !c.regions.is_empty())?;
    if let Some(caliper) = &change.bench {
        return Some(measured(caliper, base, present));
    }
    let deepest = change.regions.first()?;
    /// A difference smaller than this shows to no eye, mm.
    const SEEN: f64 = 0.2;
    if change.max_mm < SEEN {
        return Some("neither a caliper nor the eye can tell them apart".into());
    }
    let places = match change.regions_total {
        1 => "one place".to_string(),
        n => format!("{n} places"),
    };
    let [x, y, z] = deepest.at.map(|v| rounded(v, 1).unwrap_or(0.0));
    Some(format!(
        "no size that a caliper reads; look at {places}, up to {:.2} mm {}, the deepest at x {x:.1} y {y:.1} z {z:.1} \
         of the model",
        deepest.depth_mm.abs(),
        if deepest.depth_mm > 0.0 {
            "more"
        } else {
            "less"
        }
    ))
}

/// The round faces that have another diameter, where nothing else changed.
pub fn only_rounds(change: Option<&PartChange>) -> Option<String> {
    let rounds = change?.only_rounds.as_ref().filter(|r| !r.is_empty())?;
    let words: Vec<String> = rounds
        .iter()
        .map(|r| {
            let what = match (r.hollow, r.count) {
                (true, 1) => "1 bore".to_string(),
                (true, n) => format!("{n} bores"),
                (false, 1) => "1 boss".to_string(),
                (false, n) => format!("{n} bosses"),
            };
            format!(
                "{what} from {:.2} to {:.2} mm across{}",
                r.base_mm,
                r.present_mm,
                match (r.rim, r.count) {
                    (false, _) => "",
                    (true, 1) => " with its rim",
                    (true, _) => " with their rims",
                }
            )
        })
        .collect();
    let least = revisions::LEAST_MM;
    Some(format!(
        "nothing moved by {least:.2} mm or more but {}",
        words.join(", ")
    ))
}

/// A size to take with a caliper.
pub fn measured(caliper: &Caliper, base: &str, present: &str) -> String {
    let how = match (caliper.dimension, caliper.outside) {
        (Dimension::Flats, true) => "caliper across the flats",
        (Dimension::Flats, false) => "caliper across the slot",
        (Dimension::Diameter, true) => "caliper across the round",
        (Dimension::Diameter, false) => "caliper across the bore",
        (Dimension::Length, _) => "caliper over the whole length",
    };
    format!(
        "{how}{}: {:.2} mm in {base}, {:.2} mm in {present}",
        match caliper.dimension {
            // Across a round it does not matter how the jaws lie.
            Dimension::Diameter => String::new(),
            _ => along(caliper.along),
        },
        caliper.base_mm,
        caliper.present_mm
    )
}

/// The direction in words where it is an axis of the model.
fn along(direction: [f64; 3]) -> String {
    /// A direction so near to an axis is called by its name.
    const NEARLY_ONE: f64 = 0.999;
    ["x", "y", "z"]
        .iter()
        .zip(direction)
        .find(|(_, d)| d.abs() > NEARLY_ONE)
        .map(|(axis, _)| format!(", along {axis}"))
        .unwrap_or_default()
}
