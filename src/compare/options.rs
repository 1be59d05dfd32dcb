//! Values with all optional parts: what is judged with them before or after is compared with them in both.

use super::computed;
use super::terms::{self, Aspect};
use crate::evaluate::{Budget, End};
use crate::record::Id;
use crate::verdict::{Assessed, Judged, Side};

const WITH_OPTIONS: Aspect = Aspect { side: Side::AtMost, with_options: true };

/// The value with all optional parts that a requirement is held against, in base units; nothing where
/// they make no difference to it.
#[must_use]
pub fn with_options(assessed: &Assessed, judged: &Judged) -> Option<f64> {
    let bound = judged.bounds.first().filter(|_| judged.evidence.is_none())?;
    if let Some(end) = end(assessed, judged) {
        let with = computed::with_options(assessed, judged, end);
        return with.with_options.then_some(with.value.value);
    }
    let budget = budget(assessed, judged).filter(|_| bound.side == Side::AtMost)?;
    budget.with_options.map(|total| total.predicted)
}

/// Each part's share of the difference of two values with all optional parts, in base units, the largest
/// first.
#[must_use]
pub fn shares_with_options(
    (before, was): (&Assessed, &Judged),
    (after, is): (&Assessed, &Judged),
) -> Vec<(Id, f64)> {
    if let (Some(from), Some(to)) = (end(before, was), end(after, is)) {
        let from = computed::with_options(before, was, from);
        let to = computed::with_options(after, is, to);
        return computed::shares((&before.design, from), (&after.design, to));
    }
    let (Some(from), Some(to)) = (budget(before, was), budget(after, is)) else {
        return Vec::new();
    };
    let roll_up = is.subject.as_ref().map(|of| terms::kind(&after.design, &of.quantity).0);
    let from = terms::terms(&before.design, from, WITH_OPTIONS);
    let to = terms::terms(&after.design, to, WITH_OPTIONS);
    roll_up.map(|roll_up| terms::shares(roll_up, &from, &to)).unwrap_or_default()
}

/// The end of a computed figure that decides, where a requirement is judged on one.
fn end<'a>(assessed: &'a Assessed, judged: &Judged) -> Option<&'a End> {
    judged.aimed.as_ref().filter(|aimed| aimed.decides)?;
    Some(assessed.computed(judged)?.1)
}

fn budget<'a>(assessed: &'a Assessed, judged: &Judged) -> Option<&'a Budget> {
    assessed.figures.budgets.get(judged.subject.as_ref()?)
}
