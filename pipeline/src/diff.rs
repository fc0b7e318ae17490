//! `diff`: what changed since an earlier release, and which parts must be printed again.

use crate::args::{AgainstArgs, Format};
use crate::disk;
use crate::outcome::Outcome;
use crate::outputs::Outputs;
use crate::proof::{self, Proof, Request};
use crate::say::Said;
use crate::set_up::{SetUp, set_up_and};
use crate::stages::{base, read};

/// Compares a kit with its base; out/diff.txt and out/diff.json say the same.
pub fn run(args: &AgainstArgs, said: &mut dyn Said) -> Outcome {
    set_up_and(&args.common, said, |set_up, said| {
        let proof = match proved(args, set_up, said) {
            Ok(proof) => proof,
            Err(outcome) => return outcome,
        };
        told(args, &proof, said)
    })
}

/// Proves a kit against the base that was asked for.
///
/// # Errors
/// The outcome; what is wrong has been said.
pub fn proved(args: &AgainstArgs, set_up: &SetUp, said: &mut dyn Said) -> Result<Proof, Outcome> {
    let opened = read::read(&args.kit).map_err(|e| {
        said.fault(&e.to_string());
        e.outcome()
    })?;
    let base = base::open(args.base.as_deref(), &opened).map_err(|e| {
        said.fault(&e.to_string());
        e.outcome()
    })?;
    let request = Request {
        base: base.as_ref(),
        ..set_up.request()
    };
    let proof = proof::prove(opened, &request).map_err(|words| {
        said.fault(&words);
        Outcome::BadRequest
    })?;
    match proof.stopped {
        Some(stopped) => {
            said.fault("stopped before every part was measured");
            Err(stopped)
        }
        None => Ok(proof),
    }
}

fn told(args: &AgainstArgs, proof: &Proof, said: &mut dyn Said) -> Outcome {
    let Some(against) = &proof.against else {
        said.fault("diff compares with an earlier release: name it with --base TAG, DIR or ZIP");
        return Outcome::BadRequest;
    };
    let checked = proof.checked();
    let text = report::diff_text(&checked, against);
    let json = match report::diff_json(&checked, against) {
        Ok(json) => json,
        Err(e) => {
            said.fault(&e.to_string());
            return Outcome::Unfinished;
        }
    };
    let out = Outputs::new(args.common.out.as_deref(), false).of(&args.kit, &proof.kit.id, "out");
    for (name, bytes) in [
        (".gitignore", "*\n"),
        ("diff.txt", text.as_str()),
        ("diff.json", json.as_str()),
    ] {
        if let Err(e) = disk::write(&out.join(name), bytes.as_bytes()) {
            said.fault(&e.to_string());
            return Outcome::Unfinished;
        }
    }
    said.data(match args.common.format {
        // The last line says how many parts are of each class.
        Format::Human if args.common.quiet => text.trim_end().lines().last().unwrap_or_default(),
        Format::Human => &text,
        Format::Json => &json,
    });
    if proof.failed() {
        Outcome::Unfinished
    } else {
        Outcome::Ready
    }
}
