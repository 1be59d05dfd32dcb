//! The limits of a requirement, drawn in by the margin that it wants left over.

use super::{Judged, Limit, Side};
use crate::design::Design;
use crate::diagnostic::At;
use crate::evaluate::Number;
use crate::quantity::{Measure, Unit};
use crate::record::{Margin, Requirement};

/// The limits in the order at-most, at-least. Decimal to the end: a value of 450 g against 500 g
/// with a margin of 10 % is no question of rounding.
pub(super) fn of(requirement: &Requirement) -> Vec<Limit> {
    let limits = &requirement.limits;
    let number = |measure: &At<Measure>| Number::of(measure);
    let pair = limits.equals.as_ref().zip(limits.within.as_ref());
    let (middle, within) = pair.map(|(equals, within)| (number(equals), number(within))).unzip();
    let upper = middle.zip(within).map(|(middle, within)| middle.plus(within));
    let lower = middle.zip(within).map(|(middle, within)| middle.minus(within));
    let at_most = limits.at_most.as_ref().map(number).or(upper);
    let at_least = limits.at_least.as_ref().map(number).or(lower);
    let limit = |side, limit| with_margin(side, limit, requirement);
    let at_most = at_most.map(|at_most| limit(Side::AtMost, at_most));
    at_most.into_iter().chain(at_least.map(|at_least| limit(Side::AtLeast, at_least))).collect()
}

/// The unit that the limit is written in, so that value and limit compare at a glance.
#[must_use]
pub fn unit_of(design: &Design, requirement: &Requirement, judged: &Judged) -> Unit {
    let limits = &requirement.limits;
    let written = [&limits.at_most, &limits.at_least, &limits.equals].into_iter().flatten().next();
    let quantity = judged.subject.as_ref().and_then(|of| design.quantities.get(&of.quantity));
    let rail = requirement.rail.as_ref().and_then(|rail| design.rail(rail.as_str()));
    let rating = rail.and_then(|rail| rail.rating.as_ref()).map(|rating| rating.unit.clone());
    let shown_in = || quantity.map(|quantity| quantity.unit.clone()).or(rating);
    written.map(|limit| limit.unit.clone()).or_else(shown_in).unwrap_or_else(Unit::none)
}

fn with_margin(side: Side, limit: Number, requirement: &Requirement) -> Limit {
    let margin = match requirement.margin.as_ref().map(|margin| &margin.value) {
        None => Number::ZERO,
        Some(Margin::Absolute(margin)) => Number::of(margin),
        Some(Margin::Share(share)) => limit.abs().times(Number::written(*share)),
    };
    let inner = match side {
        Side::AtMost => limit.minus(margin),
        Side::AtLeast => limit.plus(margin),
    };
    Limit { side, limit: limit.to_f64(), inner: inner.to_f64() }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::fixture::design;

    fn limits(text: &str) -> Vec<(Side, f64, f64)> {
        let design = design(&format!(
            "[part.scanner]\norigin = \"bought\"\n[requirement.light]\npart = \"scanner\"\n\
             quantity = \"mass\"\n{text}"
        ));
        let limits = of(&design.requirements[0]);
        limits.iter().map(|limit| (limit.side, limit.limit, limit.inner)).collect()
    }

    #[test]
    fn a_margin_draws_the_limit_in() {
        assert_eq!(limits("at-most = \"500 g\""), [(Side::AtMost, 0.5, 0.5)]);
        let share = limits("at-most = \"0.3 kg\"\nmargin = \"10 %\"");
        assert_eq!(share, [(Side::AtMost, 0.3, 0.27)]);
        let amount = limits("at-least = \"0.2 kg\"\nmargin = \"100 g\"");
        assert_eq!(amount, [(Side::AtLeast, 0.2, 0.3)], "in floats it is 0.30000000000000004");
    }

    #[test]
    fn equals_with_within_is_a_pair_of_limits() {
        let pair = limits("equals = \"0.2 kg\"\nwithin = \"0.1 kg\"");
        assert_eq!(pair, [(Side::AtMost, 0.3, 0.3), (Side::AtLeast, 0.1, 0.1)]);
    }
}
