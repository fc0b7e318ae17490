//! `regression.engine`: an unchanged part that measures differently.

use findings::{Level, Rule, Worse};

use crate::signoff::{changed, differences};
use crate::words::count;
use crate::{Departure, Entry, Judge, PartCase};

/// The rule.
pub static ENTRY: Entry = Entry {
    rule: Rule {
        id: "regression.engine",
        title: "an unchanged part that measures differently",
        level: Level::Note,
        worse: Worse::Unmeasured,
        measures: "Values of a part whose mesh and settings are those that were signed off, against signoff.toml, \
                   where they differ by the measure's resolution or more. What depends on its neighbours is left out.",
        why: "The part is the same: this version of kitproof measures it otherwise, or the file was edited by hand. \
              It is no regression of the design.",
        fix: "Look at both values, and take the new ones as signed off with `kitproof accept`.",
        source: "common practice, no source",
        limits: &[],
        aliases: &[],
    },
    judge: Judge::Part(judge),
};

fn judge(case: &PartCase) -> Vec<Departure> {
    let signed = case.case.signed;
    let Some((then, now)) = signed.and_then(|s| s.part(&case.part.id)) else {
        return Vec::new();
    };
    if changed(then, now) {
        return Vec::new();
    }
    let pairs: Vec<_> = differences(then, case.facts)
        .into_iter()
        .filter(|pair| pair.measure.alone)
        .collect();
    let Some(first) = pairs.first() else {
        return Vec::new();
    };
    let more = pairs.len() - 1;
    let measure = first.measure;
    vec![Departure {
        reading: format!(
            "{} {}, signed off {}{}",
            measure.title,
            measure.say(first.now),
            measure.say(first.then),
            if more == 0 {
                String::new()
            } else {
                format!(", and {}", count(more as u64, "more value", "more values"))
            }
        ),
        message: "mesh and settings are as signed off, and yet it measures differently: the engine's doing".into(),
        fix: format!(
            "look at both, then run `kitproof accept --part {}`",
            case.part.id
        ),
        ..Departure::default()
    }]
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::trial::{Trial, found};

    #[test]
    fn only_an_unchanged_part_blames_the_engine() {
        let engine = |now: f64, mesh_changed: bool| {
            let trial = Trial {
                now,
                mesh_changed,
                ..Trial::default()
            };
            found(ENTRY.rule.id, &trial).len()
        };
        assert_eq!(engine(80.0, false), 1, "worse");
        assert_eq!(engine(120.0, false), 1, "or better");
        assert_eq!(engine(100.0, false), 0);
        assert_eq!(engine(80.0, true), 0, "the design changed");
    }
}
