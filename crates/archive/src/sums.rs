//! `SHA256SUMS` as coreutils `sha256sum` writes and checks it: 64 hex digits, a space, a mark (space for
//! text), the name, a line feed. Sorted by the bytes of the names, no line for itself.
//!
//! Names that coreutils would escape (backslash, line feed) never enter a bundle, so no line is escaped.

use crate::sha256::Digest;

/// The name of the file.
pub const NAME: &str = "SHA256SUMS";

/// A fault in one line; lines count from 1.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("{NAME} line {line}: {why}")]
pub struct SumsFault {
    /// Line, from 1.
    pub line: usize,
    /// What is wrong, in words.
    pub why: &'static str,
}

/// The text for these values, sorted by the bytes of the names.
pub fn write<'a>(values: impl IntoIterator<Item = (&'a str, Digest)>) -> String {
    let mut values: Vec<(&str, Digest)> = values.into_iter().collect();
    values.sort_unstable();
    values
        .iter()
        .map(|(name, digest)| format!("{digest}  {name}\n"))
        .collect()
}

/// Reads the text back, strictly: what [`write()`] could not have written is a fault.
///
/// # Errors
/// Every faulty line.
pub fn read(text: &str) -> Result<Vec<(&str, Digest)>, Vec<SumsFault>> {
    let (mut values, mut faults) = (Vec::<(&str, Digest)>::new(), Vec::new());
    for (k, line) in text.split_inclusive('\n').enumerate() {
        let mut fault = |why| faults.push(SumsFault { line: k + 1, why });
        let Some(body) = line.strip_suffix('\n') else {
            fault("does not end with a line feed");
            continue;
        };
        let Some((hex, name)) = body.split_once("  ") else {
            fault("is not 64 hex digits, two spaces and a name");
            continue;
        };
        match Digest::from_hex(hex) {
            None => fault("does not start with 64 lower-case hex digits"),
            Some(_) if name.is_empty() || name.contains(['\\', '\r']) => {
                fault("holds a name that no bundle has");
            }
            Some(_) if values.last().is_some_and(|(before, _)| *before >= name) => {
                fault("does not stand in the order of names, or repeats one");
            }
            Some(digest) => values.push((name, digest)),
        }
    }
    if faults.is_empty() {
        Ok(values)
    } else {
        Err(faults)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::sha256::sha256;

    #[test]
    fn the_text_is_what_coreutils_writes() {
        // coreutils 9.1: printf 'hello\n' > b; printf abc > a; sha256sum a b
        let want = "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad  a\n\
                    5891b5b522d5df086d0ff0b110fbd9d21bb4fc7163af34d08286a2e846f6be03  b\n";
        let got = write([("b", sha256(b"hello\n")), ("a", sha256(b"abc"))]);
        assert_eq!(got, want);
        assert_eq!(
            read(&got).expect("reads back"),
            [("a", sha256(b"abc")), ("b", sha256(b"hello\n"))]
        );
    }

    #[test]
    fn every_faulty_line_is_named() {
        let good = write([("a", sha256(b"abc"))]);
        let twice = format!("{good}{good}");
        assert_eq!(read(&twice).expect_err("twice")[0].line, 2);
        assert!(read(good.trim_end()).is_err());
        assert!(read(&good.replace("  ", " *")).is_err());
        assert!(read(&good.to_uppercase()).is_err());
        assert!(read(&good.replace("  a", "  ")).is_err());
        assert_eq!(read("x\ny\n").expect_err("two").len(), 2);
        assert_eq!(read("").expect("empty").len(), 0);
    }
}
