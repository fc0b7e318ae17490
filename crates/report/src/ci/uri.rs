//! Paths as relative references of RFC 3986.

use std::fmt::Write as _;

/// A relative path with forward slashes as a URI reference: unreserved characters and slashes as they are, every
/// other byte of its UTF-8 in percent and two upper-case hexadecimal digits (RFC 3986, 2.1 to 2.3).
pub fn of_path(path: &str) -> String {
    let mut out = String::with_capacity(path.len());
    for b in path.bytes() {
        if b.is_ascii_alphanumeric() || matches!(b, b'-' | b'.' | b'_' | b'~' | b'/') {
            out.push(char::from(b));
        } else {
            let _ = write!(out, "%{b:02X}");
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::of_path;

    /// RFC 3986: space is %20 and the octets of UTF-8 are encoded singly (2.5: "A with grave" is %C3%80); a
    /// colon in the first step would be read as a scheme (4.2).
    #[test]
    fn paths() {
        assert_eq!(
            of_path("kits/a-b_c.d~e/kit.toml"),
            "kits/a-b_c.d~e/kit.toml"
        );
        assert_eq!(of_path("my kit/\u{c0}.stl"), "my%20kit/%C3%80.stl");
        assert_eq!(of_path("a:b#c?d%e"), "a%3Ab%23c%3Fd%25e");
    }
}
