//! The difference for a terminal.

use std::fmt::Write as _;

use rules::Against;
use rules::reprint::{Class, Row, smallest};

use super::{bench, by_class, copies, counted, hardware, name, revs, totals};
use crate::input::Checked;
use crate::wrap::{WIDTH, wrap};

/// The column in which a row's fields start.
const FIELD: usize = 14;

/// The whole text.
pub fn diff_text(checked: &Checked, against: &Against) -> String {
    let (kit, table) = (checked.kit, &against.table);
    let base = against.kit.revision.to_string();
    let mut out = format!(
        "{} {} against {base} ({})\n\n",
        kit.title, kit.revision, against.from
    );
    for row in by_class(&table.rows) {
        if row.class != Class::Same || copies_changed(row) {
            part(&mut out, row, against, &base, &kit.revision.to_string());
        }
    }
    let same: Vec<String> = table
        .rows
        .iter()
        .filter(|r| r.class == Class::Same && !copies_changed(r))
        .map(|r| r.part.clone())
        .collect();
    if !same.is_empty() {
        lines(&mut out, "same", &same.join(", "));
        out.push('\n');
    }
    for mixed in &table.mixed {
        lines(&mut out, "mixing", &mixed.words);
    }
    lines(
        &mut out,
        "not compared",
        "fits between old and new parts; what is said of mixing rests on the faces that moved",
    );
    for line in hardware::changes(&against.kit, kit) {
        lines(&mut out, "hardware", &line);
    }
    let [now, was] = [
        totals::totals(kit, checked.facts),
        totals::totals(&against.kit, &against.facts),
    ];
    for [name, value, delta] in totals::rows(&now, Some(&was)) {
        lines(&mut out, "total", &format!("{name}: {value} ({delta})"));
    }
    out.push('\n');
    let step = format!(
        "{}; the smallest revision after {base} is {}",
        table.step.word(),
        smallest(&against.kit.revision, table.step)
    );
    lines(&mut out, "step", &step);
    let _ = writeln!(out, "{}", counted(&table.rows));
    out
}

fn copies_changed(row: &Row) -> bool {
    matches!(row.counts, [Some(was), Some(is)] if was != is)
}

fn part(out: &mut String, row: &Row, against: &Against, base: &str, present: &str) {
    let mut head = format!("{} {}", name(row), revs(row));
    if let Some(copies) = copies(row) {
        head.push_str(&format!(", {copies}"));
    }
    lines(out, row.class.word(), &head);
    let mut field = |name: &str, value: &str| lines(out, &format!("  {name}"), value);
    field("why", &row.reason);
    if let Some(text) = &row.text {
        field("designer", text);
    }
    if let Some(overridden) = &row.overridden {
        field(
            "computed",
            &format!("{}: {}", overridden.computed.word(), overridden.reason),
        );
    }
    if row.class != Class::Same {
        field(
            "do",
            &format!(
                "unbuilt kit: {}; finished kit: {}",
                row.unbuilt.unbuilt(),
                row.class.finished()
            ),
        );
    }
    let change = against.compared.pairs[row.pair].change.as_ref();
    if let Some(words) = bench::told_apart(row, change, base, present) {
        field("tell apart", &words);
    }
    if let Some(change) = change.filter(|c| !c.regions.is_empty()) {
        let place = change.regions.first().map(|r| {
            let [x, y, z] = r.at;
            format!(", deepest at x {x:.1}  y {y:.1}  z {z:.1}")
        });
        field(
            "surface",
            &format!(
                "up to {:.2} mm, {:+.0} mm3, {} place{}{}",
                change.max_mm,
                change.volume_delta_mm3,
                change.regions_total,
                if change.regions_total == 1 { "" } else { "s" },
                place.unwrap_or_default()
            ),
        );
    }
    out.push('\n');
}

/// A name and its value, wrapped behind it.
fn lines(out: &mut String, name: &str, value: &str) {
    for (i, line) in wrap(value, WIDTH - FIELD, 0).into_iter().enumerate() {
        let name = if i == 0 { name } else { "" };
        let _ = writeln!(out, "{name:<FIELD$}{line}");
    }
}
