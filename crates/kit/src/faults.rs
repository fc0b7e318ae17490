//! Collects faults, bounded, each with its place.

use std::ops::Range;

use crate::fault::Fault;
use crate::lines::Lines;

/// What is wrong with a value, before its place is known.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub(crate) struct Trouble {
    pub message: String,
    pub expected: Option<String>,
    pub help: Option<String>,
}

impl Trouble {
    pub fn new(message: impl Into<String>) -> Trouble {
        Trouble {
            message: message.into(),
            ..Trouble::default()
        }
    }

    pub fn expected(mut self, expected: impl Into<String>) -> Trouble {
        self.expected = Some(expected.into());
        self
    }

    pub fn help(mut self, help: impl Into<String>) -> Trouble {
        self.help = Some(help.into());
        self
    }

    /// "did you mean", where there is something to mean.
    pub fn meant(self, word: Option<&str>) -> Trouble {
        match word {
            Some(word) => self.help(format!("did you mean `{word}`?")),
            None => self,
        }
    }
}

/// The faults of one text.
pub(crate) struct Faults<'a> {
    file: &'a str,
    lines: &'a Lines<'a>,
    found: Vec<Fault>,
    dropped: usize,
}

impl<'a> Faults<'a> {
    pub fn new(file: &'a str, lines: &'a Lines<'a>) -> Faults<'a> {
        Faults {
            file,
            lines,
            found: Vec::new(),
            dropped: 0,
        }
    }

    /// Whether another fault would be shown: searching for a suggestion is worth it only then.
    pub fn has_room(&self) -> bool {
        self.found.len() < limits::manifest::span("faults").most as usize
    }

    pub fn is_empty(&self) -> bool {
        self.found.is_empty()
    }

    /// How many there are, those that will not be shown included.
    pub fn count(&self) -> usize {
        self.found.len() + self.dropped
    }

    /// Whether a fault is known at exactly this range: a second one there would only repeat it.
    pub fn known_at(&self, span: &Range<usize>) -> bool {
        self.found.iter().any(|fault| fault.span == *span)
    }

    pub fn lines(&self) -> &'a Lines<'a> {
        self.lines
    }

    pub fn add(&mut self, span: Range<usize>, trouble: Trouble) {
        if !self.has_room() {
            self.dropped += 1;
            return;
        }
        let (line, column) = self.lines.place(span.start);
        let fault = Fault {
            file: self.file.to_string(),
            line,
            column,
            span,
            message: trouble.message,
            expected: trouble.expected,
            help: trouble.help,
        };
        if !self.found.contains(&fault) {
            self.found.push(fault);
        }
    }

    /// Takes over the faults of another list, but for those on a line that has one already.
    pub fn take_elsewhere(&mut self, other: Faults<'_>) {
        let lines: Vec<usize> = self.found.iter().map(|fault| fault.line).collect();
        self.dropped += other.dropped;
        for fault in other.found {
            if lines.contains(&fault.line) {
                continue;
            }
            if self.has_room() {
                self.found.push(fault);
            } else {
                self.dropped += 1;
            }
        }
    }

    /// Every fault by place; where some were left out, the last one says how many.
    pub fn finish(mut self) -> Vec<Fault> {
        self.found
            .sort_by_key(|fault| (fault.span.start, fault.span.end));
        if self.dropped > 0
            && let Some(last) = self.found.last()
        {
            let (line, column, span) = (last.line, last.column, last.span.clone());
            self.found.push(Fault {
                file: self.file.to_string(),
                line,
                column,
                span,
                message: format!("and {} more faults", self.dropped),
                expected: None,
                help: Some("mend these first; the others may be of the same kind".into()),
            });
        }
        self.found
    }
}
