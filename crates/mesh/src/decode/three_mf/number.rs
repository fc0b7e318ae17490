//! Numbers as the schema of 3MF writes them (Appendix B.1 of the core specification 1.4.0).

/// ST_Number: digits are needed after a point, a sign and an exponent are allowed, NaN and infinity are not.
pub(super) fn real(text: &str) -> Option<f32> {
    let text = text.trim_ascii();
    is_number(text.as_bytes()).then(|| text.parse().ok())?
}

fn is_number(text: &[u8]) -> bool {
    let text = unsigned(text);
    let whole = digits(text);
    let mut rest = &text[whole..];
    let mut any = whole > 0;
    if let Some(fraction) = rest.strip_prefix(b".") {
        let n = digits(fraction);
        any = n > 0;
        rest = &fraction[n..];
    }
    if any && let Some(exponent) = rest.strip_prefix(b"e").or(rest.strip_prefix(b"E")) {
        let exponent = unsigned(exponent);
        let n = digits(exponent);
        return n > 0 && n == exponent.len();
    }
    any && rest.is_empty()
}

fn unsigned(text: &[u8]) -> &[u8] {
    text.strip_prefix(b"-")
        .or(text.strip_prefix(b"+"))
        .unwrap_or(text)
}

fn digits(text: &[u8]) -> usize {
    text.iter().take_while(|b| b.is_ascii_digit()).count()
}

/// ST_ResourceIndex: a whole number from 0 and below 2^31.
pub(super) fn index(text: &str) -> Option<u32> {
    let text = text.trim_ascii();
    let plain = text.strip_prefix('+').unwrap_or(text);
    let whole = !plain.is_empty() && plain.bytes().all(|b| b.is_ascii_digit());
    let n: u32 = whole.then(|| plain.parse().ok())??;
    (n < 1 << 31).then_some(n)
}

/// ST_ResourceID: like an index, from 1.
pub(super) fn id(text: &str) -> Option<u32> {
    index(text).filter(|&n| n > 0)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_follow_the_pattern() {
        // 3MF Core 1.4.0, Appendix B.1, ST_Number: `5.` is invalid; `.5`, `5`, `1e-3` are valid.
        for good in ["5", ".5", "1e-3", "-1.25", "+0.0E+10", " 7 ", "00.50"] {
            assert!(real(good).is_some(), "{good}");
        }
        for bad in [
            "5.", ".", "", "-", "e5", "1e", "1e+", "nan", "NaN", "inf", "INF", "1,5", "0x1", "1 2",
            "1.e5",
        ] {
            assert!(real(bad).is_none(), "{bad}");
        }
        assert_eq!(real(".5"), Some(0.5));
        assert_eq!(real("-1.5e2"), Some(-150.0));
    }

    #[test]
    fn indices_are_whole_and_below_two_to_the_31() {
        assert_eq!(index("0"), Some(0));
        assert_eq!(index("2147483647"), Some(2_147_483_647));
        assert_eq!(index("2147483648"), None);
        assert_eq!((index("-1"), index("1.0"), index("")), (None, None, None));
        assert_eq!((id("0"), id("1")), (None, Some(1)));
    }
}
