//! What lies around the river: the folder and the day, states of a repository that are read into it,
//! files that are written, and what a command comes to.

mod both;
mod draft;
mod facts;
mod kept_records;
mod kept_rows;
mod kept_state;
mod large;
mod loader;
mod manifests;
mod moved;
mod occasion;
mod pairs;
mod past;
mod progress;
mod records;
mod selected;
mod sign;
mod state;
mod trees;
mod walk;
mod what_if;
mod write;

use std::path::PathBuf;

use crate::cli::Format;
use crate::record::Date;
use crate::render::{self, page::Page};

pub use draft::{Draft, RecordFile};
pub use loader::Loader;
pub use manifests::{find_manifest, manifests};
pub use moved::{ledger, rows};
pub use occasion::day_of;
pub use pairs::Paths;
pub use progress::Progress;
pub use sign::sign_tag;
pub use state::{State, at};
pub use walk::{Take, Walk, Work};
pub use write::{write_program, write_whole};

/// What a command needs to know of the world; read by `main`.
#[derive(Clone, Debug)]
pub struct World {
    /// The current folder.
    pub folder: PathBuf,
    /// Columns of the terminal.
    pub width: usize,
    /// Whether the output is a terminal.
    pub is_terminal: bool,
    /// The day, in UTC.
    pub today: Date,
    /// Where this program lies.
    pub program: PathBuf,
    /// What git says of its version, where it was asked.
    pub git: Option<String>,
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

    /// Adds what something else came to: refused where one of them is.
    pub fn add(&mut self, other: Self) {
        self.output += &other.output;
        self.notice += &other.notice;
        self.refused |= other.refused;
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

/// A report in the format that was asked for.
#[must_use]
pub fn shown(name: &str, report: &impl serde::Serialize, page: &Page, manner: &Manner) -> String {
    match manner.format {
        // What is a list writes its rows itself; why there are none is for whoever asked.
        Format::Text | Format::Csv | Format::Okh => render::text::text(page, manner.width),
        Format::Markdown => render::markdown::markdown(page),
        Format::Json => render::json::json(name, report),
        Format::Ndjson => render::ndjson::ndjson(name, std::slice::from_ref(report)),
    }
}
