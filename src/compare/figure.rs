//! One figure before and after, whether or not anything was promised of it.

use super::{BudgetChange, budgets, computed, unit_of_figure};
use crate::design::{Design, PartIx};
use crate::evaluate::{self, Aim, Budget, End, PEAK_CURRENT, Subject};
use crate::evidence;
use crate::quantity::Unit;
use crate::record::Id;
use crate::verdict::Assessed;

/// The quantity of a part in both states; `None` where it is not known in the later one.
#[must_use]
pub fn figure(
    before: Option<&Assessed>,
    after: &Assessed,
    part: &Id,
    quantity: &Id,
) -> Option<BudgetChange> {
    let asked = |assessed: &Assessed| Found::of(assessed, part, quantity);
    let (was, is) = (before.and_then(asked), asked(after)?);
    let was = was.as_ref().zip(before);
    match &is {
        Found::Budget(budget) => {
            let was = was.and_then(|(was, state)| Some((&*state.design, was.budget()?)));
            let builds = builds(after, after.design.part(part.as_str())?, quantity);
            let name = (part, quantity, builds);
            Some(budgets::change(name, was.as_ref(), Some(&(&*after.design, budget))))
        }
        Found::Computed(end) => {
            let told = |end, design| {
                let unit = unit_shown(design, part, quantity);
                computed::Told { design, end, with_options: end, unit }
            };
            let was = was.and_then(|(was, state)| Some(told(was.end()?, &*state.design)));
            let name = (part.clone(), quantity.clone());
            Some(computed::change(&name, was.as_ref(), Some(&told(end, &after.design))))
        }
    }
}

enum Found {
    Budget(Box<Budget>),
    Computed(End),
}

impl Found {
    fn of(assessed: &Assessed, part: &Id, quantity: &Id) -> Option<Self> {
        let design = &*assessed.design;
        let stand_ins = evidence::stand_ins(design, &assessed.standings);
        let of_rail = is_of_rail(design, part, quantity).then(|| Aim::Rail(part.clone()));
        let part = design.part(part.as_str());
        let of_part = || Aim::of_part(design, part?, quantity);
        if let Some(aim) = of_rail.or_else(of_part) {
            let steady = assessed.figures.steady.as_ref();
            let found = evaluate::computed_of(design, &stand_ins, steady, &aim).ok()?;
            return found.ends.into_iter().next().map(Self::Computed);
        }
        let part = part?;
        let builds = builds(assessed, part, quantity);
        let subject = Subject { part, quantity: quantity.clone(), builds };
        let kept = assessed.figures.budgets.get(&subject).cloned();
        let found = kept.or_else(|| evaluate::budget_of(design, &stand_ins, &subject));
        found.filter(|budget| !budget.empty).map(Box::new).map(Self::Budget)
    }

    fn budget(&self) -> Option<&Budget> {
        if let Self::Budget(budget) = self { Some(budget) } else { None }
    }

    fn end(&self) -> Option<&End> {
        if let Self::Computed(end) = self { Some(end) } else { None }
    }
}

/// Of how many builds a budget of the part is kept; one where none is.
fn builds(assessed: &Assessed, part: PartIx, quantity: &Id) -> u64 {
    let mut kept = assessed.figures.budgets.keys();
    let kept = kept.find(|known| known.part == part && known.quantity == *quantity);
    kept.map_or(1, |known| known.builds)
}

/// Whether the figure is what a rail carries at its peak.
fn is_of_rail(design: &Design, rail: &Id, quantity: &Id) -> bool {
    quantity.as_str() == PEAK_CURRENT && design.rail(rail.as_str()).is_some()
}

fn unit_shown(design: &Design, part: &Id, quantity: &Id) -> Unit {
    let rail = design.rail(part.as_str()).filter(|_| is_of_rail(design, part, quantity));
    if let Some(rail) = rail {
        let rating = rail.rating.as_ref().map(|rating| rating.unit.clone());
        return rating.or_else(|| Unit::parse("A").ok()).unwrap_or_else(Unit::none);
    }
    let part = design.part(part.as_str());
    part.map_or_else(Unit::none, |part| unit_of_figure(design, part, quantity))
}
