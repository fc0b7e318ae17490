//! The read-me of a bundle, as Markdown: what is in here, what to print and how, what to take care of.
//!
//! It repeats what it is given and decides nothing. It claims no safety, strength or compliance.

use std::fmt::Write as _;

use crate::cautions::{self, Trigger};

/// The kit, in the words of its manifest.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct KitCard {
    /// Id.
    pub id: String,
    /// Title.
    pub title: String,
    /// Revision.
    pub revision: String,
    /// Designer, where named.
    pub designer: Option<String>,
    /// SPDX expression.
    pub license: String,
    /// Scale, where named.
    pub scale: Option<String>,
}

/// A machine and material that the kit promises to print on, in words.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct PromiseCard {
    /// Id.
    pub id: String,
    /// Plate, nozzle, materials, supports, in one line.
    pub words: String,
}

/// Print settings.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct SettingsCard {
    /// Id.
    pub id: String,
    /// Name and value with its unit, in the order to show.
    pub values: Vec<(String, String)>,
}

/// A line of the print table.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct PartCard {
    /// Id.
    pub id: String,
    /// Revision of the part.
    pub rev: u32,
    /// How often to print it.
    pub count: u32,
    /// Spare copies that are recommended on top.
    pub spare: u32,
    /// Material, as the manifest names it.
    pub material: String,
    /// Colour, where named.
    pub color: Option<String>,
    /// Id of its settings.
    pub settings: String,
    /// Supports, in words: none, from the plate, from the part.
    pub supports: String,
    /// Mass of one copy in grams, where it is known.
    pub mass_g: Option<f64>,
    /// Stem of its files.
    pub stem: String,
    /// What was done to its mesh before it was written, in words, if anything.
    pub mended: Option<String>,
    /// Why there is no 3MF file of it, if there is none.
    pub no_three_mf: Option<String>,
    /// Why there is no preview of it, if there is none.
    pub no_preview: Option<String>,
}

/// All that the read-me tells.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Readme {
    /// The kit.
    pub kit: KitCard,
    /// Promises it was proven on.
    pub promises: Vec<PromiseCard>,
    /// Parts, in the order of the manifest.
    pub parts: Vec<PartCard>,
    /// Settings that the parts use.
    pub settings: Vec<SettingsCard>,
    /// Departures that builders are to know, a line each.
    pub known_limits: Vec<String>,
    /// What calls for a caution.
    pub triggers: Vec<Trigger>,
    /// Other files in the bundle, by name.
    pub other_files: Vec<String>,
    /// Where it holds only what changed: the release since which.
    pub only_since: Option<String>,
}

/// Text of the kit made safe inside Markdown, tables and links included: a line stays a line, a mark a letter.
fn plain(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for c in text.chars() {
        match c {
            c if c.is_control() => out.push(' '),
            '\\' | '`' | '*' | '_' | '[' | ']' | '<' | '>' | '|' | '#' | '&' | '~' => {
                out.push('\\');
                out.push(c);
            }
            c => out.push(c),
        }
    }
    out.trim().to_string()
}

fn grams(mass: f64) -> String {
    if mass < 10.0 {
        format!("{mass:.1}")
    } else {
        format!("{mass:.0}")
    }
}

/// The table of parts, a line each, with the mass column only where some mass is known.
fn print_table(out: &mut String, parts: &[PartCard]) {
    let masses = parts.iter().any(|p| p.mass_g.is_some());
    let mass_head = if masses { " g each |" } else { "" };
    let _ = writeln!(
        out,
        "| part | rev | print | material | settings | supports | file |{mass_head}"
    );
    let _ = writeln!(
        out,
        "|---|---|---|---|---|---|---|{}",
        if masses { "---|" } else { "" }
    );
    for p in parts {
        let spare = match p.spare {
            0 => String::new(),
            n => format!(" (+{n} spare)"),
        };
        let color = p
            .color
            .as_ref()
            .map(|c| format!(", {}", plain(c)))
            .unwrap_or_default();
        let mass = match (masses, p.mass_g) {
            (false, _) => String::new(),
            (true, Some(mass)) => format!(" {} |", grams(mass)),
            (true, None) => " not known |".to_string(),
        };
        let _ = writeln!(
            out,
            "| {} | {} | {}{spare} | {}{color} | {} | {} | `{}` |{mass}",
            plain(&p.id),
            p.rev,
            p.count,
            plain(&p.material),
            plain(&p.settings),
            plain(&p.supports),
            p.stem,
        );
    }
    let pieces: u64 = parts.iter().map(|p| u64::from(p.count)).sum();
    let _ = write!(out, "\n{} parts, {pieces} pieces", parts.len());
    let known: Option<f64> = parts
        .iter()
        .map(|p| p.mass_g.map(|g| g * f64::from(p.count)))
        .sum();
    match known {
        Some(total) if masses => {
            let _ = writeln!(
                out,
                ", about {} g without supports and spares.",
                grams(total)
            );
        }
        _ => out.push_str(".\n"),
    }
    out.push('\n');
}

fn files_section(out: &mut String, readme: &Readme) {
    out.push_str(
        "## What is in here\n\n\
         - `stl/`: every part as STL, in millimetres\n\
         - `3mf/`: the same parts as 3MF, which carries the unit and the licence\n\
         - `preview/`: light models for looking at (glTF); do not print these\n",
    );
    out.push_str(if readme.only_since.is_some() {
        "- `NOTES.md`, `notes/`: what changed on each of them, and whether a finished kit needs it\n"
    } else {
        "- `report.html`, `report.json`: what was measured on the parts\n\
         - `kit.toml`: the kit's manifest, without costs and private references; the mesh paths in it name the designer's own files\n"
    });
    out.push_str(
        "- `LICENSE`: what you may do with the files\n\
         - `SHA256SUMS`: check the unpacked files with `sha256sum -c SHA256SUMS`\n",
    );
    for name in &readme.other_files {
        let _ = writeln!(out, "- `{}`", name.replace('`', "'"));
    }
    out.push_str(
        "- `zip.sha256`: the checksum of everything in front of it in the zip; `kitproof verify` checks the zip as a whole\n\n\
         Checksums show damage on the way. They do not show who made the files.\n\n\
         A file name holds the part's number, its id, `r` and its revision, `x` and how often to print it.\n\n",
    );
    for p in &readme.parts {
        if let Some(what) = &p.mended {
            let _ = writeln!(out, "In the files of `{}`, {}.\n", p.stem, plain(what));
        }
        for (folder, why) in [("3mf", &p.no_three_mf), ("preview", &p.no_preview)] {
            if let Some(why) = why {
                let _ = writeln!(
                    out,
                    "There is no file of `{}` in `{folder}/`: {}.\n",
                    p.stem,
                    plain(why)
                );
            }
        }
    }
}

/// The read-me.
pub fn write(readme: &Readme) -> String {
    let kit = &readme.kit;
    let mut out = format!("# {} {}\n\n", plain(&kit.title), plain(&kit.revision));
    if let Some(designer) = &kit.designer {
        let _ = writeln!(out, "Designed by {}.", plain(designer));
    }
    if let Some(scale) = &kit.scale {
        let _ = writeln!(out, "Scale {}.", plain(scale));
    }
    let _ = writeln!(out, "Licence: {} (see `LICENSE`).\n", plain(&kit.license));
    if let Some(since) = &readme.only_since {
        let _ = writeln!(
            out,
            "Only what changed since {}: the parts to print for a kit of that release. `NOTES.md` says which of them a \
             finished kit needs. The whole kit is in `{}-{}.zip`.\n",
            plain(since),
            kit.id,
            kit.revision
        );
    }
    out.push_str(
        "## Print\n\n\
         Every file lies as it is to be printed and stands on the plate: do not turn it.\n\n",
    );
    print_table(&mut out, &readme.parts);
    if !readme.settings.is_empty() {
        out.push_str("### Settings\n\n");
        for s in &readme.settings {
            let values: Vec<String> = s
                .values
                .iter()
                .map(|(name, value)| format!("{} {}", plain(name), plain(value)))
                .collect();
            let _ = writeln!(out, "- {}: {}", plain(&s.id), values.join(", "));
        }
        out.push('\n');
    }
    if !readme.promises.is_empty() {
        out.push_str(
            "### Meant for\n\nThe files were checked against these machines and materials:\n\n",
        );
        for p in &readme.promises {
            let _ = writeln!(out, "- {}: {}", plain(&p.id), plain(&p.words));
        }
        out.push_str(
            "\nThat says that the files met the limits listed in the report. It says nothing about safety, strength or \
             compliance with any rule, nor about your machine.\n\n",
        );
    }
    if !readme.known_limits.is_empty() {
        out.push_str("## Known limits\n\n");
        for line in &readme.known_limits {
            let _ = writeln!(out, "- {}", plain(line));
        }
        out.push('\n');
    }
    out.push_str(&cautions::markdown(&readme.triggers));
    files_section(&mut out, readme);
    let trimmed = out.trim_end().len();
    out.truncate(trimmed);
    out.push('\n');
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    pub(crate) fn sample() -> Readme {
        let part = |id: &str, stem: &str, count, mass_g| PartCard {
            id: id.into(),
            rev: 1,
            count,
            material: "pla".into(),
            settings: "body".into(),
            supports: "none".into(),
            mass_g,
            stem: stem.into(),
            ..PartCard::default()
        };
        Readme {
            kit: KitCard {
                id: "lamp".into(),
                title: "Lamp | *one*".into(),
                revision: "1.0.0".into(),
                license: "CC-BY-4.0".into(),
                ..KitCard::default()
            },
            parts: vec![
                part("base", "01_base_r1_x1", 1, Some(41.26)),
                part("arm_a", "02_arm_a_r1_x8", 8, Some(2.04)),
            ],
            ..Readme::default()
        }
    }

    #[test]
    fn the_table_names_each_part_and_the_sums_are_right() {
        let got = write(&sample());
        assert!(got.starts_with("# Lamp \\| \\*one\\* 1.0.0\n"));
        assert!(
            got.contains("| base | 1 | 1 | pla | body | none | `01_base_r1_x1` | 41 |"),
            "{got}"
        );
        assert!(got.contains("| arm\\_a | 1 | 8 | pla | body | none | `02_arm_a_r1_x8` | 2.0 |"));
        // 41.26 + 8 x 2.04 = 57.58.
        assert!(got.contains("2 parts, 9 pieces, about 58 g"), "{got}");
        assert!(got.contains("do not turn it"));
        assert!(!got.contains("Take care") && !got.contains("Known limits"));
    }

    #[test]
    fn an_unknown_mass_is_said_and_never_summed() {
        let mut readme = sample();
        readme.parts[0].mass_g = None;
        let got = write(&readme);
        assert!(
            got.contains("| not known |") && !got.contains("about"),
            "{got}"
        );
        readme.parts[1].mass_g = None;
        let got = write(&readme);
        assert!(!got.contains("g each") && got.contains("2 parts, 9 pieces."));
    }

    #[test]
    fn what_is_missing_known_or_dangerous_is_said() {
        let mut readme = sample();
        readme.parts[0].no_three_mf = Some("3 edges have no partner".into());
        readme.parts[1].spare = 2;
        readme.parts[1].color = Some("white".into());
        readme.known_limits = vec!["bridge of 14 mm\nunder the <roof>".into()];
        readme.triggers = vec![Trigger::Solvent];
        readme.promises = vec![PromiseCard {
            id: "common".into(),
            words: "plate 220 x 220 x 240 mm".into(),
        }];
        readme.other_files = vec!["files/decal.svg".into()];
        let got = write(&readme);
        assert!(
            got.contains("There is no file of `01_base_r1_x1` in `3mf/`: 3 edges have no partner.")
        );
        assert!(got.contains("| 8 (+2 spare) | pla, white |"));
        assert!(got.contains("- bridge of 14 mm under the \\<roof\\>"));
        assert!(got.contains("safety data sheet") && got.contains("Solvents"));
        assert!(got.contains("It says nothing about safety, strength or compliance"));
        assert!(got.contains("- `files/decal.svg`"));
        assert!(got.ends_with('\n') && !got.ends_with("\n\n") && !got.contains('\r'));
    }
}
