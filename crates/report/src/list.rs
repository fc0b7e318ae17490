//! Tables of `list`: rules, parts, waivers; and the rules' table as the README prints it.

use std::fmt::Write as _;

use kit::{Date, Kit};
use rules::registry::RULES;

/// Columns of text, each as wide as its widest cell.
pub(crate) fn columns(rows: &[Vec<String>]) -> String {
    let count = rows.iter().map(Vec::len).max().unwrap_or(0);
    let widths: Vec<usize> = (0..count)
        .map(|k| {
            rows.iter()
                .filter_map(|r| r.get(k))
                .map(|c| c.chars().count())
                .max()
                .unwrap_or(0)
        })
        .collect();
    let mut out = String::new();
    for row in rows {
        let mut line = String::new();
        for (k, cell) in row.iter().enumerate() {
            let pad = if k + 1 == row.len() {
                0
            } else {
                widths[k] + 2 - cell.chars().count()
            };
            line.push_str(cell);
            line.push_str(&" ".repeat(pad));
        }
        out.push_str(line.trim_end());
        out.push('\n');
    }
    out
}

fn row<const N: usize>(cells: [&str; N]) -> Vec<String> {
    cells.map(str::to_string).to_vec()
}

/// Every rule with its level and fault. With a kit, the level is the one in force there.
pub fn rules_table(kit: Option<&Kit>) -> String {
    let mut rows = vec![row(["rule", "level", "fault"])];
    for entry in RULES {
        let own = kit.and_then(|k| k.levels.iter().find(|l| entry.is_named(&l.rule)));
        let level = match own {
            Some(o) => format!("{} (line {})", o.level.word(), o.line),
            None => entry.rule.level.word().to_string(),
        };
        rows.push(vec![entry.rule.id.into(), level, entry.rule.title.into()]);
    }
    columns(&rows)
}

/// The rules as a Markdown table, for the README.
pub fn rules_markdown() -> String {
    let mut out = String::from("| rule | level | fault |\n|---|---|---|\n");
    for entry in RULES {
        let _ = writeln!(
            out,
            "| `{}` | {} | {} |",
            entry.rule.id,
            entry.rule.level.word(),
            entry.rule.title
        );
    }
    out
}

/// Every part with each of its values and where that came from.
pub fn parts_table(kit: &Kit) -> String {
    let mut out = String::new();
    for part in &kit.parts {
        let promises: Vec<&str> = kit
            .promises_for(part)
            .iter()
            .map(|p| p.id.as_str())
            .collect();
        let proven = if promises.is_empty() {
            "no promise admits it".to_string()
        } else {
            format!("proven on {}", promises.join(", "))
        };
        let _ = writeln!(out, "{} r{}, {}, {proven}", part.id, part.rev, pieces(part));
        let rows: Vec<Vec<String>> = part
            .origins
            .iter()
            .map(|o| vec![format!("  {}", o.key), o.value.clone(), o.from.to_string()])
            .collect();
        out.push_str(&columns(&rows));
        out.push('\n');
    }
    out
}

/// Every waiver with its reason, its end, and whether it still holds on a day.
pub fn waivers_table(kit: &Kit, day: Date) -> String {
    if kit.waivers.is_empty() {
        return "no waivers\n".into();
    }
    let mut rows = vec![row([
        "rule", "part", "floor", "places", "ends", "state", "line", "reason",
    ])];
    for w in &kit.waivers {
        rows.push(vec![
            w.rule.clone(),
            w.part.clone().unwrap_or_else(|| "the kit".into()),
            w.not_worse_than.map_or("-".into(), |f| f.to_string()),
            w.places.map_or("-".into(), |n| n.to_string()),
            rules::until(w),
            rules::waiver::state(w, &kit.revision, day),
            w.line.to_string(),
            w.reason.clone(),
        ]);
    }
    columns(&rows)
}

/// Copies of a part in words: "1 piece", "8 pieces and 1 spare".
pub(crate) fn pieces(part: &kit::Part) -> String {
    let count = match part.count {
        1 => "1 piece".to_string(),
        n => format!("{n} pieces"),
    };
    match part.spare {
        0 => count,
        n => format!("{count} and {n} spare"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn columns_line_up() {
        let rows = [row(["a", "bb", "c"]), row(["aaa", "b", "cc"])];
        assert_eq!(columns(&rows), "a    bb  c\naaa  b   cc\n");
    }
}
