//! What every checking verb sets up first: tracing, the day, signals, progress, the cache.

use crate::args::Common;
use crate::outcome::Outcome;
use crate::progress::Progress;
use crate::proof::Request;
use crate::reuse::{self, Store};
use crate::say::Said;
use crate::stop::Stop;
use crate::{color, day, moving, trace};

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
    let outcome = match parallel::with_threads(common.jobs, || work(&set_up, said)) {
        Ok(outcome) => outcome,
        Err(e) => {
            said.fault(&format!("threads could not be started: {e}; try --jobs 1"));
            Outcome::Unfinished
        }
    };
    // What the cache cannot keep costs time and nothing else.
    if let Some(words) = set_up.store.end() {
        said.talk(&words);
    }
    outcome
}

/// What every checking verb sets up first.
pub struct SetUp {
    /// The day the check counts as.
    pub as_of: kit::Date,
    /// Requests to end.
    pub stop: Stop,
    /// Where progress goes.
    pub progress: Progress,
    /// Results of earlier checks.
    pub store: Store,
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
        let progress = if common.quiet {
            Progress::silent()
        } else {
            Progress::new(moving(common.progress))
        };
        Ok(SetUp {
            as_of,
            stop,
            progress,
            store: store(common.no_cache),
        })
    }

    /// A check of a whole kit on every promise, against no base.
    pub fn request(&self) -> Request<'_> {
        Request {
            parts: &[],
            promises: &[],
            thorough: None,
            base: None,
            shard: None,
            purpose: rules::Purpose::Check,
            as_of: self.as_of,
            stop: &self.stop,
            progress: &self.progress,
            store: &self.store,
        }
    }

    /// Says how much of a proof was known before.
    pub fn tell_reuse(&self, reused: usize, of: usize, said: &mut dyn Said) {
        if reused > 0 && self.progress.is_told() {
            said.talk(&format!(
                "{reused} of {of} parts are as they were measured before: taken from the cache (--no-cache measures \
                 them again)"
            ));
        }
    }
}

/// The cache that a run uses.
pub fn store(without: bool) -> Store {
    let folder = if without {
        None
    } else {
        reuse::folder::of_this_process()
    };
    folder.map_or_else(Store::none, Store::within)
}
