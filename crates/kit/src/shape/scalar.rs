//! Single values: kinds, ranges and what their texts must be.

use std::ops::Range;

use toml::Spanned;
use toml::de::DeValue;

use super::Checker;
use crate::faults::Trouble;
use crate::keys::{PathTo, Shape, Word};
use crate::suggest::{fold, nearest};
use crate::written::{self, numbers};
use crate::{Revision, content, license, path, turn};

impl Checker<'_, '_> {
    /// Checks a value that is no table.
    pub(super) fn scalar(&mut self, shape: &Shape, key: &str, value: &Spanned<DeValue<'_>>) {
        let span = value.span();
        match shape {
            Shape::Number(range) => self.number(key, value, range, false),
            Shape::Whole(range) => self.number(key, value, range, true),
            Shape::Flag => {
                if value.get_ref().as_bool().is_none() {
                    self.kind(key, value, "true or false");
                }
            }
            Shape::Three(range) => {
                self.list::<3>(key, value, range, "three numbers: x, y, z");
            }
            Shape::Two(range) => {
                let list = self.list::<2>(
                    key,
                    value,
                    range,
                    "two numbers, the lesser first, such as [0.12, 0.28]",
                );
                if let Some([low, high]) = list
                    && low > high
                {
                    let trouble = Trouble::new(format!("`{key}` runs from {low} down to {high}"));
                    self.faults
                        .add(span, trouble.expected("the lesser number first"));
                }
            }
            Shape::Direction => self.direction(key, value),
            Shape::Date => {
                if written::date(value.get_ref()).is_none() {
                    let trouble = Trouble::new(format!("`{key}` is no day of the calendar"));
                    self.faults
                        .add(span, trouble.expected("a date such as 2027-01-31"));
                }
            }
            shape => match value.get_ref().as_str() {
                Some(text) => self.text(shape, key, text, span),
                None => self.kind(key, value, "text in quotes"),
            },
        }
    }

    fn text(&mut self, shape: &Shape, key: &str, text: &str, span: Range<usize>) {
        let sized = match shape {
            Shape::Path(_) => limits::manifest::span("path"),
            Shape::License => limits::manifest::span("license"),
            _ => limits::manifest::span("text"),
        };
        let count = text.chars().count();
        if count as f64 > sized.most {
            let trouble = Trouble::new(format!("`{key}` has {count} characters"));
            return self
                .faults
                .add(span, trouble.expected(format!("at most {}", sized.most)));
        }
        let checked = match shape {
            Shape::Id => content::id(text),
            Shape::Reason => content::reason(text),
            Shape::Scale => content::scale(text),
            Shape::Path(PathTo::Mesh) => path::check_mesh(text),
            Shape::Path(PathTo::File) => path::check(text),
            Shape::Rule => return self.rule(text, span),
            Shape::License => {
                if let Err((within, trouble)) = license::check(text) {
                    self.faults.add(self.inside(span, within, text), trouble);
                }
                return;
            }
            Shape::OneWord(words) => one_word(key, text, words),
            Shape::Revision => match Revision::parse(text) {
                Some(_) => Ok(()),
                None => Err(revision(text)),
            },
            // Whether an id is declared somewhere is asked when everything has been read.
            _ if text.trim().is_empty() => Err(Trouble::new(format!("`{key}` is empty"))),
            _ => Ok(()),
        };
        if let Err(trouble) = checked {
            self.faults.add(span, trouble);
        }
    }

    /// Checks that a rule is known.
    pub(super) fn rule(&mut self, id: &str, span: Range<usize>) {
        if !self.rules.contains(&id) {
            let trouble = Trouble::new(format!("there is no rule `{id}`"));
            let meant = self
                .faults
                .has_room()
                .then(|| nearest(id, self.rules.iter().copied()));
            let trouble = match meant.flatten() {
                Some(meant) => trouble.meant(Some(meant)),
                None => trouble.help("`kitproof list rules` shows every rule"),
            };
            self.faults.add(span, trouble);
        }
    }

    fn number(&mut self, key: &str, value: &Spanned<DeValue<'_>>, range: &str, whole: bool) {
        let expected = if whole { "a whole number" } else { "a number" };
        let range = limits::manifest::span(range);
        let read = if whole {
            written::whole(value.get_ref()).map(|n| n as f64)
        } else {
            written::number(value.get_ref())
        };
        match (read, value.get_ref()) {
            (Some(n), _) => self.within(key, n, range, value.span()),
            (None, DeValue::Float(float)) => {
                let trouble = Trouble::new(format!("`{key}` is {}", float.as_str()));
                self.faults.add(value.span(), trouble.expected(expected));
            }
            (None, DeValue::Integer(i)) => {
                let trouble = Trouble::new(format!("`{key}` is {}", i.as_str()));
                self.faults
                    .add(value.span(), trouble.expected(range.to_string()));
            }
            _ => self.kind(key, value, expected),
        }
    }

    fn within(&mut self, key: &str, n: f64, range: &limits::Span, span: Range<usize>) {
        if !n.is_finite() {
            let trouble = Trouble::new(format!("`{key}` is {n}"));
            self.faults
                .add(span, trouble.expected(format!("a number, {range}")));
        } else if !range.holds(n) {
            let trouble = Trouble::new(format!("`{key}` is {n}"));
            self.faults.add(span, trouble.expected(range.to_string()));
        }
    }

    fn list<const N: usize>(
        &mut self,
        key: &str,
        value: &Spanned<DeValue<'_>>,
        range: &str,
        expected: &str,
    ) -> Option<[f64; N]> {
        let Some(list) = value.get_ref().as_array() else {
            self.kind(key, value, expected);
            return None;
        };
        if list.len() != N {
            let trouble = Trouble::new(format!("`{key}` is a list of {}", list.len()));
            self.faults.add(value.span(), trouble.expected(expected));
            return None;
        }
        let before = self.faults.count();
        for item in list.iter() {
            self.number(key, item, range, false);
        }
        if self.faults.count() > before {
            return None;
        }
        numbers(value.get_ref())
    }

    fn direction(&mut self, key: &str, value: &Spanned<DeValue<'_>>) {
        let expected = "an axis (+x -x +y -y +z -z) or three numbers, not all 0";
        match value.get_ref() {
            DeValue::String(word) => {
                if turn::axis_vector(word).is_none() {
                    let trouble = Trouble::new(format!("`{word}` is no axis"));
                    self.faults.add(value.span(), trouble.expected(expected));
                }
            }
            DeValue::Array(_) => {
                if let Some(vector) = self.list::<3>(key, value, "direction", expected)
                    && turn::unit(vector).is_none()
                {
                    let trouble = Trouble::new(format!("`{key}` has no direction"));
                    self.faults.add(value.span(), trouble.expected(expected));
                }
            }
            _ => self.kind(key, value, expected),
        }
    }

    /// A value of the wrong kind.
    pub(super) fn kind(&mut self, key: &str, value: &Spanned<DeValue<'_>>, expected: &str) {
        let found = match value.get_ref() {
            DeValue::String(_) => "text",
            DeValue::Integer(_) | DeValue::Float(_) => "a number",
            DeValue::Boolean(_) => "true or false",
            DeValue::Datetime(_) => "a date or time",
            DeValue::Array(_) => "a list",
            DeValue::Table(_) => "a table",
        };
        let trouble = Trouble::new(format!("`{key}` is {found}")).expected(expected);
        let unquoted = value
            .get_ref()
            .as_str()
            .is_some_and(|text| text.trim().parse::<f64>().is_ok() && expected.contains("number"));
        let trouble = if unquoted {
            trouble.help("write it without quotes")
        } else {
            trouble
        };
        self.faults.add(value.span(), trouble);
    }

    /// A range within a quoted text as a range of the manifest; the whole text where quoting changed it.
    fn inside(&self, span: Range<usize>, within: Range<usize>, text: &str) -> Range<usize> {
        let written = self.faults.lines().text().get(span.clone()).unwrap_or("");
        let quote = written.len().saturating_sub(text.len()) / 2;
        let plain = written.get(quote..quote + text.len()) == Some(text);
        if plain && within.start < within.end {
            span.start + quote + within.start..span.start + quote + within.end
        } else {
            span
        }
    }
}

fn one_word(key: &str, text: &str, words: &[Word]) -> Result<(), Trouble> {
    if words.iter().any(|word| word.word == text) {
        return Ok(());
    }
    let known: Vec<&str> = words.iter().map(|word| word.word).collect();
    let folded = known.iter().copied().find(|word| *word == fold(text));
    let meant = folded.or_else(|| nearest(text, known.iter().copied()));
    let trouble = Trouble::new(format!("`{key}` is `{text}`"));
    Err(trouble
        .expected(format!("one of {}", known.join(", ")))
        .meant(meant))
}

fn revision(text: &str) -> Trouble {
    let trouble =
        Trouble::new(format!("`{text}` is no revision")).expected("three numbers, such as 1.4.0");
    let plain = text.trim().trim_start_matches(['v', 'V', 'r']);
    let dots = plain.matches('.').count();
    let filled = match dots {
        0 => format!("{plain}.0.0"),
        1 => format!("{plain}.0"),
        _ => plain.to_string(),
    };
    match Revision::parse(&filled) {
        Some(better) => trouble.help(format!("write `{better}`")),
        None => trouble,
    }
}
