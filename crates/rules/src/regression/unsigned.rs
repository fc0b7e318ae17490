//! `regression.unsigned`: a part that the sign-off does not hold.

use findings::{Level, Rule, Worse};

use crate::{Departure, Entry, Judge, PartCase, Purpose};

/// The rule.
pub static ENTRY: Entry = Entry {
    rule: Rule {
        id: "regression.unsigned",
        title: "a part that was never signed off",
        level: Level::Note,
        worse: Worse::Unmeasured,
        measures: "Whether signoff.toml, where a kit has one, holds the part. A release warns of it.",
        why: "Nothing tells whether a later revision of the part is worse.",
        fix: "Look at its values and take them as signed off with `kitproof accept`.",
        source: "common practice, no source",
        limits: &[],
        aliases: &[],
    },
    judge: Judge::Part(judge),
};

fn judge(case: &PartCase) -> Vec<Departure> {
    let Some(signed) = case.case.signed else {
        return Vec::new();
    };
    // A part without a mesh has its own findings first.
    if signed.accepted.parts.contains_key(&case.part.id) || case.facts.loaded().is_none() {
        return Vec::new();
    }
    vec![Departure {
        level: (case.case.purpose == Purpose::Release).then_some(Level::Warn),
        reading: format!("signoff.toml of revision {}", signed.accepted.revision),
        message: "the sign-off does not hold this part: a later regression would not be seen"
            .into(),
        fix: format!("run `kitproof accept --part {}`", case.part.id),
        ..Departure::default()
    }]
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::trial::{Trial, found};

    #[test]
    fn a_part_without_a_sign_off_is_noted_and_warns_in_a_release() {
        let levels = |purpose| {
            let trial = Trial {
                purpose,
                ..Trial::default()
            };
            let got = found(ENTRY.rule.id, &trial);
            assert_eq!(got.len(), 1);
            assert_eq!(got[0].parts, ["right"]);
            got[0].level
        };
        assert_eq!(levels(Purpose::Check), None);
        assert_eq!(levels(Purpose::Release), Some(Level::Warn));
    }
}
