//! What changes make of files: a file in, the file that comes out.

#![allow(clippy::unwrap_used, reason = "a test that cannot go on fails")]

mod adding;
mod changing;
mod choosing;
mod laws;

use super::*;
use crate::diagnostic::{At, Span};
use crate::record::{Method, Outcome, Waived};

/// A day.
fn day(text: &str) -> Date {
    text.parse().unwrap()
}

fn ids(words: &[&str]) -> Vec<Id> {
    words.iter().map(|word| Id::from(*word)).collect()
}

/// A soak of the film gate, with all that can be said of it.
fn soak() -> NewRecord {
    let value = "38.4 °C ± 1.2 K".parse().unwrap();
    let result = NewResult::Value { quantity: "temperature".into(), value };
    NewRecord::Evidence(Box::new(NewEvidence {
        verifies: ids(&["gate-stays-cool"]),
        ambient: Some("22 °C ± 0.5 K".parse().unwrap()),
        steady: Some("0.6 K/h".parse().unwrap()),
        method: Some(Method::Test),
        on: Some(day("2026-10-02")),
        by: Some("Ines Okafor".to_owned()),
        files: vec!["/logs/gate-soak-3.csv".to_owned()],
        with: ids(&["led-panel", "lamp-house"]),
        except: vec![("rubber-foot".into(), "far from any heat".to_owned())],
        variant: Some("travel".into()),
        samples: Some(2),
        revision: Some("8e1d0aa".to_owned()),
        effort: Some("4 h".parse().unwrap()),
        seal: vec![
            ("film-gate".into(), "g5f0c91 m77ab02".to_owned()),
            ("led-panel".into(), "s41d7e0".to_owned()),
        ],
        ..NewEvidence::of("film-gate".into(), result)
    }))
}

/// An open item with this title.
fn item(title: &str) -> NewRecord {
    let opened = Some(day("2026-09-20"));
    NewRecord::Item(NewItem { title: Some(title.to_owned()), opened, ..NewItem::default() })
}

/// A waiver of a requirement.
fn waiver() -> NewRecord {
    let at = |word: &str| At::new(Id::from(word), Span::default());
    NewRecord::Waiver(NewWaiver {
        waived: Waived::Requirement(at("carry-mass")),
        up_to: Some("1250 g".parse().unwrap()),
        until_before: "1.1.0".parse().unwrap(),
        on: Some(day("2026-10-05")),
        by: Some("Marta Lindqvist".to_owned()),
        why: "The lighter base comes with 1.1.0.".to_owned(),
    })
}

fn added(text: &str, id: &str, record: &NewRecord) -> String {
    add_record(text, Role::Records, &id.into(), record).unwrap()
}

fn refused(result: Result<String, EditError>) -> String {
    result.expect_err("a refusal").to_string()
}
