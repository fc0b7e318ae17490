//! `mesh.sealed-cavity`: a cavity without a way out.

use findings::{Level, Rule, Worse};
use measure::soundness::Soundness;

use super::sound;
use crate::words::count;
use crate::{Departure, Entry, Judge, PartCase};

/// The rule.
pub static ENTRY: Entry = Entry {
    rule: Rule {
        id: "mesh.sealed-cavity",
        title: "a cavity without a way out",
        level: Level::Note,
        worse: Worse::Higher,
        measures: "Inward shells within material, by winding numbers. The value is their volume together.",
        why: "Resin or powder stays in it for ever, and a vat print may burst or leak later. A filament prints \
                   it hollow: its roof is bridged or supported, and supports stay in.",
        fix: "Open the cavity with a drain hole where it is printed in a vat; fill it if nobody needs it.",
        source: "common practice, no source",
        limits: &[],
        aliases: &[],
    },
    judge: Judge::Part(judge),
};

fn judge(case: &PartCase) -> Vec<Departure> {
    case.facts.soundness.iter().flat_map(departures).collect()
}

fn departures(facts: &Soundness) -> Option<Departure> {
    let shells = &facts.cavities;
    if shells.count == 0 {
        return None;
    }
    let n = count(shells.count as u64, "cavity", "cavities");
    Some(Departure {
        measured: Some(shells.volume_mm3),
        limit: Some(0.0),
        unit: "mm3",
        reading: format!("{n} of {:.2} mm3 without a way out", shells.volume_mm3),
        places: sound::shells(shells),
        places_total: shells.count,
        message: format!("encloses {n}; what is in there stays in there"),
        fix: "add a drain hole for a vat, or fill the space if nobody needs it".into(),
        ..Departure::default()
    })
}

#[cfg(test)]
mod tests {
    use super::super::sound::tests::{block, facts};
    use super::*;
    use mesh::shapes::{cuboid, reversed};

    #[test]
    fn a_reversed_box_within_a_block_is_a_cavity() {
        let b = [block(), reversed(&cuboid([5.0; 3], [15.0; 3]))].concat();
        assert_eq!(
            departures(&facts(&b, &[])).expect("a cavity").measured,
            Some(1000.0)
        );
        assert!(departures(&facts(&block(), &[])).is_none());
    }
}
