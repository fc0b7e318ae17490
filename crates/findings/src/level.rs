//! How much a finding weighs.

use serde::{Deserialize, Serialize};

/// The weight of a rule or finding, lightest first.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Level {
    /// Not judged.
    Off,
    /// Advice.
    Note,
    /// A risk.
    Warn,
    /// It cannot print or fit as promised.
    Block,
}

impl Level {
    /// Every level, lightest first.
    pub const ALL: [Level; 4] = [Level::Off, Level::Note, Level::Warn, Level::Block];

    /// The word used in manifests, flags and reports.
    pub fn word(self) -> &'static str {
        match self {
            Level::Off => "off",
            Level::Note => "note",
            Level::Warn => "warn",
            Level::Block => "block",
        }
    }

    /// The level a word means; `None` for any other word.
    pub fn of_word(word: &str) -> Option<Level> {
        Level::ALL.into_iter().find(|level| level.word() == word)
    }
}
