//! Holds a parsed manifest to the table of keys: unknown and missing keys, kinds of values, ranges, and
//! what single texts must be. It knows no other entry than the one it looks at.

mod scalar;

use std::ops::Range;

use toml::Spanned;
use toml::de::{DeTable, DeValue};

use crate::content;
use crate::faults::{Faults, Trouble};
use crate::keys::{Demand, Key, LEVELS, Shape, Spec};
use crate::suggest::{fold, nearest};

/// What a check needs to know besides the text.
pub(crate) struct Checker<'a, 'f> {
    pub faults: &'f mut Faults<'a>,
    /// Ids of all rules.
    pub rules: &'a [&'a str],
    /// Whether the text had faults of syntax: then what is missing may only be unread, and is not reported.
    pub broken: bool,
}

impl Checker<'_, '_> {
    /// Checks one table against its spec; `span` is where a missing key is reported.
    pub fn table(&mut self, spec: &'static Spec, table: &DeTable<'_>, span: Range<usize>) {
        let name = named(spec, table);
        for (key, value) in table {
            match spec.key(key.get_ref()) {
                Some(known) => self.value(&known.shape, known.name, value),
                None => self.unknown(spec, &name, key),
            }
        }
        if self.broken {
            return;
        }
        for key in spec.keys.iter().filter(|key| key.required) {
            if table.get(key.name).is_none() {
                self.missing(&name, key, span.clone());
            }
        }
        for demand in spec.demands {
            self.demand(demand, spec, &name, table, span.clone());
        }
    }

    fn unknown(&mut self, spec: &'static Spec, name: &str, key: &Spanned<impl AsRef<str>>) {
        if !self.faults.has_room() {
            return self.faults.add(key.span(), Trouble::default());
        }
        let written: &str = key.get_ref().as_ref();
        let plain = fold(written);
        let synonym = spec.keys.iter().find(|k| k.also.contains(&plain.as_str()));
        let meant = synonym
            .map(|key| key.name)
            .or_else(|| nearest(written, spec.keys.iter().map(|key| key.name)));
        let trouble = Trouble::new(format!("{name} has no key `{written}`"));
        let trouble = match meant {
            Some(_) => trouble.meant(meant),
            None => match elsewhere(spec, &plain) {
                Some(place) => trouble.help(format!("`{plain}` belongs in {place}")),
                None => {
                    let names: Vec<&str> = spec.keys.iter().map(|key| key.name).collect();
                    trouble.expected(format!("one of {}", names.join(", ")))
                }
            },
        };
        self.faults.add(key.span(), trouble);
    }

    fn missing(&mut self, name: &str, key: &Key, span: Range<usize>) {
        let trouble = match key.shape.spec() {
            Some(inner) => Trouble::new(format!("{name} has no {}", inner.name)),
            None => Trouble::new(format!("{name} has no `{}`", key.name)),
        };
        self.faults.add(span, trouble.help(key.doc));
    }

    fn demand(
        &mut self,
        demand: &Demand,
        spec: &'static Spec,
        name: &str,
        table: &DeTable<'_>,
        span: Range<usize>,
    ) {
        let has = |key: &str| table.get(key).is_some();
        let at = |key: &str| key_span(table, key).unwrap_or(span.clone());
        match demand {
            Demand::AnyOf(keys) => {
                if !keys.iter().any(|key| has(key)) {
                    let trouble = Trouble::new(format!("{name} has no {}", either(keys)));
                    self.faults.add(span, trouble.help(doc(spec, keys[0])));
                }
            }
            Demand::OneOf(keys) => {
                let mut there = keys.iter().filter(|key| has(key));
                match (there.next(), there.next()) {
                    (None, _) => {
                        let trouble = Trouble::new(format!("{name} has no {}", either(keys)));
                        self.faults.add(span, trouble.help(doc(spec, keys[0])));
                    }
                    (Some(_), Some(second)) => {
                        let trouble = Trouble::new(format!("{name} has both {}", both(keys)));
                        self.faults.add(at(second), trouble.expected("one of them"));
                    }
                    _ => {}
                }
            }
            Demand::NotBoth(a, b) => {
                if has(a) && has(b) {
                    let trouble = Trouble::new(format!("{name} has both {}", both(&[a, b])));
                    self.faults.add(at(b), trouble.expected("one of them"));
                }
            }
            Demand::With(a, b) => {
                if has(a) && !has(b) {
                    let trouble = Trouble::new(format!("{name} has `{a}` but no `{b}`"));
                    self.faults.add(at(a), trouble.help(doc(spec, b)));
                }
            }
            Demand::When {
                key,
                word,
                usual,
                needs,
                bars,
            } => {
                let written = table.get(*key).map(|v| v.get_ref().as_str());
                if written != Some(Some(word)) && !(written.is_none() && *usual) {
                    return;
                }
                for needed in needs.iter().filter(|key| !has(key)) {
                    let trouble = Trouble::new(format!(
                        "{name} has no `{needed}`, which {key} `{word}` needs"
                    ));
                    self.faults
                        .add(span.clone(), trouble.help(doc(spec, needed)));
                }
                for barred in bars.iter().filter(|key| has(key)) {
                    let trouble =
                        Trouble::new(format!("`{barred}` means nothing where {key} is `{word}`"));
                    self.faults.add(at(barred), trouble.help("leave it out"));
                }
            }
        }
    }

    fn value(&mut self, shape: &'static Shape, key: &str, value: &Spanned<DeValue<'_>>) {
        match shape {
            Shape::List(inner) => match value.get_ref() {
                DeValue::Array(list) if list.is_empty() => {
                    let trouble = Trouble::new(format!("`{key}` is an empty list"));
                    self.faults.add(
                        value.span(),
                        trouble.help("leave the key out to mean the default"),
                    );
                }
                DeValue::Array(list) => {
                    if self.bounded(key, list.len(), value.span()) {
                        for item in list.iter() {
                            self.value(inner, key, item);
                        }
                    }
                }
                _ => self.kind(key, value, "a list"),
            },
            Shape::OneOrList(inner) => match value.get_ref() {
                DeValue::Array(list) if list.is_empty() => {
                    let trouble = Trouble::new(format!("`{key}` is an empty list"));
                    self.faults
                        .add(value.span(), trouble.help("leave the key out"));
                }
                DeValue::Array(list) => {
                    if self.bounded(key, list.len(), value.span()) {
                        for item in list.iter() {
                            self.value(inner, key, item);
                        }
                    }
                }
                _ => self.value(inner, key, value),
            },
            Shape::WordOrTables(words, spec) => match value.get_ref() {
                DeValue::Array(list) => {
                    if self.sized(key, list.len(), value.span(), "show.directions") {
                        self.tables(spec, key, value);
                    }
                }
                DeValue::String(_) => self.scalar(&Shape::OneWord(words), key, value),
                _ => self.kind(key, value, "a word or a list of tables"),
            },
            Shape::Table(spec) => match value.get_ref() {
                DeValue::Table(table) => self.table(spec, table, value.span()),
                DeValue::Array(list) if list.iter().any(|item| item.get_ref().is_table()) => {
                    let trouble = Trouble::new(format!("there is one `{key}` only"));
                    self.faults.add(
                        value.span(),
                        trouble.expected(format!("single brackets: {}", spec.name)),
                    );
                    for item in list.iter() {
                        if let DeValue::Table(table) = item.get_ref() {
                            self.table(spec, table, item.span());
                        }
                    }
                }
                _ => self.kind(key, value, "a table"),
            },
            Shape::Tables(spec) => self.tables(spec, key, value),
            Shape::Named(spec) => self.named(spec, key, value),
            Shape::Values(range) => self.values(range, key, value),
            Shape::Levels => self.levels(key, value),
            Shape::Later | Shape::Free => {
                if crate::written::plain(value.get_ref()).is_none() {
                    let trouble =
                        Trouble::new(format!("a whole number in `{key}` has more than 64 bits"));
                    self.faults.add(value.span(), trouble);
                }
            }
            scalar => self.scalar(scalar, key, value),
        }
    }

    fn tables(&mut self, spec: &'static Spec, key: &str, value: &Spanned<DeValue<'_>>) {
        match value.get_ref() {
            DeValue::Array(list) => {
                if !self.bounded(key, list.len(), value.span()) {
                    return;
                }
                if list.is_empty() {
                    let trouble = Trouble::new(format!("`{key}` is an empty list"));
                    self.faults
                        .add(value.span(), trouble.help("leave the key out"));
                }
                for item in list.iter() {
                    match item.get_ref() {
                        DeValue::Table(table) => self.table(spec, table, item.span()),
                        _ => self.kind(key, item, "a table"),
                    }
                }
            }
            DeValue::Table(table) => {
                let trouble = Trouble::new(format!("`{key}` stands in single brackets"));
                let expected = format!("double brackets: [[{key}]]");
                self.faults.add(value.span(), trouble.expected(expected));
                self.table(spec, table, value.span());
            }
            _ => self.kind(key, value, "an array of tables"),
        }
    }

    fn named(&mut self, spec: &'static Spec, key: &str, value: &Spanned<DeValue<'_>>) {
        let DeValue::Table(table) = value.get_ref() else {
            if matches!(value.get_ref(), DeValue::Array(_)) {
                let trouble = Trouble::new(format!("`{key}` stands in double brackets"));
                let trouble = trouble.expected(format!("a table by id: {}", spec.name));
                return self.faults.add(value.span(), trouble);
            }
            return self.kind(key, value, "tables by id");
        };
        if !self.bounded(key, table.len(), value.span()) {
            return;
        }
        for (name, inner) in table {
            match inner.get_ref() {
                DeValue::Table(fields) => {
                    if let Err(trouble) = content::id(name.get_ref()) {
                        self.faults.add(name.span(), trouble);
                    }
                    self.table(spec, fields, inner.span());
                }
                _ => {
                    let trouble =
                        Trouble::new(format!("`{}` stands in [{key}] itself", name.get_ref()));
                    let trouble = trouble.expected(format!("a table by id: {}", spec.name));
                    self.faults.add(name.span(), trouble);
                }
            }
        }
    }

    fn values(&mut self, range: &'static str, key: &str, value: &Spanned<DeValue<'_>>) {
        let DeValue::Table(table) = value.get_ref() else {
            return self.kind(key, value, "numbers by measure");
        };
        if !self.bounded(key, table.len(), value.span()) {
            return;
        }
        for (name, number) in table {
            let written: &str = name.get_ref();
            if !self.rules.contains(&written) {
                let trouble = Trouble::new(format!("there is no measure `{written}`"));
                let meant = nearest(written, self.rules.iter().copied());
                let trouble = match meant {
                    Some(_) => trouble.meant(meant),
                    None => trouble.help("`kitproof accept` writes this file anew"),
                };
                self.faults.add(name.span(), trouble);
            }
            self.scalar(&Shape::Number(range), written, number);
        }
    }

    fn levels(&mut self, key: &str, value: &Spanned<DeValue<'_>>) {
        let DeValue::Table(table) = value.get_ref() else {
            return self.kind(key, value, "levels by rule: rules.\"wall.thin\" = \"off\"");
        };
        if !self.bounded(key, table.len(), value.span()) {
            return;
        }
        for (rule, level) in table {
            if let DeValue::Table(inner) = level.get_ref() {
                let last = inner.keys().next().map_or("", |key| key.get_ref().as_ref());
                let trouble = Trouble::new(format!(
                    "`{}` is no rule: its dot needs quotes",
                    rule.get_ref()
                ));
                let help = format!("write \"{}.{last}\" = \"off\"", rule.get_ref());
                self.faults.add(rule.span(), trouble.help(help));
                continue;
            }
            self.rule(rule.get_ref(), rule.span());
            self.scalar(&Shape::OneWord(LEVELS), rule.get_ref(), level);
        }
    }

    /// Whether a list is short enough to be read; a fault where it is not.
    fn bounded(&mut self, key: &str, count: usize, span: Range<usize>) -> bool {
        self.sized(key, count, span, "entries")
    }

    fn sized(&mut self, key: &str, count: usize, span: Range<usize>, range: &str) -> bool {
        let most = limits::manifest::span(range).most;
        let fits = count as f64 <= most;
        if !fits {
            let trouble = Trouble::new(format!("`{key}` has {count} entries"));
            self.faults
                .add(span, trouble.expected(format!("at most {most}")));
        }
        fits
    }
}

/// A table as messages name it, with its id where it has one.
fn named(spec: &'static Spec, table: &DeTable<'_>) -> String {
    match table.get("id").and_then(|v| v.get_ref().as_str()) {
        Some(id)
            if spec.name.starts_with("[[")
                && id.len() <= limits::manifest::span("id").most as usize =>
        {
            format!("{} `{id}`", spec.name)
        }
        _ => spec.name.to_string(),
    }
}

/// Another table that knows a key, for a key that stands in the wrong one.
fn elsewhere(spec: &'static Spec, key: &str) -> Option<&'static str> {
    let inner = crate::keys::ROOT.keys.iter().filter_map(|k| k.shape.spec());
    std::iter::once(&crate::keys::ROOT)
        .chain(inner)
        .find(|other| !std::ptr::eq(*other, spec) && other.key(key).is_some())
        .map(|other| {
            if other.name == "the manifest" {
                "the top level, above the first table"
            } else {
                other.name
            }
        })
}

fn key_span(table: &DeTable<'_>, key: &str) -> Option<Range<usize>> {
    table.get_key_value(key).map(|(key, _)| key.span())
}

fn doc(spec: &'static Spec, key: &str) -> &'static str {
    spec.key(key).map_or("", |key| key.doc)
}

fn either(keys: &[&str]) -> String {
    let quoted: Vec<String> = keys.iter().map(|key| format!("`{key}`")).collect();
    quoted.join(" or ")
}

fn both(keys: &[&str]) -> String {
    let quoted: Vec<String> = keys.iter().map(|key| format!("`{key}`")).collect();
    quoted.join(" and ")
}
