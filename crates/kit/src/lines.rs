//! From a byte offset to a line and a column.

/// Where the lines of a text begin.
pub(crate) struct Lines<'a> {
    text: &'a str,
    starts: Vec<usize>,
}

impl<'a> Lines<'a> {
    pub fn new(text: &'a str) -> Lines<'a> {
        let ends = text.bytes().enumerate().filter(|(_, b)| *b == b'\n');
        let starts = std::iter::once(0).chain(ends.map(|(i, _)| i + 1)).collect();
        Lines { text, starts }
    }

    /// Line and column of an offset, both from 1, the column in characters.
    pub fn place(&self, offset: usize) -> (usize, usize) {
        let offset = floor_boundary(self.text, offset);
        let line = self.starts.partition_point(|&start| start <= offset);
        let start = self.starts[line - 1];
        // A byte order mark is no character of the first line.
        let skipped = usize::from(line == 1 && self.text.starts_with('\u{feff}') && offset > 0);
        let column = 1 + self.text[start..offset].chars().count() - skipped;
        (line, column)
    }

    /// Line of an offset, from 1.
    pub fn line(&self, offset: usize) -> usize {
        self.starts.partition_point(|&start| start <= offset).max(1)
    }

    /// Byte range of a line (from 1) without its line end.
    pub fn range(&self, line: usize) -> std::ops::Range<usize> {
        let start = self.starts[line - 1];
        let end = self
            .starts
            .get(line)
            .map_or(self.text.len(), |next| next - 1);
        let end = if self.text[start..end].ends_with('\r') {
            end - 1
        } else {
            end
        };
        start..end
    }

    pub fn text(&self) -> &'a str {
        self.text
    }
}

/// The offset, or the nearest lower one that stands between characters.
pub(crate) fn floor_boundary(text: &str, offset: usize) -> usize {
    let mut at = offset.min(text.len());
    while !text.is_char_boundary(at) {
        at -= 1;
    }
    at
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn columns_count_characters() {
        let lines = Lines::new("ab\nü = 1\r\n");
        assert_eq!(lines.place(0), (1, 1));
        assert_eq!(lines.place(2), (1, 3));
        assert_eq!(lines.place(3), (2, 1));
        assert_eq!(lines.place(4), (2, 1), "within a character");
        assert_eq!(lines.place(6), (2, 3));
        assert_eq!(lines.place(99), (3, 1));
        assert_eq!(lines.range(2), 3..9);
        assert_eq!(Lines::new("\u{feff}x = 1").place(3), (1, 1));
        assert_eq!(Lines::new("").place(0), (1, 1));
    }
}
