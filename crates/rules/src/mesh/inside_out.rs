//! `mesh.inside-out`: normals that point inward.

use findings::{Level, Rule, Worse};
use measure::soundness::Soundness;

use super::sound;
use crate::words::count;
use crate::{Departure, Entry, Judge, PartCase};

/// The rule.
pub static ENTRY: Entry = Entry {
    rule: Rule {
        id: "mesh.inside-out",
        title: "a shell that is inside out",
        level: Level::Block,
        worse: Worse::Higher,
        measures: "Signed volume of every closed shell, and the winding number of the shells around it: negative \
                   volume with no material around is inside out. The value is the volume without sign.",
        why: "Its normals point inward, so strict readers print nothing, or a void (3MF core 1.4, 4.1). \
                   Negative shells within material are cavities and are meant; specks are a note.",
        fix: "Flip the normals of the shell and export again.",
        source: "3MF core specification 1.4, 4.1: normals point outward",
        limits: &[],
        aliases: &[],
    },
    judge: Judge::Part(judge),
};

fn judge(case: &PartCase) -> Vec<Departure> {
    case.facts.soundness.iter().flat_map(departures).collect()
}

fn departures(facts: &Soundness) -> Option<Departure> {
    let shells = &facts.inside_out;
    let largest = shells.largest.first()?;
    let speck = limits::soundness_limits().debris_volume.value;
    let n = count(shells.count as u64, "shell", "shells");
    Some(Departure {
        level: (largest.volume_mm3.abs() < speck).then_some(Level::Note),
        measured: Some(shells.volume_mm3),
        limit: Some(0.0),
        unit: "mm3",
        reading: format!("{n} of {:.2} mm3 with normals inward", shells.volume_mm3),
        places: sound::shells(shells),
        places_total: shells.count,
        message: if facts.shells == shells.count {
            "is inside out".into()
        } else {
            format!("has {n} inside out")
        },
        fix: "flip the normals and export again".into(),
        ..Departure::default()
    })
}

#[cfg(test)]
mod tests {
    use super::super::sound::tests::{block, facts};
    use super::*;
    use mesh::shapes::{cuboid, moved, reversed};

    #[test]
    fn a_reversed_box_blocks_and_a_cavity_does_not() {
        let got = departures(&facts(&reversed(&block()), &[])).expect("inside out");
        assert_eq!((got.measured, got.level), (Some(8000.0), None));
        assert_eq!(got.message, "is inside out");
        let cavity = [block(), reversed(&cuboid([5.0; 3], [15.0; 3]))].concat();
        assert!(departures(&facts(&cavity, &[])).is_none());
    }

    #[test]
    fn a_reversed_speck_is_a_note() {
        let speck = reversed(&cuboid([0.0; 3], [0.1; 3]));
        let b = [block(), moved(&speck, [30.0, 0.0, 0.0])].concat();
        assert_eq!(
            departures(&facts(&b, &[])).expect("a speck").level,
            Some(Level::Note)
        );
    }
}
