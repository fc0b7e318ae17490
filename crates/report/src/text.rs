//! The terminal's text: findings of at most six lines at 80 columns, "Do first", and the verdict last.

use std::fmt::Write as _;

use findings::{Finding, Level};

use crate::first;
use crate::html::level_word;
use crate::input::{Checked, Extent};
use crate::number::rounded;
use crate::wrap::{WIDTH, cut, one_line, wrap};

/// How the text is laid out.
#[derive(Debug, Clone, Copy, Default)]
pub struct TextStyle {
    /// ANSI colour on the level's word.
    pub color: bool,
    /// Notes in full, too.
    pub verbose: bool,
    /// The verdict's line only.
    pub quiet: bool,
}

/// At most so many findings of one rule are printed in full; the others fold into a line.
const FULL_PER_RULE: usize = 3;
/// The column in which a finding's fields start.
const FIELD: usize = 12;

/// The whole text of a check. `report` is the path of report.html as the reader would open it, if written.
pub fn text(checked: &Checked, report: Option<&str>, style: TextStyle) -> String {
    let mut out = String::new();
    if !style.quiet {
        let kit = checked.kit;
        let _ = writeln!(
            out,
            "{} {}, rule set {}",
            one_line(&kit.title),
            kit.revision,
            kit.rule_set
        );
        if let Some(words) = checked.extent.words() {
            let _ = writeln!(out, "{words}");
        }
        out.push('\n');
        findings(&mut out, checked, report, style);
        unmeasured(&mut out, checked);
        do_first(&mut out, checked);
    }
    out.push_str(&last_line(checked, style));
    out.push('\n');
    out
}

/// The fault in words is worth so many columns at least.
const TELLING: usize = 24;

fn findings(out: &mut String, checked: &Checked, report: Option<&str>, style: TextStyle) {
    let all = &checked.verdict.findings;
    let open: Vec<&Finding> = all.iter().filter(|f| f.waived.is_none()).collect();
    for level in [Level::Block, Level::Warn, Level::Note] {
        if level == Level::Note && !style.verbose {
            continue;
        }
        let mut rules: Vec<&str> = Vec::new();
        for f in open.iter().filter(|f| f.level == level) {
            if !rules.contains(&f.rule.as_str()) {
                rules.push(&f.rule);
            }
        }
        for rule in rules {
            let same: Vec<&&Finding> = open
                .iter()
                .filter(|f| f.level == level && f.rule == rule)
                .collect();
            let full = if style.verbose {
                same.len()
            } else {
                FULL_PER_RULE
            };
            for f in same.iter().take(full) {
                out.push_str(&finding(f, report, style.color, false));
                out.push('\n');
            }
            if same.len() > full {
                let names: Vec<String> = same[full..].iter().map(|f| owner(f)).collect();
                let line = format!(
                    "         {rule}   also on {} more: {}",
                    same.len() - full,
                    names.join(", ")
                );
                let _ = writeln!(out, "{}\n", cut(&line, WIDTH));
            }
        }
    }
    let mut folded: Vec<(String, usize)> = Vec::new();
    let quiet_ones = all
        .iter()
        .filter(|f| f.waived.is_some() || (f.level == Level::Note && !style.verbose));
    for f in quiet_ones {
        let name = if f.waived.is_some() {
            format!("{} (waived)", f.rule)
        } else {
            f.rule.clone()
        };
        match folded.iter_mut().find(|(n, _)| *n == name) {
            Some((_, count)) => *count += 1,
            None => folded.push((name, 1)),
        }
    }
    if !folded.is_empty() {
        let list: Vec<String> = folded.iter().map(|(n, c)| format!("{n} {c}")).collect();
        // Only notes are printed by -v; what is waived stands in the report.
        let hint = if style.verbose {
            ""
        } else {
            " (-v prints them)"
        };
        let line = format!("noted: {}{hint}", list.join(", "));
        for l in wrap(&line, WIDTH, 7) {
            let _ = writeln!(out, "{l}");
        }
        out.push('\n');
    }
}

/// One finding, at most six lines of at most 80 columns; `whole`: as many lines as its words take.
pub fn finding(f: &Finding, report: Option<&str>, color: bool, whole: bool) -> String {
    let word = level_word(f.level);
    let mut head = format!("{word}  {:<10}  {}", f.rule, owner(f));
    // The fault in words where the line has room for it whole: the message, else the rule's title.
    let title = rules::find(&f.rule).map_or("", |e| e.rule.title);
    let room = WIDTH.saturating_sub(head.chars().count() + 2);
    let fits = |w: &&str| !w.is_empty() && w.chars().count() <= room;
    let words = [f.message.as_str(), title].into_iter().find(fits);
    if let Some(words) = words {
        let _ = write!(head, ": {words}");
    } else if !whole && !f.message.is_empty() && room >= TELLING {
        let _ = write!(head, ": {}", cut(&f.message, room));
    }
    let untold = whole && words.is_none() && !f.reading.is_empty();
    let head = head.replacen(word, &paint(word, f.level, color), 1);
    let mut lines = vec![head];
    let mut body: Vec<String> = Vec::new();
    let field = |name: &str, text: &str, most: usize| -> Vec<String> {
        let most = if whole { usize::MAX } else { most };
        let wrapped = wrap(text, WIDTH - FIELD, 0);
        let kept = wrapped.len().min(most);
        let mut lines: Vec<String> = wrapped.into_iter().collect();
        if lines.len() > most {
            let rest = lines[most - 1..].join(" ");
            lines.truncate(most - 1);
            lines.push(cut(&rest, WIDTH - FIELD));
        }
        lines
            .iter()
            .take(kept)
            .enumerate()
            .map(|(i, l)| format!("  {:<10}{l}", if i == 0 { name } else { "" }))
            .collect()
    };
    let reading = if f.reading.is_empty() {
        &f.message
    } else {
        &f.reading
    };
    let since = f.since.as_ref().map(|s| field("since", &s.words, 1));
    let place = places(f).map(|p| field("place", &p, 1));
    // Six lines in all: head and `more` are taken, the rest is shared out, what to do first.
    if untold {
        body.extend(field("fault", &f.message, 1));
    }
    let mut left = 4 - since.as_ref().map_or(0, Vec::len) - place.as_ref().map_or(0, Vec::len);
    let todo = field("do", &f.fix, (left - 1).max(1));
    left = left.saturating_sub(todo.len());
    body.extend(field("measured", reading, left.max(1)));
    body.extend(place.into_iter().flatten());
    body.extend(since.into_iter().flatten());
    body.extend(todo);
    lines.extend(body);
    let explain = format!("kitproof explain {}", f.rule);
    let more = match report {
        Some(path) => {
            let link = format!("{path}#{}", f.id);
            let both = format!("{link}    {explain}");
            // A path may be long; it must stay whole to be opened, so the other half goes first.
            if both.chars().count() + FIELD <= WIDTH {
                both
            } else {
                link
            }
        }
        None => explain,
    };
    lines.push(format!("  {:<10}{more}", "more"));
    lines.into_iter().map(|l| l + "\n").collect()
}

/// Who a finding is about: "gallery r2", or "the kit".
pub fn owner(f: &Finding) -> String {
    match f.parts.as_slice() {
        [] => "the kit".into(),
        [one] => format!("{} r{}", one.id, one.rev),
        many => many
            .iter()
            .map(|p| format!("{} r{}", p.id, p.rev))
            .collect::<Vec<_>>()
            .join(", "),
    }
}

/// The worst place in words; `None` where the finding has none.
pub fn places(f: &Finding) -> Option<String> {
    let first = f.places.first()?;
    let [x, y, z] = first.at.map(|v| rounded(v, 1).unwrap_or(0.0));
    let mut line = format!("x {x:.1}  y {y:.1}  z {z:.1}");
    if !first.note.is_empty() {
        let _ = write!(line, ", {}", first.note);
    }
    if f.places_total > 1 {
        let _ = write!(line, "; {} places, worst shown", f.places_total);
    }
    Some(line)
}

fn paint(word: &str, level: Level, color: bool) -> String {
    if !color {
        return word.to_string();
    }
    let code = match level {
        Level::Block => "1;35",
        Level::Warn => "33",
        _ => "36",
    };
    format!("\u{1b}[{code}m{word}\u{1b}[0m")
}

fn unmeasured(out: &mut String, checked: &Checked) {
    let list = &checked.verdict.not_measured;
    for n in list.iter().take(5) {
        let owner = if n.part.is_empty() {
            "the kit"
        } else {
            &n.part
        };
        let line = format!("not measured: {} of {owner}: {}", n.what, n.why);
        for l in wrap(&line, WIDTH, 14) {
            let _ = writeln!(out, "{l}");
        }
    }
    if list.len() > 5 {
        let _ = writeln!(out, "not measured: {} more, in the report", list.len() - 5);
    }
    if !list.is_empty() {
        out.push('\n');
    }
}

fn do_first(out: &mut String, checked: &Checked) {
    let rows = first::list(checked);
    if rows.is_empty() {
        return;
    }
    out.push_str("Do first\n");
    for (i, row) in rows.iter().enumerate() {
        let line = format!("  {}. {}: {}", i + 1, row.part, row.fix);
        let _ = writeln!(out, "{}", cut(&line, WIDTH));
    }
    out.push('\n');
}

/// The verdict in one line.
pub fn last_line(checked: &Checked, style: TextStyle) -> String {
    let verdict = checked.verdict;
    let parts = checked.facts.len();
    let pieces: u32 = checked.kit.parts.iter().map(|p| p.count).sum();
    let tail = match checked.extent {
        Extent::Whole => "",
        Extent::New(_) => " (what is new only)",
        Extent::Partial(_) => " (a part of the kit)",
        Extent::Incomplete(_) => " (incomplete: the run was stopped)",
    };
    if verdict.ready {
        let mut line = format!(
            "{}: {parts} {}, {pieces} {}, on {}{tail}",
            paint("READY", Level::Note, style.color),
            plural(parts, "part", "parts"),
            plural(pieces as usize, "piece", "pieces"),
            promises(checked),
        );
        let (w, n) = (verdict.count(Level::Warn), verdict.count(Level::Note));
        if w > 0 {
            let _ = write!(line, "; {w} {}", plural(w, "warning", "warnings"));
        }
        if n > 0 {
            let _ = write!(line, "; {n} {}", plural(n, "note", "notes"));
        }
        line
    } else {
        let faults = verdict.count(Level::Block);
        let mut hit: Vec<&str> = verdict
            .findings
            .iter()
            .filter(|f| f.blocks())
            .flat_map(|f| f.parts.iter().map(|p| p.id.as_str()))
            .collect();
        hit.sort_unstable();
        hit.dedup();
        let on_parts = format!(
            "{} of {parts} {}",
            hit.len(),
            plural(parts, "part", "parts")
        );
        let on_kit = verdict
            .findings
            .iter()
            .any(|f| f.blocks() && f.parts.is_empty());
        let where_ = match (hit.is_empty(), on_kit) {
            (true, _) => "the kit itself".to_string(),
            (false, false) => on_parts,
            (false, true) => format!("{on_parts} and on the kit itself"),
        };
        format!(
            "{}: {faults} {} on {where_}{tail}",
            paint("BLOCKED", Level::Block, style.color),
            plural(faults, "fault", "faults"),
        )
    }
}

fn promises(checked: &Checked) -> String {
    let ids: Vec<&str> = checked
        .verdict
        .promises
        .iter()
        .map(|p| p.id.as_str())
        .collect();
    match ids.as_slice() {
        [one] => format!("promise {one}"),
        many => format!("{} promises ({})", many.len(), many.join(", ")),
    }
}

fn plural<'a>(n: usize, one: &'a str, many: &'a str) -> &'a str {
    if n == 1 { one } else { many }
}
