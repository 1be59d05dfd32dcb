//! Records of small designs.

use semver::Version;

use super::*;
use crate::assess;
use crate::evidence::RevisionSeals;
use crate::fixture::design;
use crate::verdict::{Documents, Occasion};

const SCANNER: &str = "[part.scanner]\norigin = \"assembled\"\ncontains = { body = 2 }\n\
    [part.body]\norigin = \"printed\"\nversion = \"1.0.0\"\nmass = \"400 g ± 2 g\"\n\
    [requirement.light]\npart = \"scanner\"\nquantity = \"mass\"\nat-most = \"1 kg\"\n\
    [variant.half]\n[variant.half.change.scanner]\nbody = 1\n";

fn record(text: &str) -> Record {
    let occasion = Occasion::new(Version::new(1, 0, 0), jiff::civil::date(2026, 10, 20));
    let documents = Documents::default();
    record_of(&assess::judge(&design(text), &RevisionSeals::default(), &documents, occasion))
}

#[test]
fn a_record_is_read_back_from_a_message_with_a_signature_behind_it() {
    let record = record(SCANNER);
    let text = record.text();
    let message = format!("lantern 1.0.0\n\n{text}-----BEGIN SSH SIGNATURE-----\nabc\n");
    assert_eq!(Record::read(&message), Ok(record.clone()));
    assert_eq!(Record::read(&message.replace('\n', "\r\n")), Ok(record));
}

#[test]
fn an_edited_record_is_told_from_one_that_cannot_be_read() {
    let text = record(SCANNER).text();
    assert_eq!(Record::read("lantern 1.0.0"), Err(RecordError::Missing));
    assert_eq!(Record::read(&text.replace("\"pass\"", "\"fail\"")), Err(RecordError::Edited));
    assert_eq!(Record::read(&text.replace("0.8", "0.7")), Err(RecordError::Edited));
    let unreadable = |text: &str| matches!(Record::read(text), Err(RecordError::Unreadable(_)));
    assert!(unreadable(&text.replace("\"bill\"", "\"bil\"")));
    assert!(unreadable(&text.replace(CLOSING, "")));
    assert!(unreadable(&text.replace("\"format\": 2", "\"format\": 3")));
    assert!(unreadable(&text.replace("\"format\": 2", "\"format\": 0")));
    let older = text.replace("\"format\": 2", "\"format\": 1");
    assert_eq!(Record::read(&older), Err(RecordError::Edited), "the digest is of the format too");
}

#[test]
fn a_title_cannot_put_a_record_before_the_record() {
    let (real, other) = (record(SCANNER), record(&SCANNER.replace("400 g", "300 g")));
    let message = format!("{}\n{}", other.text(), real.text());
    assert_eq!(Record::read(&message), Ok(real));
}

#[test]
fn what_differs_is_named() {
    let was = record(SCANNER);
    let differ = |from: &str, to: &str| -> Vec<String> {
        let is = record(&SCANNER.replace(from, to));
        let line = |found: &Difference| {
            let variant = found.variant.as_ref().map(|id| format!("{id}: ")).unwrap_or_default();
            let text = |of: &Option<String>| of.clone().unwrap_or_else(|| "nothing".to_owned());
            match found.what.as_str() {
                "bill of materials" => format!("{variant}bill"),
                what => {
                    format!("{variant}{what}: {} → {}", text(&found.recorded), text(&found.found))
                }
            }
        };
        differences(&was, &is).iter().map(line).collect()
    };
    assert_eq!(differ("400 g", "0.4 kg"), [""; 0]);
    assert_eq!(differ("1.0.0", "1.1.0"), ["bill", "half: bill"]);
    assert_eq!(
        differ("400 g", "600 g"),
        [
            "scanner.mass: 0.8 predicted, 0.8 basic, ± 0.004 → 1.2 predicted, 1.2 basic, ± 0.004",
            "light: pass → fail",
            "half: scanner.mass: 0.4 predicted, 0.4 basic, ± 0.002 → 0.6 predicted, 0.6 basic, ± 0.002",
        ]
    );
    assert_eq!(differ("variant.half", "variant.less").len(), 2);
}

/// A record as the first shape had it; its text was printed by the program of that time.
const FIRST: &str = include_str!("first_shape.txt");

#[test]
fn a_record_of_the_first_shape_is_read_and_compared_in_what_it_has() {
    let first = Record::read(FIRST).expect("a record");
    assert_eq!(first.format, WITHOUT_FIGURES);
    assert_eq!(differences(&first, &record(SCANNER)), []);
    let warm = format!("{SCANNER}{BENT}");
    let names: Vec<String> =
        differences(&first, &record(&warm)).into_iter().map(|found| found.what).collect();
    assert!(names.contains(&"bent".to_owned()), "{names:?}");
    assert!(!names.contains(&"body.slack".to_owned()), "{names:?}");
}

/// A computed figure that is promised something of, with the limits of its inputs.
const BENT: &str = "[requirement.bent]\npart = \"body\"\nquantity = \"slack\"\n\
    at-most = \"2 mm\"\n[part.body.dimension]\nslot = \"5 mm ± 0.3 mm\"\n\
    tongue = \"4 mm ± 0.1 mm\"\n[part.body.formula]\nslack = \"slot - tongue\"\n";

#[test]
fn computed_figures_are_in_it_at_each_of_their_ends() {
    let text = format!("{SCANNER}{BENT}");
    let was = record(&text);
    let [end] = &was.figures["body.slack"][..] else { panic!("{:?}", was.figures) };
    // The middle and the limits of 5 ± 0.3 less 4 ± 0.1; its ± is 2·√(0.3² + 0.1²)/√3.
    assert!((end.value - 0.001).abs() < 1e-12 && end.at.is_empty(), "{end:?}");
    let half = 2.0 * (0.3_f64.powi(2) + 0.1_f64.powi(2)).sqrt() / 3.0_f64.sqrt() / 1e3;
    assert!((end.plus_minus - half).abs() < 1e-12, "{end:?}");
    let [low, high] = end.worst.expect("limits");
    assert!((low - 0.0006).abs() < 1e-12 && (high - 0.0014).abs() < 1e-12, "{end:?}");
    let found = differences(&was, &record(&text.replace("4 mm", "4.1 mm")));
    let what: Vec<&str> = found.iter().map(|found| found.what.as_str()).collect();
    assert!(what.contains(&"body.slack"), "{what:?}");
    assert_eq!(Record::read(&was.text()), Ok(was));
}

#[test]
fn findings_are_in_it_with_what_lets_them_through() {
    let old = "[rule]\nprice-age = \"30 d\"\n[[part.body.offer]]\nsupplier = \"shop\"\ncode = \"B\"\nprice = \"1 EUR\"\n\
        quoted = 2020-01-01\n[supplier.shop]\n";
    let waiver = "[waiver.quote]\ncheck = \"price-age\"\nuntil-before = \"2.0.0\"\n\
        on = 2026-10-01\nby = \"Ada\"\nwhy = \"Asked.\"\n";
    let (open, waived) = (format!("{SCANNER}{old}"), format!("{SCANNER}{old}{waiver}"));
    let (was, is) = (record(&open), record(&waived));
    assert_eq!(was.findings["price-age of body"], ["in the way"]);
    assert_eq!(is.findings["price-age of body"], ["waived by quote until before 2.0.0"]);
    let found = differences(&was, &is);
    let what: Vec<&str> = found.iter().map(|found| found.what.as_str()).collect();
    assert_eq!(what, ["price-age of body", "price-age of body"], "the design's and its variant's");
}
