//! The command line, as clap reads it: types without behaviour.

pub mod hooks;
pub mod write;

use std::path::PathBuf;

use clap::{Args, Parser, Subcommand, ValueEnum};

use hooks::{HookName, HooksAction};
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
    /// For programs that read a line at a time: of a list, a line a row.
    Ndjson,
    /// For a spreadsheet: what is a list.
    Csv,
    /// For catalogues of open hardware, as an Open Know-How manifest: `bom` alone.
    Okh,
}

/// What to do.
#[derive(Debug, Subcommand)]
pub enum Command {
    /// Reads, links and evaluates the records: what is wrong with them, and every budget.
    Check(CheckArgs),
    /// The release checklist: what passes, what is in the way, and through which part.
    Ready(ReadyArgs),
    /// What a change does, or would do: parts, budgets, verdicts, results to repeat.
    Impact(ImpactArgs),
    /// What the product is made of, and what to order where for so many builds.
    Bom(BomArgs),
    /// How the product is put together, and whether that uses what the bill of materials has.
    Steps(StepsArgs),
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
    /// What somebody who has built one release does to have another.
    Upgrade(UpgradeArgs),
    /// Checks a release, writes its notes, and tags it; without a version, says which one is due.
    Release(ReleaseArgs),
    /// Works out again what a release's tag says, and tells what differs.
    Verify(VerifyArgs),
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
    #[arg(value_name = "A..B", conflicts_with_all = ["staged", "at", "what-if"])]
    pub range: Option<String>,
    /// From HEAD to what the next commit would hold.
    #[arg(long)]
    pub staged: bool,
    /// From the first parent of a revision to it.
    #[arg(long, value_name = "REV", conflicts_with = "staged")]
    pub at: Option<String>,
    /// What is tried out: from the state that is named, the working tree where none is, to the same
    /// with these changes.
    #[command(flatten)]
    pub what_if: WhatIfArgs,
}

/// Changes that are tried out without touching a file.
#[derive(Args, Clone, Debug, Default)]
#[group(id = "what-if", multiple = true)]
pub struct WhatIfArgs {
    /// What if a value were another: `led-panel.mass=500 g`, `lens.offer.L-35.price=29 EUR`.
    #[arg(long, value_name = "PART.KEY=VALUE")]
    pub set: Vec<String>,
    /// What if a part stood in another's place: `lid=oak-lid`.
    #[arg(long, value_name = "OLD=NEW")]
    pub swap: Vec<String>,
    /// What if the product went without a part.
    #[arg(long, value_name = "PART")]
    pub drop: Vec<String>,
}

impl WhatIfArgs {
    /// Whether nothing is tried out.
    #[must_use]
    pub fn is_nothing(&self) -> bool {
        self.set.is_empty() && self.swap.is_empty() && self.drop.is_empty()
    }
}

/// Arguments of `why`.
#[derive(Args, Debug)]
pub struct WhyArgs {
    /// A requirement, a part, a rail, a quantity of the product, or a figure of a part:
    /// `film-gate.temperature`.
    pub name: String,
    /// Which state.
    #[command(flatten)]
    pub state: StateArgs,
    /// The variant that is looked into; the design itself where not given.
    #[arg(long, value_name = "VARIANT")]
    pub variant: Option<String>,
    /// So many random trials of a figure beside its value to first order.
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
    /// `film-gate.temperature`, `five-volt`.
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

/// Arguments of `bom`.
#[derive(Args, Debug)]
pub struct BomArgs {
    /// So many products are built: the order is for all of them.
    #[arg(long, value_name = "N", default_value = "1", value_parser = clap::value_parser!(u64).range(1..=1_000_000_000))]
    pub builds: u64,
    /// Every part once, with all that the product holds of it; so it is where nothing is given.
    #[arg(long, conflicts_with = "level")]
    pub flat: bool,
    /// Every part within the assembly that contains it.
    #[arg(long)]
    pub level: bool,
    /// Which state.
    #[command(flatten)]
    pub state: StateArgs,
    /// The variant that is built; the design itself where not given.
    #[arg(long, value_name = "VARIANT")]
    pub variant: Option<String>,
}

/// Arguments of `steps`.
#[derive(Args, Debug)]
pub struct StepsArgs {
    /// Which state.
    #[command(flatten)]
    pub state: StateArgs,
    /// The variant that is built; the design itself where not given.
    #[arg(long, value_name = "VARIANT")]
    pub variant: Option<String>,
}

/// Arguments of `upgrade`.
#[derive(Args, Debug)]
pub struct UpgradeArgs {
    /// What was built: a version or a revision.
    #[arg(value_name = "OLD")]
    pub from: String,
    /// What is to be built: a version or a revision.
    #[arg(value_name = "NEW", default_value = "HEAD")]
    pub to: String,
}

/// Arguments of `release`.
#[derive(Args, Debug)]
pub struct ReleaseArgs {
    /// The version that is released.
    pub version: Option<semver::Version>,
    /// Shows everything, and writes no tag.
    #[arg(long)]
    pub dry_run: bool,
}

/// Arguments of `verify`.
#[derive(Args, Debug)]
pub struct VerifyArgs {
    /// The tag of a release.
    pub tag: String,
}

/// Arguments of `demo`.
#[derive(Args, Debug)]
pub struct DemoArgs {
    /// A folder that is empty or not there yet.
    #[arg(default_value = "lantern-demo")]
    pub folder: PathBuf,
}
