//! A fault in the text of a manifest.

use std::fmt;
use std::ops::Range;

/// One fault, with its place in the text.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Fault {
    /// The manifest's file name.
    pub file: String,
    /// Line, from 1.
    pub line: usize,
    /// Column in characters, from 1.
    pub column: usize,
    /// Byte range in the text.
    pub span: Range<usize>,
    /// What is wrong.
    pub message: String,
    /// What was expected there.
    pub expected: Option<String>,
    /// What to do.
    pub help: Option<String>,
}

impl fmt::Display for Fault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(
            f,
            "{}:{}:{}: {}",
            self.file, self.line, self.column, self.message
        )?;
        if let Some(expected) = &self.expected {
            write!(f, "; expected {expected}")?;
        }
        if let Some(help) = &self.help {
            write!(f, "; {help}")?;
        }
        Ok(())
    }
}

impl std::error::Error for Fault {}
