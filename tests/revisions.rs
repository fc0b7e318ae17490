//! The demo kit's three revisions: the reprint table that each step must give, the notes that builders read, the
//! smallest step that is allowed. The kits are invented; what changed between them is written in crate `demo`.

mod support;

use std::path::{Path, PathBuf};

use support::{AS_OF, copy, err, kitproof, out, root};

fn revision(name: &str) -> PathBuf {
    root().join("kits/revisions/skerry-light").join(name)
}

/// A verb on a revision against another, from the folder of all of them: no path of this machine is said.
fn against(verb: &str, kit: &str, base: &str, more: &[&str], into: &Path) -> String {
    let output = kitproof()
        .current_dir(revision(".."))
        .args([verb, &format!("skerry-light/{kit}"), "--as-of", AS_OF])
        .args(["--base", &format!("skerry-light/{base}"), "--out"])
        .arg(into)
        .args(more)
        .output()
        .expect("the program starts");
    assert_eq!(output.status.code(), Some(0), "{}", err(&output));
    out(&output)
}

/// Part, class and class of an unbuilt kit, in the table's order.
fn classes(kit: &str, base: &str) -> Vec<(String, String, String)> {
    let folder = tempfile::tempdir().expect("a folder");
    let text = against("diff", kit, base, &["--format", "json"], folder.path());
    let json: serde_json::Value = serde_json::from_str(&text).expect("JSON");
    let word = |v: &serde_json::Value| v.as_str().expect("a word").to_string();
    json["changes"]
        .as_array()
        .expect("changes")
        .iter()
        .map(|c| (word(&c["part"]), word(&c["class"]), word(&c["unbuilt"])))
        .collect()
}

fn expect(kit: &str, base: &str, wanted: &[(&str, &str, &str)]) {
    let wanted: Vec<(String, String, String)> = wanted
        .iter()
        .map(|(a, b, c)| ((*a).into(), (*b).into(), (*c).into()))
        .collect();
    assert_eq!(classes(kit, base), wanted, "{kit} against {base}");
}

/// 1.1: a pane stiffened, a frame opened, a stand added; the railing moved in its file, the tower's top drawn with
/// other facets, a jig renamed.
#[test]
fn the_first_step_asks_for_no_reprint() {
    expect(
        "1.1",
        "1.0",
        &[
            ("tower-top", "same", "same"),
            ("gallery", "same", "same"),
            ("railing", "same", "same"),
            ("lantern-frame", "optional", "optional"),
            ("pane", "optional", "optional"),
            ("roof", "same", "same"),
            ("vent-ball", "same", "same"),
            ("setting-jig", "renamed", "renamed"),
            ("lamp-stand", "new", "new"),
        ],
    );
}

/// 2.0: the gallery's seat moved by 0.13 mm of a gap range of 0.2 mm, and the railing is glued to it.
#[test]
fn a_fit_that_moved_asks_for_its_part_and_for_what_is_glued_to_it() {
    expect(
        "2.0",
        "1.1",
        &[
            ("tower-top", "same", "same"),
            ("gallery", "required", "required"),
            ("railing", "required", "same"),
            ("lantern-frame", "same", "same"),
            ("pane", "same", "same"),
            ("roof", "same", "same"),
            ("finial", "renamed", "renamed"),
            ("lamp-stand", "recommended", "recommended"),
            ("setting-jig", "retired", "retired"),
        ],
    );
}

#[test]
fn tables_and_notes_read_as_they_should() {
    let folder = tempfile::tempdir().expect("a folder");
    for (kit, base) in [("1.1", "1.0"), ("2.0", "1.1"), ("2.0", "1.0")] {
        let named = |verb: &str| format!("{verb}-{kit}-{base}").replace('.', "_");
        insta::assert_snapshot!(
            named("diff"),
            against("diff", kit, base, &[], folder.path())
        );
        insta::assert_snapshot!(
            named("notes"),
            against("notes", kit, base, &[], folder.path())
        );
    }
}

/// A kit of its own to be changed: 2.0 with 1.1 beside it.
fn changed(change: impl Fn(String) -> String) -> (tempfile::TempDir, std::process::Output) {
    let folder = tempfile::tempdir().expect("a folder");
    let kit = folder.path().join("kit");
    copy(&revision("2.0"), &kit);
    let manifest = kit.join("kit.toml");
    let text = std::fs::read_to_string(&manifest).expect("a manifest");
    let new = change(text.clone());
    assert_ne!(new, text, "the change applies");
    std::fs::write(&manifest, new).expect("written");
    let output = kitproof()
        .args(["check", "--as-of", AS_OF, "-v", "--emit", "json", "--out"])
        .arg(folder.path().join("out"))
        .arg("--base")
        .arg(revision("1.1"))
        .arg(&kit)
        .output()
        .expect("the program starts");
    (folder, output)
}

#[test]
fn a_step_that_is_too_small_blocks_and_names_the_one_that_is_not() {
    let (_folder, output) = changed(|t| t.replace("revision = \"2.0.0\"", "revision = \"1.2.0\""));
    assert_eq!(output.status.code(), Some(1), "{}", out(&output));
    let text = out(&output);
    assert!(text.contains("revision.too-small"), "{text}");
    assert!(text.contains("revision = \"2.0.0\""), "{text}");
}

#[test]
fn the_designers_word_overrules_and_the_notes_say_so() {
    let (folder, output) = changed(|t| {
        t.replace("revision = \"2.0.0\"", "revision = \"1.2.0\"")
            .replace(
                "[[change]]\npart = \"gallery\"\n",
                "[[change]]\npart = \"gallery\"\nclass = \"recommended\"\n",
            )
    });
    assert_eq!(output.status.code(), Some(0), "{}", out(&output));
    let notes = kitproof()
        .args(["notes", "--as-of", AS_OF, "--out"])
        .arg(folder.path().join("out"))
        .arg("--base")
        .arg(revision("1.1"))
        .arg(folder.path().join("kit"))
        .output()
        .expect("the program starts");
    let text = out(&notes);
    assert!(text.contains("is the designer's word"), "{text}");
    assert!(text.contains("it would be required"), "{text}");
}

#[test]
fn a_changed_part_without_a_line_warns_and_stops_a_release() {
    let silent = |t: String| {
        let from = t.find("[[change]]\npart = \"lamp-stand\"").expect("a line");
        t[..from].to_string()
    };
    let (folder, output) = changed(silent);
    assert_eq!(output.status.code(), Some(0), "{}", out(&output));
    assert!(out(&output).contains("change.missing"), "{}", out(&output));
    let release = kitproof()
        .args(["release", "--as-of", AS_OF, "--out"])
        .arg(folder.path().join("dist"))
        .arg("--base")
        .arg(revision("1.1"))
        .arg(folder.path().join("kit"))
        .output()
        .expect("the program starts");
    assert_eq!(release.status.code(), Some(1), "{}", out(&release));
    assert!(!folder.path().join("dist").exists(), "nothing is released");
    let notes = kitproof()
        .args(["notes", "--as-of", AS_OF, "--out"])
        .arg(folder.path().join("out"))
        .arg("--base")
        .arg(revision("1.1"))
        .arg(folder.path().join("kit"))
        .output()
        .expect("the program starts");
    assert!(err(&notes).contains("changes.toml"), "{}", err(&notes));
    let draft = std::fs::read_to_string(folder.path().join("out/changes.toml")).expect("a draft");
    assert!(
        draft.contains("part = \"lamp-stand\"") && !draft.contains("gallery"),
        "{draft}"
    );
}

/// A release after another: the bundle, and an archive of what a builder of the base may have to print.
#[test]
fn a_release_writes_an_archive_of_only_what_changed() {
    let folder = tempfile::tempdir().expect("a folder");
    let kit = folder.path().join("kit");
    copy(&revision("2.0"), &kit);
    let dist = folder.path().join("dist");
    let output = kitproof()
        .args(["release", "--as-of", AS_OF, "--base"])
        .arg(revision("1.1"))
        .arg("--out")
        .arg(&dist)
        .arg(&kit)
        .output()
        .expect("the program starts");
    assert_eq!(
        output.status.code(),
        Some(0),
        "{}{}",
        out(&output),
        err(&output)
    );
    let unpacked = |name: &str| {
        let bytes = std::fs::read(dist.join(name)).expect("an archive");
        archive::unpack(&bytes).expect("a sound archive")
    };
    let whole = unpacked("skerry-light-2.0.0.zip");
    let changed = unpacked("skerry-light-2.0.0-changed.zip");
    let printed: Vec<&str> = changed
        .keys()
        .filter_map(|name| name.strip_prefix("stl/"))
        .collect();
    // Two that are required (one by its glue) and one that is recommended; nothing that is the same.
    assert_eq!(
        printed,
        [
            "02_gallery_r2_x1.stl",
            "03_railing_r1_x8.stl",
            "08_lamp-stand_r2_x1.stl"
        ]
    );
    for (name, bytes) in &changed {
        // The read-me tells of these parts alone, the notes list these files.
        let own = ["NOTES.md", "README.md", "SHA256SUMS", "zip.sha256"].contains(&name.as_str());
        assert!(own || whole[name] == *bytes, "{name}");
    }
    assert!(
        ["LICENSE", "NOTES.md", "README.md"]
            .iter()
            .all(|n| changed.contains_key(*n))
    );
    let read_me = String::from_utf8_lossy(&changed["README.md"]);
    assert!(
        read_me.contains("Only what changed since 1.1.0"),
        "{read_me}"
    );
    assert!(
        read_me.contains("3 parts, 10 pieces") && !read_me.contains("report.html"),
        "{read_me}"
    );
    let notes = std::fs::read_to_string(dist.join("NOTES.md")).expect("notes");
    let within = String::from_utf8_lossy(&whole["NOTES.md"]);
    assert!(
        notes.starts_with(&*within),
        "the notes are those of the bundle"
    );
    assert!(
        notes.contains("| skerry-light-2.0.0-changed.zip | "),
        "{notes}"
    );
    for picture in ["gallery.svg", "lamp-stand.svg"] {
        assert!(dist.join("notes").join(picture).is_file(), "{picture}");
    }
}

/// Another order of triangles, another corner first, ASCII for binary, facets cut into four, and a move in the file: one
/// part each, and one of all at once. The export is another, the part is not.
#[test]
fn a_part_that_is_only_filed_otherwise_is_the_same() {
    let folder = tempfile::tempdir().expect("a folder");
    let kit = folder.path().join("kit");
    copy(&revision("2.0"), &kit);
    let refile = |part: &str, change: &dyn Fn(Vec<Facet>) -> Vec<Facet>, ascii: bool| {
        let path = kit.join(format!("meshes/{part}.stl"));
        let facets = change(facets(&std::fs::read(&path).expect("a mesh")));
        let bytes = if ascii {
            as_text(&facets)
        } else {
            as_bytes(&facets)
        };
        std::fs::write(path, bytes).expect("written");
    };
    let reorder = |f: Vec<Facet>| -> Vec<Facet> {
        let turned = f.iter().rev().map(|[a, b, c]| [*b, *c, *a]);
        turned.collect()
    };
    let finer = |f: Vec<Facet>| -> Vec<Facet> { f.iter().flat_map(quartered).collect() };
    let moved = |f: Vec<Facet>| -> Vec<Facet> {
        f.iter()
            .map(|t| t.map(|[x, y, z]| [x + 12.5, y - 3.25, z + 40.0]))
            .collect()
    };
    refile("gallery", &reorder, false);
    refile("pane", &|f| f, true);
    refile("roof", &finer, false);
    refile("lantern-frame", &moved, false);
    refile("railing", &|f| moved(finer(reorder(f))), true);
    let output = kitproof()
        .args(["diff", "--format", "json", "--as-of", AS_OF, "--base"])
        .arg(revision("2.0"))
        .arg(&kit)
        .output()
        .expect("the program starts");
    assert_eq!(output.status.code(), Some(0), "{}", err(&output));
    let json: serde_json::Value = serde_json::from_str(&out(&output)).expect("JSON");
    for change in json["changes"].as_array().expect("changes") {
        assert_eq!(change["class"], "same", "{}", change["part"]);
        assert_eq!(change["regions_total"], 0, "{}", change["part"]);
        let elsewhere =
            ["lantern-frame", "railing"].contains(&change["part"].as_str().expect("id"));
        assert_eq!(change["moved_only"], elsewhere, "{}", change["part"]);
    }
    // Moved in its file, a posed part would sit elsewhere in the kit; its own shape is what is compared here.
    assert_eq!(json["smallest_step"], "none");
}

type Facet = [[f32; 3]; 3];

/// The facets of a binary STL.
fn facets(bytes: &[u8]) -> Vec<Facet> {
    let float = |b: &[u8]| f32::from_le_bytes([b[0], b[1], b[2], b[3]]);
    bytes[84..]
        .chunks_exact(50)
        .map(|r| std::array::from_fn(|c| std::array::from_fn(|k| float(&r[12 + 12 * c + 4 * k..]))))
        .collect()
}

fn as_bytes(facets: &[Facet]) -> Vec<u8> {
    let mut bytes = vec![b' '; 80];
    bytes.extend((facets.len() as u32).to_le_bytes());
    for facet in facets {
        bytes.extend([0; 12]);
        bytes.extend(facet.iter().flatten().flat_map(|x| x.to_le_bytes()));
        bytes.extend([0; 2]);
    }
    bytes
}

fn as_text(facets: &[Facet]) -> Vec<u8> {
    let mut text = String::from("solid part\n");
    for facet in facets {
        text.push_str("facet normal 0 0 0\nouter loop\n");
        for [x, y, z] in facet {
            // Six digits, as exporters write them.
            text.push_str(&format!("vertex {x:.6e} {y:.6e} {z:.6e}\n"));
        }
        text.push_str("endloop\nendfacet\n");
    }
    text.push_str("endsolid part\n");
    text.into_bytes()
}

/// A facet cut into four at the middles of its edges.
fn quartered(facet: &Facet) -> [Facet; 4] {
    let [a, b, c] = *facet;
    let middle =
        |p: [f32; 3], q: [f32; 3]| -> [f32; 3] { std::array::from_fn(|k| 0.5 * (p[k] + q[k])) };
    let (ab, bc, ca) = (middle(a, b), middle(b, c), middle(c, a));
    [[a, ab, ca], [ab, b, bc], [ca, bc, c], [ab, bc, ca]]
}
