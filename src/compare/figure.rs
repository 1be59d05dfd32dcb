//! One figure before and after, whether or not anything was promised of it.

use super::{BudgetChange, budgets, computed};
use crate::design::{Design, PartIx};
use crate::evaluate::{self, Aim, Budget, End, Subject};
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
            let told = |end, design| computed::Told { design, end, unit: unit(design, quantity) };
            let was = was.and_then(|(was, state)| Some(told(was.end()?, &*state.design)));
            let name = (part.clone(), quantity.clone());
            Some(computed::change(&name, was.as_ref(), Some(&told(end, &after.design))))
        }
    }
}

enum Found {
    Budget(Budget),
    Computed(End),
}

impl Found {
    fn of(assessed: &Assessed, part: &Id, quantity: &Id) -> Option<Self> {
        let design = &*assessed.design;
        let part = design.part(part.as_str())?;
        let stand_ins = evidence::stand_ins(design, &assessed.standings);
        if let Some(aim) = Aim::of_part(design, part, quantity) {
            let steady = assessed.figures.steady.as_ref();
            let found = evaluate::computed_of(design, &stand_ins, steady, &aim).ok()?;
            return found.ends.into_iter().next().map(Self::Computed);
        }
        let builds = builds(assessed, part, quantity);
        let subject = Subject { part, quantity: quantity.clone(), builds };
        let kept = assessed.figures.budgets.get(&subject).cloned();
        let found = kept.or_else(|| evaluate::budget_of(design, &stand_ins, &subject));
        found.filter(|budget| !budget.empty).map(Self::Budget)
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

fn unit(design: &Design, quantity: &Id) -> Unit {
    let known = design.quantities.get(quantity);
    known.map_or_else(Unit::none, |quantity| quantity.unit.clone())
}
