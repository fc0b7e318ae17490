//! A comment for a pull request. Its first line is hidden and names the kit, so that a bot finds the comment it
//! wrote before and updates it.

use findings::Level;

use super::sheet::{Sheet, head, news, open, unmeasured, waived};
use super::{Run, most};

/// The comment, at most as long as a host takes; where that is too little, the last line says what was cut.
pub fn comment(run: &Run) -> String {
    let mut sheet = Sheet::new(most(&limits::platform_limits().comment_characters));
    // An id is a-z, 0-9 and hyphens, but two hyphens would end the comment of HTML.
    let id = run.checked.kit.id.replace("--", "-\u{2060}-");
    sheet.put(&format!("<!-- kitproof: {id} -->\n"));
    sheet.put(&head(run));
    sheet.table("Blocks", &open(run, Level::Block), false);
    sheet.put(&news(run));
    sheet.table("Waived", &waived(run), false);
    unmeasured(run, &mut sheet);
    let warnings = open(run, Level::Warn);
    sheet.table(&format!("Warnings: {}", warnings.len()), &warnings, true);
    let notes = open(run, Level::Note);
    sheet.table(&format!("Notes: {}", notes.len()), &notes, true);
    sheet.end(run.checked.verdict.findings.len(), run.whole_list)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::ci::trial::{finding, many, with};
    use findings::Since;

    #[test]
    fn it_fits_and_its_first_line_is_hidden() {
        let text = with(&many(500), Level::Block, comment);
        assert!(text.chars().count() <= 65_536 && text.len() > 60_000);
        assert!(text.starts_with("<!-- kitproof: trial -->\n## BLOCKED: "));
        assert!(text.contains("**Cut to fit**"));
        assert_eq!(
            text.matches("<details>").count(),
            text.matches("</details>").count()
        );
    }

    #[test]
    fn it_tells_what_is_new() {
        let mut verdict = many(2);
        let old = with(&verdict, Level::Block, comment);
        assert!(!old.contains("new") && !old.contains("since"), "{old}");
        for (i, f) in verdict.findings.iter_mut().enumerate() {
            f.since = Some(Since {
                new: i == 0,
                base: "1.1.0".into(),
                measured: Some(0.88),
                words: if i == 0 {
                    "new: 0.88 mm in 1.1.0"
                } else {
                    "1.1.0 or before"
                }
                .into(),
            });
        }
        let text = with(&verdict, Level::Block, comment);
        assert!(
            text.contains("**New in this revision: 1**: `wall.lost` on left r2."),
            "{text}"
        );
        assert!(text.contains("new: 0.88 mm in 1.1.0"));
        verdict.findings.remove(0);
        let text = with(&verdict, Level::Block, comment);
        assert!(text.contains("Nothing here is new"), "{text}");
    }

    #[test]
    fn a_stricter_run_says_why_it_fails() {
        let mut verdict = many(0);
        verdict
            .findings
            .push(finding("wall.thin", Level::Warn, "right"));
        let text = with(&verdict, Level::Warn, comment);
        assert!(
            text.contains("READY, but `--fail-on warn` fails this run on 1 findings"),
            "{text}"
        );
        assert!(text.contains("exit code 1"));
        let text = with(&verdict, Level::Block, comment);
        assert!(text.contains("exit code 0") && !text.contains("fails this run"));
    }
}
