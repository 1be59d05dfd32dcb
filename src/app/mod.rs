//! One short file a command: which states to read, which stages to call, which report to write.

mod check;
mod demo;
mod impact;
mod init;
mod ledger;
mod look_back;
mod ready;
mod reference;
mod why;
mod write;

use crate::cli::{Cli, Command, Format, HookName, HooksAction};
use crate::diagnostic::did_you_mean;
use crate::hook;
use crate::outside::{Failure, Manner, Outcome, World};
use crate::render::{self, page::Page};
use crate::verdict::Assessed;

/// Runs one command.
///
/// # Errors
/// [`Failure`] where the command could not decide.
pub fn run(cli: Cli, world: &World) -> Result<Outcome, Failure> {
    let manner = Manner { format: cli.format, width: world.width, design: cli.design };
    match cli.command {
        Command::Check(args) => check::run(&args, &manner, world),
        Command::Ready(args) => ready::run(&args, &manner, world),
        Command::Impact(args) => impact::run(&args, &manner, world),
        Command::Why(args) => why::run(&args, &manner, world),
        Command::Ledger(args) => ledger::run(&args, &manner, world),
        Command::Measure(args) => write::measure(&args, &manner, world),
        Command::Item { action } => write::item(&action, &manner, world),
        Command::Waive(args) => write::waive(&args, &manner, world),
        Command::Decide(args) => write::decide(&args, &manner, world),
        Command::Init => init::run(world),
        Command::Demo(args) => demo::run(&args, &manner, world),
        Command::Hooks { action: HooksAction::Install { shared } } => {
            hook::install::run(shared, world)
        }
        Command::Hook { name: HookName::PreCommit } => hook::pre_commit::run(&manner, world),
        Command::Reference => Ok(reference::run()),
    }
}

/// The variant that was asked for, else the design itself.
fn variant_of<'a>(assessed: &'a Assessed, id: Option<&str>) -> Result<&'a Assessed, Failure> {
    let Some(id) = id else { return Ok(assessed) };
    assessed.variant(id).ok_or_else(|| {
        let known = assessed.design.variants.iter().map(|variant| variant.id.as_str());
        let hint = did_you_mean(id, known).unwrap_or_else(|| "the design has none".to_owned());
        Failure::new(format!("there is no variant `{id}`\n{hint}"))
    })
}

/// A report in the format that was asked for.
fn shown(name: &str, report: &impl serde::Serialize, page: &Page, manner: &Manner) -> String {
    match manner.format {
        Format::Text => render::text::text(page, manner.width),
        Format::Markdown => render::markdown::markdown(page),
        Format::Json => render::json::json(name, report),
        Format::Ndjson => render::ndjson::ndjson(name, std::slice::from_ref(report)),
        Format::Csv => render::csv::tables(page),
    }
}
