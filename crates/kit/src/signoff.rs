//! The sign-off of a kit: the measured values its designer accepted, and what they were measured on.
//!
//! It lies beside the manifest and is written by the program, yet it is a text in a repository: it may come
//! back with the marks of a merge in it, or edited. It is held to the same care as the manifest.

use std::collections::BTreeMap;
use std::fmt::Write as _;

use toml::de::DeTable;

use crate::fault::Fault;
use crate::faults::{Faults, Trouble};
use crate::keys::SIGNOFF;
use crate::lines::Lines;
use crate::shape::Checker;
use crate::written::{Entry, number};
use crate::{Revision, syntax};

/// What was accepted.
#[derive(Debug, Clone, PartialEq)]
pub struct SignOff {
    /// Id of the kit.
    pub kit: String,
    /// Its revision then.
    pub revision: Revision,
    /// Number of the way of measuring.
    pub engine: u32,
    /// The parts by id.
    pub parts: BTreeMap<String, SignedPart>,
}

/// One part as it was accepted.
#[derive(Debug, Clone, PartialEq)]
pub struct SignedPart {
    /// SHA-256 of the mesh file, 64 hexadecimal digits.
    pub mesh: String,
    /// SHA-256 of what the part is printed with.
    pub settings: String,
    /// SHA-256 of the CAD file, where one was declared and lay there.
    pub source: Option<String>,
    /// Measured values by name, each in its measure's own unit.
    pub values: BTreeMap<String, f64>,
}

/// Reads a sign-off. `measures` are the names of all values; `kit` is the id of the kit it lies in.
///
/// # Errors
/// Every fault of the text, by place.
pub fn read_signoff(
    text: &str,
    file_name: &str,
    kit: &str,
    measures: &[&str],
) -> Result<SignOff, Vec<Fault>> {
    let lines = Lines::new(text);
    let mut faults = Faults::new(file_name, &lines);
    let most = limits::manifest::span("bytes").most;
    if text.len() as f64 > most {
        let trouble = Trouble::new(format!("the sign-off has {} bytes", text.len()));
        faults.add(0..0, trouble.expected(format!("at most {most}")));
        return Err(faults.finish());
    }
    let checked = syntax::check(text);
    for (span, trouble) in checked.faults {
        faults.add(span, trouble.help(ANEW));
    }
    let (document, _) = DeTable::parse_recoverable(&checked.text);
    let root = Entry {
        table: document.get_ref(),
        span: 0..0,
    };
    let mut of_values = Faults::new(file_name, &lines);
    Checker {
        faults: &mut of_values,
        rules: measures,
        broken: checked.broken,
    }
    .table(&SIGNOFF, document.get_ref(), 0..0);
    let signed = read(&root, kit, &mut of_values);
    faults.take_elsewhere(of_values);
    match signed {
        Some(signed) if faults.is_empty() => Ok(signed),
        _ => Err(faults.finish()),
    }
}

/// What mends any fault of this file.
const ANEW: &str = "mend it, or delete the file and run `kitproof accept`";

fn read(root: &Entry<'_>, kit: &str, faults: &mut Faults<'_>) -> Option<SignOff> {
    if let Some(id) = root.text("kit")
        && id.value != kit
    {
        let trouble = Trouble::new(format!(
            "this is the sign-off of another kit, `{}`",
            id.value
        ));
        faults.add(id.span, trouble.expected(format!("`{kit}`")).help(ANEW));
    }
    let mut parts = BTreeMap::new();
    for (id, entry) in root.named("parts") {
        let mut hash = |key: &str| {
            let text = entry.text(key)?;
            if !is_hash(text.value) && !faults.known_at(&text.span) {
                let trouble = Trouble::new(format!("`{key}` is no SHA-256"));
                faults.add(
                    text.span.clone(),
                    trouble.expected("64 hexadecimal digits").help(ANEW),
                );
            }
            Some(text.value.to_string())
        };
        let (mesh, settings, source) = (hash("mesh"), hash("settings"), hash("source"));
        let (Some(mesh), Some(settings), Some(values)) = (mesh, settings, entry.table("values"))
        else {
            continue;
        };
        let values = values
            .table
            .iter()
            .filter_map(|(name, value)| {
                Some((name.get_ref().to_string(), number(value.get_ref())?))
            })
            .collect();
        parts.insert(
            id.value.to_string(),
            SignedPart {
                mesh,
                settings,
                source,
                values,
            },
        );
    }
    Some(SignOff {
        kit: root.text("kit")?.value.to_string(),
        revision: Revision::parse(root.text("revision")?.value)?,
        engine: root.whole("engine")?.value,
        parts,
    })
}

fn is_hash(text: &str) -> bool {
    text.len() == 64
        && text
            .bytes()
            .all(|b| b.is_ascii_digit() || (b'a'..=b'f').contains(&b))
}

impl SignOff {
    /// The file's text: parts and values sorted by name, each value with so many decimals, no date.
    pub fn text(&self, decimals: usize) -> String {
        let mut out = String::from(
            "# Measured values that the designer accepted, and what they were measured on.\n\
             # `kitproof accept` writes this file; commit it, and look at its difference in review.\n",
        );
        let _ = writeln!(
            out,
            "format = 1\nkit = \"{}\"\nrevision = \"{}\"\nengine = {}",
            self.kit, self.revision, self.engine
        );
        for (id, part) in &self.parts {
            let _ = writeln!(
                out,
                "\n[parts.{id}]\nmesh = \"{}\"\nsettings = \"{}\"",
                part.mesh, part.settings
            );
            if let Some(source) = &part.source {
                let _ = writeln!(out, "source = \"{source}\"");
            }
            let _ = writeln!(out, "\n[parts.{id}.values]");
            for (name, value) in &part.values {
                let _ = writeln!(out, "{name} = {}", fixed(*value, decimals));
            }
        }
        out
    }
}

/// A number with fixed decimals, without a negative nought.
fn fixed(value: f64, decimals: usize) -> String {
    let text = format!("{value:.decimals$}");
    match text.strip_prefix('-') {
        Some(rest) if rest.bytes().all(|b| b == b'0' || b == b'.') => rest.to_string(),
        _ => text,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const MEASURES: &[&str] = &["min-wall", "volume"];

    fn signed() -> SignOff {
        let part = |wall: f64, source: Option<&str>| SignedPart {
            mesh: "0".repeat(64),
            settings: "a".repeat(64),
            source: source.map(|s| s.repeat(64)),
            values: BTreeMap::from([("volume".into(), 1234.5), ("min-wall".into(), wall)]),
        };
        SignOff {
            kit: "shed".into(),
            revision: Revision::parse("1.2.0").expect("a revision"),
            engine: 1,
            parts: BTreeMap::from([
                ("wall".into(), part(0.8, Some("b"))),
                ("2".into(), part(-0.000_01, None)),
            ]),
        }
    }

    fn faults(text: &str) -> Vec<String> {
        let found = read_signoff(text, "signoff.toml", "shed", MEASURES);
        found
            .err()
            .unwrap_or_default()
            .iter()
            .map(ToString::to_string)
            .collect()
    }

    #[test]
    fn what_is_written_is_read_again_and_written_alike() {
        let text = signed().text(3);
        let again = read_signoff(&text, "signoff.toml", "shed", MEASURES).expect("no fault");
        assert_eq!(again.text(3), text);
        assert_eq!(again.parts["wall"], signed().parts["wall"]);
        assert!(text.contains("\n[parts.2.values]\nmin-wall = 0.000\nvolume = 1234.500\n"));
    }

    #[test]
    fn every_fault_is_told_at_its_line() {
        let text = signed().text(3);
        let one = |good: &str, bad: &str| {
            assert!(text.contains(good), "{good}");
            faults(&text.replacen(good, bad, 1))
        };
        for (good, bad, at, words) in [
            ("format = 1", "format = 2", "3:10", "`format` is 2"),
            ("\"shed\"", "\"barn\"", "4:7", "another kit, `barn`"),
            ("min-wall", "min-wal", "13:1", "did you mean `min-wall`"),
            (
                "volume = 1234.500",
                "volume = nan",
                "14:10",
                "`volume` is NaN",
            ),
            ("mesh = \"0000", "mesh = \"zz00", "9:8", "no SHA-256"),
            ("engine = 1\n", "", "1:1", "no `engine`"),
            ("settings =", "setting =", "10:1", "did you mean `settings`"),
        ] {
            let found = one(good, bad);
            let hit = found
                .iter()
                .any(|f| f.starts_with(&format!("signoff.toml:{at}")) && f.contains(words));
            assert!(hit, "{bad}: {found:#?}");
        }
    }

    #[test]
    fn the_marks_of_a_merge_are_told_with_what_to_do() {
        let text = signed().text(3).replacen(
            "engine = 1",
            "<<<<<<< ours\nengine = 1\n=======\nengine = 2\n>>>>>>> theirs",
            1,
        );
        let found = faults(&text);
        assert!(found[0].contains("run `kitproof accept`"), "{found:#?}");
    }
}
