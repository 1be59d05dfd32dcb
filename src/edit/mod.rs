//! A file's text and a change → the file's new text. Comments, layout and line ends stay: nothing
//! is written anew, text is only put in between, or in place of one value.
//!
//! Whatever comes out is read again before it is handed over: a change never makes a file wrong.

mod error;
mod kind;
mod layout;
mod name;
mod new;
mod place;
mod splice;
mod table;
#[cfg(test)]
mod tests;
mod typed;
mod value;

pub use error::EditError;
pub use kind::RecordKind;
pub use name::{free_id, id_of_file, id_of_result, id_of_title};
pub use new::{NewDecision, NewEvidence, NewItem, NewRecord, NewResult, NewWaiver};
pub use place::{Candidate, choose_file};
pub use typed::Typed;
pub use value::Value;

use crate::diagnostic::{Diagnostic, Severity};
use crate::parse::{self, Role};
use crate::record::{Date, Id};
use layout::Layout;
use splice::{Splice, apply, block_at};
use table::{lines_of, set_in};

/// Adds a record, behind the last one of its kind where the file has one, else at its end.
///
/// # Errors
/// Where the file is no TOML, has a record of that name, or would be wrong with it.
pub fn add_record(
    text: &str,
    role: Role,
    id: &Id,
    record: &NewRecord,
) -> Result<String, EditError> {
    if let Some(why) = Id::check(id.as_str()) {
        return Err(EditError::BadId { word: id.to_string(), why });
    }
    let kind = record.kind().word();
    let layout = Layout::of(text)?;
    match layout.item(&[kind]) {
        Some(records) if records.get(id.as_str()).is_some() => {
            return Err(EditError::Taken { kind, id: id.clone() });
        }
        Some(records) if !records.is_table() => {
            return Err(EditError::Form { table: format!("{kind}.ID") });
        }
        _ => {}
    }
    let neighbour = layout.last_below(&[kind]);
    let at = neighbour.map_or(text.len(), |section| section.end);
    let manner = neighbour.or(layout.last()).and_then(|section| section.is_aligned);
    let lines = record_lines(kind, id, record, manner.unwrap_or(true));
    checked(text, role, vec![block_at(text, at, &lines)])
}

fn record_lines(kind: &str, id: &Id, record: &NewRecord, aligned: bool) -> String {
    let mut lines = lines_of(&format!("[{kind}.{id}]"), &record.pairs(), aligned);
    let seal = sealed(record.seal());
    if !seal.is_empty() {
        lines += &lines_of(&format!("[{kind}.{id}.seal]"), &seal, aligned);
    }
    lines
}

fn sealed(seal: &[(Id, String)]) -> Vec<(&str, Value)> {
    seal.iter().map(|(part, seal)| (part.as_str(), Value::text(seal))).collect()
}

/// Sets keys of the table at `path` (`["item", "led-glare"]`): those that it has keep their place
/// and their comments, others go below its last.
///
/// # Errors
/// Where the file is no TOML, has no such table, or would be wrong afterwards.
pub fn set_keys(
    text: &str,
    role: Role,
    path: &[&str],
    pairs: &[(&str, Value)],
) -> Result<String, EditError> {
    let splices = set_in(&Layout::of(text)?, path, pairs)?;
    checked(text, role, splices)
}

/// Sets keys of one element of a list of tables: of that in `list` of the table at `path` whose
/// `key` is the text `word`. The element has all of them.
///
/// # Errors
/// As [`set_keys`], and where no element is meant.
pub fn set_in_list(
    text: &str,
    role: Role,
    path: &[&str],
    (list, key, word): (&str, &str, &str),
    pairs: &[(&str, Value)],
) -> Result<String, EditError> {
    let splices = table::set_in_element(&Layout::of(text)?, path, (list, key, word), pairs)?;
    checked(text, role, splices)
}

/// Closes an item: the day, and what came out.
///
/// # Errors
/// As [`set_keys`], and where it is closed already.
pub fn close_item(
    text: &str,
    role: Role,
    id: &Id,
    closed: Date,
    result: &str,
) -> Result<String, EditError> {
    let path = ["item", id.as_str()];
    if Layout::of(text)?.item(&path).is_some_and(|item| item.get("closed").is_some()) {
        return Err(EditError::Closed { id: id.clone() });
    }
    let pairs = [("closed", Value::Date(closed)), ("result", Value::text(result))];
    set_keys(text, role, &path, &pairs)
}

/// Says that evidence `id` holds for a later state of `part` too, and why.
///
/// # Errors
/// As [`set_keys`].
pub fn carry_over(
    text: &str,
    role: Role,
    id: &Id,
    (part, seal): (&Id, &str),
    why: &str,
) -> Result<String, EditError> {
    let layout = Layout::of(text)?;
    let path = ["evidence", id.as_str()];
    let pairs =
        [("part", Value::text(part)), ("seal", Value::text(seal)), ("why", Value::text(why))];
    let splices = table::append_in(&layout, &path, "carries-over", &pairs)?;
    checked(text, role, splices)
}

/// Seals evidence `id`, which has no seal yet: (part, seal) each.
///
/// # Errors
/// As [`set_keys`], and where it has a seal.
pub fn add_seal(
    text: &str,
    role: Role,
    id: &Id,
    seal: &[(Id, String)],
) -> Result<String, EditError> {
    let layout = Layout::of(text)?;
    let path = ["evidence", id.as_str()];
    let splices = table::table_in(&layout, &path, "seal", &sealed(seal))?;
    checked(text, role, splices)
}

/// The text with `splices`, if that has no error that was not there before.
fn checked(text: &str, role: Role, splices: Vec<Splice>) -> Result<String, EditError> {
    let after = apply(text, splices);
    let mut known = errors(text, role);
    for error in errors(&after, role) {
        let is_same = |old: &Diagnostic| (old.code, &old.message) == (error.code, &error.message);
        match known.iter().position(is_same) {
            // The same error can stand in a file twice.
            Some(at) => {
                known.swap_remove(at);
            }
            None => return Err(EditError::Wrong(error)),
        }
    }
    Ok(after)
}

fn errors(text: &str, role: Role) -> Vec<Diagnostic> {
    let mut found = parse::file(text.as_bytes(), role).diagnostics;
    found.retain(|diagnostic| diagnostic.severity == Severity::Error);
    found
}
