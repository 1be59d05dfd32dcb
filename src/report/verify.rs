//! Whether a release's tag says what can be worked out again from what it tags.

use serde::Serialize;

use super::shown::count;
use crate::release::{Difference, RecordError};

/// What came of working a record out again.
#[derive(Clone, Debug, Serialize)]
pub struct VerifyReport {
    /// All of it in one line.
    pub headline: String,
    /// The tag.
    pub tag: String,
    /// The commit, shortened.
    pub commit: String,
    /// Whether the tag is signed. git checks signatures.
    pub signed: bool,
    /// Whether the record is what was worked out.
    pub agrees: bool,
    /// What differs.
    pub differences: Vec<Difference>,
}

/// A tag that was looked into.
#[derive(Clone, Copy, Debug)]
pub struct Looked<'a> {
    /// Its name.
    pub tag: &'a str,
    /// The commit, shortened.
    pub commit: &'a str,
    /// Whether it is signed.
    pub signed: bool,
}

/// What differs between a tag's record and what was worked out, or why it has none to compare.
#[must_use]
pub fn verify(looked: Looked<'_>, compared: Result<Vec<Difference>, RecordError>) -> VerifyReport {
    let Looked { tag, commit, signed } = looked;
    let (standing, agrees, differences) = match compared {
        Err(why) => (why.to_string(), false, Vec::new()),
        Ok(none) if none.is_empty() => ("its record is what is worked out".to_owned(), true, none),
        Ok(some) => (format!("{} from its record", count(some.len(), "difference")), false, some),
    };
    VerifyReport {
        headline: format!("{tag} at {commit}: {standing}"),
        tag: tag.to_owned(),
        commit: commit.to_owned(),
        signed,
        agrees,
        differences,
    }
}
