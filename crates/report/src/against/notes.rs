//! Release notes for builders: the reprint table first.

use std::collections::BTreeMap;
use std::fmt::Write as _;

use kit::{Kit, Machine, Poses, Promise};
use rules::Against;
use rules::reprint::Row;

use super::{bench, by_class, copies, counted, doing, hardware, name, revs, shown, totals};
use crate::input::Checked;

/// What notes are made of besides the check.
pub struct NotesInput<'a> {
    /// The check, with its base.
    pub checked: &'a Checked<'a>,
    /// The base; `None` for a first release.
    pub against: Option<&'a Against>,
    /// File names of the pictures of changed parts, below `notes/`, by the part's id.
    pub pictures: &'a BTreeMap<String, String>,
}

/// The notes as Markdown, without the list of files.
pub fn notes(input: &NotesInput) -> String {
    let kit = input.checked.kit;
    let mut out = format!(
        "# {} {}: release notes\n\n",
        plain(&kit.title),
        kit.revision
    );
    match input.against {
        None => out.push_str("First release: there is no earlier kit to compare it with.\n"),
        Some(against) => since(&mut out, input, against),
    }
    promises(&mut out, kit, input.against.map(|a| &a.kit));
    sums(&mut out, input);
    limits(&mut out, input.checked);
    out.push_str(
        "\nHow to print each part, and the cautions for printing, glue, paint and dust, stand in README.md; \
         they defer to the safety data sheet of each product, to the rules where you live, and to qualified people.\n",
    );
    out
}

fn since(out: &mut String, input: &NotesInput, against: &Against) {
    let (kit, table) = (input.checked.kit, &against.table);
    let base = against.kit.revision.to_string();
    let _ = writeln!(
        out,
        "Compared with {base}, surface against surface: {}.\n",
        counted(&table.rows)
    );
    out.push_str("## Must I print it again?\n\n");
    if !table.rows.iter().any(shown) {
        let _ = writeln!(out, "No: every part is the same as in {base}.");
    } else {
        reprints(out, input, against, &base);
    }
    mixing(out, kit, against, &base, &kit.revision.to_string());
    let hardware = hardware::changes(&against.kit, kit);
    if !hardware.is_empty() {
        out.push_str("\n## Screws, inserts and bought parts\n\n");
        for line in hardware {
            let _ = writeln!(out, "- {}", plain(&line));
        }
    }
}

fn reprints(out: &mut String, input: &NotesInput, against: &Against, base: &str) {
    let present = input.checked.kit.revision.to_string();
    let rows = by_class(&against.table.rows);
    let told: Vec<&&Row> = rows.iter().filter(|r| shown(r)).collect();
    out.push_str(
        "| part | class | kit not yet built | finished kit | why |\n|---|---|---|---|---|\n",
    );
    for row in &told {
        let mut part = format!("**{}** {}", plain(&name(row)), revs(row));
        if let Some(copies) = copies(row) {
            let _ = write!(part, ", {copies}");
        }
        let [unbuilt, finished] = doing(row);
        let _ = writeln!(
            out,
            "| {part} | {} | {unbuilt} | {finished} | {} |",
            row.class.word(),
            plain(&row.reason)
        );
    }
    let same: Vec<String> = rows
        .iter()
        .filter(|r| !shown(r))
        .map(|r| plain(&r.part))
        .collect();
    if !same.is_empty() {
        let _ = writeln!(
            out,
            "\nThe same as in {base}, print nothing: {}.",
            same.join(", ")
        );
    }
    for row in told {
        details(out, row, input, against, base, &present);
    }
}

fn details(
    out: &mut String,
    row: &Row,
    input: &NotesInput,
    against: &Against,
    base: &str,
    present: &str,
) {
    let change = against.compared.pairs[row.pair].change.as_ref();
    let apart = bench::told_apart(row, change, base, present);
    let picture = input.pictures.get(&row.part);
    if row.text.is_none() && apart.is_none() && picture.is_none() && row.overridden.is_none() {
        return;
    }
    let _ = writeln!(out, "\n### {}\n", plain(&name(row)));
    if let Some(text) = &row.text {
        let _ = writeln!(out, "{}\n", plain(text));
    }
    if let Some(overridden) = &row.overridden {
        let _ = writeln!(
            out,
            "The class {} is the designer's word; measured, it would be {}: {}.\n",
            row.class.word(),
            overridden.computed.word(),
            plain(&overridden.reason)
        );
    }
    if let Some(words) = bench::only_rounds(change) {
        let _ = writeln!(out, "Measured: {words}.\n");
    }
    if let Some(apart) = apart {
        let _ = writeln!(out, "Which one do I hold: {}.\n", plain(&apart));
    }
    if let Some(picture) = picture {
        let _ = writeln!(
            out,
            "![{} in {base} and in {present}, with what changed in mm](notes/{picture})",
            plain(&row.part)
        );
    }
}

/// Whether the manifest says of any part what it meets.
fn says_what_meets(kit: &Kit) -> bool {
    kit.poses == Poses::AsModelled
        || !(kit.placed.is_empty() && kit.fits.is_empty() && kit.holes.is_empty())
}

fn mixing(out: &mut String, kit: &Kit, against: &Against, base: &str, present: &str) {
    let _ = writeln!(out, "\n## Parts of {base} and {present} in one kit\n");
    let mixed = &against.table.mixed;
    if mixed.is_empty() {
        out.push_str(if says_what_meets(kit) {
            "No face that meets another part moved.\n"
        } else {
            "The kit declares no poses, fits or holes: whether old and new parts go together was not measured.\n"
        });
    }
    for goes in [false, true] {
        for line in mixed.iter().filter(|m| m.goes == goes) {
            let _ = writeln!(out, "- {}", plain(&line.words));
        }
    }
    out.push_str(
        "\nThis rests on the faces that moved. Fits between old and new parts were not compared.\n",
    );
}

fn promises(out: &mut String, kit: &Kit, base: Option<&Kit>) {
    out.push_str("\n## What it prints on\n\n");
    for promise in &kit.promises {
        let words = promise_words(promise);
        let change = match base.map(|b| b.promise(&promise.id)) {
            Some(None) => " (new)".to_string(),
            Some(Some(was)) if promise_words(was) != words => {
                format!(" (before: {})", promise_words(was))
            }
            _ => String::new(),
        };
        let _ = writeln!(out, "- {}: {words}{change}", plain(&promise.id));
    }
    for gone in base.into_iter().flat_map(|b| &b.promises) {
        if kit.promise(&gone.id).is_none() {
            let _ = writeln!(
                out,
                "- no longer promised: {} ({})",
                plain(&gone.id),
                promise_words(gone)
            );
        }
    }
}

/// A promise in words: plate, height, machine, materials, supports.
pub fn promise_words(promise: &Promise) -> String {
    let [x, y, z] = promise.plate_mm;
    let machine = match promise.machine {
        Machine::Filament {
            nozzle_mm,
            layers_mm: [least, most],
        } => format!("nozzle {nozzle_mm} mm, layers {least} to {most} mm"),
        Machine::Vat { pixel_mm, .. } => format!("vat, pixel {pixel_mm} mm"),
    };
    let materials = if promise.materials.is_empty() {
        "any material".to_string()
    } else {
        promise.materials.join(" or ")
    };
    format!(
        "plate {x} x {y} mm, height {z} mm, {machine}, {materials}, supports: {}",
        promise.supports.word()
    )
}

fn sums(out: &mut String, input: &NotesInput) {
    let now = totals::totals(input.checked.kit, input.checked.facts);
    let was = input.against.map(|a| totals::totals(&a.kit, &a.facts));
    out.push_str("\n## In all\n\n");
    let base = input.against.map(|a| a.kit.revision.to_string());
    match &base {
        Some(base) => {
            let _ = writeln!(out, "| | now | since {base} |\n|---|---|---|");
        }
        None => out.push_str("| | |\n|---|---|\n"),
    }
    for [name, value, delta] in totals::rows(&now, was.as_ref()) {
        let _ = if base.is_some() {
            writeln!(out, "| {name} | {value} | {delta} |")
        } else {
            writeln!(out, "| {name} | {value} |")
        };
    }
}

fn limits(out: &mut String, checked: &Checked) {
    let told: Vec<String> = checked
        .verdict
        .findings
        .iter()
        .filter_map(|f| {
            let waived = f.waived.as_ref().filter(|w| w.tell_builders)?;
            let owner: Vec<&str> = f.parts.iter().map(|p| p.id.as_str()).collect();
            Some(format!(
                "{}: {}. {}",
                owner.join(", "),
                f.message,
                waived.reason
            ))
        })
        .collect();
    if !told.is_empty() {
        out.push_str("\n## Known limits\n\n");
        for line in told {
            let _ = writeln!(out, "- {}", plain(&line));
        }
    }
}

/// Text of a manifest within Markdown: what would be read as markup is escaped, line feeds become spaces.
fn plain(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for c in text.chars() {
        match c {
            '\n' | '\r' | '\t' => out.push(' '),
            '\\' | '`' | '*' | '_' | '[' | ']' | '<' | '>' | '|' | '#' | '!' => {
                out.push('\\');
                out.push(c);
            }
            c => out.push(c),
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::plain;

    /// CommonMark 0.31, section 2.4: punctuation behind a backslash is itself.
    #[test]
    fn a_designers_text_is_no_markup() {
        assert_eq!(
            plain("a|b <i>*x*</i>\n#"),
            "a\\|b \\<i\\>\\*x\\*\\</i\\> \\#"
        );
    }
}
