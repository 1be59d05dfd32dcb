//! `price-age`: no quote is older than the manifest allows.

use super::{Check, Context, finding, place};
use crate::diagnostic::Code;
use crate::fileset::RepoPath;
use crate::record::{Date, Id, Offer};
use crate::verdict::Finding;

pub(super) const CHECK: Check = Check {
    code: Code("price-age"),
    title: "No quote is older than the manifest allows",
    doc: "Every offer with a day of its quote is younger than `price-age` of the manifest's [rule]. \
          Ages count from the day of the commit that is judged; from today for the index and the \
          working tree. Without `price-age` no quote is too old.",
    waivable: true,
    run,
};

const SECONDS_A_DAY: f64 = 86_400.0;

fn run(context: &Context<'_>) -> Vec<Finding> {
    let design = context.design;
    let Some(age) = &design.manifest.rule.price_age else { return Vec::new() };
    let most_days = age.base / SECONDS_A_DAY;
    let today = context.occasion.today;
    let old = |offers: &[Offer], id: &Id, path: &RepoPath| -> Vec<Finding> {
        let offers = offers.iter();
        offers.filter_map(|offer| old_quote(offer, id, path, today, most_days)).collect()
    };
    let of_parts = design.part_indices().flat_map(|part| {
        let held = design.record(part);
        let found = old(&held.offers, &held.id, &held.path).into_iter();
        found.map(move |found| Finding { part: Some(part), ..found })
    });
    let materials = design.materials.iter();
    let of_materials = materials.flat_map(|held| old(&held.offers, &held.id, &held.path));
    of_parts.chain(of_materials).collect()
}

/// A finding where the quote of an offer for `id` is older than `most_days`.
fn old_quote(
    offer: &Offer,
    id: &Id,
    path: &RepoPath,
    today: Date,
    most_days: f64,
) -> Option<Finding> {
    let quoted = offer.quoted.as_ref()?;
    let days = (today - quoted.value).get_days();
    let supplier = offer.supplier.as_str();
    let message = format!("the quote of `{supplier}` for `{id}` is {days} days old");
    (f64::from(days) > most_days).then(|| Finding {
        place: Some(place(path, quoted)),
        remedy: Some(format!("ask `{supplier}` for a new quote")),
        identity: Some(format!("{supplier} {id} {}", quoted.value)),
        ..finding(CHECK.code, message)
    })
}

#[cfg(test)]
mod tests {
    use crate::fixture::MANIFEST;
    use crate::verdict::tests::found;

    /// A lens quoted on the day; judged on 2026-10-20.
    fn quoted(day: &str) -> Vec<String> {
        let text = format!(
            "\n== tagworthy.toml\n{MANIFEST}[rule]\nprice-age = \"180 d\"\n\
             [part.scanner]\norigin = \"bought\"\n[[part.scanner.offer]]\n\
             supplier = \"glass-shop\"\nprice = \"30 EUR\"\nquoted = {day}\n\
             [supplier.glass-shop]\n"
        );
        found("price-age", &text, "1.0.0")
    }

    #[test]
    fn an_old_quote_is_named_with_its_age() {
        // 180 days before 2026-10-20, by the calendar.
        assert_eq!(quoted("2026-04-23"), [""; 0]);
        assert_eq!(
            quoted("2026-04-22"),
            ["the quote of `glass-shop` for `scanner` is 181 days old"]
        );
    }
}
