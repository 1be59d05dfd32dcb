//! Two states of the design → what stands in the row between them.

use super::{Decided, Entry, Figure, Less, PartTouched, Reading, Titled, Turn, Value};
use crate::compare::{self, BudgetChange, Impact, Loosened, PartChange, VerdictChange};
use crate::design::{Design, Held};
use crate::diagnostic::At;
use crate::evaluate::{Aim, PEAK_CURRENT, Subject, Total, coverage_factor};
use crate::facet::Facet;
use crate::quantity::Unit;
use crate::record::{Decision, Id, Item};
use crate::verdict::{Assessed, Judged, unit_of};

/// What led from `before` to `after`; everything is new where there is no state before. A figure
/// that is `also` asked for, by part and quantity, is among the others.
#[must_use]
pub fn entry(before: Option<&Assessed>, after: &Assessed, also: Option<(&Id, &Id)>) -> Entry {
    let change = compare::moves(before, after);
    let (was, is) = (before.map(|before| &*before.design), &*after.design);
    Entry {
        design: is.name.to_string(),
        release: after.occasion.release.to_string(),
        parts: change.parts.iter().map(|change| touched(change, is)).collect(),
        figures: figures(&change, before, after, also),
        readings: after.judged.iter().map(|judged| reading(before, after, judged)).collect(),
        turns: turns(&change, before, after),
        loosened: change.loosened.iter().map(less).collect(),
        opened: open_in(Some(is), was),
        closed: open_in(was, Some(is)),
        decided: decided(was, is),
    }
}

fn touched(change: &PartChange, design: &Design) -> PartTouched {
    let word = |facet: &Facet| facet.word_of(design, &change.part).to_owned();
    PartTouched {
        part: change.part.clone(),
        how: change.how,
        facets: change.facets.clone(),
        facet_words: change.facets.iter().map(word).collect(),
    }
}

fn less(loosened: &Loosened) -> Less {
    Less {
        requirement: loosened.requirement.clone(),
        what: loosened.what.to_owned(),
        before: loosened.before.clone(),
        after: loosened.after.clone(),
    }
}

fn figures(
    change: &Impact,
    before: Option<&Assessed>,
    after: &Assessed,
    also: Option<(&Id, &Id)>,
) -> Vec<Figure> {
    let known = |figure: &(&Id, &Id)| {
        change.budgets.iter().any(|known| (&known.part, &known.quantity) == *figure)
    };
    let asked = also.filter(|figure| !known(figure));
    let asked = asked.and_then(|(part, quantity)| compare::figure(before, after, part, quantity));
    let all = change.budgets.iter().chain(&asked);
    all.map(|change| figure(change, before, after)).collect()
}

fn figure(change: &BudgetChange, before: Option<&Assessed>, after: &Assessed) -> Figure {
    let value = |total: Option<Total>, state: &Assessed| Some(value(total?, change, state));
    let top = after.design.id(after.design.top);
    Figure {
        part: change.part.clone(),
        is_top: change.part == *top,
        quantity: change.quantity.clone(),
        builds: change.builds,
        unit: change.unit.symbol().to_owned(),
        before: before.and_then(|before| value(change.before, before)),
        after: value(change.after, after),
        shares: change.shares.clone(),
    }
}

fn value(total: Total, change: &BudgetChange, state: &Assessed) -> Value {
    let design = &*state.design;
    let is_top = change.part == *design.id(design.top);
    let part = if is_top { Some(design.top) } else { design.part(change.part.as_str()) };
    let budget = part.and_then(|part| {
        let (quantity, builds) = (change.quantity.clone(), change.builds);
        state.figures.budgets.get(&Subject { part, quantity, builds })
    });
    Value {
        basic: total.basic,
        predicted: total.predicted,
        expanded_u: coverage_factor(design) * total.u,
        money: total.money.map(|(basic, predicted)| {
            (basic.normalize().to_string(), predicted.normalize().to_string())
        }),
        is_lower_bound: budget.is_some_and(|budget| !budget.missing.is_empty()),
    }
}

fn reading(before: Option<&Assessed>, assessed: &Assessed, judged: &Judged) -> Reading {
    let design = &*assessed.design;
    let unit = unit_of(design, &design.requirements[judged.index], judged);
    Reading {
        requirement: judged.requirement.clone(),
        verdict: judged.verdict,
        beneath: judged.beneath,
        value: judged.bounds.first().map(|bound| bound.value),
        with_options: compare::with_options(assessed, judged),
        by_options: judged.by_options,
        expanded_u: judged.expanded_u,
        unit: unit.symbol().to_owned(),
        limits: judged.bounds.iter().map(|bound| (bound.side, bound.limit)).collect(),
        figure: figure_of(design, judged),
        shares: before.map(|before| shares(before, assessed, judged)).unwrap_or_default(),
    }
}

/// Each part's share of the way of a value with all optional parts, where these decide or did.
fn shares(before: &Assessed, after: &Assessed, is: &Judged) -> Vec<(Id, f64)> {
    let was = before.of_requirement(&is.requirement);
    let was = was.filter(|was| was.by_options || is.by_options);
    was.map(|was| compare::shares_with_options((before, was), (after, is))).unwrap_or_default()
}

/// The figure that a requirement is judged on, as its changes are named: of a part or rail, a quantity and
/// the number of builds. `None` where it is judged on evidence.
#[must_use]
pub fn figure_of(design: &Design, judged: &Judged) -> Option<(Id, Id, u64)> {
    if judged.evidence.is_some() {
        return None;
    }
    match &judged.aimed {
        Some(aimed) if aimed.decides => Some(match &aimed.aim {
            Aim::Part(part, quantity) => (design.id(*part).clone(), quantity.clone(), 1),
            Aim::Rail(rail) => (rail.clone(), Id::from(PEAK_CURRENT), 1),
        }),
        _ => {
            let subject = judged.subject.as_ref()?;
            Some((design.id(subject.part).clone(), subject.quantity.clone(), subject.builds))
        }
    }
}

/// The verdicts that turned in the design itself, then those of its variants.
fn turns(change: &Impact, before: Option<&Assessed>, after: &Assessed) -> Vec<Turn> {
    let own = change.verdicts.iter().map(|turned| turn(turned, None, before, after));
    let of_variants = change.variants.iter().flat_map(|(id, change)| {
        let was = before.and_then(|before| before.variant(id.as_str()));
        let is = after.variant(id.as_str()).unwrap_or(after);
        let turned = change.verdicts.iter();
        turned.map(|turned| turn(turned, Some(id), was, is)).collect::<Vec<_>>()
    });
    own.chain(of_variants).collect()
}

fn turn(
    change: &VerdictChange,
    variant: Option<&Id>,
    before: Option<&Assessed>,
    after: &Assessed,
) -> Turn {
    let mut states = [Some(after), before].into_iter().flatten();
    let judged = states.find_map(|state| {
        let judged = state.of_requirement(&change.requirement)?;
        let unit = unit_of(&state.design, &state.design.requirements[judged.index], judged);
        Some((unit, judged.expanded_u))
    });
    let (unit, expanded_u) = judged.unwrap_or_else(|| (Unit::none(), 0.0));
    Turn {
        variant: variant.cloned(),
        requirement: change.requirement.clone(),
        before: change.before,
        after: change.after,
        cause: change.cause,
        unit: unit.symbol().to_owned(),
        expanded_u,
        shares: change.shares.clone(),
    }
}

/// The items that are open in one state and not in the other.
fn open_in(design: Option<&Design>, other: Option<&Design>) -> Vec<Titled> {
    let is_open = |item: &Held<Item>| item.closed.is_none();
    let holds_open = |design: &Design, id: &Id| {
        design.items.iter().any(|item| item.id.value == *id && is_open(item))
    };
    let items = design.into_iter().flat_map(|design| &design.items);
    let open = items.filter(|item| {
        is_open(item) && !other.is_some_and(|other| holds_open(other, &item.id.value))
    });
    open.map(|item| Titled { id: item.id.value.clone(), title: text(item.title.as_ref()) })
        .collect()
}

fn decided(was: Option<&Design>, is: &Design) -> Vec<Decided> {
    let is_known = |id: &Id| {
        was.is_some_and(|was| was.decisions.iter().any(|decision| decision.id.value == *id))
    };
    let new = is.decisions.iter().filter(|decision| !is_known(&decision.id.value));
    let told = |decision: &Held<Decision>| Decided {
        id: decision.id.value.clone(),
        title: text(decision.title.as_ref()),
        parts: decision.parts.iter().map(|part| part.value.clone()).collect(),
    };
    new.map(told).collect()
}

fn text(written: Option<&At<String>>) -> Option<String> {
    written.map(|at| at.value.clone())
}
