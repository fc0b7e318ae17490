//! Writes a working manifest from what a folder of meshes shows; each guess is said in a comment.

use std::collections::BTreeMap;
use std::fmt::Write;

use crate::checked::Settings;
use crate::names::{self, Side};
use crate::path;
use crate::unit::Unit;

/// Something guessed, and what the guess rests on.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Guess<T> {
    /// The guess.
    pub value: T,
    /// What it rests on, in a few words without a full stop: "its name ends in x4".
    pub because: String,
}

/// A mesh of the folder as a draft sees it.
#[derive(Debug, Clone, PartialEq)]
pub struct DraftPart {
    /// Path within the folder, forward slashes.
    pub path: String,
    /// Side lengths of its box, mm, once the guessed unit is applied; `None` for a mesh that cannot be read.
    pub size_mm: Option<[f64; 3]>,
    /// Unit; `None` where the file states its own.
    pub unit: Option<Guess<Unit>>,
    /// Copies, where something says how many.
    pub count: Option<Guess<u32>>,
    /// The mesh direction that points away from the plate; `None` keeps +z.
    pub up: Option<Guess<[f64; 3]>>,
}

/// Copies as a mesh's name states them: `None` where it states none.
pub fn count_from_name(path: &str) -> Option<Guess<u32>> {
    let stem = names::stem(path);
    names::count_in_name(stem).map(|(count, _)| Guess {
        value: count,
        because: format!("its name says so: {stem}"),
    })
}

/// A manifest for a folder of meshes, which [`crate::read`] reads without a fault where there is at least
/// one mesh whose path a manifest can name.
pub fn draft(meshes: &[DraftPart], title: &str) -> String {
    let title = one_line(title);
    let title = if title.is_empty() {
        "Untitled kit"
    } else {
        title.as_str()
    };
    let most = limits::manifest::span("text").most as usize;
    let title: String = title.chars().take(most).collect();
    let (named, unnamed): (Vec<&DraftPart>, Vec<&DraftPart>) = meshes.iter().partition(|mesh| {
        path::check_mesh(&mesh.path).is_ok()
            && mesh.path.chars().count() as f64 <= limits::manifest::span("path").most
    });
    let usual = usual_unit(&named);
    let mut out = String::new();
    head(&mut out, &title, &named, usual);
    let paths: Vec<&str> = named.iter().map(|mesh| mesh.path.as_str()).collect();
    let ids = names::ids_of(&paths);
    for (mesh, id) in named.iter().zip(&ids) {
        part(&mut out, mesh, id, usual, twin(&ids, id));
    }
    if named.is_empty() {
        out.push_str("\n# No mesh was found. A part looks like this:\n# [[part]]\n# id = \"name\"\n# mesh = \"meshes/name.stl\"\n");
    }
    for mesh in unnamed {
        let why = path::check_mesh(&mesh.path).err();
        let why = why.map_or_else(
            || "its path is too long".to_string(),
            |trouble| trouble.message,
        );
        let _ = writeln!(
            out,
            "\n# Left out: {} ({})",
            one_line(&mesh.path),
            one_line(&why)
        );
    }
    out
}

fn head(out: &mut String, title: &str, meshes: &[&DraftPart], usual: Option<Unit>) {
    let limits = limits::draft();
    let plate = [&limits.plate_x, &limits.plate_y, &limits.plate_z].map(|limit| limit.value);
    let settings = Settings::built_in("body");
    let id = names::id_of(title);
    let title = quoted(title);
    let _ = write!(
        out,
        "#:schema ./kit.schema.json
# Drafted from {} by `kitproof new`. Each guess says what it rests on: read them once.

format = 1
rule-set = \"2026.1\"

[kit]
id = \"{id}\"
title = {title}
revision = \"0.1.0\"
license = \"LicenseRef-undecided\" # choose one before you publish: CC-BY-4.0, CC-BY-NC-SA-4.0, ...

# The least machine you promise to print on. A guess ({}):
[[promise]]
id = \"common\"
kind = \"filament\"
plate = [{}, {}, {}] # x y z, mm{}
nozzle = {} # mm
layers = [0.12, 0.28] # mm, the heights a builder may choose
supports = \"none\" # none | from-plate | from-part

# How the parts are meant to be printed. A guess: the built-in settings.
[settings.body]
layer = {} # mm
bead = {} # line width, mm
contours = {}
floor = {} # mm
roof = {} # mm
fill = {} # share of the inside

[defaults]
",
        plural(meshes.len(), "mesh", "meshes"),
        limits.plate_x.source,
        plate[0],
        plate[1],
        plate[2],
        largest(meshes),
        settings.nozzle_mm,
        settings.layer_mm,
        settings.bead_mm,
        settings.contours,
        settings.floor_mm,
        settings.roof_mm,
        settings.fill,
    );
    if let Some(unit) = usual {
        // What the largest mesh says of its unit weighs most.
        let from = by_size(meshes)
            .into_iter()
            .filter_map(|mesh| mesh.unit.as_ref())
            .find(|guess| guess.value == unit);
        let because = from.map_or(String::new(), |guess| one_line(&guess.because));
        let _ = writeln!(out, "units = \"{unit}\" # a guess: {because}");
    }
    let _ = writeln!(out, "material = \"pla\" # a guess");
}

/// Largest first; as filed where two are alike.
fn by_size<'a>(meshes: &[&'a DraftPart]) -> Vec<&'a DraftPart> {
    let size = |mesh: &DraftPart| mesh.size_mm.map_or(0.0, |s| s[0].max(s[1]).max(s[2]));
    let mut sorted = meshes.to_vec();
    sorted.sort_by(|a, b| size(b).total_cmp(&size(a)));
    sorted
}

/// The largest part, so that the designer sees at once whether the promised plate holds it.
fn largest(meshes: &[&DraftPart]) -> String {
    let first = by_size(meshes).into_iter().next();
    match first.and_then(|mesh| mesh.size_mm.map(|size| (mesh, size))) {
        Some((mesh, [x, y, z])) => format!(
            "; the largest part is {} with {x:.1} x {y:.1} x {z:.1}",
            one_line(names::stem(&mesh.path))
        ),
        None => String::new(),
    }
}

fn part(out: &mut String, mesh: &DraftPart, id: &str, usual: Option<Unit>, twin: Option<&str>) {
    let _ = write!(
        out,
        "\n[[part]]\nid = \"{id}\"\nmesh = {}",
        quoted(&mesh.path)
    );
    match mesh.size_mm {
        Some([x, y, z]) => {
            let _ = writeln!(out, " # {x:.1} x {y:.1} x {z:.1} mm");
        }
        None => out.push_str(" # could not be read: `kitproof check` says why\n"),
    }
    if let Some(guess) = &mesh.unit
        && Some(guess.value) != usual
    {
        let _ = writeln!(
            out,
            "units = \"{}\" # a guess: {}",
            guess.value,
            one_line(&guess.because)
        );
    }
    if let Some(guess) = &mesh.count {
        let _ = writeln!(
            out,
            "count = {} # a guess: {}",
            guess.value,
            one_line(&guess.because)
        );
    }
    if let Some(guess) = &mesh.up {
        let up = crate::turn::word_of(guess.value).map_or_else(
            || {
                let [x, y, z] = guess.value;
                format!("[{x:?}, {y:?}, {z:?}]")
            },
            |word| format!("\"{word}\""),
        );
        let _ = writeln!(out, "up = {up} # a guess: {}", one_line(&guess.because));
    }
    if let Some(twin) = twin {
        let _ = writeln!(
            out,
            "# By its name the mirror image of {twin}. To have the two compared: mirror-of = \"{twin}\", mirror = \"x\""
        );
    }
}

/// The left part whose name differs from a right one's only by the side.
fn twin<'a>(ids: &'a [String], id: &str) -> Option<&'a str> {
    let (side, rest) = names::side_in_name(id)?;
    if side != Side::Right {
        return None;
    }
    ids.iter()
        .find(|other| names::side_in_name(other) == Some((Side::Left, rest.clone())))
        .map(String::as_str)
}

/// The unit most meshes are guessed to be in, the first of [`Unit::ALL`] where two are as many.
fn usual_unit(meshes: &[&DraftPart]) -> Option<Unit> {
    let mut uses: BTreeMap<Unit, usize> = BTreeMap::new();
    for guess in meshes.iter().filter_map(|mesh| mesh.unit.as_ref()) {
        *uses.entry(guess.value).or_default() += 1;
    }
    let most = uses.values().copied().max()?;
    uses.into_iter()
        .find(|(_, count)| *count == most)
        .map(|(unit, _)| unit)
}

fn quoted(text: &str) -> String {
    toml::Value::String(text.to_string()).to_string()
}

/// A text that a comment can hold.
fn one_line(text: &str) -> String {
    let plain: String = text
        .chars()
        .map(|c| if c.is_control() { ' ' } else { c })
        .collect();
    plain.trim().to_string()
}

fn plural(n: usize, one: &str, many: &str) -> String {
    format!("{n} {}", if n == 1 { one } else { many })
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn mesh(path: &str) -> DraftPart {
        DraftPart {
            path: path.into(),
            size_mm: Some([40.0, 30.25, 12.0]),
            unit: Some(Guess {
                value: Unit::Mm,
                because: "the largest part would be 40 mm".into(),
            }),
            count: count_from_name(path),
            up: None,
        }
    }

    #[test]
    fn a_draft_reads_and_says_its_guesses() {
        let mut roof = mesh("roof.STL");
        roof.up = Some(Guess {
            value: [0.0, -1.0, 0.0],
            because: "its largest flat face rests on the plate".into(),
        });
        let mut inch = mesh("lamp.obj");
        inch.unit = Some(Guess {
            value: Unit::In,
            because: "0.6 mm would be too small to print".into(),
        });
        let mut own = mesh("box.3mf");
        own.unit = None;
        own.size_mm = None;
        own.up = Some(Guess {
            value: [0.6, 0.0, 0.8],
            because: "it rests best".into(),
        });
        let meshes = [
            mesh("rail_x8.stl"),
            mesh("Door Left.stl"),
            mesh("Door Right.stl"),
            roof,
            inch,
            own,
            mesh("a\\b.stl"),
        ];
        let text = draft(&meshes, "Harbour \"Shed\"\n1:87");
        let kit = crate::read(&text, "kit.toml", &[])
            .unwrap_or_else(|f| panic!("{}", crate::render(&f, &text, false)));
        assert_eq!(kit.part("rail").map(|p| p.count), Some(8));
        assert_eq!(kit.part("lamp").and_then(|p| p.unit), Some(Unit::In));
        assert_eq!(
            kit.part("roof").map(|p| p.orientation.up),
            Some([0.0, -1.0, 0.0])
        );
        assert_eq!(kit.part("box").and_then(|p| p.unit), None);
        assert_eq!(kit.revision.to_string(), "0.1.0");
        insta::assert_snapshot!(text);
    }

    #[test]
    fn an_empty_folder_drafts_no_part() {
        let text = draft(&[], "");
        let faults = crate::read(&text, "kit.toml", &[]).expect_err("no part");
        assert_eq!(faults.len(), 1, "{faults:?}");
        assert!(faults[0].message.contains("[[part]]"), "{}", faults[0]);
    }

    proptest! {
        #[test]
        fn whatever_the_names_a_draft_reads(
            names in prop::collection::vec("[^/]{0,60}", 1..8),
            title in ".{0,80}",
            because in ".{0,40}",
        ) {
            let mut meshes: Vec<DraftPart> = names.iter().map(|name| mesh(&format!("{name}.stl"))).collect();
            meshes.push(mesh("plain.stl"));
            meshes[0].up = Some(Guess { value: [1.0, 2.0, 3.0], because });
            let text = draft(&meshes, &title);
            let read = crate::read(&text, "kit.toml", &[]);
            prop_assert!(read.is_ok(), "{}", read.err().map(|f| crate::render(&f, &text, false)).unwrap_or_default());
        }
    }
}
