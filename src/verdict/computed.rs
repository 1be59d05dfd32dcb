//! A computed figure against the limits of a requirement.

use super::decide::{Decision, Judgeable, bound, decisive_first, probability_below};
use super::requirement::Standing;
use super::{Bound, Limit, Side, Unproven, Verdict, limits};
use crate::design::Design;
use crate::evaluate::{By, Computed, End, Extreme, Rated, Uncomputed, Worst, coverage_factor};
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
        bounds.extend(judge.against_rating());
        let is_rail = computed.ends.iter().any(|end| matches!(end.by, By::Loads(_)));
        if bounds.is_empty() && is_rail {
            return Err(Unproven::NoValue("the rail has no rating".into()));
        }
        Ok(bounds)
    });
    match judged {
        Ok(bounds) => {
            let decided = decided(bounds);
            let ends = found.as_ref().map(|computed| computed.ends.as_slice()).unwrap_or_default();
            let by_options = ends.get(decided.end).is_some_and(|end| end.with_options);
            Standing { by_options, ..decided }
        }
        Err(unproven) => Standing { unproven: Some(unproven), ..Standing::default() },
    }
}

/// How the requirement would stand by a figure that was computed in `design`, without waiver and due
/// date.
#[must_use]
pub fn on_computed(
    design: &Design,
    requirement: &Requirement,
    found: &Result<Computed, Uncomputed>,
) -> Verdict {
    standing(design, requirement, found).verdict()
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
    with_options: bool,
}

fn decided(mut held: Vec<Held>) -> Standing {
    held.sort_by(|one, other| decisive_first(&one.bound, &other.bound));
    let (expanded_u, guard, end) =
        held.first().map_or((0.0, 0.0, 0), |held| (held.expanded_u, held.guard, held.end));
    let decision = Decision::of(held.into_iter().map(|held| held.bound).collect());
    Standing { decision, expanded_u, guard, end, ..Standing::default() }
}

/// The one with the worst verdict, and among those the one with least left; one with optional parts
/// only where no other is as bad.
fn worst_of(held: Vec<Held>) -> Option<Held> {
    let badness = |held: &Held| (held.bound.verdict, !held.with_options, -held.bound.left);
    held.into_iter().reduce(
        |worst, held| {
            if badness(&held) > badness(&worst) { held } else { worst }
        },
    )
}

struct Judge<'a> {
    design: &'a Design,
    requirement: &'a Requirement,
    computed: &'a Computed,
}

impl Judge<'_> {
    /// The limit against the end of the figure that is worse for it.
    fn against(&self, limit: &Limit) -> Result<Held, Unproven> {
        let mut all = Vec::new();
        for (index, end) in self.ends(limit.side) {
            all.push(self.held(limit, index, end)?);
        }
        worst_of(all).ok_or_else(|| no_value(&Uncomputed::NoAmbient, self.design))
    }

    /// The ends that a limit of this side is held against. Optional parts only ever add to what an
    /// at-most limit holds down; a centre of mass they move either way.
    fn ends(&self, side: Side) -> impl Iterator<Item = (usize, &End)> {
        let adverse = match side {
            Side::AtMost => Extreme::Hot,
            Side::AtLeast => Extreme::Cold,
        };
        let is_meant = move |end: &End| match end.by {
            By::HeatPaths => end.extreme == Some(adverse),
            By::Formula | By::Loads(_) | By::Moments(_) => true,
        };
        let counts_options =
            move |end: &End| side == Side::AtMost || matches!(end.by, By::Moments(_));
        let is_only = self.computed.ends.iter().all(|end| end.with_options);
        let ends = self.computed.ends.iter().enumerate();
        ends.filter(move |(_, end)| {
            is_meant(end) && (!end.with_options || is_only || counts_options(end))
        })
    }

    fn held(&self, limit: &Limit, index: usize, end: &End) -> Result<Held, Unproven> {
        if let (Decide::WorstCase, Some(worst)) = (self.requirement.decide(), &end.worst) {
            let worst = worst
                .as_ref()
                .map_err(|why| no_value(&Uncomputed::Undefined(why.clone()), self.design))?;
            let bound = at_worst(limit, worst, end);
            let with_options = end.with_options;
            return Ok(Held { bound, expanded_u: 0.0, guard: 0.0, end: index, with_options });
        }
        Ok(self.guarded(limit, end.value.u(), index, end))
    }

    /// The value with its guard band.
    fn guarded(&self, limit: &Limit, u: f64, index: usize, end: &End) -> Held {
        let value = end.value.value;
        let expanded_u = coverage_factor(self.design) * u;
        let is_simple = self.requirement.decide() == Decide::Simple;
        let guard = if is_simple { 0.0 } else { expanded_u };
        let bound = bound(&Judgeable { basic: value, predicted: value, u, guard }, limit);
        Held { bound, expanded_u, guard, end: index, with_options: end.with_options }
    }

    /// The peak of a rail against its derated rating; what makes both uncertain counts once. A share
    /// as margin is one of the derated rating.
    fn against_rating(&self) -> Option<Held> {
        let ends = self.ends(Side::AtMost);
        let held = ends.filter_map(|(index, end)| match &end.by {
            By::Loads(loads) => Some(self.against_rated(loads.1.as_ref()?, index, end)),
            By::Formula | By::HeatPaths | By::Moments(_) => None,
        });
        worst_of(held.collect())
    }

    fn against_rated(&self, rated: &Rated, index: usize, end: &End) -> Held {
        let limit = rated.derated.value;
        let margin = match self.requirement.margin.as_ref().map(|margin| &margin.value) {
            None => 0.0,
            Some(Margin::Absolute(margin)) => margin.base,
            Some(Margin::Share(share)) => share * limit,
        };
        let limit = Limit { side: Side::AtMost, limit, inner: limit - margin };
        self.guarded(&limit, rated.reserve.u(), index, end)
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

    /// The same: of two limits that are kept, the cold one leaves 2 K and the warm one 5 K.
    #[test]
    fn the_end_is_that_of_the_limit_that_decides() {
        let text = "[ambient]\nlow = \"5 °C\"\nhigh = \"35 °C\"\n[part.scanner]\n\
             origin = \"bought\"\nheat = \"5 W\"\n\
             heat-path = [{ to = \"ambient\", resistance = \"3 K/W\" }]\n[requirement.it]\n\
             part = \"scanner\"\nquantity = \"temperature\"\nat-most = \"55 °C\"\n\
             at-least = \"18 °C\"\n";
        let assessed = assessed(text, "1.0.0");
        let judged = &assessed.judged[0];
        let (_, end) = assessed.computed(judged).expect("a temperature");
        assert_eq!((judged.verdict, judged.bounds[0].side), (Verdict::Pass, Side::AtLeast));
        assert!((end.value.value - judged.bounds[0].value).abs() < 1e-9, "{}", end.value.value);
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

    /// 5 W over 3 K/W make 50 °C at 35 °C; with the optional heater's 2 W it is 56 °C.
    #[test]
    fn an_upper_limit_of_a_temperature_holds_with_all_options() {
        let warm = |limit: &str| {
            judged(&format!(
                "[ambient]\nlow = \"5 °C\"\nhigh = \"35 °C\"\n\
                 [part.scanner]\norigin = \"assembled\"\n\
                 contains = {{ lamp = 1, heater = {{ optional = true }} }}\n\
                 [part.lamp]\norigin = \"bought\"\nheat = \"5 W\"\n\
                 heat-path = [{{ to = \"ambient\", resistance = \"3 K/W\" }}]\n\
                 [part.heater]\norigin = \"bought\"\nheat = \"2 W\"\n\
                 heat-path = [{{ to = \"lamp\", resistance = \"1 K/W\" }}]\n\
                 [requirement.it]\npart = \"lamp\"\nquantity = \"temperature\"\n{limit}\n"
            ))
        };
        let with = warm("at-most = \"55 °C\"");
        assert_eq!((with.verdict, with.by_options), (Verdict::Fail, true));
        assert!((with.bounds[0].value - 329.15).abs() < 1e-9);
        let base = warm("at-most = \"49 °C\"");
        assert_eq!((base.verdict, base.by_options), (Verdict::Fail, false), "it fails by itself");
        let least = warm("at-least = \"25 °C\"");
        assert_eq!((least.verdict, least.by_options), (Verdict::Fail, false), "20 °C without");
        assert_eq!(warm("at-most = \"56 °C\"").verdict, Verdict::Pass);
    }

    #[test]
    fn the_loads_of_optional_parts_are_on_the_rail() {
        let rated = |rating: &str| {
            judged(&format!(
                "[part.scanner]\norigin = \"assembled\"\n\
                 contains = {{ lamp = 1, fan = {{ count = 2, optional = true }} }}\n\
                 [part.lamp]\norigin = \"bought\"\ndraws = {{ five-volt = \"1 A\" }}\n\
                 [part.fan]\norigin = \"bought\"\ndraws = {{ five-volt = \"0.2 A\" }}\n\
                 [rail.five-volt]\nvoltage = \"5 V\"\nrating = \"{rating}\"\n\
                 [requirement.it]\nrail = \"five-volt\"\n"
            ))
        };
        assert_eq!(rated("1.4 A").verdict, Verdict::Pass);
        let with = rated("1.3 A");
        assert_eq!((with.verdict, with.by_options), (Verdict::Fail, true));
        assert!((with.bounds[0].left + 0.1).abs() < 1e-12);
        assert!(!rated("0.9 A").by_options, "it fails by itself");
    }

    /// Two bodies of 1 kg at 0 and 100 mm; the optional third one lies at −80 mm.
    #[test]
    fn a_centre_of_mass_is_judged_with_options_on_both_sides() {
        let centre = |limits: &str| {
            let part = |name: &str| {
                format!(
                    "[part.{name}]\norigin = \"bought\"\nmass = \"1 kg\"\n\
                         centre-of-mass = \"0 x 0 x 0 mm\"\n"
                )
            };
            let parts = part("lamp") + &part("motor") + &part("cover");
            judged(&format!(
                "[part.scanner]\norigin = \"assembled\"\n[part.scanner.contains]\n\
                 lamp = {{ place = \"0 x 0 x 0 mm\" }}\nmotor = {{ place = \"100 x 0 x 0 mm\" }}\n\
                 cover = {{ place = \"-80 x 0 x 0 mm\", optional = true }}\n{parts}\
                 [requirement.it]\npart = \"scanner\"\nquantity = \"centre-of-mass-x\"\n{limits}\n"
            ))
        };
        assert_eq!(centre("at-most = \"50 mm\"").verdict, Verdict::Pass);
        assert!(!centre("at-most = \"49 mm\"").by_options);
        let low = centre("at-least = \"10 mm\"");
        assert_eq!((low.verdict, low.by_options), (Verdict::Fail, true));
    }

    #[test]
    fn what_asks_for_a_test_has_the_figure_beside_it_alone() {
        let tested = gap("at-most = \"2 mm\"\nmethod = \"test\"");
        assert_eq!(tested.verdict, Verdict::Unproven);
        assert!(tested.aimed.is_some_and(|aimed| !aimed.decides));
        assert_eq!(tested.requirement, Id::from("it"));
    }
}
