//! Text as XML 1.0 takes it.

/// Text for an attribute or an element: the five characters of markup as entities, line ends and tabs as
/// character references (an attribute would lose them), and U+FFFD for whatever XML 1.0 does not know (2.2).
pub fn escaped(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for c in text.chars() {
        match c {
            '&' => out.push_str("&amp;"),
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '"' => out.push_str("&quot;"),
            '\'' => out.push_str("&apos;"),
            '\n' => out.push_str("&#10;"),
            '\r' => out.push_str("&#13;"),
            '\t' => out.push_str("&#9;"),
            '\u{0}'..='\u{1f}' | '\u{fffe}' | '\u{ffff}' => out.push('\u{fffd}'),
            c => out.push(c),
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::escaped;

    #[test]
    fn markup_line_ends_and_what_xml_does_not_know() {
        assert_eq!(escaped("a<b>&\"c'"), "a&lt;b&gt;&amp;&quot;c&apos;");
        assert_eq!(escaped("a\nb\tc\r"), "a&#10;b&#9;c&#13;");
        // XML 1.0, 2.2: of the controls only tab, line feed and carriage return are characters.
        assert_eq!(
            escaped("\u{1b}[1m\u{0}\u{ffff}"),
            "\u{fffd}[1m\u{fffd}\u{fffd}"
        );
    }
}
