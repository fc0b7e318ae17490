//! Requests to end: the first is honoured between parts, a second ends the program at once.

use std::sync::Arc;
use std::sync::atomic::{AtomicUsize, Ordering};

use signal_hook::consts::{SIGINT, SIGTERM};

use crate::outcome::Outcome;

/// Whether somebody asked the program to end.
#[derive(Debug, Clone, Default)]
pub struct Stop(Arc<AtomicUsize>);

impl Stop {
    /// Listens for SIGINT and SIGTERM. Every output is written under a temporary name first, so an end at
    /// any moment leaves no half-written file under its final name.
    ///
    /// # Errors
    /// The operating system's refusal.
    pub fn listen() -> std::io::Result<Stop> {
        let stop = Stop::default();
        for signal in [SIGINT, SIGTERM] {
            // Registered first, so it runs first: with the flag already up, a second signal ends the program.
            let armed = Arc::new(std::sync::atomic::AtomicBool::new(false));
            signal_hook::flag::register_conditional_shutdown(signal, 128 + signal, armed.clone())?;
            signal_hook::flag::register(signal, armed)?;
            signal_hook::flag::register_usize(signal, stop.0.clone(), signal as usize)?;
        }
        Ok(stop)
    }

    /// The outcome of a run that was asked to end; `None` while nobody asked.
    pub fn asked(&self) -> Option<Outcome> {
        match self.0.load(Ordering::Relaxed) as i32 {
            0 => None,
            SIGINT => Some(Outcome::Interrupted),
            _ => Some(Outcome::Terminated),
        }
    }
}
