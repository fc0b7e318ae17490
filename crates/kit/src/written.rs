//! The manifest as written: values with their spans, read from the parsed text by key. What is missing or
//! of another kind reads as `None` here; saying so is the business of [`crate::shape`].

use std::ops::Range;

use toml::Spanned;
use toml::de::{DeTable, DeValue};

/// A value with its byte range in the text.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct At<T> {
    pub value: T,
    pub span: Range<usize>,
}

/// One table as written. Its span covers the header, or an inline table's braces.
#[derive(Debug, Clone)]
pub(crate) struct Entry<'a> {
    pub table: &'a DeTable<'a>,
    pub span: Range<usize>,
}

/// A finite or non-finite number.
pub(crate) fn number(value: &DeValue<'_>) -> Option<f64> {
    match value {
        DeValue::Integer(_) => whole(value).map(|i| i as f64),
        // A written number too great for f64 reads as infinite, and is refused as such.
        DeValue::Float(float) => float.as_str().parse().ok(),
        _ => None,
    }
}

/// A whole number; `None` as well for one beyond 64 bits.
pub(crate) fn whole(value: &DeValue<'_>) -> Option<i64> {
    match value {
        DeValue::Integer(i) => i64::from_str_radix(i.as_str(), i.radix()).ok(),
        _ => None,
    }
}

/// A list of exactly N numbers.
pub(crate) fn numbers<const N: usize>(value: &DeValue<'_>) -> Option<[f64; N]> {
    let list = value.as_array()?;
    let values: Vec<f64> = list
        .iter()
        .take(N + 1)
        .map(|v| number(v.get_ref()))
        .collect::<Option<_>>()?;
    values.try_into().ok()
}

impl<'a> Entry<'a> {
    fn get(&self, key: &str) -> Option<&'a Spanned<DeValue<'a>>> {
        self.table.get(key)
    }

    fn read<T>(&self, key: &str, read: impl FnOnce(&'a DeValue<'a>) -> Option<T>) -> Option<At<T>> {
        let value = self.get(key)?;
        Some(At {
            value: read(value.get_ref())?,
            span: value.span(),
        })
    }

    pub fn has(&self, key: &str) -> bool {
        self.get(key).is_some()
    }

    /// Span of a key's value.
    pub fn span_of(&self, key: &str) -> Option<Range<usize>> {
        self.get(key).map(Spanned::span)
    }

    pub fn text(&self, key: &str) -> Option<At<&'a str>> {
        self.read(key, |value| value.as_str())
    }

    pub fn number(&self, key: &str) -> Option<At<f64>> {
        self.read(key, |value| number(value).filter(|n| n.is_finite()))
    }

    pub fn whole(&self, key: &str) -> Option<At<u32>> {
        self.read(key, |value| whole(value).and_then(|n| n.try_into().ok()))
    }

    pub fn flag(&self, key: &str) -> Option<At<bool>> {
        self.read(key, |value| value.as_bool())
    }

    pub fn numbers<const N: usize>(&self, key: &str) -> Option<At<[f64; N]>> {
        self.read(key, |value| {
            numbers(value).filter(|list: &[f64; N]| list.iter().all(|n| n.is_finite()))
        })
    }

    /// A signed axis or a vector; not yet of length one.
    pub fn direction(&self, key: &str) -> Option<At<[f64; 3]>> {
        match self.text(key) {
            Some(word) => crate::turn::axis_vector(word.value).map(|value| At {
                value,
                span: word.span,
            }),
            None => self.numbers(key),
        }
    }

    /// `YYYY-MM-DD`, quoted or bare.
    pub fn date(&self, key: &str) -> Option<At<crate::Date>> {
        self.read(key, date)
    }

    /// A list of texts; what is no text is left out.
    pub fn texts(&self, key: &str) -> Vec<At<&'a str>> {
        let list = self.get(key).and_then(|value| value.get_ref().as_array());
        let items = list.into_iter().flat_map(|list| list.iter());
        items
            .filter_map(|item| {
                item.get_ref().as_str().map(|value| At {
                    value,
                    span: item.span(),
                })
            })
            .collect()
    }

    /// A text or a list of texts; what is no text is left out.
    pub fn one_or_texts(&self, key: &str) -> Vec<At<&'a str>> {
        match self.text(key) {
            Some(one) => vec![one],
            None => self.texts(key),
        }
    }

    pub fn table(&self, key: &str) -> Option<Entry<'a>> {
        let value = self.get(key)?;
        Some(Entry {
            table: value.get_ref().as_table()?,
            span: value.span(),
        })
    }

    /// An array of tables; a single table counts as one.
    pub fn tables(&self, key: &str) -> Vec<Entry<'a>> {
        let Some(value) = self.get(key) else {
            return Vec::new();
        };
        match value.get_ref() {
            DeValue::Array(list) => list
                .iter()
                .filter_map(|item| {
                    item.get_ref().as_table().map(|table| Entry {
                        table,
                        span: item.span(),
                    })
                })
                .collect(),
            DeValue::Table(table) => vec![Entry {
                table,
                span: value.span(),
            }],
            _ => Vec::new(),
        }
    }

    /// Tables by name, in the order of the text.
    pub fn named(&self, key: &str) -> Vec<(At<&'a str>, Entry<'a>)> {
        let table = self.get(key).and_then(|value| value.get_ref().as_table());
        let mut found: Vec<(At<&str>, Entry)> = table
            .into_iter()
            .flat_map(|table| table.iter())
            .filter_map(|(name, value)| {
                let name = At {
                    value: name.get_ref().as_ref(),
                    span: name.span(),
                };
                value.get_ref().as_table().map(|table| {
                    let span = value.span();
                    (name, Entry { table, span })
                })
            })
            .collect();
        found.sort_by_key(|(name, _)| name.span.start);
        found
    }

    /// Texts by name, in the order of the text.
    pub fn words(&self, key: &str) -> Vec<(At<&'a str>, At<&'a str>)> {
        let table = self.get(key).and_then(|value| value.get_ref().as_table());
        let mut found: Vec<(At<&str>, At<&str>)> = table
            .into_iter()
            .flat_map(|table| table.iter())
            .filter_map(|(name, value)| {
                let name = At {
                    value: name.get_ref().as_ref(),
                    span: name.span(),
                };
                value.get_ref().as_str().map(|word| {
                    let span = value.span();
                    (name, At { value: word, span })
                })
            })
            .collect();
        found.sort_by_key(|(name, _)| name.span.start);
        found
    }

    /// Any value as plain data; `None` where it is missing or a number does not fit.
    pub fn free(&self, key: &str) -> Option<toml::Value> {
        self.get(key).and_then(|value| plain(value.get_ref()))
    }
}

/// `YYYY-MM-DD`, quoted or bare.
pub(crate) fn date(value: &DeValue<'_>) -> Option<crate::Date> {
    match value {
        DeValue::String(text) => crate::Date::parse(text),
        DeValue::Datetime(at) if at.time.is_none() && at.offset.is_none() => {
            let date = at.date?;
            crate::Date::new(date.year, date.month, date.day)
        }
        _ => None,
    }
}

/// A parsed value as plain data; `None` for a whole number beyond 64 bits.
pub(crate) fn plain(value: &DeValue<'_>) -> Option<toml::Value> {
    Some(match value {
        DeValue::String(text) => toml::Value::String(text.to_string()),
        DeValue::Integer(_) => toml::Value::Integer(whole(value)?),
        DeValue::Float(_) => toml::Value::Float(number(value)?),
        DeValue::Boolean(flag) => toml::Value::Boolean(*flag),
        DeValue::Datetime(at) => toml::Value::Datetime(*at),
        DeValue::Array(list) => {
            let items = list.iter().map(|item| plain(item.get_ref()));
            toml::Value::Array(items.collect::<Option<_>>()?)
        }
        DeValue::Table(table) => {
            let mut out = toml::Table::new();
            for (key, value) in table {
                out.insert(key.get_ref().to_string(), plain(value.get_ref())?);
            }
            toml::Value::Table(out)
        }
    })
}
