//! The difference for a terminal.

use std::fmt::Write as _;

use rules::Against;
use rules::reprint::{Class, Row, smallest};

use super::{bench, by_class, copies, counted, doing, facts, hardware, name, revs, shown, totals};
use crate::input::Checked;
use crate::number::rounded;
use crate::wrap::{WIDTH, one_line, wrap};

/// The column in which a row's fields start.
const FIELD: usize = 14;

/// The whole text.
pub fn diff_text(checked: &Checked, against: &Against) -> String {
    let (kit, table) = (checked.kit, &against.table);
    let base = against.kit.revision.to_string();
    let mut out = format!(
        "{} {} against {base} ({})\n\n",
        one_line(&kit.title),
        kit.revision,
        against.from
    );
    if kit.revision < against.kit.revision {
        out.push_str("The base is the later of the two: this tells the way back.\n\n");
    }
    for row in by_class(&table.rows) {
        if shown(row) && !listed(row) {
            part(&mut out, row, checked, against, &base);
        }
    }
    for class in [Class::New, Class::Retired] {
        let rows = table.rows.iter().filter(|r| r.class == class && listed(r));
        let names: Vec<String> = rows.map(listed_name).collect();
        if !names.is_empty() {
            lines(&mut out, class.word(), &names.join(", "));
            told(
                &mut out,
                [class.unbuilt().to_string(), class.finished().to_string()],
            );
            out.push('\n');
        }
    }
    let same: Vec<String> = table
        .rows
        .iter()
        .filter(|r| !shown(r))
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

/// Rows of which nothing more is to be said than that they are new or gone: those are told together.
fn listed(row: &Row) -> bool {
    matches!(row.class, Class::New | Class::Retired)
        && row.text.is_none()
        && row.overridden.is_none()
}

fn listed_name(row: &Row) -> String {
    match copies(row) {
        Some(copies) => format!("{} ({copies})", row.part),
        None => row.part.clone(),
    }
}

/// What a builder does, with an unbuilt and with a finished kit.
fn told(out: &mut String, [unbuilt, finished]: [String; 2]) {
    let words = format!("unbuilt kit: {unbuilt}; finished kit: {finished}");
    lines(out, "  do", &words);
}

fn part(out: &mut String, row: &Row, checked: &Checked, against: &Against, base: &str) {
    let present = checked.kit.revision.to_string();
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
    told(out, doing(row));
    let mut field = |name: &str, value: &str| lines(out, &format!("  {name}"), value);
    let change = against.compared.pairs[row.pair].change.as_ref();
    if let Some(words) = bench::told_apart(row, change, base, &present) {
        field("tell apart", &words);
    }
    if let Some(change) = change.filter(|c| !c.regions.is_empty()) {
        let place = change.regions.first().map(|r| {
            let [x, y, z] = r.at.map(|v| rounded(v, 1).unwrap_or(0.0));
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
    if let Some(words) = bench::only_rounds(change) {
        field("changed", &words);
    }
    if let [Some(was), Some(is)] = row.revs
        && was == is
        && change.is_some_and(|c| !c.regions.is_empty())
    {
        let words =
            format!("still {is}: raise it in kit.toml, so that file names tell old from new");
        field("rev", &words);
    }
    let measured = facts::otherwise(row, checked, against);
    if !measured.is_empty() {
        field("measured", &measured);
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
