//! The section of the page on what changed since the base.

use rules::Against;
use rules::reprint::{Class, smallest};
use serde::Serialize;

use super::{bench, by_class, copies, counted, doing, name, revs, shown};
use crate::html::{Figure, Figures};
use crate::input::Checked;

/// What the page says of the base.
#[derive(Serialize)]
pub(crate) struct Section {
    base: String,
    counted: String,
    step: &'static str,
    smallest: String,
    rows: Vec<RowOut>,
    same: String,
    mixed: Vec<String>,
}

#[derive(Serialize)]
struct RowOut {
    id: String,
    /// Whether the page has a card of it.
    here: bool,
    name: String,
    revs: String,
    copies: Option<String>,
    class: &'static str,
    unbuilt: String,
    finished: String,
    reason: String,
    text: Option<String>,
    computed: Option<String>,
    apart: Option<String>,
    rounds: Option<String>,
    pictures: Vec<Figure>,
}

/// The section.
pub(crate) fn section(checked: &Checked, against: &Against, figures: &Figures) -> Section {
    let table = &against.table;
    let (base, present) = (
        against.kit.revision.to_string(),
        checked.kit.revision.to_string(),
    );
    let same: Vec<&str> = table
        .rows
        .iter()
        .filter(|r| !shown(r))
        .map(|r| r.part.as_str())
        .collect();
    Section {
        counted: counted(&table.rows),
        step: table.step.word(),
        smallest: smallest(&against.kit.revision, table.step).to_string(),
        rows: by_class(&table.rows)
            .into_iter()
            .filter(|row| shown(row))
            .map(|row| {
                let change = against.compared.pairs[row.pair].change.as_ref();
                let [unbuilt, finished] = doing(row);
                RowOut {
                    id: row.part.clone(),
                    here: row.class != Class::Retired,
                    name: name(row),
                    revs: revs(row),
                    copies: copies(row),
                    class: row.class.word(),
                    unbuilt,
                    finished,
                    reason: row.reason.clone(),
                    text: row.text.clone(),
                    computed: row
                        .overridden
                        .as_ref()
                        .map(|o| format!("{}: {}", o.computed.word(), o.reason)),
                    rounds: bench::only_rounds(change),
                    apart: bench::told_apart(row, change, &base, &present),
                    pictures: figures
                        .changes
                        .get(&row.part)
                        .cloned()
                        .into_iter()
                        .collect(),
                }
            })
            .collect(),
        same: same.join(", "),
        mixed: table.mixed.iter().map(|m| m.words.clone()).collect(),
        base,
    }
}
