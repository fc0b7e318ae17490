//! The views for a build server, as the program writes them: every required field, the limits of platforms with
//! 500 findings, and that verdict, counts, waivers and exit code agree in all of them.

mod formats;
mod support;

use std::fs;
use std::path::{Path, PathBuf};

use formats::{junit, log, sarif};
use serde_json::Value;
use support::{AS_OF, copy, err, kitproof, kits_below, name, out, root};

const ALL: &str = "json,sarif,junit,summary,comment,annotations";

/// The views of one checked kit.
struct Views {
    exit: Option<i32>,
    json: Value,
    sarif: Value,
    junit: junit::Element,
    summary: String,
    comment: String,
    annotations: String,
    stdout: String,
}

fn read(folder: &Path, exit: Option<i32>, stdout: String) -> Views {
    let text = |file: &str| {
        fs::read_to_string(folder.join(file))
            .unwrap_or_else(|e| panic!("{}: {file}: {e}", folder.display()))
    };
    let value = |file: &str| serde_json::from_str(&text(file)).expect("JSON");
    Views {
        exit,
        json: value("report.json"),
        sarif: value("report.sarif"),
        junit: junit::parse(&text("junit.xml")),
        summary: text("summary.md"),
        comment: text("comment.md"),
        annotations: text("annotations.txt"),
        stdout,
    }
}

fn check(kit: &Path, more: &[&str]) -> Views {
    let folder = tempfile::tempdir().expect("a folder");
    let output = kitproof()
        .args(["check", "--as-of", AS_OF, "--emit", ALL])
        .args(more)
        .arg("--out")
        .args([folder.path(), kit])
        .output()
        .expect("started");
    assert_eq!(
        err(&output).matches("cannot").count(),
        0,
        "{}",
        err(&output)
    );
    read(folder.path(), output.status.code(), out(&output))
}

/// Every view says the same; `what` names the kit.
fn assert_agreement(views: &Views, what: &str) {
    assert_eq!(sarif::faults(&views.sarif), [""; 0], "{what}");
    assert_eq!(junit::faults(&views.junit), [""; 0], "{what}");

    let findings = views.json["findings"].as_array().expect("findings");
    let count = |level: &str, waived: bool| {
        let of = |f: &&Value| f["level"] == level && f["waived"].is_null() != waived;
        findings.iter().filter(of).count()
    };
    let open = ["block", "warn", "note"].map(|level| count(level, false));
    let waived: usize = ["block", "warn", "note"]
        .map(|level| count(level, true))
        .iter()
        .sum();
    let verdict = views.json["verdict"].as_str().expect("a verdict");
    assert_eq!(verdict == "BLOCKED", open[0] > 0, "{what}: json");

    let run = &views.sarif["runs"][0];
    let results = run["results"].as_array().expect("results");
    let suppressed = |r: &Value| r.get("suppressions").is_some();
    let of = |level: &str| {
        let counts = |r: &&Value| r["level"] == level && !suppressed(r);
        results.iter().filter(counts).count()
    };
    assert_eq!(["error", "warning", "note"].map(of), open, "{what}: sarif");
    assert_eq!(
        results.iter().filter(|r| suppressed(r)).count(),
        waived,
        "{what}: sarif"
    );
    assert_eq!(run["properties"]["verdict"], verdict, "{what}: sarif");
    let exit = run["invocations"][0]["exitCode"]
        .as_i64()
        .expect("an exit code");
    if let Some(code) = views.exit {
        assert_eq!(i64::from(code), exit, "{what}: exit code");
    }

    let suite = &views.junit.children[0];
    let number = |name: &str| -> usize {
        suite
            .property(name)
            .and_then(|v| v.parse().ok())
            .expect("a count")
    };
    assert_eq!(suite.property("verdict"), Some(verdict), "{what}: junit");
    assert_eq!(
        [number("blocking"), number("warnings"), number("notes")],
        open,
        "{what}: junit"
    );
    assert_eq!(number("waived"), waived, "{what}: junit");
    assert_eq!(number("exit-code") as i64, exit, "{what}: junit");
    let least = suite.property("fail-on").expect("fail-on");
    let failing: usize = match least {
        "block" => open[0],
        "warn" => open[0] + open[1],
        _ => open.iter().sum(),
    };
    let ends = |name: &str| -> usize {
        suite
            .get(name)
            .and_then(|v| v.parse().ok())
            .expect("a count")
    };
    assert_eq!(ends("failures") + ends("errors"), failing, "{what}: junit");
    assert_eq!(
        exit != 0,
        failing > 0,
        "{what}: exit code and failing findings"
    );

    let many = |n: usize, what: &str| format!("{n} {what}{}", if n == 1 { "" } else { "s" });
    let counts = format!(
        "{} blocking, {}, {}, {waived} waived; exit code {exit}",
        open[0],
        many(open[1], "warning"),
        many(open[2], "note")
    );
    let head = format!("## {verdict}: ");
    for (view, text) in [("summary", &views.summary), ("comment", &views.comment)] {
        assert!(text.contains(&head), "{what}: {view}: {text}");
        assert!(text.contains(&counts), "{what}: {view}: {counts}: {text}");
    }
    assert!(
        views.annotations.contains(&counts),
        "{what}: {}",
        views.annotations
    );
    let told = log::annotations(&views.annotations);
    let shown = |kind: &str| {
        let of = |a: &&log::Annotation| a.kind == kind && a.file.is_some();
        told.iter().filter(of).count()
    };
    assert_eq!(shown("error"), open[0].min(10), "{what}: annotations");
    assert_eq!(shown("warning"), open[1].min(10), "{what}: annotations");
    assert_eq!(shown("notice"), open[2].min(9), "{what}: annotations");
}

/// Kits of every kind, with a run of the program each, so that the exit code is seen as well.
#[test]
fn verdict_counts_waivers_and_exit_code_agree_in_every_output() {
    let faulty = root().join("kits/faulty");
    let waived = tempfile::tempdir().expect("a folder");
    copy(&faulty.join("wall.lost/raises"), waived.path());
    let manifest = waived.path().join("kit.toml");
    let text = fs::read_to_string(&manifest).expect("kit.toml");
    let waiver = "\n[[waiver]]\nrule = \"wall.lost\"\npart = \"sheet\"\nreason = \"A sail, glued to a \
        frame <all round> & painted\"\nuntil-revision = \"2.0.0\"\n";
    fs::write(&manifest, text + waiver).expect("written");

    let cases: [(PathBuf, &[&str], i32); 10] = [
        (faulty.join("wall.lost/raises"), &[], 1),
        (faulty.join("wall.lost/silent"), &[], 0),
        (waived.path().to_path_buf(), &[], 0),
        (faulty.join("wall.thin/raises"), &[], 0),
        (faulty.join("wall.thin/raises"), &["--fail-on", "warn"], 1),
        (
            faulty.join("edge.feather/raises"),
            &["--fail-on", "note"],
            1,
        ),
        (faulty.join("waiver.stale/silent"), &[], 0),
        (faulty.join("waiver.ended/raises"), &[], 0),
        (faulty.join("mesh.missing/raises"), &[], 1),
        (faulty.join("mesh.unreadable/raises"), &[], 1),
    ];
    for (kit, more, exit) in &cases {
        let views = check(kit, more);
        let what = format!("{} {more:?}", name(kit));
        assert_agreement(&views, &what);
        assert_eq!(views.exit, Some(*exit), "{what}");
        // What reached the log is what was written.
        assert!(views.stdout.ends_with(&views.annotations), "{what}");
    }

    let views = check(waived.path(), &[]);
    let result = &views.sarif["runs"][0]["results"][0];
    assert_eq!(result["level"], "error");
    let reason = "A sail, glued to a frame <all round> & painted (until revision 2.0.0)";
    assert_eq!(result["suppressions"][0]["justification"], reason);
    assert!(
        views.comment.contains("&lt;all round&gt; &amp; painted"),
        "{}",
        views.comment
    );
}

/// `--new-only`: what the base has already neither counts nor is listed, in any view; without a base it is refused.
#[test]
fn only_what_is_new_counts_and_every_view_agrees() {
    let base = tempfile::tempdir().expect("a folder");
    copy(&root().join("kits/faulty/wall.lost/raises"), base.path());
    let kit = tempfile::tempdir().expect("a folder");
    copy(base.path(), kit.path());
    let base_folder = base.path().to_string_lossy().into_owned();
    let against = ["--base", &base_folder, "--new-only"];

    let views = check(kit.path(), &against);
    assert_eq!(views.exit, Some(0), "{}", views.stdout);
    assert_agreement(&views, "nothing new");
    assert_eq!(views.json["verdict"], "READY");
    assert_eq!(views.json["extent"], "new");
    assert!(
        views.comment.contains("1 of them blocking"),
        "{}",
        views.comment
    );
    assert!(
        views.stdout.contains("(what is new only)"),
        "{}",
        views.stdout
    );

    let manifest = kit.path().join("kit.toml");
    let text = fs::read_to_string(&manifest).expect("kit.toml");
    let part = "\n[[part]]\nid = \"second\"\nmesh = \"second.stl\"\n";
    fs::write(&manifest, text + part).expect("written");
    fs::copy(kit.path().join("sheet.stl"), kit.path().join("second.stl")).expect("copied");
    let views = check(kit.path(), &against);
    assert_eq!(views.exit, Some(1), "{}", views.stdout);
    assert_agreement(&views, "a new part");
    for finding in views.json["findings"].as_array().expect("findings") {
        assert_eq!(finding["since"]["new"], true, "{finding}");
    }
    let whole = check(kit.path(), &against[..2]);
    assert_eq!(whole.exit, Some(1));
    assert_agreement(&whole, "the whole kit");
    assert!(
        whole.comment.contains("**New in this revision: "),
        "{}",
        whole.comment
    );

    for wrong in [&["--new-only"][..], &["--new-only", "--base", "none"]] {
        let output = kitproof()
            .args(["check", "--as-of", AS_OF])
            .args(wrong)
            .arg(kit.path())
            .output()
            .expect("started");
        assert_eq!(output.status.code(), Some(2), "{wrong:?}");
        assert!(err(&output).contains("--base"), "{}", err(&output));
    }
}

/// All the faulty kits in one run of the program.
#[test]
fn every_faulty_kit_agrees_with_itself() {
    let folder = tempfile::tempdir().expect("a folder");
    let faulty = root().join("kits/faulty");
    let output = kitproof()
        .args(["check", "--as-of", AS_OF, "--emit", ALL, "--out"])
        .args([folder.path(), &faulty])
        .output()
        .expect("started");
    assert_eq!(output.status.code(), Some(1), "{}", err(&output));
    let mut kits = 0;
    for entry in fs::read_dir(folder.path()).expect("outputs").flatten() {
        // Later kits of the same step may find no room for annotations; the first ones have it.
        let mut views = read(&entry.path(), None, String::new());
        let shared = views.annotations.contains("Cut to what a step shows");
        let kit = entry.file_name().to_string_lossy().into_owned();
        if shared || !views.annotations.starts_with("::") {
            views.annotations = check_alone(&faulty, &kit);
        }
        assert_agreement(&views, &kit);
        kits += 1;
    }
    assert_eq!(kits, kits_below(&faulty).len());
    // The step shows ten of a type over all of its kits.
    let told = log::annotations(&out(&output));
    for kind in ["error", "warning", "notice"] {
        let shown = told.iter().filter(|a| a.kind == kind).count();
        assert!(shown <= 10, "{kind}: {shown}");
    }
}

/// The annotations of a kit in a step of its own, by the kit's id.
fn check_alone(faulty: &Path, id: &str) -> String {
    let kit = kits_below(faulty)
        .into_iter()
        .find(|k| {
            let text = fs::read_to_string(k.join("kit.toml")).expect("kit.toml");
            text.contains(&format!("id = \"{id}\"\n"))
        })
        .unwrap_or_else(|| panic!("{id}: no such kit"));
    check(&kit, &[]).annotations
}

/// A kit of so many parts, none of whose meshes is there: as many blocking findings.
fn without_meshes(parts: usize, folder: &Path) {
    let mut text = "format = 1\nrule-set = \"2026.1\"\n[kit]\nid = \"many\"\ntitle = \"Many\"\n\
        revision = \"1.0.0\"\nlicense = \"CC0-1.0\"\n[[promise]]\nid = \"common\"\n\
        plate = [220, 220, 240]\n[settings.body]\n[defaults]\nunits = \"mm\"\nmaterial = \"pla\"\n"
        .to_string();
    for i in 0..parts {
        text += &format!("[[part]]\nid = \"part-{i}\"\nmesh = \"meshes/50% of, a: {i}.stl\"\n");
    }
    fs::write(folder.join("kit.toml"), text).expect("written");
}

/// The limits of platforms (check values, section 10) with 500 findings.
#[test]
fn five_hundred_findings_stay_within_every_limit() {
    let kit = tempfile::tempdir().expect("a folder");
    without_meshes(500, kit.path());
    let step = tempfile::NamedTempFile::new().expect("a file");
    let folder = tempfile::tempdir().expect("a folder");
    let run = || {
        kitproof()
            .env("GITHUB_STEP_SUMMARY", step.path())
            .args(["check", "--as-of", AS_OF, "--emit", ALL, "--out"])
            .args([folder.path(), kit.path()])
            .output()
            .expect("started")
    };
    let output = run();
    let views = read(folder.path(), output.status.code(), out(&output));
    assert_agreement(&views, "500 findings");
    assert_eq!(views.json["findings"].as_array().map(Vec::len), Some(500));
    assert_eq!(
        views.sarif["runs"][0]["results"].as_array().map(Vec::len),
        Some(500)
    );

    assert!(views.comment.chars().count() <= 65_536);
    assert!(views.comment.starts_with("<!-- kitproof: many -->\n"));
    assert!(views.comment.contains("**Cut to fit**") && views.comment.contains("report.json"));
    assert!(views.summary.len() <= 1 << 20);
    let appended = fs::read_to_string(step.path()).expect("the step's summary");
    assert_eq!(appended, format!("\n{}", views.summary));

    let told = log::annotations(&views.stdout);
    assert_eq!(told.iter().filter(|a| a.kind == "error").count(), 10);
    let total = told.last().expect("a total");
    assert_eq!(total.kind, "notice");
    assert!(
        total.message.contains("10 of 500 errors"),
        "{}",
        total.message
    );
    assert!(
        total.message.contains("the whole list is in report.json"),
        "{}",
        total.message
    );
    let first = &told[0];
    assert_eq!(first.file.as_deref(), Some("kit.toml"));
    assert_eq!(first.line, Some(15));
    assert!(
        first.message.contains("50% of, a: 0.stl"),
        "{}",
        first.message
    );

    // A step that has shown nearly all it can leaves no more room than is left.
    fs::write(step.path(), vec![b'x'; (1 << 20) - 5_000]).expect("written");
    let output = run();
    assert_eq!(output.status.code(), Some(1));
    let held = fs::read_to_string(step.path()).expect("the step's summary");
    assert!(held.len() <= 1 << 20, "{}", held.len());
    assert!(held.contains("**Cut to fit**"));
}

#[test]
fn a_summary_that_cannot_be_written_is_3_and_the_other_views_are_there() {
    let kit = root().join("kits/faulty/wall.lost/silent");
    let folder = tempfile::tempdir().expect("a folder");
    let output = kitproof()
        .env("GITHUB_STEP_SUMMARY", folder.path())
        .args(["check", "--as-of", AS_OF, "--emit", ALL, "--out"])
        .args([folder.path(), &kit])
        .output()
        .expect("started");
    assert_eq!(output.status.code(), Some(3), "{}", err(&output));
    assert!(
        err(&output).contains("cannot be written"),
        "{}",
        err(&output)
    );
    for file in [
        "report.sarif",
        "junit.xml",
        "summary.md",
        "comment.md",
        "annotations.txt",
    ] {
        assert!(folder.path().join(file).is_file(), "{file}");
    }
}

/// The views name files from the repository's root, wherever the command was typed, and change no byte.
#[test]
fn paths_are_those_of_the_repository() {
    let repository = tempfile::tempdir().expect("a folder");
    fs::create_dir(repository.path().join(".git")).expect("made");
    let kit = repository.path().join("kits/my sheet");
    copy(&root().join("kits/faulty/wall.lost/raises"), &kit);
    let views = check(&kit, &[]);
    let result = &views.sarif["runs"][0]["results"][0];
    let at = &result["locations"][0]["physicalLocation"]["artifactLocation"];
    assert_eq!(at["uri"], "kits/my%20sheet/kit.toml");
    let told = log::annotations(&views.annotations);
    assert_eq!(told[0].file.as_deref(), Some("kits/my sheet/kit.toml"));
    let text = fs::read_to_string(kit.join("kit.toml")).expect("kit.toml");
    let line = text
        .lines()
        .nth(told[0].line.expect("a line") - 1)
        .expect("the line");
    assert_eq!(line, "[[part]]");

    // From the kit's own folder, with one thread.
    let folder = tempfile::tempdir().expect("a folder");
    let output = kitproof()
        .current_dir(&kit)
        .args([
            "check", "--as-of", AS_OF, "--emit", ALL, "--jobs", "1", "--out",
        ])
        .arg(folder.path())
        .output()
        .expect("started");
    let again = read(folder.path(), output.status.code(), out(&output));
    assert_eq!(views.sarif, again.sarif);
    assert_eq!(views.summary, again.summary);
    assert_eq!(views.comment, again.comment);
    assert_eq!(views.annotations, again.annotations);
}

/// One thread or eight: not a byte of any view differs.
#[test]
fn threads_change_no_view() {
    let kit = root().join("kits/skerry-light");
    let [one, eight] = ["1", "8"].map(|jobs| check(&kit, &["--jobs", jobs]));
    assert_agreement(&one, "skerry-light");
    assert_eq!(one.sarif, eight.sarif);
    assert_eq!(format!("{:?}", one.junit), format!("{:?}", eight.junit));
    assert_eq!(one.summary, eight.summary);
    assert_eq!(one.comment, eight.comment);
    assert_eq!(one.annotations, eight.annotations);
}

/// Hashes of what was checked (the mesh by `sha256sum`-like reading of its bytes elsewhere in the project).
#[test]
fn artifacts_carry_the_hashes_of_the_files_that_were_checked() {
    let kit = root().join("kits/faulty/wall.lost/raises");
    let views = check(&kit, &[]);
    let artifacts = views.sarif["runs"][0]["artifacts"]
        .as_array()
        .expect("artifacts");
    assert!(artifacts.len() >= 2);
    for artifact in artifacts {
        let uri = artifact["location"]["uri"].as_str().expect("a uri");
        let path = root().join(uri);
        let path = if path.is_file() { path } else { kit.join(uri) };
        let output = std::process::Command::new("sha256sum")
            .arg(&path)
            .output()
            .expect("sha256sum of coreutils");
        let said = out(&output);
        assert_eq!(
            artifact["hashes"]["sha-256"].as_str(),
            said.split(' ').next(),
            "{uri}"
        );
    }
}

/// The fingerprints of a kit's results, sorted.
fn prints(kit: &Path) -> Vec<String> {
    let views = check(kit, &[]);
    let results = views.sarif["runs"][0]["results"]
        .as_array()
        .expect("results");
    let print = |r: &Value| {
        r["partialFingerprints"]["kitproofPlace/v1"]
            .as_str()
            .map(str::to_string)
    };
    let mut prints: Vec<String> = results.iter().filter_map(print).collect();
    prints.sort();
    prints
}

/// A binary STL exported again: another header, the triangles in the opposite order and each from another corner,
/// coordinates with the four decimals that a text format keeps.
fn re_exported(stl: &[u8]) -> Vec<u8> {
    let mut again = stl[..84].to_vec();
    again[..5].copy_from_slice(b"again");
    for triangle in stl[84..].chunks_exact(50).rev() {
        let mut triangle = triangle.to_vec();
        triangle[12..48].rotate_left(12);
        for corner in triangle[12..48].chunks_exact_mut(4) {
            let x = f32::from_le_bytes(corner.try_into().expect("four bytes"));
            let x = (f64::from(x) * 1e4).round() / 1e4;
            corner.copy_from_slice(&(x as f32).to_le_bytes());
        }
        again.extend(triangle);
    }
    again
}

/// What a rule finds on a mesh that was exported again is known by the same fingerprints, in every faulty kit that
/// can be (a mesh that is meant to be broken in its coordinates or order is another one afterwards).
#[test]
fn a_fingerprint_survives_a_re_export() {
    let broken = [
        "mesh.not-finite",
        "mesh.trailing-data",
        "mesh.unreadable",
        "mesh.crack",
        "mesh.degenerate",
    ];
    let mut tried = 0;
    let mut moved = Vec::new();
    for kit in kits_below(&root().join("kits/faulty")) {
        let kit_name = name(&kit);
        if broken.iter().any(|b| kit_name.contains(b)) || !kit_name.ends_with("raises") {
            continue;
        }
        // A sign-off knows a mesh by its bytes: exported again it is another one to it.
        if kit.join("signoff.toml").is_file() {
            continue;
        }
        let own = tempfile::tempdir().expect("a folder");
        copy(&kit, own.path());
        let before = prints(own.path());
        let mut changed = 0;
        for entry in fs::read_dir(own.path()).expect("the kit").flatten() {
            let path = entry.path();
            if path.is_dir() {
                continue;
            }
            let bytes = fs::read(&path).expect("a file");
            let binary =
                bytes.len() > 84 && (bytes.len() - 84) % 50 == 0 && !bytes.starts_with(b"solid");
            if path.extension().is_some_and(|e| e == "stl") && binary {
                fs::write(&path, re_exported(&bytes)).expect("written");
                changed += 1;
            }
        }
        // Another line of the manifest as well.
        let manifest = own.path().join("kit.toml");
        let text = fs::read_to_string(&manifest).expect("kit.toml");
        fs::write(&manifest, format!("# a line more\n{text}")).expect("written");
        tried += usize::from(changed > 0 && !before.is_empty());
        let after = prints(own.path());
        if after != before {
            moved.push(format!("{kit_name}: {before:?} -> {after:?}"));
        }
    }
    assert!(tried > 30, "{tried}");
    assert!(moved.is_empty(), "{}", moved.join("\n"));
}
