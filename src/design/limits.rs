//! Limits, margins, allowances, rates: everything that is compared with a quantity has its dimension.

use std::collections::BTreeMap;

use super::findings::Findings;
use super::formulas::{Kinds, names_of, stated};
use super::link::{NO_RATE, WRONG_KIND, bad_value};
use super::parts::{one_unit_of, part_keys};
use super::{BUILT_IN, COUNTED, Design, Held, PartIx};
use crate::diagnostic::{At, Diagnostic, Span, did_you_mean};
use crate::fileset::RepoPath;
use crate::parse::{BAD_ID, CONTRADICTION};
use crate::quantity::{Currency, Dimension, Kind, Money};
use crate::record::{
    Allowance, Evidence, Id, Margin, Offer, Part, Requirement, RollUp, Waived, Waiver,
};

/// The manifest's own quantities, allowances and rates.
pub(super) fn manifest(design: &Design, findings: &mut Findings) {
    let path = &design.manifest_path;
    for table in &design.manifest.quantities {
        let (id, table) = &**table;
        let name = id.as_str();
        let taken = if BUILT_IN.iter().chain(&COUNTED).any(|(built_in, _)| name == *built_in) {
            Some("a built-in quantity")
        } else {
            part_keys().contains(&name).then_some("a key of every part")
        };
        if let Some(taken) = taken {
            let message = format!("`{name}` is {taken} already");
            findings.push(path, Diagnostic::error(BAD_ID, id.span, message));
        }
        let (_, kind) = &table.unit.value;
        let adds = matches!(table.roll_up.value, RollUp::Sum | RollUp::RootSumSquare);
        if adds && (kind.point || kind.dimension == Dimension::LEVEL) {
            let message = format!("{kind} cannot be summed");
            let diagnostic = Diagnostic::error(WRONG_KIND, table.roll_up.span, message);
            findings.push(path, diagnostic.with_hint("roll-up = \"max\", \"min\" or \"none\""));
        }
    }
    allowances(design, findings);
    // Where the design's currency is not known, that is what is wrong.
    let is_known = design.currency != Currency::NONE;
    for (currency, exchange) in design.manifest.exchange.iter().filter(|_| is_known) {
        if currency.value == design.currency {
            let message = format!("{} is the design's own currency", currency.code());
            findings.push(path, bad_value(currency.span, message));
        } else if exchange.rate.currency != design.currency {
            let (from, to) = (currency.code(), design.currency.code());
            let message = format!("the rate of {from} must be in {to}, the design's currency");
            findings.push(path, bad_value(exchange.rate.span, message));
        }
    }
}

fn allowances(design: &Design, findings: &mut Findings) {
    let path = &design.manifest_path;
    for (name, allowances) in &design.manifest.allowance {
        let Some(quantity) = design.quantities.get(&name.value) else {
            let known = design.quantities.keys().map(Id::as_str);
            findings.dangling(path, name, "quantity", known);
            continue;
        };
        let difference = Kind::of(quantity.kind.dimension);
        for (_, allowance) in &allowances.0 {
            match &allowance.value {
                Allowance::Amount(amount) => {
                    expect(amount.kind, difference, allowance.span, path, findings);
                }
                Allowance::Share(_) if quantity.kind.point => {
                    let message = "the allowance of a temperature is a difference in K";
                    findings.push(path, Diagnostic::error(WRONG_KIND, allowance.span, message));
                }
                Allowance::Share(_) => {}
            }
        }
    }
}

/// Limits and margins against the quantity that they are about; waivers likewise.
pub(super) fn requirements(design: &Design, kinds: &Kinds, findings: &mut Findings) {
    for requirement in &design.requirements {
        let kind = match (&requirement.rail, &requirement.quantity) {
            (Some(_), _) => Some(Kind::of(Dimension::CURRENT)),
            (None, Some(quantity)) => quantity_kind(
                design,
                requirement.part.as_ref(),
                quantity,
                kinds,
                &requirement.path,
                findings,
            ),
            (None, None) => None,
        };
        if let Some(kind) = kind {
            limits(requirement, kind, findings);
        }
    }
    for waiver in &design.waivers {
        check_up_to(design, waiver, kinds, findings);
    }
}

/// The kind of `quantity` as `part` knows it; a diagnostic where it does not.
fn quantity_kind(
    design: &Design,
    part: Option<&At<Id>>,
    quantity: &At<Id>,
    kinds: &Kinds,
    by: &RepoPath,
    findings: &mut Findings,
) -> Option<Kind> {
    let ix = part.and_then(|part| design.part(part.as_str()));
    if let Some(known) = design.quantities.get(&quantity.value) {
        let amounts = ix.map_or(Dimension::NONE, |ix| design.amounts[ix.index()]);
        return Some(one_unit_of(known, amounts));
    }
    let ix = ix?;
    let record = design.record(ix);
    let derived = record.formulas.iter().any(|(name, _)| name.value == quantity.value);
    if derived {
        return kinds.get(&(ix, quantity.value.clone())).copied();
    }
    let found = stated(record, quantity.as_str());
    if found.is_none() {
        let known = names_of(record, &design.quantities);
        findings.dangling(by, quantity, "quantity", known.iter().map(String::as_str));
    }
    found
}

fn limits(requirement: &Held<Requirement>, kind: Kind, findings: &mut Findings) {
    let path = &requirement.path;
    let limits = &requirement.limits;
    for limit in limits.at_most.iter().chain(&limits.at_least).chain(&limits.equals) {
        expect(limit.kind, kind, limit.span, path, findings);
    }
    let difference = Kind::of(kind.dimension);
    if let Some(within) = &limits.within {
        expect(within.kind, difference, within.span, path, findings);
    }
    match requirement.margin.as_ref().map(|margin| (&margin.value, margin.span)) {
        Some((Margin::Absolute(margin), span)) => {
            expect(margin.kind, difference, span, path, findings);
        }
        Some((Margin::Share(_), span)) if kind.point => {
            let message = "the margin of a temperature is a difference in K, not a percentage";
            findings.push(path, Diagnostic::error(WRONG_KIND, span, message));
        }
        _ => {}
    }
}

fn expect(found: Kind, wanted: Kind, span: Span, path: &RepoPath, findings: &mut Findings) {
    if found != wanted {
        let message = format!("this is {found}, where {wanted} is wanted");
        let diagnostic = Diagnostic::error(WRONG_KIND, span, message);
        findings.push(path, diagnostic.with_hint_if(wanted.instead_of(found)));
    }
}

fn check_up_to(design: &Design, waiver: &Held<Waiver>, kinds: &Kinds, findings: &mut Findings) {
    let (Some(up_to), Some(Waived::Requirement(requirement))) = (&waiver.up_to, &waiver.waived)
    else {
        return;
    };
    let Some(requirement) = design.requirement(requirement.as_str()) else { return };
    if requirement.rail.is_some() {
        let current = Kind::of(Dimension::CURRENT);
        expect(up_to.kind, current, up_to.span, &waiver.path, findings);
        return;
    }
    let Some(quantity) = &requirement.quantity else {
        let message = "`up-to` needs a requirement with a quantity";
        findings.push(&waiver.path, bad_value(up_to.span, message));
        return;
    };
    let mut silent = Findings::default();
    let part = requirement.part.as_ref();
    if let Some(kind) = quantity_kind(design, part, quantity, kinds, &waiver.path, &mut silent) {
        expect(up_to.kind, kind, up_to.span, &waiver.path, findings);
    }
}

/// Values of evidence against the quantity that they are of.
pub(super) fn evidence(design: &Design, kinds: &Kinds, findings: &mut Findings) {
    for held in &design.evidence {
        let Evidence { part, quantity: Some(quantity), value: Some(value), .. } = &*held.record
        else {
            continue;
        };
        let kind = quantity_kind(design, part.as_ref(), quantity, kinds, &held.path, findings);
        let Some(kind) = kind else { continue };
        let is_bare = value.measure.unit.symbol().is_empty();
        if is_bare && kind != value.measure.kind {
            let message = format!("a unit is missing: {kind} is wanted");
            findings.push(&held.path, Diagnostic::error(WRONG_KIND, value.span, message));
        } else {
            expect(value.measure.kind, kind, value.span, &held.path, findings);
        }
    }
}

/// The prices of one part can be brought into the design's currency.
pub(super) fn money_of(design: &Design, part: PartIx, findings: &mut Findings) {
    let part = design.record(part);
    check_offers(design, &part.offers, &part.path, findings);
}

/// What each code of a supplier names, as a part has it.
pub(super) fn articles(part: &Part) -> impl Iterator<Item = impl PartialEq + use<'_>> {
    let coded = part.offers.iter().filter_map(|offer| Some((offer.code.as_ref()?, offer)));
    coded.map(|(code, offer)| {
        (&offer.supplier.value, &code.value, &offer.pack.value, &offer.price.value)
    })
}

/// Every price can be brought into the design's currency.
pub(super) fn money(design: &Design, findings: &mut Findings) {
    let rule = &design.manifest.rule;
    if let Some(machine_hour) = &rule.machine_hour {
        check_rate(design, machine_hour, &design.manifest_path, findings);
    }
    for part in &design.parts {
        check_offers(design, &part.offers, &part.path, findings);
    }
    for material in &*design.materials {
        check_offers(design, &material.offers, &material.path, findings);
    }
    same_articles(design, findings);
    for supplier in &design.suppliers {
        for money in supplier.shipping.iter().chain(&supplier.free_over) {
            check_rate(design, money, &supplier.path, findings);
        }
    }
}

fn check_offers(design: &Design, offers: &[Offer], path: &RepoPath, findings: &mut Findings) {
    for offer in offers {
        check_rate(design, &offer.price, path, findings);
    }
}

/// A supplier's code names one article: whatever refers to it must give the same pack and price.
fn same_articles(design: &Design, findings: &mut Findings) {
    let of_parts = design
        .parts
        .iter()
        .flat_map(|part| part.offers.iter().map(move |offer| (offer, &part.id, &part.path)));
    let of_materials = design.materials.iter().flat_map(|material| {
        material.offers.iter().map(move |offer| (offer, &material.id, &material.path))
    });
    let mut articles: BTreeMap<(&Id, &str), (&Offer, &At<Id>)> = BTreeMap::new();
    for (offer, of, path) in of_parts.chain(of_materials) {
        let Some(code) = &offer.code else { continue };
        let article = (&offer.supplier.value, code.value.as_str());
        let (first, owner) = *articles.entry(article).or_insert((offer, of));
        let (pack, price) = (&offer.pack.value, &offer.price.value);
        if owner.value != of.value && (first.pack.value != *pack || first.price.value != *price) {
            let message = format!(
                "`{}` offers `{}` with another pack or price for `{}`",
                offer.supplier.as_str(),
                code.value,
                owner.as_str()
            );
            findings.push(path, Diagnostic::error(CONTRADICTION, code.span, message));
        }
    }
}

fn check_rate(design: &Design, money: &At<Money>, path: &RepoPath, findings: &mut Findings) {
    if design.rate_of(money.currency).is_some() {
        return;
    }
    let code = money.currency.code();
    let known = design.manifest.exchange.iter().map(|(currency, _)| currency.code());
    let hint = format!(
        "add {code} = {{ rate = \"… {}\", on = … }} to [exchange] in tagworthy.toml",
        design.currency.code()
    );
    let message = format!("there is no rate for {code}");
    let near = did_you_mean(code, known).filter(|hint| hint.starts_with("did"));
    let diagnostic = Diagnostic::error(NO_RATE, money.span, message);
    findings.push(path, diagnostic.with_hint_if(near.or(Some(hint))));
}

impl Design {
    /// What one unit of `currency` is worth in the design's, by the manifest's dated rate.
    #[must_use]
    pub fn rate_of(&self, currency: Currency) -> Option<rust_decimal::Decimal> {
        if currency == self.currency {
            return Some(rust_decimal::Decimal::ONE);
        }
        let rates = &self.manifest.exchange;
        let found = rates.iter().find(|(known, _)| known.value == currency);
        found.map(|(_, exchange)| exchange.rate.amount)
    }
}
