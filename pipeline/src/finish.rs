//! Finish: every output of a judged kit, and the exit code that comes of it.

use std::path::Path;

use report::TextStyle;

use crate::args::{Common, Emit, FailOn, Format};
use crate::color;
use crate::frozen;
use crate::outcome::Outcome;
use crate::proof::Proof;
use crate::reuse::Store;
use crate::say::Said;
use crate::stages::announce::{self, Step};
use crate::stages::origin::Origin;
use crate::stages::report as write;

/// What is to become of a judged kit.
pub struct End<'a> {
    /// Where the kit comes from.
    pub origin: &'a Origin,
    /// The folder of its outputs.
    pub out: &'a Path,
    /// The outputs that were asked for.
    pub emit: &'a [Emit],
    /// The least level that fails the run.
    pub fail_on: FailOn,
    /// Flags of every verb.
    pub common: &'a Common,
    /// Results of earlier checks.
    pub store: &'a Store,
}

/// Writes and prints what was asked for.
pub fn finish(proof: &Proof, end: &End, step: &mut Step, said: &mut dyn Said) -> Outcome {
    let mut outcome = verdict_of(proof, end.fail_on);
    // Before the views, which tell the exit code.
    if end.common.frozen && proof.stopped.is_none() {
        outcome = outcome.worse(frozen::outcome(proof, said));
    }
    match write::write(proof, end.out, end.emit, end.store) {
        Ok(()) => {}
        Err(e) => {
            said.fault(&e);
            outcome = outcome.worse(Outcome::Unfinished);
        }
    }
    let ended = (end.fail_on.level(), outcome);
    let annotations = match announce::announce(proof, end.origin, end.out, end.emit, ended, step) {
        Ok(annotations) => annotations,
        Err(e) => {
            said.fault(&e);
            outcome = outcome.worse(Outcome::Unfinished);
            String::new()
        }
    };
    if outcome == Outcome::Blocked && proof.verdict.ready {
        said.talk("READY, but --fail-on asks for more: this run ends with exit code 1");
    }
    let html = end.emit.contains(&Emit::Html);
    let report = html.then(|| end.out.join("report.html"));
    let told = tell(proof, end.common, report.as_deref(), said);
    if end.common.format == Format::Human && !annotations.is_empty() {
        said.data(&annotations);
    }
    outcome.worse(told)
}

/// Prints a proof in the form that was asked for; `report` is where the page lies.
pub fn tell(proof: &Proof, common: &Common, report: Option<&Path>, said: &mut dyn Said) -> Outcome {
    let checked = proof.checked();
    match common.format {
        Format::Json => match report::json(&checked) {
            Ok(text) => said.data(&text),
            Err(e) => {
                said.fault(&e.to_string());
                return Outcome::Unfinished;
            }
        },
        Format::Human => said.data(&report::text(
            &checked,
            report.map(|p| p.to_string_lossy()).as_deref(),
            TextStyle {
                color: color(common.color),
                verbose: common.verbose,
                quiet: common.quiet,
            },
        )),
    }
    Outcome::Ready
}

/// The outcome of a proof: a failure of the gate before a block.
pub fn verdict_of(proof: &Proof, fail_on: FailOn) -> Outcome {
    if let Some(stopped) = proof.stopped {
        return stopped;
    }
    if proof.failed() {
        return Outcome::Unfinished;
    }
    if proof.verdict.fails(fail_on.level()) {
        Outcome::Blocked
    } else {
        Outcome::Ready
    }
}
