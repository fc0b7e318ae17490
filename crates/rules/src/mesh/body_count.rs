//! `mesh.body-count`: another number of bodies than declared.

use findings::{Level, Rule, Worse};
use measure::soundness::Soundness;

use super::{debris, sound};
use crate::words::count;
use crate::{Departure, Entry, Judge, PartCase};

/// The rule.
pub static ENTRY: Entry = Entry {
    rule: Rule {
        id: "mesh.body-count",
        title: "another number of bodies than declared",
        level: Level::Warn,
        worse: Worse::Higher,
        measures: "Bodies as printed: shells that touch, cross or lie in each other are one; a body loose in a \
                   cavity is its own. Compared with the part's bodies (1 unless declared). Where specks or joints \
                   along a mere edge leave two answers, both pass.",
        why: "A piece that is not joined to the rest falls off the plate as a part of its own: a label that \
                   floats, a pin that misses its boss. Print-in-place parts are many bodies on purpose and declare \
                   it.",
        fix: "Join the bodies, or declare how many there are with bodies = N.",
        source: "common practice, no source",
        limits: &[],
        aliases: &[],
    },
    judge: Judge::Part(judge),
};

fn judge(case: &PartCase) -> Vec<Departure> {
    let declared = case.part.bodies as usize;
    case.facts
        .soundness
        .iter()
        .flat_map(|facts| departures(facts, declared))
        .collect()
}

fn departures(facts: &Soundness, declared: usize) -> Option<Departure> {
    let bodies = facts.bodies.as_ref()?;
    let all = &bodies.list;
    // Nothing closed at all is another rule's fault.
    let largest = all.first()?;
    let specks = all
        .iter()
        .filter(|b| *b != largest && debris::is_speck(b))
        .count();
    let found = all.len() - specks;
    if (found..=bodies.apart_at_edges.max(all.len())).contains(&declared) {
        return None;
    }
    let n = count(found as u64, "separate body", "separate bodies");
    Some(Departure {
        measured: Some(found as f64),
        limit: Some(declared as f64),
        unit: "bodies",
        reading: format!("{n}, {declared} declared"),
        places: all
            .iter()
            .filter(|b| !debris::is_speck(b))
            .take(limits::soundness_limits().most_places.value as usize)
            .map(sound::body)
            .collect(),
        places_total: found,
        message: format!("is {n}, not {declared}"),
        fix: if found > declared {
            format!("join them, or declare bodies = {found}")
        } else {
            format!("part what should be separate, or declare bodies = {found}")
        },
        ..Departure::default()
    })
}

#[cfg(test)]
mod tests {
    use super::super::sound::tests::{block, facts};
    use super::*;
    use mesh::shapes::{cuboid, moved};

    fn two(d: [f32; 3]) -> mesh::shapes::Soup {
        [block(), moved(&block(), d)].concat()
    }

    #[test]
    fn bodies_apart_need_a_declaration_and_bodies_that_cross_do_not() {
        let apart = facts(&two([30.0, 0.0, 0.0]), &[]);
        let got = departures(&apart, 1).expect("two bodies");
        assert_eq!((got.measured, got.limit), (Some(2.0), Some(1.0)));
        assert!(departures(&apart, 2).is_none());
        let crossing = facts(&two([10.0, 7.0, 5.0]), &[[0, 1]]);
        assert!(departures(&crossing, 1).is_none());
        assert!(departures(&crossing, 2).is_some());
    }

    #[test]
    fn a_joint_along_an_edge_passes_either_way_and_a_point_joins_nothing() {
        let edge = facts(&two([20.0, 20.0, 0.0]), &[]);
        assert!(departures(&edge, 1).is_none() && departures(&edge, 2).is_none());
        let point = facts(&two([20.0; 3]), &[]);
        assert!(departures(&point, 1).is_some() && departures(&point, 2).is_none());
    }

    #[test]
    fn specks_are_counted_by_their_own_rule() {
        let b = [
            block(),
            moved(&cuboid([0.0; 3], [0.3; 3]), [30.0, 0.0, 0.0]),
        ]
        .concat();
        let f = facts(&b, &[]);
        assert!(departures(&f, 1).is_none() && departures(&f, 2).is_none());
    }
}
