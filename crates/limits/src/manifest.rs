//! What a manifest may say: the range of each number, the size of each text.

use std::sync::LazyLock;

use crate::{Span, Table};

static TABLE: LazyLock<Table> =
    LazyLock::new(|| Table::embedded("manifest.toml", include_str!("../tables/manifest.toml")));

/// The range of a row by its dotted name, such as `promise.nozzle`.
///
/// # Panics
/// Where the table has no such row: the names are fixed in the code, and a test asks for each.
pub fn span(key: &str) -> &'static Span {
    match TABLE.spans.get(key) {
        Some(span) => span,
        None => panic!("manifest.toml has no range {key}"),
    }
}

/// The table with all its rows.
pub fn table() -> &'static Table {
    &TABLE
}
