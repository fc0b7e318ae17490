//! `mesh.nested-shell`: a shell within another of the same orientation.

use findings::{Level, Rule, Worse};
use measure::soundness::Soundness;

use super::sound;
use crate::words::count;
use crate::{Departure, Entry, Judge, PartCase};

/// The rule.
pub static ENTRY: Entry = Entry {
    rule: Rule {
        id: "mesh.nested-shell",
        title: "a solid within a solid",
        level: Level::Warn,
        worse: Worse::Higher,
        measures: "Winding numbers of points on every closed shell about the others, by exact crossings: an outward \
                   shell where the shells around it already make material. The value is the volume that is counted \
                   twice.",
        why: "Readers that go by winding print it solid; readers that go by even and odd print a void where \
                   the inner body is. No count of edges shows it. A reversed inner shell is a cavity and is meant; \
                   specks are a note.",
        fix: "Delete the inner shell, or reverse it if a cavity is meant.",
        source: "3MF core specification 1.4, 4.1.1, the positive fill rule",
        limits: &[],
        aliases: &[],
    },
    judge: Judge::Part(judge),
};

fn judge(case: &PartCase) -> Vec<Departure> {
    case.facts.soundness.iter().flat_map(departures).collect()
}

fn departures(facts: &Soundness) -> Option<Departure> {
    let shells = &facts.nested;
    let largest = shells.largest.first()?;
    let speck = limits::soundness_limits().debris_volume.value;
    let n = count(shells.count as u64, "shell", "shells");
    Some(Departure {
        level: (largest.volume_mm3.abs() < speck).then_some(Level::Note),
        measured: Some(shells.volume_mm3),
        limit: Some(0.0),
        unit: "mm3",
        reading: format!(
            "{n} of {:.2} mm3 within material, counted twice",
            shells.volume_mm3
        ),
        places: sound::shells(shells),
        places_total: shells.count,
        message: format!("has {n} within its own material"),
        fix: "delete the inner shell; reverse it if a cavity is meant".into(),
        ..Departure::default()
    })
}

#[cfg(test)]
mod tests {
    use super::super::sound::tests::{block, facts};
    use super::*;
    use mesh::shapes::{cuboid, moved, reversed};

    #[test]
    fn a_box_in_a_box_warns_and_a_cavity_or_a_crossing_does_not() {
        let inner = cuboid([5.0; 3], [15.0; 3]);
        let got = departures(&facts(&[block(), inner.clone()].concat(), &[])).expect("nested");
        assert_eq!(got.measured, Some(1000.0));
        assert!(departures(&facts(&[block(), reversed(&inner)].concat(), &[])).is_none());
        let crossing = [block(), moved(&block(), [10.0, 7.0, 5.0])].concat();
        assert!(departures(&facts(&crossing, &[[0, 1]])).is_none());
    }
}
