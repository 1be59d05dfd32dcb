//! What figures stand on besides the records of parts: rules, prices, rails, work.

use std::collections::BTreeMap;

use super::{GroundChange, GroundKind, How};
use crate::design::Design;
use crate::diagnostic::At;
use crate::quantity::{Amount, Basis, Figure};
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

/// What is another of that which parts stand on and no part says.
pub(super) fn changes(before: &Design, after: &Design) -> Vec<GroundChange> {
    let rule = |is_another: bool, name: &str| {
        let id = Id::from(name);
        is_another.then_some(GroundChange { kind: GroundKind::Rule, id, how: How::Changed })
    };
    let rules = [
        rule(allowances(before) != allowances(after), "allowance"),
        rule(ambients(before) != ambients(after), "ambient"),
        rule(uncertainties(before) != uncertainties(after), "uncertainty"),
        rule(rates(before).1 != rates(after).1, "machine-hour"),
    ];
    let named = [
        differing(GroundKind::Rail, rails(before), rails(after)),
        differing(GroundKind::Node, nodes(before), nodes(after)),
        differing(GroundKind::Constant, constants(before), constants(after)),
        differing(GroundKind::Supplier, terms(before), terms(after)),
        differing(GroundKind::Rate, rates(before).0, rates(after).0),
    ];
    named.into_iter().flatten().chain(rules.into_iter().flatten()).collect()
}

/// What came, went or says something else, in the order of ids.
fn differing<T: PartialEq>(
    kind: GroundKind,
    before: Vec<(Id, T)>,
    after: Vec<(Id, T)>,
) -> Vec<GroundChange> {
    let mut sides: BTreeMap<Id, [Option<T>; 2]> = BTreeMap::new();
    for (side, values) in [before, after].into_iter().enumerate() {
        for (id, value) in values {
            sides.entry(id).or_insert([None, None])[side] = Some(value);
        }
    }
    let how = |sides: &[Option<T>; 2]| match sides {
        [None, _] => Some(How::Added),
        [_, None] => Some(How::Removed),
        [was, is] => (was != is).then_some(How::Changed),
    };
    let changed =
        sides.into_iter().map(|(id, sides)| Some(GroundChange { kind, how: how(&sides)?, id }));
    changed.flatten().collect()
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

/// Exchange rates by currency, and what an hour of a machine costs.
fn rates(design: &Design) -> (Vec<(Id, impl PartialEq + use<>)>, impl PartialEq + use<>) {
    let exchange = design.manifest.exchange.iter();
    let rates = exchange.map(|(currency, rate)| (Id::from(currency.code()), rate.rate.value));
    (sorted(rates), plain(design.manifest.rule.machine_hour.as_ref()))
}

fn terms(design: &Design) -> Vec<(Id, impl PartialEq + use<>)> {
    let of_supplier = design.suppliers.iter().map(|supplier| {
        let prices = supplier.prices.as_ref().map(|at| at.value).unwrap_or_default();
        let added = (plain(supplier.tax.as_ref()), plain(supplier.duty.as_ref()));
        let sent = (plain(supplier.shipping.as_ref()), plain(supplier.free_over.as_ref()));
        (supplier.id.value.clone(), (prices, added, sent))
    });
    sorted(of_supplier)
}

fn rails(design: &Design) -> Vec<(Id, impl PartialEq + use<>)> {
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

fn constants(design: &Design) -> Vec<(Id, impl PartialEq + use<>)> {
    let given = design.manifest.given.iter();
    sorted(given.map(|(id, figure)| (id.value.clone(), said(figure))))
}

fn nodes(design: &Design) -> Vec<(Id, impl PartialEq + use<>)> {
    let path = |path: &HeatPath| (path.to.value.clone(), said(&path.resistance));
    let nodes = design.nodes.iter();
    sorted(nodes.map(|node| (node.id.value.clone(), sorted(node.heat_paths.iter().map(path)))))
}

/// What a figure says, in whatever unit.
fn said(figure: &Figure) -> impl PartialEq + use<> {
    (figure.measure.base, figure.spread.map(|spread| spread.half_width), figure.basis)
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
