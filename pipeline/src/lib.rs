//! The kitproof command: order of the stages, disk, threads, exit codes. No geometry, no limits.

mod accept;
mod args;
mod check;
mod chosen;
mod day;
mod diff;
mod disk;
mod explain;
mod finish;
mod frozen;
mod git;
mod join;
mod machine;
mod measured;
mod merge;
mod new;
mod notes;
mod orient;
mod outcome;
mod outputs;
mod progress;
mod proof;
mod release;
mod reuse;
mod saved;
mod say;
mod set_up;
mod shard;
mod stages;
mod stop;
mod trace;
mod verify;
mod waive;

use std::io::IsTerminal;

pub use args::{Typed, command};
pub use outcome::Outcome;
pub use say::Said;

use args::{Listed, Verb};

/// Runs what was typed. Text goes out through `said`; the outcome becomes the exit code.
pub fn run(typed: Typed, said: &mut dyn Said) -> Outcome {
    match typed.verb {
        None => check::run(&typed.check, said),
        Some(Verb::Check(args)) => check::run(&args, said),
        Some(Verb::New(args)) => new::run(&args, said),
        Some(Verb::Release(args)) => release::run(&args, said),
        Some(Verb::Diff(args)) => diff::run(&args, said),
        Some(Verb::Notes(args)) => notes::run(&args, said),
        Some(Verb::Accept(args)) => accept::run(&args, said),
        Some(Verb::Waive(args)) => waive::run(&args, said),
        Some(Verb::Verify(args)) => verify::run(&args, said),
        Some(Verb::Merge(args)) => merge::run(&args, said),
        Some(Verb::Render(args)) => merge::render(&args, said),
        Some(Verb::Orient(args)) => orient::run(&args, said),
        Some(Verb::Explain(args)) => explain::run(&args, said),
        Some(Verb::List(args)) => list(&args, said),
        Some(Verb::Schema) => {
            said.data(&kit::schema());
            Outcome::Ready
        }
        Some(Verb::Completions { shell }) => {
            let mut text = Vec::new();
            clap_complete::generate(shell, &mut command(), "kitproof", &mut text);
            said.data(&String::from_utf8_lossy(&text));
            Outcome::Ready
        }
        Some(Verb::Man) => {
            let mut text = Vec::new();
            match clap_mangen::Man::new(command()).render(&mut text) {
                Ok(()) => {
                    said.data(&String::from_utf8_lossy(&text));
                    Outcome::Ready
                }
                Err(e) => {
                    said.fault(&format!("the manual page could not be made: {e}"));
                    Outcome::Unfinished
                }
            }
        }
    }
}

fn list(args: &args::ListArgs, said: &mut dyn Said) -> Outcome {
    if args.what == Listed::Rules {
        let kit = stages::read::read(&args.kit).ok();
        said.data(&report::rules_table(kit.as_ref().map(|o| &o.kit)));
        return Outcome::Ready;
    }
    let epoch = std::env::var("SOURCE_DATE_EPOCH").ok();
    let as_of = match day::of(args.as_of.as_deref(), epoch.as_deref()) {
        Ok(day) => day,
        Err(words) => {
            said.fault(&words);
            return Outcome::BadRequest;
        }
    };
    match stages::read::read(&args.kit) {
        Ok(opened) => {
            said.data(&match args.what {
                Listed::Parts => report::parts_table(&opened.kit),
                _ => report::waivers_table(&opened.kit, as_of),
            });
            Outcome::Ready
        }
        Err(e) => {
            said.fault(&e.to_string());
            Outcome::BadRequest
        }
    }
}

/// Whether colour or motion goes to a stream: as asked, else by what the stream and the environment say
/// (NO_COLOR, CLICOLOR_FORCE, TERM=dumb, CI).
fn on(when: args::When, terminal: bool) -> bool {
    let set = |name| std::env::var_os(name).is_some_and(|v| !v.is_empty());
    match when {
        args::When::Always => true,
        args::When::Never => false,
        args::When::Auto if set("NO_COLOR") => false,
        args::When::Auto if set("CLICOLOR_FORCE") => true,
        args::When::Auto => {
            terminal && std::env::var_os("TERM").is_none_or(|t| t != "dumb") && !set("CI")
        }
    }
}

fn color(when: args::When) -> bool {
    on(when, std::io::stdout().is_terminal())
}

fn moving(when: args::When) -> progress::Shown {
    let terminal = std::io::stderr().is_terminal();
    match when {
        args::When::Never => progress::Shown::Nothing,
        args::When::Always if !terminal => progress::Shown::Lines,
        args::When::Always => progress::Shown::Moving,
        args::When::Auto if std::env::var_os("CI").is_some_and(|v| !v.is_empty()) => {
            progress::Shown::Lines
        }
        args::When::Auto if terminal && std::env::var_os("TERM").is_none_or(|t| t != "dumb") => {
            progress::Shown::Moving
        }
        args::When::Auto => progress::Shown::Nothing,
    }
}
