//! The version step that one change asks for, of the design and of its parts.

use std::collections::BTreeMap;

use semver::Version;

use super::proposal::{
    Proposal, Reason, Step, largest, physically_changed, propose, raised, reasons,
};
use crate::design::Design;
use crate::facet::Facet;
use crate::interchange::{self, Break};
use crate::record::Id;
use crate::verdict::LastRelease;

/// What a change asks of versions.
#[derive(Clone, Debug)]
pub struct Asked {
    /// How much of a step the change alone is, were the design released at 1.0.0 or later.
    pub step: Step,
    /// Why: the largest steps first, then by part.
    pub reasons: Vec<(Step, Reason)>,
    /// What is due with all that came since the last release; nothing where nothing was released.
    pub due: Option<Proposal>,
    /// The version that is being prepared.
    pub next: Version,
    /// Parts whose own versions are lower than the change asks for, in the order of ids.
    pub parts: Vec<PartDue>,
}

/// A part whose version is to be raised further.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct PartDue {
    /// The part.
    pub part: Id,
    /// The step that the change asks for.
    pub step: Step,
    /// Its version before.
    pub was: Version,
    /// Its version now.
    pub is: Version,
    /// The lowest version that will do.
    pub due: Version,
    /// Why.
    pub why: WhyDue,
}

/// Why a part's version is to be raised.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum WhyDue {
    /// It is no longer interchangeable itself.
    Break(interchange::Reason),
    /// It holds a part that is no longer interchangeable, and which it does not make good for.
    Holds(Id),
    /// It is interchangeable as a whole, and holds another part than before.
    Revised(Id),
    /// It is another in these facets.
    Changed(Vec<Facet>),
}

/// What the change from `was` to `is` asks for, after `last` was released.
#[must_use]
pub fn asked(last: Option<&LastRelease>, was: &Design, is: &Design) -> Asked {
    let reasons = reasons(was, is);
    Asked {
        step: largest(&reasons),
        parts: parts(was, is, &reasons),
        reasons,
        due: last.map(|last| propose(&last.version, &last.design, is)),
        next: is.next.clone(),
    }
}

fn parts(was: &Design, is: &Design, reasons: &[(Step, Reason)]) -> Vec<PartDue> {
    let mut wanted: BTreeMap<Id, (Step, WhyDue)> = BTreeMap::new();
    let mut want = |part: &Id, step: Step, why: WhyDue| {
        let is_less = |(known, _): &(Step, WhyDue)| *known < step;
        if wanted.get(part).is_none_or(is_less) {
            wanted.insert(part.clone(), (step, why));
        }
    };
    let breaks = reasons.iter().filter_map(|(_, reason)| match reason {
        Reason::Break(found) => Some(found),
        _ => None,
    });
    for Break { part, reason, breaks, ends_at, .. } in breaks {
        if matches!(reason, interchange::Reason::Fits { .. }) {
            want(part, Step::Major, WhyDue::Break(reason.clone()));
        }
        breaks.iter().for_each(|it| want(it, Step::Major, WhyDue::Holds(part.clone())));
        ends_at.iter().for_each(|it| want(it, Step::Patch, WhyDue::Revised(part.clone())));
    }
    for part in is.product() {
        let then = was.part(is.id(part).as_str());
        let facets = then.map(|then| physically_changed((was, then), (is, part)));
        let facets = facets.unwrap_or_default();
        if !facets.is_empty() {
            want(is.id(part), Step::Patch, WhyDue::Changed(facets));
        }
    }
    let due = wanted.into_iter().filter_map(|(part, (step, why))| {
        let [was, is] = [was, is].map(|design| version(design, &part));
        let (was, is) = (was?, is?);
        let due = raised(was, step);
        (is.cmp_precedence(&due).is_lt()).then(|| PartDue {
            step,
            was: was.clone(),
            is: is.clone(),
            due,
            why,
            part,
        })
    });
    due.collect()
}

fn version<'a>(design: &'a Design, part: &Id) -> Option<&'a Version> {
    let part = design.part(part.as_str())?;
    design.record(part).version.as_ref().map(|version| &version.value)
}

#[cfg(test)]
mod tests {
    use std::sync::Arc;

    use super::*;
    use crate::fixture::design;

    /// A scanner with A that holds B that holds C, and a neighbour of C beside A.
    fn chain(a: &str, b: &str, c: &str, more: &str) -> String {
        format!(
            "[part.scanner]\norigin = \"assembled\"\ncontains = {{ a = 1, hinge = 1 }}\n\
             [part.a]\norigin = \"assembled\"\nversion = \"{a}\"\ncontains = {{ b = 1 }}\n\
             [part.b]\norigin = \"assembled\"\nversion = \"{b}\"\ncontains = {{ c = 1 }}\n\
             [part.c]\norigin = \"printed\"\nversion = \"{c}\"\n{more}\n\
             [part.hinge]\norigin = \"printed\"\nversion = \"1.4.0\"\n"
        )
    }

    /// `STEP, VERSION or more; PART WAS → DUE (IS)` of what is asked for.
    fn told(last: &str, was: &str, is: &str) -> String {
        let (was, is) = (design(was), design(is));
        let last = LastRelease {
            version: Version::parse(last).expect("a version"),
            tag: format!("v{last}"),
            design: Arc::clone(&was),
        };
        let asked = asked(Some(&last), &was, &is);
        let due = asked.due.map(|due| due.version.to_string()).unwrap_or_default();
        let part = |it: &PartDue| {
            format!("; {} {} {} → {} ({})", it.step.word(), it.part, it.was, it.due, it.is)
        };
        let parts: String = asked.parts.iter().map(part).collect();
        format!("{}, {due} or more{parts}", asked.step.word())
    }

    const MATES: &str = "fits = { hinge = \"^1.4\" }";
    const MATES_NO_MORE: &str = "fits = { hinge = \"^2\" }";

    /// MIL-STD-100G, 406.13, as it is read in `interchange`: C is no longer interchangeable, B and A
    /// bring no hinge along, so that they are broken with it, up to the product.
    #[test]
    fn a_part_that_fits_its_neighbour_no_longer_is_to_be_raised_with_all_that_hold_it() {
        let was = chain("1.0.0", "1.2.0", "1.0.0", MATES);
        assert_eq!(
            told("0.10.0", &was, &chain("1.0.0", "1.2.0", "1.0.1", MATES_NO_MORE)),
            "major, 0.11.0 or more; major a 1.0.0 → 2.0.0 (1.0.0); major b 1.2.0 → 2.0.0 (1.2.0); \
             major c 1.0.0 → 2.0.0 (1.0.1)"
        );
        let raised = chain("2.0.0", "2.0.0", "2.0.0", MATES_NO_MORE);
        assert_eq!(told("1.3.0", &was, &raised), "major, 2.0.0 or more");
    }

    /// MIL-STD-100G, 406.13: where B is interchangeable as a whole, it is revised and A keeps its
    /// number.
    #[test]
    fn an_assembly_that_makes_good_for_its_part_is_only_revised() {
        let was = chain("1.0.0", "1.0.0", "1.0.0", "");
        assert_eq!(
            told("1.3.0", &was, &chain("1.0.0", "1.0.0", "2.0.0", "")),
            "minor, 1.4.0 or more; patch b 1.0.0 → 1.0.1 (1.0.0)"
        );
        assert_eq!(
            told("1.3.0", &was, &chain("1.0.0", "1.0.1", "2.0.0", "")),
            "minor, 1.4.0 or more"
        );
    }

    /// B holds another C, and is cut to another size besides: the first reason is told.
    #[test]
    fn of_reasons_for_the_same_step_the_first_is_told() {
        let chain = |c: &str, slot: &str| {
            let text = chain("1.0.0", "1.0.0", c, "");
            let sized = format!("contains = {{ c = 1 }}\ndimension = {{ slot = \"{slot}\" }}");
            design(&text.replace("contains = { c = 1 }", &sized))
        };
        let asked = asked(None, &chain("1.0.0", "5 mm"), &chain("2.0.0", "6 mm"));
        let [due] = &asked.parts[..] else { panic!("{:?}", asked.parts) };
        assert_eq!((due.part.as_str(), &due.why), ("b", &WhyDue::Revised(Id::from("c"))));
    }

    #[test]
    fn a_part_that_is_another_in_what_it_is_has_another_number() {
        let sized = |version: &str, size: &str| {
            chain("1.0.0", "1.0.0", version, &format!("dimension = {{ slot = \"{size}\" }}"))
        };
        assert_eq!(
            told("1.3.0", &sized("1.0.0", "5 mm"), &sized("1.0.0", "6 mm")),
            "patch, 1.3.1 or more; patch c 1.0.0 → 1.0.1 (1.0.0)"
        );
        assert_eq!(
            told("1.3.0", &sized("1.0.0", "5 mm"), &sized("1.0.1", "6 mm")),
            "patch, 1.3.1 or more"
        );
    }
}
