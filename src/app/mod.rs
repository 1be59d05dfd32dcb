//! One short file a command: which states to read, which stages to call, which report to write.

mod check;
mod demo;
mod impact;
mod init;
mod ready;
mod reference;
mod state;

use std::path::{Path, PathBuf};

use crate::cli::{Cli, Command, Format, HookName, HooksAction};
use crate::hook;
use crate::record::Date;

pub use state::{Loader, State};

/// What a command needs to know of the world; read by `main`.
#[derive(Clone, Debug)]
pub struct World {
    /// The current folder.
    pub folder: PathBuf,
    /// Columns of the terminal.
    pub width: usize,
    /// The day, in UTC.
    pub today: Date,
    /// Where this program lies.
    pub program: PathBuf,
}

/// What a command came to.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Outcome {
    /// For the output stream.
    pub output: String,
    /// For the error stream.
    pub notice: String,
    /// Whether something is refused: exit status 1.
    pub refused: bool,
}

impl Outcome {
    /// `output`, with nothing refused.
    #[must_use]
    pub fn of(output: String) -> Self {
        Self { output, ..Self::default() }
    }
}

/// Why a command could not decide: exit status 2.
#[derive(Debug)]
pub struct Failure(String);

impl Failure {
    /// A failure with what went wrong and what to do about it.
    #[must_use]
    pub fn new(message: impl Into<String>) -> Self {
        Self(message.into())
    }
}

impl std::fmt::Display for Failure {
    fn fmt(&self, formatter: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        formatter.write_str(&self.0)
    }
}

impl From<crate::git::Error> for Failure {
    fn from(error: crate::git::Error) -> Self {
        Self(error.to_string())
    }
}

/// How the result is written, and for which design.
#[derive(Clone, Debug)]
pub struct Manner {
    /// The format.
    pub format: Format,
    /// Columns.
    pub width: usize,
    /// The design's folder, where one was named.
    pub design: Option<String>,
}

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
        Command::Init => init::run(world),
        Command::Demo(args) => demo::run(&args, &manner, world),
        Command::Hooks { action: HooksAction::Install { shared } } => {
            hook::install::run(shared, world)
        }
        Command::Hook { name: HookName::PreCommit } => hook::pre_commit::run(&manner, world),
        Command::Reference => Ok(reference::run()),
    }
}

/// A file written whole or not at all: first beside its place, then moved there.
///
/// # Errors
/// [`Failure`] that names the file.
pub fn write_whole(path: &Path, bytes: &[u8]) -> Result<(), Failure> {
    let name = path.file_name().unwrap_or_default().to_string_lossy();
    let beside = path.with_file_name(format!(".{name}.{}.new", std::process::id()));
    let written = std::fs::write(&beside, bytes).and_then(|()| std::fs::rename(&beside, path));
    written.map_err(|error| {
        // What is left of the attempt is worth nothing; that it cannot be removed changes nothing.
        let _ = std::fs::remove_file(&beside);
        Failure::new(format!("{} could not be written: {error}", path.display()))
    })
}
