//! Arguments of the commands that write records.

use clap::{ArgGroup, Args, Subcommand};
use semver::Version;

/// Where a record goes, and under which name.
#[derive(Args, Clone, Debug, Default)]
pub struct PlaceArgs {
    /// The record's name in the design; made of what it is about where not given.
    #[arg(long, value_name = "ID")]
    pub id: Option<String>,
    /// The record file to write to, seen from the repository's root; the one that holds most records
    /// of the kind where not given.
    #[arg(long, value_name = "PATH")]
    pub into: Option<String>,
}

/// Arguments of `measure`.
#[derive(Args, Clone, Debug, Default)]
#[command(group(
    ArgGroup::new("outcome-of-it")
        .required(true)
        .args(["value", "outcome", "trials", "carries_over"])
))]
pub struct MeasureArgs {
    /// The part on the bench, with the quantity of it that has a VALUE.
    #[arg(value_name = "PART.QUANTITY")]
    pub subject: String,
    /// What was measured: "38.4 °C ± 1.2 K".
    #[arg(allow_hyphen_values = true)]
    pub value: Option<String>,
    /// Requirements that the result speaks to.
    #[arg(long, value_name = "ID", value_delimiter = ',')]
    pub verifies: Vec<String>,
    /// How it went, where there is no value.
    #[arg(long, value_parser = ["pass", "fail"])]
    pub outcome: Option<String>,
    /// How many of how many trials succeeded: 59/60.
    #[arg(long, value_name = "PASSED/ALL")]
    pub trials: Option<String>,
    /// The revision that was on the bench; the working tree where not given.
    #[arg(long, value_name = "REV")]
    pub revision: Option<String>,
    /// The variant that was on the bench.
    #[arg(long, value_name = "ID")]
    pub variant: Option<String>,
    /// Parts that were on the bench with it.
    #[arg(long, value_name = "PART", value_delimiter = ',')]
    pub with: Vec<String>,
    /// A part that does not matter to the result, and why.
    #[arg(long, value_name = "PART=WHY")]
    pub except: Vec<String>,
    /// The ambient temperature during the test: "22 °C ± 0.5 K".
    #[arg(long, value_name = "TEMPERATURE", allow_hyphen_values = true)]
    pub ambient: Option<String>,
    /// How fast the temperature still rose: "0.6 K/h".
    #[arg(long, value_name = "RATE", allow_hyphen_values = true)]
    pub steady: Option<String>,
    /// How many samples.
    #[arg(
        long = "sample",
        visible_alias = "samples",
        value_name = "COUNT",
        value_parser = clap::value_parser!(u64).range(1..),
    )]
    pub samples: Option<u64>,
    /// How it was determined.
    #[arg(long, value_parser = ["inspection", "analysis", "demonstration", "test"])]
    pub method: Option<String>,
    /// The day; today where not given.
    #[arg(long, value_name = "DATE")]
    pub on: Option<String>,
    /// By whom; git's user.name where not given.
    #[arg(long, value_name = "NAME")]
    pub by: Option<String>,
    /// A log, picture or sheet, seen from the current folder.
    #[arg(long = "file", value_name = "PATH")]
    pub files: Vec<String>,
    /// What it takes to repeat it: "4 h".
    #[arg(long, value_name = "TIME")]
    pub effort: Option<String>,
    /// The evidence that holds for the present state of PART too, with the reason.
    #[arg(long, value_name = "ID", requires = "why", conflicts_with_all = [
        "verifies", "variant", "with", "except", "ambient", "steady", "samples", "method", "on", "by",
        "files", "effort", "id", "into",
    ])]
    pub carries_over: Option<String>,
    /// Why it does.
    #[arg(long, value_name = "TEXT", conflicts_with_all = ["value", "outcome", "trials"])]
    pub why: Option<String>,
    /// Where it goes.
    #[command(flatten)]
    pub place: PlaceArgs,
}

/// What to do with items.
#[derive(Clone, Debug, Subcommand)]
pub enum ItemAction {
    /// Writes down something that is open.
    Open(Box<ItemOpenArgs>),
    /// Says what came out.
    Close(ItemCloseArgs),
    /// Lists what is open.
    List(ItemListArgs),
}

/// Arguments of `item open`.
#[derive(Args, Clone, Debug, Default)]
pub struct ItemOpenArgs {
    /// What is open, in a line.
    pub title: String,
    /// Parts that it is about.
    #[arg(long = "part", value_name = "ID", value_delimiter = ',')]
    pub parts: Vec<String>,
    /// Requirements that it holds up; the release itself where none is named.
    #[arg(long, value_name = "ID", value_delimiter = ',')]
    pub blocks: Vec<String>,
    /// Items that come first.
    #[arg(long, value_name = "ID", value_delimiter = ',')]
    pub after: Vec<String>,
    /// The release that it must be closed for.
    #[arg(long, value_name = "VERSION")]
    pub due: Option<Version>,
    /// Work left: "2 d".
    #[arg(long, value_name = "TIME")]
    pub effort: Option<String>,
    /// Remarks.
    #[arg(long, value_name = "TEXT")]
    pub note: Option<String>,
    /// The day; today where not given.
    #[arg(long, value_name = "DATE")]
    pub on: Option<String>,
    /// Where it goes.
    #[command(flatten)]
    pub place: PlaceArgs,
}

/// Arguments of `item close`.
#[derive(Args, Clone, Debug, Default)]
pub struct ItemCloseArgs {
    /// The item.
    pub id: String,
    /// What came out.
    #[arg(long, value_name = "TEXT")]
    pub result: String,
    /// The day; today where not given.
    #[arg(long, value_name = "DATE")]
    pub on: Option<String>,
}

/// Arguments of `item list`.
#[derive(Args, Clone, Debug, Default)]
pub struct ItemListArgs {
    /// Closed ones too.
    #[arg(long)]
    pub all: bool,
}

/// Arguments of `waive`.
#[derive(Args, Clone, Debug)]
#[command(group(ArgGroup::new("waived").required(true).args(["requirement", "check"])))]
pub struct WaiveArgs {
    /// The requirement that is let through.
    pub requirement: Option<String>,
    /// The release check whose findings are let through.
    #[arg(long, value_name = "CODE")]
    pub check: Option<String>,
    /// Only its findings about this part.
    #[arg(long, value_name = "ID", conflicts_with = "requirement")]
    pub part: Option<String>,
    /// The worst value that is let through: "1250 g".
    #[arg(long, value_name = "VALUE", allow_hyphen_values = true, conflicts_with = "check")]
    pub up_to: Option<String>,
    /// The release from which on it no longer holds.
    #[arg(long, value_name = "VERSION")]
    pub until_before: Version,
    /// Why.
    #[arg(long, value_name = "TEXT")]
    pub why: String,
    /// By whom; git's user.name where not given.
    #[arg(long, value_name = "NAME")]
    pub by: Option<String>,
    /// The day; today where not given.
    #[arg(long, value_name = "DATE")]
    pub on: Option<String>,
    /// Where it goes.
    #[command(flatten)]
    pub place: PlaceArgs,
}

/// Arguments of `decide`.
#[derive(Args, Clone, Debug, Default)]
pub struct DecideArgs {
    /// What was decided, in a line.
    pub title: String,
    /// Why.
    #[arg(long, value_name = "TEXT")]
    pub why: String,
    /// By whom; git's user.name where not given.
    #[arg(long, value_name = "NAME")]
    pub by: Option<String>,
    /// Parts that it is about.
    #[arg(long = "part", value_name = "ID", value_delimiter = ',')]
    pub parts: Vec<String>,
    /// What was not chosen, and why.
    #[arg(long, value_name = "TEXT")]
    pub rejected: Vec<String>,
    /// Decisions that it overturns.
    #[arg(long, value_name = "ID", value_delimiter = ',')]
    pub replaces: Vec<String>,
    /// The day; today where not given.
    #[arg(long, value_name = "DATE")]
    pub on: Option<String>,
    /// Where it goes.
    #[command(flatten)]
    pub place: PlaceArgs,
}
