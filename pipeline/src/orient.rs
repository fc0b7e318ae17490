//! `orient`: other ways to lay a part on the plate, what each gains and costs, its `up =` line and its picture.

use std::path::Path;

use kit::Part;
use measure::orientation::{Orientations, Way};

use crate::args::{Format, OrientArgs};
use crate::disk;
use crate::outcome::Outcome;
use crate::proof::{self, Proof, Request};
use crate::say::Said;
use crate::set_up::{SetUp, set_up_and};
use crate::stages::{draw, read};

/// Ranks orientations of a part. The whole kit is measured: what is seen of the part depends on its neighbours.
pub fn run(args: &OrientArgs, said: &mut dyn Said) -> Outcome {
    set_up_and(&args.common, said, |set_up, said| one(args, set_up, said))
}

fn one(args: &OrientArgs, set_up: &SetUp, said: &mut dyn Said) -> Outcome {
    let opened = match read::read(&args.kit) {
        Ok(opened) => opened,
        Err(e) => {
            said.fault(&e.to_string());
            return e.outcome();
        }
    };
    let Some(at) = opened.kit.parts.iter().position(|p| p.id == args.part) else {
        said.fault(&unknown(&args.part, &opened.kit.parts));
        return Outcome::BadRequest;
    };
    let folder = opened.folder.clone();
    let request = Request {
        promises: &args.promise,
        thorough: Some(&args.part),
        ..set_up.request()
    };
    let proof = match proof::prove(opened, &request) {
        Ok(proof) => proof,
        Err(words) => {
            said.fault(&words);
            return Outcome::BadRequest;
        }
    };
    if let Some(stopped) = proof.stopped {
        said.fault("stopped before every part was measured");
        return stopped;
    }
    let part = &proof.kit.parts[at];
    let Some(found) = &proof.facts[at].orientations else {
        said.fault(&format!(
            "{}: no orientation could be measured: its mesh encloses nothing that can be cut into layers of \
             filament; `kitproof check` says why",
            part.id
        ));
        return Outcome::Blocked;
    };
    let out = args
        .common
        .out
        .clone()
        .unwrap_or_else(|| folder.join("out"));
    match pictures(&proof, at, found, &out) {
        Ok(paths) => match args.common.format {
            Format::Human => {
                said.data(&report::orientations_text(part, found, &paths));
                Outcome::Ready
            }
            Format::Json => match report::orientations_json(part, found) {
                Ok(text) => {
                    said.data(&text);
                    Outcome::Ready
                }
                Err(e) => {
                    said.fault(&e.to_string());
                    Outcome::Unfinished
                }
            },
        },
        Err(words) => {
            said.fault(&words);
            Outcome::Unfinished
        }
    }
}

/// Writes a picture of the present way and of each that is offered; their paths.
fn pictures(
    proof: &Proof,
    at: usize,
    found: &Orientations,
    out: &Path,
) -> Result<Vec<String>, String> {
    let part = &proof.kit.parts[at];
    let offered = rules::orientation::offered(found);
    // git must not take outputs for a part of the kit.
    disk::write(&out.join(".gitignore"), b"*\n").map_err(|e| e.to_string())?;
    let mut paths = Vec::new();
    let ways = std::iter::once((&found.intended, "now".to_string())).chain(
        offered
            .into_iter()
            .zip(1..)
            .map(|(way, k)| (way, k.to_string())),
    );
    for (way, name) in ways {
        let path = out.join("orient").join(format!("{}-{name}.png", part.id));
        disk::write(&path, &picture(proof, at, way)?).map_err(|e| e.to_string())?;
        paths.push(path.display().to_string());
    }
    Ok(paths)
}

fn picture(proof: &Proof, at: usize, way: &Way) -> Result<Vec<u8>, String> {
    let turn = kit::turn::up_to_z(way.up).ok_or("a direction without length")?;
    let part = &proof.kit.parts[at];
    draw::laid(&proof.kit, part, proof.models[at].mesh(), &turn)
}

fn unknown(id: &str, parts: &[Part]) -> String {
    let ids: Vec<&str> = parts.iter().map(|p| p.id.as_str()).collect();
    let near = kit::suggest::nearest(id, ids.iter().copied())
        .map_or_else(|| ".".into(), |near| format!("; did you mean {near}?"));
    format!(
        "{id}: no part of that name{near} Parts of this kit: {}",
        ids.join(", ")
    )
}
