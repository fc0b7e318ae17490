//! `mesh.pinched-vertex`: sheets that touch at a vertex.

use findings::{Level, Rule, Worse};
use measure::soundness::Soundness;

use super::sound;
use crate::words::count;
use crate::{Departure, Entry, Judge, PartCase};

/// The rule.
pub static ENTRY: Entry = Entry {
    rule: Rule {
        id: "mesh.pinched-vertex",
        title: "sheets that touch at a single vertex",
        level: Level::Note,
        worse: Worse::Higher,
        measures: "The walk round every vertex: on a sound surface the facets about it are one fan. Vertices with \
                   more fans, on no crowded edge, are counted.",
        why: "No edge shows it, so most checks pass it. It prints as drawn; the joint is a point and holds \
                   nothing, so two bodies that meet only there come apart.",
        fix: "Overlap or unite the bodies, or move one of them away.",
        source: "3MF core specification 1.4, 4.1, counts edges only; the walk is the definition of a manifold",
        limits: &[],
        aliases: &[],
    },
    judge: Judge::Part(judge),
};

fn judge(case: &PartCase) -> Vec<Departure> {
    case.facts.soundness.iter().flat_map(departures).collect()
}

fn departures(facts: &Soundness) -> Option<Departure> {
    let vertices = &facts.pinched;
    if vertices.count == 0 {
        return None;
    }
    let n = count(vertices.count as u64, "vertex", "vertices");
    Some(Departure {
        measured: Some(vertices.count as f64),
        limit: Some(0.0),
        unit: "vertices",
        reading: format!("{n} with more than one fan of facets"),
        places: sound::spots(vertices),
        places_total: vertices.count,
        message: "has sheets that touch at a point only".into(),
        fix: "overlap the bodies that meet there, or keep them apart".into(),
        ..Departure::default()
    })
}

#[cfg(test)]
mod tests {
    use super::super::sound::tests::{block, facts};
    use super::*;
    use mesh::shapes::moved;

    #[test]
    fn boxes_at_a_vertex_are_noted_and_boxes_apart_or_along_an_edge_are_not() {
        let two = |d| [block(), moved(&block(), d)].concat();
        let got = departures(&facts(&two([20.0; 3]), &[])).expect("one vertex");
        assert_eq!(got.measured, Some(1.0));
        assert_eq!(got.places[0].at, [20.0; 3]);
        assert!(departures(&facts(&two([22.0; 3]), &[])).is_none());
        assert!(departures(&facts(&two([20.0, 20.0, 0.0]), &[])).is_none());
    }
}
