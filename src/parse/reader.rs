//! Takes keys out of a table one by one, and reports those that nobody took.

use std::cell::Cell;
use std::sync::Arc;

use toml::Spanned;
use toml::de::{DeTable, DeValue};

use super::field::Field;
use super::figure::{figure_of, measure_of};
use super::marks::Marks;
use super::sink::Sink;
use super::wanted::Wanted;
use super::{BAD_VALUE, MISSING_KEY, UNKNOWN_KEY, check_id, wrong_type};
use crate::diagnostic::{At, Diagnostic, Span, did_you_mean};
use crate::quantity::{Figure, Measure};
use crate::record::Id;

/// The most names that one table of a part or the manifest can give.
const MOST_NAMES: usize = 1_000;

/// More keys than any table has.
const MOST_KEYS: usize = 32;

/// A value of the document with its place.
pub(super) type Value<'p> = &'p Spanned<DeValue<'p>>;

/// One table while its keys are being taken.
pub(super) struct Reader<'p> {
    table: &'p DeTable<'p>,
    span: Span,
    known: Vec<&'static str>,
    marks: Marks,
    sink: &'p Sink<'p>,
    path: String,
    everything_taken: Cell<bool>,
}

impl<'p> Reader<'p> {
    /// A reader of `table`, whose header or value stands at `span`.
    pub(super) fn new(table: &'p DeTable<'p>, span: Span, sink: &'p Sink<'p>) -> Self {
        let everything_taken = Cell::new(false);
        let (known, marks) = (Vec::with_capacity(MOST_KEYS), Marks::of(table));
        Self { table, span, known, marks, sink, path: String::new(), everything_taken }
    }

    /// A reader of the table that `value` is, or a diagnostic.
    pub(super) fn of(value: Value<'p>, sink: &'p Sink<'p>) -> Option<Self> {
        match value.get_ref() {
            DeValue::Table(table) => Some(Self::new(table, span_of(value), sink)),
            other => {
                sink.push(wrong_type(span_of(value), "a table", other));
                None
            }
        }
    }

    /// Where the table stands.
    pub(super) fn span(&self) -> Span {
        self.span
    }

    /// Reports what is wrong in the table.
    pub(super) fn error(&self, diagnostic: Diagnostic) {
        self.sink.push(diagnostic);
    }

    /// The text of the file.
    pub(super) fn text(&self) -> &'p str {
        self.sink.text()
    }

    /// Whether the vocabulary is being listed: closures then see an empty table.
    fn lists(&self) -> bool {
        self.sink.lists()
    }

    fn take(&mut self, key: &'static str, what: impl FnOnce() -> String) -> Option<Value<'p>> {
        self.known.push(key);
        self.sink.list(&self.path, key, what);
        self.marks.may_have(key).then(|| self.table.get(key)).flatten()
    }

    /// The value of `key`, if it is there and right.
    pub(super) fn optional<T: Field>(&mut self, key: &'static str) -> Option<At<T>> {
        let value = self.take(key, T::what)?;
        Some(At::new(T::read(value, self.sink)?, span_of(value)))
    }

    /// The same, with a diagnostic where the key is missing.
    pub(super) fn required<T: Field>(&mut self, key: &'static str) -> Option<At<T>> {
        self.expect(key, T::what);
        self.optional(key)
    }

    /// The figure at `key`, if it is there and as `wanted`.
    pub(super) fn figure(&mut self, key: &'static str, wanted: &Wanted) -> Option<At<Figure>> {
        self.read_with(key, || wanted.what(), |value, sink| figure_of(wanted, value, sink))
    }

    /// The same, with a diagnostic where the key is missing.
    pub(super) fn required_figure(
        &mut self,
        key: &'static str,
        wanted: &Wanted,
    ) -> Option<At<Figure>> {
        self.expect(key, || wanted.what());
        self.figure(key, wanted)
    }

    /// The measure at `key`, if it is there and as `wanted`.
    pub(super) fn measure(&mut self, key: &'static str, wanted: &Wanted) -> Option<At<Measure>> {
        self.read_with(key, || wanted.what(), |value, sink| measure_of(wanted, value, sink))
    }

    /// The same, with a diagnostic where the key is missing.
    pub(super) fn required_measure(
        &mut self,
        key: &'static str,
        wanted: &Wanted,
    ) -> Option<At<Measure>> {
        self.expect(key, || wanted.what());
        self.measure(key, wanted)
    }

    /// Reports `key`, which holds `what`, where it is missing.
    pub(super) fn expect(&self, key: &str, what: impl FnOnce() -> String) {
        if !self.has(key) {
            let message = format!("`{key}` is missing");
            let hint = format!("add `{key} = …`, {}", what());
            self.error(Diagnostic::error(MISSING_KEY, self.span, message).with_hint(hint));
        }
    }

    /// The value of `key` read by `read`, for what depends on the key (its dimension).
    pub(super) fn read_with<T>(
        &mut self,
        key: &'static str,
        what: impl Fn() -> String,
        read: impl FnOnce(Value<'p>, &'p Sink<'p>) -> Option<T>,
    ) -> Option<At<T>> {
        let value = self.take(key, what)?;
        Some(At::new(read(value, self.sink)?, span_of(value)))
    }

    /// The elements of the list at `key`; a single element may stand without brackets.
    pub(super) fn list<T: Field>(&mut self, key: &'static str) -> Vec<At<T>> {
        let Some(value) = self.take(key, || format!("a list: {}", T::what())) else {
            return Vec::new();
        };
        let read =
            |element: Value<'p>| Some(At::new(T::read(element, self.sink)?, span_of(element)));
        match value.get_ref() {
            DeValue::Array(array) => array.iter().filter_map(read).collect(),
            _ => read(value).into_iter().collect(),
        }
    }

    /// The table at `key`, whose keys are names of the designer's choice.
    pub(super) fn map<T: Field>(&mut self, key: &'static str) -> Vec<(At<Id>, At<T>)> {
        self.named(key, T::what, |value, sink| Some(At::new(T::read(value, sink)?, span_of(value))))
    }

    /// The same with values read by `read`.
    pub(super) fn named<T>(
        &mut self,
        key: &'static str,
        what: impl Fn() -> String,
        read: impl FnMut(Value<'p>, &'p Sink<'p>) -> Option<T>,
    ) -> Vec<(At<Id>, T)> {
        let mut named = self.by_reference(key, what, read);
        for (name, _) in &named {
            check_id(name, self.sink);
        }
        if let Some((one_too_many, _)) = named.get(MOST_NAMES) {
            let message = format!("`{key}` holds at most {MOST_NAMES} names");
            self.error(Diagnostic::error(BAD_VALUE, one_too_many.span, message));
            named.truncate(MOST_NAMES);
        }
        named
    }

    /// The table at `key`, whose keys refer to records.
    pub(super) fn map_by_reference<T: Field>(&mut self, key: &'static str) -> Vec<(At<Id>, At<T>)> {
        self.by_reference(key, T::what, |value, sink| {
            Some(At::new(T::read(value, sink)?, span_of(value)))
        })
    }

    /// The same with values read by `read`.
    pub(super) fn by_reference<T>(
        &mut self,
        key: &'static str,
        what: impl Fn() -> String,
        mut read: impl FnMut(Value<'p>, &'p Sink<'p>) -> Option<T>,
    ) -> Vec<(At<Id>, T)> {
        let Some(value) = self.take(key, || format!("a table, by name: {}", what())) else {
            return Vec::new();
        };
        let Some(table) = Self::of(value, self.sink) else { return Vec::new() };
        // In the order of names: it means nothing in which order they are written.
        let entries = table.table.iter().filter_map(|(name, value)| {
            let span = Span::new(name.span().start, name.span().end);
            let read = read(value, self.sink);
            if read.is_none() {
                self.sink.lose(name.get_ref());
            }
            Some((At::new(Id::new(name.get_ref().as_ref()), span), read?))
        });
        let mut named: Vec<(At<Id>, T)> = entries.collect();
        named.sort_by(|(a, _), (b, _)| a.value.cmp(&b.value));
        named
    }

    /// Lists the keys of the table as which each value at `key` may be written too.
    pub(super) fn list_long_form<T>(
        &self,
        key: &str,
        read: impl FnOnce(&mut Reader<'p>) -> Option<T>,
    ) {
        if self.lists() {
            self.list_inner(key, read);
        }
    }

    /// The table at `key`, read by `read`.
    pub(super) fn table<T>(
        &mut self,
        key: &'static str,
        read: impl FnOnce(&mut Reader<'p>) -> Option<T>,
    ) -> Option<T> {
        let value = self.take(key, || "a table".to_owned());
        if self.lists() {
            return self.list_inner(key, read);
        }
        let mut inner = Self::of(value?, self.sink)?;
        let result = read(&mut inner);
        inner.finish();
        result
    }

    /// The tables of the list at `key` (`[[…]]`), each read by `read`.
    pub(super) fn tables<T>(
        &mut self,
        key: &'static str,
        mut read: impl FnMut(&mut Reader<'p>) -> Option<T>,
    ) -> Vec<T> {
        let value = self.take(key, || "a list of tables".to_owned());
        if self.lists() {
            return self.list_inner(key, read).into_iter().collect();
        }
        let mut one = |element: Value<'p>| {
            let mut inner = Self::of(element, self.sink)?;
            let result = read(&mut inner);
            inner.finish();
            result
        };
        match value.map(Spanned::get_ref) {
            Some(DeValue::Array(array)) => array.iter().filter_map(one).collect(),
            Some(_) => value.and_then(&mut one).into_iter().collect(),
            None => Vec::new(),
        }
    }

    /// The records of one kind: `[kind.ID]`, each read by `read`.
    pub(super) fn records<T>(
        &mut self,
        kind: &'static str,
        mut read: impl FnMut(At<Id>, &mut Reader<'p>) -> Option<T>,
    ) -> Vec<Arc<T>> {
        let value = self.take(kind, || "records by id".to_owned());
        if self.lists() {
            let nobody = At::new(Id::new("id"), Span::default());
            return self
                .list_inner(kind, |inner| read(nobody, inner))
                .map(Arc::new)
                .into_iter()
                .collect();
        }
        let Some(table) = value.and_then(|value| Self::of(value, self.sink)) else {
            return Vec::new();
        };
        table
            .entries()
            .into_iter()
            .filter_map(|(name, span, value)| {
                let record = Self::of(value, self.sink).and_then(|mut inner| {
                    inner.span = span;
                    let id = At::new(Id::new(name), span);
                    check_id(&id, self.sink);
                    let record = read(id, &mut inner);
                    inner.finish();
                    record
                });
                if record.is_none() {
                    self.sink.lose(name);
                }
                record.map(Arc::new)
            })
            .collect()
    }

    /// In listing mode: reads an empty table below `key` (or the table itself, whose keys are of the
    /// designer's choice), for the keys that `read` takes.
    fn list_inner<T>(
        &self,
        key: &str,
        read: impl FnOnce(&mut Reader<'p>) -> Option<T>,
    ) -> Option<T> {
        let dot = if self.path.is_empty() || key.is_empty() { "" } else { "." };
        let path = format!("{}{dot}{key}", self.path);
        let mut inner = Reader { path, ..Self::new(self.table, Span::default(), self.sink) };
        read(&mut inner)
    }

    /// Every key with its place, in the order of the file.
    pub(super) fn entries(&self) -> Vec<(&'p str, Span, Value<'p>)> {
        self.entries_where(|_| true)
    }

    /// The keys that nobody took; they are no longer reported.
    pub(super) fn rest(&mut self) -> Vec<(&'p str, Span, Value<'p>)> {
        self.everything_taken.set(true);
        self.left_over()
    }

    /// The tables at all keys that nobody took, each read by `read`, with their keys.
    pub(super) fn rest_tables<T>(
        &mut self,
        mut read: impl FnMut(&mut Reader<'p>) -> Option<T>,
    ) -> Vec<(At<&'p str>, T)> {
        if self.lists() {
            self.list_inner("", read);
            return Vec::new();
        }
        let mut one = |(key, span, value): (&'p str, Span, Value<'p>)| {
            let mut inner = Self::of(value, self.sink)?;
            let result = read(&mut inner);
            inner.finish();
            Some((At::new(key, span), result?))
        };
        self.rest().into_iter().filter_map(&mut one).collect()
    }

    /// Whether the table has `key`.
    pub(super) fn has(&self, key: &str) -> bool {
        self.table.contains_key(key)
    }

    /// Reports the keys that nobody took.
    pub(super) fn finish(self) {
        if self.everything_taken.get() {
            return;
        }
        for (key, span, _) in self.left_over() {
            let hint = did_you_mean(key, self.known.iter().copied());
            let message = format!("there is no key `{key}` here");
            self.sink.push(Diagnostic::error(UNKNOWN_KEY, span, message).with_hint_if(hint));
        }
    }

    /// The same for a whole file, whose keys are kinds of records. Where a header cannot be read
    /// (`torn`), keys seem to stand outside of any table, and that is no news.
    pub(super) fn finish_file(self, torn: bool, hint: impl Fn(&str) -> Option<String>) {
        for (key, span, value) in self.left_over() {
            let Some(table) = value.get_ref().as_table() else {
                if !torn {
                    let message = format!("the key `{key}` stands outside of any table");
                    self.error(Diagnostic::error(UNKNOWN_KEY, span, message));
                }
                continue;
            };
            let hint = hint(key).or_else(|| did_you_mean(key, self.known.iter().copied()));
            let message = format!("there is no kind of record called `{key}`");
            self.error(Diagnostic::error(UNKNOWN_KEY, span, message).with_hint_if(hint));
            table.keys().for_each(|id| self.sink.lose(id.get_ref()));
        }
    }

    fn left_over(&self) -> Vec<(&'p str, Span, Value<'p>)> {
        self.entries_where(|key| !self.known.contains(&key))
    }

    fn entries_where(&self, wanted: impl Fn(&str) -> bool) -> Vec<(&'p str, Span, Value<'p>)> {
        let entries = self.table.iter().filter(|(key, _)| wanted(key.get_ref()));
        let mut entries: Vec<_> = entries
            .map(|(key, value)| {
                (key.get_ref().as_ref(), Span::new(key.span().start, key.span().end), value)
            })
            .collect();
        entries.sort_by_key(|(_, span, _)| *span);
        entries
    }
}

/// Where `value` stands.
pub(super) fn span_of(value: Value<'_>) -> Span {
    Span::new(value.span().start, value.span().end)
}
