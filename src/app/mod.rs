//! One short file a command: which states to read, which stages to call, which report to write.

mod bom;
mod check;
mod demo;
mod impact;
mod init;
mod ledger;
mod look_back;
mod ready;
mod reference;
mod steps;
mod release;
mod upgrade;
mod verify;
mod why;
mod write;

use crate::cli::{Cli, Command, Format};
use crate::diagnostic::did_you_mean;
use crate::hook;
use crate::outside::{Failure, Manner, Outcome, World};
use crate::verdict::Assessed;

/// Runs one command.
///
/// # Errors
/// [`Failure`] where the command could not decide.
pub fn run(cli: Cli, world: &World) -> Result<Outcome, Failure> {
    if cli.format == Format::Csv && !is_list(&cli.command) {
        let message = "this is no list for a spreadsheet\n`bom`, `steps` and `ledger` are; --format \
                       json has the rest";
        return Err(Failure::new(message));
    }
    if cli.format == Format::Okh && !matches!(cli.command, Command::Bom(_)) {
        let message = "only `bom` is written as an Open Know-How manifest";
        return Err(Failure::new(message));
    }
    let manner = Manner { format: cli.format, width: world.width, design: cli.design };
    match cli.command {
        Command::Check(args) => check::run(&args, &manner, world),
        Command::Ready(args) => ready::run(&args, &manner, world),
        Command::Impact(args) => impact::run(&args, &manner, world),
        Command::Bom(args) => bom::run(&args, &manner, world),
        Command::Steps(args) => steps::run(&args, &manner, world),
        Command::Why(args) => why::run(&args, &manner, world),
        Command::Ledger(args) => ledger::run(&args, &manner, world),
        Command::Measure(args) => write::measure(&args, &manner, world),
        Command::Item { action } => write::item(&action, &manner, world),
        Command::Waive(args) => write::waive(&args, &manner, world),
        Command::Decide(args) => write::decide(&args, &manner, world),
        Command::Upgrade(args) => upgrade::run(&args, &manner, world),
        Command::Release(args) => release::run(&args, &manner, world),
        Command::Verify(args) => verify::run(&args, &manner, world),
        Command::Init => init::run(world),
        Command::Demo(args) => demo::run(&args, &manner, world),
        Command::Hooks { action } => hook::installed::run(action, &manner, world),
        Command::Hook { name } => Ok(hook::run(&name, &manner, world)),
        Command::Reference => Ok(reference::run()),
    }
}

/// Whether the command tells something that has rows and columns.
fn is_list(command: &Command) -> bool {
    matches!(command, Command::Bom(_) | Command::Steps(_) | Command::Ledger(_))
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

/// The revision that one end of a range names: HEAD where nothing stands there.
fn revision_of(end: &str) -> String {
    if end.is_empty() { "HEAD".to_owned() } else { end.to_owned() }
}
