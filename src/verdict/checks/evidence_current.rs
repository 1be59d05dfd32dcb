//! `evidence-current`: what was tested is what is built.

use super::{Check, Context, finding, place};
use crate::design::{Held, PartIx};
use crate::diagnostic::{At, Code};
use crate::evidence::{
    self, Changed, Contradicted, Disagreement, How, MOST_RISE_K_PER_S, Standing, Stands,
    contradicted, disagreements, is_of_temperature,
};
use crate::record::{Evidence, Id, Requirement};
use crate::verdict::Finding;
use crate::verdict::evidence_based::{is_value_of, speaks_to};

pub(super) const CHECK: Check = Check {
    code: Code("evidence-current"),
    title: "The evidence is about what is built",
    doc: "Every result that is not set aside was won on the parts as they are: its seal, or else its \
          revision, says so, and the two tell of the same things. Two results of one quantity agree \
          within their uncertainties, and with what a requirement that asks for analysis computes \
          instead. A measured temperature is steady, and covers or excepts every \
          part that a heat path leads to. Repeat a result, carry it over to the changed part with a \
          reason, or set it aside.",
    waivable: true,
    run,
};

fn run(context: &Context<'_>) -> Vec<Finding> {
    let results = context.standings.results(context.design);
    let each = results.flat_map(|(index, _, stands)| {
        let result = Result { context, held: &context.design.evidence[index], stands };
        let standing = result.standing().filter(|_| result.is_wanted());
        [standing, result.steadiness(), result.left_out()].into_iter().flatten()
    });
    let pairs = disagreements(context.design, context.standings);
    let pairs = pairs.iter().map(|pair| disagreement(context, pair));
    let passed_over = contradicted(context.design, context.figures, context.standings);
    let passed_over = passed_over.iter().map(|found| contradiction(context, found));
    each.chain(pairs).chain(passed_over).collect()
}

/// One result.
struct Result<'a> {
    context: &'a Context<'a>,
    held: &'a Held<Evidence>,
    stands: &'a Stands,
}

impl Result<'_> {
    fn finding(&self, message: String, remedy: String) -> Finding {
        Finding {
            part: self.part(),
            place: Some(place(&self.held.path, &self.held.id)),
            remedy: Some(remedy),
            ..finding(CHECK.code, message)
        }
    }

    fn part(&self) -> Option<PartIx> {
        self.context.design.part(self.held.part.as_ref()?.as_str())
    }

    /// Whether it says something that is asked for, and that no current or later result says in its
    /// place.
    fn is_wanted(&self) -> bool {
        let (design, evidence) = (self.context.design, &*self.held.record);
        let is_asked = |requirement: &Requirement| {
            is_value_of(evidence, requirement) || speaks_to(evidence, requirement)
        };
        let stands_in = |other: &Evidence, stands: &Stands| {
            let is_later = matches!(stands.standing, Standing::Stale(_))
                && evidence::is_later(other, evidence);
            (stands.is_current() || is_later) && is_alike(other, evidence)
        };
        let mut results = self.context.standings.results(design);
        design.requirements.iter().any(|held| is_asked(held))
            && !results.any(|(_, other, stands)| stands_in(other, stands))
    }

    /// What is wrong with its standing.
    fn standing(&self) -> Option<Finding> {
        let id = &self.held.id.value;
        match &self.stands.standing {
            Standing::Current | Standing::SetAside | Standing::Undecidable(_) => None,
            Standing::Stale(changed) => {
                let message = format!("`{id}` is stale: {}", self.told(changed));
                let mut gone = changed.iter().filter(|changed| changed.how == How::Gone);
                let or = gone.next().map_or_else(
                    || "carry it over".to_owned(),
                    |gone| format!("name {} in its `except` with the reason", gone.part),
                );
                let remedy = format!("repeat {id}, {or}, or set it aside");
                let through = changed
                    .iter()
                    .filter_map(|changed| self.context.design.part(changed.part.as_str()));
                let through = through.filter(|part| Some(*part) != self.part()).collect();
                let identity = Some(format!("{id} is stale"));
                Some(Finding { through, identity, ..self.finding(message, remedy) })
            }
            Standing::Unpinned => Some(self.finding(
                format!("`{id}` does not say which revision was on the bench"),
                format!("give {id} its revision, or set it aside"),
            )),
            Standing::Contradiction(changed) => Some(self.finding(
                format!("the seal of `{id}` is not that of its revision: {}", self.told(changed)),
                format!("correct the revision of {id}, or delete its seal"),
            )),
        }
    }

    /// `led-panel (geometry, settings), lens (gone)`.
    fn told(&self, changed: &[Changed]) -> String {
        let design = self.context.design;
        let how = |changed: &Changed| match &changed.how {
            How::Facets(facets) => {
                facets.iter().map(|facet| facet.word_of(design, &changed.part)).collect()
            }
            How::Gone => vec!["gone"],
            How::New => vec!["not on the bench"],
        };
        let told = changed
            .iter()
            .map(|changed| format!("`{}` ({})", changed.part, how(changed).join(", ")));
        told.collect::<Vec<_>>().join(", ")
    }

    fn is_current_temperature(&self) -> bool {
        let quantity = self.held.quantity.as_ref();
        self.stands.is_current()
            && quantity.is_some_and(|quantity| is_of_temperature(self.context.design, quantity))
    }

    fn steadiness(&self) -> Option<Finding> {
        let id = &self.held.id.value;
        let message = match &self.held.steady {
            _ if !self.is_current_temperature() => return None,
            None => format!("`{id}` does not say whether the temperature was steady"),
            Some(rise) if rise.measure.base > MOST_RISE_K_PER_S => {
                format!("`{id}` was still rising by more than 2 K/h")
            }
            Some(_) => return None,
        };
        Some(
            self.finding(
                message,
                format!("repeat {id} until it rises no more, or say that it did"),
            ),
        )
    }

    fn left_out(&self) -> Option<Finding> {
        let left_out = &self.stands.left_out;
        if left_out.is_empty() || !self.is_current_temperature() {
            return None;
        }
        let id = &self.held.id.value;
        let names: Vec<_> =
            left_out.iter().map(|part| format!("`{}`", self.context.design.id(*part))).collect();
        let message =
            format!("`{id}` leaves out what lies on its heat paths: {}", names.join(", "));
        let remedy = format!("add them to `with` of {id}, or to `except` with the reason");
        Some(Finding { through: left_out.clone(), ..self.finding(message, remedy) })
    }
}

fn disagreement(context: &Context<'_>, pair: &Disagreement) -> Finding {
    let [one, other] = pair.results.map(|index| &context.design.evidence[index]);
    let part = one.part.as_ref().and_then(|part| context.design.part(part.as_str()));
    let (first, second) = (&one.id.value, &other.id.value);
    let message = format!("`{first}` and `{second}` differ by more than both are sure");
    Finding {
        part,
        place: Some(place(&other.path, &other.id)),
        remedy: Some(format!("find out which of {first} and {second} is wrong, and set it aside")),
        ..finding(CHECK.code, message)
    }
}

fn contradiction(context: &Context<'_>, found: &Contradicted) -> Finding {
    let result = &context.design.evidence[found.result];
    let requirement = &context.design.requirements[found.requirement].id.value;
    let id = &result.id.value;
    let message = format!(
        "`{id}` and what is computed for `{requirement}` differ by more than both are sure"
    );
    Finding {
        part: result.part.as_ref().and_then(|part| context.design.part(part.as_str())),
        place: Some(place(&result.path, &result.id)),
        remedy: Some(format!(
            "correct the figures behind {requirement}, have it shown by test, or set {id} aside"
        )),
        ..finding(CHECK.code, message)
    }
}

/// Whether two results say the same kind of thing of the same thing.
fn is_alike(one: &Evidence, other: &Evidence) -> bool {
    let of = |evidence: &Evidence| {
        let word = |id: &Option<At<Id>>| id.as_ref().map(|id| id.value.clone());
        let verifies: Vec<Id> = evidence.verifies.iter().map(|id| id.value.clone()).collect();
        (word(&evidence.part), word(&evidence.quantity), verifies, evidence.trials.is_some())
    };
    of(one) == of(other) && evidence::method(one) == evidence::method(other)
}
