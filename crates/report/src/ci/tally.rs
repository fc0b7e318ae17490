//! The counts that every view for a build server gives, counted once.

use findings::Level;

use super::Run;

/// How many findings of each kind a check has.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Tally {
    /// READY or BLOCKED.
    pub verdict: &'static str,
    /// Findings that block.
    pub blocking: usize,
    /// Warnings without a waiver.
    pub warnings: usize,
    /// Notes without a waiver.
    pub notes: usize,
    /// Findings under a waiver, of any level.
    pub waived: usize,
    /// Findings that fail this run: those from `--fail-on` up, without a waiver.
    pub failing: usize,
    /// The exit code.
    pub exit: u8,
}

impl Tally {
    /// Counts a run.
    pub fn of(run: &Run) -> Tally {
        let verdict = run.checked.verdict;
        Tally {
            verdict: verdict.word(),
            blocking: verdict.count(Level::Block),
            warnings: verdict.count(Level::Warn),
            notes: verdict.count(Level::Note),
            waived: verdict
                .findings
                .iter()
                .filter(|f| f.waived.is_some())
                .count(),
            failing: verdict
                .findings
                .iter()
                .filter(|f| f.fails(run.fail_on))
                .count(),
            exit: run.exit,
        }
    }

    /// The counts as one line: `2 blocking, 0 warnings, 5 notes, 1 waived; exit code 1`.
    pub fn words(&self) -> String {
        format!(
            "{} blocking, {} {}, {} {}, {} waived; exit code {}",
            self.blocking,
            self.warnings,
            if self.warnings == 1 {
                "warning"
            } else {
                "warnings"
            },
            self.notes,
            if self.notes == 1 { "note" } else { "notes" },
            self.waived,
            self.exit
        )
    }
}
