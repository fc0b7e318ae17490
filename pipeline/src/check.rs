//! `check`: every kit that was named, its verdict, its report.

use std::path::Path;

use crate::args::{CheckArgs, Emit};
use crate::disk;
use crate::finish::{End, finish};
use crate::frozen;
use crate::measured::{Measured, measure};
use crate::outcome::Outcome;
use crate::outputs::Outputs;
use crate::proof::{self, Request};
use crate::saved::{self, Asked};
use crate::say::Said;
use crate::set_up::{SetUp, set_up_and};
use crate::stages::announce::Step;
use crate::stages::origin::Origin;
use crate::stages::{base, read};

/// Checks every kit that was named; the worst outcome counts.
pub fn run(args: &CheckArgs, said: &mut dyn Said) -> Outcome {
    if let Err(words) = can_be_saved(args) {
        said.fault(words);
        return Outcome::BadRequest;
    }
    set_up_and(&args.common, said, |set_up, said| all(args, set_up, said))
}

fn all(args: &CheckArgs, set_up: &SetUp, said: &mut dyn Said) -> Outcome {
    let folders = match read::find(&args.kits) {
        Ok(folders) => folders,
        Err(e) => {
            said.fault(&e.to_string());
            return Outcome::BadRequest;
        }
    };
    let several = folders.len() > 1;
    let mut outputs = Outputs::new(args.common.out.as_deref(), several);
    let mut step = Step::of_this_process();
    let mut worst = Outcome::Ready;
    for folder in &folders {
        if let Some(stopped) = set_up.stop.asked() {
            return worst.worse(stopped);
        }
        worst = worst.worse(one(args, set_up, folder, &mut outputs, &mut step, said));
    }
    worst
}

fn one(
    args: &CheckArgs,
    set_up: &SetUp,
    folder: &Path,
    outputs: &mut Outputs,
    step: &mut Step,
    said: &mut dyn Said,
) -> Outcome {
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
    let base = match base::open(args.base.as_deref(), &opened) {
        Ok(base) => base,
        Err(e) => {
            said.fault(&e.to_string());
            return e.outcome();
        }
    };
    if args.new_only && base.is_none() {
        said.fault(
            "--new-only: nothing is new against --base none; name an earlier release as the base",
        );
        return Outcome::BadRequest;
    }
    let request = Request {
        base: base.as_ref(),
        parts: &args.part,
        promises: &args.promise,
        shard: args.shard,
        ..set_up.request()
    };
    let root = opened.folder.clone();
    let measured = match measure(opened, &request) {
        Ok(measured) => measured,
        Err(words) => {
            said.fault(&words);
            return Outcome::BadRequest;
        }
    };
    if measured.kit.parts.is_empty() && measured.stopped.is_none() {
        said.fault("nothing was checked: the kit has no parts");
        return Outcome::Nothing;
    }
    let out = outputs.of(folder, &measured.kit.id, "out");
    let emit = args.views.emit();
    let saved = match saved(args, &measured, set_up, &out, said) {
        Ok(saved) => saved,
        Err(outcome) => return outcome,
    };
    set_up.tell_reuse(
        measured.reused,
        measured.own.iter().filter(|own| **own).count(),
        said,
    );
    if let Some(words) = saved
        && args.shard.is_some()
    {
        said.talk(&words);
        return Outcome::Ready;
    }
    if let Some(stopped) = measured.stopped.filter(|_| args.shard.is_some()) {
        said.fault("stopped: no result of this shard is saved");
        return stopped;
    }
    let mut proof = match proof::conclude(measured, &request) {
        Ok(proof) => proof,
        Err(words) => {
            said.fault(&words);
            return Outcome::BadRequest;
        }
    };
    if args.new_only {
        proof.only_new();
    }
    let origin = match Origin::of(&proof.kit, &proof.text, &root) {
        Ok(origin) => origin,
        Err(words) => {
            said.fault(&words);
            Origin::default()
        }
    };
    let end = End {
        origin: &origin,
        out: &out,
        emit: &emit,
        fail_on: args.views.fail_on,
        common: &args.common,
        store: &set_up.store,
    };
    finish(&proof, &end, step, said)
}

/// Writes the result where one was asked for, and says where it lies.
fn saved(
    args: &CheckArgs,
    measured: &Measured,
    set_up: &SetUp,
    out: &Path,
    said: &mut dyn Said,
) -> Result<Option<String>, Outcome> {
    let wanted = args.shard.is_some() || args.views.emit().contains(&Emit::Result);
    if !wanted || measured.stopped.is_some() {
        return Ok(None);
    }
    // A fault on any part, of this shard or not, leaves a hole in what was seen of the others.
    let failed = measured
        .facts
        .iter()
        .find_map(|f| Some((&f.id, f.panicked.as_ref()?)));
    if let Some((part, words)) = failed.filter(|_| args.shard.is_some()) {
        said.fault(&format!(
            "{part}: {words}; no result of this shard is saved"
        ));
        return Err(Outcome::Unfinished);
    }
    let asked = Asked {
        parts: &args.part,
        promises: &args.promise,
        as_of: set_up.as_of.to_string(),
        shard: args.shard,
    };
    let path = out.join(saved::name(args.shard));
    let written = Origin::of(&measured.kit, &measured.text, &measured.folder)
        .and_then(|origin| saved::bytes(measured, origin, &asked))
        .and_then(|bytes| {
            // git must not take outputs for a part of the kit.
            disk::write(&out.join(".gitignore"), b"*\n")
                .and_then(|()| disk::write(&path, &bytes))
                .map_err(|e| e.to_string())
        });
    if let Err(words) = written {
        said.fault(&words);
        return Err(Outcome::Unfinished);
    }
    Ok(args.shard.map(|shard| {
        let own: Vec<&str> = measured
            .kit
            .parts
            .iter()
            .zip(&measured.own)
            .filter(|(_, own)| **own)
            .map(|(part, _)| part.id.as_str())
            .collect();
        format!(
            "shard {shard} of {}: {} of {} parts measured and not judged ({}); {} holds them, and `kitproof merge` \
             gives the verdict",
            measured.kit.id,
            own.len(),
            measured.kit.parts.len(),
            if own.is_empty() { "none".into() } else { own.join(", ") },
            path.display()
        )
    }))
}

/// Whether what is to be written is what can be saved.
fn can_be_saved(args: &CheckArgs) -> Result<(), &'static str> {
    let base = args.base.as_deref().is_some_and(|base| base != "none");
    if base && args.views.emit().contains(&Emit::Result) {
        return Err(
            "--emit result: a result holds one kit, not what it is compared with; leave --base or the result out",
        );
    }
    let shard_alone = |emit: &Vec<Emit>| emit.iter().all(|e| *e == Emit::Result);
    if args.shard.is_some() && !args.views.emit.as_ref().is_none_or(shard_alone) {
        return Err(
            "--shard: a shard is measured and not judged, so that it has no reports; name --emit on `kitproof merge`",
        );
    }
    Ok(())
}
