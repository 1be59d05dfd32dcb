//! What a name means, and which names are near one that means nothing.

use std::fmt;

use crate::design::{Design, PartIx};
use crate::diagnostic::did_you_mean;
use crate::evaluate::{Aim, PEAK_CURRENT, Subject};
use crate::record::Id;
use crate::verdict::{Assessed, Judged};

/// What can be looked into.
pub(super) enum Named<'a> {
    Requirement(&'a Judged),
    Part(PartIx),
    Rail(Id),
    Figure(PartIx, Id),
}

/// Nothing bears the name.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Unknown {
    /// The name.
    pub name: String,
    /// The name that was most likely meant, or those that there are, in words.
    pub nearest: Option<String>,
}

impl fmt::Display for Unknown {
    fn fmt(&self, formatter: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(formatter, "no requirement, part, rail or figure is called `{}`", self.name)?;
        let hint = self.nearest.as_deref().unwrap_or(
            "name a requirement, a part, a rail, a quantity of the product, or a figure of a part, as in \
             film-gate.mass",
        );
        write!(formatter, "\n{hint}")
    }
}

/// What `name` means: a requirement before a part before a rail before a quantity of the product, where
/// they bear the same one.
///
/// # Errors
/// Where nothing bears it.
pub(super) fn resolve<'a>(assessed: &'a Assessed, name: &str) -> Result<Named<'a>, Unknown> {
    let design = &*assessed.design;
    if let Some((part, quantity)) = name.split_once('.') {
        return figure(design, name, part, quantity);
    }
    let judged = assessed.judged.iter().find(|judged| judged.requirement.as_str() == name);
    let requirement = judged.map(Named::Requirement);
    let part = || design.part(name).map(Named::Part);
    let rail = || design.rail(name).map(|rail| Named::Rail(rail.id.value.clone()));
    let quantity = || design.quantities.keys().find(|known| known.as_str() == name);
    let of_product = || Some(Named::Figure(design.top, quantity()?.clone()));
    requirement.or_else(part).or_else(rail).or_else(of_product).ok_or_else(|| {
        let judged = assessed.judged.iter().map(|judged| judged.requirement.as_str());
        let parts = design.parts.iter().map(|part| part.id.as_str());
        let rails = design.rails.iter().map(|rail| rail.id.as_str());
        let near = || did_you_mean(name, judged.chain(parts).chain(rails));
        unknown(name, told_elsewhere(design, name).or_else(near))
    })
}

/// What a record of another kind is, and where it stands.
fn told_elsewhere(design: &Design, name: &str) -> Option<String> {
    let nodes = design.nodes.iter().map(|held| ("a node", &held.id, &held.path, ""));
    let materials = design.materials.iter().map(|held| ("a material", &held.id, &held.path, ""));
    let bought = "; `tagworthy bom` tells what is ordered there";
    let suppliers =
        design.suppliers.iter().map(|held| ("a supplier", &held.id, &held.path, bought));
    let judged = "; `tagworthy ready --variant` judges it";
    let variants = design.variants.iter().map(|held| ("a variant", &held.id, &held.path, judged));
    let evidence = design.evidence.iter().map(|held| ("evidence", &held.id, &held.path, ""));
    let listed = "; `tagworthy item list` tells of it";
    let items = design.items.iter().map(|held| ("an item", &held.id, &held.path, listed));
    let decisions = design.decisions.iter().map(|held| ("a decision", &held.id, &held.path, ""));
    let waivers = design.waivers.iter().map(|held| ("a waiver", &held.id, &held.path, ""));
    let done = "; `tagworthy steps` tells of it";
    let steps = design.steps.iter().map(|held| ("a step", &held.id, &held.path, done));
    let first = nodes.chain(materials).chain(suppliers).chain(variants).chain(evidence);
    let mut all = first.chain(items).chain(decisions).chain(waivers).chain(steps);
    let (kind, _, path, more) = all.find(|(_, id, ..)| id.as_str() == name)?;
    Some(format!("it is {kind}, in {path}{more}"))
}

fn unknown(name: &str, nearest: Option<String>) -> Unknown {
    Unknown { name: name.to_owned(), nearest }
}

fn figure<'a>(
    design: &Design,
    name: &str,
    part_id: &str,
    quantity: &str,
) -> Result<Named<'a>, Unknown> {
    if let Some(rail) = design.rail(part_id).filter(|_| quantity == PEAK_CURRENT) {
        return Ok(Named::Rail(rail.id.value.clone()));
    }
    let Some(part) = design.part(part_id) else {
        let ids = design.parts.iter().map(|part| part.id.as_str());
        return Err(unknown(name, did_you_mean(part_id, ids)));
    };
    let known = figures_of(design, part);
    match known.iter().find(|known| known.as_str() == quantity) {
        Some(known) => Ok(Named::Figure(part, known.clone())),
        None => {
            let names = known.iter().map(Id::as_str);
            Err(unknown(name, did_you_mean(quantity, names)))
        }
    }
}

/// Everything that can be asked of a part: quantities of the design, and what its record names.
fn figures_of(design: &Design, part: PartIx) -> Vec<Id> {
    let record = design.record(part);
    let own = record.formulas.iter().map(|(name, _)| name);
    let own = own.chain(record.dimensions.iter().map(|(name, _)| name));
    let own = own.chain(record.settings.iter().map(|(name, _)| name));
    let own = own.chain(record.values.iter().map(|(name, _)| name));
    let own = own.map(|name| name.value.clone());
    own.chain(design.quantities.keys().cloned()).collect()
}

impl super::Scope<'_> {
    /// The budget of a quantity: the one that is kept, of whatever order, else of one build.
    pub(super) fn subject(&self, part: PartIx, quantity: &Id) -> Subject {
        let mut kept = self.assessed.figures.budgets.keys();
        let kept = kept.find(|known| known.part == part && known.quantity == *quantity);
        let one = || Subject { part, quantity: quantity.clone(), builds: 1 };
        kept.cloned().unwrap_or_else(one)
    }

    /// What a computed figure is called.
    pub(super) fn name_of(&self, aim: &Aim) -> String {
        match aim {
            Aim::Part(part, quantity) => {
                format!("{quantity} of {}", self.assessed.design.id(*part))
            }
            Aim::Rail(rail) => format!("peak current of {rail}"),
        }
    }
}
