//! `explain`: a rule, a part, or a finding of a kit, offline.

use report::{explain_finding, explain_part, explain_rule};

use crate::args::ExplainArgs;
use crate::outcome::Outcome;
use crate::progress::{Progress, Shown};
use crate::proof::{self, Request};
use crate::say::Said;
use crate::set_up::store;
use crate::stages::read;
use crate::stop::Stop;

/// Explains what was asked for. A rule needs no kit; a part or finding is measured anew, so that what is said
/// is about the files as they are.
pub fn run(args: &ExplainArgs, said: &mut dyn Said) -> Outcome {
    let what = args.what.as_str();
    if let Some(entry) = rules::find(what) {
        let kit = read::read(&args.kit).ok();
        said.data(&explain_rule(&entry.rule, kit.as_ref().map(|o| &o.kit)));
        return Outcome::Ready;
    }
    let opened = match read::read(&args.kit) {
        Ok(opened) => opened,
        Err(e) => {
            said.fault(&unknown(what));
            said.fault(&format!(
                "As a part or finding it would need a kit: {e}\nName the kit with --kit DIR."
            ));
            return e.outcome();
        }
    };
    let as_of = match crate::day::of(None, std::env::var("SOURCE_DATE_EPOCH").ok().as_deref()) {
        Ok(day) => day,
        Err(words) => {
            said.fault(&words);
            return Outcome::BadRequest;
        }
    };
    let store = store(args.no_cache);
    let request = Request {
        parts: &[],
        promises: &[],
        thorough: None,
        base: None,
        shard: None,
        store: &store,
        purpose: rules::Purpose::Check,
        as_of,
        stop: &Stop::default(),
        progress: &Progress::new(Shown::Nothing),
    };
    let proof = match parallel::with_threads(0, || proof::prove(opened, &request)) {
        Ok(Ok(proof)) => proof,
        Ok(Err(words)) | Err(words) => {
            said.fault(&words);
            return Outcome::Unfinished;
        }
    };
    if let Some(words) = store.end() {
        said.talk(&words);
    }
    let checked = proof.checked();
    match explain_part(&checked, what).or_else(|| explain_finding(&checked, what)) {
        Some(text) => {
            said.data(&text);
            Outcome::Ready
        }
        None => {
            said.fault(&unknown(what));
            let names: Vec<&str> = proof.kit.parts.iter().map(|p| p.id.as_str()).collect();
            said.fault(&format!("Parts of this kit: {}", names.join(", ")));
            let found: Vec<&str> = proof
                .verdict
                .findings
                .iter()
                .map(|f| f.id.as_str())
                .collect();
            if !found.is_empty() {
                said.fault(&format!("Findings: {}", found.join(", ")));
            }
            Outcome::BadRequest
        }
    }
}

fn unknown(what: &str) -> String {
    let near = rules::registry::RULES
        .iter()
        .map(|e| e.rule.id)
        .find(|id| id.split('.').any(|word| word == what) || id.contains(what))
        .or_else(|| kit::suggest::nearest(what, rules::registry::ids()));
    let hint = near.map_or_else(
        || "`kitproof list rules` lists the rules".to_string(),
        |id| format!("did you mean {id}? `kitproof list rules` lists them all"),
    );
    format!("{what}: no rule of that name; {hint}")
}
