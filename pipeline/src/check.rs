//! `check`: every kit that was named, its verdict, its report.

use std::path::Path;

use report::TextStyle;

use crate::args::{CheckArgs, Common, Emit, FailOn, Format};
use crate::frozen;
use crate::outcome::Outcome;
use crate::progress::Progress;
use crate::proof::{self, Outputs, Proof, Request};
use crate::say::Said;
use crate::stages::announce::{self, Step};
use crate::stages::{base, read, report as write};
use crate::stop::Stop;
use crate::{color, day, moving, trace};

/// Checks every kit that was named; the worst outcome counts.
pub fn run(args: &CheckArgs, said: &mut dyn Said) -> Outcome {
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

/// Sets up what every checking verb needs, and does its work on the threads that were asked for.
pub fn set_up_and(
    common: &Common,
    said: &mut dyn Said,
    work: impl FnOnce(&SetUp, &mut dyn Said) -> Outcome + Send,
) -> Outcome {
    let set_up = match SetUp::of(common) {
        Ok(set_up) => set_up,
        Err((words, outcome)) => {
            said.fault(&words);
            return outcome;
        }
    };
    match parallel::with_threads(common.jobs, || work(&set_up, said)) {
        Ok(outcome) => outcome,
        Err(e) => {
            said.fault(&format!("threads could not be started: {e}; try --jobs 1"));
            Outcome::Unfinished
        }
    }
}

/// What every checking verb sets up first.
pub struct SetUp {
    /// The day the check counts as.
    pub as_of: kit::Date,
    /// Requests to end.
    pub stop: Stop,
    /// Where progress goes.
    pub progress: Progress,
}

impl SetUp {
    /// Sets up tracing, the day, signals and progress.
    ///
    /// # Errors
    /// What is wrong, in words, and the outcome it means.
    pub fn of(common: &Common) -> Result<SetUp, (String, Outcome)> {
        trace::start(common.log.as_deref(), color(common.color))
            .map_err(|e| (e, Outcome::BadRequest))?;
        let epoch = std::env::var("SOURCE_DATE_EPOCH").ok();
        let as_of = day::of(common.as_of.as_deref(), epoch.as_deref())
            .map_err(|e| (e, Outcome::BadRequest))?;
        let stop = Stop::listen()
            .map_err(|e| (format!("signals cannot be heard: {e}"), Outcome::Unfinished))?;
        let shown = if common.quiet {
            crate::progress::Shown::Nothing
        } else {
            moving(common.progress)
        };
        Ok(SetUp {
            as_of,
            stop,
            progress: Progress::new(shown),
        })
    }
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
        purpose: rules::Purpose::Check,
        parts: &args.part,
        promises: &args.promise,
        thorough: None,
        as_of: set_up.as_of,
        stop: &set_up.stop,
        progress: &set_up.progress,
    };
    let mut proof = match proof::prove(opened, &request) {
        Ok(proof) => proof,
        Err(words) => {
            said.fault(&words);
            return Outcome::BadRequest;
        }
    };
    if args.new_only {
        proof.only_new();
    }
    if proof.facts.is_empty() && proof.stopped.is_none() {
        said.fault("nothing was checked: the kit has no parts");
        return Outcome::Nothing;
    }
    let out = outputs.of(folder, &proof.kit.id, "out");
    let mut outcome = verdict_of(&proof, args.fail_on);
    let html = args.emit.contains(&Emit::Html);
    match write::write(&proof, &out, &args.emit) {
        Ok(()) => {}
        Err(e) => {
            said.fault(&e);
            outcome = outcome.worse(Outcome::Unfinished);
        }
    }
    let ended = (args.fail_on.level(), outcome);
    let annotations = match announce::announce(&proof, folder, &out, &args.emit, ended, step) {
        Ok(annotations) => annotations,
        Err(e) => {
            said.fault(&e);
            outcome = outcome.worse(Outcome::Unfinished);
            String::new()
        }
    };
    if args.common.frozen && proof.stopped.is_none() {
        outcome = outcome.worse(frozen::outcome(&proof, said));
    }
    if outcome == Outcome::Blocked && proof.verdict.ready {
        said.talk("READY, but --fail-on asks for more: this run ends with exit code 1");
    }
    let report = html.then(|| out.join("report.html"));
    let told = tell(&proof, &args.common, report.as_deref(), said);
    if args.common.format == Format::Human && !annotations.is_empty() {
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
