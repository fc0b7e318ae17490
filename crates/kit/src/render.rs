//! Faults as a person reads them: the line, a caret under the place, what was expected, what to do.

use annotate_snippets::{AnnotationKind, Level, Renderer, Snippet};

use crate::fault::Fault;
use crate::lines::{Lines, floor_boundary};

/// A longer line is cut to this many bytes around its fault: nobody reads it whole.
const SHOWN: usize = 160;

/// Renders faults against the text they were found in, each with line, column and caret; `color` adds
/// terminal colours. A blank line stands between two faults.
pub fn render(faults: &[Fault], text: &str, color: bool) -> String {
    let lines = Lines::new(text);
    let renderer = if color {
        Renderer::styled()
    } else {
        Renderer::plain()
    };
    let shown: Vec<String> = faults
        .iter()
        .map(|fault| one(fault, &lines, &renderer))
        .collect();
    let mut out = shown.join("\n\n");
    if !out.is_empty() {
        out.push('\n');
    }
    out
}

fn one(fault: &Fault, lines: &Lines<'_>, renderer: &Renderer) -> String {
    let text = lines.text();
    let start = floor_boundary(text, fault.span.start);
    let line = lines.range(lines.line(start));
    let from = if start - line.start > SHOWN / 2 {
        floor_boundary(text, start - SHOWN / 2)
    } else {
        line.start
    };
    // Tabs and other control characters would shift the caret; they are shown as blanks.
    let to = floor_boundary(text, line.end.min(from + SHOWN)).max(from);
    let source: String = text[from..to]
        .chars()
        .map(|c| if c.is_control() { ' ' } else { c })
        .collect();
    let at = shift(&text[from..to], start.min(to) - from);
    let end = floor_boundary(text, fault.span.end.clamp(start, to.max(start)));
    let until = shift(&text[from..to], end.clamp(from, to) - from).max(at);
    // The file name carries line and column itself: the column of a cut line would be wrong.
    let place = format!("{}:{}:{}", fault.file, fault.line, fault.column);
    let mut snippet = Snippet::source(source).line_start(fault.line);
    let mut mark = AnnotationKind::Primary.span(at..until);
    let expected = fault
        .expected
        .as_ref()
        .map(|expected| format!("expected {expected}"));
    if let Some(expected) = &expected {
        mark = mark.label(expected.as_str());
    }
    snippet = snippet.annotation(mark);
    let title = format!("{place}: {}", fault.message);
    let mut group = Level::ERROR.no_name().primary_title(title).element(snippet);
    if let Some(help) = &fault.help {
        group = group.element(Level::HELP.no_name().message(help.as_str()));
    }
    renderer.render(&[group])
}

/// A byte offset after control characters have become blanks of one byte each.
fn shift(text: &str, offset: usize) -> usize {
    text[..floor_boundary(text, offset)]
        .chars()
        .map(|c| if c.is_control() { 1 } else { c.len_utf8() })
        .sum()
}
