//! `merge` and `render`: reports of results that were saved. The shards of a kit are joined and judged once; nothing
//! is measured again.

use std::path::{Path, PathBuf};

use crate::args::{Common, Emit, MergeArgs, RenderArgs, Views};
use crate::disk;
use crate::finish::{End, finish};
use crate::join::{self, Joined};
use crate::outcome::Outcome;
use crate::proof::{self, Request};
use crate::saved::{self, Asked};
use crate::say::Said;
use crate::set_up::{SetUp, set_up_and};
use crate::stages::announce::Step;
use crate::stages::signed::SIGNOFF;

/// Joins the results of every shard of a kit.
pub fn run(args: &MergeArgs, said: &mut dyn Said) -> Outcome {
    set_up_and(&args.common, said, |set_up, said| {
        all(&args.results, &args.views, &args.common, set_up, said)
    })
}

/// Writes the reports of one saved result.
pub fn render(args: &RenderArgs, said: &mut dyn Said) -> Outcome {
    let results = std::slice::from_ref(&args.result);
    set_up_and(&args.common, said, |set_up, said| {
        all(results, &args.views, &args.common, set_up, said)
    })
}

fn all(
    results: &[PathBuf],
    views: &Views,
    common: &Common,
    set_up: &SetUp,
    said: &mut dyn Said,
) -> Outcome {
    let joined = match join::read(results) {
        Ok(joined) => joined,
        Err((words, outcome)) => {
            said.fault(&words);
            return outcome;
        }
    };
    let Joined {
        measured,
        origin,
        as_of,
        parts,
        promises,
    } = joined;
    if common.as_of.is_some() && as_of != set_up.as_of {
        said.fault(&format!(
            "--as-of {}: the results count as {as_of}, and waivers are weighed by that day; leave it out, or measure \
             again",
            set_up.as_of
        ));
        return Outcome::BadRequest;
    }
    if common.frozen && measured.signed.is_none() {
        said.fault(&format!(
            "--frozen: the kit had no {SIGNOFF} when it was measured; run `kitproof accept` and commit it, or leave \
             --frozen out"
        ));
        return Outcome::BadRequest;
    }
    let request = Request {
        as_of,
        ..set_up.request()
    };
    let beside = results.first().and_then(|path| path.parent());
    let out = common
        .out
        .clone()
        .unwrap_or_else(|| beside.unwrap_or(Path::new("")).to_path_buf());
    let emit = views.emit();
    if emit.contains(&Emit::Result) {
        let asked = Asked {
            parts: &parts,
            promises: &promises,
            as_of: as_of.to_string(),
            shard: None,
        };
        let written = saved::bytes(&measured, origin.clone(), &asked).and_then(|bytes| {
            disk::write(&out.join(saved::name(None)), &bytes).map_err(|e| e.to_string())
        });
        if let Err(words) = written {
            said.fault(&words);
            return Outcome::Unfinished;
        }
    }
    let proof = match proof::conclude(measured, &request) {
        Ok(proof) => proof,
        Err(words) => {
            said.fault(&words);
            return Outcome::BadRequest;
        }
    };
    let end = End {
        origin: &origin,
        out: &out,
        emit: &emit,
        fail_on: views.fail_on,
        common,
        store: &set_up.store,
    };
    finish(&proof, &end, &mut Step::of_this_process(), said)
}
