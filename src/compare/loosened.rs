//! What is promised less than before.

use std::sync::Arc;

use super::Loosened;
use crate::design::Design;
use crate::evaluate::Number;
use crate::quantity::{Measure, Unit, show_difference, show_measure};
use crate::record::{Decide, Id, Margin, Method, Priority, Requirement};
use crate::verdict::Side;

/// Everything that `after` promises less than `before`, in the order of requirements.
#[must_use]
pub fn all(before: &Design, after: &Design) -> Vec<Loosened> {
    before
        .requirements
        .iter()
        .flat_map(|was| match after.requirement(was.id.as_str()) {
            // Mostly it is the very same record.
            Some(is) if Arc::ptr_eq(&was.record, &is.record) => Vec::new(),
            Some(is) => of((before, was), (after, is)),
            None => vec![gone(was)],
        })
        .collect()
}

fn gone(was: &Requirement) -> Loosened {
    let limits = [limit(was, Side::AtLeast), limit(was, Side::AtMost)];
    let mut words: Vec<String> = limits.into_iter().flatten().map(|limit| limit.text()).collect();
    words.dedup();
    words.push(format!("by {}", was.method().word()));
    let before = words.join(", ");
    Loosened {
        requirement: was.id.value.clone(),
        what: "requirement",
        before,
        after: String::new(),
    }
}

fn of(
    (before, was): (&Design, &Requirement),
    (after, is): (&Design, &Requirement),
) -> Vec<Loosened> {
    let mut found = Findings { id: &was.id, found: Vec::new() };
    if subject(was) == subject(is) || follows((before, was), (after, is)) {
        for side in [Side::AtMost, Side::AtLeast] {
            found.limit(limit(was, side), limit(is, side));
        }
        found.margin(was, is);
    } else {
        found.push("subject", subject(was), subject(is));
    }
    found.weaker("method", was.method(), is.method(), rigour, Method::word);
    found.weaker("decide", was.decide(), is.decide(), strictness, decide_word);
    found.weaker("priority", was.priority(), is.priority(), must_first, Priority::word);
    found.due(was, is);
    found.trials(was, is);
    found.found
}

/// What is loosened of one requirement.
struct Findings<'a> {
    id: &'a Id,
    found: Vec<Loosened>,
}

impl Findings<'_> {
    fn push(&mut self, what: &'static str, before: String, after: String) {
        let is_told = self.found.iter().any(|found| found.what == what);
        if !is_told {
            self.found.push(Loosened { requirement: self.id.clone(), what, before, after });
        }
    }

    fn limit(&mut self, was: Option<Limit<'_>>, is: Option<Limit<'_>>) {
        let Some(was) = was else { return };
        let is_wider = is.as_ref().is_none_or(|is| match was.side {
            Side::AtMost => is.base > was.base,
            Side::AtLeast => is.base < was.base,
        });
        if is_wider {
            self.push(was.what(), was.text(), is.map(|is| is.text()).unwrap_or_default());
        }
    }

    fn margin(&mut self, was: &Requirement, is: &Requirement) {
        let Some(margin) = &was.margin else { return };
        let left = is.margin.as_ref().map(|margin| &margin.value);
        let is_lower = match (&margin.value, left) {
            (_, None) => true,
            (Margin::Share(was), Some(Margin::Share(is))) => is < was,
            (Margin::Absolute(was), Some(Margin::Absolute(is))) => is.base < was.base,
            (margin, Some(left)) => size(left, is) < size(margin, was),
        };
        if is_lower {
            let shown = |margin| margin_text(margin);
            self.push("margin", shown(&margin.value), left.map(shown).unwrap_or_default());
        }
    }

    fn weaker<T: Copy>(
        &mut self,
        what: &'static str,
        was: T,
        is: T,
        strength: impl Fn(&T) -> u8,
        word: impl Fn(T) -> &'static str,
    ) {
        if strength(&is) < strength(&was) {
            self.push(what, word(was).to_owned(), word(is).to_owned());
        }
    }

    /// A requirement without a due date is due always.
    fn due(&mut self, was: &Requirement, is: &Requirement) {
        let [was, is] = [was, is].map(|of| of.due.as_ref().map(|due| &due.value));
        if is > was {
            let shown = |due: Option<&semver::Version>| {
                due.map_or_else(|| "always".to_owned(), ToString::to_string)
            };
            self.push("due", shown(was), shown(is));
        }
    }

    fn trials(&mut self, was: &Requirement, is: &Requirement) {
        let share = |of: Option<f64>| {
            of.map(|share| show_measure(share, &Unit::percent())).unwrap_or_default()
        };
        let shares = [
            ("success", [was, is].map(|of| of.success.as_ref().map(|at| at.value))),
            ("confidence", [was, is].map(|of| of.confidence.as_ref().map(|at| at.value))),
        ];
        for (what, [was, is]) in shares {
            if is < was {
                self.push(what, share(was), share(is));
            }
        }
        let [was, is] = [was, is].map(|of| of.trials.as_ref().map(|at| at.value));
        if is < was {
            let shown = |count: Option<u64>| count.map(|n| n.to_string()).unwrap_or_default();
            self.push("trials", shown(was), shown(is));
        }
    }
}

/// One side of where the quantity must lie.
struct Limit<'a> {
    side: Side,
    /// In base units.
    base: f64,
    written: Written<'a>,
}

/// How a limit is written.
enum Written<'a> {
    Alone(&'a Measure),
    Around(&'a Measure, &'a Measure),
}

impl Limit<'_> {
    fn what(&self) -> &'static str {
        match (&self.written, self.side) {
            (Written::Around(..), _) => "within",
            (_, Side::AtMost) => "at-most",
            (_, Side::AtLeast) => "at-least",
        }
    }

    fn text(&self) -> String {
        match self.written {
            Written::Alone(limit) => {
                let limit = show_measure(limit.base, &limit.unit);
                let word = if self.side == Side::AtMost { "at most" } else { "at least" };
                format!("{word} {limit}")
            }
            Written::Around(middle, within) => format!(
                "{} within {}",
                show_measure(middle.base, &middle.unit),
                show_difference(within.base, &within.unit)
            ),
        }
    }
}

fn limit(of: &Requirement, side: Side) -> Option<Limit<'_>> {
    let alone = match side {
        Side::AtMost => &of.limits.at_most,
        Side::AtLeast => &of.limits.at_least,
    };
    if let Some(limit) = alone {
        return Some(Limit { side, base: limit.base, written: Written::Alone(limit) });
    }
    let (middle, within) = (of.limits.equals.as_ref()?, of.limits.within.as_ref()?);
    let (centre, away) = (Number::of(middle), Number::of(within));
    let end = match side {
        Side::AtMost => centre.plus(away),
        Side::AtLeast => centre.minus(away),
    };
    Some(Limit { side, base: end.to_f64(), written: Written::Around(middle, within) })
}

/// The margin in base units; a share is of the limit that it stands beside.
fn size(margin: &Margin, of: &Requirement) -> f64 {
    match margin {
        Margin::Absolute(margin) => margin.base,
        Margin::Share(share) => {
            let limit = limit(of, Side::AtMost).or(limit(of, Side::AtLeast));
            let base = limit.map_or(0.0, |limit| limit.base.abs());
            Number::written(base).times(Number::written(*share)).to_f64()
        }
    }
}

fn margin_text(margin: &Margin) -> String {
    match margin {
        Margin::Absolute(margin) => show_difference(margin.base, &margin.unit),
        Margin::Share(share) => show_measure(*share, &Unit::percent()),
    }
}

/// Whether the requirement asks of a part that came what it asked of one that went: it was exchanged, or has
/// another name.
fn follows((before, was): (&Design, &Requirement), (after, is): (&Design, &Requirement)) -> bool {
    let [former, part] = [was, is].map(|of| of.part.as_ref());
    let lacks = |design: &Design, part: &Id| {
        design.part(part.as_str()).is_none_or(|part| !design.product().contains(&part))
    };
    let is_exchanged =
        former.zip(part).is_some_and(|(was, is)| lacks(after, was) && lacks(before, is));
    is_exchanged && asked(was) == asked(is)
}

/// What the requirement is about: `scanner mass`, `rail five-volt`, `scanner cost of 10 builds`.
fn subject(of: &Requirement) -> String {
    let rail = of.rail.as_ref().map(|rail| format!("rail {}", rail.as_str()));
    let part = of.part.as_ref().map(|part| part.as_str().to_owned());
    let words = [part, rail, Some(asked(of)).filter(|asked| !asked.is_empty())];
    words.into_iter().flatten().collect::<Vec<_>>().join(" ")
}

/// What it asks of that: `mass`, `cost of 10 builds`.
fn asked(of: &Requirement) -> String {
    let quantity = of.quantity.as_ref().map(|quantity| quantity.as_str().to_owned());
    let builds = of.builds.as_ref().map(|builds| format!("of {} builds", builds.value));
    let words = [quantity, builds];
    words.into_iter().flatten().collect::<Vec<_>>().join(" ")
}

/// How much a method of verification shows.
fn rigour(method: &Method) -> u8 {
    match method {
        Method::Analysis => 0,
        Method::Inspection => 1,
        Method::Demonstration => 2,
        Method::Test => 3,
    }
}

fn strictness(decide: &Decide) -> u8 {
    match decide {
        Decide::Simple => 0,
        Decide::Guarded => 1,
        Decide::WorstCase => 2,
    }
}

fn decide_word(decide: Decide) -> &'static str {
    Decide::WORDS.iter().find(|(_, known)| *known == decide).map_or("", |(word, _)| word)
}

fn must_first(priority: &Priority) -> u8 {
    match priority {
        Priority::Should => 0,
        Priority::Must => 1,
    }
}
