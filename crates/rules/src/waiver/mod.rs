//! Written permissions to release with a finding: those that no longer do anything.

pub mod ended;
pub mod ends_soon;
pub mod stale;

use kit::{Kit, Waiver};

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
