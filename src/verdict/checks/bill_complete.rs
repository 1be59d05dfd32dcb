//! `bill-complete`: everything that goes into the product can be ordered.

use super::{Check, Context, finding, place};
use crate::design::{Design, PartIx};
use crate::diagnostic::{At, Code, Span};
use crate::record::{Offer, Origin, Part};
use crate::verdict::Finding;

pub(super) const CHECK: Check = Check {
    code: Code("bill-complete"),
    title: "The bill of materials is complete",
    doc: "Every bought part that the product holds, optional ones too, is called something (its \
          `designation`, `maker` and `mpn`, or a `title`) and has an offer; so has the material of \
          every part that is made of one and has no offer of its own. Every offer has the `code` \
          that one orders by, and where the manifest limits the age of prices, the day of its quote.",
    waivable: true,
    run,
};

fn run(context: &Context<'_>) -> Vec<Finding> {
    let design = context.design;
    let parts = design.product().into_iter();
    parts.flat_map(|part| Line { design, part, record: design.record(part) }.findings()).collect()
}

/// One line of the bill.
struct Line<'a> {
    design: &'a Design,
    part: PartIx,
    record: &'a Part,
}

impl Line<'_> {
    fn findings(&self) -> Vec<Finding> {
        let is_bought = self.record.origin.value == Origin::Bought;
        let nameless = self.nameless().filter(|_| is_bought);
        let unoffered = if is_bought { self.unoffered() } else { self.of_material() };
        let offers = self.record.offers.iter().flat_map(|offer| self.of_offer(offer));
        nameless.into_iter().chain(unoffered).chain(offers).collect()
    }

    fn finding(&self, span: Span, message: String, remedy: String) -> Finding {
        Finding {
            part: Some(self.part),
            place: Some(place(&self.design.record(self.part).path, &At::new((), span))),
            remedy: Some(remedy),
            ..finding(CHECK.code, message)
        }
    }

    fn nameless(&self) -> Option<Finding> {
        let Part { id, title, designation, maker, mpn, .. } = self.record;
        let is_named =
            title.is_some() || designation.is_some() || (maker.is_some() && mpn.is_some());
        (!is_named).then(|| {
            self.finding(
                id.span,
                format!("nothing says what `{}` is called where it is sold", id.as_str()),
                format!("give `{}` a designation, a maker and mpn, or a title", id.as_str()),
            )
        })
    }

    fn unoffered(&self) -> Option<Finding> {
        let id = &self.record.id;
        self.record.offers.is_empty().then(|| {
            self.finding(
                id.span,
                format!("nobody offers `{}`", id.as_str()),
                format!("add an offer for `{}`", id.as_str()),
            )
        })
    }

    /// A part that is made of a material needs an offer for that, or one of its own.
    fn of_material(&self) -> Option<Finding> {
        let named = self.record.material.as_ref()?;
        let material = self.design.material(named.as_str())?;
        let is_offered = !(self.record.offers.is_empty() && material.offers.is_empty());
        (!is_offered).then(|| {
            self.finding(
                named.span,
                format!(
                    "nobody offers `{}`, of which `{}` is made",
                    named.value, self.record.id.value
                ),
                format!("add an offer for `{}`", named.value),
            )
        })
    }

    fn of_offer(&self, offer: &Offer) -> Vec<Finding> {
        let (id, supplier) = (self.record.id.as_str(), offer.supplier.as_str());
        let told = |what: &str, remedy: &str| {
            let message = format!("the offer of `{supplier}` for `{id}` has no {what}");
            let remedy = format!("add the {remedy}");
            self.finding(offer.supplier.span, message, remedy)
        };
        let code = format!("code by which `{supplier}` sells `{id}`");
        let no_code = offer.code.is_none().then(|| told("code", &code));
        let limits_age = self.design.manifest.rule.price_age.is_some();
        let undated = limits_age && offer.quoted.is_none();
        let day = format!("day on which `{supplier}` quoted `{id}`");
        let undated = undated.then(|| told("day", &day));
        no_code.into_iter().chain(undated).collect()
    }
}

#[cfg(test)]
mod tests {
    use crate::fixture::MANIFEST;
    use crate::verdict::tests::found;

    const SHOP: &str = "[supplier.bolt-shop]\n";

    fn screw(keys: &str) -> Vec<String> {
        let text = format!(
            "\n== tagworthy.toml\n{MANIFEST}[rule]\nprice-age = \"180 d\"\n\
             [part.scanner]\norigin = \"assembled\"\ncontains = {{ screw = 4 }}\n\
             [part.spare]\norigin = \"bought\"\n\
             [part.screw]\norigin = \"bought\"\n{keys}\n{SHOP}"
        );
        found("bill-complete", &text, "1.0.0")
    }

    const OFFER: &str = "[[part.screw.offer]]\nsupplier = \"bolt-shop\"\nprice = \"4 EUR\"\n";

    #[test]
    fn what_can_be_ordered_is_complete() {
        let whole =
            format!("designation = \"ISO 4762 M3x8\"\n{OFFER}code = \"9\"\nquoted = 2026-10-01");
        assert_eq!(screw(&whole), [""; 0]);
        assert_eq!(screw(&whole.replace("designation", "title")), [""; 0]);
    }

    #[test]
    fn what_is_lacking_is_named() {
        assert_eq!(
            screw(""),
            ["nothing says what `screw` is called where it is sold", "nobody offers `screw`"]
        );
        assert_eq!(
            screw(&format!("title = \"Screw\"\n{OFFER}")),
            [
                "the offer of `bolt-shop` for `screw` has no code",
                "the offer of `bolt-shop` for `screw` has no day"
            ]
        );
    }

    #[test]
    fn a_made_part_needs_its_material() {
        let lid = |offer: &str| {
            let text = format!(
                "[part.scanner]\norigin = \"printed\"\nmaterial = \"petg\"\n[material.petg]\n{offer}{SHOP}"
            );
            found("bill-complete", &text, "1.0.0")
        };
        assert_eq!(lid(""), ["nobody offers `petg`, of which `scanner` is made"]);
        let offer = "[[material.petg.offer]]\nsupplier = \"bolt-shop\"\npack = \"1 kg\"\n\
             price = \"20 EUR\"\n";
        assert_eq!(lid(offer), [""; 0]);
    }
}
