//! `waiver.ended`: a waiver past its end.

use findings::{Level, Rule, Worse};

use super::{named, stands};
use crate::{Case, Departure, Entry, Judge, Purpose};

/// The rule.
pub static ENTRY: Entry = Entry {
    rule: Rule {
        id: "waiver.ended",
        title: "a waiver that has ended",
        level: Level::Warn,
        worse: Worse::Unmeasured,
        measures: "Whether the kit's revision has reached a waiver's until-revision, or the day of the check \
                   lies after its until. It blocks a release.",
        why: "It no longer permits anything: what it covered counts again.",
        fix: "Mend what it covered, or take the decision anew and write a later end.",
        source: "common practice, no source",
        limits: &[],
        aliases: &[],
    },
    judge: Judge::Kit(judge),
};

fn judge(case: &Case) -> Vec<Departure> {
    let kit = case.kit;
    let ended = kit
        .waivers
        .iter()
        .filter(|waiver| waiver.has_ended(&kit.revision, case.as_of));
    ended
        .map(|waiver| Departure {
            level: (case.purpose == Purpose::Release).then_some(Level::Block),
            reading: format!("{}, {}", crate::until(waiver), stands(kit, waiver)),
            message: format!("{} has ended and permits nothing", named(waiver)),
            fix: "mend what it covered, or write a later end and its reason; else take it out"
                .into(),
            ..Departure::default()
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use measure::Beside;

    use crate::sample::{facts, found, kit};

    #[test]
    fn a_waiver_ends_with_its_revision_or_after_its_day() {
        for (end, ended) in [
            ("until-revision = \"1.0.0\"", true),
            ("until-revision = \"0.9.0\"", true),
            ("until-revision = \"1.0.1\"", false),
            ("until = 2026-11-24", true),
            ("until = 2026-11-25", false),
        ] {
            let kit = kit(&format!(
                "[[waiver]]\nrule = \"mirror.differs\"\nreason = \"The vent is on one side only\"\n{end}\n"
            ));
            let found = found("waiver.ended", &kit, &facts(0.3), &Beside::default());
            assert_eq!(found.len(), usize::from(ended), "{end}");
        }
    }
}
