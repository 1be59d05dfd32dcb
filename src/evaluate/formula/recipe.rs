//! From distinct figures to a value, step by step.

use super::dual::Dual;
use super::scalar::Scalar;
use super::walk::value_of;
use super::{Input, Undefined, Why};
use crate::design::PartIx;
use crate::quantity::expression::Expression;
use crate::record::Id;

/// The steps from figures to the value of a formula.
#[derive(Clone, Debug, PartialEq)]
pub struct Recipe {
    inputs: Vec<Input>,
    /// Each needs only inputs and steps before it; the last one is the value.
    steps: Vec<Step>,
}

/// What a step needs: its place among the inputs or the steps of a recipe.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Operand {
    /// A figure.
    Input(usize),
    /// The value of a step before.
    Step(usize),
}

/// One step of a recipe.
#[derive(Clone, Debug, PartialEq)]
pub enum Step {
    /// A formula.
    Expression {
        /// Where it stands, if in a record.
        formula: Option<(PartIx, Id)>,
        /// The formula.
        expression: Expression,
        /// What its names mean.
        names: Vec<(Box<str>, Operand)>,
    },
    /// A constant and inputs, each with how often it counts: a sum, or a value from another
    /// computation that is followed in a straight line.
    Linear(f64, Vec<(f64, usize)>),
    /// The largest of some inputs.
    Largest(Vec<usize>),
    /// The smallest of some inputs.
    Smallest(Vec<usize>),
    /// The root of the sum of the squares of inputs, each with how often it counts.
    RootSumSquare(Vec<(f64, usize)>),
}

/// The value of a step, with its slope to each of its operands.
struct Differentiated<S> {
    value: S,
    slopes: Vec<(Operand, S)>,
}

impl Recipe {
    /// The recipe of one formula whose names are figures.
    #[must_use]
    pub fn of(expression: Expression, figures: Vec<(Box<str>, Input)>) -> Self {
        let mut inputs: Vec<Input> = Vec::new();
        let names = figures.into_iter().map(|(name, input)| {
            let known = inputs.iter().position(|known| known.source == input.source);
            let index = known.unwrap_or_else(|| {
                inputs.push(input);
                inputs.len() - 1
            });
            (name, Operand::Input(index))
        });
        let names = names.collect();
        Self { steps: vec![Step::Expression { formula: None, expression, names }], inputs }
    }

    /// The recipe of `steps`, each of which needs only inputs and steps before it, and whose last
    /// one is the value.
    pub(super) fn from_steps(inputs: Vec<Input>, steps: Vec<Step>) -> Self {
        Self { inputs, steps }
    }

    /// The figures, each once.
    #[must_use]
    pub fn inputs(&self) -> &[Input] {
        &self.inputs
    }

    /// The value at the values that `at` says of the inputs.
    pub(in crate::evaluate) fn value<S: Scalar>(
        &self,
        at: impl Fn(usize) -> S,
    ) -> Result<S, Undefined> {
        let mut values: Vec<S> = Vec::with_capacity(self.steps.len());
        for step in &self.steps {
            let known = |operand| match operand {
                Operand::Input(index) => at(index),
                Operand::Step(index) => values[index],
            };
            let value = step.value(&known)?;
            values.push(value);
        }
        Ok(values.last().copied().unwrap_or(S::exact(0.0)))
    }

    /// The value at the values that `at` says of the inputs, with its slope to each of them.
    pub(in crate::evaluate) fn differentiated<S: Scalar>(
        &self,
        at: impl Fn(&Input) -> S,
    ) -> Result<(S, Vec<S>), Undefined> {
        let inputs: Vec<S> = self.inputs.iter().map(at).collect();
        let mut steps: Vec<Differentiated<S>> = Vec::with_capacity(self.steps.len());
        for step in &self.steps {
            let known = |operand| match operand {
                Operand::Input(index) => inputs[index],
                Operand::Step(index) => steps[index].value,
            };
            let next = step.differentiated(&known)?;
            steps.push(next);
        }
        let value = steps.last().map_or(S::exact(0.0), |last| last.value);
        let slopes = chained(&steps, inputs.len());
        if slopes.iter().all(|slope| slope.is_finite()) {
            Ok((value, slopes))
        } else {
            Err(self.undefined(Why::TooLarge))
        }
    }

    /// The reason, said of the whole.
    pub(super) fn undefined(&self, why: Why) -> Undefined {
        match self.steps.last() {
            Some(Step::Expression { formula, expression, .. }) => {
                Undefined { formula: formula.clone(), why, span: expression.root().span.clone() }
            }
            _ => Undefined { formula: None, why, span: 0..0 },
        }
    }
}

/// The slopes of the last step to the inputs, by the chain rule from the last step to the first.
fn chained<S: Scalar>(steps: &[Differentiated<S>], inputs: usize) -> Vec<S> {
    let mut by_input = vec![S::exact(0.0); inputs];
    let mut by_step = vec![S::exact(0.0); steps.len()];
    if let Some(last) = by_step.last_mut() {
        *last = S::exact(1.0);
    }
    for (index, step) in steps.iter().enumerate().rev() {
        let outer = by_step[index];
        for (operand, inner) in &step.slopes {
            let slope = match operand {
                Operand::Input(index) => &mut by_input[*index],
                Operand::Step(index) => &mut by_step[*index],
            };
            *slope = slope.plus(outer.times(*inner));
        }
    }
    by_input
}

impl Step {
    fn value<S: Scalar>(&self, known: &dyn Fn(Operand) -> S) -> Result<S, Undefined> {
        let Self::Expression { formula, expression, names } = self else {
            return Ok(self.gathered(known).value);
        };
        let resolve = |name: &str| {
            let (_, operand) = names.iter().find(|(known, _)| **known == *name)?;
            Some(Dual::constant(known(*operand)))
        };
        let value = value_of(expression.root(), &resolve);
        value.map(|dual| dual.value).map_err(|found| found.within(formula))
    }

    fn differentiated<S: Scalar>(
        &self,
        known: &dyn Fn(Operand) -> S,
    ) -> Result<Differentiated<S>, Undefined> {
        let Self::Expression { formula, expression, names } = self else {
            return Ok(self.gathered(known));
        };
        let resolve = |name: &str| {
            let index = names.iter().position(|(known, _)| **known == *name)?;
            Some(Dual::variable(known(names[index].1), index))
        };
        let dual = value_of(expression.root(), &resolve).map_err(|found| found.within(formula))?;
        let operands = names.iter().map(|(_, operand)| *operand);
        Ok(Differentiated { value: dual.value, slopes: operands.zip(dual.slopes).collect() })
    }

    /// The value of inputs that are brought together, whose slopes are no more work.
    fn gathered<S: Scalar>(&self, known: &dyn Fn(Operand) -> S) -> Differentiated<S> {
        let input = |index: usize| known(Operand::Input(index));
        let values = |indices: &[usize]| indices.iter().map(|index| input(*index)).collect();
        let (value, slopes) = match self {
            // Its value comes from `value_of`; nothing is gathered in it.
            Self::Expression { .. } => (S::exact(0.0), Vec::new()),
            Self::Linear(constant, terms) => {
                let sum = terms.iter().fold(S::exact(*constant), |sum, (factor, index)| {
                    sum.plus(input(*index).times(S::exact(*factor)))
                });
                (sum, terms.iter().map(|(factor, _)| S::exact(*factor)).collect())
            }
            Self::Largest(indices) => largest(values(indices)),
            Self::Smallest(indices) => {
                let negated: Vec<S> = values(indices);
                let (value, slopes) = largest(negated.into_iter().map(S::negative).collect());
                (value.negative(), slopes)
            }
            Self::RootSumSquare(terms) => {
                let terms: Vec<_> =
                    terms.iter().map(|(count, index)| (S::exact(*count), input(*index))).collect();
                root_sum_square(&terms)
            }
        };
        let operands = self.inputs().map(Operand::Input);
        Differentiated { value, slopes: operands.zip(slopes).collect() }
    }

    /// The inputs that are brought together.
    fn inputs(&self) -> impl Iterator<Item = usize> {
        let (alone, counted): (&[usize], &[(f64, usize)]) = match self {
            Self::Expression { .. } => (&[], &[]),
            Self::Largest(indices) | Self::Smallest(indices) => (indices, &[]),
            Self::Linear(_, terms) | Self::RootSumSquare(terms) => (&[], terms),
        };
        alone.iter().copied().chain(counted.iter().map(|(_, index)| *index))
    }
}

/// The largest value, and its slope to each: 1 to the first of those that are it.
fn largest<S: Scalar>(values: Vec<S>) -> (S, Vec<S>) {
    let one = S::exact(1.0);
    let Some((first, rest)) = values.split_first() else { return (S::exact(0.0), Vec::new()) };
    let mut leader = *first;
    let mut leads = Vec::with_capacity(rest.len());
    for value in rest {
        leads.push(leader.leads(*value));
        leader = leader.max(*value);
    }
    // What one adds is overtaken by everything behind it that leads.
    let mut slopes = vec![one; values.len()];
    let mut outer = one;
    for (slope, lead) in slopes[1..].iter_mut().zip(leads).rev() {
        *slope = outer.times(one.minus(lead));
        outer = outer.times(lead);
    }
    slopes[0] = outer;
    (leader, slopes)
}

/// y = √Σ n·x², ∂y/∂x = n·x/y; around a zero nothing is said to follow.
fn root_sum_square<S: Scalar>(terms: &[(S, S)]) -> (S, Vec<S>) {
    let square = |value: S| value.abs().times(value.abs());
    let sum = terms
        .iter()
        .fold(S::exact(0.0), |sum, (count, value)| sum.plus(count.times(square(*value))));
    // Counts and squares are not negative.
    let root = sum.sqrt().unwrap_or(sum);
    let slope = |(count, value): &(S, S)| count.times(*value).over(root).unwrap_or(S::exact(0.0));
    (root, terms.iter().map(slope).collect())
}

impl Undefined {
    /// The same, with the formula that it was found in.
    fn within(self, formula: &Option<(PartIx, Id)>) -> Self {
        Self { formula: formula.clone(), ..self }
    }
}
