//! An assembly's own figure, compared with what its parts come to.

use super::known::{Known, coverage_factor};
use super::{Budget, OwnFigure};
use crate::design::Design;

/// Two exact figures that differ by less, relative to the larger, were rounded differently.
const ROUNDING: f64 = 1e-9;

/// The figure beside the roll-up. An incomplete one is a lower bound: only a figure below it
/// disagrees.
pub(super) fn beside_roll_up(design: &Design, own: &Known, budget: &Budget) -> OwnFigure {
    compared(design, own, budget.total.basic, budget.total.u, budget.missing.is_empty())
}

/// The figure beside what was computed: they disagree where they differ by more than their expanded
/// uncertainties together.
pub(super) fn compared(
    design: &Design,
    own: &Known,
    computed: f64,
    u: f64,
    is_complete: bool,
) -> OwnFigure {
    let value = own.value.to_f64();
    let expanded = coverage_factor(design) * (own.u + u);
    let rounding = ROUNDING * value.abs().max(computed.abs());
    let is_apart = (value - computed).abs() > expanded.max(rounding);
    OwnFigure { value, u: own.u, disagrees: is_apart && (is_complete || value < computed) }
}
