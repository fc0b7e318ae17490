//! The command line as its user meets it: every exit code, bad requests, disks that fill up, signals.

mod support;

use std::fs;
use std::path::{Path, PathBuf};

use support::{AS_OF, copy, err, kitproof, out, root, run};

fn faulty(rule: &str, which: &str) -> PathBuf {
    root().join("kits/faulty").join(rule).join(which)
}

fn text(path: &Path) -> String {
    path.to_string_lossy().into_owned()
}

/// A kit of its own in a temporary folder.
struct Own {
    folder: tempfile::TempDir,
}

impl Own {
    fn of(kit: &Path) -> Own {
        let folder = tempfile::tempdir().expect("a folder");
        copy(kit, &folder.path().join("kit"));
        Own { folder }
    }

    fn path(&self) -> PathBuf {
        self.folder.path().join("kit")
    }

    fn check(&self, more: &[&str]) -> std::process::Output {
        let kit = text(&self.path());
        let mut arguments = vec!["check", &kit, "--as-of", AS_OF];
        arguments.extend(more);
        run(&arguments)
    }

    fn report(&self) -> serde_json::Value {
        let bytes = fs::read(self.path().join("out/report.json")).expect("report.json");
        serde_json::from_slice(&bytes).expect("JSON")
    }
}

#[test]
fn ready_is_0_and_check_is_the_default() {
    let own = Own::of(&faulty("wall.lost", "silent"));
    let output = own.check(&[]);
    assert_eq!(output.status.code(), Some(0), "{}", err(&output));
    assert!(
        out(&output)
            .lines()
            .last()
            .is_some_and(|l| l.starts_with("READY: "))
    );
    let kit = text(&own.path());
    assert_eq!(run(&[&kit]).status.code(), Some(0));
    assert!(own.path().join("out/report.html").is_file());
    assert_eq!(own.report()["verdict"], "READY");
}

#[test]
fn blocked_is_1_and_the_report_is_written_all_the_same() {
    let own = Own::of(&faulty("wall.lost", "raises"));
    let output = own.check(&[]);
    assert_eq!(output.status.code(), Some(1));
    assert!(
        out(&output)
            .lines()
            .last()
            .is_some_and(|l| l.starts_with("BLOCKED: "))
    );
    assert_eq!(own.report()["verdict"], "BLOCKED");
    assert!(own.path().join("out/marks/sheet.stl").is_file());
}

#[test]
fn fail_on_makes_the_gate_stricter() {
    let own = Own::of(&faulty("wall.thin", "raises"));
    assert_eq!(own.check(&[]).status.code(), Some(0));
    assert_eq!(own.check(&["--fail-on", "warn"]).status.code(), Some(1));
    let own = Own::of(&faulty("edge.feather", "raises"));
    assert_eq!(own.check(&["--fail-on", "warn"]).status.code(), Some(0));
    assert_eq!(own.check(&["--fail-on", "note"]).status.code(), Some(1));
}

#[test]
fn wrong_requests_are_2_and_say_what_was_expected() {
    let own = Own::of(&faulty("wall.lost", "silent"));
    let manifest = own.path().join("kit.toml");
    let good = fs::read_to_string(&manifest).expect("kit.toml");

    let output = run(&["check", "no/such/kit"]);
    assert_eq!(output.status.code(), Some(2));
    assert!(
        err(&output).contains("no/such/kit: no such kit"),
        "{}",
        err(&output)
    );

    assert_eq!(run(&["check", "--frobnicate"]).status.code(), Some(2));
    assert_eq!(own.check(&["--as-of", "31.5.2026"]).status.code(), Some(2));

    let output = own.check(&["--part", "nobody"]);
    assert_eq!(output.status.code(), Some(2));
    assert!(err(&output).contains("--part nobody"), "{}", err(&output));

    let output = own.check(&["--promise", "moon"]);
    assert_eq!(output.status.code(), Some(2));
    assert!(
        err(&output).contains("this kit has common"),
        "{}",
        err(&output)
    );

    // A typing error in the manifest: line, column, what was meant.
    fs::write(&manifest, good.replace("license", "licence")).expect("written");
    let output = own.check(&[]);
    assert_eq!(output.status.code(), Some(2));
    let said = err(&output);
    assert!(said.contains("license"), "{said}");
    assert!(said.contains("kit.toml:"), "{said}");

    // A manifest that is no text.
    fs::write(&manifest, b"format = 1\n\xff\xfe").expect("written");
    let output = own.check(&[]);
    assert_eq!(output.status.code(), Some(2));
    assert!(err(&output).contains("UTF-8"), "{}", err(&output));
}

#[test]
fn outputs_that_cannot_be_written_are_3_and_name_the_file() {
    let own = Own::of(&faulty("wall.lost", "silent"));
    // A file where the folder should be.
    fs::write(own.path().join("out"), b"in the way").expect("written");
    let output = own.check(&[]);
    assert_eq!(output.status.code(), Some(3), "{}", out(&output));
    assert!(err(&output).contains("out"), "{}", err(&output));
    // The verdict is still said.
    assert!(out(&output).contains("READY"), "{}", out(&output));
}

#[cfg(target_os = "linux")]
#[test]
fn a_full_standard_output_is_3() {
    let own = Own::of(&faulty("wall.lost", "silent"));
    let full = fs::OpenOptions::new()
        .write(true)
        .open("/dev/full")
        .expect("/dev/full");
    let status = kitproof()
        .args(["check", &text(&own.path())])
        .stdout(full)
        .stderr(std::process::Stdio::null())
        .status()
        .expect("started");
    assert_eq!(status.code(), Some(3));
}

/// RLIMIT_FSIZE stands for a disk that fills up half way through a file.
#[cfg(target_os = "linux")]
#[test]
fn a_disk_that_fills_up_leaves_no_half_written_file() {
    let own = Own::of(&faulty("wall.lost", "raises"));
    let script =
        "trap '' XFSZ; ulimit -f 4; exec \"$0\" check \"$1\" --as-of 2026-01-01 --progress never";
    let output = std::process::Command::new("bash")
        .args([
            "-c",
            script,
            env!("CARGO_BIN_EXE_kitproof"),
            &text(&own.path()),
        ])
        .env("KITPROOF_NO_CACHE", "true")
        .output()
        .expect("bash");
    assert_eq!(output.status.code(), Some(3), "{}", err(&output));
    assert!(
        err(&output).contains("report.html: cannot be written"),
        "{}",
        err(&output)
    );
    let folder = own.path().join("out");
    for entry in fs::read_dir(folder).expect("out").flatten() {
        let name = entry.file_name().to_string_lossy().into_owned();
        assert!(!name.starts_with(".kitproof-"), "left behind: {name}");
        assert_ne!(name, "report.html", "half written");
    }
}

#[test]
fn nothing_to_check_is_4() {
    let empty = tempfile::tempdir().expect("a folder");
    let output = run(&["new", &text(empty.path())]);
    assert_eq!(output.status.code(), Some(4), "{}", err(&output));
}

/// Checks the demo kit and asks the program to end after a while. Where it was faster, its result is whole.
#[cfg(unix)]
fn stopped_by(signal: &str, code: i32) {
    let own = Own::of(&root().join("kits/skerry-light"));
    let mut child = kitproof()
        .args(["check", &text(&own.path()), "--as-of", AS_OF, "--jobs", "1"])
        .stdout(std::process::Stdio::null())
        .stderr(std::process::Stdio::null())
        .spawn()
        .expect("started");
    std::thread::sleep(std::time::Duration::from_millis(120));
    let killed = std::process::Command::new("kill")
        .args([signal, &child.id().to_string()])
        .status()
        .expect("kill");
    let got = child.wait().expect("ended").code();
    if killed.success() {
        assert!(got == Some(code) || got == Some(0), "{got:?}");
    }
    let folder = own.path().join("out");
    if folder.is_dir() {
        for entry in fs::read_dir(&folder).expect("out").flatten() {
            let name = entry.file_name().to_string_lossy().into_owned();
            assert!(!name.starts_with(".kitproof-"), "left behind: {name}");
        }
        if got == Some(code) {
            assert_eq!(own.report()["extent"], "incomplete");
        }
    }
}

#[cfg(unix)]
#[test]
fn a_request_to_end_is_143_and_an_interrupt_130_and_both_leave_whole_files_only() {
    stopped_by("-TERM", 143);
    stopped_by("-INT", 130);
}

#[test]
fn parts_of_a_kit_can_be_checked_alone() {
    let own = Own::of(&root().join("kits/skerry-light"));
    let output = own.check(&["--part", "tower-*"]);
    assert_eq!(output.status.code(), Some(0), "{}", err(&output));
    let report = own.report();
    assert_eq!(report["extent"], "partial");
    assert_eq!(report["parts"].as_array().map(Vec::len), Some(3));
    assert!(out(&output).contains("3 of "), "{}", out(&output));
}

#[test]
fn several_kits_have_a_verdict_each_and_the_worst_counts() {
    let folder = tempfile::tempdir().expect("a folder");
    copy(&faulty("wall.lost", "raises"), &folder.path().join("a"));
    copy(&faulty("wall.lost", "silent"), &folder.path().join("b"));
    let outputs = folder.path().join("outputs");
    let output = run(&[
        "check",
        &text(folder.path()),
        "--as-of",
        AS_OF,
        "--out",
        &text(&outputs),
    ]);
    assert_eq!(output.status.code(), Some(1), "{}", err(&output));
    let said = out(&output);
    assert!(
        said.contains("BLOCKED: ") && said.contains("READY: "),
        "{said}"
    );
    assert_eq!(fs::read_dir(&outputs).expect("outputs").count(), 2);
}

#[test]
fn the_verbs_that_only_tell() {
    for (arguments, holds) in [
        (vec!["--help"], "Exit codes:"),
        (vec!["--version"], "kitproof 0."),
        (vec!["schema"], "\"$schema\""),
        (vec!["completions", "bash"], "_kitproof"),
        (vec!["man"], ".TH kitproof"),
        (vec!["list", "rules"], "wall.lost"),
        (vec!["explain", "wall.lost"], "Why it matters"),
    ] {
        let output = run(&arguments);
        assert_eq!(
            output.status.code(),
            Some(0),
            "{arguments:?}: {}",
            err(&output)
        );
        assert!(
            out(&output).contains(holds),
            "{arguments:?}: {}",
            out(&output)
        );
    }
    let kit = text(&root().join("kits/skerry-light"));
    for (arguments, holds) in [
        (vec!["list", "parts", "--kit", &kit], "gallery"),
        (vec!["list", "waivers", "--kit", &kit], "no waivers"),
        (vec!["explain", "gallery", "--kit", &kit], "least wall"),
        (vec!["explain", "kit-1", "--kit", &kit], "kit.unmeasured"),
    ] {
        let output = run(&arguments);
        assert_eq!(
            output.status.code(),
            Some(0),
            "{arguments:?}: {}",
            err(&output)
        );
        assert!(
            out(&output).contains(holds),
            "{arguments:?}: {}",
            out(&output)
        );
    }
    let output = run(&["explain", "wall.gone"]);
    assert_eq!(output.status.code(), Some(2));
}

#[test]
fn new_makes_a_kit_that_can_be_checked_at_once() {
    let folder = tempfile::tempdir().expect("a folder");
    for (name, mesh) in [("left_x2.stl", "wall.lost"), ("right.stl", "wall.thin")] {
        let from = fs::read_dir(faulty(mesh, "silent"))
            .expect("a kit")
            .flatten()
            .map(|e| e.path())
            .find(|p| p.extension().is_some_and(|e| e == "stl"))
            .expect("a mesh");
        fs::copy(from, folder.path().join(name)).expect("copied");
    }
    fs::write(folder.path().join("broken.stl"), b"").expect("written");
    let path = text(folder.path());
    let output = run(&["new", &path]);
    assert_eq!(output.status.code(), Some(0), "{}", err(&output));
    let manifest = fs::read_to_string(folder.path().join("kit.toml")).expect("kit.toml");
    assert!(manifest.contains("count = 2"), "{manifest}");
    // A second time it is not replaced unasked.
    assert_eq!(run(&["new", &path]).status.code(), Some(2));
    let output = run(&["check", &path]);
    assert_eq!(output.status.code(), Some(1), "{}", err(&output));
    assert!(out(&output).contains("mesh.unreadable") || out(&output).contains("mesh.empty"));
    fs::remove_file(folder.path().join("broken.stl")).expect("removed");
    assert_eq!(run(&["new", &path, "--force"]).status.code(), Some(0));
    assert_eq!(run(&["check", &path]).status.code(), Some(0));
}

#[cfg(unix)]
#[test]
fn meshes_that_cannot_be_had_are_findings_and_the_others_are_checked() {
    use std::os::unix::fs::symlink;
    let own = Own::of(&faulty("wall.lost", "silent"));
    let manifest = own.path().join("kit.toml");
    let mut kit = fs::read_to_string(&manifest).expect("kit.toml");
    for name in ["folder", "outside", "gone"] {
        kit += &format!("\n[[part]]\nid = \"{name}\"\nmesh = \"{name}.stl\"\n");
    }
    fs::write(&manifest, kit).expect("written");
    fs::create_dir(own.path().join("folder.stl")).expect("made");
    fs::write(own.folder.path().join("secret.stl"), b"x").expect("written");
    symlink("../secret.stl", own.path().join("outside.stl")).expect("linked");
    let output = own.check(&[]);
    assert_eq!(output.status.code(), Some(1), "{}", err(&output));
    let report = own.report();
    let parts = report["parts"].as_array().expect("parts");
    assert_eq!(parts.len(), 4);
    assert!(
        parts[0]["volume_mm3"].is_number(),
        "the sound part is measured"
    );
    for part in &parts[1..] {
        assert!(part["volume_mm3"].is_null(), "{part}");
    }
    let blocked: Vec<&str> = report["findings"]
        .as_array()
        .expect("findings")
        .iter()
        .filter(|f| f["level"] == "block")
        .filter_map(|f| f["parts"][0]["id"].as_str())
        .collect();
    for name in ["folder", "outside", "gone"] {
        assert!(blocked.contains(&name), "{name}: {blocked:?}");
    }
}

/// A T on its stem: the first row saves its support, and its line, pasted, leaves nothing to note.
#[test]
fn orient_says_what_to_paste_and_pasting_it_helps() {
    let own = Own::of(&faulty("orientation.dominated", "raises"));
    let kit = text(&own.path());
    let output = run(&["orient", "tee", "--kit", &kit, "--as-of", AS_OF]);
    assert_eq!(output.status.code(), Some(0), "{}", err(&output));
    let said = out(&output);
    assert!(said.contains("no support (now 6.0 cm3)"), "{said}");
    let line = said
        .lines()
        .find_map(|l| l.trim_start().strip_prefix("1  "))
        .expect("a row");
    assert!(line.starts_with("up = "), "{said}");
    for picture in ["tee-now.png", "tee-1.png"] {
        assert!(own.path().join("out/orient").join(picture).is_file());
    }
    assert!(own.path().join("out/.gitignore").is_file());

    let manifest = own.path().join("kit.toml");
    let written = fs::read_to_string(&manifest).expect("kit.toml");
    assert!(written.contains("up = \"+z\""), "{written}");
    fs::write(&manifest, written.replace("up = \"+z\"", line)).expect("written");
    own.check(&["--emit", "json"]);
    let noted = |report: &serde_json::Value| {
        let findings = report["findings"].as_array().expect("findings");
        findings
            .iter()
            .any(|f| f["rule"] == "orientation.dominated")
    };
    assert!(!noted(&own.report()));

    // A reason of the designer's own silences the note as well.
    let reasoned = written.replace("up = \"+z\"", "up = \"+z\"\nup-because = \"strength\"");
    fs::write(&manifest, &written).expect("written");
    own.check(&["--emit", "json"]);
    assert!(noted(&own.report()));
    fs::write(&manifest, reasoned).expect("written");
    own.check(&["--emit", "json"]);
    assert!(!noted(&own.report()));
}

#[test]
fn orient_in_json_has_the_keys_of_the_report_and_a_wrong_part_is_2() {
    let own = Own::of(&faulty("orientation.dominated", "raises"));
    let kit = text(&own.path());
    let output = run(&["orient", "tee", "--kit", &kit, "--format", "json"]);
    assert_eq!(output.status.code(), Some(0), "{}", err(&output));
    let ways: serde_json::Value = serde_json::from_str(&out(&output)).expect("JSON");
    assert_eq!(ways["part"], "tee");
    assert_eq!(ways["orientations"][0]["dominates_intended"], true);
    assert_eq!(ways["orientations"][0]["needs_support"], false);
    let output = run(&["orient", "te", "--kit", &kit]);
    assert_eq!(output.status.code(), Some(2));
    assert!(
        err(&output).contains("did you mean tee?"),
        "{}",
        err(&output)
    );
    let output = run(&["orient", "tee", "--kit", &kit, "--promise", "none"]);
    assert_eq!(output.status.code(), Some(2));
    assert!(
        err(&output).contains("this kit has common"),
        "{}",
        err(&output)
    );
}
