//! A step's summary: the whole verdict on a page of Markdown that a build server shows.

use findings::Level;

use super::sheet::{Sheet, head, news, open, unmeasured, waived};
use super::{Run, most};

/// Bytes that a step's summary takes in all.
pub fn summary_room() -> usize {
    most(&limits::platform_limits().summary_bytes)
}

/// The summary, at most `room` bytes; where that is too little, the last line says what was cut.
pub fn summary(run: &Run, room: usize) -> String {
    let mut sheet = Sheet::new(room.min(summary_room()));
    sheet.put(&head(run));
    sheet.put(&news(run));
    sheet.table("Blocks", &open(run, Level::Block), false);
    sheet.table("Warnings", &open(run, Level::Warn), false);
    unmeasured(run, &mut sheet);
    sheet.table("Waived", &waived(run), false);
    sheet.table("Notes", &open(run, Level::Note), true);
    sheet.end(run.checked.verdict.findings.len(), run.whole_list)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::ci::trial::{many, with};

    #[test]
    fn it_fits_any_room_and_says_what_was_cut() {
        let verdict = many(500);
        let whole = with(&verdict, Level::Block, |run| summary(run, summary_room()));
        assert!(whole.len() <= 1 << 20);
        assert!(!whole.contains("Cut to fit"));
        assert_eq!(whole.matches("number ").count(), 1500);
        for room in [0, 500, 2_000, 20_000, 200_000] {
            let cut = with(&verdict, Level::Block, |run| summary(run, room));
            assert!(cut.len() <= room.max(400), "{room}: {}", cut.len());
            assert!(cut.contains("**Cut to fit**"), "{room}");
            assert!(
                cut.contains("of 1503 findings are not listed here"),
                "{cut}"
            );
            assert!(cut.contains("report.html"));
        }
    }

    #[test]
    fn it_is_one_mebibyte_at_most() {
        let verdict = many(4_000);
        let text = with(&verdict, Level::Block, |run| summary(run, usize::MAX));
        assert!(
            text.len() <= 1 << 20 && text.len() > 1_000_000,
            "{}",
            text.len()
        );
        assert!(text.contains("**Cut to fit**"));
    }

    #[test]
    fn no_text_of_a_kit_becomes_markup_or_a_row() {
        let text = with(&many(1), Level::Block, |run| summary(run, summary_room()));
        assert!(
            text.starts_with("## BLOCKED: A \\| &lt;trial&gt; @\u{200b}all 1.2.0\n"),
            "{text}"
        );
        for row in text.lines().filter(|l| l.starts_with("| ")) {
            let bars = row.replace("\\|", "").matches('|').count();
            assert_eq!(bars, 7, "{row}");
        }
    }

    /// The last part of a row that was cut is as many as were not listed.
    #[test]
    fn what_is_cut_and_what_is_listed_make_the_whole() {
        let verdict = many(500);
        let text = with(&verdict, Level::Block, |run| summary(run, 50_000));
        let listed = text
            .lines()
            .filter(|l| l.starts_with("| ") && !l.starts_with("| part "))
            .count();
        let cut: usize = text
            .split("**Cut to fit**: ")
            .nth(1)
            .and_then(|t| t.split(' ').next())
            .and_then(|n| n.parse().ok())
            .expect("a count");
        assert_eq!(listed + cut, 1503);
    }
}
