//! Flags as typed, and the request they amount to.

use std::path::PathBuf;

use clap::{Args, CommandFactory, Parser, Subcommand, ValueEnum};

use crate::outcome::Outcome;
use crate::shard::Shard;

/// The command line as typed.
#[derive(Debug, Parser)]
#[command(
    name = "kitproof",
    version,
    about = "Proves a printable kit before it is published: every part, on every machine the kit promises.",
    long_about = "Proves a printable kit before it is published.\n\n\
        A kit is a folder with a kit.toml and meshes. `kitproof check` measures every part, judges it by the \
        rules on every machine the kit promises, and says READY or BLOCKED; a report with pictures lies in \
        the kit's out/ folder. `kitproof release` makes the bundle for the builders, only when READY.",
    args_conflicts_with_subcommands = true,
    subcommand_negates_reqs = true,
    after_help = after_help(),
    styles = clap::builder::Styles::plain()
)]
pub struct Typed {
    /// What to do; without a verb the kits are checked
    #[command(subcommand)]
    pub verb: Option<Verb>,
    /// Arguments of `check`, the default verb.
    #[command(flatten)]
    pub check: CheckArgs,
}

fn after_help() -> String {
    format!(
        "Start here:\n  \
        kitproof new my-kit            a folder of meshes becomes a kit: writes kit.toml, each guess explained\n  \
        kitproof check my-kit          measure and judge; open my-kit/out/report.html\n  \
        kitproof orient gallery        other ways to lay a part, each with its `up =` line\n  \
        kitproof explain wall.lost     why a rule matters, its limit and how to mend a part\n  \
        kitproof diff --base v1.0.0    what changed, and what must be printed again\n  \
        kitproof release my-kit        the bundle to publish, only when READY\n\n\
        Exit codes:\n{}",
        Outcome::table()
    )
}

/// What to do.
#[derive(Debug, Subcommand)]
pub enum Verb {
    /// Check kits: all stages, the verdict, the report (the default)
    Check(CheckArgs),
    /// Turn a folder of meshes into a kit: writes a working kit.toml, each guess said in a comment
    New(NewArgs),
    /// Check a kit and, when READY, write its bundle to dist/; built twice and compared
    Release(ReleaseArgs),
    /// Say what changed since an earlier release and which parts must be printed again
    Diff(AgainstArgs),
    /// Write the release notes, with drafts of the [[change]] lines that are missing
    Notes(AgainstArgs),
    /// Take the present measured values as signed off, old and new shown: writes signoff.toml; never in CI
    Accept(AcceptArgs),
    /// Permit a release with a finding: adds a waiver to kit.toml with the present value as its floor
    Waive(WaiveArgs),
    /// Check a received bundle: every file, every header
    Verify(VerifyArgs),
    /// Join the results of every shard of a kit: one verdict, all reports
    Merge(MergeArgs),
    /// Write any report again from a saved result
    Render(RenderArgs),
    /// Rank other ways to lay a part on the plate: what each gains and costs, its `up =` line, a picture
    Orient(OrientArgs),
    /// Say why a rule, part or finding matters, its limit here, and how to mend it
    Explain(ExplainArgs),
    /// Tables of rules, parts or waivers
    List(ListArgs),
    /// Print the JSON Schema of kit.toml, for editors
    Schema,
    /// Print the completions of a shell
    Completions {
        /// The shell
        #[arg(value_enum)]
        shell: clap_complete::Shell,
    },
    /// Print the manual page (roff)
    Man,
}

/// Flags that mean the same on every verb that checks.
#[derive(Debug, Clone, Args)]
pub struct Common {
    /// Threads to work with; 0: as many as the machine offers
    #[arg(long, value_name = "N", default_value_t = 0, env = "KITPROOF_JOBS")]
    pub jobs: usize,
    /// The day of the check, for waivers that end: YYYY-MM-DD [default: SOURCE_DATE_EPOCH, else today]
    #[arg(long, value_name = "DATE", env = "KITPROOF_AS_OF")]
    pub as_of: Option<String>,
    /// Where outputs go [default: out/ (check) or dist/ (release) in the kit's folder; merge, render: beside FILE]
    #[arg(long, value_name = "DIR", env = "KITPROOF_OUT")]
    pub out: Option<PathBuf>,
    /// What is printed to stdout
    #[arg(long, value_enum, default_value_t = Format::Human, env = "KITPROOF_FORMAT")]
    pub format: Format,
    /// Colour in the terminal text; the words stand without it
    #[arg(long, value_enum, default_value_t = When::Auto, env = "KITPROOF_COLOR")]
    pub color: When,
    /// Progress on stderr: a line that moves on a terminal, plain lines in CI
    #[arg(long, value_enum, default_value_t = When::Auto, env = "KITPROOF_PROGRESS")]
    pub progress: When,
    /// More words: every note, every place
    #[arg(short, long)]
    pub verbose: bool,
    /// The last line only
    #[arg(short, long, conflicts_with = "verbose")]
    pub quiet: bool,
    /// Write nothing beside the outputs and the cache, and end with exit code 2 where signoff.toml is missing or not of these
    /// files and values
    #[arg(long, env = "KITPROOF_FROZEN")]
    pub frozen: bool,
    /// Measure everything again: neither read nor write the cache of earlier results
    #[arg(long, env = "KITPROOF_NO_CACHE")]
    pub no_cache: bool,
    /// Timings of stages and parts to stderr: a tracing filter such as debug or pipeline=trace
    #[arg(long, value_name = "FILTER", env = "KITPROOF_LOG")]
    pub log: Option<String>,
}

/// Arguments of `check`.
#[derive(Debug, Clone, Args)]
pub struct CheckArgs {
    /// Kits: folders with a kit.toml, the files themselves, or folders of kits [default: this folder]
    #[arg(value_name = "KIT")]
    pub kits: Vec<PathBuf>,
    /// Only parts whose id matches, * for any letters; the verdict is then on these alone
    #[arg(long, value_name = "GLOB")]
    pub part: Vec<String>,
    /// Only these promises
    #[arg(long, value_name = "ID")]
    pub promise: Vec<String>,
    /// The earlier release to compare with: a git tag, a folder with a kit.toml, a bundle (.zip), or none
    #[arg(long, value_name = "TAG|DIR|ZIP|none", env = "KITPROOF_BASE")]
    pub base: Option<String>,
    /// Only what is new against the base counts and is listed
    #[arg(long, requires = "base")]
    pub new_only: bool,
    /// Measure only a share of the parts, for N machines side by side; writes out/result-K-of-N.kitproof for `merge`
    #[arg(long, value_name = "K/N", conflicts_with_all = ["base", "new_only", "part"])]
    pub shard: Option<Shard>,
    /// What is written, and what fails the run.
    #[command(flatten)]
    pub views: Views,
    /// Flags of every verb.
    #[command(flatten)]
    pub common: Common,
}

/// Flags of every verb that reports a verdict.
#[derive(Debug, Clone, Args)]
pub struct Views {
    /// The least level of a finding that ends with exit code 1
    #[arg(long, value_enum, default_value_t = FailOn::Block, env = "KITPROOF_FAIL_ON")]
    pub fail_on: FailOn,
    /// Files to write besides the terminal's text [default: json,html,marks]
    #[arg(long, value_enum, value_delimiter = ',')]
    pub emit: Option<Vec<Emit>>,
}

impl Views {
    /// The files that are written.
    pub fn emit(&self) -> Vec<Emit> {
        let usual = || vec![Emit::Json, Emit::Html, Emit::Marks];
        self.emit.clone().unwrap_or_else(usual)
    }
}

/// Arguments of `merge`.
#[derive(Debug, Clone, Args)]
pub struct MergeArgs {
    /// The results of every shard of one kit
    #[arg(value_name = "FILE", required = true)]
    pub results: Vec<PathBuf>,
    /// What is written, and what fails the run.
    #[command(flatten)]
    pub views: Views,
    /// Flags of every verb.
    #[command(flatten)]
    pub common: Common,
}

/// Arguments of `render`.
#[derive(Debug, Clone, Args)]
pub struct RenderArgs {
    /// A saved result of a whole check: out/result.kitproof
    #[arg(value_name = "FILE")]
    pub result: PathBuf,
    /// What is written, and what fails the run.
    #[command(flatten)]
    pub views: Views,
    /// Flags of every verb.
    #[command(flatten)]
    pub common: Common,
}

/// Arguments of `release`.
#[derive(Debug, Clone, Args)]
pub struct ReleaseArgs {
    /// The kit's folder [default: this folder]
    #[arg(value_name = "KIT", default_value = ".")]
    pub kit: PathBuf,
    /// The earlier release to compare with: a git tag, a folder with a kit.toml, a bundle (.zip), or none
    #[arg(long, value_name = "TAG|DIR|ZIP|none", env = "KITPROOF_BASE")]
    pub base: Option<String>,
    /// Flags of every verb.
    #[command(flatten)]
    pub common: Common,
}

/// Arguments of `diff` and `notes`.
#[derive(Debug, Clone, Args)]
pub struct AgainstArgs {
    /// The kit's folder [default: this folder]
    #[arg(value_name = "KIT", default_value = ".")]
    pub kit: PathBuf,
    /// The earlier release to compare with: a git tag, a folder with a kit.toml, a bundle (.zip), or none
    #[arg(long, value_name = "TAG|DIR|ZIP|none", env = "KITPROOF_BASE")]
    pub base: Option<String>,
    /// Flags of every verb.
    #[command(flatten)]
    pub common: Common,
}

/// Arguments of `accept`.
#[derive(Debug, Clone, Args)]
pub struct AcceptArgs {
    /// The kit's folder [default: this folder]
    #[arg(value_name = "KIT", default_value = ".")]
    pub kit: PathBuf,
    /// Only parts whose id matches, * for any letters; the others stay as they were signed off
    #[arg(long, value_name = "GLOB")]
    pub part: Vec<String>,
    /// Flags of every verb.
    #[command(flatten)]
    pub common: Common,
}

/// Arguments of `waive`.
#[derive(Debug, Clone, Args)]
pub struct WaiveArgs {
    /// The rule, such as wall.thin
    #[arg(value_name = "RULE")]
    pub rule: String,
    /// The part with the finding; left out for a finding of the whole kit
    #[arg(long, value_name = "ID")]
    pub part: Option<String>,
    /// Why, in words that a builder would accept
    #[arg(long, value_name = "TEXT")]
    pub reason: String,
    /// It no longer holds from this revision of the kit on [default: the next minor one]
    #[arg(long, value_name = "REVISION", conflicts_with = "until")]
    pub until_revision: Option<String>,
    /// It no longer holds after this day
    #[arg(long, value_name = "DATE")]
    pub until: Option<String>,
    /// Print it under "Known limits" for the builders
    #[arg(long)]
    pub tell_builders: bool,
    /// The kit's folder
    #[arg(long, value_name = "DIR", default_value = ".")]
    pub kit: PathBuf,
    /// Flags of every verb.
    #[command(flatten)]
    pub common: Common,
}

/// Arguments of `new`.
#[derive(Debug, Clone, Args)]
pub struct NewArgs {
    /// The folder with the meshes [default: this folder]
    #[arg(value_name = "DIR", default_value = ".")]
    pub folder: PathBuf,
    /// Replace a kit.toml that stands there
    #[arg(long)]
    pub force: bool,
    /// Threads to work with; 0: as many as the machine offers
    #[arg(long, value_name = "N", default_value_t = 0, env = "KITPROOF_JOBS")]
    pub jobs: usize,
}

/// Arguments of `verify`.
#[derive(Debug, Clone, Args)]
pub struct VerifyArgs {
    /// The bundle (.zip)
    #[arg(value_name = "BUNDLE")]
    pub bundle: PathBuf,
    /// Write its files below this folder, once every one of them was found as released
    #[arg(long, value_name = "DIR")]
    pub unpack: Option<PathBuf>,
}

/// Arguments of `orient`.
#[derive(Debug, Clone, Args)]
pub struct OrientArgs {
    /// A part's id
    #[arg(value_name = "PART")]
    pub part: String,
    /// The kit's folder
    #[arg(long, value_name = "DIR", default_value = ".")]
    pub kit: PathBuf,
    /// Only these promises
    #[arg(long, value_name = "ID")]
    pub promise: Vec<String>,
    /// Flags of every verb.
    #[command(flatten)]
    pub common: Common,
}

/// Arguments of `explain`.
#[derive(Debug, Clone, Args)]
pub struct ExplainArgs {
    /// A rule (wall.lost), a part's id, or a finding's name from the report (gallery-1)
    #[arg(value_name = "RULE|PART|FINDING")]
    pub what: String,
    /// The kit's folder, where a part or finding is asked for
    #[arg(long, value_name = "DIR", default_value = ".")]
    pub kit: PathBuf,
    /// Measure everything again: neither read nor write the cache of earlier results
    #[arg(long, env = "KITPROOF_NO_CACHE")]
    pub no_cache: bool,
}

/// Arguments of `list`.
#[derive(Debug, Clone, Args)]
pub struct ListArgs {
    /// Which table
    #[arg(value_enum)]
    pub what: Listed,
    /// The kit's folder
    #[arg(long, value_name = "DIR", default_value = ".")]
    pub kit: PathBuf,
    /// The day, for waivers that end: YYYY-MM-DD [default: SOURCE_DATE_EPOCH, else today]
    #[arg(long, value_name = "DATE", env = "KITPROOF_AS_OF")]
    pub as_of: Option<String>,
}

/// Tables that `list` prints.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum Listed {
    /// Every rule with its level
    Rules,
    /// Every part, and where each of its values came from
    Parts,
    /// Every waiver with its end, and whether it still holds
    Waivers,
}

/// What is printed to stdout.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum Format {
    /// Text for people
    Human,
    /// The same as report.json
    Json,
}

/// On, off, or by what stdout or stderr is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum When {
    /// On a terminal
    Auto,
    /// Always
    Always,
    /// Never
    Never,
}

/// The least level that fails the run.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum FailOn {
    /// Notes, warnings and blocks
    Note,
    /// Warnings and blocks
    Warn,
    /// Blocks
    Block,
}

impl FailOn {
    /// The level that is meant.
    pub fn level(self) -> findings::Level {
        match self {
            FailOn::Note => findings::Level::Note,
            FailOn::Warn => findings::Level::Warn,
            FailOn::Block => findings::Level::Block,
        }
    }
}

/// Files a check writes.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum Emit {
    /// report.json
    Json,
    /// report.html, with pictures
    Html,
    /// marks/PART.stl: arrows at the places, to lay beside the model in CAD
    Marks,
    /// report.sarif: SARIF 2.1.0, each finding at its part's line of kit.toml
    Sarif,
    /// junit.xml: a suite a kit, a case a part and stage
    Junit,
    /// summary.md, appended to the file that GITHUB_STEP_SUMMARY names as well
    Summary,
    /// comment.md: a comment for a pull request, with a hidden line to find it again
    Comment,
    /// annotations.txt, printed to stdout as well: lines that a build server shows beside kit.toml
    Annotations,
    /// result.kitproof: all that was measured, for `render`
    Result,
}

/// The command for completions and the manual page.
pub fn command() -> clap::Command {
    Typed::command()
}
