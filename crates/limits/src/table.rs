//! Reads one embedded table: rows of value, unit, source and sure, each with its line.
//!
//! The tables are part of the program, so a bad one is a bug: [`Table::parse`] says everything that is
//! wrong with it, a test holds every embedded table to that, and the typed readers rely on it.

use std::collections::BTreeMap;

use toml::Spanned;
use toml::de::{DeTable, DeValue};

use crate::row::{Limit, Span, Sure};

/// What a source must say when a value is common practice.
pub const PRACTICE: &str = "common practice, no source";
/// What a source must say when a value is from memory.
pub const MEMORY: &str = "from memory";

/// A parsed table: its rows by dotted name.
#[derive(Debug, Clone, PartialEq)]
pub struct Table {
    /// File name, such as `size.toml`.
    pub name: &'static str,
    /// Every row by its dotted name.
    pub rows: BTreeMap<String, Limit>,
    /// Every row that is a range without a value, by its dotted name.
    pub spans: BTreeMap<String, Span>,
}

impl Table {
    /// Parses a table.
    ///
    /// # Errors
    /// Everything that is wrong with it, a sentence each.
    pub fn parse(name: &'static str, text: &str) -> Result<Table, Vec<String>> {
        let root = DeTable::parse(text).map_err(|e| vec![format!("{name}: {e}")])?;
        let mut reader = Reader {
            name,
            text,
            rows: BTreeMap::new(),
            spans: BTreeMap::new(),
            wrong: Vec::new(),
        };
        reader.walk("", root.get_ref());
        if reader.wrong.is_empty() {
            Ok(Table {
                name,
                rows: reader.rows,
                spans: reader.spans,
            })
        } else {
            Err(reader.wrong)
        }
    }

    /// A table that is part of the program.
    ///
    /// # Panics
    /// On a table that does not parse, which is a bug that the tests find.
    pub fn embedded(name: &'static str, text: &str) -> Table {
        match Table::parse(name, text) {
            Ok(table) => table,
            Err(wrong) => panic!("an embedded table is broken: {}", wrong.join("; ")),
        }
    }

    /// A row by its dotted name.
    pub fn get(&self, key: &str) -> Option<&Limit> {
        self.rows.get(key)
    }

    /// A row that must be there.
    ///
    /// # Panics
    /// Where the row is missing, which is a bug that the tests find.
    pub fn row(&self, key: &str) -> Limit {
        match self.get(key) {
            Some(limit) => limit.clone(),
            None => panic!("{} has no row {key}", self.name),
        }
    }
}

struct Reader<'a> {
    name: &'static str,
    text: &'a str,
    rows: BTreeMap<String, Limit>,
    spans: BTreeMap<String, Span>,
    wrong: Vec<String>,
}

impl Reader<'_> {
    fn walk(&mut self, path: &str, table: &DeTable<'_>) {
        if table.get("value").is_some() || table.get("range").is_some() {
            self.row(path, table);
            return;
        }
        for (key, value) in table {
            let key = key.get_ref();
            let path = if path.is_empty() {
                key.to_string()
            } else {
                format!("{path}.{key}")
            };
            match value.get_ref() {
                DeValue::Table(inner) => self.walk(&path, inner),
                _ => self.wrong.push(format!(
                    "{}: {path} stands outside a row with a value",
                    self.name
                )),
            }
        }
    }

    fn row(&mut self, path: &str, table: &DeTable<'_>) {
        let before = self.wrong.len();
        for (key, _) in table {
            if !["value", "unit", "range", "source", "sure", "note"]
                .contains(&key.get_ref().as_ref())
            {
                self.say(path, &format!("unknown key {}", key.get_ref()));
            }
        }
        let value = table.get("value").and_then(number);
        if value.is_none() && table.get("value").is_some() {
            self.say(path, "value is no finite number");
        }
        let text = |key: &str| {
            table
                .get(key)
                .and_then(|v| v.get_ref().as_str())
                .filter(|s| !s.trim().is_empty())
                .map(str::to_string)
        };
        let (unit, source) = (text("unit"), text("source"));
        let sure = text("sure").and_then(|s| Sure::of_letter(&s));
        if unit.is_none() {
            self.say(path, "no unit");
        }
        if sure.is_none() {
            self.say(path, "sure is none of A B D M P");
        }
        match (&source, sure) {
            (None, _) => self.say(path, "no source"),
            (Some(s), Some(Sure::Practice)) if !s.contains(PRACTICE) => {
                self.say(
                    path,
                    "sure is P: the source must say \"common practice, no source\"",
                );
            }
            (Some(s), Some(Sure::Memory)) if !s.contains(MEMORY) => {
                self.say(path, "sure is M: the source must say \"from memory\"");
            }
            _ => {}
        }
        let range = match table.get("range").map(Spanned::get_ref) {
            None => None,
            Some(DeValue::Array(ends)) => {
                match ends
                    .iter()
                    .map(number)
                    .collect::<Option<Vec<f64>>>()
                    .as_deref()
                {
                    Some(&[low, high]) if low <= high => Some([low, high]),
                    _ => {
                        self.say(path, "range is not two numbers in order");
                        None
                    }
                }
            }
            Some(_) => {
                self.say(path, "range is not a list");
                None
            }
        };
        if let (Some(v), Some([low, high])) = (value, range)
            && !(low..=high).contains(&v)
        {
            self.say(path, "the value lies outside its range");
        }
        if self.wrong.len() > before {
            return;
        }
        let at = table.get("value").or_else(|| table.get("range"));
        let line = 1 + self.text[..at.map_or(0, |v| v.span().start)]
            .matches('\n')
            .count();
        let (table, key) = (self.name, path.to_string());
        match (value, range, unit, source, sure) {
            (Some(value), range, Some(unit), Some(source), Some(sure)) => {
                let limit = Limit {
                    value,
                    unit,
                    range,
                    source,
                    sure,
                    table,
                    key,
                    line,
                };
                self.rows.insert(path.to_string(), limit);
            }
            (None, Some([least, most]), Some(unit), Some(source), Some(sure)) => {
                let span = Span {
                    least,
                    most,
                    unit,
                    source,
                    sure,
                    table,
                    key,
                    line,
                };
                self.spans.insert(path.to_string(), span);
            }
            _ => self.say(path, "neither a value nor a range"),
        }
    }

    fn say(&mut self, path: &str, what: &str) {
        self.wrong.push(format!("{}: {path}: {what}", self.name));
    }
}

fn number(value: &Spanned<DeValue<'_>>) -> Option<f64> {
    let text = match value.get_ref() {
        DeValue::Integer(i) if i.radix() == 10 => i.as_str().to_string(),
        DeValue::Float(f) => f.as_str().to_string(),
        _ => return None,
    };
    text.parse().ok().filter(|v: &f64| v.is_finite())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_row_must_say_where_it_comes_from() {
        let parse = |row: &str| Table::parse("t.toml", row).map_err(|w| w.join("; "));
        let good = "[a]\nvalue = 2\nunit = \"mm\"\nsource = \"ISO 1\"\nsure = \"A\"\n";
        let table = parse(good).expect("a good row");
        assert_eq!(table.row("a").set_in(), "t.toml line 2, a");
        for (bad, word) in [
            (good.replace("ISO 1", ""), "no source"),
            (good.replace("\"A\"", "\"P\""), "common practice"),
            (good.replace("\"A\"", "\"M\""), "from memory"),
            (good.replace("\"A\"", "\"Z\""), "none of A B D M P"),
            (good.replace("= 2", "= nan"), "no finite number"),
            (good.replace("unit", "unti"), "unknown key unti"),
            (format!("{good}range = [3, 4]\n"), "outside its range"),
            (format!("x = 1\n{good}"), "outside a row"),
        ] {
            let wrong = parse(&bad).expect_err(word);
            assert!(wrong.contains(word), "{wrong} should say {word}");
        }
    }
}
