//! The only place that prints; an outcome becomes an exit code.

use std::io::{self, Write};
use std::process::ExitCode;

use pipeline::{Outcome, Said, Typed};

struct Terminal {
    /// Set once stdout took no more text: the run goes on, its exit code tells.
    broken: Option<io::Error>,
}

impl Said for Terminal {
    fn data(&mut self, text: &str) {
        let mut out = io::stdout().lock();
        let end = if text.ends_with('\n') { "" } else { "\n" };
        if let Err(e) = out
            .write_all(text.as_bytes())
            .and_then(|()| out.write_all(end.as_bytes()))
            .and_then(|()| out.flush())
        {
            self.broken.get_or_insert(e);
        }
    }

    fn fault(&mut self, text: &str) {
        eprintln!("{text}");
    }

    fn talk(&mut self, text: &str) {
        eprintln!("{text}");
    }
}

fn main() -> ExitCode {
    let typed = match <Typed as clap::Parser>::try_parse() {
        Ok(typed) => typed,
        Err(e) => {
            let code = if e.use_stderr() {
                Outcome::BadRequest
            } else {
                Outcome::Ready
            };
            // Help into a closed pipe is nobody's fault.
            let _printed = e.print();
            return ExitCode::from(code.code());
        }
    };
    let mut terminal = Terminal { broken: None };
    let mut outcome = pipeline::run(typed, &mut terminal);
    if let Some(e) = terminal.broken
        && e.kind() != io::ErrorKind::BrokenPipe
    {
        eprintln!("stdout: cannot be written: {e}");
        outcome = outcome.worse(Outcome::Unfinished);
    }
    ExitCode::from(outcome.code())
}
