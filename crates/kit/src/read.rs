//! From a text to a checked kit, or to every fault at once.

use std::ops::Range;

use toml::de::DeTable;

use crate::build;
use crate::checked::Kit;
use crate::fault::Fault;
use crate::faults::{Faults, Trouble};
use crate::keys::ROOT;
use crate::lines::Lines;
use crate::shape::Checker;
use crate::syntax;
use crate::written::{Entry, whole};

/// Reads a manifest. `file_name` is what faults are anchored to; `rules` are the ids of all rules, earlier
/// ids included.
///
/// # Errors
/// Every fault of the text, by place; at most a hundred, the last one then says how many more there are.
pub fn read(text: &str, file_name: &str, rules: &[&str]) -> Result<Kit, Vec<Fault>> {
    let size = limits::manifest::span("bytes");
    if text.len() as f64 > size.most {
        let message = format!("the manifest has {} bytes", text.len());
        let trouble = Trouble::new(message).expected(format!("at most {} bytes", size.most));
        // Its lines are not counted: nothing of it is looked at.
        let lines = Lines::new("");
        return Err(alone(file_name, &lines, 0..0, trouble));
    }
    let lines = Lines::new(text);
    let mut faults = Faults::new(file_name, &lines);
    let checked = syntax::check(text);
    let broken = checked.broken;
    for (span, trouble) in checked.faults {
        faults.add(span, trouble);
    }
    let (document, _) = DeTable::parse_recoverable(&checked.text);
    let root = Entry {
        table: document.get_ref(),
        span: 0..0,
    };
    if !broken && let Some((span, trouble)) = newer(&root) {
        return Err(alone(file_name, &lines, span, trouble));
    }
    let mut of_values = Faults::new(file_name, &lines);
    Checker {
        faults: &mut of_values,
        rules,
        broken,
    }
    .table(&ROOT, document.get_ref(), 0..0);
    let kit = if broken {
        None
    } else {
        build::kit(file_name, &root, &mut of_values)
    };
    // On the line of a fault of syntax the parser guesses; what it made of it says nothing.
    faults.take_elsewhere(of_values);
    match kit {
        Some(kit) if faults.is_empty() => Ok(kit),
        _ => Err(faults.finish()),
    }
}

/// Reads a manifest from the bytes of its file.
///
/// # Errors
/// As [`read`], and where the bytes are no UTF-8.
pub fn read_bytes(bytes: &[u8], file_name: &str, rules: &[&str]) -> Result<Kit, Vec<Fault>> {
    let error = match std::str::from_utf8(bytes) {
        Ok(text) => return read(text, file_name, rules),
        Err(error) => error,
    };
    let valid = std::str::from_utf8(&bytes[..error.valid_up_to()]).unwrap_or_default();
    let trouble = Trouble::new("the manifest is no UTF-8 text from here on")
        .expected("UTF-8, which TOML is written in")
        .help("save it as UTF-8");
    Err(alone(
        file_name,
        &Lines::new(valid),
        valid.len()..valid.len(),
        trouble,
    ))
}

fn alone(file: &str, lines: &Lines<'_>, span: Range<usize>, trouble: Trouble) -> Vec<Fault> {
    let mut faults = Faults::new(file, lines);
    faults.add(span, trouble);
    faults.finish()
}

/// A manifest of a newer format: nothing else about it can be judged here.
fn newer(root: &Entry<'_>) -> Option<(Range<usize>, Trouble)> {
    let value = root.table.get("format")?;
    let format = whole(value.get_ref())?;
    let known = limits::manifest::span("format").most;
    (format as f64 > known).then(|| {
        let trouble = Trouble::new(format!("this manifest is written in format {format}"))
            .expected(format!(
                "format {known}, the newest that this kitproof reads"
            ))
            .help("use a newer kitproof");
        (value.span(), trouble)
    })
}
