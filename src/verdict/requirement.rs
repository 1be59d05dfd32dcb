//! One requirement against what is known.

use super::decide::{Decision, Judgeable};
use super::evidence_based::{self, ByEvidence, EvidenceUsed};
use super::sum::{Sum, SumJudged};
use super::{Aimed, Judged, Occasion, Unproven, Verdict, computed, limits, waivers};
use crate::design::Design;
use crate::evaluate::{Aim, Budget, Figures, Subject, Total, coverage_factor};
use crate::evidence::Standings;
use crate::record::{Decide, Method, Requirement, RollUp};

/// Judges the requirement at `index`, waivers and due dates counted in.
pub(super) fn judge(
    design: &Design,
    figures: &Figures,
    standings: &Standings,
    index: usize,
    occasion: &Occasion,
) -> Judged {
    let requirement = &*design.requirements[index];
    let subject = Subject::of(design, requirement);
    let aim = Aim::of(design, requirement);
    let by_evidence = evidence_based::judge(design, standings, requirement);
    let found = aim.as_ref().filter(|_| by_evidence.is_none());
    let found = found.and_then(|aim| figures.computed.get(aim));
    let decides = found.is_some();
    let standing = match (by_evidence, found) {
        (Some(by_evidence), _) => Standing::from(by_evidence),
        (None, Some(found)) => computed::standing(design, requirement, found),
        (None, None) => match judged_on(figures, subject.as_ref()) {
            Ok(budget) => by_budget(design, requirement, subject.as_ref(), budget),
            Err(unproven) => Standing { unproven: Some(unproven), ..Standing::default() },
        },
    };
    let beneath = standing.verdict();
    let bounds = standing.decision.bounds;
    // A sum that lacks terms is no value that a concession could be measured by.
    let measured = if standing.unproven.is_some() { &[] } else { bounds.as_slice() };
    let covered = waivers::of_requirement(design, requirement, measured, standing.guard, occasion)
        .filter(|_| beneath != Verdict::Pass);
    let is_due = is_due(requirement, occasion);
    let is_open = is_due && covered.is_none() && beneath != Verdict::Pass;
    let lapsed = if is_open {
        waivers::lapsed(design, requirement, measured, standing.guard, occasion)
    } else {
        Vec::new()
    };
    let verdict = match &covered {
        _ if !is_due => Verdict::Later,
        Some(_) => Verdict::Waived,
        None => beneath,
    };
    Judged {
        requirement: requirement.id.value.clone(),
        index,
        priority: requirement.priority(),
        verdict,
        beneath,
        subject: subject.filter(|subject| !decides && figures.budgets.contains_key(subject)),
        aimed: aim.map(|aim| Aimed { aim, end: standing.end, decides }),
        bounds,
        expanded_u: standing.expanded_u,
        by_options: standing.by_options,
        unproven: standing.unproven,
        evidence: standing.evidence,
        covered: covered.filter(|_| is_due),
        lapsed,
    }
}

/// Whether the requirement holds at this release already: what is due 1.0.0 does not hold up
/// 1.0.0-rc.1 (Semantic Versioning 2.0.0, 11).
pub(super) fn is_due(requirement: &Requirement, occasion: &Occasion) -> bool {
    let due = requirement.due.as_ref();
    due.is_none_or(|due| due.value.cmp_precedence(&occasion.release).is_le())
}

/// How a requirement stands by itself.
#[derive(Default)]
pub(super) struct Standing {
    pub(super) decision: Decision,
    pub(super) unproven: Option<Unproven>,
    pub(super) guard: f64,
    pub(super) expanded_u: f64,
    pub(super) by_options: bool,
    /// The end of a computed figure that decides.
    pub(super) end: usize,
    /// The verdict where it does not follow from limits.
    pub(super) shown: Option<Verdict>,
    pub(super) evidence: Option<EvidenceUsed>,
}

impl Standing {
    pub(super) fn verdict(&self) -> Verdict {
        match (&self.unproven, self.shown) {
            (Some(_), _) => Verdict::Unproven,
            (None, Some(shown)) => shown,
            (None, None) => self.decision.verdict(),
        }
    }
}

impl From<ByEvidence> for Standing {
    fn from(by: ByEvidence) -> Self {
        let ByEvidence { decision, shown, unproven, guard, expanded_u, used } = by;
        let evidence = Some(used);
        Self { decision, unproven, guard, expanded_u, shown, evidence, ..Self::default() }
    }
}

/// What a requirement is about that is neither budget nor computed.
const NO_QUANTITY: &str = "a setting that is no quantity";

/// The budget that the requirement is judged on, or why there is none.
fn judged_on<'f>(figures: &'f Figures, subject: Option<&Subject>) -> Result<&'f Budget, Unproven> {
    let subject = subject.ok_or(Unproven::NoEvidence(Method::Analysis))?;
    let budget = figures.budgets.get(subject).ok_or(Unproven::NotComputed(NO_QUANTITY))?;
    match budget {
        budget if !budget.empty => Ok(budget),
        budget if !budget.missing.is_empty() => Err(Unproven::Incomplete),
        _ => Err(Unproven::NoFigure),
    }
}

fn by_budget(
    design: &Design,
    requirement: &Requirement,
    subject: Option<&Subject>,
    budget: &Budget,
) -> Standing {
    let judgeable = |total: &Total| {
        let expanded_u = coverage_factor(design) * total.u;
        let guard = if requirement.decide() == Decide::Simple { 0.0 } else { expanded_u };
        Judgeable { basic: total.basic, predicted: total.predicted, u: total.u, guard }
    };
    let roll_up = subject.and_then(|subject| design.quantities.get(&subject.quantity));
    let sum = Sum {
        without: judgeable(&budget.total),
        with: budget.with_options.as_ref().map(judgeable),
        roll_up: roll_up.map_or(RollUp::None, |quantity| quantity.roll_up),
        lacks: !budget.missing.is_empty(),
        lacks_options: !budget.missing_options.is_empty(),
    };
    let SumJudged { decision, value, by_options, is_open } = sum.against(&limits::of(requirement));
    Standing {
        unproven: is_open.then_some(Unproven::Incomplete),
        guard: value.guard,
        expanded_u: coverage_factor(design) * value.u,
        by_options,
        decision,
        end: 0,
        shown: None,
        evidence: None,
    }
}
