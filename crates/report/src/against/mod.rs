//! A kit against its base: the reprint table as text, JSON, release notes and a section of the page.

mod bench;
mod draft;
mod facts;
mod hardware;
mod json;
mod notes;
mod page;
mod text;
mod totals;

pub use draft::draft;
pub use json::diff_json;
pub use notes::{NotesInput, notes, promise_words};
pub(crate) use page::{Section, section};
pub use text::diff_text;

use rules::reprint::{Class, Row};

/// Revisions of a part in words: `r1 to r2`, `r2`.
fn revs(row: &Row) -> String {
    match row.revs {
        [Some(was), Some(is)] if was != is => format!("r{was} to r{is}"),
        [Some(rev), _] | [None, Some(rev)] => format!("r{rev}"),
        [None, None] => String::new(),
    }
}

/// A part's name with what it was called before.
fn name(row: &Row) -> String {
    match &row.was {
        Some(was) => format!("{} (was {was})", row.part),
        None => row.part.clone(),
    }
}

/// Copies in words, where they changed or are more than one.
fn copies(row: &Row) -> Option<String> {
    match row.counts {
        [Some(was), Some(is)] if was != is => Some(format!("{is} needed, before {was}")),
        [_, Some(n)] | [Some(n), None] if n != 1 => Some(format!("{n} pieces")),
        _ => None,
    }
}

/// Rows in the order of a reprint table: the most pressing class first, then as they stand.
fn by_class(rows: &[Row]) -> Vec<&Row> {
    let mut sorted: Vec<&Row> = rows.iter().collect();
    sorted.sort_by_key(|r| r.class);
    sorted
}

/// How many parts are of each class, in words: "2 required, 1 new, 5 same".
fn counted(rows: &[Row]) -> String {
    let words: Vec<String> = Class::ALL
        .iter()
        .filter_map(|class| {
            let n = rows.iter().filter(|r| r.class == *class).count();
            (n > 0).then(|| format!("{n} {}", class.word()))
        })
        .collect();
    words.join(", ")
}

/// Rows that builders are told of one by one.
fn shown(row: &Row) -> bool {
    row.class != Class::Same || copies_changed(row) || row.overridden.is_some()
}

fn copies_changed(row: &Row) -> bool {
    matches!(row.counts, [Some(was), Some(is)] if was != is)
}

/// What a builder does, with an unbuilt and with a finished kit: more copies are printed whatever becomes of the others.
fn doing(row: &Row) -> [String; 2] {
    let more = match row.counts {
        [Some(was), Some(is)] if is > was => Some(is - was),
        _ => None,
    };
    let finished = match row.class {
        Class::Same => "keep",
        class => class.finished(),
    };
    [(row.unbuilt.unbuilt(), row.unbuilt), (finished, row.class)].map(|(words, class)| {
        match (more, class) {
            (Some(more), Class::Same | Class::Renamed | Class::Optional) => {
                format!("print {more} more; {words}")
            }
            _ => words.to_string(),
        }
    })
}
