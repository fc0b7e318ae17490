//! `mesh.shells-touching`: shells that lie against each other without overlapping.

use findings::{Level, Rule, Worse};
use measure::CrossingFacts;

use super::crossed::places;
use crate::words::count;
use crate::{Departure, Entry, Judge, PartCase};

/// The rule.
pub static ENTRY: Entry = Entry {
    rule: Rule {
        id: "mesh.shells-touching",
        title: "shells that touch",
        level: Level::Note,
        worse: Worse::Higher,
        measures: "Pairs of shells with facets that meet in a point, along an edge or face to face, and with none \
                   that cross, by exact predicates. The value is the number of pairs of shells.",
        why: "Faces that lie exactly on each other usually fuse in print, but nothing says whether they are meant \
              to; contours that share a line may be traced twice.",
        fix: "Push the bodies a little into each other if they belong together, or draw a gap if they do not.",
        source: "common practice, no source",
        limits: &[],
        aliases: &[],
    },
    judge: Judge::Part(judge),
};

fn judge(case: &PartCase) -> Vec<Departure> {
    case.facts.crossings.iter().flat_map(departures).collect()
}

fn departures(facts: &CrossingFacts) -> Option<Departure> {
    if facts.shells_touching == 0 {
        return None;
    }
    let shells = count(
        facts.shells_touching as u64,
        "pair of shells touches",
        "pairs of shells touch",
    );
    Some(Departure {
        measured: Some(facts.shells_touching as f64),
        limit: Some(0.0),
        unit: "pairs of shells",
        reading: shells.clone(),
        places: places(&facts.touches, |place| place.length_mm),
        places_total: facts.touching_between as usize,
        message: format!("{shells} without overlapping; they will probably fuse"),
        fix: "push the bodies into each other if they belong together, or draw a gap".into(),
        ..Departure::default()
    })
}

#[cfg(test)]
mod tests {
    use super::super::crossed::tests::facts;
    use super::*;
    use mesh::shapes::{cuboid, moved};

    #[test]
    fn blocks_face_to_face_are_noted_and_blocks_apart_or_overlapping_are_not() {
        let block = cuboid([0.0; 3], [20.0; 3]);
        let beside = |by: [f32; 3]| [block.clone(), moved(&block, by)].concat();
        let got = departures(&facts(&beside([20.0, 5.0, 3.0]))).expect("a contact");
        assert_eq!(got.measured, Some(1.0));
        assert!(departures(&facts(&beside([20.5, 5.0, 3.0]))).is_none());
        assert!(departures(&facts(&beside([19.5, 5.0, 3.0]))).is_none());
    }
}
