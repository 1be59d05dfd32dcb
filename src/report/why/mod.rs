//! How a figure or a verdict comes about, down to every input with its file and line.

mod budget;
mod computed;
mod evidence;
mod name;
mod part;
mod trials;
mod written;

use serde::Serialize;

use super::computed::LoadRow;
use super::judged_on::unit_of;
use super::ledger::{OriginRow, WITH_OPTIONS};
use super::place::{Lines, Place};
use super::requirements::{self, LimitRow, RequirementRow};
use super::shown::{Shown, stands};
use crate::compare::unit_of_figure;
use crate::design::PartIx;
use crate::evaluate::Aim;
use crate::quantity::{Basis, Unit};
use crate::record::Id;
use crate::verdict::{Assessed, Judged, Side};

pub use evidence::ResultRow;
pub use name::Unknown;
pub use part::{PartWhy, Stated};
pub use trials::TrialsRow;
pub use written::FoundAt;

use name::Named;

/// How something comes about.
#[derive(Clone, Debug, Serialize)]
pub struct Why {
    /// All of it in one line.
    pub headline: String,
    /// The design.
    pub design: Id,
    /// The variant that was looked into, where it is not the design itself.
    pub variant: Option<Id>,
    /// The state of the repository.
    pub place: Place,
    /// What was asked for.
    pub name: String,
    /// The requirement, where one was asked for.
    pub requirement: Option<RequirementRow>,
    /// What it is made of; nothing of a part.
    pub tree: Option<Branch>,
    /// What makes it uncertain, the largest share of the variance first.
    pub uncertainty: Vec<InputRow>,
    /// What would lower a temperature, the strongest first.
    pub levers: Vec<String>,
    /// What takes how much from a rail at its peak, the largest first.
    pub loads: Vec<LoadRow>,
    /// The same by random trials, where they were asked for.
    pub trials: Option<TrialsRow>,
    /// What was seen on the bench, and whether it still says something.
    pub evidence: Vec<ResultRow>,
    /// What is known of the part, where one was asked for.
    pub part: Option<PartWhy>,
    /// Through which revision it is what it is; nothing where nobody looked back.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub origin: Option<OriginRow>,
    /// What should be known besides.
    pub remarks: Vec<String>,
}

/// One line of a tree, with what it is made of.
#[derive(Clone, Debug, Default, Serialize)]
pub struct Branch {
    /// What it is: `carry-mass`, `mass of scanner`, `led-panel`, `14 × screw-m3x8`.
    pub name: String,
    /// What it comes to.
    pub value: Option<Shown>,
    /// Its share of the whole, where shares add up.
    pub share: Option<f64>,
    /// How it is known.
    pub basis: Option<Basis>,
    /// Where it is written.
    pub written: Option<FoundAt>,
    /// What should be known of it.
    pub remarks: Vec<String>,
    /// What it is made of, the largest first.
    pub branches: Vec<Branch>,
}

/// One line of an uncertainty budget.
#[derive(Clone, Debug, Serialize)]
pub struct InputRow {
    /// The figure: `modulus of camera-arm`.
    pub figure: String,
    /// Its value with its expanded uncertainty.
    pub value: Shown,
    /// How the result follows it, in base units.
    pub sensitivity: f64,
    /// The same in the units shown: `0.89 mm/K`.
    pub sensitivity_text: String,
    /// Its share of the variance, 0 to 1.
    pub share: f64,
    /// Where it is written.
    pub written: Option<FoundAt>,
}

/// What was found of a figure.
#[derive(Default)]
struct Told {
    branch: Branch,
    uncertainty: Vec<InputRow>,
    levers: Vec<String>,
    loads: Vec<LoadRow>,
    trials: Option<TrialsRow>,
    remarks: Vec<String>,
}

/// A judged design that is looked into.
#[derive(Clone, Copy)]
struct Scope<'a> {
    assessed: &'a Assessed,
    lines: Lines<'a>,
    trials: Option<usize>,
}

/// How what is called `name` comes about: a requirement, a part, a rail, or a figure of a part; with
/// so many random trials of it. `lines` says on which line of a file a span begins.
///
/// # Errors
/// Where nothing bears the name.
pub fn why(
    assessed: &Assessed,
    name: &str,
    trials: Option<usize>,
    place: Place,
    lines: Lines<'_>,
) -> Result<Why, Unknown> {
    let scope = Scope { assessed, lines, trials };
    let design = &assessed.design;
    let named = name::resolve(assessed, name)?;
    let judged = if let Named::Requirement(judged) = &named { Some(*judged) } else { None };
    let told = match &named {
        Named::Requirement(judged) => scope.requirement(judged),
        Named::Rail(rail) => scope.computed(&Aim::Rail(rail.clone()), None, &scope.rail_unit(rail)),
        Named::Figure(part, quantity) => scope.figure(*part, quantity),
        Named::Part(_) => Told::default(),
    };
    let part = if let Named::Part(part) = &named { Some(scope.part(*part)) } else { None };
    let tree = part.is_none().then_some(told.branch);
    Ok(Why {
        headline: headline(assessed, &place, name, tree.as_ref(), judged),
        design: design.name.clone(),
        variant: design.variant.clone(),
        place,
        name: name.to_owned(),
        requirement: judged.map(|judged| requirements::row(assessed, judged)),
        tree,
        uncertainty: told.uncertainty,
        levers: told.levers,
        loads: told.loads,
        trials: told.trials,
        evidence: scope.evidence(&named),
        part,
        origin: None,
        remarks: told.remarks,
    })
}

/// `carry-mass is thin: 1352.8 g ± 8.8 g, at most 1375 g (lantern at 3f2c9ab)`.
fn headline(
    assessed: &Assessed,
    place: &Place,
    name: &str,
    tree: Option<&Branch>,
    judged: Option<&Judged>,
) -> String {
    let design = &assessed.design;
    let variant = design.variant.as_ref().map(|variant| format!(" as {variant}"));
    let of = format!("{}{} {}", design.name, variant.unwrap_or_default(), place.phrase());
    let value = tree.and_then(|tree| tree.value.as_ref()).map(|value| value.text.as_str());
    let told = match (judged, value) {
        (Some(judged), value) => {
            let promised = requirements::promised(&design.requirements[judged.index]);
            let options = if judged.by_options { &format!(" {WITH_OPTIONS}") } else { "" };
            let value = value.map(|value| format!("{value}{options}, ")).unwrap_or_default();
            format!("{name} {}: {value}{promised}", stands(judged.verdict))
        }
        (None, Some(value)) => format!("{name} is {value}"),
        (None, None) if tree.is_some() => format!("{name} is not known"),
        (None, None) => name.to_owned(),
    };
    format!("{of}: {told}")
}

/// What is left to each limit; which one is meant is said where there are several.
fn limit_remarks(limits: &[LimitRow]) -> Vec<String> {
    let which = |limit: &LimitRow| match limit.side {
        Side::AtMost => format!(", at most {}", limit.limit.text),
        Side::AtLeast => format!(", at least {}", limit.limit.text),
    };
    let which = |limit| if limits.len() > 1 { which(limit) } else { String::new() };
    limits.iter().map(|limit| format!("{}{}", limit.text, which(limit))).collect()
}

impl Scope<'_> {
    /// A requirement, with the figure that it is about beneath it.
    fn requirement(&self, judged: &Judged) -> Told {
        let design = &self.assessed.design;
        let requirement = &design.requirements[judged.index];
        let unit = unit_of(design, requirement, judged);
        let row = requirements::row(self.assessed, judged);
        let inner = match (&judged.aimed, &judged.subject) {
            (Some(aimed), _) => Some(self.computed(&aimed.aim, Some(aimed.end), &unit)),
            (None, Some(subject)) => self.budget(subject, &unit, judged.by_options),
            (None, None) => None,
        };
        let mut told = inner.unwrap_or_default();
        let is_told = !told.branch.name.is_empty();
        told.branch = Branch {
            name: format!("{} {}", judged.requirement, row.promised),
            value: row.value,
            written: Some(self.written(&requirement.path, requirement.id.span)),
            branches: if is_told { vec![told.branch] } else { Vec::new() },
            ..Branch::default()
        };
        told.remarks.splice(0..0, limit_remarks(&row.limits).into_iter().chain(row.remarks));
        let mut seen: Vec<String> = Vec::new();
        told.remarks.retain(|remark| {
            let with_more = format!("{remark}; ");
            let is_new = !seen.iter().any(|one| one == remark || one.starts_with(&with_more));
            seen.push(remark.clone());
            is_new
        });
        told
    }

    /// A figure of a part, whether or not anything was promised of it.
    fn figure(&self, part: PartIx, quantity: &Id) -> Told {
        let unit = unit_of_figure(&self.assessed.design, part, quantity);
        if let Some(aim) = Aim::of_part(&self.assessed.design, part, quantity) {
            return self.computed(&aim, None, &unit);
        }
        self.budget(&self.subject(part, quantity), &unit, false).unwrap_or_default()
    }

    fn rail_unit(&self, rail: &Id) -> Unit {
        let rating = self.assessed.design.rail(rail.as_str()).and_then(|rail| rail.rating.as_ref());
        let written = rating.map(|rating| rating.unit.clone());
        written.or_else(|| Unit::parse("A").ok()).unwrap_or_else(Unit::none)
    }
}

#[cfg(test)]
mod tests;
