//! How a file is laid out: where its sections end, and what manner its keys are written in.

use std::ops::Range;

use toml_edit::{Document, Item, Table, TableLike};

use super::EditError;

/// A file taken apart.
pub(super) struct Layout<'t> {
    pub(super) text: &'t str,
    document: Document<&'t str>,
    /// In the order of the file.
    sections: Vec<Section>,
}

/// A header with the lines below it that are its own.
#[derive(Clone, Debug)]
pub(super) struct Section {
    /// The keys in the header.
    pub(super) path: Vec<String>,
    /// The header.
    pub(super) header: Range<usize>,
    /// Behind its last line, remarks that go with it included.
    pub(super) end: usize,
    /// Whether its equals signs stand in one column; `None` where one cannot tell.
    pub(super) is_aligned: Option<bool>,
}

impl<'t> Layout<'t> {
    pub(super) fn of(text: &'t str) -> Result<Self, EditError> {
        let document = Document::parse(text).map_err(|error| {
            let start = error.span().map_or(0, |span| span.start);
            let before = text.as_bytes().iter().take(start);
            let line = before.filter(|byte| **byte == b'\n').count() + 1;
            EditError::NotToml { message: error.message().to_owned(), line }
        })?;
        let mut sections = Vec::new();
        collect(text, document.as_table(), &mut Vec::new(), &mut sections);
        sections.sort_by_key(|section| section.header.start);
        Ok(Self { text, document, sections })
    }

    /// What stands at `path`.
    pub(super) fn item(&self, path: &[&str]) -> Option<&Item> {
        path.iter().try_fold(self.document.as_item(), |item, key| item.get(key))
    }

    /// The last section whose header begins with `path`.
    pub(super) fn last_below(&self, path: &[&str]) -> Option<&Section> {
        let is_below = |section: &&Section| {
            let mut keys = section.path.iter();
            path.iter().all(|key| keys.next().is_some_and(|known| known == key))
        };
        self.sections.iter().rfind(is_below)
    }

    /// The section of the table at `path`.
    pub(super) fn section(&self, path: &[&str]) -> Option<&Section> {
        self.sections.iter().find(|section| section.path == path)
    }

    /// The last section of the file.
    pub(super) fn last(&self) -> Option<&Section> {
        self.sections.last()
    }
}

/// The place of one `key = value`.
#[derive(Clone, Debug)]
pub(super) struct Pair {
    pub(super) key: Range<usize>,
    pub(super) value: Range<usize>,
}

/// The keys that stand in a table itself, in the order of the file.
pub(super) fn own_pairs(table: &dyn TableLike) -> Vec<Pair> {
    let pair = |(key, _): (&str, &Item)| {
        let (key, item) = table.get_key_value(key)?;
        Some(Pair { key: key.span()?, value: item.as_value()?.span()? })
    };
    let mut pairs: Vec<Pair> = table.iter().filter_map(pair).collect();
    pairs.sort_by_key(|pair| pair.key.start);
    pairs
}

/// Where the line at `offset` begins.
pub(super) fn line_start(text: &str, offset: usize) -> usize {
    text[..offset].rfind('\n').map_or(0, |newline| newline + 1)
}

/// Behind the end of the line at `offset`.
pub(super) fn line_end(text: &str, offset: usize) -> usize {
    text[offset..].find('\n').map_or(text.len(), |newline| offset + newline + 1)
}

/// The letters from the beginning of a key to its equals sign.
pub(super) fn column(text: &str, pair: &Pair) -> usize {
    let before = text[pair.key.start..pair.value.start].rfind('=').unwrap_or_default();
    text[pair.key.start..pair.key.start + before].chars().count()
}

/// Adds the sections at and below `table`, which is at `path`.
fn collect(text: &str, table: &Table, path: &mut Vec<String>, sections: &mut Vec<Section>) {
    // Tables without a header have a span too: that of the key that made them.
    let has_header = !table.is_implicit() && !table.is_dotted();
    let header = table.span().filter(|span| has_header && !span.is_empty());
    if let Some(header) = header {
        let pairs = own_pairs(table);
        let last = last_value_end(table).unwrap_or(header.end);
        let end = behind_remarks(text, line_end(text, last));
        sections.push(Section {
            path: path.clone(),
            header,
            end,
            is_aligned: is_aligned(text, &pairs),
        });
    }
    for (key, item) in table {
        path.push(key.to_owned());
        match item {
            Item::Table(inner) => collect(text, inner, path, sections),
            Item::ArrayOfTables(array) => {
                array.iter().for_each(|inner| collect(text, inner, path, sections));
            }
            Item::Value(_) | Item::None => {}
        }
        path.pop();
    }
}

/// Where the last value ends that stands below the table's own header.
fn last_value_end(table: &Table) -> Option<usize> {
    let end = |(_, item): (&str, &Item)| match item {
        Item::Value(value) => Some(value.span()?.end),
        Item::Table(inner) if inner.is_dotted() => last_value_end(inner),
        _ => None,
    };
    table.iter().filter_map(end).max()
}

/// Remarks right below a section are its own, unless they lead over to the next header.
fn behind_remarks(text: &str, end: usize) -> usize {
    let mut at = end;
    while text[at..].trim_start_matches([' ', '\t']).starts_with('#') {
        at = line_end(text, at);
    }
    let next = &text[at..line_end(text, at)];
    if next.trim().is_empty() { at } else { end }
}

fn is_aligned(text: &str, pairs: &[Pair]) -> Option<bool> {
    let columns: Vec<usize> = pairs.iter().map(|pair| column(text, pair)).collect();
    let lengths: Vec<usize> = pairs.iter().map(|pair| pair.key.len()).collect();
    let one = |values: &[usize]| values.windows(2).all(|pair| pair[0] == pair[1]);
    (!one(&lengths)).then(|| one(&columns))
}
