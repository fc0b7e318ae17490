//! `show.joint-line`: a glued joint that runs across show faces.

use findings::{Level, Place, Rule, Worse};

use super::known;
use crate::{Departure, Entry, Judge, PartCase};

/// The rule.
pub static ENTRY: Entry = Entry {
    rule: Rule {
        id: "show.joint-line",
        title: "a glued joint that runs across show faces",
        level: Level::Note,
        worse: Worse::Higher,
        measures: "The length of the line along which two parts of a glued fit meet in the assembled kit, where both \
                   have faces on show there that are flush and look the same way. A joint in a corner, in a groove or \
                   under an edge does not count.",
        why: "The eye follows a hairline across a smooth face, and paint does not hide it.",
        fix: "Let the joint run along an edge or in a groove, or plan to fill and sand it: wet or with a mask, and by \
              the safety data sheet of the filler.",
        source: "common practice, no source",
        limits: &[
            "show.toml joint.length",
            "show.toml joint.flush",
            "show.toml joint.alike",
            "show.toml joint.beyond",
            "show.toml joint.gap",
            "show.toml joint.step",
        ],
        aliases: &[],
    },
    judge: Judge::Part(judge),
};

/// The line is told on the first of the two parts that the fit names.
fn judge(case: &PartCase) -> Vec<Departure> {
    let least = limits::show().joint_length.value;
    let Some(show) = known(case) else {
        return Vec::new();
    };
    let long = show.joints.iter().filter(|j| j.longest_mm >= least);
    long.filter_map(|joint| {
        let other = case.case.kit.parts.get(joint.other)?;
        Some(Departure {
            measured: Some(joint.length_mm),
            limit: Some(least),
            unit: "mm",
            reading: format!(
                "{:.0} mm of joint with {} on faces of both",
                joint.length_mm, other.id
            ),
            message: format!(
                "its joint with {} runs {:.0} mm across show faces",
                other.id, joint.length_mm
            ),
            fix: "let it run along an edge or in a groove, or plan to fill and sand it".to_string(),
            places: vec![Place {
                outward: Some(joint.outward),
                reach_mm: joint.reach_mm,
                note: format!("its longest stretch, {:.0} mm", joint.longest_mm),
                ..Place::at(joint.at)
            }],
            ..Departure::default()
        })
    })
    .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use measure::show::JointLine;

    fn found(longest_mm: f64) -> Vec<Departure> {
        super::super::judged(ENTRY.rule.id, |show| {
            show.joints = vec![JointLine {
                other: 1,
                at: [20.0, 0.0, 10.0],
                outward: [0.0, -1.0, 0.0],
                length_mm: 8.0 * longest_mm,
                longest_mm,
                reach_mm: 10.0,
            }];
        })
    }

    #[test]
    fn a_long_joint_names_the_other_part_and_a_short_one_is_none() {
        let got = found(40.0);
        assert_eq!(got.len(), 1);
        assert!(got[0].message.contains("joint with right runs 320 mm"));
        assert!(found(9.0).is_empty());
    }
}
