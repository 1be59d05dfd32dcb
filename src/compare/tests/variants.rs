//! Verdicts that turn in variants.

use super::{SCANNER, verdicts};
use crate::assess;
use crate::compare::impact;
use crate::evidence::RevisionSeals;
use crate::fixture::design;
use crate::record::Date;
use crate::verdict::{Assessed, Documents, Occasion};

/// 930 g instead of 720 g, against 800 g.
const BRIGHT: &str = "[variant.bright]\nchange.head.panel = 3\nchange.scanner.screw = 6\n";
/// 520 g.
const DIM: &str = "[variant.dim]\nchange.head.panel = 1\n";

fn assessed(text: &str) -> Assessed {
    let design = design(text);
    let occasion = Occasion::new(design.next.clone(), Date::constant(2026, 10, 5));
    assess::judge(&design, &RevisionSeals::default(), &Documents::default(), occasion)
}

/// The verdicts that turn in the design itself, then those of its variants.
fn turned(before: &str, after: &str) -> String {
    let change = impact(Some(&assessed(before)), &assessed(after));
    let of_variants = change.variants.iter().map(|(id, of)| (verdicts(of), id));
    let of_variants = of_variants.filter(|(told, _)| !told.is_empty());
    let of_variants = of_variants.map(|(told, id)| format!("in {id}: {told}"));
    format!("{}{}", verdicts(&change), of_variants.collect::<String>())
}

#[test]
fn what_turns_everywhere_is_told_once() {
    let before = format!("{SCANNER}{DIM}").replace("at-most = \"110 EUR\"", "at-most = \"90 EUR\"");
    let after = before.replace("mpn = \"P-1\"", "mpn = \"P-2\"").replace("\"200 g\"", "\"290 g\"");
    // 900 g, and 610 g in the variant.
    assert_eq!(turned(&before, &after), "carry-mass pass → fail by Design, newly failing\n");
    let heavy = after.replace("\"290 g\"", "\"500 g\"");
    assert_eq!(
        turned(&before, &heavy),
        "carry-mass pass → fail by Design, newly failing\n",
        "820 g in the variant too"
    );
}

#[test]
fn what_turns_in_a_variant_alone_is_told_with_it() {
    let before = format!("{SCANNER}{BRIGHT}").replace("panel = 3", "panel = 2");
    let after = format!("{SCANNER}{BRIGHT}");
    let told = turned(&before, &after);
    assert!(
        told.contains("in bright: carry-mass pass → fail by Design, newly failing\n"),
        "{told}"
    );
    let better = format!("{SCANNER}{BRIGHT}").replace("\"200 g\"", "\"150 g\"");
    assert!(turned(&after, &better).contains("in bright: carry-mass fail → pass by Knowledge\n"));
}

#[test]
fn a_new_variant_is_told_where_it_stands_otherwise_and_is_not_newly_failing_by_its_design() {
    let told = turned(SCANNER, &format!("{SCANNER}{BRIGHT}{DIM}"));
    assert!(told.starts_with("in bright: carry-mass - → fail by Requirement"), "{told}");
    assert!(!told.contains("in dim"), "{told}");
    assert_eq!(turned(&format!("{SCANNER}{BRIGHT}"), SCANNER), "");
}

/// Another gate, which asks for other panels than there are from its second make on.
fn wide(takes: &str) -> String {
    format!(
        "{SCANNER}[part.wide-gate]\norigin = \"printed\"\nmass = \"300 g\"\n\
         fits = {{ panel = \"{takes}\" }}\noffer = [{{ supplier = \"print-shop\", price = \
         \"20 EUR\" }}]\n[variant.wide]\nswap = {{ gate = \"wide-gate\" }}\n"
    )
}

#[test]
fn what_is_found_in_a_variant_alone_is_told_with_it() {
    let change = impact(Some(&assessed(&wide("^1"))), &assessed(&wide("^2")));
    assert_eq!(change.new_findings, []);
    let (id, within) = &change.variants[0];
    let found: Vec<&str> = within.new_findings.iter().map(|found| found.check.0).collect();
    assert_eq!((id.as_str(), found), ("wide", vec!["versions-fit"]));
    assert!(within.parts.is_empty(), "the gate changed in the design itself as well");
    let back = impact(Some(&assessed(&wide("^2"))), &assessed(&wide("^1")));
    assert_eq!(back.variants[0].1.gone_findings.len(), 1);
}

#[test]
fn variants_come_and_go() {
    let names = |ids: &[crate::record::Id]| -> Vec<String> {
        ids.iter().map(ToString::to_string).collect()
    };
    let (without, with) = (assessed(SCANNER), assessed(&wide("^2")));
    let come = impact(Some(&without), &with);
    assert_eq!(
        (names(&come.new_variants), names(&come.gone_variants)),
        (vec!["wide".to_owned()], vec![])
    );
    let new: Vec<&str> =
        come.variants[0].1.new_findings.iter().map(|found| found.check.0).collect();
    assert_eq!(new, ["versions-fit", "bill-complete"], "the licence is missed everywhere");
    let gone = impact(Some(&with), &without);
    assert_eq!(
        (names(&gone.new_variants), names(&gone.gone_variants)),
        (vec![], vec!["wide".to_owned()])
    );
    assert!(!gone.is_nothing());
}
