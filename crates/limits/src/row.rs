//! One value of a table: what it is, where it comes from and how far it can be relied on.

use std::fmt;

/// How a value is known.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Sure {
    /// A primary text or data set was read.
    Primary,
    /// Secondary pages that reproduce a primary text were read.
    Secondary,
    /// Derived from first principles.
    Derived,
    /// From memory: the source was not seen.
    Memory,
    /// Common practice of the trade, without a source.
    Practice,
}

impl Sure {
    /// The letter that stands in a table.
    pub fn letter(self) -> &'static str {
        match self {
            Sure::Primary => "A",
            Sure::Secondary => "B",
            Sure::Derived => "D",
            Sure::Memory => "M",
            Sure::Practice => "P",
        }
    }

    /// The way of knowing that a table's letter stands for.
    pub fn of_letter(letter: &str) -> Option<Sure> {
        [
            Sure::Primary,
            Sure::Secondary,
            Sure::Derived,
            Sure::Memory,
            Sure::Practice,
        ]
        .into_iter()
        .find(|sure| sure.letter() == letter)
    }
}

impl fmt::Display for Sure {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Sure::Primary => "primary source read",
            Sure::Secondary => "secondary source",
            Sure::Derived => "derived",
            Sure::Memory => "from memory",
            Sure::Practice => "common practice, no source",
        })
    }
}

/// A value with its unit, its source and the line that sets it.
#[derive(Debug, Clone, PartialEq)]
pub struct Limit {
    /// The value, in `unit`.
    pub value: f64,
    /// Unit, in words where it is a share or a count.
    pub unit: String,
    /// The spread that the source gives, where it gives one.
    pub range: Option<[f64; 2]>,
    /// Where the value comes from.
    pub source: String,
    /// How far it can be relied on.
    pub sure: Sure,
    /// The table's file name, such as `size.toml`.
    pub table: &'static str,
    /// The row's name within the table, dotted.
    pub key: String,
    /// The line of the row's value in the table, from 1.
    pub line: usize,
}

impl Limit {
    /// Which line set the value, in words: `size.toml line 4, edge-margin`.
    pub fn set_in(&self) -> String {
        format!("{} line {}, {}", self.table, self.line, self.key)
    }
}

impl fmt::Display for Limit {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{} {}", self.value, self.unit)
    }
}

/// The range a value must lie in, ends included.
#[derive(Debug, Clone, PartialEq)]
pub struct Span {
    /// Least value.
    pub least: f64,
    /// Greatest value.
    pub most: f64,
    /// Unit of both, in words where it is a share or a count.
    pub unit: String,
    /// Where the range comes from.
    pub source: String,
    /// How far it can be relied on.
    pub sure: Sure,
    /// The table's file name, such as `manifest.toml`.
    pub table: &'static str,
    /// The row's name within the table, dotted.
    pub key: String,
    /// The line of the range in the table, from 1.
    pub line: usize,
}

impl Span {
    /// Whether a value lies within; never for a value that is no number.
    pub fn holds(&self, value: f64) -> bool {
        (self.least..=self.most).contains(&value)
    }
}

impl fmt::Display for Span {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{} to {} {}", self.least, self.most, self.unit)
    }
}
