//! Changes within a table, in whichever of TOML's forms it is written.

use std::fmt::Write;

use toml_edit::{Item, TableLike};

use super::EditError;
use super::layout::{Layout, Pair, Section, column, line_end, line_start, own_pairs};
use super::splice::{Splice, lines_at};
use super::value::{Key, Value};

/// A header with `pairs` below it, a line each; equals signs in one column where `aligned`.
pub(super) fn lines_of(header: &str, pairs: &[(&str, Value)], aligned: bool) -> String {
    let widest = pairs.iter().map(|(key, _)| key.len()).max().unwrap_or_default();
    format!("{header}\n{}", pair_lines("", pairs, if aligned { widest } else { 0 }))
}

/// A line `key = value` for each of `pairs` behind `prefix`, with keys filled up to `width`.
fn pair_lines(prefix: &str, pairs: &[(&str, Value)], width: usize) -> String {
    let mut lines = String::new();
    for (key, value) in pairs {
        let key = Key(key).to_string();
        writeln!(lines, "{prefix}{key:<width$} = {value}").expect("a String takes all text");
    }
    lines
}

/// Sets keys of the table at `path`.
pub(super) fn set_in(
    layout: &Layout<'_>,
    path: &[&str],
    pairs: &[(&str, Value)],
) -> Result<Vec<Splice>, EditError> {
    let table = table_at(layout, path)?;
    let mut splices = Vec::new();
    let mut added = Vec::new();
    for (key, value) in pairs {
        match table.get(key).map(|item| item.as_value().and_then(toml_edit::Value::span)) {
            Some(Some(at)) => splices.push(Splice { at, text: value.to_string() }),
            Some(None) => return Err(EditError::Form { table: dotted(path, key) }),
            None => added.push((*key, value.clone())),
        }
    }
    if !added.is_empty() {
        splices.push(add_to(layout, path, table, &added)?);
    }
    Ok(splices)
}

/// Sets keys that one element of the list of tables at `list` of the table at `path` has: the element
/// whose `key` is `word`.
pub(super) fn set_in_element(
    layout: &Layout<'_>,
    path: &[&str],
    (list, key, word): (&str, &str, &str),
    pairs: &[(&str, Value)],
) -> Result<Vec<Splice>, EditError> {
    let is_meant = |element: &&dyn TableLike| {
        element.get(key).and_then(Item::as_str).is_some_and(|known| known == word)
    };
    let elements: Vec<&dyn TableLike> = match table_at(layout, path)?.get(list) {
        Some(Item::Value(toml_edit::Value::Array(array))) => {
            let inline = array.iter().filter_map(toml_edit::Value::as_inline_table);
            inline.map(|element| element as &dyn TableLike).collect()
        }
        Some(Item::ArrayOfTables(array)) => {
            array.iter().map(|element| element as &dyn TableLike).collect()
        }
        _ => Vec::new(),
    };
    let element = elements.into_iter().find(is_meant);
    let missing = |what: &str| EditError::Missing { table: dotted(path, what) };
    let element = element.ok_or_else(|| missing(&format!("{list}.{word}")))?;
    let splice = |(key, value): &(&str, Value)| {
        let at = element.get(key).and_then(|item| item.as_value()?.span());
        let at = at.ok_or_else(|| missing(&format!("{list}.{word}.{key}")))?;
        Ok(Splice { at, text: value.to_string() })
    };
    pairs.iter().map(splice).collect()
}

/// Adds an element to the list of tables at `key` of the table at `path`.
pub(super) fn append_in(
    layout: &Layout<'_>,
    path: &[&str],
    key: &str,
    pairs: &[(&str, Value)],
) -> Result<Vec<Splice>, EditError> {
    let table = table_at(layout, path)?;
    let splice = match table.get(key) {
        Some(Item::Value(toml_edit::Value::Array(array))) => {
            let ends = array.iter().filter_map(toml_edit::Value::span).map(|span| span.end);
            let list = array.span().unwrap_or_default();
            let element = inline(pairs);
            match ends.max() {
                Some(at) => Splice { at: at..at, text: format!(", {element}") },
                None => Splice { at: list.start + 1..list.start + 1, text: element.to_string() },
            }
        }
        Some(Item::ArrayOfTables(_)) => below(layout, path, &list_header(path, key), pairs)?,
        Some(_) => return Err(EditError::Form { table: dotted(path, key) }),
        None if is_inline(layout, path) => {
            add_to(layout, path, table, &[(key, Value::List(vec![inline(pairs)]))])?
        }
        None => below(layout, path, &list_header(path, key), pairs)?,
    };
    Ok(vec![splice])
}

/// Adds a table at `key` of the table at `path`, right below that.
pub(super) fn table_in(
    layout: &Layout<'_>,
    path: &[&str],
    key: &str,
    pairs: &[(&str, Value)],
) -> Result<Vec<Splice>, EditError> {
    let table = table_at(layout, path)?;
    if table.contains_key(key) {
        return Err(EditError::There { table: dotted(path, key) });
    }
    if is_inline(layout, path) {
        return Ok(vec![add_to(layout, path, table, &[(key, inline(pairs))])?]);
    }
    let header = format!("[{}]", dotted(path, key));
    let section = layout.section(path).ok_or_else(|| form(path))?;
    Ok(vec![section_at(layout, section, &header, pairs)])
}

/// A section behind all that belongs to the table at `path`.
fn below(
    layout: &Layout<'_>,
    path: &[&str],
    header: &str,
    pairs: &[(&str, Value)],
) -> Result<Splice, EditError> {
    let last = layout.last_below(path).ok_or_else(|| form(path))?;
    Ok(section_at(layout, last, header, pairs))
}

fn section_at(
    layout: &Layout<'_>,
    above: &Section,
    header: &str,
    pairs: &[(&str, Value)],
) -> Splice {
    let lines = lines_of(header, pairs, above.is_aligned.unwrap_or(true));
    lines_at(layout.text, above.end, &lines)
}

/// Adds keys to a table that does not have them.
fn add_to(
    layout: &Layout<'_>,
    path: &[&str],
    table: &dyn TableLike,
    pairs: &[(&str, Value)],
) -> Result<Splice, EditError> {
    if let Some(Item::Value(value)) = layout.item(path) {
        let open = value.span().unwrap_or_default().start + 1;
        return Ok(add_inline(table, open, pairs));
    }
    let text = layout.text;
    let own = own_pairs(table);
    match (own.last(), layout.section(path)) {
        (Some(last), _) => {
            // Blanks, and the keys before a dot.
            let prefix = &text[line_start(text, last.key.start)..last.key.start];
            let lines = pair_lines(prefix, pairs, width(text, &own));
            Ok(lines_at(text, line_end(text, last.value.end), &lines))
        }
        (None, Some(section)) => {
            let at = line_end(text, section.header.end);
            Ok(lines_at(text, at, &pair_lines("", pairs, 0)))
        }
        (None, None) => Err(form(path)),
    }
}

/// Adds keys to an inline table whose opening brace ends at `open`.
fn add_inline(table: &dyn TableLike, open: usize, pairs: &[(&str, Value)]) -> Splice {
    let mut text = String::new();
    let last = table.iter().filter_map(|(_, item)| item.span()).map(|span| span.end).max();
    for (at, (key, value)) in pairs.iter().enumerate() {
        let comma = if at > 0 || last.is_some() { "," } else { "" };
        write!(text, "{comma} {} = {value}", Key(key)).expect("a String takes all text");
    }
    let at = last.unwrap_or(open);
    Splice { at: at..at, text }
}

/// How wide keys are filled up in a table with these.
fn width(text: &str, pairs: &[Pair]) -> usize {
    let mut columns = pairs.iter().map(|pair| column(text, pair));
    let first = columns.next().unwrap_or_default();
    // Behind the key stands a blank of its own.
    if columns.all(|column| column == first) { first.saturating_sub(1) } else { 0 }
}

fn table_at<'l>(layout: &'l Layout<'_>, path: &[&str]) -> Result<&'l dyn TableLike, EditError> {
    let item = layout.item(path).ok_or_else(|| EditError::Missing { table: path.join(".") })?;
    item.as_table_like().ok_or_else(|| form(path))
}

fn is_inline(layout: &Layout<'_>, path: &[&str]) -> bool {
    layout.item(path).is_some_and(Item::is_inline_table)
}

fn inline(pairs: &[(&str, Value)]) -> Value {
    Value::Table(pairs.iter().map(|(key, value)| ((*key).to_owned(), value.clone())).collect())
}

fn list_header(path: &[&str], key: &str) -> String {
    format!("[[{}]]", dotted(path, key))
}

fn dotted(path: &[&str], key: &str) -> String {
    format!("{}.{key}", path.join("."))
}

fn form(path: &[&str]) -> EditError {
    EditError::Form { table: path.join(".") }
}
