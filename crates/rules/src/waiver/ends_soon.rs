//! `waiver.ends-soon`: a waiver that the next revision, or the next weeks, will end.

use findings::{Level, Rule, Worse};
use kit::{Date, End, Revision, Waiver};

use super::{named, stands};
use crate::{Case, Departure, Entry, Judge};

/// The rule.
pub static ENTRY: Entry = Entry {
    rule: Rule {
        id: "waiver.ends-soon",
        title: "a waiver that ends soon",
        level: Level::Note,
        worse: Worse::Unmeasured,
        measures: "Whether a waiver ends with whatever revision comes next, or by date within the days that the \
                   limits call soon.",
        why: "What it covers will count again, and mending a part takes time.",
        fix: "Mend what it covers before it ends, or decide anew.",
        source: "common practice, no source",
        limits: &["kit.toml ends-soon"],
        aliases: &[],
    },
    judge: Judge::Kit(judge),
};

fn judge(case: &Case) -> Vec<Departure> {
    let kit = case.kit;
    let mut found = Vec::new();
    for waiver in &kit.waivers {
        if waiver.has_ended(&kit.revision, case.as_of) {
            continue;
        }
        let Some(words) = when(waiver, &kit.revision, case.as_of) else {
            continue;
        };
        found.push(Departure {
            reading: format!("{}, {}", crate::until(waiver), stands(kit, waiver)),
            message: format!("{} ends {words}", named(waiver)),
            fix: "mend what it covers before then, or decide anew".into(),
            ..Departure::default()
        });
    }
    found
}

/// When a waiver ends, in words, where that is soon.
pub(super) fn when(waiver: &Waiver, now: &Revision, today: Date) -> Option<String> {
    match &waiver.until {
        End::Revision(end) => (*end <= next(now)).then(|| "with the next revision".to_string()),
        End::Date(end) => {
            let days = end.day_number() - today.day_number();
            let soon = days as f64 <= limits::kit().ends_soon.value;
            soon.then(|| match days {
                0 => "today".to_string(),
                1 => "tomorrow".to_string(),
                _ => format!("in {days} days"),
            })
        }
    }
}

/// The least revision that can come after one.
fn next(now: &Revision) -> Revision {
    let mut next = now.clone();
    if next.pre.is_empty() {
        next.patch = next.patch.saturating_add(1);
    } else {
        next.pre.clear();
    }
    next
}

#[cfg(test)]
mod tests {
    use super::*;

    fn waiver(until: End) -> Waiver {
        Waiver {
            rule: "wall.thin".into(),
            part: None,
            not_worse_than: None,
            places: None,
            reason: "printed on three machines".into(),
            until,
            tell_builders: false,
            line: 1,
        }
    }

    #[test]
    fn soon_is_whatever_comes_next() {
        let revision = |text| Revision::parse(text).expect(text);
        let today = Date::parse("2026-11-25").expect("a day");
        for (now, end, soon) in [
            ("1.0.0", "1.0.1", true),
            ("1.0.0", "1.1.0", false),
            ("1.0.0", "2.0.0", false),
            ("2.0.0-rc.1", "2.0.0", true),
            ("1.4.0", "1.4.1-rc.1", true),
        ] {
            let found = when(&waiver(End::Revision(revision(end))), &revision(now), today);
            assert_eq!(found.is_some(), soon, "{now} to {end}");
        }
        for (end, words) in [
            ("2026-11-25", Some("today")),
            ("2026-11-26", Some("tomorrow")),
            ("2026-12-25", Some("in 30 days")),
            ("2026-12-26", None),
        ] {
            let end = Date::parse(end).expect(end);
            let found = when(&waiver(End::Date(end)), &revision("1.0.0"), today);
            assert_eq!(found.as_deref(), words, "{end}");
        }
    }
}
