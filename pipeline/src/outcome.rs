//! The one table of exit codes.

/// How a run ended. Its number is the exit code; nothing else decides one.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Outcome {
    /// READY, or the verb did what it was asked for.
    Ready,
    /// Finished, and BLOCKED: a missing or undecodable mesh is the kit's fault and blocks.
    Blocked,
    /// The request is wrong: flags, the text of a manifest, a waiver.
    BadRequest,
    /// Could not finish: disk, permission, memory, internal fault. What was finished is still written.
    Unfinished,
    /// Nothing was checked.
    Nothing,
    /// A partial run where a whole one is needed.
    Partial,
    /// Stopped by an interrupt (SIGINT); what was finished is written and marked incomplete.
    Interrupted,
    /// Stopped by a request to end (SIGTERM); what was finished is written and marked incomplete.
    Terminated,
}

impl Outcome {
    /// Every outcome, in the order of the table.
    pub const ALL: [Outcome; 8] = [
        Outcome::Ready,
        Outcome::Blocked,
        Outcome::BadRequest,
        Outcome::Unfinished,
        Outcome::Nothing,
        Outcome::Partial,
        Outcome::Interrupted,
        Outcome::Terminated,
    ];

    /// The exit code.
    pub fn code(self) -> u8 {
        match self {
            Outcome::Ready => 0,
            Outcome::Blocked => 1,
            Outcome::BadRequest => 2,
            Outcome::Unfinished => 3,
            Outcome::Nothing => 4,
            Outcome::Partial => 5,
            Outcome::Interrupted => 130,
            Outcome::Terminated => 143,
        }
    }

    /// What the code means, as the help and the README print it.
    pub fn meaning(self) -> &'static str {
        match self {
            Outcome::Ready => "READY",
            Outcome::Blocked => {
                "finished, BLOCKED (a missing or undecodable mesh is a blocking finding)"
            }
            Outcome::BadRequest => "the request is wrong: flags, the text of a manifest, a waiver",
            Outcome::Unfinished => {
                "could not finish: disk, permission, memory, internal fault; other results are still written"
            }
            Outcome::Nothing => "nothing was checked",
            Outcome::Partial => "a partial run where a whole one is needed",
            Outcome::Interrupted => {
                "interrupted; what was finished is written and marked incomplete"
            }
            Outcome::Terminated => {
                "told to end; what was finished is written and marked incomplete"
            }
        }
    }

    /// Where several kits were checked, the worst outcome counts: a stop before a failure to finish, that
    /// before a wrong request, a partial run, nothing checked, a block.
    fn weight(self) -> u8 {
        match self {
            Outcome::Ready => 0,
            Outcome::Blocked => 1,
            Outcome::Nothing => 2,
            Outcome::Partial => 3,
            Outcome::BadRequest => 4,
            Outcome::Unfinished => 5,
            Outcome::Interrupted => 6,
            Outcome::Terminated => 7,
        }
    }

    /// The worse of two outcomes.
    #[must_use]
    pub fn worse(self, other: Outcome) -> Outcome {
        if other.weight() > self.weight() {
            other
        } else {
            self
        }
    }

    /// The table as lines of text, for `--help`.
    pub fn table() -> String {
        Outcome::ALL
            .iter()
            .map(|o| format!("  {:>3}  {}\n", o.code(), o.meaning()))
            .collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn not_finishing_wins_over_a_block() {
        assert_eq!(
            Outcome::Blocked.worse(Outcome::Unfinished),
            Outcome::Unfinished
        );
        assert_eq!(Outcome::Ready.worse(Outcome::Ready), Outcome::Ready);
        assert_eq!(
            Outcome::Unfinished.worse(Outcome::Blocked),
            Outcome::Unfinished
        );
    }

    #[test]
    fn codes_are_unique() {
        let mut codes: Vec<u8> = Outcome::ALL.iter().map(|o| o.code()).collect();
        codes.dedup();
        assert_eq!(codes, [0, 1, 2, 3, 4, 5, 130, 143]);
    }
}
