//! `own-figures`: what an assembly states of itself agrees with what its parts come to.

use super::{Check, Context, finding};
use crate::design::Design;
use crate::diagnostic::Code;
use crate::evaluate::{Budget, OwnFigure, Subject, coverage_factor};
use crate::quantity::{Unit, show_uncertain};
use crate::record::Id;
use crate::verdict::Finding;

pub(super) const CHECK: Check = Check {
    code: Code("own-figures"),
    title: "Assemblies agree with their parts",
    doc: "An assembly is judged on what its parts come to. A figure that it states of itself is \
          compared with that: where the two differ by more than their uncertainties together, one \
          of them is wrong.",
    waivable: true,
    run,
};

fn run(context: &Context<'_>) -> Vec<Finding> {
    let budgets = context.figures.budgets.iter();
    let disagreeing = budgets.filter_map(|(subject, budget)| {
        let own = budget.own.filter(|own| own.disagrees)?;
        Some(told(context.design, subject, budget, own))
    });
    disagreeing.collect()
}

fn told(design: &Design, subject: &Subject, budget: &Budget, own: OwnFigure) -> Finding {
    let known = design.quantities.get(&subject.quantity);
    let unit = known.map_or_else(Unit::none, |quantity| quantity.unit.clone());
    let shown = |value, u| show_uncertain(value, coverage_factor(design) * u, &unit);
    let (part, quantity): (&Id, &Id) = (design.id(subject.part), &subject.quantity);
    // What stands for the assembly itself among what adds up was measured of it as a whole.
    let is_measured = budget.contributions().any(|found| found.part == subject.part);
    let (beside, other) = match is_measured {
        true => ("was measured to be", "what was measured"),
        false => ("its parts come to", "of its parts"),
    };
    let message = format!(
        "`{part}` states {} of {quantity}, and {beside} {}",
        shown(own.value, own.u),
        shown(budget.total.basic, budget.total.u),
    );
    Finding {
        part: Some(subject.part),
        place: place(design, subject),
        remedy: Some(format!("find out which is wrong: {quantity} of `{part}` or {other}")),
        ..finding(CHECK.code, message)
    }
}

fn place(
    design: &Design,
    subject: &Subject,
) -> Option<(crate::fileset::RepoPath, crate::diagnostic::Span)> {
    let stated = design.figures[subject.part.index()].get(&subject.quantity)?;
    Some(super::place(&design.record(subject.part).path, &stated.figure))
}

#[cfg(test)]
mod tests {
    use crate::verdict::tests::found;

    fn own(mass: &str) -> Vec<String> {
        let text = format!(
            "[part.scanner]\norigin = \"assembled\"\nmass = \"{mass}\"\ncontains = {{ lid = 2 }}\n\
             [part.lid]\norigin = \"printed\"\nmass = \"20 g ± 1 g\"\n"
        );
        found("own-figures", &text, "1.0.0")
    }

    #[test]
    fn a_disagreement_beyond_both_uncertainties_is_told() {
        assert_eq!(own("42 g ± 1 g"), [""; 0]);
        assert_eq!(
            own("44 g ± 1 g"),
            ["`scanner` states 44.0 g ± 1.0 g of mass, and its parts come to 40.0 g ± 2.0 g"]
        );
    }
}
