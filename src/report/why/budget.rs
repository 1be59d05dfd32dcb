//! A rolled-up figure as a tree: sub-assemblies by path, down to the figure of every part.

use std::collections::BTreeMap;

use rust_decimal::prelude::ToPrimitive;

use super::super::budgets::missing_words;
use super::super::ledger::WITH_OPTIONS;
use super::super::shown::{Shown, count, some_of};
use super::computed::sensitivity;
use super::{Branch, InputRow, Scope, Told, written};
use crate::design::{Design, Link, PartIx, Source};
use crate::evaluate::{
    Budget, ByDensity, Contribution, Missing, StandIns, Subject, Total, budget_of, coverage_factor,
    density_of,
};
use crate::evidence;
use crate::quantity::{Basis, Unit, show_measure};
use crate::record::{Evidence, Id, RollUp};

/// Lines of one tree; a product of more is told part by part, not by path.
const MOST_LINES: usize = 2_000;

/// Parts without a figure that are named.
const NAMED_PARTS: usize = 6;

/// What a tree is made from.
struct Grown<'a> {
    scope: Scope<'a>,
    subject: &'a Subject,
    unit: &'a Unit,
    of: BTreeMap<PartIx, Contribution>,
    whole: f64,
    with_options: bool,
}

impl Scope<'_> {
    /// The budget of a subject with its contributions, those of optional parts too where it is meant
    /// `with_options`; `None` where there is no such budget.
    pub(super) fn budget(
        &self,
        subject: &Subject,
        unit: &Unit,
        with_options: bool,
    ) -> Option<Told> {
        let design = &*self.assessed.design;
        let kept = self.assessed.figures.budgets.get(subject).cloned();
        let stand_ins = || evidence::stand_ins(design, &self.assessed.standings);
        let budget = kept.or_else(|| budget_of(design, &stand_ins(), subject))?;
        let of = contributions(&budget, with_options);
        let whole = of.values().map(|found| found.total.predicted.abs()).sum();
        let grown = Grown { scope: *self, subject, unit, of, whole, with_options };
        let total = budget.with_options.filter(|_| with_options).unwrap_or(budget.total);
        let missing = missing(&budget, with_options);
        let value = Shown::predicted(&total, coverage_factor(design), unit);
        let mut left = MOST_LINES;
        let nested = adds_up(design, &subject.quantity)
            .then(|| grown.within(subject.part, 1.0, &mut left))
            .filter(|_| left > 0);
        let branches = nested.unwrap_or_else(|| grown.flat());
        let name = format!("{} of {}", subject.quantity, design.id(subject.part));
        let tried = self.tried_budget(&subject.quantity, &budget, unit);
        let is_tried = with_options && tried.row.is_some();
        let tried_without = is_tried.then(|| "tried without optional parts".to_owned());
        Some(Told {
            branch: Branch {
                name,
                value: (!budget.empty).then(|| value.and_more(!missing.is_empty())),
                remarks: with_options.then(|| WITH_OPTIONS.to_owned()).into_iter().collect(),
                written: grown.own_place(),
                branches,
                ..Branch::default()
            },
            uncertainty: grown.uncertainty(),
            remarks: parcels(design, subject)
                .into_iter()
                .chain(self.measured(subject, &budget, unit))
                .chain(remarks(design, (&total, budget.without_uncertainty), &missing, unit))
                .chain(tried.remark)
                .chain(tried_without)
                .collect(),
            trials: tried.row,
            ..Told::default()
        })
    }
}

impl Scope<'_> {
    /// What was measured of an assembly as a whole, and what its parts would come to.
    fn measured(&self, subject: &Subject, budget: &Budget, unit: &Unit) -> Option<String> {
        let (assessed, design) = (self.assessed, &*self.assessed.design);
        let stands_in = budget
            .contributions()
            .any(|own| own.part == subject.part && own.basis == Basis::Measured);
        if !stands_in || design.links[subject.part.index()].is_empty() {
            return None;
        }
        let is_of = |evidence: &Evidence| {
            evidence.value.is_some()
                && evidence.part.as_ref().is_some_and(|part| part.value == *design.id(subject.part))
                && evidence.quantity.as_ref().is_some_and(|named| named.value == subject.quantity)
        };
        let results = assessed.standings.results(design);
        let counting = results.filter(|(_, found, stands)| stands.is_current() && is_of(found));
        let names: Vec<&str> = counting.map(|(_, found, _)| found.id.as_str()).collect();
        let by_parts = budget_of(design, &StandIns::default(), subject).filter(|sum| !sum.empty);
        let by_parts = by_parts.map(|sum| {
            let text = Shown::basic(&sum.total, coverage_factor(design), unit);
            format!("; its parts come to {}", text.and_more(!sum.missing.is_empty()).text)
        });
        Some(format!(
            "measured as a whole by {}, which counts in the place of its parts{}",
            names.join(", "),
            by_parts.unwrap_or_default()
        ))
    }
}

/// What each part adds to a budget: as a part, as an optional one, or as both.
fn contributions(budget: &Budget, with_options: bool) -> BTreeMap<PartIx, Contribution> {
    let mut of: BTreeMap<PartIx, Contribution> =
        budget.contributions().map(|found| (found.part, found)).collect();
    let optional = budget.optional.iter().filter(|_| with_options);
    for more in optional {
        let Some(own) = of.get_mut(&more.part) else {
            of.insert(more.part, *more);
            continue;
        };
        own.multiplicity = own.multiplicity.saturating_add(more.multiplicity);
        own.total.basic += more.total.basic;
        own.total.predicted += more.total.predicted;
        // Pieces of one kind are alike.
        own.total.u += more.total.u;
        own.density = together(own.density, more.density);
    }
    of
}

/// What two lots of one part are uncertain by through the density of what they are made of.
fn together(one: Option<ByDensity>, other: Option<ByDensity>) -> Option<ByDensity> {
    let (Some(one), Some(other)) = (one, other) else { return one.or(other) };
    Some(one.plus(other))
}

/// The parts without a figure.
fn missing(budget: &Budget, with_options: bool) -> Vec<&(PartIx, Missing)> {
    let optional = if with_options { budget.missing_options.as_slice() } else { &[] };
    budget.missing.iter().chain(optional).collect()
}

/// Whether contributions along different paths add up to the whole.
fn adds_up(design: &Design, quantity: &Id) -> bool {
    design.quantities.get(quantity).is_some_and(|known| match known.source {
        Source::Figures => known.roll_up == RollUp::Sum,
        Source::Cost => true,
        Source::OrderCost | Source::Counted | Source::Centre => false,
    })
}

/// What an order counts for the part whose order it is.
fn parcels(design: &Design, subject: &Subject) -> Option<String> {
    let part = design.id(subject.part);
    let builds = count(usize::try_from(subject.builds).unwrap_or(usize::MAX), "build");
    match design.quantities.get(&subject.quantity)?.source {
        Source::OrderCost => {
            let bom = format!("`tagworthy bom --builds {}` has it", subject.builds);
            Some(format!("the order for {builds}; shipping counts for {part}; {bom}"))
        }
        Source::Cost => Some(format!("at the prices of an order for {builds}")),
        Source::Figures | Source::Counted | Source::Centre => None,
    }
}

fn remarks(
    design: &Design,
    (total, without): (&Total, usize),
    missing: &[&(PartIx, Missing)],
    unit: &Unit,
) -> Vec<String> {
    let growth = total.predicted - total.basic;
    let basic = (growth.abs() > 1e-12 * total.predicted.abs()).then(|| {
        let basic = Shown::basic(total, coverage_factor(design), unit);
        format!("{} before growth allowance", basic.text)
    });
    let exact = (without > 0).then(|| format!("{} without ±", count(without, "figure")));
    let missing =
        missing.iter().map(|(part, why)| format!("{} ({})", design.id(*part), missing_words(why)));
    let missing = some_of(missing, NAMED_PARTS);
    let missing = (!missing.is_empty()).then(|| format!("without a figure: {missing}"));
    [basic, missing, exact].into_iter().flatten().collect()
}

impl Grown<'_> {
    /// What `part` holds, the largest first; `pieces` of it are in the whole along this path.
    fn within(&self, part: PartIx, pieces: f64, left: &mut usize) -> Vec<Branch> {
        let design = &*self.scope.assessed.design;
        let mut branches: Vec<(f64, Branch)> = Vec::new();
        let links = design.links[part.index()].iter();
        for link in links.filter(|link| self.with_options || !link.optional) {
            *left = left.saturating_sub(1);
            if *left == 0 {
                return Vec::new();
            }
            let amount = pieces * link.amount.to_f64().unwrap_or(0.0);
            branches.extend(self.branch((part, link), amount, left));
        }
        sorted(branches)
    }

    /// One line of an assembly with everything beneath it; nothing where it adds nothing.
    fn branch(
        &self,
        (parent, link): (PartIx, &Link),
        pieces: f64,
        left: &mut usize,
    ) -> Option<(f64, Branch)> {
        let design = &*self.scope.assessed.design;
        let own = self.of.get(&link.child).map(|own| {
            let all = own.multiplicity.to_f64().unwrap_or(1.0);
            (*own, if all == 0.0 { 0.0 } else { pieces / all })
        });
        // What was measured of an assembly stands for everything beneath it; work on it does not.
        let is_closed = own.is_some() && self.subject.quantity.as_str() != "assembly-time";
        let branches = if is_closed { Vec::new() } else { self.within(link.child, pieces, left) };
        let beneath: f64 =
            branches.iter().filter_map(|inner| Some(inner.value.as_ref()?.base)).sum();
        let value = beneath + own.map_or(0.0, |(own, share)| own.total.predicted * share);
        if own.is_none() && branches.is_empty() {
            return None;
        }
        let u = own.filter(|_| branches.is_empty()).map_or(0.0, |(own, share)| own.total.u * share);
        let branch = Branch {
            name: amount_of(design, parent, link),
            value: Some(Shown::uncertain(value, coverage_factor(design) * u, self.unit)),
            share: self.share(value),
            basis: own.map(|(own, _)| own.basis),
            written: own.map(|_| self.place(link.child)),
            branches,
            ..Branch::default()
        };
        Some((value, branch))
    }

    /// Every contribution by itself, the largest first.
    fn flat(&self) -> Vec<Branch> {
        let design = &*self.scope.assessed.design;
        let all = self.of.values().filter(|own| own.part != self.subject.part);
        let branch = |own: &Contribution| {
            let branch = Branch {
                name: design.id(own.part).to_string(),
                value: Some(Shown::predicted(&own.total, coverage_factor(design), self.unit)),
                basis: Some(own.basis),
                written: Some(self.place(own.part)),
                ..Branch::default()
            };
            (own.total.predicted, branch)
        };
        sorted(all.map(branch).collect())
    }

    fn share(&self, value: f64) -> Option<f64> {
        (self.whole > 0.0).then(|| value.abs() / self.whole)
    }

    /// Where the whole's own figure is written, where it is made of that.
    fn own_place(&self) -> Option<super::FoundAt> {
        let part = self.subject.part;
        self.of.contains_key(&part).then(|| self.place(part))
    }

    /// Where the figure of a part is written: in its record, else in the result that was measured of
    /// it; else where the part begins.
    fn place(&self, part: PartIx) -> super::FoundAt {
        let design = &*self.scope.assessed.design;
        let record = design.record(part);
        let quantity = &self.subject.quantity;
        let results = self.scope.assessed.standings.results(design);
        let measured = results.filter(|(_, result, stands)| {
            let is_of = |of: &Option<crate::diagnostic::At<Id>>, id: &Id| {
                of.as_ref().is_some_and(|of| of.value == *id)
            };
            stands.is_current()
                && is_of(&result.part, &record.id)
                && is_of(&result.quantity, quantity)
        });
        if let Some((index, result, _)) = measured.last()
            && let Some(value) = &result.value
        {
            return self.scope.written(&design.evidence[index].path, value.span);
        }
        match written::of_part(design, part, quantity) {
            Some(found) => self.scope.written_at(&found),
            None => {
                let offer = record.offers.first().filter(|_| quantity.as_str() == "cost");
                let span = offer.map_or(record.id.span, |offer| offer.span);
                self.scope.written(&record.path, span)
            }
        }
    }

    /// What makes the sum uncertain: u² = Σ (n·uᵢ)², pieces of one kind being alike, and so all that has
    /// its mass from the density of one material (JCGM 100:2008, 5.1.2 and 5.2.2).
    fn uncertainty(&self) -> Vec<InputRow> {
        if !adds_up(&self.scope.assessed.design, &self.subject.quantity) {
            return Vec::new();
        }
        let mut by_density: BTreeMap<usize, f64> = BTreeMap::new();
        for density in self.of.values().filter_map(|own| own.density) {
            *by_density.entry(density.material).or_default() += density.u;
        }
        let alone = self.of.values().map(|own| (own, u_alone(own))).filter(|(_, u)| *u > 0.0);
        let squares = alone.clone().map(|(_, u)| u * u).chain(by_density.values().map(|u| u * u));
        let variance: f64 = squares.sum();
        let of_materials = by_density.iter().filter_map(|(at, u)| self.density(*at, *u, variance));
        let mut rows: Vec<InputRow> =
            alone.map(|(own, u)| self.input(own, u, variance)).chain(of_materials).collect();
        rows.sort_by(|a, b| b.share.total_cmp(&a.share));
        rows
    }

    fn input(&self, own: &Contribution, u: f64, variance: f64) -> InputRow {
        let design = &*self.scope.assessed.design;
        let pieces = own.multiplicity.to_f64().unwrap_or(1.0);
        let found = written::of_part(design, own.part, &self.subject.quantity);
        let unit = found.and_then(|found| found.unit).unwrap_or_else(|| self.unit.clone());
        InputRow {
            figure: format!("{} of {}", self.subject.quantity, design.id(own.part)),
            value: Shown::uncertain(own.each, coverage_factor(design) * u / pieces, &unit),
            sensitivity: pieces,
            sensitivity_text: format!("× {}", own.multiplicity.normalize()),
            share: u * u / variance,
            written: Some(self.place(own.part)),
        }
    }

    /// What the density of the material at this place adds, as `u` of the sum.
    fn density(&self, material: usize, u: f64, variance: f64) -> Option<InputRow> {
        let design = &*self.scope.assessed.design;
        let held = &design.materials[material];
        let (density, known) = (held.density.as_ref()?, density_of(design, material)?);
        let (unit, by) = (&density.measure.unit, u / known.1);
        Some(InputRow {
            figure: format!("density of {}", held.id.value),
            value: Shown::uncertain(known.0, coverage_factor(design) * known.1, unit),
            sensitivity: by,
            sensitivity_text: sensitivity(by, self.unit, unit),
            share: u * u / variance,
            written: Some(self.scope.written(&held.path, density.span)),
        })
    }
}

/// What of the uncertainty of a part's figures is that of no material.
fn u_alone(own: &Contribution) -> f64 {
    own.density.map_or(own.total.u, |density| density.rest)
}

fn sorted(mut branches: Vec<(f64, Branch)>) -> Vec<Branch> {
    branches.sort_by(|a, b| b.0.total_cmp(&a.0).then_with(|| a.1.name.cmp(&b.1.name)));
    branches.into_iter().map(|(_, branch)| branch).collect()
}

/// `led-panel`, `14 × screw-m3x8`, `0.35 m of felt`.
fn amount_of(design: &Design, parent: PartIx, link: &Link) -> String {
    let child = design.id(link.child);
    let amount = link.amount.normalize();
    if link.dimension != crate::quantity::Dimension::NONE {
        let mut uses = design.record(parent).contains.iter();
        let used = uses.find(|used| used.part.value == *child);
        let unit = used.map_or_else(Unit::none, |used| used.amount.unit.clone());
        return format!("{} of {child}", show_measure(amount.to_f64().unwrap_or(0.0), &unit));
    }
    if amount == rust_decimal::Decimal::ONE {
        child.to_string()
    } else {
        format!("{amount} × {child}")
    }
}

#[cfg(test)]
mod tests {
    use crate::report::samples::{assessed, sealed};
    use crate::report::{Place, why};

    /// Two litres of one density, 1 kg ± 0.2 kg each, and a lid of 1 kg ± 0.3 kg: of u², 0.2² kg² are the
    /// density's and 0.15² kg² the lid's.
    #[test]
    fn the_density_of_a_material_is_one_input() {
        let assessed = assessed(
            "[material.resin]\ndensity = \"1 kg/l ± 0.2 kg/l\"\n[part.scanner]\n\
             origin = \"assembled\"\ncontains = { foot = \"1 l\", base = \"1 l\", lid = 1 }\n\
             [part.foot]\norigin = \"bought\"\nmaterial = \"resin\"\n\
             [part.base]\norigin = \"bought\"\nmaterial = \"resin\"\n\
             [part.lid]\norigin = \"bought\"\nmass = \"1 kg ± 0.3 kg\"\n\
             [requirement.light]\npart = \"scanner\"\nquantity = \"mass\"\nat-most = \"5 kg\"\n",
        );
        let place = Place::Revision("3f2c9ab".into());
        let why = why(&assessed, "light", None, place, &|_, _| 7).expect("a requirement");
        let told = why.uncertainty.iter().map(|row| {
            let share = (100.0 * row.share).round();
            format!("{share} % {} {} {}", row.figure, row.value.text, row.sensitivity_text)
        });
        assert_eq!(
            told.collect::<Vec<_>>(),
            [
                "64 % density of resin 1.00 kg/l ± 0.20 kg/l 2 kg per kg/l",
                "36 % mass of lid 1.00 kg ± 0.30 kg × 1"
            ]
        );
    }

    /// Two lids of 20 g, weighed together at 42 g.
    #[test]
    fn what_was_weighed_as_a_whole_is_told_beside_its_parts() {
        let records = "[part.scanner]\norigin = \"assembled\"\ncontains = { lid = 2 }\n\
             [part.lid]\norigin = \"printed\"\nmass = \"20 g ± 1 g\"\n\
             [requirement.light]\npart = \"scanner\"\nquantity = \"mass\"\nat-most = \"50 g\"\n";
        let told = |text: &str| {
            let assessed = assessed(text);
            let place = Place::Revision("3f2c9ab".into());
            why(&assessed, "light", None, place, &|_, _| 7).expect("a requirement").remarks
        };
        let weighed = sealed(&format!(
            "{records}[evidence.scale]\npart = \"scanner\"\nquantity = \"mass\"\n\
             value = \"42 g ± 1 g\"\nmethod = \"test\"\nSEAL\n"
        ));
        let remark = "measured as a whole by scale, which counts in the place of its parts; its \
             parts come to 40.0 g ± 2.0 g";
        assert!(told(&weighed).contains(&remark.to_owned()), "{:?}", told(&weighed));
        assert!(!told(records).iter().any(|remark| remark.starts_with("measured")));
    }
}
