//! `accept`: the present measured values become the ones that were signed off.

use kit::SignOff;
use rules::Purpose;
use rules::measures::ENGINE;
use rules::signoff::{self, Signed};

use crate::args::AcceptArgs;
use crate::chosen::matches;
use crate::disk;
use crate::outcome::Outcome;
use crate::proof::{self, Proof};
use crate::say::Said;
use crate::set_up::{SetUp, set_up_and};
use crate::stages::signed::{self, SIGNOFF};
use crate::stages::{judge, read};

/// Measures a kit, shows what was signed off beside what is measured, and writes signoff.toml.
pub fn run(args: &AcceptArgs, said: &mut dyn Said) -> Outcome {
    if std::env::var_os("CI").is_some_and(|v| !v.is_empty()) {
        said.fault(
            "accept: CI is set, and a build server signs nothing off: run `kitproof accept` where you can look at \
             the values, and commit signoff.toml",
        );
        return Outcome::BadRequest;
    }
    if args.common.frozen {
        said.fault("accept --frozen: accept writes signoff.toml, --frozen forbids it; leave one of them out");
        return Outcome::BadRequest;
    }
    set_up_and(&args.common, said, |set_up, said| one(args, set_up, said))
}

fn one(args: &AcceptArgs, set_up: &SetUp, said: &mut dyn Said) -> Outcome {
    let opened = match read::read(&args.kit) {
        Ok(opened) => opened,
        Err(e) => {
            said.fault(&e.to_string());
            return e.outcome();
        }
    };
    for glob in &args.part {
        if !opened.kit.parts.iter().any(|p| matches(glob, &p.id)) {
            said.fault(&format!(
                "--part {glob}: no part of that name; `kitproof list parts --kit DIR` lists them"
            ));
            return Outcome::BadRequest;
        }
    }
    let root = opened.folder.clone();
    // Always the whole kit: what is seen of a part depends on its neighbours.
    let request = set_up.request();
    let mut proof = match proof::prove(opened, &request) {
        Ok(proof) => proof,
        Err(words) => {
            said.fault(&words);
            return Outcome::BadRequest;
        }
    };
    if let Some(stopped) = proof.stopped {
        said.fault("stopped: nothing was signed off");
        return stopped;
    }
    if proof.prints.is_empty() {
        proof.prints = signed::prints(&proof.kit, &root);
    }
    let accepted = match merged(&proof, &args.part) {
        Ok(accepted) => accepted,
        Err(words) => {
            said.fault(&words);
            return if proof.failed() {
                Outcome::Unfinished
            } else {
                Outcome::BadRequest
            };
        }
    };
    said.data(&report::signoff_table(proof.signed.as_ref(), &accepted));
    let text = signoff::text(&accepted);
    let path = root.join(SIGNOFF);
    if proof.signed.as_ref().map(signoff::text).as_deref() == Some(&text) {
        said.talk(&format!(
            "{} is current: nothing was written",
            path.display()
        ));
    } else {
        if let Err(e) = disk::write(&path, text.as_bytes()) {
            said.fault(&e.to_string());
            return Outcome::Unfinished;
        }
        said.talk(&format!("{} written: commit it", path.display()));
    }
    if let Some(words) = still_blocked(&proof, &accepted, set_up.as_of) {
        said.talk(&words);
    }
    Outcome::Ready
}

/// The sign-off with the chosen parts as they are now; no globs: every part.
fn merged(proof: &Proof, globs: &[String]) -> Result<SignOff, String> {
    let chosen = |id: &str| globs.is_empty() || globs.iter().any(|g| matches(g, id));
    let mut present = signoff::present(&proof.kit, &proof.facts, &proof.prints);
    let failed = proof.facts.iter().filter(|f| f.panicked.is_some());
    let missing: Vec<&str> = proof
        .kit
        .parts
        .iter()
        .map(|p| p.id.as_str())
        .filter(|id| chosen(id) && !present.parts.contains_key(*id))
        .chain(failed.map(|f| f.id.as_str()).filter(|id| chosen(id)))
        .collect();
    if !missing.is_empty() {
        return Err(format!(
            "{}: could not be measured, and what was not measured cannot be signed off; nothing was written. \
             `kitproof check` says why",
            missing.join(", ")
        ));
    }
    if globs.is_empty() {
        return Ok(present);
    }
    let Some(old) = &proof.signed else {
        present.parts.retain(|id, _| chosen(id));
        return Ok(present);
    };
    if old.engine != ENGINE {
        return Err(format!(
            "{SIGNOFF} was written by way of measuring {}, this is {ENGINE}: the two cannot stand in one file; run \
             `kitproof accept` without --part",
            old.engine
        ));
    }
    let mut accepted = present.clone();
    accepted.parts = old
        .parts
        .iter()
        .filter(|(id, _)| proof.kit.part(id).is_some() && !chosen(id))
        .map(|(id, part)| (id.clone(), part.clone()))
        .collect();
    present.parts.retain(|id, _| chosen(id));
    accepted.parts.append(&mut present.parts);
    Ok(accepted)
}

/// What to say where the kit is BLOCKED with its new sign-off: a sign-off is no release.
fn still_blocked(proof: &Proof, accepted: &SignOff, as_of: kit::Date) -> Option<String> {
    let verdict = judge::judge(
        &proof.kit,
        &proof.facts,
        &proof.beside,
        None,
        Purpose::Check,
        Some(Signed {
            accepted,
            now: &proof.prints,
        }),
        as_of,
    );
    let count = verdict.count(findings::Level::Block);
    (!verdict.ready).then(|| {
        format!(
            "the kit is BLOCKED all the same: {count} fault{} stand{}; a sign-off permits nothing, it only says what \
             later revisions are held against",
            if count == 1 { "" } else { "s" },
            if count == 1 { "s" } else { "" },
        )
    })
}
