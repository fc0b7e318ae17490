//! Sign-off and waivers from end to end: accepted values, a thinned wall, an edited value, a frozen run; a waiver
//! added, ended, refused. The parts are plain boxes: their walls and areas are known from their sides.

mod support;

use std::path::{Path, PathBuf};
use std::process::Output;

use support::{AS_OF, err, kitproof, out, root};

/// A box as ASCII STL (the format's own words: solid, facet, vertex), sides along the axes, mm.
fn stl(size: [f64; 3]) -> String {
    let corner = |k: usize| [0, 1, 2].map(|axis| if k >> axis & 1 == 1 { size[axis] } else { 0.0 });
    let quads = [
        [0, 2, 3, 1],
        [4, 5, 7, 6],
        [0, 1, 5, 4],
        [2, 6, 7, 3],
        [0, 4, 6, 2],
        [1, 3, 7, 5],
    ];
    let mut text = String::from("solid box\n");
    for q in quads {
        for t in [[q[0], q[1], q[2]], [q[0], q[2], q[3]]] {
            text.push_str("facet normal 0 0 0\nouter loop\n");
            for v in t.map(corner) {
                text.push_str(&format!("vertex {} {} {}\n", v[0], v[1], v[2]));
            }
            text.push_str("endloop\nendfacet\n");
        }
    }
    text + "endsolid box\n"
}

const MANIFEST: &str = "# A kit of two boxes, invented.
format = 1
rule-set = \"2026.1\" # pinned

[kit]
id = \"boxes\"
title = \"Boxes\"
revision = \"1.0.0\"
license = \"CC0-1.0\"

[[promise]]
id = \"common\"
plate = [220, 220, 240]
materials = [\"pla\"]

[settings.body]
brim = 4
[defaults]
units = \"mm\"

# The sail.
[[part]]
id = \"sheet\"
mesh = \"sheet.stl\"
source = \"sheet.step\"

[[part]]
id = \"block\"
mesh = \"block.stl\"

# Nothing comes after this line.
";

/// A kit whose sheet is so thick, mm.
struct Scratch {
    folder: tempfile::TempDir,
}

impl Scratch {
    fn new(sheet_mm: f64) -> Scratch {
        let scratch = Scratch {
            folder: tempfile::tempdir().expect("a folder"),
        };
        scratch.write("kit.toml", MANIFEST);
        scratch.write("block.stl", &stl([20.0, 20.0, 10.0]));
        scratch.write("sheet.step", "ISO-10303-21; invented\n");
        scratch.sheet(sheet_mm);
        scratch
    }

    fn path(&self, name: &str) -> PathBuf {
        self.folder.path().join(name)
    }

    fn sheet(&self, thick_mm: f64) {
        self.write("sheet.stl", &stl([30.0, thick_mm, 20.0]));
    }

    fn write(&self, name: &str, text: &str) {
        std::fs::write(self.path(name), text).expect("written");
    }

    fn read(&self, name: &str) -> String {
        std::fs::read_to_string(self.path(name)).expect(name)
    }

    fn run(&self, arguments: &[&str]) -> Output {
        kitproof()
            .current_dir(self.folder.path())
            .args(arguments)
            .args(["--as-of", AS_OF])
            .output()
            .expect("the program starts")
    }

    /// The findings of a check: rule, level, parts, whether waived, and the whole.
    fn findings(&self) -> Vec<serde_json::Value> {
        let output = self.run(&["check", "--format", "json"]);
        let json: serde_json::Value =
            serde_json::from_str(&out(&output)).unwrap_or_else(|e| panic!("{e}: {}", err(&output)));
        json["findings"].as_array().expect("a list").clone()
    }

    fn found(&self) -> Vec<String> {
        self.findings()
            .iter()
            .map(|f| {
                format!(
                    "{} {} {}",
                    f["rule"].as_str().expect("a rule"),
                    f["level"].as_str().expect("a level"),
                    f["parts"][0]["id"].as_str().unwrap_or("kit"),
                )
            })
            .collect()
    }
}

fn code(output: &Output) -> Option<i32> {
    output.status.code()
}

#[test]
fn a_thinned_wall_blocks_against_its_sign_off_where_limits_still_hold() {
    let kit = Scratch::new(1.6);
    let first = kit.run(&["accept"]);
    assert_eq!(code(&first), Some(0), "{}", err(&first));
    assert!(out(&first).contains("first sign-off"));
    assert!(kit.found().is_empty(), "{:?}", kit.found());
    let signed = kit.read("signoff.toml");
    // The sheet stands on 30 mm by 1.6 mm.
    assert!(signed.contains("min-wall = 1.600\n"), "{signed}");
    assert!(signed.contains("first-layer-area = 48.000\n"), "{signed}");
    assert!(!signed.contains(AS_OF), "it holds no date");
    // Accepting twice changes nothing.
    let again = kit.run(&["accept"]);
    assert!(
        err(&again).contains("nothing was written"),
        "{}",
        err(&again)
    );
    assert_eq!(kit.read("signoff.toml"), signed);

    kit.sheet(1.2);
    let check = kit.run(&["check", "-v"]);
    assert_eq!(code(&check), Some(1), "{}", out(&check));
    assert!(
        out(&check).contains("BLOCKED  regression.worse"),
        "{}",
        out(&check)
    );
    assert_eq!(kit.found(), ["regression.worse block sheet"]);
    // 1.6 mm to 1.2 mm is 25 % less; slenderness goes with one over the thickness, so it is a third more.
    let finding = kit.findings().remove(0);
    let measured = finding["measured"].as_f64().expect("a share");
    assert!((measured - 100.0 / 3.0).abs() < 0.1, "{measured}");
    let message = finding["message"].as_str().expect("a message");
    assert!(message.contains("least wall"), "{message}");

    // Taken as meant: the other part is left as it was signed off.
    let accepted = kit.run(&["accept", "--part", "sh*"]);
    assert_eq!(code(&accepted), Some(0), "{}", err(&accepted));
    assert!(out(&accepted).contains("worse"), "{}", out(&accepted));
    assert!(kit.found().is_empty());
    let both = kit.read("signoff.toml");
    assert!(both.contains("min-wall = 1.200\n"));
    let block = |text: &str| text.split("[parts.sheet]").next().map(str::to_string);
    assert_eq!(block(&both), block(&signed));
}

#[test]
fn an_unchanged_part_is_never_a_regression() {
    let kit = Scratch::new(1.6);
    kit.run(&["accept"]);
    let edited = kit
        .read("signoff.toml")
        .replace("min-wall = 1.600", "min-wall = 2.000");
    kit.write("signoff.toml", &edited);
    assert_eq!(kit.found(), ["regression.engine note sheet"]);
    assert_eq!(code(&kit.run(&["check"])), Some(0));
}

#[test]
fn a_cad_file_that_changed_without_its_mesh_is_told() {
    let kit = Scratch::new(1.6);
    kit.run(&["accept"]);
    kit.write("sheet.step", "ISO-10303-21; invented, a lug added\n");
    assert_eq!(kit.found(), ["mesh.stale-export warn sheet"]);
    std::fs::remove_file(kit.path("sheet.step")).expect("removed");
    assert!(kit.found().is_empty(), "a checkout without CAD files");
    // What cannot be told is said to be so.
    let report = out(&kit.run(&["check", "--format", "json"]));
    assert!(
        report.contains("sheet.step was signed off and does not lie here"),
        "{report}"
    );
}

#[test]
fn a_frozen_run_asks_for_a_sign_off_of_these_files() {
    let kit = Scratch::new(1.6);
    let without = kit.run(&["check", "--frozen"]);
    assert_eq!(code(&without), Some(2));
    assert!(
        err(&without).contains("run `kitproof accept`"),
        "{}",
        err(&without)
    );
    kit.run(&["accept"]);
    assert_eq!(code(&kit.run(&["check", "--frozen"])), Some(0));
    // Better, and yet not what was signed off.
    kit.sheet(2.0);
    assert_eq!(code(&kit.run(&["check"])), Some(0));
    let frozen = kit.run(&["check", "--frozen"]);
    assert_eq!(code(&frozen), Some(2));
    assert!(
        err(&frozen).contains("sheet: least wall 2.00 mm, signed off 1.60 mm"),
        "{}",
        err(&frozen)
    );
    assert!(
        kit.path("out/report.json").is_file(),
        "the report is written"
    );
    for verb in [
        &["accept", "--frozen"][..],
        &[
            "waive",
            "wall.thin",
            "--reason",
            "because it holds",
            "--frozen",
        ],
    ] {
        assert_eq!(code(&kit.run(verb)), Some(2), "{verb:?}");
    }
}

#[test]
fn a_build_server_signs_nothing_off() {
    let kit = Scratch::new(1.6);
    let output = kitproof()
        .env("CI", "true")
        .current_dir(kit.folder.path())
        .args(["accept", "--as-of", AS_OF])
        .output()
        .expect("the program starts");
    assert_eq!(code(&output), Some(2));
    assert!(err(&output).contains("CI is set"), "{}", err(&output));
    assert!(!kit.path("signoff.toml").exists());
}

#[test]
fn a_faulty_sign_off_is_a_fault_of_the_request() {
    let kit = Scratch::new(1.6);
    kit.run(&["accept"]);
    let marked = kit
        .read("signoff.toml")
        .replace("min-wall", "<<<<<<< ours\nmin-wal");
    kit.write("signoff.toml", &marked);
    let output = kit.run(&["check"]);
    assert_eq!(code(&output), Some(2));
    assert!(err(&output).contains("signoff.toml:"), "{}", err(&output));
}

#[test]
fn what_was_not_measured_is_not_signed_off() {
    let kit = Scratch::new(1.6);
    std::fs::remove_file(kit.path("sheet.stl")).expect("removed");
    let output = kit.run(&["accept"]);
    assert_eq!(code(&output), Some(2));
    assert!(
        err(&output).contains("sheet: could not be measured"),
        "{}",
        err(&output)
    );
    assert!(!kit.path("signoff.toml").exists());
}

const WAIVE: [&str; 6] = [
    "waive",
    "wall.thin",
    "--part",
    "sheet",
    "--reason",
    "A sail: one bead is meant, printed on three machines",
];

#[test]
fn a_waiver_is_added_and_every_byte_before_it_is_kept() {
    let kit = Scratch::new(0.6);
    assert_eq!(kit.found(), ["wall.thin warn sheet"]);
    let output = kit.run(&[&WAIVE[..], &["--tell-builders"]].concat());
    assert_eq!(code(&output), Some(0), "{}", err(&output));
    let text = kit.read("kit.toml");
    let added = text
        .strip_prefix(MANIFEST)
        .expect("the manifest is kept to the byte");
    assert_eq!(
        added,
        "\n[[waiver]]\nrule = \"wall.thin\"\npart = \"sheet\"\nnot-worse-than = 0.6\nplaces = 1\n\
         reason = \"A sail: one bead is meant, printed on three machines\"\nuntil-revision = \"1.1.0\"\n\
         tell-builders = true\n"
    );
    assert_eq!(out(&output), added.trim_start());
    let findings = kit.findings();
    assert_eq!(findings.len(), 1);
    assert!(!findings[0]["waived"].is_null());
    let listed = kit.run(&["list", "waivers"]);
    assert!(out(&listed).contains("holds"), "{}", out(&listed));

    // The floor holds: a sheet thinner than waived counts again.
    kit.sheet(0.5);
    assert!(kit.findings()[0]["waived"].is_null());
    let worse = kit.run(&[&WAIVE[..], &["--until", "2026-02-01"]].concat());
    assert_eq!(code(&worse), Some(0), "{}", err(&worse));
    assert!(
        err(&worse).contains("no longer covers it"),
        "{}",
        err(&worse)
    );
    let listed = out(&kit.run(&["list", "waivers"]));
    assert!(
        listed.contains("until 2026-02-01") && listed.contains("holds"),
        "{listed}"
    );
}

#[test]
fn a_waiver_is_refused_where_there_is_nothing_or_no_reason() {
    let kit = Scratch::new(0.6);
    let refused = |arguments: &[&str], words: &str| {
        let output = kit.run(arguments);
        assert_eq!(code(&output), Some(2), "{arguments:?}: {}", err(&output));
        assert!(
            err(&output).contains(words),
            "{arguments:?}: {}",
            err(&output)
        );
        assert_eq!(kit.read("kit.toml"), MANIFEST, "{arguments:?}");
    };
    let reason = "A sail: one bead is meant";
    refused(
        &["waive", "wall.thni", "--part", "sheet", "--reason", reason],
        "did you mean wall.thin?",
    );
    refused(
        &["waive", "wall.thin", "--part", "shet", "--reason", reason],
        "did you mean sheet?",
    );
    refused(
        &[
            "waive",
            "wall.thin",
            "--part",
            "sheet",
            "--reason",
            "todo: later",
        ],
        "placeholder",
    );
    refused(
        &["waive", "wall.thin", "--part", "block", "--reason", reason],
        "nothing to permit",
    );
    refused(
        &["waive", "wall.thin", "--reason", reason],
        "name one with --part",
    );
    refused(
        &["waive", "bridge.long", "--reason", reason],
        "nothing to permit",
    );
    refused(
        &[&WAIVE[..], &["--until-revision", "1.0.0"]].concat(),
        "ended already",
    );
    refused(
        &[&WAIVE[..], &["--until", "2025-12-31"]].concat(),
        "ended already",
    );
    refused(
        &[&WAIVE[..], &["--until", "2026-02-30"]].concat(),
        "no day of the calendar",
    );
    refused(
        &[&WAIVE[..], &["--until-revision", "two"]].concat(),
        "no revision",
    );
    assert_eq!(code(&kit.run(&WAIVE)), Some(0));
    let twice = kit.run(&WAIVE);
    assert_eq!(code(&twice), Some(2));
    assert!(
        err(&twice).contains("a waiver covers it already, kit.toml line 33"),
        "{}",
        err(&twice)
    );
}

#[test]
fn an_ended_waiver_warns_in_a_check_and_blocks_a_release() {
    let kit = Scratch::new(0.6);
    let ended = "\n[[waiver]]\nrule = \"wall.thin\"\npart = \"sheet\"\nreason = \"A sail: one bead is meant\"\n\
                 until-revision = \"1.0.0\"\n";
    kit.write("kit.toml", &format!("{MANIFEST}{ended}"));
    assert_eq!(
        kit.found(),
        ["wall.thin warn sheet", "waiver.ended warn kit"]
    );
    assert_eq!(code(&kit.run(&["check"])), Some(0));
    let release = kit.run(&["release"]);
    assert_eq!(code(&release), Some(1), "{}", err(&release));
    assert!(out(&release).contains("waiver.ended"), "{}", out(&release));
    assert!(!kit.path("dist").exists());
}

/// The demo kit's own sign-off, made by `accept`. `UPDATE_SIGNOFF=1` writes it anew, in the generator and in the kit.
#[test]
fn the_demo_kits_sign_off_is_current() {
    let folder = tempfile::tempdir().expect("a folder");
    let kit = folder.path().join("skerry-light");
    support::copy(&root().join("kits/skerry-light"), &kit);
    let accepted = support::run(&["accept", &kit.to_string_lossy(), "--as-of", AS_OF]);
    assert_eq!(code(&accepted), Some(0), "{}", err(&accepted));
    let made = std::fs::read_to_string(kit.join("signoff.toml")).expect("written");
    let places: [&Path; 2] = [
        Path::new("crates/demo/src/light/signoff.toml"),
        Path::new("kits/skerry-light/signoff.toml"),
    ];
    for place in places.map(|p| root().join(p)) {
        if std::env::var_os("UPDATE_SIGNOFF").is_some() {
            std::fs::write(&place, &made).expect("written");
        }
        let committed = std::fs::read_to_string(&place).expect("it is committed");
        assert!(
            committed == made,
            "{} is not what accept writes: run this test with UPDATE_SIGNOFF=1",
            place.display()
        );
    }
}
