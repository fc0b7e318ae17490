//! `mesh.debris`: loose specks.

use findings::{Level, Rule, Worse};
use measure::soundness::{Body, Soundness};

use super::sound;
use crate::words::{count, mm};
use crate::{Departure, Entry, Judge, PartCase};

/// The rule.
pub static ENTRY: Entry = Entry {
    rule: Rule {
        id: "mesh.debris",
        title: "loose specks beside the part",
        level: Level::Warn,
        worse: Worse::Higher,
        measures: "Bodies other than the largest whose longest side, or volume, is under its limit. A body is all \
                   shells that touch, cross or lie in each other.",
        why: "A speck does not stick to the plate; it is dragged through the print, or a support is built for \
                   nothing.",
        fix: "Delete the loose specks in the modeller.",
        source: "common practice, no source",
        limits: &[
            "soundness.toml debris-extent",
            "soundness.toml debris-volume",
        ],
        aliases: &[],
    },
    judge: Judge::Part(judge),
};

fn judge(case: &PartCase) -> Vec<Departure> {
    case.facts.soundness.iter().flat_map(departures).collect()
}

/// Whether a body is a speck.
pub(super) fn is_speck(body: &Body) -> bool {
    let l = limits::soundness_limits();
    body.longest_mm() < l.debris_extent.value || body.volume_mm3.abs() < l.debris_volume.value
}

/// Whether a place, mm, lies on a loose speck.
pub(crate) fn speck_at(facts: &Soundness, at: [f64; 3]) -> bool {
    let loose = facts.bodies.iter().flat_map(|b| b.list.iter().skip(1));
    loose.filter(|b| is_speck(b)).any(|b| {
        at.iter()
            .zip(b.at)
            .all(|(x, y)| (x - y).abs() <= b.longest_mm())
    })
}

fn departures(facts: &Soundness) -> Option<Departure> {
    let l = limits::soundness_limits();
    // The largest comes first and is the part itself, however small.
    let loose = facts.bodies.as_ref()?.list.get(1..)?;
    let specks: Vec<&Body> = loose.iter().filter(|b| is_speck(b)).collect();
    let largest = specks.iter().map(|b| b.longest_mm()).reduce(f64::max)?;
    let n = count(specks.len() as u64, "loose speck", "loose specks");
    Some(Departure {
        measured: Some(specks.len() as f64),
        limit: Some(0.0),
        unit: "bodies",
        reading: format!(
            "{n}, the longest {}; under {} or {} is one",
            mm(largest),
            mm(l.debris_extent.value),
            sound::mm3(l.debris_volume.value)
        ),
        places: specks
            .iter()
            .take(l.most_places.value as usize)
            .map(|b| sound::body(b))
            .collect(),
        places_total: specks.len(),
        message: format!("has {n} beside it"),
        fix: "delete them; each place is one".into(),
        ..Departure::default()
    })
}

#[cfg(test)]
mod tests {
    use super::super::sound::tests::{block, facts};
    use super::*;
    use mesh::shapes::{cuboid, moved};

    #[test]
    fn a_loose_speck_warns_and_one_that_touches_or_a_knob_does_not() {
        let speck = |side: f32, x: f32| {
            [block(), moved(&cuboid([0.0; 3], [side; 3]), [x, 5.0, 5.0])].concat()
        };
        let got = departures(&facts(&speck(0.3, 30.0), &[])).expect("a speck");
        assert_eq!(got.measured, Some(1.0));
        assert!(departures(&facts(&speck(0.3, 19.9), &[[0, 1]])).is_none());
        assert!(departures(&facts(&speck(5.0, 30.0), &[])).is_none());
    }

    #[test]
    fn a_tiny_part_is_not_its_own_debris() {
        assert!(departures(&facts(&cuboid([0.0; 3], [0.3; 3]), &[])).is_none());
    }
}
