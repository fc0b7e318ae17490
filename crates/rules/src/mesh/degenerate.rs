//! `mesh.degenerate`: facets without area.

use findings::{Level, Rule, Worse};
use measure::soundness::Soundness;

use super::sound;
use crate::words::count;
use crate::{Departure, Entry, Judge, PartCase};

/// The rule.
pub static ENTRY: Entry = Entry {
    rule: Rule {
        id: "mesh.degenerate",
        title: "facets without area",
        level: Level::Note,
        worse: Worse::Higher,
        measures: "Two kinds: facets that name one vertex twice after the weld, and facets with three vertices on \
                   one line.",
        why: "They bound nothing and print nothing. The first kind is left out; the second holds two sides of \
                   a seam together and is kept. Some programs take a mesh with them for open.",
        fix: "Let the modeller merge coincident points, or remove facets of zero area, before exporting.",
        source: "3MF core specification 1.4, 4.1 (area should not be zero) and 4.1.4.1 (three distinct vertices)",
        limits: &[],
        aliases: &[],
    },
    judge: Judge::Part(judge),
};

fn judge(case: &PartCase) -> Vec<Departure> {
    case.facts.soundness.iter().flat_map(departures).collect()
}

fn departures(facts: &Soundness) -> Option<Departure> {
    let (collapsed, flat) = (&facts.collapsed, &facts.without_area);
    let all = collapsed.count + flat.count;
    if all == 0 {
        return None;
    }
    let n = count(all as u64, "facet", "facets");
    let places: Vec<_> = sound::spots(collapsed)
        .into_iter()
        .chain(sound::spots(flat))
        .collect();
    let most = limits::soundness_limits().most_places.value as usize;
    Some(Departure {
        measured: Some(all as f64),
        limit: Some(0.0),
        unit: "facets",
        reading: format!(
            "{n}: {} with a vertex twice, {} on one line",
            collapsed.count, flat.count
        ),
        places: places.into_iter().take(most).collect(),
        places_total: all,
        message: format!("has {n} without area; they print nothing"),
        fix: "nothing is needed to print it; merge coincident points before exporting".into(),
        ..Departure::default()
    })
}

#[cfg(test)]
mod tests {
    use super::super::sound::tests::{block, facts};
    use super::*;

    #[test]
    fn both_kinds_are_noted_apart() {
        let mut b = block();
        b.push([b[0][0], b[0][0], b[0][1]]);
        b.push([[0.0, 0.0, 30.0], [1.0, 0.0, 30.0], [2.0, 0.0, 30.0]]);
        let got = departures(&facts(&b, &[])).expect("two facets");
        assert_eq!(
            got.reading,
            "2 facets: 1 with a vertex twice, 1 on one line"
        );
        assert!(departures(&facts(&block(), &[])).is_none());
    }
}
