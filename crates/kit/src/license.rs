//! Licences: SPDX expressions (SPDX Specification, annex on licence expressions; list 3.29).

use std::ops::Range;

use spdx::error::Reason;

use crate::faults::Trouble;
use crate::suggest::{fold, nearest};

/// Checks an expression. The range within the text says where it goes wrong.
pub(crate) fn check(text: &str) -> Result<(), (Range<usize>, Trouble)> {
    let whole = 0..text.len();
    if text.trim().is_empty() {
        let trouble = Trouble::new("the licence is empty").expected(EXPECTED);
        return Err((whole, trouble));
    }
    // The standard's idstring has at least one character; the parser takes none as well.
    let mut words = text.split(|c: char| c.is_whitespace() || c == '(' || c == ')');
    if words.any(|word| word.ends_with("LicenseRef-") || word.ends_with("DocumentRef-")) {
        let trouble =
            Trouble::new(format!("`{text}` names no licence")).expected("LicenseRef-NAME");
        return Err((whole, trouble));
    }
    let error = match spdx::Expression::parse(text) {
        Ok(_) => return Ok(()),
        Err(error) => error,
    };
    let at = error.span.start.min(text.len())..error.span.end.min(text.len());
    let at = if text.is_char_boundary(at.start) && text.is_char_boundary(at.end) {
        at
    } else {
        whole.clone()
    };
    let trouble = Trouble::new(format!(
        "`{text}` is no SPDX licence expression: {}",
        error.reason
    ))
    .expected(EXPECTED);
    // A misspelt id is one word; a name with blanks in it is the whole text.
    if let Some(id) = same(text).or_else(|| nearest(text, ids())) {
        return Err((whole, trouble.help(format!("did you mean `{id}`?"))));
    }
    if let Some(id) = same(&text[at.clone()]) {
        return Err((at, trouble.help(format!("did you mean `{id}`?"))));
    }
    let trouble = match error.reason {
        Reason::UnknownTerm | Reason::UnknownLicense | Reason::InvalidCharacters => {
            let name: String = fold(text)
                .chars()
                .filter(|c| c.is_ascii_alphanumeric() || *c == '-' || *c == '.')
                .collect();
            let name = name.trim_matches('-');
            let name = if name.is_empty() { "own-terms" } else { name };
            trouble.help(format!("for terms of your own write `LicenseRef-{name}`"))
        }
        _ => trouble,
    };
    Err((at, trouble))
}

const EXPECTED: &str = "an SPDX expression such as CC-BY-4.0, CC-BY-NC-SA-4.0 or MIT OR Apache-2.0";

fn ids() -> impl Iterator<Item = &'static str> {
    spdx::identifiers::LICENSES
        .iter()
        .map(|license| license.name)
}

/// The id that a written name stands for but for case, blanks or the version.
fn same(written: &str) -> Option<&'static str> {
    let plain = fold(written);
    if plain.is_empty() {
        return None;
    }
    let versioned = |id: &str| {
        let id = id.to_lowercase();
        // A later version of the same licence is what a name without one means.
        id.strip_prefix(plain.as_str())
            .and_then(|rest| rest.strip_prefix('-'))
            .is_some_and(|version| version.bytes().all(|b| b.is_ascii_digit() || b == b'.'))
    };
    ids()
        .find(|id| id.to_lowercase() == plain)
        .or_else(|| ids().filter(|id| versioned(id)).max_by(|a, b| a.cmp(b)))
}

#[cfg(test)]
mod tests {
    use super::check;

    /// Ids of the SPDX licence list, as an index of that list gives them.
    #[test]
    fn ids_of_the_list_pass() {
        for good in [
            "CC0-1.0",
            "CC-BY-4.0",
            "CC-BY-SA-4.0",
            "CC-BY-NC-4.0",
            "CC-BY-ND-4.0",
            "CC-BY-NC-SA-4.0",
            "CC-BY-NC-ND-4.0",
            "CC-BY-SA-3.0",
            "CC-PDDC",
            "CERN-OHL-P-2.0",
            "CERN-OHL-W-2.0",
            "CERN-OHL-S-2.0",
            "TAPR-OHL-1.0",
            "MIT",
            "Apache-2.0",
            "GPL-3.0-or-later",
            "MIT OR Apache-2.0",
            "(MIT OR CC-BY-4.0) AND CC0-1.0",
            "LicenseRef-own-terms",
        ] {
            assert_eq!(check(good), Ok(()), "{good}");
        }
    }

    /// The three invalid spellings are those that are most often met.
    #[test]
    fn near_misses_are_named() {
        for (bad, meant) in [
            ("CC-BY-NC", "`CC-BY-NC-4.0`"),
            ("CC BY 4.0", "`CC-BY-4.0`"),
            ("CC-BY-NC-SA", "`CC-BY-NC-SA-4.0`"),
            ("cc-by-4.0", "`CC-BY-4.0`"),
            ("Apache2.0", "`Apache-2.0`"),
            ("MIT OR CC-BY-NC", "`CC-BY-NC-4.0`"),
            ("all rights reserved", "`LicenseRef-all-rights-reserved`"),
        ] {
            let (_, trouble) = check(bad).expect_err(bad);
            let help = trouble.help.clone().unwrap_or_default();
            assert!(help.contains(meant), "{bad}: {trouble:?}");
        }
        for bad in [
            "",
            "  ",
            "(MIT",
            "MIT OR",
            "MIT Apache-2.0",
            "é",
            "🙂🙂",
            "LicenseRef-",
        ] {
            assert!(check(bad).is_err(), "{bad}");
        }
    }
}
