//! Why a figure is not known, in words.

use super::super::centre::{Lacks, NoCentre};
use super::super::formula::{Undefined, Unresolved};
use super::super::rails;
use super::Uncomputed;
use crate::design::{Design, PartIx};
use crate::record::Id;

/// Parts that are named for one reason.
const NAMED_PARTS: usize = 3;

impl Uncomputed {
    /// The reason, without a full stop.
    #[must_use]
    pub fn words(&self, design: &Design) -> String {
        match self {
            Self::Undefined(undefined) => of_undefined(undefined, design),
            Self::Unresolved(unresolved) => of_unresolved(unresolved, design),
            Self::NoAmbient => "the manifest gives no [ambient] for it".into(),
            Self::NoTemperature(part) => {
                format!("the heat paths of {} give no temperature", design.id(*part))
            }
            Self::Rails(fault) => fault.words(),
            Self::NoDerating => "the temperature that derates the rail is not known".into(),
            Self::NoCentre(why) => of_centre(why, design),
        }
    }

    /// The parts without a figure that stand in the way.
    #[must_use]
    pub fn parts(&self) -> Vec<PartIx> {
        match self {
            Self::Unresolved(Unresolved::Missing { part, parts, .. }) if parts.is_empty() => {
                vec![*part]
            }
            Self::Unresolved(Unresolved::Missing { parts, .. }) => {
                parts.iter().map(|(part, _)| *part).collect()
            }
            Self::NoTemperature(part) => vec![*part],
            Self::NoCentre(NoCentre::Lacking(lacking)) => {
                lacking.iter().map(|(part, _)| *part).collect()
            }
            _ => Vec::new(),
        }
    }
}

impl rails::Fault {
    /// What is wrong, without a full stop.
    #[must_use]
    pub fn words(&self) -> String {
        match self {
            Self::NoEfficiency(rail) => format!("the efficiency of {rail} is not above zero"),
            Self::NoVoltage(rail) => format!("{rail} feeds another rail and has no voltage"),
            Self::Cycle(rail) => format!("{rail} feeds itself through other rails"),
            Self::TooLarge => "there are more rails and loads than are followed".into(),
        }
    }
}

fn of_centre(why: &NoCentre, design: &Design) -> String {
    let NoCentre::Lacking(lacking) = why else { return "nothing in it has a mass".into() };
    let told = lacking.iter().take(NAMED_PARTS).map(|(part, lacks)| {
        let id = design.id(*part);
        match lacks {
            Lacks::Mass(_) => format!("{id} has no mass"),
            Lacks::Centre(None) => format!("{id} states no centre of mass"),
            Lacks::Centre(Some(why)) => format!("{id} {}", why.words()),
            Lacks::Place(within) => format!("{id} has no place in {}", design.id(*within)),
        }
    });
    let told = told.collect::<Vec<_>>().join(", ");
    let more = lacking.len().saturating_sub(NAMED_PARTS);
    if more > 0 { format!("{told} and {more} more") } else { told }
}

fn of_undefined(undefined: &Undefined, design: &Design) -> String {
    let why = undefined.why.words();
    let Some((part, name)) = &undefined.formula else { return why.into() };
    let formulas = &design.record(*part).formulas;
    let text = formulas.iter().find(|(known, _)| known.value == *name);
    let place = text.and_then(|(_, text)| text.get(undefined.span.clone()));
    let place = place.map(|place| format!(", in `{place}`")).unwrap_or_default();
    format!("{} is {why}{place}", of_part(design, *part, name))
}

fn of_unresolved(unresolved: &Unresolved, design: &Design) -> String {
    match unresolved {
        Unresolved::NoFormula(part, name) => {
            format!("{} cannot be read", of_part(design, *part, name))
        }
        Unresolved::UnknownName { formula: (part, formula), name } => {
            format!("nothing is called `{name}` for {}", of_part(design, *part, formula))
        }
        Unresolved::Missing { part, quantity, parts } if parts.is_empty() => {
            format!("{} is not known", of_part(design, *part, quantity))
        }
        Unresolved::Missing { part, quantity, parts } => {
            let ids = parts.iter().take(NAMED_PARTS).map(|(part, _)| design.id(*part).as_str());
            let named = ids.collect::<Vec<_>>().join(", ");
            let more = parts.len().saturating_sub(NAMED_PARTS);
            let more = if more > 0 { format!(" and {more} more") } else { String::new() };
            format!("{} lacks a figure of {named}{more}", of_part(design, *part, quantity))
        }
        Unresolved::Cycle(part, name) => {
            format!("{} needs itself", of_part(design, *part, name))
        }
        Unresolved::TooLarge => "it needs more formulas than are followed".into(),
    }
}

fn of_part(design: &Design, part: PartIx, name: &Id) -> String {
    format!("{name} of {}", design.id(part))
}
