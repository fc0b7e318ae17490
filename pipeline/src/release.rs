//! `release`: check, then the bundle; only when READY, and only of the whole kit.

use std::path::Path;

use archive::bundle::{ExtraFile, NOTES_NAME, Notes};
use archive::date::Stamp;

use crate::args::{Emit, FailOn, ReleaseArgs};
use crate::disk;
use crate::finish::{tell, verdict_of};
use crate::frozen;
use crate::outcome::Outcome;
use crate::outputs::Outputs;
use crate::proof::{self, Proof, Request};
use crate::reuse::Store;
use crate::say::Said;
use crate::set_up::{SetUp, set_up_and};
use crate::stages::{base, bundle, draw, read, report as write};

/// A file of the release beside the meshes may have so many bytes.
const MOST_BYTES: u64 = 256 << 20;
/// Names under which a licence text is looked for.
const LICENSES: [&str; 4] = ["LICENSE", "LICENSE.txt", "LICENSE.md", "COPYING"];

/// Checks a kit and writes its bundle.
pub fn run(args: &ReleaseArgs, said: &mut dyn Said) -> Outcome {
    set_up_and(&args.common, said, |set_up, said| one(args, set_up, said))
}

fn one(args: &ReleaseArgs, set_up: &SetUp, said: &mut dyn Said) -> Outcome {
    let folder = &args.kit;
    let opened = match read::read(folder) {
        Ok(opened) => opened,
        Err(e) => {
            said.fault(&e.to_string());
            return e.outcome();
        }
    };
    if args.common.frozen && !frozen::has_signoff(&opened, said) {
        return Outcome::BadRequest;
    }
    let root = opened.folder.clone();
    let base = match base::open(args.base.as_deref(), &opened) {
        Ok(base) => base,
        Err(e) => {
            said.fault(&e.to_string());
            return e.outcome();
        }
    };
    let request = Request {
        base: base.as_ref(),
        purpose: rules::Purpose::Release,
        ..set_up.request()
    };
    let proof = match proof::prove(opened, &request) {
        Ok(proof) => proof,
        Err(words) => {
            said.fault(&words);
            return Outcome::BadRequest;
        }
    };
    if proof.facts.is_empty() && proof.stopped.is_none() {
        said.fault("nothing was checked: the kit has no parts");
        return Outcome::Nothing;
    }
    let outcome = verdict_of(&proof, FailOn::Block);
    let out = folder.join("out");
    if let Err(e) = write::write(
        &proof,
        &out,
        &[Emit::Json, Emit::Html, Emit::Marks],
        &set_up.store,
    ) {
        said.fault(&e);
        return outcome.worse(Outcome::Unfinished);
    }
    let told = tell(&proof, &args.common, Some(&out.join("report.html")), said);
    let mut outcome = outcome.worse(told);
    if args.common.frozen && proof.stopped.is_none() {
        outcome = outcome.worse(frozen::outcome(&proof, said));
    }
    if outcome != Outcome::Ready {
        said.fault("no bundle: only a kit that is READY is released");
        return outcome;
    }
    match bundle_of(&proof, &root, args, &set_up.store) {
        Ok(path) => {
            said.talk(&path);
            Outcome::Ready
        }
        Err(words) => {
            said.fault(&words);
            Outcome::Unfinished
        }
    }
}

/// Builds and writes the bundle; says where it lies.
fn bundle_of(
    proof: &Proof,
    root: &Path,
    args: &ReleaseArgs,
    store: &Store,
) -> Result<String, String> {
    // A bundle must hold every mesh that was measured.
    for (part, model) in proof.kit.parts.iter().zip(&proof.models) {
        model
            .make()
            .map_err(|words| format!("{}: {words}", part.id))?;
    }
    let mut extra = Vec::new();
    let shipped = proof.kit.references.iter().filter(|r| r.ship);
    let paths = shipped
        .map(|r| &r.mesh.path)
        .chain(proof.kit.files.iter().map(|f| &f.path));
    for path in paths {
        if extra.iter().any(|e: &ExtraFile| e.path == *path) {
            continue;
        }
        let bytes =
            disk::read_within(root, path, MOST_BYTES).map_err(|e| format!("{path}: {e}"))?;
        extra.push(ExtraFile {
            path: path.clone(),
            bytes,
        });
    }
    let license = LICENSES
        .iter()
        .find_map(|name| disk::read_within(root, name, MOST_BYTES).ok())
        .map(|bytes| String::from_utf8_lossy(&bytes).into_owned());
    let stamp = stamp(args)?;
    let figures = draw::figures(proof, store);
    let written = crate::notes::written(proof);
    let notes = Notes {
        text: written.text,
        pictures: written.pictures,
    };
    let archives = bundle::build(
        proof,
        &figures,
        extra,
        Some(notes.clone()),
        license.as_deref(),
        stamp,
    )
    .map_err(|e| e.to_string())?;
    let kit = &proof.kit;
    let dist = Outputs::new(args.common.out.as_deref(), false).of(root, &kit.id, "dist");
    let name = format!("{}-{}", kit.id, kit.revision);
    let mut files = vec![(format!("{name}.zip"), archives.whole)];
    let changed = format!("{name}-changed.zip");
    match archives.changed {
        Some(bytes) => files.push((changed, bytes)),
        // One of an earlier run would belong to another release.
        None => disk::remove(&dist.join(changed)).map_err(|e| e.to_string())?,
    }
    let mut lines = Vec::new();
    for (name, bytes) in &files {
        let path = dist.join(name);
        disk::write(&path, bytes).map_err(|e| e.to_string())?;
        lines.push(format!(
            "{}: {} bytes, sha256 {}",
            path.display(),
            bytes.len(),
            archive::sha256(bytes)
        ));
    }
    // The notes stand in the bundle, with the sums of its files; here they stand for the page it is downloaded from,
    // and name the archives as well.
    let within =
        archive::unpack(&files[0].1).map_err(|_| "the bundle that was made is not sound")?;
    let mut text = within
        .into_iter()
        .find(|(name, _)| name == NOTES_NAME)
        .map(|(_, bytes)| String::from_utf8_lossy(&bytes).into_owned())
        .unwrap_or_default();
    for (name, bytes) in &files {
        let sum = archive::sha256(bytes);
        text.push_str(&format!("| {name} | {} | `{sum}` |\n", bytes.len()));
    }
    disk::write(&dist.join(NOTES_NAME), text.as_bytes()).map_err(|e| e.to_string())?;
    for (name, bytes) in &notes.pictures {
        disk::write(&dist.join("notes").join(name), bytes).map_err(|e| e.to_string())?;
    }
    if args.common.out.is_none() {
        disk::write(&dist.join(".gitignore"), b"*\n").map_err(|e| e.to_string())?;
    }
    Ok(lines.join("\n"))
}

/// The time of every entry: the day that was asked for by flag or variable, else the earliest a zip can hold,
/// so that a release depends on its files alone.
fn stamp(args: &ReleaseArgs) -> Result<Stamp, String> {
    if let Some(day) = &args.common.as_of {
        return crate::day::seconds(day).map(Stamp::from_unix);
    }
    match std::env::var("SOURCE_DATE_EPOCH") {
        Ok(text) => crate::day::epoch(&text).map(Stamp::from_unix),
        Err(_) => Ok(Stamp::EARLIEST),
    }
}
