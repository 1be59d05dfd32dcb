//! What figures stand on besides the records of parts: rules, prices, rails, work.

use crate::design::Design;
use crate::diagnostic::At;
use crate::quantity::{Amount, Basis};
use crate::record::{Allowance, HeatPath, Id, Step};

/// Which of it is another.
#[derive(Clone, Copy, Debug)]
pub(super) struct Ground {
    /// Growth allowances, the coverage factor, the ± that is assumed, where the product must work.
    pub(super) rules_changed: bool,
    /// Exchange rates, the machine hour, suppliers' terms.
    pub(super) prices_changed: bool,
    /// Voltages, efficiencies, ratings.
    pub(super) rails_changed: bool,
    /// Which steps there are, how often, of what; how long they take is known, not designed.
    pub(super) work_changed: bool,
}

impl Ground {
    pub(super) fn between(before: &Design, after: &Design) -> Self {
        Self {
            rules_changed: allowances(before) != allowances(after)
                || uncertainties(before) != uncertainties(after)
                || ambients(before) != ambients(after),
            prices_changed: rates(before) != rates(after) || terms(before) != terms(after),
            rails_changed: rails(before) != rails(after),
            work_changed: work(before) != work(after),
        }
    }
}

/// Values without the places where they are written.
fn plain<T: Clone>(written: Option<&At<T>>) -> Option<T> {
    written.map(|at| at.value.clone())
}

fn sorted<T>(values: impl Iterator<Item = (Id, T)>) -> Vec<(Id, T)> {
    let mut values: Vec<_> = values.collect();
    values.sort_by(|a, b| a.0.cmp(&b.0));
    values
}

fn allowances(design: &Design) -> Vec<(Id, impl PartialEq + use<>)> {
    let of_bases = design.manifest.allowance.iter().map(|(quantity, allowances)| {
        let mut by_basis: Vec<(_, Allowance)> =
            allowances.0.iter().map(|(basis, at)| (*basis, at.value.clone())).collect();
        by_basis.sort_by_key(|(basis, _)| *basis);
        (quantity.value.clone(), by_basis)
    });
    sorted(of_bases)
}

fn uncertainties(design: &Design) -> impl PartialEq + use<> {
    let rule = &design.manifest.rule;
    let mut unstated: Vec<_> = rule.unstated.iter().map(|(basis, at)| (*basis, at.value)).collect();
    unstated.sort_by_key(|(basis, _)| *basis);
    (plain(rule.coverage_factor.as_ref()), unstated)
}

fn ambients(design: &Design) -> impl PartialEq + use<> {
    let ambient = &design.manifest.ambient;
    (plain(ambient.low.as_ref()), plain(ambient.high.as_ref()))
}

fn rates(design: &Design) -> impl PartialEq + use<> {
    let exchange = design.manifest.exchange.iter();
    let rates = exchange.map(|(currency, rate)| (Id::from(currency.code()), rate.rate.value));
    (sorted(rates), plain(design.manifest.rule.machine_hour.as_ref()))
}

fn terms(design: &Design) -> impl PartialEq + use<> {
    let of_supplier = design.suppliers.iter().map(|supplier| {
        let prices = supplier.prices.as_ref().map(|at| at.value).unwrap_or_default();
        let added = (plain(supplier.tax.as_ref()), plain(supplier.duty.as_ref()));
        let sent = (plain(supplier.shipping.as_ref()), plain(supplier.free_over.as_ref()));
        (supplier.id.value.clone(), (prices, added, sent))
    });
    sorted(of_supplier)
}

fn rails(design: &Design) -> impl PartialEq + use<> {
    let of_rail = design.rails.iter().map(|rail| {
        let tree = (plain(rail.fed_by.as_ref()), plain(rail.made_in.as_ref()));
        let flow = (rail.voltage.value.clone(), plain(rail.efficiency.as_ref()));
        let derate = rail.derate.as_ref().map(|derate| {
            let at = plain(derate.at.as_ref());
            (derate.from.value.clone(), derate.by_per_k.value.clone(), at)
        });
        (rail.id.value.clone(), (tree, flow, plain(rail.rating.as_ref()), derate))
    });
    sorted(of_rail)
}

/// Whether the heat paths that a node states lead elsewhere, or resist otherwise and are not known
/// better for it; or the node came or went.
pub(super) fn is_another_node(before: &Design, after: &Design, node: &Id) -> bool {
    let [was, is] = [before, after].map(|design| paths(design, node));
    let ends =
        |paths: &[(Id, (f64, _))]| paths.iter().map(|(to, _)| to.clone()).collect::<Vec<_>>();
    ends(&was) != ends(&is)
        || was.iter().zip(&is).any(|((_, (old, basis)), (_, (new, by)))| old != new && by <= basis)
}

/// Where the paths of a node lead, and how they resist, by which basis.
fn paths(design: &Design, node: &Id) -> Vec<(Id, (f64, Basis))> {
    let nodes = design.nodes.iter().filter(|held| held.id.value == *node);
    let path = |path: &HeatPath| {
        let resistance = &path.resistance.value;
        (path.to.value.clone(), (resistance.measure.base, resistance.basis.unwrap_or_default()))
    };
    sorted(nodes.flat_map(|node| node.heat_paths.iter().map(path)))
}

fn work(design: &Design) -> impl PartialEq + use<> {
    sorted(design.steps.iter().map(|step| (step.id.value.clone(), done(step))))
}

/// What is done in a step, with what, how often; how long it takes is known, not designed.
pub(super) fn done(step: &Step) -> impl PartialEq + use<> {
    let amounts = |all: &[(At<Id>, At<Amount>)]| {
        sorted(all.iter().map(|(part, amount)| (part.value.clone(), amount.exact)))
    };
    let only = (plain(step.variant.as_ref()), plain(step.option.as_ref()));
    let tools: Vec<String> = step.tools.iter().map(|tool| tool.value.clone()).collect();
    (amounts(&step.uses), amounts(&step.makes), only, tools, plain(step.times.as_ref()))
}
