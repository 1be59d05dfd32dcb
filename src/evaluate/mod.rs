//! A linked design → its figures: every budget at the part that it is asked for, with what it is
//! made of. One file a computation; all of them linear in the edges of the design.

mod asked;
mod budget;
pub mod centre;
pub mod chain;
mod computed;
mod cost;
mod counted;
mod derived;
mod distribution;
pub mod formula;
pub mod heat;
mod kept;
mod known;
mod made;
pub mod monte_carlo;
mod multiplicity;
mod named;
mod number;
mod offers;
mod open_work;
mod order;
mod own;
mod plan;
mod printed;
pub mod purchase;
pub mod rails;
pub mod reconcile;
mod since;
mod softening;
mod stand_ins;
mod steady;
mod subjects;
mod term;
#[cfg(test)]
mod tests;
mod trace;
mod whole;

use std::collections::{BTreeMap, BTreeSet};

use rust_decimal::Decimal;
use serde::{Deserialize, Serialize};

use crate::design::{Design, PartIx};
use crate::quantity::Basis;
use crate::record::{Id, Requirement};
use crate::threads::in_halves;

use computed::Computer;
use since::Since;
use term::Terms;
use whole::{Context, Frame};

pub use asked::{Draws, budget_of, computed_of, trials_of, trials_of_budget};
pub use centre::{Lacks, Moment, NoCentre};
pub use chain::Worst;
pub use computed::{Aim, By, Computed, End, PEAK_CURRENT, Uncomputed};
pub use heat::{Extreme, Lever, levers};
pub use kept::KeptFigures;
pub use known::{ByDensity, Measured, coverage_factor, density_of, measured};
pub use multiplicity::{Multiplicities, multiplicities};
pub(crate) use number::Number;
pub use open_work::{OpenWork, Work, open_work};
pub use printed::Unprinted;
pub use rails::{Currents, Drawer, Drawn, Rated};
pub use softening::{Softening, softening};
pub use stand_ins::StandIns;
pub use steady::Steady;
pub use trace::{Place, Share, Slope, Source, Traced};

/// What a budget is asked for.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
pub struct Subject {
    /// The part whose budget it is.
    pub part: PartIx,
    /// A quantity of the design, or a named value of the part.
    pub quantity: Id,
    /// Number of builds in the order that a cost is meant of; 1 for all else.
    pub builds: u64,
}

impl Subject {
    /// The budget that a requirement is judged on, where it is about a quantity of a part.
    #[must_use]
    pub fn of(design: &Design, requirement: &Requirement) -> Option<Self> {
        subjects::of_requirement(design, requirement)
    }
}

/// A value with its uncertainty and its growth allowance.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct Total {
    /// Sum (or maximum …) of the figures, in base units.
    pub basic: f64,
    /// The same with the growth allowance by basis.
    pub predicted: f64,
    /// Standard uncertainty, in base units.
    pub u: f64,
    /// Basic and predicted as exact money, where it is a cost.
    pub money: Option<(Decimal, Decimal)>,
}

/// What one part adds to a budget.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct Contribution {
    /// The part.
    pub part: PartIx,
    /// How many of it (or how much) the whole holds.
    pub multiplicity: Decimal,
    /// The figure of one, in base units.
    pub each: f64,
    /// All of them.
    pub total: Total,
    /// How the figure is known.
    pub basis: Basis,
    /// Whether the figure says how sure it is.
    pub uncertain: bool,
    /// What of the uncertainty of all of them is that of their material's density.
    pub density: Option<ByDensity>,
}

/// Why a part has no figure.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
pub enum Missing {
    /// It states none.
    Figure,
    /// It has a formula for it, which has no value or needs itself.
    Formula,
    /// It states none, and its mesh does not give it either.
    Mesh(Unprinted),
    /// It is bought and nobody offers it.
    Offer,
    /// It is made of a material that is not named, or that has no offer.
    MaterialOffer,
    /// Its mass is not known, which its material's cost follows from.
    Mass,
    /// The unit of sale is no multiple of what is contained (pieces against metres).
    PackUnit,
    /// Beyond what the arithmetic holds.
    Overflow,
}

/// An assembly's own figure beside its roll-up.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct OwnFigure {
    /// The figure that the assembly states, in base units.
    pub value: f64,
    /// Its standard uncertainty.
    pub u: f64,
    /// Whether the two differ by more than their expanded uncertainties together.
    pub disagrees: bool,
}

/// One quantity of one part, with everything beneath it.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct Budget {
    /// Without optional parts.
    pub total: Total,
    /// With all of them, where there are any.
    pub with_options: Option<Total>,
    /// What the optional parts would add, in the order of parts.
    pub optional: Vec<Contribution>,
    /// Parts without a figure, in the order of parts: the total is then a lower bound.
    pub missing: Vec<(PartIx, Missing)>,
    /// Further parts without a figure once all optional parts are in: the total with options is then
    /// a lower bound.
    pub missing_options: Vec<(PartIx, Missing)>,
    /// How many figures count as exact because they do not say how sure they are.
    pub without_uncertainty: usize,
    /// The assembly's own figure, where it states one.
    pub own: Option<OwnFigure>,
    /// No part states the quantity: there is nothing to judge.
    pub empty: bool,
    /// What it is made of; optional parts not among them.
    terms: Terms,
    /// The same with them.
    terms_with_options: Option<Terms>,
}

impl Budget {
    /// What it is made of, in the order of parts; optional parts not among them.
    pub fn contributions(&self) -> impl Iterator<Item = Contribution> {
        self.terms.contributions()
    }

    /// Of the contributions here and in the budget of another state, those that are not plainly the
    /// same in both; `alike` says that the states are surely built alike.
    #[must_use]
    pub fn contributions_apart(&self, other: &Self, alike: bool) -> [Vec<Contribution>; 2] {
        self.terms.apart(&other.terms, alike)
    }
}

/// Every figure that was asked for.
#[derive(Clone, Debug, Default)]
pub struct Figures {
    /// By subject.
    pub budgets: BTreeMap<Subject, Budget>,
    /// Figures that follow by more than a roll-up, or why they are not known.
    pub computed: BTreeMap<Aim, Result<Computed, Uncomputed>>,
    /// The product at work, where anything in it leads heat or feeds current.
    pub steady: Option<Steady>,
    /// What a later state may have in common with this one.
    frame: Option<Frame>,
}

/// Every budget and every computed figure that the design's requirements ask for, and every quantity
/// in use at its top.
/// `stand_ins` were measured of whole parts as they are, and count in place of what those hold.
///
/// Where another state of the design was evaluated `before`, what nothing moved since is taken from
/// there: the figures are those that would be worked out from nothing.
#[must_use]
pub fn figures(
    before: Option<(&Design, &Figures)>,
    design: &Design,
    stand_ins: &StandIns,
) -> Figures {
    let since = before.and_then(|before| Since::of(before, design, stand_ins));
    let frame = Frame::of(design, stand_ins, since.as_ref());
    let context = Context::within(design, stand_ins, frame.clone(), since.as_ref());
    let budgets = budgets(&context);
    let steady = computed::has_steady_state(design).then(|| steady::of_product(&context));
    let aims: BTreeSet<Aim> =
        design.requirements.iter().filter_map(|held| Aim::of(design, held)).collect();
    let computed = if aims.is_empty() {
        BTreeMap::new()
    } else {
        let computer = Computer::of(&context, steady.as_ref());
        aims.into_iter().map(|aim| (aim.clone(), computer.figure(&aim))).collect()
    };
    Figures { budgets, computed, steady, frame: Some(frame) }
}

/// Fewer parts than these are rolled up sooner than a thread begins.
const WORTH_A_THREAD: usize = 256;

/// Every budget that is asked for; those of a large design on two threads, as none needs another.
fn budgets(context: &Context<'_>) -> BTreeMap<Subject, Budget> {
    let budget = |subject: &&Subject| -> Option<(Subject, Budget)> {
        let whole = &context.frame.wholes[&subject.part];
        Some(((*subject).clone(), budget::of(context, whole, subject)?))
    };
    let subjects: Vec<&Subject> = context.frame.subjects.iter().collect();
    let is_large = context.since.is_none() && context.design.parts.len() >= WORTH_A_THREAD;
    let each = |subjects: &[&Subject]| subjects.iter().filter_map(budget).collect();
    let budgets = if is_large { in_halves(&subjects, each) } else { each(&subjects) };
    budgets.into_iter().collect()
}
