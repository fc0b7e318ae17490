//! Written permissions to release with a finding: those that no longer do anything.

pub mod ended;
pub mod ends_soon;
pub mod stale;

use findings::{Rule, Worse};
use kit::{Date, Kit, Revision, Waiver};

/// Rules that nobody can permit a release with: there is nothing to print, or nothing was measured.
const NEVER: [&str; 4] = [
    "internal.fault",
    "mesh.empty",
    "mesh.missing",
    "mesh.unreadable",
];

/// Whether a finding of a rule can be waived at all.
pub fn can_be(rule: &Rule) -> bool {
    !NEVER.contains(&rule.id)
}

/// A waiver as messages name it: `the waiver of wall.thin on gallery`.
fn named(waiver: &Waiver) -> String {
    match &waiver.part {
        Some(part) => format!("the waiver of {} on {part}", waiver.rule),
        None => format!("the waiver of {}", waiver.rule),
    }
}

/// Where a waiver stands.
fn stands(kit: &Kit, waiver: &Waiver) -> String {
    format!("{} line {}", kit.file, waiver.line)
}

/// How a waiver stands at a kit's revision and on a day, in words: holds, ends soon, has ended.
pub fn state(waiver: &Waiver, revision: &Revision, day: Date) -> String {
    if waiver.has_ended(revision, day) {
        "has ended".to_string()
    } else {
        match ends_soon::when(waiver, revision, day) {
            Some(when) => format!("ends {when}"),
            None => "holds".to_string(),
        }
    }
}

/// The floor of a new waiver: the worst of some measured values, rounded so that it still covers it; `None` where
/// the rule measures no number.
pub fn floor(rule: &Rule, measured: Vec<f64>) -> Option<f64> {
    let unit = (0..limits::signoff().decimals.value as u32).fold(1.0, |unit, _| unit * 10.0);
    let measured = measured.into_iter();
    match rule.worse {
        Worse::Lower => Some((measured.reduce(f64::min)? * unit).floor() / unit),
        Worse::Higher => Some((measured.reduce(f64::max)? * unit).ceil() / unit),
        Worse::Unmeasured => None,
    }
}
