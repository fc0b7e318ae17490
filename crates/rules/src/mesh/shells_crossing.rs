//! `mesh.shells-crossing`: shells that pass through each other and unite.

use findings::{Level, Rule, Worse};
use measure::CrossingFacts;

use super::ambiguous;
use super::crossed::places;
use crate::words::count;
use crate::{Departure, Entry, Judge, PartCase};

/// The rule.
pub static ENTRY: Entry = Entry {
    rule: Rule {
        id: "mesh.shells-crossing",
        title: "shells that overlap",
        level: Level::Note,
        worse: Worse::Higher,
        measures: "Pairs of shells with facets that cross, by exact predicates, where winding numbers say that \
                   material lies on material. The value is the number of pairs of shells.",
        why: "Several bodies pushed into one another print as one: the overlap is solid. Volume and mass count it \
              twice, and readers that go by even and odd leave it empty.",
        fix: "Nothing is needed to print it; a union in the modeller makes one plain surface of it.",
        source: "3MF core specification 1.4, 4.1.1, the positive fill rule",
        limits: &[],
        aliases: &[],
    },
    judge: Judge::Part(judge),
};

fn judge(case: &PartCase) -> Vec<Departure> {
    let found = case.facts.crossings.iter().flat_map(departures);
    found
        .map(|d| Departure {
            reading: d.reading + &ambiguous::left_empty(case.facts),
            ..d
        })
        .collect()
}

fn departures(facts: &CrossingFacts) -> Option<Departure> {
    // Where all that was looked at is inside out, `mesh.self-crossing` has said so.
    if facts.between.is_empty() {
        return None;
    }
    let shells = count(
        facts.shells_crossing as u64,
        "pair of shells overlaps",
        "pairs of shells overlap",
    );
    Some(Departure {
        measured: Some(facts.shells_crossing as f64),
        limit: Some(0.0),
        unit: "pairs of shells",
        reading: format!(
            "{shells} ({})",
            count(
                facts.pairs_between,
                "crossing of facets",
                "crossings of facets"
            )
        ),
        places: places(&facts.between, |place| place.length_mm),
        places_total: facts.pairs_between as usize,
        message: format!("{shells}; they print as one"),
        fix: "nothing is needed to print it; a union in the modeller makes one plain surface"
            .into(),
        ..Departure::default()
    })
}

#[cfg(test)]
mod tests {
    use super::super::crossed::tests::facts;
    use super::*;
    use mesh::shapes::{cuboid, moved};

    #[test]
    fn blocks_pushed_into_each_other_are_noted_and_blocks_side_by_side_are_not() {
        let block = cuboid([0.0; 3], [20.0; 3]);
        let beside = |by: [f32; 3]| [block.clone(), moved(&block, by)].concat();
        let got = departures(&facts(&beside([10.0, 7.0, 5.0]))).expect("an overlap");
        assert_eq!(got.measured, Some(1.0));
        assert!(departures(&facts(&beside([20.0, 0.0, 0.0]))).is_none());
        assert!(departures(&facts(&beside([25.0, 0.0, 0.0]))).is_none());
    }
}
