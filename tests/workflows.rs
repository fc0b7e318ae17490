//! The workflows' own steps, run by their scripts on a scratch git repository: a pull request that thins a wall is
//! BLOCKED, with the annotation on its part; mended, it is READY; a tag becomes the files of a release.

mod formats;
mod support;

use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Command, Output};

use formats::log;
use serde_json::Value;
use support::{copy, err, kitproof, out, root};

/// A program that the scripts need; its absence is said, never passed over.
fn must_have(program: &str) {
    let output = Command::new("bash")
        .args(["-c", "command -v \"$0\"", program])
        .output();
    assert!(
        output.is_ok_and(|o| o.status.success()),
        "{program} is needed to run the workflows' scripts; install it and run the tests again"
    );
}

/// A repository with an origin of its own, and the workflows in it.
struct Scratch {
    folder: tempfile::TempDir,
}

/// A part beside the one that changes, so that an annotation has to find its own.
const KIT: &str = "format = 1\nrule-set = \"2026.1\"\n\n[kit]\nid = \"sheets\"\ntitle = \"Sheets\"\n\
    revision = \"1.0.0\"\nlicense = \"CC0-1.0\"\n\n[[promise]]\nid = \"common\"\n\
    plate = [220, 220, 240]\nnozzle = 0.4\nlayers = [0.12, 0.28]\n\n[settings.body]\nbrim = 4\n\n\
    [defaults]\nunits = \"mm\"\nmaterial = \"pla\"\n\n[[part]]\nid = \"frame\"\nmesh = \"frame.stl\"\n\n\
    [[part]]\nid = \"sheet\"\nmesh = \"sheet.stl\"\n";

impl Scratch {
    fn new() -> Scratch {
        for program in ["bash", "git", "sha256sum", "awk", "sed"] {
            must_have(program);
        }
        let scratch = Scratch {
            folder: tempfile::tempdir().expect("a folder"),
        };
        let work = scratch.work();
        fs::create_dir_all(scratch.kit()).expect("made");
        copy(&root().join(".github"), &work.join(".github"));
        fs::write(scratch.kit().join("kit.toml"), KIT).expect("written");
        scratch.mesh("frame", "silent");
        scratch.mesh("sheet", "silent");
        fs::write(work.join(".gitignore"), "out/\ndist/\n").expect("written");
        scratch.git(&["init", "-q", "-b", "main"]);
        scratch.commit("the kit as it was released");
        scratch.git(&["init", "-q", "--bare", "-b", "main", "../origin.git"]);
        scratch.git(&["remote", "add", "origin", "../origin.git"]);
        scratch.git(&["push", "-q", "origin", "main"]);
        scratch.git(&["fetch", "-q", "origin"]);
        scratch
    }

    fn work(&self) -> PathBuf {
        self.folder.path().join("work")
    }

    fn kit(&self) -> PathBuf {
        self.work().join("kits/my sheets")
    }

    /// Takes a sheet that is too thin to print, or its near twin that is not, for a part's mesh.
    fn mesh(&self, part: &str, which: &str) {
        let from = root()
            .join("kits/faulty/wall.lost")
            .join(which)
            .join("sheet.stl");
        fs::copy(from, self.kit().join(format!("{part}.stl"))).expect("copied");
    }

    /// Replaces a text of the manifest.
    fn edit(&self, from: &str, to: &str) {
        let path = self.kit().join("kit.toml");
        let text = fs::read_to_string(&path).expect("kit.toml");
        assert!(text.contains(from), "{text}");
        fs::write(path, text.replacen(from, to, 1)).expect("written");
    }

    fn git(&self, arguments: &[&str]) -> String {
        let output = Command::new("git")
            .current_dir(self.work())
            .args([
                "-c",
                "user.name=a designer",
                "-c",
                "user.email=designer@example.org",
            ])
            .args(arguments)
            .env("GIT_CONFIG_GLOBAL", "/dev/null")
            .env("GIT_CONFIG_SYSTEM", "/dev/null")
            .env("GIT_COMMITTER_DATE", "2026-01-01T00:00:00Z")
            .env("GIT_AUTHOR_DATE", "2026-01-01T00:00:00Z")
            .output()
            .expect("git starts");
        assert!(
            output.status.success(),
            "git {arguments:?}: {}",
            err(&output)
        );
        out(&output).trim().to_string()
    }

    fn commit(&self, words: &str) {
        self.git(&["add", "-A"]);
        self.git(&["commit", "-q", "-m", words]);
    }

    /// Runs a script as a step of a workflow does: what it puts out is read by the next step.
    fn step(&self, script: &str, arguments: &[&str], set: &[(&str, &str)]) -> Step {
        let outputs = self.folder.path().join("outputs");
        let summary = self.folder.path().join("summary");
        for file in [&outputs, &summary] {
            fs::write(file, "").expect("written");
        }
        let mut command = Command::new("bash");
        for (name, _) in std::env::vars_os() {
            let name = name.to_string_lossy().into_owned();
            if name.starts_with("GITHUB_") || name.starts_with("KITPROOF_") {
                command.env_remove(name);
            }
        }
        for name in [
            "BASE",
            "TAG",
            "OUT",
            "FAIL_ON",
            "NEW_ONLY",
            "SOURCE_DATE_EPOCH",
        ] {
            command.env_remove(name);
        }
        let output = command
            .current_dir(self.work())
            .arg(format!(".github/scripts/{script}.sh"))
            .args(arguments)
            .env("CI", "true")
            .env("GITHUB_ACTIONS", "true")
            .env("GITHUB_OUTPUT", &outputs)
            .env("GITHUB_STEP_SUMMARY", &summary)
            .env("GIT_CONFIG_GLOBAL", "/dev/null")
            .env("KITPROOF", env!("CARGO_BIN_EXE_kitproof"))
            .env("KITPROOF_NO_CACHE", "true")
            .env("KITPROOF_AS_OF", support::AS_OF)
            .envs(set.iter().copied())
            .output()
            .expect("bash starts");
        let lines = fs::read_to_string(&outputs).expect("outputs");
        Step {
            output,
            outputs: lines
                .lines()
                .filter_map(|l| l.split_once('='))
                .map(|(k, v)| (k.to_string(), v.to_string()))
                .collect(),
            summary: fs::read_to_string(summary).expect("the summary"),
        }
    }

    /// The gate of a pull request, step by step as the action has them.
    fn pull_request(&self, kit: &str) -> Step {
        let base = self
            .step("base", &[kit], &[("GITHUB_BASE_REF", "main")])
            .passed();
        let base = base.value("base");
        self.step("gate", &[kit], &[("BASE", &base)])
    }
}

/// An error on a part: what is said of the revision as a whole is another matter.
fn of_a_part(a: &log::Annotation) -> bool {
    let on_kit = a
        .title
        .as_deref()
        .is_some_and(|t| t.ends_with("on the kit"));
    a.kind == "error" && !on_kit
}

struct Step {
    output: Output,
    outputs: Vec<(String, String)>,
    summary: String,
}

impl Step {
    fn passed(self) -> Step {
        let said = format!("{}\n{}", out(&self.output), err(&self.output));
        assert!(self.output.status.success(), "{said}");
        self
    }

    fn value(&self, name: &str) -> String {
        let found = self.outputs.iter().find(|(k, _)| k == name);
        found
            .unwrap_or_else(|| panic!("no output {name}: {:?}", self.outputs))
            .1
            .clone()
    }
}

#[test]
fn a_pull_request_that_thins_a_wall_is_blocked_on_its_part_and_mended_is_ready() {
    let scratch = Scratch::new();
    let kits = scratch.step("kits", &["kits"], &[]).passed().value("kits");
    assert_eq!(kits, "[\"kits/my sheets\"]");
    let kits: Vec<String> = serde_json::from_str(&kits).expect("an array, as fromJSON reads it");

    scratch.git(&["switch", "-q", "-c", "thinner"]);
    scratch.mesh("sheet", "raises");
    // The kit's own words may not become a command of the log.
    scratch.edit(
        "title = \"Sheets\"",
        "title = \"\"\"\n::error::forged by a title\n::stop-commands::x\"\"\"",
    );
    scratch.commit("a thinner sheet");
    let gate = scratch.pull_request(&kits[0]);
    let told = out(&gate.output);
    assert_eq!(
        gate.output.status.code(),
        Some(1),
        "{told}{}",
        err(&gate.output)
    );
    assert_eq!(gate.value("verdict"), "BLOCKED");

    // Outside of what commands are stopped for, every annotation is ours.
    let (before, rest) = told
        .split_once("::stop-commands::")
        .expect("commands are stopped");
    let (token, rest) = rest.split_once('\n').expect("a token");
    let (stopped, after) = rest
        .split_once(&format!("\n::{token}::\n"))
        .expect("commands go on");
    assert_eq!(before, "");
    assert!(stopped.contains("BLOCKED"), "{told}");
    assert!(!stopped.contains("\n::"), "{told}");
    let annotations = log::annotations(after);
    let errors: Vec<_> = annotations.iter().filter(|a| of_a_part(a)).collect();
    assert_eq!(errors.len(), 1, "{after}");
    assert_eq!(errors[0].file.as_deref(), Some("kits/my sheets/kit.toml"));
    assert!(
        errors[0]
            .title
            .as_deref()
            .is_some_and(|t| t.starts_with("wall.lost on sheet")),
        "{after}"
    );
    // What it measured before stands beside what it measures now.
    assert!(
        after.contains("Since: new: ") && after.contains(" mm in 1.0.0"),
        "{after}"
    );
    let manifest = fs::read_to_string(scratch.kit().join("kit.toml")).expect("kit.toml");
    let line = errors[0].line.expect("a line");
    let lines: Vec<&str> = manifest.lines().collect();
    assert_eq!(lines[line - 1], "[[part]]");
    assert_eq!(lines[line], "id = \"sheet\"");

    assert!(
        gate.summary.contains("## BLOCKED: ") && gate.summary.contains("`wall.lost`"),
        "{}",
        gate.summary
    );
    assert!(
        gate.summary.contains("**New in this revision: "),
        "{}",
        gate.summary
    );
    let views = scratch.work().join(gate.value("out"));
    for view in [
        "report.json",
        "report.html",
        "report.sarif",
        "junit.xml",
        "comment.md",
        "marks/sheet.stl",
    ] {
        assert!(views.join(view).is_file(), "{view}");
    }

    scratch.mesh("sheet", "silent");
    scratch.edit(
        "title = \"\"\"\n::error::forged by a title\n::stop-commands::x\"\"\"",
        "title = \"Sheets\"",
    );
    scratch.commit("as thick as before");
    let gate = scratch.pull_request(&kits[0]).passed();
    assert_eq!(gate.value("verdict"), "READY");
    let annotations = log::annotations(&out(&gate.output));
    assert!(
        annotations.iter().all(|a| a.kind != "error"),
        "{annotations:?}"
    );
    assert!(gate.summary.contains("## READY: "), "{}", gate.summary);
}

/// A kit that is measured on three machines has the verdict, the annotations and the report of one.
#[test]
fn shards_on_several_machines_give_the_verdict_of_one() {
    let scratch = Scratch::new();
    let kit = "kits/my sheets";
    scratch.mesh("sheet", "raises");
    scratch.commit("a thinner sheet");
    let shards = scratch.step("shards", &["3"], &[]).passed().value("shards");
    let shards: Vec<String> = serde_json::from_str(&shards).expect("an array");
    assert_eq!(shards, ["1/3", "2/3", "3/3"]);
    for shard in &shards {
        scratch.step("shard", &[kit], &[("SHARD", shard)]).passed();
    }
    let epoch = scratch.git(&["log", "-1", "--format=%ct"]);
    let alone = [("OUT", "alone"), ("SOURCE_DATE_EPOCH", epoch.as_str())];
    let joined = [("OUT", "joined"), ("RESULTS", "results")];
    let one = scratch.step("gate", &[kit], &alone);
    let many = scratch.step("gate", &[kit], &joined);
    assert_eq!(many.output.status.code(), Some(1), "{}", err(&many.output));
    assert_eq!(many.value("verdict"), "BLOCKED");
    assert_eq!(one.summary, many.summary);
    for view in [
        "report.json",
        "report.html",
        "report.sarif",
        "annotations.txt",
    ] {
        let read = |folder: &str| fs::read(scratch.work().join(folder).join(view)).expect(view);
        assert!(read("alone") == read("joined"), "{view}");
    }

    fs::remove_file(scratch.work().join("results/result-2-of-3.kitproof")).expect("removed");
    let missing = scratch.step("gate", &[kit], &joined);
    assert_eq!(missing.output.status.code(), Some(5));
    assert!(
        err(&missing.output).contains("2/3"),
        "{}",
        err(&missing.output)
    );
    let wrong = scratch.step("shards", &["0"], &[]);
    assert_eq!(wrong.output.status.code(), Some(2));
}

/// A gate that asks for the sign-off fails where there is none, and where it is not of these files.
#[test]
fn a_frozen_gate_needs_a_sign_off_of_these_files() {
    let scratch = Scratch::new();
    let kit = "kits/my sheets";
    let frozen = [("FROZEN", "true")];
    let none = scratch.step("gate", &[kit], &frozen);
    assert_eq!(none.output.status.code(), Some(2));
    assert!(
        err(&none.output).contains("kitproof accept"),
        "{}",
        err(&none.output)
    );
    let accepted = kitproof()
        .args(["accept", "--as-of", "2026-01-01"])
        .arg(scratch.kit())
        .output()
        .expect("started");
    assert!(accepted.status.success(), "{}", err(&accepted));
    scratch.step("gate", &[kit], &frozen).passed();
    scratch.mesh("sheet", "raises");
    let outdated = scratch.step("gate", &[kit], &frozen);
    assert_eq!(outdated.output.status.code(), Some(2));
    assert!(
        err(&outdated.output).contains("outdated"),
        "{}",
        err(&outdated.output)
    );
}

/// A fault that the target branch has too fails no pull request that asks for what is new only.
#[test]
fn only_what_a_pull_request_brings_counts_where_that_is_asked_for() {
    let scratch = Scratch::new();
    let kit = "kits/my sheets";
    scratch.mesh("frame", "raises");
    scratch.commit("a frame too thin, long ago");
    scratch.git(&["push", "-q", "origin", "main"]);
    scratch.git(&["switch", "-q", "-c", "branch"]);
    let base = scratch.git(&["rev-parse", "HEAD"]);
    scratch.edit("title = \"Sheets\"", "title = \"Two sheets\"");
    scratch.commit("another title");
    let asked = [("BASE", base.as_str()), ("NEW_ONLY", "true")];
    let gate = scratch.step("gate", &[kit], &asked).passed();
    assert_eq!(gate.value("verdict"), "READY");
    let whole = scratch.step("gate", &[kit], &[("BASE", &base)]);
    assert_eq!(whole.output.status.code(), Some(1));

    scratch.mesh("sheet", "raises");
    scratch.commit("a thinner sheet");
    let gate = scratch.step("gate", &[kit], &asked);
    assert_eq!(gate.output.status.code(), Some(1), "{}", err(&gate.output));
    let annotations = log::annotations(&out(&gate.output));
    let titles: Vec<&str> = annotations
        .iter()
        .filter(|a| of_a_part(a))
        .filter_map(|a| a.title.as_deref())
        .collect();
    assert_eq!(titles, ["wall.lost on sheet r1"]);
    // A kit without an earlier state is new as a whole.
    let none = scratch.step("gate", &[kit], &[("BASE", "none"), ("NEW_ONLY", "true")]);
    assert_eq!(none.output.status.code(), Some(1), "{}", err(&none.output));
}

#[test]
fn the_base_is_where_a_branch_left_else_the_last_release_else_none() {
    let scratch = Scratch::new();
    let kit = "kits/my sheets";
    let base = |set: &[(&str, &str)]| scratch.step("base", &[kit], set).passed().value("base");
    let first = scratch.git(&["rev-parse", "HEAD"]);
    assert_eq!(base(&[]), "none");
    scratch.git(&["tag", "sheets/1.0.0"]);
    // A tag at this very commit is what is being released, no base of it.
    assert_eq!(base(&[]), "none");
    for (revision, tag) in [
        ("1.2.0", "sheets/1.2.0"),
        ("1.10.0", "sheets/1.10.0"),
        ("1.11.0", "other/9.0.0"),
    ] {
        let text = fs::read_to_string(scratch.kit().join("kit.toml")).expect("kit.toml");
        let line = text
            .lines()
            .find(|l| l.starts_with("revision"))
            .expect("a revision")
            .to_string();
        scratch.edit(&line, &format!("revision = \"{revision}\""));
        scratch.commit(revision);
        scratch.git(&["tag", tag]);
    }
    assert_eq!(base(&[]), "sheets/1.10.0");
    scratch.git(&["switch", "-q", "-c", "branch"]);
    assert_eq!(base(&[("GITHUB_BASE_REF", "main")]), first);

    // A kit that the target branch does not have yet is compared with nothing.
    let new = scratch.work().join("kits/new");
    copy(&scratch.kit(), &new);
    scratch.commit("another kit");
    let of_new = scratch
        .step("base", &["kits/new"], &[("GITHUB_BASE_REF", "main")])
        .passed();
    assert_eq!(of_new.value("base"), "none");

    // A shallow clone is told its mend, and no other base is taken instead.
    let shallow = scratch.folder.path().join("shallow");
    let from = format!("file://{}", scratch.work().display());
    scratch.git(&[
        "clone",
        "-q",
        "--depth",
        "1",
        &from,
        &shallow.to_string_lossy(),
    ]);
    let kit = shallow.join(kit).to_string_lossy().into_owned();
    let refused = scratch.step("base", &[&kit], &[]);
    assert_eq!(refused.output.status.code(), Some(2));
    assert!(
        err(&refused.output).contains("fetch-depth: 0"),
        "{}",
        err(&refused.output)
    );
}

#[test]
fn a_tag_becomes_bundle_loose_parts_checksums_and_provenance() {
    let scratch = Scratch::new();
    scratch.git(&["tag", "sheets/1.0.0"]);
    let tag = [("TAG", "sheets/1.0.0")];
    let kit = scratch
        .step("kit-of-tag", &["kits"], &tag)
        .passed()
        .value("kit");
    assert_eq!(kit, "kits/my sheets");
    let wrong = scratch.step("kit-of-tag", &["kits"], &[("TAG", "sheets/1.0.1")]);
    assert_eq!(wrong.output.status.code(), Some(2));

    let release = |scratch: &Scratch| {
        let made = scratch.step("release", &[&kit], &tag).passed();
        let assets = scratch.work().join(made.value("assets"));
        assert!(scratch.work().join(made.value("body")).is_file());
        assets
    };
    let assets = release(&scratch);
    let names = |assets: &Path| -> Vec<String> {
        let entries = fs::read_dir(assets).expect("assets").flatten();
        let mut names: Vec<String> = entries
            .map(|e| e.file_name().to_string_lossy().into_owned())
            .collect();
        names.sort();
        names
    };
    let held = names(&assets);
    let ends = |end: &str| held.iter().filter(|n| n.ends_with(end)).count();
    assert_eq!((ends(".stl"), ends(".3mf")), (2, 2), "{held:?}");
    assert!(held.contains(&"sheets-1.0.0.zip".to_string()), "{held:?}");

    // The sums are what coreutils says, of every file but themselves and the statement about them.
    let checked = Command::new("sha256sum")
        .current_dir(&assets)
        .args(["--check", "--strict", "SHA256SUMS"])
        .output()
        .expect("sha256sum of coreutils");
    assert!(checked.status.success(), "{}", err(&checked));
    assert_eq!(out(&checked).lines().count(), held.len() - 2);

    let sums = fs::read_to_string(assets.join("SHA256SUMS")).expect("SHA256SUMS");
    let statement = fs::read_to_string(assets.join("provenance.json")).expect("provenance.json");
    assert_eq!(faults_of(&statement, &sums), [""; 0], "{statement}");
    let commit = scratch.git(&["rev-parse", "HEAD"]);
    assert!(statement.contains(&commit), "{statement}");

    // The same commit gives the same bytes.
    let bytes = |assets: &Path| -> Vec<Vec<u8>> {
        let read = |n: &String| fs::read(assets.join(n)).expect("a file");
        names(assets).iter().map(read).collect()
    };
    let once = bytes(&assets);
    assert!(once == bytes(&release(&scratch)));

    // A kit that is not READY has no release, and what was there before is gone.
    scratch.mesh("sheet", "raises");
    let refused = scratch.step("release", &[&kit], &tag);
    assert_eq!(
        refused.output.status.code(),
        Some(1),
        "{}",
        err(&refused.output)
    );
    assert!(!assets.exists());

    // A tag of another revision is not released as this one.
    scratch.mesh("sheet", "silent");
    scratch.edit("1.0.0", "1.0.1");
    let refused = scratch.step("release", &[&kit], &tag);
    assert_eq!(
        refused.output.status.code(),
        Some(2),
        "{}",
        err(&refused.output)
    );
    assert!(
        err(&refused.output).contains("KIT-ID/REVISION"),
        "{}",
        err(&refused.output)
    );
}

/// The release after the first: its notes are the body, and what changed stands in an archive of its own.
#[test]
fn a_later_release_brings_notes_and_an_archive_of_what_changed() {
    let scratch = Scratch::new();
    scratch.git(&["tag", "sheets/1.0.0"]);
    scratch.edit("revision = \"1.0.0\"", "revision = \"1.1.0\"");
    scratch.edit("id = \"sheet\"", "id = \"sheet\"\ncount = 2");
    scratch.commit("a sheet more");
    scratch.git(&["tag", "sheets/1.1.0"]);
    let kit = "kits/my sheets";
    let base = scratch.step("base", &[kit], &[]).passed().value("base");
    assert_eq!(base, "sheets/1.0.0");
    let set = [("TAG", "sheets/1.1.0"), ("BASE", base.as_str())];
    let made = scratch.step("release", &[kit], &set).passed();
    let assets = scratch.work().join(made.value("assets"));
    let changed = fs::read(assets.join("sheets-1.1.0-changed.zip")).expect("an archive");
    let names: Vec<String> = archive::unpack(&changed)
        .expect("a sound archive")
        .into_keys()
        .filter(|name| name.starts_with("stl/") || name.starts_with("3mf/"))
        .collect();
    assert_eq!(names, ["3mf/02_sheet_r1_x2.3mf", "stl/02_sheet_r1_x2.stl"]);
    let body = fs::read_to_string(scratch.work().join(made.value("body"))).expect("a body");
    assert!(body.starts_with("# Sheets 1.1.0: release notes"), "{body}");
    for file in ["sheets-1.1.0.zip", "sheets-1.1.0-changed.zip"] {
        let bytes = fs::read(assets.join(file)).expect(file);
        let line = format!(
            "| {file} | {} | `{}` |",
            bytes.len(),
            archive::sha256(&bytes)
        );
        assert!(body.contains(&line), "{body}");
    }
    let checked = Command::new("sha256sum")
        .current_dir(&assets)
        .args(["--check", "--strict", "SHA256SUMS"])
        .output()
        .expect("sha256sum of coreutils");
    assert!(checked.status.success(), "{}", err(&checked));
}

/// What is wrong with a statement (in-toto Statement v1, SLSA provenance v1): required fields, one subject a line of
/// the sums, no time, and that it says that it is not signed.
fn faults_of(statement: &str, sums: &str) -> Vec<String> {
    let mut faults = Vec::new();
    let mut must = |holds: bool, what: &str| {
        if !holds {
            faults.push(what.to_string());
        }
    };
    let s: Value = serde_json::from_str(statement).expect("JSON");
    must(s["_type"] == "https://in-toto.io/Statement/v1", "_type");
    must(
        s["predicateType"] == "https://slsa.dev/provenance/v1",
        "predicateType",
    );
    let subjects = s["subject"].as_array().expect("subjects");
    let lines: Vec<String> = subjects
        .iter()
        .map(|s| {
            let text = |v: &Value| v.as_str().unwrap_or("?").to_string();
            format!("{}  {}\n", text(&s["digest"]["sha256"]), text(&s["name"]))
        })
        .collect();
    must(lines.concat() == sums, "a subject a line of SHA256SUMS");
    let build = &s["predicate"]["buildDefinition"];
    must(
        build["buildType"].as_str().is_some_and(|t| t.contains(':')),
        "buildType is a URI",
    );
    must(
        build["externalParameters"]["tag"] == "sheets/1.0.0",
        "externalParameters",
    );
    must(
        build["internalParameters"]["signed"] == false,
        "it is not signed",
    );
    must(
        build["resolvedDependencies"][0]["digest"]["gitCommit"].is_string(),
        "gitCommit",
    );
    let run = &s["predicate"]["runDetails"];
    must(
        run["builder"]["id"]
            .as_str()
            .is_some_and(|t| t.contains(':')),
        "builder.id is a URI",
    );
    must(run.get("metadata").is_none(), "no time");
    faults
}

/// Every script is called by a workflow, the action or another script, every call finds one, and workflows hold no
/// other shell than such calls.
#[test]
fn workflows_are_thin_and_call_scripts_that_are_there() {
    let github = root().join(".github");
    let mut called = Vec::new();
    let mut files = vec![github.join("actions/gate/action.yml")];
    for folder in ["workflows", "scripts"] {
        for entry in fs::read_dir(github.join(folder))
            .expect("a folder")
            .flatten()
        {
            files.push(entry.path());
        }
    }
    let mut scripts = Vec::new();
    for path in &files {
        let text = fs::read_to_string(path).expect("text");
        let script = path.extension().is_some_and(|e| e == "sh");
        if script {
            scripts.push(
                path.file_name()
                    .expect("a name")
                    .to_string_lossy()
                    .into_owned(),
            );
            assert!(
                text.starts_with("#!/usr/bin/env bash\n# "),
                "{}",
                path.display()
            );
            assert!(text.contains("\nset -euo pipefail\n"), "{}", path.display());
        }
        for line in text
            .lines()
            .map(|l| l.trim_start().trim_start_matches("- "))
        {
            if let Some(run) = line.strip_prefix("run:").filter(|_| !script) {
                let run = run.trim();
                assert!(
                    run.starts_with("bash ") && !run.contains("${{"),
                    "{}: {run}",
                    path.display()
                );
            }
            let own = line
                .split(['/', '"', ' '])
                .filter(|w| w.ends_with(".sh") && !line.starts_with('#'));
            called.extend(own.map(str::to_string));
        }
    }
    called.sort();
    called.dedup();
    scripts.sort();
    assert_eq!(called, scripts);
}
