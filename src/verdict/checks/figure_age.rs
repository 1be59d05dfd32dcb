//! `figure-age`: no figure is older than the manifest allows.

use super::{Check, Context, finding, place};
use crate::diagnostic::{At, Code};
use crate::record::{Id, Part, Sourced};
use crate::verdict::Finding;

pub(super) const CHECK: Check = Check {
    code: Code("figure-age"),
    title: "No figure is older than the manifest allows",
    doc: "Every figure with a day on which it was learnt (`on`) is younger than `figure-age` of the \
          manifest's [rule]. Ages count from the day of the commit that is judged; from today for \
          the index and the working tree. Without `figure-age` no figure is too old.",
    waivable: true,
    run,
};

const SECONDS_A_DAY: f64 = 86_400.0;

fn run(context: &Context<'_>) -> Vec<Finding> {
    let design = context.design;
    let Some(age) = &design.manifest.rule.figure_age else { return Vec::new() };
    let most_days = age.base / SECONDS_A_DAY;
    let mut found = Vec::new();
    for part in design.part_indices() {
        let held = design.record(part);
        for (name, sourced) in figures(held) {
            let Some(on) = &sourced.on else { continue };
            let days = (context.occasion.today - on.value).get_days();
            if f64::from(days) > most_days {
                let (name, id) = (name.as_str(), held.id.as_str());
                found.push(Finding {
                    part: Some(part),
                    place: Some(place(&held.path, on)),
                    remedy: Some(format!("look again at {name} of `{id}`")),
                    identity: Some(format!("{name} of {id} {}", on.value)),
                    ..finding(CHECK.code, format!("{name} of `{id}` is {days} days old"))
                });
            }
        }
    }
    found
}

/// The figures that a part states, quantities first.
fn figures(part: &Part) -> impl Iterator<Item = (&At<Id>, &Sourced)> {
    let quantities = part.quantities.iter();
    let stated = quantities.filter_map(|(name, stated)| Some((name, stated.as_ref().ok()?)));
    stated.chain(part.values.iter().map(|(name, sourced)| (name, sourced)))
}

#[cfg(test)]
mod tests {
    use crate::fixture::MANIFEST;
    use crate::verdict::tests::found;

    /// A mass learnt on the day; judged on 2026-10-20.
    fn learnt(day: &str) -> Vec<String> {
        let text = format!(
            "\n== tagworthy.toml\n{MANIFEST}[rule]\nfigure-age = \"365 d\"\n\
             [part.scanner]\norigin = \"bought\"\nmass = {{ value = \"1 kg\", on = {day} }}\n"
        );
        found("figure-age", &text, "1.0.0")
    }

    #[test]
    fn an_old_figure_is_named_with_its_age() {
        // A year before 2026-10-20 that holds no leap day.
        assert_eq!(learnt("2025-10-20"), [""; 0]);
        assert_eq!(learnt("2025-10-19"), ["mass of `scanner` is 366 days old"]);
    }
}
