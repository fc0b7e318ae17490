//! `mesh.self-crossing`: a surface that crosses itself so that space is turned inside out.

use findings::{Level, Rule, Worse};
use measure::{CrossingFacts, CrossingPlace};

use super::ambiguous;
use super::crossed::places;
use crate::words::{count, mm};
use crate::{Departure, Entry, Judge, PartCase};

/// The rule.
pub static ENTRY: Entry = Entry {
    rule: Rule {
        id: "mesh.self-crossing",
        title: "crosses itself and turns inside out",
        level: Level::Warn,
        worse: Worse::Higher,
        measures: "Every pair of facets is tested by exact predicates; beside each crossing the winding number says \
                   how often material lies there. The value is the depth of the space where the number is negative.",
        why: "Where a wall passes through the opposite one, or a hollow sticks out of its body, the space beyond is \
              inside out: one reader fills it, another leaves it empty, and neither is what was drawn.",
        fix: "Look at the place: a pit deeper than its body or an offset larger than a wall is the usual cause. \
              Redo the cut as a proper subtraction.",
        source: "3MF core specification 1.4, 4.1.1, the positive fill rule; Jacobson, Kavan, Sorkine 2013",
        limits: &["crossings.toml inside-out-depth"],
        aliases: &[],
    },
    judge: Judge::Part(judge),
};

fn judge(case: &PartCase) -> Vec<Departure> {
    // Where a layer shows it, `mesh.ambiguous` says so.
    if ambiguous::inside_out(case.facts).is_some() {
        return Vec::new();
    }
    case.facts.crossings.iter().flat_map(departures).collect()
}

fn departures(facts: &CrossingFacts) -> Option<Departure> {
    let limit = limits::crossing_limits().inside_out_depth.value;
    let deep: Vec<CrossingPlace> = facts
        .inside_out
        .iter()
        .filter(|place| place.depth_mm > limit)
        .copied()
        .collect();
    let worst = deep.first()?.depth_mm;
    let n = count(deep.len() as u64, "place", "places");
    Some(Departure {
        measured: Some(worst),
        limit: Some(limit),
        unit: "mm",
        reading: format!("{n} looked at, the deepest {} inside out", mm(worst)),
        places: places(&deep, |place| place.depth_mm),
        places_total: deep.len(),
        message: format!(
            "its surface crosses itself; beyond the crossing space is inside out, up to {} deep",
            mm(worst)
        ),
        fix: "move the two surfaces apart, or redo the cut as a proper subtraction".into(),
        ..Departure::default()
    })
}

#[cfg(test)]
mod tests {
    use super::super::crossed::tests::{facts, hollow_sticking_out};
    use super::*;
    use mesh::shapes::{cuboid, moved};

    /// Analytic: the hollow sticks out by 2 mm; 45 degrees out of the block's side that is 2 sqrt 2 deep.
    #[test]
    fn a_hollow_that_sticks_out_warns_and_one_within_or_an_overlap_does_not() {
        let got = departures(&facts(&hollow_sticking_out(2.0))).expect("inside out");
        assert!((got.measured.unwrap_or(0.0) - 8.0f64.sqrt()).abs() < 0.01);
        assert!(departures(&facts(&hollow_sticking_out(-3.0))).is_none());
        assert!(departures(&facts(&hollow_sticking_out(0.02))).is_none());
        let block = cuboid([0.0; 3], [20.0; 3]);
        let overlap = [block.clone(), moved(&block, [10.0, 7.0, 5.0])].concat();
        assert!(departures(&facts(&overlap)).is_none());
    }
}
