//! Faults of TOML itself, as many as can be told apart.
//!
//! The parser recovers by itself from most faults. A list or inline table that is never closed swallows the
//! rest of the text, though, and all that it says of that rest is noise. Such a value is reported where it
//! opens and blanked out (byte for byte, so that places hold), and the text is parsed again.

use std::ops::Range;

use toml::de::{DeTable, Error};

use crate::faults::Trouble;

/// So often a text is parsed again; a text with more values left open shows the first ones.
const ROUNDS: usize = 12;
/// A text of more bytes is parsed twice at most: nobody wrote it by hand.
const LONG: usize = 1 << 16;

/// The faults of syntax of a text, and the text without what swallowed the rest.
pub(crate) struct Syntax {
    pub faults: Vec<(Range<usize>, Trouble)>,
    /// Whether what is missing may only be unread.
    pub broken: bool,
    /// The text to read values from; as long as the text itself.
    pub text: String,
}

pub(crate) fn check(text: &str) -> Syntax {
    let mut out = Syntax {
        faults: Vec::new(),
        broken: false,
        text: text.to_string(),
    };
    let rounds = if text.len() > LONG { 2 } else { ROUNDS };
    for _ in 0..rounds {
        let (_, errors) = DeTable::parse_recoverable(&out.text);
        let Some((span, trouble, region)) = left_open(&out.text, &errors) else {
            for error in of_their_own(&errors) {
                out.broken |= breaks_structure(error.message());
                out.faults
                    .push((span_of(error, text), said(error.message())));
            }
            return out;
        };
        out.broken = true;
        out.faults.push((span, trouble));
        blank(&mut out.text, region);
    }
    out
}

fn span_of(error: &Error, text: &str) -> Range<usize> {
    error.span().unwrap_or(text.len()..text.len())
}

/// Something that is not closed and takes what follows with it: where it opens, what to say, what to blank.
fn left_open(text: &str, errors: &[Error]) -> Option<(Range<usize>, Trouble, Range<usize>)> {
    let header = errors.iter().find(|error| {
        let message = error.message();
        message.starts_with("unclosed array table") || message.starts_with("unclosed table")
    });
    if let Some(error) = header {
        let span = span_of(error, text);
        // Its keys belong to no table that is known: they go with it, up to the next header.
        let start = text[..span.start.min(text.len())]
            .rfind('\n')
            .map_or(0, |i| i + 1);
        let end = text[start..]
            .find("\n[")
            .map_or(text.len(), |i| start + i + 1);
        let told = said(error.message());
        return Some((span, told, start..end)).filter(|_| !text[start..end].trim().is_empty());
    }
    let first = &errors[swallow(errors)?];
    let open = opening(text, span_of(first, text))?;
    let list = text[open.bracket..].starts_with('[');
    let (what, close) = if list { ("list", "]") } else { ("table", "}") };
    let trouble = Trouble::new(format!("this {what} is not closed")).expected(format!("`{close}`"));
    Some((open.bracket..open.bracket + 1, trouble, open.value))
}

/// The errors up to a value that is never closed: those after it only repeat that.
fn of_their_own(errors: &[Error]) -> &[Error] {
    match swallow(errors) {
        Some(first) => &errors[..=first],
        None => errors,
    }
}

/// The first error that comes of a value left open at the end of the text.
fn swallow(errors: &[Error]) -> Option<usize> {
    let left_open = errors.iter().any(|error| {
        let message = error.message();
        message.starts_with("unclosed array,") || message.starts_with("unclosed inline table")
    });
    if !left_open {
        return None;
    }
    errors.iter().position(|error| {
        let message = error.message();
        [
            "array elements",
            "in array",
            "unclosed array,",
            "inline table",
            "key-value pairs",
        ]
        .iter()
        .any(|words| message.contains(words))
    })
}

/// A value that is never closed.
struct Open {
    /// Its bracket or brace.
    bracket: usize,
    /// From its key to before the line that it swallows first.
    value: Range<usize>,
}

/// Looks back from an error for the `key = [` or `key = {` that opens above it.
fn opening(text: &str, error: Range<usize>) -> Option<Open> {
    let at = error.start.min(text.len());
    let line_start = text[..at].rfind('\n').map_or(0, |i| i + 1);
    let line_end = text[at..].find('\n').map_or(text.len(), |i| at + i + 1);
    // An error at the start of a line is the line that the value swallows; else it is within the value.
    let within = !text[line_start..at].trim().is_empty();
    let end = if within { line_end } else { line_start };
    let mut start = if within {
        line_start
    } else {
        text[..line_start.saturating_sub(1)]
            .rfind('\n')
            .map_or(0, |i| i + 1)
    };
    loop {
        let line = &text[start..text[start..].find('\n').map_or(text.len(), |i| start + i)];
        if let Some((key, value)) = line.split_once('=')
            && !key.trim().is_empty()
            && !key.contains(['#', '[', '{', ','])
            && value.trim_start().starts_with(['[', '{'])
        {
            let bracket = start + key.len() + 1 + (value.len() - value.trim_start().len());
            return (end > start).then_some(Open {
                bracket,
                value: start..end,
            });
        }
        if start == 0 {
            return None;
        }
        start = text[..start - 1].rfind('\n').map_or(0, |i| i + 1);
    }
}

/// Puts blanks in place of everything but line ends.
fn blank(text: &mut String, range: Range<usize>) {
    let blanks: String = text[range.clone()]
        .bytes()
        .map(|b| if b == b'\n' { '\n' } else { ' ' })
        .collect();
    text.replace_range(range, &blanks);
}

/// Whether a fault of syntax may have swallowed keys or tables. One within a single value does not, nor
/// does a key written twice: what is missing is then truly missing.
fn breaks_structure(message: &str) -> bool {
    let whole = [
        "duplicate key",
        "invalid date",
        "invalid time",
        "invalid integer",
        "invalid float",
    ];
    !whole.iter().any(|start| message.starts_with(start))
}

fn said(message: &str) -> Trouble {
    let message = message.lines().next().unwrap_or("");
    if message == "duplicate key" {
        return Trouble::new("this key stands here for the second time")
            .help("leave one of them out");
    }
    let (what, expected) = match message.split_once(", expected ") {
        Some((what, expected)) => (what, Some(expected)),
        None => (message, None),
    };
    let trouble = Trouble::new(format!("not TOML: {what}"));
    match expected {
        Some(expected) => trouble.expected(expected),
        None => trouble,
    }
}

#[cfg(test)]
mod tests {
    use super::check;

    fn places(text: &str) -> Vec<(usize, String)> {
        let faults = check(text).faults;
        faults
            .into_iter()
            .map(|(span, trouble)| {
                (
                    1 + text[..span.start].matches('\n').count(),
                    trouble.message,
                )
            })
            .collect()
    }

    #[test]
    fn each_value_left_open_is_told_once_where_it_opens() {
        let text = "a = [1, 2\nb = 3\n[t]\nc = {x = 1\nd = [\n  1,\n  2\n[[u]]\ne = 5\n";
        let open = |what: &str| format!("this {what} is not closed");
        assert_eq!(
            places(text),
            [(1, open("list")), (4, open("table")), (5, open("list"))]
        );
        let rest = check(text).text;
        assert_eq!(rest.len(), text.len());
        assert!(
            rest.contains("b = 3\n[t]\n") && rest.ends_with("[[u]]\ne = 5\n"),
            "{rest}"
        );
    }

    #[test]
    fn a_header_left_open_takes_its_keys_with_it_and_no_more() {
        let text = "[[a]\nb = 1\n\n[c]\nd = 2\n[e\nf = 3\n[[a]]\nb = 4\n";
        let found = places(text);
        assert_eq!(
            found.iter().map(|(line, _)| *line).collect::<Vec<_>>(),
            [1, 6],
            "{found:?}"
        );
        assert!(check(text).text.contains("[c]\nd = 2\n"));
    }

    #[test]
    fn a_sound_text_has_none_and_is_left_as_it_is() {
        let text = "a = [\n  [1, 2],\n  [3],\n]\nb = { c = 1 } # [\n";
        assert!(places(text).is_empty());
        assert_eq!(check(text).text, text);
    }

    #[test]
    fn a_bracket_alone_is_told_once() {
        for text in [
            "[",
            "a = [",
            "a = [[[[\n",
            "= [",
            "a = {\n\n\n",
            "[a\n",
            "a = [\n#\n",
            "x\ny=[1\n",
        ] {
            let found = places(text);
            assert!((1..=2).contains(&found.len()), "{text}: {found:?}");
        }
    }
}
