//! `check`: every kit that was named, its verdict, its report.

use std::path::Path;

use findings::Level;
use report::TextStyle;

use crate::args::{CheckArgs, Emit, FailOn, Format};
use crate::outcome::Outcome;
use crate::progress::Progress;
use crate::proof::{self, Proof, Request};
use crate::say::Said;
use crate::stages::{read, report as write};
use crate::stop::Stop;
use crate::{color, day, moving, trace};

/// Checks every kit that was named; the worst outcome counts.
pub fn run(args: &CheckArgs, said: &mut dyn Said) -> Outcome {
    let set_up = match SetUp::of(&args.common) {
        Ok(set_up) => set_up,
        Err((words, outcome)) => {
            said.fault(&words);
            return outcome;
        }
    };
    let folders = match read::find(&args.kits) {
        Ok(folders) => folders,
        Err(e) => {
            said.fault(&e.to_string());
            return Outcome::BadRequest;
        }
    };
    let several = folders.len() > 1;
    let work = || {
        let mut worst = Outcome::Ready;
        for folder in &folders {
            if let Some(stopped) = set_up.stop.asked() {
                return worst.worse(stopped);
            }
            worst = worst.worse(one(args, &set_up, folder, several, said));
        }
        worst
    };
    match parallel::with_threads(args.common.jobs, work) {
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
    pub fn of(common: &crate::args::Common) -> Result<SetUp, (String, Outcome)> {
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
    several: bool,
    said: &mut dyn Said,
) -> Outcome {
    let opened = match read::read(folder) {
        Ok(opened) => opened,
        Err(e) => {
            said.fault(&e.to_string());
            return e.outcome();
        }
    };
    let request = Request {
        parts: &args.part,
        promises: &args.promise,
        as_of: set_up.as_of,
        stop: &set_up.stop,
        progress: &set_up.progress,
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
    let out = proof::out_folder(
        folder,
        &proof.kit.id,
        args.common.out.as_deref(),
        several,
        "out",
    );
    let mut outcome = verdict_of(&proof, args.fail_on);
    let html = args.emit.contains(&Emit::Html);
    match write::write(&proof, &out, &args.emit) {
        Ok(()) => {}
        Err(e) => {
            said.fault(&e);
            outcome = outcome.worse(Outcome::Unfinished);
        }
    }
    let checked = proof.checked();
    let report = out.join("report.html");
    match args.common.format {
        Format::Json => match report::json(&checked) {
            Ok(text) => said.data(&text),
            Err(e) => {
                said.fault(&e.to_string());
                outcome = outcome.worse(Outcome::Unfinished);
            }
        },
        Format::Human => said.data(&report::text(
            &checked,
            html.then_some(&*report.to_string_lossy()),
            TextStyle {
                color: color(args.common.color),
                verbose: args.common.verbose,
                quiet: args.common.quiet,
            },
        )),
    }
    outcome
}

/// The outcome of a proof: a failure of the gate before a block.
pub fn verdict_of(proof: &Proof, fail_on: FailOn) -> Outcome {
    if let Some(stopped) = proof.stopped {
        return stopped;
    }
    if proof.failed() {
        return Outcome::Unfinished;
    }
    let least = match fail_on {
        FailOn::Note => Level::Note,
        FailOn::Warn => Level::Warn,
        FailOn::Block => Level::Block,
    };
    let fails = proof
        .verdict
        .findings
        .iter()
        .any(|f| f.waived.is_none() && f.level >= least);
    if fails || !proof.verdict.ready {
        Outcome::Blocked
    } else {
        Outcome::Ready
    }
}
