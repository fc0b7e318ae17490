//! `waiver.stale`: a waiver for which there is nothing left to permit.

use findings::{Level, Rule, Worse};
use kit::Waiver;

use super::{named, stands};
use crate::judge::{departures, level_at};
use crate::registry::find;
use crate::{Case, Departure, Entry, Judge};

/// The rule.
pub static ENTRY: Entry = Entry {
    rule: Rule {
        id: "waiver.stale",
        title: "a waiver that covers nothing",
        level: Level::Warn,
        worse: Worse::Unmeasured,
        measures: "Whether the rule of each waiver still finds anything on its part. A finding that is worse \
                   than the waiver's floor still is one; a part that was not measured says nothing.",
        why: "A permission that nobody needs any more will one day cover something that nobody looked at.",
        fix: "Take the waiver out.",
        source: "common practice, no source",
        limits: &[],
        aliases: &[],
    },
    judge: Judge::Kit(judge),
};

fn judge(case: &Case) -> Vec<Departure> {
    let kit = case.kit;
    let stale = kit.waivers.iter().filter(|waiver| {
        !waiver.has_ended(&kit.revision, case.as_of)
            && measured(case, waiver)
            && !needed(case, waiver)
    });
    stale
        .map(|waiver| Departure {
            reading: stands(kit, waiver),
            message: format!("{} covers nothing any more", named(waiver)),
            fix: "take it out of the manifest".into(),
            ..Departure::default()
        })
        .collect()
}

/// Whether what a waiver is for was measured at all: its part, or every part.
fn measured(case: &Case, waiver: &Waiver) -> bool {
    let of_waiver = |id: &str| waiver.part.as_ref().is_none_or(|part| part == id);
    case.parts
        .iter()
        .filter(|facts| of_waiver(&facts.id))
        .all(|facts| {
            let read = match &facts.loading {
                Some(Ok(_)) => true,
                // A mesh that cannot be had says as much as its own rules ask.
                Some(Err(_)) => waiver.rule.starts_with("mesh."),
                None => false,
            };
            read && facts.panicked.is_none()
        })
}

/// Whether the waiver's rule finds anything that weighs on its part.
fn needed(case: &Case, waiver: &Waiver) -> bool {
    // A rule cannot be asked about itself; nobody waives this one.
    let Some(entry) = find(&waiver.rule).filter(|entry| entry.rule.id != ENTRY.rule.id) else {
        return false;
    };
    departures(case, entry).iter().any(|departure| {
        let here = waiver
            .part
            .as_ref()
            .is_none_or(|part| departure.parts.contains(part));
        here && level_at(case, entry, departure) != Level::Off
    })
}

#[cfg(test)]
mod tests {
    use measure::Beside;

    use crate::sample::{facts, found, kit};

    const WAIVER: &str = "[[waiver]]
rule = \"mirror.differs\"
part = \"right\"
not-worse-than = 0.5
reason = \"The vent is on the right side only\"
until-revision = \"2.0.0\"
";

    fn stale(more: &str, facts: &[measure::PartFacts]) -> usize {
        let found = found("waiver.stale", &kit(more), facts, &Beside::default());
        for departure in &found {
            assert_eq!(
                departure.message,
                "the waiver of mirror.differs on right covers nothing any more"
            );
            assert_eq!(departure.reading, "kit.toml line 23");
        }
        found.len()
    }

    #[test]
    fn only_a_waiver_with_nothing_to_permit_is_stale() {
        assert_eq!(stale(WAIVER, &facts(0.3)), 0, "it covers a finding");
        assert_eq!(
            stale(WAIVER, &facts(3.0)),
            0,
            "the finding is worse than its floor, and is there"
        );
        assert_eq!(stale(WAIVER, &facts(0.0)), 1, "nothing to permit");
        assert_eq!(stale("", &facts(0.0)), 0, "no waiver");
        let off = format!("[rules]\n\"mirror.differs\" = \"off\"\n{WAIVER}");
        let found = found("waiver.stale", &kit(&off), &facts(0.3), &Beside::default());
        assert_eq!(found.len(), 1, "the rule is off");
        let ended = WAIVER.replace("2.0.0", "1.0.0");
        assert_eq!(stale(&ended, &facts(0.0)), 0, "waiver.ended says it");
    }

    #[test]
    fn a_part_that_was_not_measured_leaves_its_waiver_alone() {
        let mut unread = facts(0.0);
        unread[1].loading = None;
        assert_eq!(stale(WAIVER, &unread), 0);
        unread[1].loading = Some(Err(measure::LoadFault::Missing));
        assert_eq!(stale(WAIVER, &unread), 0);
        let mut fallen = facts(0.0);
        fallen[1].panicked = Some("index out of bounds".into());
        assert_eq!(stale(WAIVER, &fallen), 0);
    }
}
