//! Text as a cell or a line of Markdown, so that nothing a kit says becomes markup, a mention or a new row.

use crate::wrap::cut;

/// Characters that mean something in Markdown or in the HTML within it.
const MARKUP: &str = "\\`*_[]#|~$";

/// A text on one line, markup escaped, at most `most` characters before that.
pub fn line(text: &str, most: usize) -> String {
    let flat: String = text.split_whitespace().collect::<Vec<_>>().join(" ");
    let mut out = String::new();
    for c in cut(&flat, most).chars() {
        match c {
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '&' => out.push_str("&amp;"),
            // A space of no width keeps a name from being called.
            '@' => out.push_str("@\u{200b}"),
            c if MARKUP.contains(c) => {
                out.push('\\');
                out.push(c);
            }
            c if c.is_control() => out.push('\u{fffd}'),
            c => out.push(c),
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::line;

    /// CommonMark 2.4: a backslash before ASCII punctuation makes it plain; 2.5: entities are text.
    #[test]
    fn nothing_becomes_markup() {
        assert_eq!(line("a | b\nc", 100), "a \\| b c");
        assert_eq!(
            line("<!-- x --> @all `y`", 100),
            "&lt;!-- x --&gt; @\u{200b}all \\`y\\`"
        );
        assert_eq!(line("abcdef", 4), "abc\u{2026}");
    }
}
