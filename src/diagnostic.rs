//! What is wrong in a record file: a stable code, a place, what was found and what would be right.
//!
//! A diagnostic is path-free, as parsing is: [`Located`] adds the file when the files of a revision
//! are brought together. The source line with its caret is looked up only when it is shown.

use std::fmt;

use serde::{Deserialize, Serialize};

use crate::fileset::RepoPath;

/// A half-open range of bytes in one file.
#[derive(
    Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize,
)]
pub struct Span {
    /// Offset of the first byte.
    pub start: u32,
    /// Offset behind the last byte.
    pub end: u32,
}

impl Span {
    /// The range `start..end`; an offset beyond 4 GiB is cut there (record files are far smaller).
    #[must_use]
    pub fn new(start: usize, end: usize) -> Self {
        let cut = |offset| u32::try_from(offset).unwrap_or(u32::MAX);
        Self { start: cut(start), end: cut(end) }
    }

    /// The range as offsets into a slice.
    #[must_use]
    pub fn range(self) -> std::ops::Range<usize> {
        self.start as usize..self.end as usize
    }
}

/// A value together with the place in its file where it was written.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct At<T> {
    /// What was written.
    pub value: T,
    /// Where it was written.
    pub span: Span,
}

impl<T> At<T> {
    /// `value`, written at `span`.
    pub fn new(value: T, span: Span) -> Self {
        Self { value, span }
    }
}

impl<T> std::ops::Deref for At<T> {
    type Target = T;
    fn deref(&self) -> &T {
        &self.value
    }
}

/// A stable, kebab-case name of a kind of diagnostic or of a release check.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize)]
pub struct Code(pub &'static str);

impl fmt::Display for Code {
    fn fmt(&self, formatter: &mut fmt::Formatter<'_>) -> fmt::Result {
        formatter.write_str(self.0)
    }
}

/// How much a diagnostic weighs.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Severity {
    /// The records of the revision are unreadable: nothing is judged.
    Error,
    /// Worth a look; nothing is refused.
    Warning,
}

/// Something wrong at a place in one file.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Diagnostic {
    /// The kind of diagnostic.
    pub code: Code,
    /// Error or warning.
    pub severity: Severity,
    /// The offending text.
    pub span: Span,
    /// What is wrong, in one sentence without a full stop.
    pub message: String,
    /// What would be right, where that can be said.
    pub hint: Option<String>,
}

impl Diagnostic {
    /// An error at `span`.
    pub fn error(code: Code, span: Span, message: impl Into<String>) -> Self {
        let message = presentable(message.into());
        Self { code, severity: Severity::Error, span, message, hint: None }
    }

    /// A warning at `span`.
    pub fn warning(code: Code, span: Span, message: impl Into<String>) -> Self {
        Self { severity: Severity::Warning, ..Self::error(code, span, message) }
    }

    /// The same with a remedy.
    #[must_use]
    pub fn with_hint(mut self, hint: impl Into<String>) -> Self {
        self.hint = Some(presentable(hint.into()));
        self
    }

    /// The same with a remedy, where there is one.
    #[must_use]
    pub fn with_hint_if(self, hint: Option<String>) -> Self {
        match hint.filter(|_| self.hint.is_none()) {
            Some(hint) => self.with_hint(hint),
            None => self,
        }
    }

    /// The diagnostic in the file at `path`.
    #[must_use]
    pub fn located(self, path: &RepoPath) -> Located {
        Located { path: path.clone(), diagnostic: self }
    }
}

/// A diagnostic together with the file that it is about.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Located {
    /// The file, relative to the repository's root.
    pub path: RepoPath,
    /// What is wrong in it.
    pub diagnostic: Diagnostic,
}

/// The longest message, in characters: a cycle can be as long as the design.
const LONGEST_MESSAGE: usize = 400;

/// A message repeats words of a file: control characters in it are spelt out, so that they cannot
/// reach a terminal, and what is too long to be read is cut.
fn presentable(text: String) -> String {
    let is_short = text.len() <= LONGEST_MESSAGE || text.chars().nth(LONGEST_MESSAGE).is_none();
    if is_short && !text.contains(char::is_control) {
        return text;
    }
    let spelt_out =
        |c: char| if c.is_control() { c.escape_default().to_string() } else { c.into() };
    let cut: String = text.chars().take(LONGEST_MESSAGE).map(spelt_out).collect();
    if is_short { cut } else { cut + " …" }
}

/// The name among `known` that `written` was most likely meant to be, if any is near enough.
pub fn nearest<'a>(written: &str, known: impl IntoIterator<Item = &'a str>) -> Option<&'a str> {
    let length = written.chars().count();
    let near = |name: &'a str| {
        let name_length = name.chars().count();
        let most = (name_length / 3).max(1);
        // Names of another length are not compared letter by letter: that takes far longer.
        let worthwhile = length.abs_diff(name_length) <= most;
        let distance = worthwhile.then(|| strsim::damerau_levenshtein(written, name));
        distance.filter(|distance| *distance <= most).map(|distance| (distance, name))
    };
    known.into_iter().filter_map(near).min().map(|(_, name)| name)
}

/// A remedy that names the nearest of the `known` names, or lists them where they are few.
pub fn did_you_mean<'a>(
    written: &str,
    known: impl IntoIterator<Item = &'a str> + Clone,
) -> Option<String> {
    if let Some(name) = nearest(written, known.clone()) {
        return Some(format!("did you mean `{name}`?"));
    }
    let mut all: Vec<&str> = known.into_iter().take(9).collect();
    all.sort_unstable();
    (!all.is_empty() && all.len() <= 8).then(|| format!("known here: {}", all.join(", ")))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_near_name_is_offered_and_a_far_one_is_not() {
        let known = ["mass", "title", "version", "material"];
        assert_eq!(nearest("verison", known), Some("version"));
        assert_eq!(nearest("titel", known), Some("title"));
        assert_eq!(nearest("colour", known), None);
    }

    #[test]
    fn a_message_cannot_reach_the_terminal_and_ends() {
        let found = Diagnostic::error(Code("x"), Span::default(), "no key `\u{1b}[2J\n`");
        assert_eq!(found.message, "no key `\\u{1b}[2J\\n`");
        let found = Diagnostic::error(Code("x"), Span::default(), "µ".repeat(5000));
        assert_eq!(found.message.chars().count(), LONGEST_MESSAGE + 2);
    }
}
