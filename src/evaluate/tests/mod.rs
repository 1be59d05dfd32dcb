//! Budgets of small designs against values from outside.

mod costs;
mod counts;
mod derived;
mod laws;
mod roll_up;
mod trials;

use super::{Budget, Missing, StandIns, Subject, figures};
use crate::design::Design;
use crate::fixture;
use crate::record::Id;

/// The budget of `quantity` at the part `part` of the design in `text`.
fn budget_of(text: &str, part: &str, quantity: &str) -> Budget {
    let design = fixture::design(text);
    let part = design.part(part).expect("a part of the fixture");
    let budgets = figures(None, &design, &StandIns::default()).budgets;
    let mut found = budgets
        .into_iter()
        .filter(|(subject, _)| subject.part == part && subject.quantity == *quantity);
    found.next().expect("a budget that is asked for").1
}

/// The budget of `quantity` at the top of the design in `text`.
fn budget(text: &str, quantity: &str) -> Budget {
    budget_of(text, "scanner", quantity)
}

/// The ids of the parts without a figure, and why they have none.
fn missing(text: &str, quantity: &str) -> Vec<(String, Missing)> {
    let design = fixture::design(text);
    let missing = budget(text, quantity).missing;
    missing.into_iter().map(|(part, why)| (design.id(part).to_string(), why)).collect()
}

/// A budget at the top that no requirement asks for and that is not in use there.
fn asked(design: &Design, quantity: &str) -> Subject {
    Subject { part: design.top, quantity: Id::from(quantity), builds: 1 }
}
