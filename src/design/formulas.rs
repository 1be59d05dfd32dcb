//! Formulas: their names, and the dimensions that follow from them. Values come with `evaluate`.

use std::collections::BTreeMap;

use super::findings::Findings;
use super::link::WRONG_KIND;
use super::parts::one_unit_of;
use super::references::{DANGLING, Table};
use super::{Held, PartIx, Pieces, Quantity};
use crate::diagnostic::{At, Code, Diagnostic, Span};
use crate::quantity::expression::{self, Expression};
use crate::quantity::{Dimension, Kind};
use crate::record::{Id, Manifest, Part, Setting};

/// Formulas that need each other.
pub const FORMULA_CYCLE: Code = Code("formula-cycle");
/// More formulas that build on one another than are followed.
pub const FORMULA_TOO_DEEP: Code = Code("formula-too-deep");

/// What is known while the kinds of formulas are worked out.
pub(super) struct Scope<'a> {
    pub(super) parts: &'a Pieces<Held<Part>>,
    pub(super) table: &'a Table<'a>,
    pub(super) amounts: &'a [Dimension],
    pub(super) quantities: &'a BTreeMap<Id, Quantity>,
    pub(super) manifest: &'a Manifest,
}

/// The kind of every formula, by part and name; a formula that is in error is missing.
pub(super) type Kinds = BTreeMap<(PartIx, Id), Kind>;

/// Works out the kind of every formula of the design, and reports what is wrong with them.
pub(super) fn kinds(scope: &Scope<'_>, findings: &mut Findings) -> Kinds {
    let mut work = Work { scope, findings, known: BTreeMap::new(), open: Vec::new() };
    for (index, part) in scope.parts.iter().enumerate() {
        for (name, _) in &part.formulas {
            work.formula(PartIx::new(index), name.as_str());
        }
    }
    work.known.into_iter().filter_map(|(key, kind)| Some((key, kind?))).collect()
}

/// The deepest chain of formulas that is followed.
const DEEPEST: usize = 200;

/// The most hyphens of a name that are tried as a minus.
const MOST_MINUSES: usize = 6;

struct Work<'a, 'f> {
    scope: &'a Scope<'a>,
    findings: &'f mut Findings,
    known: BTreeMap<(PartIx, Id), Option<Kind>>,
    open: Vec<(PartIx, Id)>,
}

/// A name that is not there, or one whose own error is reported where it stands.
enum Unresolved {
    Unknown(Vec<String>),
    Reported,
}

impl Work<'_, '_> {
    fn formula(&mut self, part: PartIx, name: &str) -> Option<Kind> {
        let key = (part, Id::new(name));
        if let Some(known) = self.known.get(&key) {
            return *known;
        }
        let held = &self.scope.parts[part.index()];
        let (_, text) = held.formulas.iter().find(|(known, _)| known.as_str() == name)?;
        if let Some(from) = self.open.iter().position(|open| *open == key) {
            self.report_cycle(from, &key, text.span);
            return None;
        }
        if self.open.len() >= DEEPEST {
            let message = format!("more than {DEEPEST} formulas build on one another");
            let diagnostic = Diagnostic::error(FORMULA_TOO_DEEP, text.span, message);
            self.findings.push(&held.path, diagnostic);
            return None;
        }
        self.open.push(key.clone());
        let kind =
            self.kind_of(part, text).filter(|kind| self.is_expected(part, name, text, *kind));
        self.open.pop();
        self.known.insert(key, kind);
        kind
    }

    /// Whether a formula with the name of a quantity is of its kind; a diagnostic where it is not.
    fn is_expected(&mut self, part: PartIx, name: &str, text: &At<String>, found: Kind) -> bool {
        let Some(quantity) = self.scope.quantities.get(name) else { return true };
        let wanted = one_unit_of(quantity, self.scope.amounts[part.index()]);
        if found != wanted {
            let message = format!("`{name}` is {wanted}, and this formula is {found}");
            let path = &self.scope.parts[part.index()].path;
            self.findings.push(path, Diagnostic::error(WRONG_KIND, text.span, message));
        }
        found == wanted
    }

    fn report_cycle(&mut self, from: usize, key: &(PartIx, Id), span: Span) {
        let step = |(part, name): &(PartIx, Id)| {
            format!("{}.{name}", self.scope.parts[part.index()].id.as_str())
        };
        let path: Vec<_> = self.open[from..].iter().chain([key]).map(step).collect();
        let message = format!("formulas need each other: {}", path.join(" → "));
        let by = &self.scope.parts[key.0.index()].path;
        self.findings.push(by, Diagnostic::error(FORMULA_CYCLE, span, message));
    }

    fn kind_of(&mut self, part: PartIx, text: &At<String>) -> Option<Kind> {
        let path = &self.scope.parts[part.index()].path;
        // What is wrong in the text itself was reported when the file was read.
        let formula = expression::parse(text).ok()?;
        let names = self.names(part, text, &formula)?;
        let kind = formula.kind(&mut |name| names.get(name).copied());
        kind.map_err(|error| {
            let diagnostic =
                Diagnostic::error(WRONG_KIND, within(text, &error.span), error.message);
            self.findings.push(path, diagnostic.with_hint_if(error.hint));
        })
        .ok()
    }

    /// The kinds of all names of a formula, if every one is known.
    fn names(
        &mut self,
        part: PartIx,
        text: &At<String>,
        formula: &Expression,
    ) -> Option<BTreeMap<String, Kind>> {
        let mut kinds = BTreeMap::new();
        let mut complete = true;
        for (name, range) in formula.names() {
            match self.name(part, name) {
                Ok(kind) => {
                    kinds.insert(name.to_owned(), kind);
                }
                Err(unresolved) => {
                    complete = false;
                    let own = name.rsplit('.').next().unwrap_or(name);
                    if self.findings.may_be_lost(&Id::new(own)) {
                        continue;
                    }
                    if let Unresolved::Unknown(known) = unresolved {
                        let message = format!("nothing here is called `{name}`");
                        let parted = self.with_blanks(part, name);
                        let known = known.iter().map(String::as_str);
                        let hint = parted.or_else(|| self.findings.did_you_mean(name, known));
                        let diagnostic = Diagnostic::error(DANGLING, within(text, &range), message);
                        let path = &self.scope.parts[part.index()].path;
                        self.findings.push(path, diagnostic.with_hint_if(hint));
                    }
                }
            }
        }
        complete.then_some(kinds)
    }

    /// The remedy for a minus that was read as part of a name, where names stand on both sides of it.
    fn with_blanks(&mut self, part: PartIx, name: &str) -> Option<String> {
        let parted = self.differences(part, name)?;
        Some(format!("a minus between names has blanks around it: `{parted}`"))
    }

    /// `bore - spigot` for `bore-spigot`, where that makes known names.
    fn differences(&mut self, part: PartIx, name: &str) -> Option<String> {
        if name.matches('-').count() > MOST_MINUSES {
            return None;
        }
        name.match_indices('-').find_map(|(at, _)| {
            let (left, right) = (&name[..at], &name[at + 1..]);
            let rest = match self.is_known(part, left) {
                true if self.is_known(part, right) => right.to_owned(),
                true => self.differences(part, right)?,
                false => return None,
            };
            Some(format!("{left} - {rest}"))
        })
    }

    fn is_known(&mut self, part: PartIx, name: &str) -> bool {
        let own = name.rsplit('.').next().unwrap_or(name);
        self.findings.may_be_lost(&Id::new(own))
            || !matches!(self.name(part, name), Err(Unresolved::Unknown(_)))
    }

    /// `name`, `given.name` or `part.name`, as the part sees it.
    fn name(&mut self, part: PartIx, name: &str) -> Result<Kind, Unresolved> {
        match name.split_once('.') {
            None => self.quantity_of(part, name),
            Some(("given", constant)) => {
                let given = &self.scope.manifest.given;
                let found = given.iter().find(|(id, _)| id.as_str() == constant);
                found.map(|(_, figure)| figure.measure.kind).ok_or_else(|| {
                    Unresolved::Unknown(
                        given
                            .iter()
                            .map(|(id, _)| format!("given.{id}", id = id.as_str()))
                            .collect(),
                    )
                })
            }
            Some((other, quantity)) => match self.scope.table.get(other) {
                Some(index) => {
                    self.quantity_of(PartIx::new(index), quantity).map_err(|error| match error {
                        Unresolved::Unknown(known) => Unresolved::Unknown(
                            known.into_iter().map(|name| format!("{other}.{name}")).collect(),
                        ),
                        reported => reported,
                    })
                }
                None if self.findings.may_be_lost(&Id::new(other)) => Err(Unresolved::Reported),
                None => Err(Unresolved::Unknown(
                    self.scope
                        .parts
                        .iter()
                        .map(|part| format!("{}.{quantity}", part.id.as_str()))
                        .collect(),
                )),
            },
        }
    }

    fn quantity_of(&mut self, part: PartIx, name: &str) -> Result<Kind, Unresolved> {
        let held = &self.scope.parts[part.index()];
        if held.formulas.iter().any(|(known, _)| known.as_str() == name) {
            return self.formula(part, name).ok_or(Unresolved::Reported);
        }
        let amounts = self.scope.amounts[part.index()];
        let quantity = self.scope.quantities.get(name);
        stated(held, name)
            .or_else(|| quantity.map(|quantity| one_unit_of(quantity, amounts)))
            .ok_or_else(|| Unresolved::Unknown(names_of(held, self.scope.quantities)))
    }
}

/// The kind of a value, dimension or setting of the part.
pub(super) fn stated(part: &Part, name: &str) -> Option<Kind> {
    let value = part.values.iter().find(|(known, _)| known.as_str() == name);
    let drawn = || part.dimensions.iter().find(|(known, _)| known.as_str() == name);
    let set = || part.settings.iter().find(|(known, _)| known.as_str() == name);
    value
        .map(|(_, sourced)| sourced.figure.measure.kind)
        .or_else(|| drawn().map(|(_, size)| size.nominal.kind))
        .or_else(|| match &set()?.1.value {
            Setting::Measure(measure) => Some(measure.kind),
            Setting::Text(_) => None,
        })
}

/// Everything that a formula or a requirement can name of the part.
pub(super) fn names_of(part: &Part, quantities: &BTreeMap<Id, Quantity>) -> Vec<String> {
    let own = part.values.iter().map(|(name, _)| name);
    let drawn = part.dimensions.iter().map(|(name, _)| name);
    let set = part.settings.iter().map(|(name, _)| name);
    let derived = part.formulas.iter().map(|(name, _)| name);
    let names = own.chain(drawn).chain(set).chain(derived).map(|name| name.as_str().to_owned());
    names.chain(quantities.keys().map(ToString::to_string)).collect()
}

/// A range of the text as a span of the file: the text stands there in quotes, unescaped.
fn within(text: &At<String>, range: &std::ops::Range<usize>) -> Span {
    let quotes = text.span.range().len().saturating_sub(text.value.len());
    if quotes != 2 || range.is_empty() {
        return text.span;
    }
    let start = text.span.range().start + 1;
    Span::new(start + range.start, start + range.end)
}

#[cfg(test)]
mod tests {
    use std::fmt::Write;

    use crate::fixture::wrong;

    /// Formulas of which each needs the next one, `count` of them, the last one a plain length.
    fn chain(count: usize) -> String {
        let mut text =
            String::from("[part.scanner]\norigin = \"bought\"\n[part.scanner.formula]\n");
        for index in 1..count {
            let _ = writeln!(text, "f{:03} = \"f{index:03} + 0 mm\"", index - 1);
        }
        let _ = writeln!(text, "f{:03} = \"1 mm\"", count - 1);
        text
    }

    #[test]
    fn a_chain_that_is_too_deep_is_told() {
        assert_eq!(wrong(&chain(super::DEEPEST)), "");
        let found = wrong(&chain(super::DEEPEST + 1));
        let expected = "formula-too-deep: more than 200 formulas build on one another";
        assert!(found.ends_with(expected) && !found.contains('\n'), "{found}");
    }
}
