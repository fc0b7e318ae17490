//! A Markdown sheet that fits where it is put: rows that do not fit are counted, and the last line says so.

use findings::{Finding, Level};

use super::markdown::line;
use super::{Run, Tally, words};
use crate::text::{TextStyle, last_line, owner, places};

/// Characters of a cell at most.
const CELL: usize = 300;
/// Bytes kept free for the line that says what was cut.
const CLOSING: usize = 400;

/// A sheet while it is written.
pub struct Sheet {
    text: String,
    most: usize,
    left_out: usize,
}

impl Sheet {
    /// An empty sheet of at most so many bytes. Bytes are never fewer than the characters that a host counts.
    pub fn new(most: usize) -> Sheet {
        Sheet {
            text: String::new(),
            most: most.saturating_sub(CLOSING),
            left_out: 0,
        }
    }

    /// Adds a piece whole, or not at all.
    pub fn put(&mut self, piece: &str) -> bool {
        let fits = self.text.len() + piece.len() <= self.most;
        if fits {
            self.text.push_str(piece);
        }
        fits
    }

    /// A table of findings under a heading, as far as it fits; `open` folds it away.
    pub fn table(&mut self, head: &str, findings: &[&Finding], folded: bool) {
        if findings.is_empty() {
            return;
        }
        let since = findings.iter().any(|f| words::since(f).is_some());
        let (open, close) = if folded {
            (
                format!("\n<details><summary>{head}</summary>\n\n"),
                "\n</details>\n",
            )
        } else {
            (format!("\n### {head}\n\n"), "")
        };
        let columns = if since {
            "| part | rule | fault | measured | place | since | do |\n|---|---|---|---|---|---|---|\n"
        } else {
            "| part | rule | fault | measured | place | do |\n|---|---|---|---|---|---|\n"
        };
        let mut lead = open + columns;
        for (i, f) in findings.iter().enumerate() {
            let row = format!("{lead}{}", row(f, since));
            // The end of a fold is kept free, or what follows would vanish in it.
            if self.text.len() + row.len() + close.len() > self.most {
                self.left_out += findings.len() - i;
                break;
            }
            self.text.push_str(&row);
            lead.clear();
        }
        if lead.is_empty() {
            self.text.push_str(close);
        }
    }

    /// The sheet, with a last line where something was left out.
    pub fn end(mut self, all: usize, whole_list: &str) -> String {
        let tail = if self.left_out > 0 {
            format!(
                "\n**Cut to fit**: {} of {all} findings are not listed here. The whole list is in `{}`.\n",
                self.left_out,
                line(whole_list, 100)
            )
        } else {
            format!(
                "\nEvery place and every measure is in `{}`.\n",
                line(whole_list, 100)
            )
        };
        self.text.push_str(&tail);
        self.text
    }
}

fn row(f: &Finding, since: bool) -> String {
    let mut cells = vec![
        line(&owner(f), CELL),
        format!("`{}`", f.rule),
        line(words::fault(f), CELL),
        line(&f.reading, CELL),
        line(&places(f).unwrap_or_default(), CELL),
    ];
    if since {
        cells.push(line(words::since(f).unwrap_or(""), CELL));
    }
    cells.push(match &f.waived {
        Some(waived) => line(&format!("waived {}: {}", waived.until, waived.reason), CELL),
        None => line(&f.fix, CELL),
    });
    format!("| {} |\n", cells.join(" | "))
}

/// The head of a sheet: the verdict, the kit, the counts, how much was checked.
pub fn head(run: &Run) -> String {
    let kit = run.checked.kit;
    let tally = Tally::of(run);
    let said = last_line(&run.checked, TextStyle::default());
    let rest = said
        .split_once(": ")
        .map_or(said.as_str(), |(_, rest)| rest);
    let mut out = format!(
        "## {}: {} {}\n\n{}\n\n{}",
        tally.verdict,
        line(&kit.title, CELL),
        kit.revision,
        line(rest, CELL),
        tally.words(),
    );
    if run.checked.verdict.ready && tally.failing > 0 {
        out += &format!(
            " (READY, but `--fail-on {}` fails this run on {} findings)",
            run.fail_on.word(),
            tally.failing
        );
    }
    out.push('\n');
    if let Some(words) = run.checked.extent.words() {
        out += &format!("\n{}\n", line(words, CELL));
    }
    out
}

/// The findings of a level without a waiver.
pub fn open<'a>(run: &Run<'a>, level: Level) -> Vec<&'a Finding> {
    run.checked
        .verdict
        .findings
        .iter()
        .filter(|f| f.level == level && f.waived.is_none())
        .collect()
}

/// The findings under a waiver.
pub fn waived<'a>(run: &Run<'a>) -> Vec<&'a Finding> {
    run.checked
        .verdict
        .findings
        .iter()
        .filter(|f| f.waived.is_some())
        .collect()
}

/// What is new against the base, in one line; empty without a base.
pub fn news(run: &Run) -> String {
    let findings = &run.checked.verdict.findings;
    if findings.iter().all(|f| words::since(f).is_none()) {
        return String::new();
    }
    let new: Vec<&Finding> = findings.iter().filter(|f| words::is_new(f)).collect();
    if new.is_empty() {
        return "\nNothing here is new: the base has every one of these findings.\n".into();
    }
    const NAMED: usize = 12;
    let mut names: Vec<String> = new
        .iter()
        .take(NAMED)
        .map(|f| format!("`{}` on {}", f.rule, line(&owner(f), CELL)))
        .collect();
    if new.len() > NAMED {
        names.push(format!("{} more", new.len() - NAMED));
    }
    format!(
        "\n**New in this revision: {}**: {}.\n",
        new.len(),
        names.join(", ")
    )
}

/// What was not measured, as a list.
pub fn unmeasured(run: &Run, sheet: &mut Sheet) {
    let list = &run.checked.verdict.not_measured;
    if list.is_empty() {
        return;
    }
    let head = "\n### Not measured\n\n";
    let mut rows = String::new();
    for (i, n) in list.iter().enumerate() {
        let owner = if n.part.is_empty() {
            "the kit"
        } else {
            &n.part
        };
        let row = format!(
            "- {} of {}: {}\n",
            line(&n.what, CELL),
            line(owner, CELL),
            line(&n.why, CELL)
        );
        const NAMED: usize = 50;
        if i == NAMED {
            rows += &format!("- {} more\n", list.len() - NAMED);
            break;
        }
        rows += &row;
    }
    if !sheet.put(&format!("{head}{rows}")) {
        sheet.put(&format!(
            "{head}{} things; the report lists them\n",
            list.len()
        ));
    }
}
