//! What single texts of a manifest must be: ids, scales, reasons.

use crate::faults::Trouble;
use crate::suggest::fold;

/// Names that some systems keep for devices: no file can have them, whatever its ending.
const DEVICES: [&str; 22] = [
    "con", "prn", "aux", "nul", "com1", "com2", "com3", "com4", "com5", "com6", "com7", "com8",
    "com9", "lpt1", "lpt2", "lpt3", "lpt4", "lpt5", "lpt6", "lpt7", "lpt8", "lpt9",
];

/// Words that stand where a reason should.
const PLACEHOLDERS: [&str; 18] = [
    "todo",
    "tbd",
    "tba",
    "fixme",
    "xxx",
    "n/a",
    "na",
    "none",
    "reason",
    "because",
    "wip",
    "later",
    "temp",
    "temporary",
    "test",
    "asdf",
    "see above",
    "placeholder",
];

/// Checks an id: a-z, 0-9 and hyphens, at most so many characters as the limits say.
pub(crate) fn id(text: &str) -> Result<(), Trouble> {
    let most = limits::manifest::span("id").most as usize;
    let expected = format!("a-z, 0-9 and hyphens, at most {most} characters");
    if text.is_empty() {
        return Err(Trouble::new("the id is empty").expected(expected));
    }
    let plain = |b: u8| b.is_ascii_lowercase() || b.is_ascii_digit() || b == b'-';
    let edge = text.starts_with('-') || text.ends_with('-');
    if !text.bytes().all(plain) || edge {
        let better: String = fold(text)
            .chars()
            .map(|c| if c.is_ascii_alphanumeric() { c } else { '-' })
            .take(most)
            .collect();
        let better = better.trim_matches('-').to_string();
        let trouble = Trouble::new(format!("`{text}` is no id")).expected(expected);
        return Err(if better.is_empty() {
            trouble
        } else {
            trouble.help(format!("write `{better}`"))
        });
    }
    if text.len() > most {
        return Err(
            Trouble::new(format!("the id has {} characters", text.len())).expected(expected),
        );
    }
    if DEVICES.contains(&text) {
        return Err(
            Trouble::new(format!("no file can be called `{text}` on every system"))
                .expected("an id that can be a file name")
                .help(format!("write `{text}-part` or the like")),
        );
    }
    Ok(())
}

/// Checks a scale: two whole numbers with a colon.
pub(crate) fn scale(text: &str) -> Result<(), Trouble> {
    let number = |s: &str| {
        let digits = (1..=9).contains(&s.len()) && s.bytes().all(|b| b.is_ascii_digit());
        digits && !s.starts_with('0')
    };
    match text.split_once(':') {
        Some((model, full)) if number(model) && number(full) => Ok(()),
        _ => Err(Trouble::new(format!("`{text}` is no scale"))
            .expected("two whole numbers, such as 1:48")),
    }
}

/// Whether a text is a reason and no placeholder, by the rule that the manifest is held to.
///
/// # Errors
/// What is wrong with it, in words.
pub fn is_reason(text: &str) -> Result<(), String> {
    reason(text).map_err(|trouble| match trouble.expected {
        Some(expected) => format!("{}; expected {expected}", trouble.message),
        None => trouble.message,
    })
}

/// Checks a reason: it must say something.
pub(crate) fn reason(text: &str) -> Result<(), Trouble> {
    let say = |message: &str| {
        Err(Trouble::new(message)
            .expected("why the finding may stand, in words that a builder would accept"))
    };
    let plain = text
        .trim()
        .trim_end_matches(['.', '!', '?', ':'])
        .to_lowercase();
    let placeholder = PLACEHOLDERS.iter().any(|word| {
        plain == *word
            || (plain.starts_with(word)
                && plain[word.len()..].starts_with([':', ' ', '-', ','])
                && ["todo", "tbd", "tba", "fixme", "xxx", "wip"].contains(word))
    });
    let range = limits::manifest::span("waiver.reason");
    let letters = plain.chars().filter(|c| c.is_alphanumeric()).count();
    if plain.is_empty() {
        say("the reason is empty")
    } else if placeholder {
        say("the reason is a placeholder")
    } else if (letters as f64) < range.least {
        say(&format!(
            "the reason has {letters} letters: too short to say why"
        ))
    } else if (text.chars().count() as f64) > range.most {
        say(&format!("the reason has over {} characters", range.most))
    } else {
        Ok(())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn ids_can_be_file_names_everywhere() {
        for good in ["a", "door-left", "m3", "0", &"x".repeat(40)] {
            assert_eq!(id(good), Ok(()), "{good}");
        }
        for (bad, help) in [
            ("Door_Left", "write `door-left`"),
            ("Tür", "write `t-r`"),
            ("a b", "write `a-b`"),
            ("-a", "write `a`"),
            ("con", "write `con-part`"),
        ] {
            assert!(
                id(bad)
                    .expect_err(bad)
                    .help
                    .unwrap_or_default()
                    .starts_with(help),
                "{bad}"
            );
        }
        for bad in ["", "é", &"x".repeat(41), "a/b", "a.b"] {
            assert!(id(bad).is_err(), "{bad}");
        }
    }

    #[test]
    fn scales_are_two_numbers() {
        assert_eq!(scale("1:48"), Ok(()));
        assert_eq!(scale("2:1"), Ok(()));
        for bad in [
            "",
            "48",
            "1/48",
            "1:",
            ":48",
            "0:1",
            "1:0",
            "1:48:2",
            "1 : 48",
            "1:4.8",
            "1:12345678901",
        ] {
            assert!(scale(bad).is_err(), "{bad}");
        }
    }

    #[test]
    fn a_reason_says_something() {
        assert_eq!(
            reason("The sag sits behind the roof trim; printed on three machines"),
            Ok(())
        );
        assert_eq!(reason("Test prints on two machines came out whole"), Ok(()));
        for bad in [
            "",
            " ",
            "todo",
            "TBD.",
            "todo: write this properly some day",
            "n/a",
            "it is ok",
            "...........",
            "because",
        ] {
            assert!(reason(bad).is_err(), "{bad}");
        }
    }
}
