//! A waiver added to a manifest's text: every byte of it is kept, the waiver stands at the end.

use crate::checked::{End, Waiver};

/// The text with a waiver added at its end, in the text's own line ends.
pub fn with_waiver(text: &str, waiver: &Waiver) -> String {
    let mut lines = vec![String::new(), "[[waiver]]".to_string()];
    let mut key = |name: &str, value: String| lines.push(format!("{name} = {value}"));
    key("rule", quoted(&waiver.rule));
    if let Some(part) = &waiver.part {
        key("part", quoted(part));
    }
    if let Some(floor) = waiver.not_worse_than {
        key("not-worse-than", floor.to_string());
    }
    if let Some(places) = waiver.places {
        key("places", places.to_string());
    }
    key("reason", quoted(&waiver.reason));
    match &waiver.until {
        End::Revision(revision) => key("until-revision", quoted(&revision.to_string())),
        End::Date(date) => key("until", date.to_string()),
    }
    if waiver.tell_builders {
        key("tell-builders", "true".to_string());
    }
    let end = if text.contains("\r\n") { "\r\n" } else { "\n" };
    let mut out = text.to_string();
    if !out.is_empty() && !out.ends_with('\n') {
        out.push_str(end);
    }
    for line in lines {
        out.push_str(&line);
        out.push_str(end);
    }
    out
}

/// A basic string of TOML on one line.
fn quoted(text: &str) -> String {
    let mut out = String::from("\"");
    for c in text.chars() {
        match c {
            '"' => out.push_str("\\\""),
            '\\' => out.push_str("\\\\"),
            '\n' => out.push_str("\\n"),
            '\t' => out.push_str("\\t"),
            c if c.is_control() => out.push_str(&format!("\\u{:04X}", u32::from(c))),
            c => out.push(c),
        }
    }
    out.push('"');
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_byte_is_kept_and_the_waiver_reads_back() {
        let waiver = Waiver {
            rule: "wall.thin".into(),
            part: Some("roof".into()),
            not_worse_than: Some(0.612),
            places: Some(3),
            reason: "A \"sail\" \\ one bead\r\nis meant, printed on 3 machines".into(),
            until: End::Date(crate::Date::new(2027, 1, 31).expect("a day")),
            tell_builders: true,
            line: 0,
        };
        let template = crate::template();
        for text in [
            template.to_string(),
            template.trim_end().to_string(),
            template.replace('\n', "\r\n"),
        ] {
            let with = with_waiver(&text, &waiver);
            assert!(with.starts_with(&text));
            assert_eq!(with.contains("\r\n"), text.contains("\r\n"));
            let kit = crate::read(&with, "kit.toml", &["wall.thin"])
                .unwrap_or_else(|f| panic!("{}", crate::render(&f, &with, false)));
            let read = kit.waivers.last().expect("a waiver");
            let line = read.line;
            assert_eq!(
                *read,
                Waiver {
                    line,
                    ..waiver.clone()
                }
            );
        }
    }
}
