//! The history files as they are written, before anything is done with them.

use std::collections::BTreeMap;

use serde::Deserialize;
use toml::value::Datetime;

use super::HistoryError;

/// All history files together.
#[derive(Debug, Default, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Script {
    /// Who works on the design, by the word that revisions use for them.
    #[serde(default)]
    pub contributor: BTreeMap<String, Contributor>,
    /// The revisions in the order in which they were made.
    #[serde(default)]
    pub revision: Vec<Entry>,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Contributor {
    pub name: String,
    pub email: String,
}

/// One revision: where it stands, what is said about it, what it changed.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Entry {
    pub name: String,
    pub on: Datetime,
    pub by: String,
    pub subject: String,
    pub body: String,
    #[serde(default = "main_branch")]
    pub branch: String,
    /// The revision where a branch begins.
    pub onto: Option<String>,
    /// The branch that is brought in.
    pub merges: Option<String>,
    pub tag: Option<TagEntry>,
    /// Files that went. This and what follows is done in this order.
    #[serde(default)]
    pub remove: Vec<String>,
    /// Files that came, with their text.
    #[serde(default)]
    pub new: BTreeMap<String, String>,
    /// Places in a file that read otherwise now.
    #[serde(default)]
    pub change: Vec<Change>,
    /// Texts that files end with now.
    #[serde(default)]
    pub add: BTreeMap<String, String>,
    /// Meshes that came, or took the place of older ones.
    #[serde(default)]
    pub copy: Vec<Copy>,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct TagEntry {
    pub name: String,
    pub message: String,
}

/// A text that is in the file exactly once, and what stands there instead.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Change {
    pub file: String,
    pub was: String,
    pub is: String,
}

/// A file of the example folder, and where it goes.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Copy {
    pub file: String,
    pub from: String,
}

fn main_branch() -> String {
    "main".to_owned()
}

/// Reads the history files, given with their paths, into one script.
pub(super) fn read(files: &[(&str, &str)]) -> Result<Script, HistoryError> {
    let mut script = Script::default();
    for (path, text) in files {
        let part: Script = toml::from_str(text).map_err(|error| HistoryError {
            place: (*path).to_owned(),
            message: error.to_string().trim_end().to_owned(),
        })?;
        script.contributor.extend(part.contributor);
        script.revision.extend(part.revision);
    }
    Ok(script)
}
