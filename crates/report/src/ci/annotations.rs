//! Annotations: lines of a log that a build server shows beside the manifest's lines.
//!
//! A step shows so many of a type and no more, so the gravest come first, and a total line says how many were
//! left out and where they are. Whatever a kit says is escaped: no text of it becomes a command.

use findings::{Finding, Level};

use super::{Run, Tally, most, words};
use crate::text::{TextStyle, last_line, owner};

/// How many annotations a step has left to show; several kits of one step share it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Room {
    errors: usize,
    warnings: usize,
    notices: usize,
    all: usize,
}

impl Room {
    /// The room of a step that has shown none yet.
    pub fn of_a_step() -> Room {
        let platform = limits::platform_limits();
        let each = most(&platform.annotations_type);
        Room {
            errors: each,
            warnings: each,
            notices: each,
            all: most(&platform.annotations_job),
        }
    }

    fn of(&mut self, kind: Kind) -> &mut usize {
        match kind {
            Kind::Error => &mut self.errors,
            Kind::Warning => &mut self.warnings,
            Kind::Notice => &mut self.notices,
        }
    }

    /// Takes one annotation's room, leaving `spare` of its type and in all; false where there is none.
    fn take(&mut self, kind: Kind, spare: usize) -> bool {
        let of_kind = if kind == Kind::Notice { spare } else { 0 };
        if *self.of(kind) <= of_kind || self.all <= spare {
            return false;
        }
        *self.of(kind) -= 1;
        self.all -= 1;
        true
    }
}

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Kind {
    Error,
    Warning,
    Notice,
}

impl Kind {
    fn word(self) -> &'static str {
        match self {
            Kind::Error => "error",
            Kind::Warning => "warning",
            Kind::Notice => "notice",
        }
    }

    fn of(level: Level) -> Kind {
        match level {
            Level::Block => Kind::Error,
            Level::Warn => Kind::Warning,
            Level::Note | Level::Off => Kind::Notice,
        }
    }
}

/// The annotations of a run, a line each, the total last; takes what it shows from `room`.
pub fn annotations(run: &Run, room: &mut Room) -> String {
    let mut out = String::new();
    let mut counts = Vec::new();
    for level in [Level::Block, Level::Warn, Level::Note] {
        let kind = Kind::of(level);
        let mut shown = 0;
        let mut all = 0;
        let findings = &run.checked.verdict.findings;
        for f in findings
            .iter()
            .filter(|f| f.level == level && f.waived.is_none())
        {
            all += 1;
            // The total keeps a place of its own.
            if room.take(kind, 1) {
                shown += 1;
                out += &command(run, kind, f);
            }
        }
        if shown < all {
            counts.push(format!("{shown} of {all} {}s", kind.word()));
        }
    }
    out + &total(run, &counts, room)
}

fn command(run: &Run, kind: Kind, f: &Finding) -> String {
    let title = format!("{} on {}", f.rule, owner(f));
    format!(
        "::{} file={},line={},title={}::{}\n",
        kind.word(),
        property(&run.manifest()),
        run.line(f),
        property(&title),
        data(&words::text(f, "\n"))
    )
}

/// The total line; an annotation itself where there is room for it.
fn total(run: &Run, cut: &[String], room: &mut Room) -> String {
    let mut words = format!(
        "{} ({})",
        last_line(&run.checked, TextStyle::default()),
        Tally::of(run).words()
    );
    if !cut.is_empty() {
        words += &format!(
            ". Cut to what a step shows: {}; the whole list is in {}",
            cut.join(", "),
            run.whole_list
        );
    }
    let title = format!("kitproof {}", run.checked.kit.id);
    if room.take(Kind::Notice, 0) {
        format!("::notice title={}::{}\n", property(&title), data(&words))
    } else {
        format!("{title}: {}\n", data(&words))
    }
}

/// The text of a command: percent, carriage return and line feed would end it or be read as escapes.
fn data(text: &str) -> String {
    text.replace('%', "%25")
        .replace('\r', "%0D")
        .replace('\n', "%0A")
}

/// A property of a command: a colon or a comma would end it as well.
fn property(text: &str) -> String {
    data(text).replace(':', "%3A").replace(',', "%2C")
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The host's documentation of its log commands (check values, section 10).
    #[test]
    fn escapes() {
        assert_eq!(data("50%\nnext"), "50%25%0Anext");
        assert_eq!(data("a\r\nb"), "a%0D%0Ab");
        assert_eq!(property("a: b, c"), "a%3A b%2C c");
        assert_eq!(property("50%:\n"), "50%25%3A%0A");
    }

    fn count(text: &str, kind: &str) -> usize {
        text.lines()
            .filter(|l| l.starts_with(&format!("::{kind} ")))
            .count()
    }

    #[test]
    fn ten_of_a_type_a_step_and_a_total_that_says_the_rest() {
        let verdict = crate::ci::trial::many(500);
        let (first, second) = crate::ci::trial::with(&verdict, Level::Block, |run| {
            let mut room = Room::of_a_step();
            (annotations(run, &mut room), annotations(run, &mut room))
        });
        assert_eq!(
            [
                count(&first, "error"),
                count(&first, "warning"),
                count(&first, "notice")
            ],
            [10, 10, 10],
            "{first}"
        );
        let last = first.lines().last().expect("a total");
        assert!(
            last.starts_with("::notice title=kitproof trial::BLOCKED"),
            "{last}"
        );
        assert!(
            last.contains("10 of 500 errors, 10 of 500 warnings, 9 of 500 notices"),
            "{last}"
        );
        assert!(last.contains("the whole list is in report.html"), "{last}");
        assert!(
            last.contains("500 blocking, 500 warnings, 500 notes, 3 waived"),
            "{last}"
        );
        // The second kit of a step finds no room left: its total is a plain line, never a lost annotation.
        assert_eq!(second.lines().count(), 1, "{second}");
        assert!(second.starts_with("kitproof trial: BLOCKED"), "{second}");
        assert!(second.contains("0 of 500 errors"), "{second}");
    }

    #[test]
    fn no_text_of_a_kit_starts_a_command() {
        let mut f = crate::ci::trial::finding("wall.lost", Level::Block, "left");
        f.message = "x\n::error::forged\r\n::set-env name=A::b 50%".into();
        let verdict = findings::Verdict {
            ready: false,
            promises: vec![],
            findings: vec![f],
            not_measured: vec![],
        };
        let text = crate::ci::trial::with(&verdict, Level::Block, |run| {
            annotations(run, &mut Room::of_a_step())
        });
        assert_eq!(text.lines().count(), 2, "{text}");
        assert!(
            text.starts_with(
                "::error file=kits/a trial/kit.toml,line=15,title=wall.lost on left r2::"
            ),
            "{text}"
        );
        assert!(
            text.contains("%0A::error::forged%0D%0A::set-env name=A::b 50%25"),
            "{text}"
        );
    }

    #[test]
    fn nothing_to_say_is_one_line() {
        let verdict = crate::ci::trial::many(0);
        let text = crate::ci::trial::with(&verdict, Level::Block, |run| {
            annotations(run, &mut Room::of_a_step())
        });
        assert_eq!(text.lines().count(), 1, "{text}");
        assert!(
            text.contains("READY") && text.contains("3 waived; exit code 0"),
            "{text}"
        );
    }
}
