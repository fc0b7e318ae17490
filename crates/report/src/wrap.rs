//! Lines of a terminal: wrapping and cutting by characters.

/// A word longer than this is cut within.
const LONGEST: usize = 14;

/// Columns of a terminal that everything fits.
pub const WIDTH: usize = 80;

/// Wraps at spaces to at most `width` characters; following lines are indented. A word longer than a line
/// stands on a line of its own, uncut: it may be a path to copy.
pub fn wrap(text: &str, width: usize, indent: usize) -> Vec<String> {
    let mut lines = Vec::new();
    let mut line = String::new();
    for word in text.split_whitespace() {
        let would = line.chars().count() + 1 + word.chars().count();
        if line.trim().is_empty() {
            line.push_str(word);
        } else if would <= width {
            line.push(' ');
            line.push_str(word);
        } else {
            lines.push(std::mem::take(&mut line));
            line = " ".repeat(indent) + word;
        }
    }
    if !line.is_empty() || lines.is_empty() {
        lines.push(line);
    }
    lines
}

/// The text in one line: breaks and runs of spaces become one space.
pub fn one_line(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// The text, or as much as fits with an ellipsis that says it was cut.
pub fn cut(text: &str, width: usize) -> String {
    if text.chars().count() <= width {
        return text.to_string();
    }
    let mut kept: String = text.chars().take(width.saturating_sub(1)).collect();
    // Between words, where that costs little.
    let inside = !text
        .chars()
        .nth(width.saturating_sub(1))
        .is_some_and(char::is_whitespace);
    if let Some(at) = kept
        .rfind(' ')
        .filter(|at| inside && kept.len() - at <= LONGEST)
    {
        kept.truncate(at);
    }
    kept.truncate(kept.trim_end().len());
    kept + "\u{2026}"
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn wraps_and_cuts() {
        assert_eq!(wrap("a bb ccc", 4, 1), ["a bb", " ccc"]);
        assert_eq!(wrap("", 4, 0), [""]);
        assert_eq!(cut("abcdef", 4), "abc\u{2026}");
        assert_eq!(cut("abc", 4), "abc");
    }
}
