//! `wall.unmeasured`: walls that could not be measured, which is no pass.

use findings::{Level, Rule, Worse};
use measure::walls::{Unmeasured, Walls};

use super::asks;
use crate::{Departure, Entry, Judge, PartCase};

/// The rule.
pub static ENTRY: Entry = Entry {
    rule: Rule {
        id: "wall.unmeasured",
        title: "walls that could not be measured",
        level: Level::Warn,
        worse: Worse::Unmeasured,
        measures: "Whether thickness could be read on the part: its surface has an area and encloses a volume, \
                   and the part is no longer than 10 m.",
        why: "What was not measured is not proven; it never reads as a pass.",
        fix: "Mend the mesh first (its unit, its winding, its holes); walls are measured then.",
        source: "common practice, no source",
        limits: &["walls.toml measure.longest"],
        aliases: &[],
    },
    judge: Judge::Part(judge),
};

fn judge(case: &PartCase) -> Vec<Departure> {
    let Some(walls) = &case.facts.walls else {
        return Vec::new();
    };
    let Some((why, fix)) = reason(walls).or_else(|| unasked(case, walls)) else {
        return Vec::new();
    };
    vec![Departure {
        reading: format!("not measured: {why}"),
        message: format!("its walls were not measured: {why}"),
        fix: fix.into(),
        ..Departure::default()
    }]
}

/// Why nothing was measured, and what to do; `None` where it was.
pub(crate) fn reason(walls: &Walls) -> Option<(String, &'static str)> {
    Some(match walls.unmeasured? {
        Unmeasured::TooLong(long_mm) => (
            format!(
                "the part is {long_mm:.0} mm long, over {:.0} mm",
                limits::walls().longest.value
            ),
            "check the unit of the mesh",
        ),
        Unmeasured::NoSurface => (
            "no facet has an area".into(),
            "export the mesh again: every facet is a line or a point",
        ),
        Unmeasured::NoInside => (
            "the surface encloses no volume that is inside".into(),
            "turn the facets outward and close the surface",
        ),
    })
}

/// A question of the rules that nobody asked of the part.
fn unasked(case: &PartCase, walls: &Walls) -> Option<(String, &'static str)> {
    let asks = asks(case.case.kit, case.part);
    let asked = asks.walls.iter().all(|a| walls.walls(a).is_some())
        && asks.gaps.iter().all(|a| walls.gaps(a).is_some());
    (!asked).then(|| {
        (
            "another thickness was looked for than the rules need".into(),
            "report this: the gate asked the wrong question",
        )
    })
}
