//! A computed figure against the limits of a requirement.

use super::decide::{Decision, Judgeable, bound, probability_below};
use super::requirement::Standing;
use super::{Bound, Limit, Side, Unproven, limits};
use crate::design::Design;
use crate::evaluate::{
    By, Computed, Currents, End, Extreme, Rated, Uncomputed, Worst, coverage_factor,
};
use crate::record::{Decide, Margin, Requirement};

/// How the requirement stands by the figure.
///
/// Each limit is held against every end of the figure, and the worse counts: at-most limits fall at
/// the warm end and at-least limits at the cold one, a formula at either.
pub(super) fn standing(
    design: &Design,
    requirement: &Requirement,
    found: &Result<Computed, Uncomputed>,
) -> Standing {
    let judged = found.as_ref().map_err(|why| no_value(why, design)).and_then(|computed| {
        let judge = Judge { design, requirement, computed };
        let mut bounds = Vec::new();
        for limit in limits::of(requirement) {
            bounds.push(judge.against(&limit)?);
        }
        if let By::Loads(loads) = &computed.by {
            bounds.extend(judge.against_rating(&loads.0, loads.1.as_ref()));
            if bounds.is_empty() {
                return Err(Unproven::NoValue("the rail has no rating".into()));
            }
        }
        Ok(bounds)
    });
    match judged {
        Ok(bounds) => decided(bounds),
        Err(unproven) => Standing { unproven: Some(unproven), ..Standing::default() },
    }
}

fn no_value(why: &Uncomputed, design: &Design) -> Unproven {
    Unproven::NoValue(why.words(design))
}

/// One limit's verdict, with the guard band by which it came about and the end that it is of.
struct Held {
    bound: Bound,
    expanded_u: f64,
    guard: f64,
    end: usize,
}

fn decided(mut held: Vec<Held>) -> Standing {
    // The worst decides, as among the bounds themselves; a stable sort keeps the order asked.
    held.sort_by_key(|held| std::cmp::Reverse(held.bound.verdict));
    let (expanded_u, guard, end) =
        held.first().map_or((0.0, 0.0, 0), |held| (held.expanded_u, held.guard, held.end));
    let decision = Decision::of(held.into_iter().map(|held| held.bound).collect());
    Standing { decision, expanded_u, guard, end, ..Standing::default() }
}

struct Judge<'a> {
    design: &'a Design,
    requirement: &'a Requirement,
    computed: &'a Computed,
}

impl Judge<'_> {
    /// The limit against the end of the figure that is worse for it.
    fn against(&self, limit: &Limit) -> Result<Held, Unproven> {
        let mut worse: Option<Held> = None;
        for (index, end) in self.ends(limit.side) {
            let held = self.held(limit, index, end)?;
            let is_worse = worse.as_ref().is_none_or(|worse| {
                (held.bound.verdict, -held.bound.left) > (worse.bound.verdict, -worse.bound.left)
            });
            if is_worse {
                worse = Some(held);
            }
        }
        worse.ok_or_else(|| no_value(&Uncomputed::NoAmbient, self.design))
    }

    /// The ends that a limit of this side is held against.
    fn ends(&self, side: Side) -> impl Iterator<Item = (usize, &End)> {
        let adverse = match side {
            Side::AtMost => Extreme::Hot,
            Side::AtLeast => Extreme::Cold,
        };
        let is_temperature = self.computed.by == By::HeatPaths;
        let ends = self.computed.ends.iter().enumerate();
        ends.filter(move |(_, end)| !is_temperature || end.extreme == Some(adverse))
    }

    fn held(&self, limit: &Limit, index: usize, end: &End) -> Result<Held, Unproven> {
        if let (Decide::WorstCase, Some(worst)) = (self.requirement.decide(), &end.worst) {
            let worst = worst
                .as_ref()
                .map_err(|why| no_value(&Uncomputed::Undefined(why.clone()), self.design))?;
            let bound = at_worst(limit, worst, end);
            return Ok(Held { bound, expanded_u: 0.0, guard: 0.0, end: index });
        }
        Ok(self.guarded(limit, end.value.value, end.value.u(), index))
    }

    /// The value with its guard band.
    fn guarded(&self, limit: &Limit, value: f64, u: f64, end: usize) -> Held {
        let expanded_u = coverage_factor(self.design) * u;
        let is_simple = self.requirement.decide() == Decide::Simple;
        let guard = if is_simple { 0.0 } else { expanded_u };
        let bound = bound(&Judgeable { basic: value, predicted: value, u, guard }, limit);
        Held { bound, expanded_u, guard, end }
    }

    /// The peak of a rail against its derated rating; what makes both uncertain counts once. A share
    /// as margin is one of the derated rating.
    fn against_rating(&self, currents: &Currents, rated: Option<&Rated>) -> Option<Held> {
        let rated = rated?;
        let limit = rated.derated.value;
        let margin = match self.requirement.margin.as_ref().map(|margin| &margin.value) {
            None => 0.0,
            Some(Margin::Absolute(margin)) => margin.base,
            Some(Margin::Share(share)) => share * limit,
        };
        let limit = Limit { side: Side::AtMost, limit, inner: limit - margin };
        Some(self.guarded(&limit, currents.peak.value, rated.reserve.u(), 0))
    }
}

/// The whole interval of a tolerance chain against one limit: it lies inside or it does not, and
/// there is no edge. The probabilities are those of the statistical view.
fn at_worst(limit: &Limit, worst: &Worst, end: &End) -> Bound {
    let (judged, outwards) = match limit.side {
        Side::AtMost => (worst.high, 1.0),
        Side::AtLeast => (worst.low, -1.0),
    };
    let plain = bound(&Judgeable { basic: judged, predicted: judged, u: 0.0, guard: 0.0 }, limit);
    let (y, u) = (outwards * end.value.value, end.value.u());
    Bound {
        inside_limit: probability_below(outwards * limit.limit, y, u),
        inside_margin: probability_below(outwards * limit.inner, y, u),
        ..plain
    }
}

#[cfg(test)]
mod tests {
    use crate::record::Id;
    use crate::verdict::tests::assessed;
    use crate::verdict::{Judged, Side, Unproven, Verdict};

    fn judged(text: &str) -> Judged {
        assessed(text, "1.0.0").judged.remove(0)
    }

    /// A gap of 1.0 mm to 1.2 mm, 1.1 mm ± 0.115 mm statistically.
    fn gap(requirement: &str) -> Judged {
        judged(&format!(
            "[part.scanner]\norigin = \"printed\"\nformula = {{ gap = \"slot - 4 mm\" }}\n\
             dimension = {{ slot = \"5.1 mm ± 0.1 mm\" }}\n[requirement.it]\npart = \"scanner\"\n\
             quantity = \"gap\"\n{requirement}\n"
        ))
    }

    #[test]
    fn a_worst_case_lies_inside_the_limit_or_fails() {
        let at = |limits: &str| gap(&format!("{limits}\ndecide = \"worst-case\"")).verdict;
        assert_eq!(at("at-least = \"1.0 mm\"\nat-most = \"1.2 mm\""), Verdict::Pass);
        assert_eq!(at("at-most = \"1.19 mm\""), Verdict::Fail);
        assert_eq!(at("at-least = \"1.01 mm\""), Verdict::Fail);
        assert_eq!(at("at-most = \"1.25 mm\"\nmargin = \"0.1 mm\""), Verdict::Thin);
        assert_eq!(at("equals = \"1.1 mm\"\nwithin = \"0.1 mm\""), Verdict::Pass);
    }

    /// u = 0.1 mm/√3 and U = 0.1155 mm: beyond the worst case, as a single tolerance has no tails.
    #[test]
    fn a_guarded_chain_is_judged_with_its_expanded_uncertainty() {
        assert_eq!(gap("at-most = \"1.22 mm\"").verdict, Verdict::Pass);
        assert_eq!(gap("at-most = \"1.21 mm\"").verdict, Verdict::Edge);
        assert_eq!(gap("at-most = \"1.1 mm\"\ndecide = \"simple\"").verdict, Verdict::Pass);
        assert!((gap("at-most = \"2 mm\"").expanded_u - 0.0002 / 3.0_f64.sqrt()).abs() < 1e-12);
    }

    /// 3 K/W and 5 W: 50 °C at 35 °C ambient, 20 °C at 5 °C.
    #[test]
    fn a_temperature_is_judged_at_the_end_that_is_against_the_designer() {
        let warm = |ambient: &str, limits: &str| {
            judged(&format!(
                "[ambient]\n{ambient}\n[part.scanner]\norigin = \"bought\"\nheat = \"5 W\"\n\
                 heat-path = [{{ to = \"ambient\", resistance = \"3 K/W\" }}]\n[requirement.it]\n\
                 part = \"scanner\"\nquantity = \"temperature\"\n{limits}\n"
            ))
        };
        let both = "low = \"5 °C\"\nhigh = \"35 °C\"";
        let inside = warm(both, "at-least = \"15 °C\"\nat-most = \"55 °C\"\nmargin = \"2 K\"");
        assert_eq!(inside.verdict, Verdict::Pass);
        assert_eq!(warm(both, "at-most = \"49 °C\"").verdict, Verdict::Fail);
        let cold = warm(both, "at-least = \"21 °C\"\nat-most = \"55 °C\"");
        assert_eq!((cold.verdict, cold.bounds[0].side), (Verdict::Fail, Side::AtLeast));
        let unknown = warm("low = \"5 °C\"", "at-most = \"90 °C\"");
        assert!(matches!(unknown.unproven, Some(Unproven::NoValue(_))), "no highest ambient");
    }

    fn rail(rating: &str, requirement: &str) -> Judged {
        judged(&format!(
            "[part.scanner]\norigin = \"bought\"\n\
             draws = {{ five-volt = {{ mean = \"0.5 A\", peak = \"1.5 A ± 0.1 A\" }} }}\n\
             [rail.five-volt]\nvoltage = \"5 V\"\n{rating}\n[requirement.it]\n\
             rail = \"five-volt\"\n{requirement}\n"
        ))
    }

    #[test]
    fn a_rail_keeps_its_rating_and_the_share_of_it_that_is_wanted() {
        let rated = |rating: &str, requirement: &str| {
            rail(&format!("rating = \"{rating}\""), requirement).verdict
        };
        assert_eq!(rated("2 A", "margin = \"20 %\""), Verdict::Pass);
        assert_eq!(rated("1.9 A", "margin = \"20 %\""), Verdict::Thin);
        assert_eq!(rated("1.55 A", ""), Verdict::Edge);
        assert_eq!(rated("1.3 A", ""), Verdict::Fail);
        let unrated = rail("", "").unproven;
        assert_eq!(unrated, Some(Unproven::NoValue("the rail has no rating".into())));
    }

    #[test]
    fn what_asks_for_a_test_has_the_figure_beside_it_alone() {
        let tested = gap("at-most = \"2 mm\"\nmethod = \"test\"");
        assert_eq!(tested.verdict, Verdict::Unproven);
        assert!(tested.aimed.is_some_and(|aimed| !aimed.decides));
        assert_eq!(tested.requirement, Id::from("it"));
    }
}
