//! A file's bytes → its records and what is wrong with them. Path-free: the same bytes give the
//! same result wherever they lie, so that a result can be kept by content.
//!
//! Every key is taken by a [`reader::Reader`], which knows afterwards which keys were left over,
//! and which in listing mode tells the vocabulary that the reference is tested against.

mod evidence;
mod field;
mod figure;
pub mod kept;
mod literal;
mod manifest;
mod marks;
mod part;
mod place;
mod plan;
mod power;
mod reader;
mod requirement;
mod sink;
mod supply;
mod syntax;
mod text;
mod variant;
mod vocabulary;
mod wanted;

#[cfg(test)]
mod tests;

use std::collections::BTreeSet;
use std::sync::Arc;

use toml::Spanned;
use toml::de::{DeTable, DeValue};

use crate::diagnostic::{At, Code, Diagnostic, Span, did_you_mean};
use crate::record::{Id, Manifest, Records};
use reader::Reader;
use sink::Sink;
use syntax::Complaints;

pub use vocabulary::{Key, vocabulary};

/// The largest record file that is read, in bytes.
pub const MOST_BYTES: usize = 4 << 20;

/// The largest file that is read on behind what is no TOML in it.
const MOST_RECOVERED_BYTES: usize = 1 << 18;

/// The file is no TOML.
pub const NOT_TOML: Code = Code("not-toml");
/// The file is not UTF-8.
pub const NOT_UTF8: Code = Code("not-utf-8");
/// The file is larger than a record file can be.
pub const TOO_LARGE: Code = Code("too-large");
/// A key or a table that stands twice in one file.
pub const DUPLICATE: Code = Code("duplicate-key");
/// A key that this table does not have.
pub const UNKNOWN_KEY: Code = Code("unknown-key");
/// A key that this table must have.
pub const MISSING_KEY: Code = Code("missing-key");
/// A value of another type.
pub const WRONG_TYPE: Code = Code("wrong-type");
/// A text that cannot be read as what the key holds.
pub const BAD_VALUE: Code = Code("bad-value");
/// A word that is not among those that the key knows.
pub const UNKNOWN_WORD: Code = Code("unknown-word");
/// A quantity of another dimension.
pub const WRONG_DIMENSION: Code = Code("wrong-dimension");
/// A word that cannot be an id.
pub const BAD_ID: Code = Code("bad-id");
/// A formula that cannot be read.
pub const BAD_FORMULA: Code = Code("bad-formula");
/// Keys that do not go together.
pub const CONTRADICTION: Code = Code("contradiction");

/// What a file is read as.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Role {
    /// `tagworthy.toml`: the rules of the design, and records where a design is small.
    Manifest,
    /// A record file.
    Records,
}

/// What stands in one file.
#[derive(Clone, Debug, Default)]
pub struct Parsed {
    /// The design's rules, where the file is a manifest.
    pub manifest: Option<Arc<Manifest>>,
    /// Its records.
    pub records: Records,
    /// Ids of records that are there and cannot be read: references to them are no error.
    pub lost: BTreeSet<Id>,
    /// Whether any further record may be missing, because the file could not be read throughout.
    pub incomplete: bool,
    /// What is wrong with it, in the order of the file.
    pub diagnostics: Vec<Diagnostic>,
}

impl Parsed {
    /// The design's rules; those of an empty manifest where there is none.
    #[must_use]
    pub fn rules(&self) -> Arc<Manifest> {
        self.manifest.clone().unwrap_or_default()
    }
}

/// Reads one file. Never fails: what cannot be read is a diagnostic, and the rest is still read.
#[must_use]
pub fn file(bytes: &[u8], role: Role) -> Parsed {
    if bytes.len() > MOST_BYTES {
        return too_large(bytes.len() as u64);
    }
    match std::str::from_utf8(bytes) {
        Ok(text) => read_text(text, role),
        Err(error) => {
            let readable = read_text(&with_marks(bytes), role);
            Parsed { diagnostics: vec![not_utf8(&error)], incomplete: true, ..readable }
        }
    }
}

/// The file with `?` for each byte that is no text, so that its records are known to exist.
fn with_marks(bytes: &[u8]) -> String {
    let mut text = String::with_capacity(bytes.len());
    for chunk in bytes.utf8_chunks() {
        text.push_str(chunk.valid());
        text.extend(chunk.invalid().iter().map(|_| '?'));
    }
    text
}

/// What comes of a file of `bytes` bytes, more than [`MOST_BYTES`].
#[must_use]
pub fn too_large(bytes: u64) -> Parsed {
    let message = format!("a record file holds at most 4 MiB, this one {bytes} bytes");
    let diagnostic = Diagnostic::error(TOO_LARGE, Span::default(), message)
        .with_hint("split it, or keep data that is no record outside the record globs");
    Parsed { diagnostics: vec![diagnostic], incomplete: true, ..Parsed::default() }
}

fn not_utf8(error: &std::str::Utf8Error) -> Diagnostic {
    let at = error.valid_up_to();
    Diagnostic::error(NOT_UTF8, Span::new(at, at + 1), "the file is not UTF-8 from here on")
        .with_hint("save it in the encoding UTF-8")
}

fn read_text(text: &str, role: Role) -> Parsed {
    let (document, complaints) = document(text);
    let sink = Sink::new(text);
    let mut reader = Reader::new(document.get_ref(), Span::default(), &sink);
    let manifest = match role {
        Role::Manifest => Some(Arc::new(manifest::read(&mut reader))),
        Role::Records => None,
    };
    let records = records(&mut reader);
    reader.finish_file(complaints.is_incomplete(), |key| foreign_table(key, role));
    let (found, lost) = sink.into_parts();
    let diagnostics = complaints.with(found);
    Parsed { manifest, records, lost, incomplete: complaints.is_incomplete(), diagnostics }
}

/// The tables of the text, and what is wrong with it as TOML. The reader goes on behind each slip, which
/// takes its time where every line is one: in a large file it stops at the first.
fn document(text: &str) -> (Spanned<DeTable<'_>>, Complaints<'_>) {
    if text.len() <= MOST_RECOVERED_BYTES {
        let (document, errors) = DeTable::parse_recoverable(text);
        return (document, Complaints::of(text, errors));
    }
    match DeTable::parse(text) {
        Ok(document) => (document, Complaints::of(text, Vec::new())),
        Err(error) => {
            let nothing = Spanned::new(0..0, DeTable::default());
            (nothing, Complaints::of(text, vec![error]).of_unread_file())
        }
    }
}

/// A hint for a table that belongs in a file of the other role.
fn foreign_table(key: &str, role: Role) -> Option<String> {
    (role == Role::Records && manifest::TABLES.contains(&key))
        .then(|| format!("`[{key}]` belongs in tagworthy.toml"))
}

fn records(reader: &mut Reader<'_>) -> Records {
    Records {
        parts: reader.records("part", part::read),
        nodes: reader.records("node", power::read_node),
        rails: reader.records("rail", power::read_rail),
        materials: reader.records("material", supply::read_material),
        suppliers: reader.records("supplier", supply::read_supplier),
        variants: reader.records("variant", variant::read),
        requirements: reader.records("requirement", requirement::read),
        evidence: reader.records("evidence", evidence::read),
        items: reader.records("item", plan::read_item),
        decisions: reader.records("decision", plan::read_decision),
        waivers: reader.records("waiver", plan::read_waiver),
        steps: reader.records("step", plan::read_step),
    }
}

/// A diagnostic where `id` cannot be one.
fn check_id(id: &At<Id>, sink: &Sink<'_>) {
    if let Some(why) = Id::check(id.as_str()) {
        let message = format!("the id `{}` {why}", id.as_str());
        let near = Id::near(id.as_str()).map(|near| format!("such as `{near}`"));
        sink.push(Diagnostic::error(BAD_ID, id.span, message).with_hint_if(near));
    }
}

/// A diagnostic for `word`, which is none of `words`.
fn unknown_word<'a>(
    word: &str,
    span: Span,
    words: impl IntoIterator<Item = &'a str> + Clone,
) -> Diagnostic {
    let hint = did_you_mean(word, words);
    Diagnostic::error(UNKNOWN_WORD, span, format!("`{word}` is not known here")).with_hint_if(hint)
}

/// A diagnostic for a value of another type than the one `wanted`.
fn wrong_type(span: Span, wanted: &str, found: &DeValue<'_>) -> Diagnostic {
    let found = match found {
        DeValue::String(_) => "a string",
        DeValue::Integer(_) => "a whole number",
        DeValue::Float(_) => "a bare number",
        DeValue::Boolean(_) => "true or false",
        DeValue::Datetime(_) => "a date",
        DeValue::Array(_) => "a list",
        DeValue::Table(_) => "a table",
    };
    Diagnostic::error(WRONG_TYPE, span, format!("{found} stands where {wanted} is wanted"))
}
