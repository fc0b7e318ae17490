//! The level of a rule, as a manifest may set it.

/// How much a finding of a rule weighs.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Level {
    /// The rule is not raised.
    Off,
    /// Advice.
    Note,
    /// A risk.
    Warn,
    /// It cannot be printed or fitted as promised.
    Block,
}

impl Level {
    /// Every level, least first.
    pub const ALL: [Level; 4] = [Level::Off, Level::Note, Level::Warn, Level::Block];

    /// The word in a manifest.
    pub fn word(self) -> &'static str {
        match self {
            Level::Off => "off",
            Level::Note => "note",
            Level::Warn => "warn",
            Level::Block => "block",
        }
    }

    /// The level a word stands for.
    pub fn of_word(word: &str) -> Option<Level> {
        Level::ALL.into_iter().find(|level| level.word() == word)
    }
}
