//! Laws of the reader: whatever the text, it ends with a kit or with faults whose places lie in the text.

use kit::{read, read_bytes, render};
use proptest::prelude::*;

const RULES: &[&str] = &["wall.thin"];

fn holds(text: &str) {
    match read(text, "kit.toml", RULES) {
        Ok(kit) => assert!(!kit.promises.is_empty() && !kit.settings.is_empty()),
        Err(faults) => {
            assert!(!faults.is_empty());
            let lines = text.matches('\n').count() + 1;
            for fault in &faults {
                assert!((1..=lines).contains(&fault.line), "{fault}");
                assert!(
                    fault.span.end <= text.len().max(1),
                    "{fault} {:?}",
                    fault.span
                );
                assert!(!fault.message.is_empty());
            }
            let places: Vec<usize> = faults.iter().map(|fault| fault.span.start).collect();
            assert!(places.is_sorted(), "{places:?}");
            let shown = render(&faults, text, false);
            assert!(shown.contains("kit.toml:"));
        }
    }
}

/// Pieces that make a text look like a manifest.
const PIECES: [&str; 30] = [
    "[[part]]",
    "[part]",
    "[kit]",
    "id",
    "mesh",
    " = ",
    "\"a\"",
    "'",
    "\"\"\"",
    "[",
    "]",
    "{",
    "}",
    ",",
    "\n",
    "1",
    "-0x1f",
    "1e400",
    "nan",
    "inf",
    "2027-01-31",
    "true",
    "rules.\"wall.thin\"",
    "mirror-of",
    "\\u0000",
    "#",
    "ü",
    "\r",
    "\0",
    "[settings.body]",
];

proptest! {
    #![proptest_config(ProptestConfig::with_cases(400))]

    #[test]
    fn random_bytes_never_fell_it(bytes in prop::collection::vec(any::<u8>(), 0..600)) {
        if let Ok(text) = std::str::from_utf8(&bytes) {
            holds(text);
        } else {
            prop_assert!(read_bytes(&bytes, "kit.toml", RULES).is_err());
        }
    }

    #[test]
    fn random_pieces_never_fell_it(picks in prop::collection::vec(0..PIECES.len(), 0..80)) {
        holds(&picks.iter().map(|i| PIECES[*i]).collect::<String>());
    }

    #[test]
    fn a_changed_manifest_never_fells_it(
        edits in prop::collection::vec((any::<prop::sample::Index>(), 0..4_u8, 0..PIECES.len()), 1..12)
    ) {
        let mut text: Vec<char> = kit::template().chars().collect();
        for (at, how, piece) in edits {
            if text.is_empty() {
                text.push('x');
            }
            let at = at.index(text.len());
            match how {
                0 => { text.remove(at); }
                1 => { text.splice(at..at, PIECES[piece].chars()); }
                2 => { text.truncate(at.max(1)); }
                _ => {
                    let until = (at + 40).min(text.len());
                    text.drain(at..until);
                    if text.is_empty() { text.push('x'); }
                }
            }
        }
        holds(&text.into_iter().collect::<String>());
    }

    #[test]
    fn lines_in_any_order_never_fell_it(order in Just(kit::template().lines().collect::<Vec<_>>()).prop_shuffle()) {
        holds(&order.join("\n"));
    }
}
