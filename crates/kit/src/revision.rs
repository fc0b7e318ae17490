//! Revisions of a kit: three numbers and an optional pre-release word (Semantic Versioning 2.0.0, without
//! build words: a release has one name).

use std::cmp::Ordering;
use std::fmt;

/// A kit's revision, such as `1.4.0` or `2.0.0-rc.1`.
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
pub struct Revision {
    /// A required reprint.
    pub major: u32,
    /// New, optional or recommended parts; every old part still fits.
    pub minor: u32,
    /// The same parts, or optional ones.
    pub patch: u32,
    /// The words after a hyphen; empty for a finished revision.
    pub pre: String,
}

impl Revision {
    /// Reads `major.minor.patch` or `major.minor.patch-pre`; `None` for anything else.
    pub fn parse(text: &str) -> Option<Revision> {
        let (numbers, pre) = match text.split_once('-') {
            Some((numbers, pre)) => (numbers, Some(pre)),
            None => (text, None),
        };
        let mut parts = numbers.split('.').map(number);
        let (major, minor, patch) = (parts.next()??, parts.next()??, parts.next()??);
        if parts.next().is_some() {
            return None;
        }
        if let Some(pre) = pre
            && !pre.split('.').all(word)
        {
            return None;
        }
        Some(Revision {
            major,
            minor,
            patch,
            pre: pre.unwrap_or_default().to_string(),
        })
    }
}

/// A number without leading zeros, as the standard asks (clause 2).
fn number(text: &str) -> Option<u32> {
    let plain = !text.is_empty() && text.bytes().all(|b| b.is_ascii_digit());
    let zeros = text.len() > 1 && text.starts_with('0');
    (plain && !zeros).then(|| text.parse().ok()).flatten()
}

/// A pre-release word (clause 9).
fn word(text: &str) -> bool {
    let plain = text.bytes().all(|b| b.is_ascii_alphanumeric() || b == b'-');
    let digits = text.bytes().all(|b| b.is_ascii_digit());
    !text.is_empty() && plain && !(digits && text.len() > 1 && text.starts_with('0'))
}

impl fmt::Display for Revision {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}.{}.{}", self.major, self.minor, self.patch)?;
        if self.pre.is_empty() {
            Ok(())
        } else {
            write!(f, "-{}", self.pre)
        }
    }
}

impl Ord for Revision {
    /// Precedence as in clause 11 of Semantic Versioning 2.0.0.
    fn cmp(&self, other: &Revision) -> Ordering {
        let numbers = |r: &Revision| (r.major, r.minor, r.patch);
        numbers(self).cmp(&numbers(other)).then_with(|| {
            match (self.pre.is_empty(), other.pre.is_empty()) {
                (true, true) => Ordering::Equal,
                (true, false) => Ordering::Greater,
                (false, true) => Ordering::Less,
                (false, false) => {
                    let mut ours = self.pre.split('.');
                    let mut theirs = other.pre.split('.');
                    loop {
                        match (ours.next(), theirs.next()) {
                            (None, None) => return Ordering::Equal,
                            (None, Some(_)) => return Ordering::Less,
                            (Some(_), None) => return Ordering::Greater,
                            (Some(a), Some(b)) => match by_word(a, b) {
                                Ordering::Equal => {}
                                unequal => return unequal,
                            },
                        }
                    }
                }
            }
        })
    }
}

fn by_word(a: &str, b: &str) -> Ordering {
    let digits = |s: &str| s.bytes().all(|x| x.is_ascii_digit());
    match (digits(a), digits(b)) {
        // Without leading zeros a longer number is a greater one, whatever its length.
        (true, true) => a.len().cmp(&b.len()).then_with(|| a.cmp(b)),
        (true, false) => Ordering::Less,
        (false, true) => Ordering::Greater,
        (false, false) => a.cmp(b),
    }
}

impl PartialOrd for Revision {
    fn partial_cmp(&self, other: &Revision) -> Option<Ordering> {
        Some(self.cmp(other))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The chain of Semantic Versioning 2.0.0, clause 11.4.
    #[test]
    fn precedence_is_that_of_the_standard() {
        let chain = [
            "1.0.0-alpha",
            "1.0.0-alpha.1",
            "1.0.0-alpha.beta",
            "1.0.0-beta",
            "1.0.0-beta.2",
            "1.0.0-beta.11",
            "1.0.0-rc.1",
            "1.0.0",
            "2.0.0",
            "2.1.0",
            "2.1.1",
        ];
        for (i, a) in chain.iter().enumerate() {
            let left = Revision::parse(a).expect(a);
            assert_eq!(left.to_string(), *a);
            for (j, b) in chain.iter().enumerate() {
                let right = Revision::parse(b).expect(b);
                assert_eq!(left.cmp(&right), i.cmp(&j), "{a} against {b}");
            }
        }
    }

    #[test]
    fn what_is_no_revision_is_refused() {
        for bad in [
            "",
            "1",
            "1.0",
            "1.0.0.0",
            "v1.0.0",
            "01.0.0",
            "1.0.0-",
            "1.0.0-a..b",
            "1.0.0-01",
            "1.0.0+5",
            "1.-1.0",
            "4294967296.0.0",
            "1.0.0 ",
        ] {
            assert_eq!(Revision::parse(bad), None, "{bad}");
        }
    }
}
