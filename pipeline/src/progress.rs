//! Progress: a line that moves on a terminal, plain lines in CI, nothing when told so. Never on stdout.

use std::sync::Mutex;

use indicatif::{ProgressBar, ProgressDrawTarget, ProgressStyle};

/// How progress is shown.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Shown {
    /// A moving line.
    Moving,
    /// A line a stage.
    Lines,
    /// Nothing.
    Nothing,
}

/// Progress of one kit's check.
pub struct Progress {
    shown: Shown,
    told: bool,
    bar: Mutex<Option<ProgressBar>>,
}

impl Progress {
    /// Progress in the given manner.
    pub fn new(shown: Shown) -> Progress {
        Progress {
            shown,
            told: true,
            bar: Mutex::new(None),
        }
    }

    /// No progress, and no words beside it.
    pub fn silent() -> Progress {
        Progress {
            told: false,
            ..Progress::new(Shown::Nothing)
        }
    }

    /// Whether anything is to be told.
    pub fn is_told(&self) -> bool {
        self.told
    }

    /// A stage of `steps` steps begins.
    pub fn stage(&self, name: &'static str, steps: usize) {
        match self.shown {
            Shown::Nothing => {}
            Shown::Lines => eprintln!("{name}: {steps}"),
            Shown::Moving => {
                let bar = ProgressBar::with_draw_target(
                    Some(steps as u64),
                    ProgressDrawTarget::stderr_with_hz(10),
                );
                if let Ok(style) = ProgressStyle::with_template("{prefix:>9} {pos}/{len} {msg}") {
                    bar.set_style(style);
                }
                bar.set_prefix(name);
                self.swap(Some(bar));
            }
        }
    }

    /// One step is done.
    pub fn step(&self, what: &str) {
        if let Ok(bar) = self.bar.lock()
            && let Some(bar) = bar.as_ref()
        {
            bar.set_message(what.to_string());
            bar.inc(1);
        }
    }

    /// All is done: the moving line goes away.
    pub fn done(&self) {
        self.swap(None);
    }

    fn swap(&self, new: Option<ProgressBar>) {
        if let Ok(mut bar) = self.bar.lock() {
            if let Some(old) = bar.take() {
                old.finish_and_clear();
            }
            *bar = new;
        }
    }
}
