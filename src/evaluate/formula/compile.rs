//! From a formula of the records to its recipe: what its names mean.

use std::collections::BTreeMap;

use super::super::budget;
use super::super::known::{self, Known, coverage_factor};
use super::super::number::Number;
use super::super::trace::{Source, Traced};
use super::super::whole::{Context, Whole};
use super::super::{Budget, ByDensity, StandIns, Subject, Total};
use super::{Input, Operand, Recipe, Step, Unresolved};
use crate::design::{self, Design, PartIx};
use crate::quantity::expression::{self, Expression};
use crate::quantity::{Distribution, Figure, Toleranced};
use crate::record::{Id, RollUp, Setting};

/// The most formulas that one formula may need.
const MOST_FORMULAS: usize = 10_000;

/// The recipe of the formula `name` of `part`.
///
/// A bare name is the part's own formula, value, dimension, setting or quantity, `film-gate.mass`
/// that of another part, `given.film-pull` a constant of the manifest. Quantities of the design are
/// rolled up, without growth allowance; the temperature of a part is the one in `temperatures`,
/// where it is there.
///
/// # Errors
/// Where a name means nothing, a quantity is not known, or formulas need each other.
pub fn recipe(
    design: &Design,
    temperatures: &BTreeMap<PartIx, Traced>,
    part: PartIx,
    name: &Id,
) -> Result<Recipe, Unresolved> {
    let none = StandIns::default();
    recipe_in(&Context::of(design, &none), temperatures, part, name)
}

/// The same, of many formulas of one design; of a dimension or a setting too, by itself.
pub(in crate::evaluate) fn recipe_in(
    context: &Context<'_>,
    temperatures: &BTreeMap<PartIx, Traced>,
    part: PartIx,
    name: &Id,
) -> Result<Recipe, Unresolved> {
    let names = Names { context, temperatures };
    if let Some(Meaning::Figure(input)) = names.of_part(part, name.as_str()) {
        return Ok(Recipe::from_steps(vec![input], vec![Step::Linear(0.0, vec![(1.0, 0)])]));
    }
    let mut work = Work {
        names,
        table: Table { inputs: Vec::new(), by_source: BTreeMap::new() },
        steps: Vec::new(),
        done: BTreeMap::new(),
        rolled_up: BTreeMap::new(),
    };
    work.formulas((part, name.clone()))?;
    Ok(Recipe::from_steps(work.table.inputs, work.steps))
}

/// A formula: its part, and its name there.
type Key = (PartIx, Id);

/// What a name means.
enum Meaning {
    Formula(Key),
    Figure(Input),
    Quantity(Key),
}

struct Work<'a> {
    names: Names<'a>,
    table: Table,
    steps: Vec<Step>,
    /// Formulas that have a step; those that are waiting for others have `None`.
    done: BTreeMap<Key, Option<usize>>,
    /// Quantities that have a step.
    rolled_up: BTreeMap<Key, usize>,
}

/// The distinct inputs.
struct Table {
    inputs: Vec<Input>,
    by_source: BTreeMap<Source, usize>,
}

impl Table {
    fn index_of(&mut self, input: Input) -> usize {
        let next = self.inputs.len();
        let index = *self.by_source.entry(input.source.clone()).or_insert(next);
        if index == next {
            self.inputs.push(input);
        }
        index
    }
}

impl Work<'_> {
    /// Adds the steps of `asked` and of all formulas that it needs, those that are needed first. By
    /// an explicit stack: a chain of formulas may be longer than the program's own is deep.
    fn formulas(&mut self, asked: Key) -> Result<(), Unresolved> {
        let mut stack = vec![asked];
        while let Some(key) = stack.last().cloned() {
            if self.done.get(&key).is_some_and(Option::is_some) {
                stack.pop();
                continue;
            }
            if self.done.len() > MOST_FORMULAS {
                return Err(Unresolved::TooLarge);
            }
            let expression = self.names.expression(&key)?;
            let meanings = self.names.meanings(&key, &expression)?;
            let needed = meanings.iter().filter_map(|(_, meaning)| match meaning {
                Meaning::Formula(needed) => Some(needed.clone()),
                Meaning::Figure(_) | Meaning::Quantity(_) => None,
            });
            let is_pending = |needed: &Key| self.done.get(needed).is_none_or(Option::is_none);
            let pending: Vec<Key> = needed.filter(is_pending).collect();
            self.done.insert(key.clone(), None);
            if let Some((part, name)) = pending.iter().find(|needed| self.done.contains_key(needed))
            {
                return Err(Unresolved::Cycle(*part, name.clone()));
            }
            if pending.is_empty() {
                self.add(&key, expression, meanings)?;
                stack.pop();
            }
            stack.extend(pending);
        }
        Ok(())
    }

    /// Adds the step of a formula, all of whose formulas have theirs.
    fn add(
        &mut self,
        key: &Key,
        expression: Expression,
        meanings: Vec<(Box<str>, Meaning)>,
    ) -> Result<(), Unresolved> {
        let mut names = Vec::with_capacity(meanings.len());
        for (name, meaning) in meanings {
            names.push((name, self.operand(meaning)?));
        }
        self.done.insert(key.clone(), Some(self.steps.len()));
        self.steps.push(Step::Expression { formula: Some(key.clone()), expression, names });
        Ok(())
    }

    fn operand(&mut self, meaning: Meaning) -> Result<Operand, Unresolved> {
        match meaning {
            Meaning::Figure(input) => Ok(Operand::Input(self.table.index_of(input))),
            Meaning::Formula(key) => {
                let step = self.done.get(&key).copied().flatten();
                step.map(Operand::Step).ok_or(Unresolved::Cycle(key.0, key.1))
            }
            Meaning::Quantity(key) => {
                if let Some(step) = self.rolled_up.get(&key) {
                    return Ok(Operand::Step(*step));
                }
                let step = self.names.quantity(&key, &mut self.table)?;
                self.rolled_up.insert(key, self.steps.len());
                self.steps.push(step);
                Ok(Operand::Step(self.steps.len() - 1))
            }
        }
    }
}

struct Names<'a> {
    context: &'a Context<'a>,
    temperatures: &'a BTreeMap<PartIx, Traced>,
}

impl Names<'_> {
    fn expression(&self, (part, name): &Key) -> Result<Expression, Unresolved> {
        let formulas = &self.context.design.record(*part).formulas;
        let text = formulas.iter().find(|(known, _)| known.value == *name);
        let parsed = text.and_then(|(_, text)| expression::parse(text).ok());
        parsed.ok_or_else(|| Unresolved::NoFormula(*part, name.clone()))
    }

    /// What each distinct name of the formula means.
    fn meanings(
        &self,
        key: &Key,
        expression: &Expression,
    ) -> Result<Vec<(Box<str>, Meaning)>, Unresolved> {
        let mut names: Vec<&str> = expression.names().map(|(name, _)| name).collect();
        names.sort_unstable();
        names.dedup();
        let meaning = |name: &str| {
            let unknown = || Unresolved::UnknownName { formula: key.clone(), name: name.into() };
            Ok((name.into(), self.meaning(key.0, name).ok_or_else(unknown)?))
        };
        names.into_iter().map(meaning).collect()
    }

    fn meaning(&self, part: PartIx, name: &str) -> Option<Meaning> {
        let design = self.context.design;
        match name.split_once('.') {
            None => self.of_part(part, name),
            Some(("given", constant)) => {
                let given = &design.manifest.given;
                let (id, figure) = given.iter().find(|(id, _)| id.as_str() == constant)?;
                let source = Source::Given(id.value.clone());
                let known = known::constant(self.context.design, figure);
                Some(Meaning::Figure(self.input(source, figure, &known)))
            }
            Some((other, name)) => self.of_part(design.part(other)?, name),
        }
    }

    /// What `name` is of the part. A value that stands for a quantity of the design is rolled up like
    /// one.
    fn of_part(&self, part: PartIx, name: &str) -> Option<Meaning> {
        let design = self.context.design;
        let record = design.record(part);
        let key = (part, Id::new(name));
        if record.formulas.iter().any(|(known, _)| known.value == key.1) {
            return Some(Meaning::Formula(key));
        }
        let source = Source::Part { part, name: key.1.clone() };
        if let Some((_, size)) = record.dimensions.iter().find(|(known, _)| known.value == key.1) {
            return Some(Meaning::Figure(self.drawn(source, size)));
        }
        let setting = record.settings.iter().find(|(known, _)| known.value == key.1);
        if let Some(Setting::Measure(measure)) = setting.map(|(_, setting)| &setting.value) {
            return Some(Meaning::Figure(Input::measured(source, measure.base, 0.0, 0.0)));
        }
        if design.quantities.contains_key(name) {
            return Some(Meaning::Quantity(key));
        }
        let (_, value) = record.values.iter().find(|(known, _)| known.value == key.1)?;
        Some(Meaning::Figure(self.figure(source, &value.figure)))
    }

    /// A drawn dimension lies anywhere between its limits, unless the records say how well it is kept.
    fn drawn(&self, source: Source, size: &Toleranced) -> Input {
        let nominal = size.nominal.base;
        let limits = [nominal + size.lower, nominal + size.upper];
        let of_all = self.context.design.manifest.rule.sigmas.as_ref().map(|sigmas| sigmas.value);
        match size.sigmas.or(of_all) {
            Some(sigmas) => Input::kept(source, limits, sigmas),
            None => Input::between(source, limits),
        }
    }

    fn figure(&self, source: Source, figure: &Figure) -> Input {
        self.input(source, figure, &known::of_figure(self.context.design, figure))
    }

    fn input(&self, source: Source, figure: &Figure, known: &Known) -> Input {
        let value = known.value.to_f64();
        match &figure.spread {
            Some(spread) if spread.distribution == Distribution::Uniform => {
                Input::between(source, [value - spread.half_width, value + spread.half_width])
            }
            _ => Input::measured(source, value, known.u, coverage_factor(self.context.design)),
        }
    }

    /// The step of a quantity of the design.
    fn quantity(&self, key: &Key, table: &mut Table) -> Result<Step, Unresolved> {
        let (part, quantity) = key;
        if let ("temperature", Some(traced)) = (quantity.as_str(), self.temperatures.get(part)) {
            return Ok(self.straight(traced, table));
        }
        let design = self.context.design;
        let subject = Subject { part: *part, quantity: quantity.clone(), builds: 1 };
        let budget = budget::of(self.context, &Whole::of(design, *part), &subject);
        let budget = budget.unwrap_or(Budget { empty: true, ..Budget::default() });
        if budget.empty || !budget.missing.is_empty() {
            let (part, quantity) = key.clone();
            return Err(Unresolved::Missing { part, quantity, parts: budget.missing });
        }
        Ok(gathered(design, quantity, &budget, |total| total.basic, table))
    }

    /// A value that was computed elsewhere, in a straight line around it.
    fn straight(&self, traced: &Traced, table: &mut Table) -> Step {
        let design = self.context.design;
        let terms = traced.slopes.iter().map(|(source, slope)| {
            let input = Input::of(design, source.clone(), slope.figure, slope.u);
            (slope.by, table.index_of(input))
        });
        let terms: Vec<(f64, usize)> = terms.collect();
        let moved: f64 = traced.slopes.values().map(|slope| slope.by * slope.figure).sum();
        Step::Linear(traced.value - moved, terms)
    }
}

/// The recipe of a budget's predicted value: its figures, and how they come together.
pub(in crate::evaluate) fn recipe_of_budget(
    design: &Design,
    quantity: &Id,
    budget: &Budget,
) -> Recipe {
    let mut table = Table { inputs: Vec::new(), by_source: BTreeMap::new() };
    let step = gathered(design, quantity, budget, |total| total.predicted, &mut table);
    Recipe::from_steps(table.inputs, vec![step])
}

/// How the contributions of a budget come together, with the value of each that `value` takes.
fn gathered(
    design: &Design,
    quantity: &Id,
    budget: &Budget,
    value: impl Fn(&Total) -> f64,
    table: &mut Table,
) -> Step {
    let known = design.quantities.get(quantity);
    let how = known.filter(|known| known.source == design::Source::Figures);
    let how = how.map(|known| known.roll_up);
    let adds_up = matches!(how, Some(RollUp::None | RollUp::Sum) | None);
    let (mut of_densities, mut moved) = (Vec::new(), 0.0);
    let terms = budget.contributions().map(|term| {
        let count = Number::Exact(term.multiplicity).to_f64();
        // Of costs and counts, what all pieces of a part add is one input.
        let figures = how.map_or(1.0, |how| figures_in(how, count));
        let each = |all: f64| if figures == 0.0 { 0.0 } else { all / figures };
        let source = Source::Part { part: term.part, name: quantity.clone() };
        let density = term.density.filter(|_| adds_up);
        if let Some(density) = density {
            let (slope, input) = of_density(design, &density);
            moved += slope * input.value;
            of_densities.push((slope, table.index_of(input)));
        }
        let u = density.map_or(term.total.u, |density| density.rest);
        let input = Input::of(design, source, each(value(&term.total)), each(u));
        (if how.is_some() { count } else { 1.0 }, table.index_of(input))
    });
    let terms: Vec<(f64, usize)> = terms.collect();
    let alone = |terms: Vec<(f64, usize)>| terms.into_iter().map(|(_, input)| input).collect();
    match how {
        Some(RollUp::Max) => Step::Largest(alone(terms)),
        Some(RollUp::Min) => Step::Smallest(alone(terms)),
        Some(RollUp::RootSumSquare) => Step::RootSumSquare(terms),
        Some(RollUp::None | RollUp::Sum) | None => {
            Step::Linear(-moved, [terms, of_densities].concat())
        }
    }
}

/// How what is made of a material follows its density, and that as an input.
fn of_density(design: &Design, by: &ByDensity) -> (f64, Input) {
    let (value, u) = known::density_of(design, by.material).unwrap_or_default();
    let source = Source::Density(design.materials[by.material].id.value.clone());
    (if u > 0.0 { by.u / u } else { 0.0 }, Input::of(design, source, value, u))
}

/// How often the uncertainty of one figure is in that of all its pieces, as budgets have it.
fn figures_in(how: RollUp, count: f64) -> f64 {
    match how {
        RollUp::Sum => count,
        RollUp::RootSumSquare => count.sqrt(),
        RollUp::Max | RollUp::Min | RollUp::None => 1.0,
    }
}
