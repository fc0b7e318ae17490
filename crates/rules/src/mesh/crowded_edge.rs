//! `mesh.crowded-edge`: more than two facets meet along an edge.

use findings::{Level, Rule, Worse};
use measure::soundness::Soundness;

use super::sound;
use crate::words::count;
use crate::{Departure, Entry, Judge, PartCase};

/// The rule.
pub static ENTRY: Entry = Entry {
    rule: Rule {
        id: "mesh.crowded-edge",
        title: "an edge where more than two facets meet",
        level: Level::Note,
        worse: Worse::Higher,
        measures: "Edges with more than two facets after the exact weld. The facets are sorted by angle about the \
                   edge and paired so that each pair bounds one wedge of material; what cannot be paired is a rim \
                   and counts as an opening.",
        why: "Sheets of different shells that meet along an edge come apart into closed outlines in every layer, so \
              it prints as drawn. The joint itself has no width: where only an edge holds two pieces, they part.",
        fix: "Overlap or unite the bodies, so that no two of them share just an edge.",
        source: "3MF core specification 1.4, 4.1 and 4.1.3",
        limits: &[],
        aliases: &[],
    },
    judge: Judge::Part(judge),
};

fn judge(case: &PartCase) -> Vec<Departure> {
    case.facts.soundness.iter().flat_map(departures).collect()
}

fn departures(facts: &Soundness) -> Option<Departure> {
    // Facets stored twice crowd the edges they share with their copies: that has a rule of its own.
    let edges = &facts.crowded;
    if edges.count == 0 {
        return None;
    }
    Some(Departure {
        measured: Some(edges.count as f64),
        limit: Some(0.0),
        unit: "edges",
        reading: format!(
            "{} with more than two facets",
            count(edges.count as u64, "edge", "edges")
        ),
        places: sound::spots(edges),
        places_total: edges.count,
        message: "has edges where more than two facets meet".into(),
        fix: "overlap the bodies that meet there by a bead, or unite them".into(),
        ..Departure::default()
    })
}

#[cfg(test)]
mod tests {
    use super::super::sound::tests::{block, facts};
    use super::*;
    use mesh::shapes::moved;

    #[test]
    fn boxes_along_an_edge_are_noted_and_boxes_apart_are_not() {
        let two = |d| [block(), moved(&block(), d)].concat();
        let got = departures(&facts(&two([20.0, 20.0, 0.0]), &[])).expect("one edge");
        assert_eq!(got.measured, Some(1.0));
        assert!(departures(&facts(&two([22.0, 22.0, 0.0]), &[])).is_none());
    }

    #[test]
    fn a_facet_stored_twice_is_not_said_twice() {
        let mut b = block();
        b.push(b[3]);
        assert!(departures(&facts(&b, &[])).is_none());
    }
}
