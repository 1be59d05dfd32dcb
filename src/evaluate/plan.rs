//! What the steps of the assembly add: time, tools, and themselves.

use std::collections::BTreeMap;
use std::sync::Arc;

use rust_decimal::Decimal;

use super::known::{Known, of_figure};
use super::number::{Number, root_of_squares};
use super::reconcile::{is_done, times};
use super::whole::Whole;
use crate::design::{Design, PartIx};
use crate::record::Step;

/// The steps by the part that they make.
pub(super) struct Plan<'a> {
    design: &'a Design,
    steps: BTreeMap<PartIx, Vec<&'a Step>>,
    /// The whole product: a step says how often it is done in one of it.
    product: Arc<Whole>,
}

impl<'a> Plan<'a> {
    /// A step that makes nothing belongs to the whole product, one that makes several things to the
    /// first of them; those of a variant belong to no other build.
    pub(super) fn of(design: &'a Design, product: Arc<Whole>) -> Self {
        let mut steps: BTreeMap<PartIx, Vec<&Step>> = BTreeMap::new();
        for step in design.steps.iter().filter(|step| design.is_of_build(step.variant.as_ref())) {
            let made = step.makes.first().and_then(|(part, _)| design.part(part.as_str()));
            steps.entry(made.unwrap_or(design.top)).or_default().push(step);
        }
        Self { design, steps, product }
    }

    /// The steps that make the part; those that are kept to a part only where the build holds it.
    pub(super) fn steps(
        &self,
        part: PartIx,
        with_options: bool,
    ) -> impl Iterator<Item = &'a Step> + use<'_, 'a> {
        let steps = self.steps.get(&part).into_iter().flatten().copied();
        let counts = self.product.build(with_options).counts;
        steps.filter(move |step| is_done(self.design, step, counts))
    }

    /// The time that the steps take for one of the part, where any of them says how long it takes.
    pub(super) fn work(&self, part: PartIx, with_options: bool) -> Option<Known> {
        let timed = self.steps(part, with_options).filter_map(|step| self.time_of(step));
        let all = timed.reduce(|sum, next| Known {
            value: sum.value.plus(next.value),
            u: root_of_squares([sum.u, next.u].into_iter()),
            basis: sum.basis.min(next.basis),
            uncertain: sum.uncertain && next.uncertain,
            density: None,
        })?;
        let count = self.in_product(part, with_options);
        let u = all.u / Number::Exact(count).to_f64();
        Some(Known { value: divided(all.value, count), u, ..all })
    }

    /// How often steps are done for one of the part.
    pub(super) fn done(&self, step: &Step, part: PartIx, with_options: bool) -> Number {
        divided(Number::Exact(times(step)), self.in_product(part, with_options))
    }

    fn time_of(&self, step: &Step) -> Option<Known> {
        let once = of_figure(self.design, step.time.as_ref()?);
        let times = Number::Exact(times(step));
        Some(Known { value: once.value.times(times), u: once.u * times.to_f64(), ..once })
    }

    /// How many of the part one product holds; 1 for what it does not hold.
    fn in_product(&self, part: PartIx, with_options: bool) -> Decimal {
        let count = self.product.build(with_options).counts.of(part);
        count.filter(|count| !count.is_zero()).unwrap_or(Decimal::ONE)
    }
}

/// The share of one; a decimal that does not end is rounded at 28 digits.
fn divided(all: Number, count: Decimal) -> Number {
    match all {
        Number::Exact(exact) => exact.checked_div(count).map(Number::Exact),
        Number::Float(_) => None,
    }
    .unwrap_or_else(|| Number::Float(all.to_f64() / Number::Exact(count).to_f64()))
}
