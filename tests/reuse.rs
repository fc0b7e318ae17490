//! Results that were measured before, or elsewhere: from the cache, from shards and from a saved result, every output
//! is byte for byte that of a check that measures everything.

mod support;

use std::collections::BTreeMap;
use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Command, Output};

use support::{AS_OF, copy, err, files, kitproof, kits_below, name, out, root};
use tempfile::TempDir;

const SHARDS: usize = 3;
const EVERY_VIEW: &str = "json,html,marks,sarif,junit,summary,comment,annotations";

/// Kits whose findings come of more than one part, of files besides, of faults of loading and of the sign-off.
fn kits() -> Vec<PathBuf> {
    let telling = [
        "faulty/file.",
        "faulty/floor.",
        "faulty/kit.",
        "faulty/mesh.missing",
        "faulty/mesh.unreadable",
        "faulty/mirror.",
        "faulty/orientation.",
        "faulty/reference.",
        "faulty/regression.",
        "faulty/show.",
        "faulty/waiver.",
        "faulty/wall.",
        "faulty/warp.",
    ];
    let found = kits_below(&root().join("kits"));
    let chosen = found.into_iter().filter(|kit| {
        let name = name(kit);
        let raises =
            telling.iter().any(|start| name.starts_with(start)) && name.ends_with("raises");
        name == "skerry-light" || raises
    });
    chosen.collect()
}

fn checked(kit: &Path, into: &Path, more: &[&str]) -> Command {
    let mut command = kitproof();
    command
        .args(["check", "--as-of", AS_OF, "--out"])
        .arg(into)
        .arg(kit)
        .args(more);
    command
}

fn ended(command: &mut Command) -> Output {
    command.output().expect("started")
}

fn with_cache(mut command: Command, cache: &Path) -> Command {
    command
        .env_remove("KITPROOF_NO_CACHE")
        .env("KITPROOF_CACHE", cache);
    command
}

fn assert_same(a: &BTreeMap<String, Vec<u8>>, b: &BTreeMap<String, Vec<u8>>, what: &str) {
    let names = |files: &BTreeMap<String, Vec<u8>>| -> Vec<String> {
        let kept = files.keys().filter(|name| !name.ends_with(".kitproof"));
        kept.cloned().collect()
    };
    assert_eq!(names(a), names(b), "{what}");
    for name in names(a) {
        assert!(a[&name] == b[&name], "{what}: {name} differs");
    }
}

#[test]
fn the_cache_changes_no_byte() {
    let (cache, one, two, three) = (folder(), folder(), folder(), folder());
    for kit in kits() {
        let (what, emit) = (name(&kit), ["--emit", EVERY_VIEW]);
        let [one, two, three] = [&one, &two, &three].map(|f| f.path().join(what.replace('/', "-")));
        let plain = ended(&mut checked(&kit, &one, &emit));
        let cold = ended(&mut with_cache(checked(&kit, &two, &emit), cache.path()));
        let warm = ended(&mut with_cache(checked(&kit, &three, &emit), cache.path()));
        let report =
            |path: &Path, output: &Output| out(output).replace(&path.display().to_string(), "OUT");
        assert_eq!(report(&one, &plain), report(&two, &cold), "{what}");
        assert_eq!(report(&one, &plain), report(&three, &warm), "{what}");
        assert_eq!(plain.status.code(), warm.status.code(), "{what}");
        assert_same(&files(&one), &files(&two), &format!("{what}, cold"));
        assert_same(&files(&one), &files(&three), &format!("{what}, warm"));
        if what == "skerry-light" {
            assert_eq!(err(&cold), "");
            assert!(
                err(&warm).starts_with("22 of 22 parts are as they were measured before"),
                "{}",
                err(&warm)
            );
        }
    }
}

#[test]
fn what_changed_is_measured_again_and_the_rest_is_reused() {
    let (work, cache) = (folder(), folder());
    let kit = work.path().join("kit");
    copy(&root().join("kits/skerry-light"), &kit);
    let reused = |what: &str| {
        let into = work.path().join(what);
        let output = ended(&mut with_cache(checked(&kit, &into, &[]), cache.path()));
        let again = work.path().join(format!("{what} again"));
        ended(&mut checked(&kit, &again, &[]));
        assert_same(&files(&into), &files(&again), what);
        let said = err(&output);
        said.split(' ')
            .next()
            .unwrap_or_default()
            .parse::<usize>()
            .unwrap_or(0)
    };
    assert_eq!(reused("first"), 0);
    assert_eq!(reused("unchanged"), 22);
    let manifest = kit.join("kit.toml");
    let text = fs::read_to_string(&manifest).expect("kit.toml");
    fs::write(&manifest, format!("# a remark\n\n{text}")).expect("written");
    assert_eq!(reused("a remark"), 22);
    // Another layer height of one part's settings, and nothing else: that part alone.
    let part = text.find("id = \"railing-jig\"").expect("the part");
    let (before, after) = text.split_at(part);
    let turned = after.replacen("mesh =", "brim-less = 1\nmesh =", 1);
    fs::write(&manifest, format!("{before}{turned}")).expect("written");
    let wrong = ended(&mut with_cache(
        checked(&kit, &work.path().join("wrong"), &[]),
        cache.path(),
    ));
    assert_eq!(
        wrong.status.code(),
        Some(2),
        "an unknown key is still a fault"
    );
    let wider = after.replacen("mesh =", "min-wall = 0.31\nmesh =", 1);
    fs::write(&manifest, format!("{before}{wider}")).expect("written");
    assert_eq!(reused("one part's wall"), 21);
    // A byte of the header of one mesh: its file is another one, its shape is not.
    fs::write(&manifest, &text).expect("written");
    let mesh = kit.join("meshes/window.stl");
    let mut bytes = fs::read(&mesh).expect("a mesh");
    bytes[70] ^= 1;
    fs::write(&mesh, bytes).expect("written");
    assert!(reused("one mesh's header") < 22);
    assert_eq!(reused("unchanged again"), 22);
}

/// Two fits between parts of the same shape, of which only one pair meets: neither takes the other's line.
#[test]
fn fits_between_parts_of_one_shape_keep_apart() {
    let (work, cache) = (folder(), folder());
    let kit = work.path().join("kit");
    copy(&root().join("kits/faulty/show.joint-line/raises"), &kit);
    let manifest = kit.join("kit.toml");
    let text = fs::read_to_string(&manifest).expect("kit.toml");
    let more = "\n[[part]]\nid = \"tail-2\"\nmesh = \"tail.stl\"\nshow = \"all\"\n\n[[pose]]\npart = \"tail-2\"\n\
        move = [0, 200, 0]\n\n[[fit]]\nid = \"far\"\nparts = [\"head\", \"tail-2\"]\nkind = \"glued\"\n\
        gap = [0.05, 0.15]\n";
    fs::write(&manifest, text + more).expect("written");
    let run = |what: &str| {
        let into = work.path().join(what);
        ended(&mut with_cache(checked(&kit, &into, &[]), cache.path()));
        files(&into)
    };
    let (cold, warm) = (run("cold"), run("warm"));
    assert!(String::from_utf8_lossy(&cold["report.json"]).contains("show.joint-line"));
    assert_same(&cold, &warm, "warm");
}

/// What lies in the folder that KITPROOF_CACHE names belongs to somebody else.
#[test]
fn the_cache_keeps_to_a_folder_of_its_own() {
    let (work, cache) = (folder(), folder());
    fs::write(cache.path().join("photo.jpg"), "not ours").expect("written");
    let kit = root().join("kits/faulty/wall.thin/raises");
    ended(&mut with_cache(
        checked(&kit, &work.path().join("out"), &[]),
        cache.path(),
    ));
    for name in files(cache.path()).keys() {
        assert!(
            name == "photo.jpg" || name.starts_with("kitproof/"),
            "{name}"
        );
    }
}

/// A part that is checked alone is checked against what it mirrors.
#[test]
fn a_part_alone_still_has_what_it_mirrors() {
    let work = folder();
    let kit = root().join("kits/faulty/mirror.differs/raises");
    let output = ended(&mut checked(
        &kit,
        &work.path().join("out"),
        &["--part", "right"],
    ));
    assert!(out(&output).contains("mirror.differs"), "{}", out(&output));
}

#[test]
fn a_broken_cache_is_a_miss() {
    let (work, cache) = (folder(), folder());
    let kit = root().join("kits/faulty/wall.thin/raises");
    let run = |what: &str| {
        let into = work.path().join(what);
        let output = ended(&mut with_cache(checked(&kit, &into, &[]), cache.path()));
        (files(&into), err(&output))
    };
    let (first, _) = run("first");
    for (path, bytes) in files(cache.path()) {
        fs::write(cache.path().join(path), &bytes[..bytes.len() / 2]).expect("cut");
    }
    let (second, said) = run("second");
    assert_same(&first, &second, "after every entry was cut");
    assert_eq!(said, "");
    let (third, said) = run("third");
    assert_same(&first, &third, "after that");
    assert!(said.contains("taken from the cache"), "{said}");
}

#[test]
fn without_a_folder_to_write_to_everything_is_measured_and_said() {
    let work = folder();
    let file = work.path().join("file");
    fs::write(&file, "").expect("written");
    let kit = root().join("kits/faulty/wall.thin/raises");
    let into = work.path().join("out");
    let output = ended(&mut with_cache(checked(&kit, &into, &[]), &file));
    assert_eq!(
        output.status.code(),
        ended(&mut checked(&kit, &into, &[])).status.code()
    );
    assert!(
        err(&output).contains("--no-cache does without"),
        "{}",
        err(&output)
    );
}

#[test]
fn shards_that_are_joined_change_no_byte() {
    let work = folder();
    for kit in kits() {
        let what = name(&kit);
        let at = |which: &str| work.path().join(which).join(what.replace('/', "-"));
        let emit = ["--emit", EVERY_VIEW];
        let whole = ended(&mut checked(&kit, &at("whole"), &emit));
        for k in 1..=SHARDS {
            let shard = ended(&mut checked(
                &kit,
                &at("shards"),
                &["--shard", &format!("{k}/{SHARDS}")],
            ));
            assert_eq!(shard.status.code(), Some(0), "{what}: {}", err(&shard));
            assert_eq!(out(&shard), "", "a shard gives no verdict");
            assert!(
                err(&shard).contains("not judged"),
                "{what}: {}",
                err(&shard)
            );
        }
        let merged = merged(&shards(&at("shards"), SHARDS), &at("merged"), &emit);
        assert_eq!(
            merged.status.code(),
            whole.status.code(),
            "{what}: {}",
            err(&merged)
        );
        let report = |which: &str, output: &Output| {
            out(output).replace(&at(which).display().to_string(), "OUT")
        };
        assert_eq!(report("whole", &whole), report("merged", &merged), "{what}");
        assert_same(&files(&at("whole")), &files(&at("merged")), &what);
    }
}

#[test]
fn a_saved_result_gives_every_report_again() {
    let work = folder();
    let kit = root().join("kits/faulty/show.joint-line/raises");
    let (first, again) = (work.path().join("first"), work.path().join("again"));
    let with_result = format!("{EVERY_VIEW},result");
    let whole = ended(&mut checked(&kit, &first, &["--emit", &with_result]));
    let result = first.join("result.kitproof");
    let rendered = ended(
        kitproof()
            .args(["render", "--emit", EVERY_VIEW, "--out"])
            .arg(&again)
            .arg(&result),
    );
    assert_eq!(
        rendered.status.code(),
        whole.status.code(),
        "{}",
        err(&rendered)
    );
    assert_same(&files(&first), &files(&again), "rendered");
    // Its day is the day it was measured on: waivers are weighed by it.
    let other_day = ended(
        kitproof()
            .args(["render", "--as-of", "2031-01-01"])
            .arg(&result),
    );
    assert_eq!(other_day.status.code(), Some(2));
    assert!(
        err(&other_day).contains("2026-01-01"),
        "{}",
        err(&other_day)
    );
}

#[test]
fn missing_unlike_doubled_and_damaged_shards_are_refused() {
    let work = folder();
    let kit = work.path().join("kit");
    copy(&root().join("kits/faulty/floor.thin/raises"), &kit);
    let make = |into: &str, more: &[&str]| {
        let output = ended(&mut checked(&kit, &work.path().join(into), more));
        assert_eq!(output.status.code(), Some(0), "{}", err(&output));
    };
    for shard in ["1/2", "2/2"] {
        make("a", &["--shard", shard]);
    }
    make("b", &["--shard", "3/3"]);
    let day = ended(
        kitproof()
            .args(["check", "--as-of", "2026-02-02", "--shard", "2/2", "--out"])
            .arg(work.path().join("c"))
            .arg(&kit),
    );
    assert_eq!(day.status.code(), Some(0));
    let text = fs::read_to_string(kit.join("kit.toml")).expect("kit.toml");
    fs::write(kit.join("kit.toml"), format!("{text}\n")).expect("written");
    make("d", &["--shard", "2/2"]);
    let [one, two, of_three, other_day, other_text] = [
        "a/result-1-of-2",
        "a/result-2-of-2",
        "b/result-3-of-3",
        "c/result-2-of-2",
        "d/result-2-of-2",
    ]
    .map(|name| work.path().join(format!("{name}.kitproof")));
    let damaged = work.path().join("damaged.kitproof");
    let bytes = fs::read(&two).expect("a result");
    fs::write(&damaged, &bytes[..bytes.len() - 1]).expect("cut");
    let foreign = work.path().join("foreign.kitproof");
    fs::write(&foreign, "{}").expect("written");
    let none = work.path().join("none.kitproof");
    for (results, code, words) in [
        (
            vec![&one],
            5,
            "1 of 2 shards is missing: there is no verdict without 2/2",
        ),
        (
            vec![&of_three],
            5,
            "2 of 3 shards are missing: there is no verdict without 1/3, 2/3",
        ),
        (vec![&one, &one], 2, "are both shard 1/2"),
        (
            vec![&one, &of_three],
            2,
            "one is of 2 shards, the other is of 3 shards",
        ),
        (
            vec![&one, &other_day],
            2,
            "one counts as 2026-01-01, the other as 2026-02-02",
        ),
        (vec![&one, &other_text], 2, "their kit.toml differs"),
        (vec![&one, &damaged], 2, "it is damaged or cut short"),
        (vec![&one, &foreign], 2, "it is no result of kitproof"),
        (vec![&one, &none], 2, "none.kitproof"),
    ] {
        let paths: Vec<PathBuf> = results.into_iter().cloned().collect();
        let output = merged(&paths, &work.path().join("merged"), &[]);
        assert_eq!(
            output.status.code(),
            Some(code),
            "{words}: {}",
            err(&output)
        );
        assert!(err(&output).contains(words), "{words}: {}", err(&output));
        assert_eq!(out(&output), "", "no verdict");
    }
    for (flags, words) in [
        (vec!["--shard", "0/2"], "expected K/N"),
        (
            vec!["--shard", "1/2", "--emit", "json"],
            "a shard is measured and not judged",
        ),
        (vec!["--shard", "1/2", "--base", "."], "cannot be used with"),
        (
            vec!["--emit", "result", "--base", "."],
            "leave --base or the result out",
        ),
    ] {
        let output = ended(&mut checked(&kit, &work.path().join("refused"), &flags));
        assert_eq!(output.status.code(), Some(2), "{flags:?}: {}", err(&output));
        assert!(err(&output).contains(words), "{flags:?}: {}", err(&output));
    }
}

fn shards(folder: &Path, of: usize) -> Vec<PathBuf> {
    // The order in which they are named says nothing.
    (1..=of)
        .rev()
        .map(|k| folder.join(format!("result-{k}-of-{of}.kitproof")))
        .collect()
}

fn merged(results: &[PathBuf], into: &Path, more: &[&str]) -> Output {
    ended(
        kitproof()
            .arg("merge")
            .args(results)
            .args(more)
            .arg("--out")
            .arg(into),
    )
}

fn folder() -> TempDir {
    tempfile::tempdir().expect("a folder")
}
