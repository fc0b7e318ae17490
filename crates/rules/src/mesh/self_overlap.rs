//! `mesh.self-overlap`: one shell that passes through itself and prints as drawn.

use findings::{Level, Rule, Worse};
use measure::CrossingFacts;

use super::ambiguous;
use super::crossed::places;
use crate::words::{count, mm};
use crate::{Departure, Entry, Judge, PartCase};

/// The rule.
pub static ENTRY: Entry = Entry {
    rule: Rule {
        id: "mesh.self-overlap",
        title: "a shell that overlaps itself",
        level: Level::Note,
        worse: Worse::Higher,
        measures: "Pairs of facets of one shell that cross, by exact predicates, where winding numbers say that \
                   material lies on material. The value is the longest stretch that two facets have in common.",
        why: "Readers that go by winding print it as drawn, so it does no harm there; readers that go by even \
              and odd leave the overlap empty.",
        fix: "Nothing is needed to print it; a union in the modeller makes one plain surface of it.",
        source: "3MF core specification 1.4, 4.1.1, the positive fill rule",
        limits: &["crossings.toml overlap-length"],
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
    let limit = limits::crossing_limits().overlap_length.value;
    let longest = facts.overlaps.first()?.length_mm;
    if longest <= limit {
        return None;
    }
    let n = count(
        facts.pairs_within,
        "pair of facets crosses",
        "pairs of facets cross",
    );
    Some(Departure {
        measured: Some(longest),
        limit: Some(limit),
        unit: "mm",
        reading: format!("{n} within one shell, at most along {}", mm(longest)),
        places: places(&facts.overlaps, |place| place.length_mm),
        places_total: facts.pairs_within as usize,
        message: format!("{n} within one shell; the overlap is solid, as drawn"),
        fix: "nothing is needed to print it; a union in the modeller makes one plain surface"
            .into(),
        ..Departure::default()
    })
}

#[cfg(test)]
mod tests {
    use super::super::crossed::tests::{facts, hollow_sticking_out};
    use super::*;
    use mesh::shapes::{Soup, cuboid};

    /// A five-pointed star drawn in one stroke, 4 mm high: its middle is solid twice over.
    fn star() -> Soup {
        let stroke = [
            [0.0, 10.0],
            [-6.0, -8.0],
            [10.0, 3.0],
            [-10.0, 3.0],
            [6.0, -8.0],
        ];
        let at = |k: usize, z: f32| [stroke[k % 5][0], stroke[k % 5][1], z];
        (0..5)
            .flat_map(|k| {
                let [a, b] = [at(k, 0.0), at(k + 1, 0.0)];
                let [c, d] = [at(k, 4.0), at(k + 1, 4.0)];
                [
                    [a, b, d],
                    [a, d, c],
                    [[0.0, 0.0, 4.0], c, d],
                    [[0.0; 3], b, a],
                ]
            })
            .collect()
    }

    #[test]
    fn one_shell_through_itself_is_noted_and_two_shells_are_not() {
        let got = departures(&facts(&star())).expect("an overlap");
        assert!(got.measured.unwrap_or(0.0) > 1.0 && !got.places.is_empty());
        assert!(departures(&facts(&hollow_sticking_out(2.0))).is_none());
        assert!(departures(&facts(&cuboid([0.0; 3], [20.0; 3]))).is_none());
    }
}
