//! `mesh.sliver`: facets far thinner than anything that prints.

use findings::{Level, Rule, Worse};
use measure::soundness::Soundness;

use super::sound;
use crate::words::{count, mm};
use crate::{Departure, Entry, Judge, PartCase};

/// The rule.
pub static ENTRY: Entry = Entry {
    rule: Rule {
        id: "mesh.sliver",
        title: "slivers",
        level: Level::Note,
        worse: Worse::Lower,
        measures: "Facets with an area whose smallest height (twice the area over the longest side) is under a \
                   limit. The value is the least height.",
        why: "They are thinner than anything that prints and do no harm to it; their normals are doubtful, so \
                   shading and later edits may suffer.",
        fix: "Export with a coarser angle, or let the modeller remesh the face.",
        source: "common practice, no source",
        limits: &["soundness.toml sliver-height"],
        aliases: &[],
    },
    judge: Judge::Part(judge),
};

fn judge(case: &PartCase) -> Vec<Departure> {
    case.facts.soundness.iter().flat_map(departures).collect()
}

fn departures(facts: &Soundness) -> Option<Departure> {
    let slivers = &facts.slivers;
    let limit = limits::soundness_limits().sliver_height.value;
    let least = facts.least_sliver_mm?;
    let n = count(slivers.count as u64, "sliver", "slivers");
    Some(Departure {
        measured: Some(least),
        limit: Some(limit),
        unit: "mm",
        reading: format!(
            "{n}, the thinnest {} high; under {} is one",
            mm(least),
            mm(limit)
        ),
        places: sound::spots(slivers),
        places_total: slivers.count,
        message: format!("has {n}; they do no harm to the print"),
        fix: "nothing is needed to print it; a coarser export or a remesh removes them".into(),
        ..Departure::default()
    })
}

#[cfg(test)]
mod tests {
    use super::super::sound::tests::{block, facts};
    use super::*;

    #[test]
    fn a_facet_of_half_a_micrometre_is_a_sliver() {
        let mut b = block();
        b.push([[0.0, 0.0, 30.0], [20.0, 0.0, 30.0], [10.0, 0.0005, 30.0]]);
        let got = departures(&facts(&b, &[])).expect("a sliver");
        assert!((got.measured.unwrap_or(0.0) - 0.0005).abs() < 1e-9);
        assert!(departures(&facts(&block(), &[])).is_none());
    }
}
