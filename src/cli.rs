//! The command line, as clap reads it: types without behaviour.

pub mod write;

use std::path::PathBuf;

use clap::{Args, Parser, Subcommand, ValueEnum};

use write::{DecideArgs, ItemAction, MeasureArgs, WaiveArgs};

/// A design-revision ledger and release-readiness checker for open hardware.
///
/// Reads the plain TOML records beside the CAD at any revision of the design's git repository, and
/// says what the design costs, weighs and draws, what holds up its release, and through which part.
#[derive(Debug, Parser)]
#[command(name = "tagworthy", version, max_term_width = 100)]
pub struct Cli {
    /// What to do.
    #[command(subcommand)]
    pub command: Command,
    /// How the result is written.
    #[arg(long, global = true, value_enum, default_value = "text")]
    pub format: Format,
    /// The folder of the design's tagworthy.toml, seen from the repository's root; the nearest one
    /// above the current folder where not given.
    #[arg(long, global = true, value_name = "FOLDER")]
    pub design: Option<String>,
}

/// How a result is written.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub enum Format {
    /// For a terminal.
    Text,
    /// For a review or a page.
    Markdown,
    /// For programs.
    Json,
    /// For programs that read a line at a time: of a ledger, a line a row.
    Ndjson,
    /// For spreadsheets.
    Csv,
}

/// What to do.
#[derive(Debug, Subcommand)]
pub enum Command {
    /// Reads, links and evaluates the records: what is wrong with them, and every budget.
    Check(CheckArgs),
    /// The release checklist: what passes, what is in the way, and through which part.
    Ready(ReadyArgs),
    /// What a change does: parts, budgets, verdicts, promises loosened.
    Impact(ImpactArgs),
    /// How a figure or a verdict comes about, or what is known of a part.
    Why(WhyArgs),
    /// Every revision that touched the design: what it moved, and who broke or mended what.
    Ledger(LedgerArgs),
    /// Writes down what was measured, with a seal of what was on the bench.
    Measure(Box<MeasureArgs>),
    /// Opens, closes and lists what is left to do.
    Item {
        /// What to do with them.
        #[command(subcommand)]
        action: ItemAction,
    },
    /// Lets a requirement or a finding through until a release, with the reason.
    Waive(Box<WaiveArgs>),
    /// Writes down what was decided, and why.
    Decide(Box<DecideArgs>),
    /// Writes a manifest and first parts from what the repository holds.
    Init,
    /// Lays out the example project as a git repository with its history, and shows its checklist.
    Demo(DemoArgs),
    /// Puts the git hooks in place, takes them out, says what is there.
    Hooks {
        /// What to do with them.
        #[command(subcommand)]
        action: HooksAction,
    },
    /// Runs as a git hook (called by the shims that `hooks install` writes).
    #[command(hide = true)]
    Hook {
        /// Which hook.
        #[command(subcommand)]
        name: HookName,
    },
    /// The reference of records and commands.
    Reference,
}

/// Which state of the repository is meant: the working tree where nothing is given.
#[derive(Args, Clone, Debug, Default)]
pub struct StateArgs {
    /// A revision, in any spelling that git understands.
    #[arg(long, value_name = "REV", conflicts_with = "staged")]
    pub at: Option<String>,
    /// What the next commit would hold.
    #[arg(long)]
    pub staged: bool,
}

/// Arguments of `check`.
#[derive(Args, Debug)]
pub struct CheckArgs {
    /// Which state.
    #[command(flatten)]
    pub state: StateArgs,
    /// The variant that is evaluated; the design itself where not given.
    #[arg(long, value_name = "VARIANT")]
    pub variant: Option<String>,
}

/// Arguments of `ready`.
#[derive(Args, Debug)]
pub struct ReadyArgs {
    /// The release that is prepared; the manifest's `next` where not given.
    pub version: Option<semver::Version>,
    /// Which state.
    #[command(flatten)]
    pub state: StateArgs,
    /// The variant that is judged; the design itself and a row for each variant where not given.
    #[arg(long, value_name = "VARIANT")]
    pub variant: Option<String>,
}

/// Arguments of `impact`.
#[derive(Args, Debug)]
pub struct ImpactArgs {
    /// `A..B`: from A to B; `A...B`: from where both parted to B. Without it, from HEAD to the
    /// working tree.
    #[arg(value_name = "A..B", conflicts_with = "staged")]
    pub range: Option<String>,
    /// From HEAD to what the next commit would hold.
    #[arg(long)]
    pub staged: bool,
}

/// Arguments of `why`.
#[derive(Args, Debug)]
pub struct WhyArgs {
    /// A requirement, a part, a rail, or a figure of a part: `film-gate.temperature`.
    pub name: String,
    /// Which state.
    #[command(flatten)]
    pub state: StateArgs,
    /// The variant that is looked into; the design itself where not given.
    #[arg(long, value_name = "VARIANT")]
    pub variant: Option<String>,
    /// So many random trials of a formula beside its value to first order.
    #[arg(long, value_name = "N", value_parser = clap::value_parser!(u32).range(1_000..=10_000_000))]
    pub trials: Option<u32>,
}

/// Arguments of `ledger`.
#[derive(Args, Debug)]
pub struct LedgerArgs {
    /// `A..B`: what B holds and A does not; `B`: all that leads to B. Without it, to HEAD.
    #[arg(value_name = "RANGE")]
    pub range: Option<String>,
    /// Follows one figure or requirement, and names who broke or mended it: `carry-mass`, `mass`,
    /// `film-gate.temperature`.
    #[arg(long, value_name = "NAME")]
    pub of: Option<String>,
    /// Every commit, not only those on the line of first parents.
    #[arg(long)]
    pub all: bool,
    /// Only revisions of that day or later.
    #[arg(long, value_name = "DATE")]
    pub since: Option<String>,
    /// Only revisions that changed this part.
    #[arg(long, value_name = "PART", conflicts_with = "of")]
    pub part: Option<String>,
}

/// Arguments of `demo`.
#[derive(Args, Debug)]
pub struct DemoArgs {
    /// A folder that is empty or not there yet.
    #[arg(default_value = "lantern-demo")]
    pub folder: PathBuf,
}

/// What to do with the hooks.
#[derive(Clone, Copy, Debug, Subcommand)]
pub enum HooksAction {
    /// Puts the pre-commit hook in place; a hook that is there is kept and runs first.
    Install {
        /// Also where the hooks folder serves other repositories.
        #[arg(long)]
        shared: bool,
    },
}

/// A git hook.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Subcommand)]
pub enum HookName {
    /// Before a commit: judges what is about to be committed.
    PreCommit,
}
