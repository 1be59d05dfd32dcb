//! The tables of `tagworthy.toml` that are no records.

use super::field::Field;
use super::reader::{Reader, Value, span_of};
use super::sink::Sink;
use super::wanted::{TEMPERATURE, TIME};
use super::{BAD_VALUE, CONTRADICTION, MISSING_KEY, UNKNOWN_WORD, unknown_word};
use crate::diagnostic::{At, Diagnostic, did_you_mean};
use crate::quantity::{Basis, Currency, Measure, Money, Unit};
use crate::record::{
    Allowance, Allowances, Ambient, DesignTable, Event, Exchange, Guard, Id, Manifest, Origin,
    QuantityTable, Rule,
};

/// Tables that only a manifest has.
pub(super) const TABLES: [&str; 8] =
    ["design", "ambient", "exchange", "given", "allowance", "rule", "guard", "quantity"];

pub(super) fn read(reader: &mut Reader<'_>) -> Manifest {
    if !reader.has("design") {
        let message = "the manifest has no table `[design]`";
        let hint = "add [design] with name, top, next and currency";
        reader.error(Diagnostic::error(MISSING_KEY, reader.span(), message).with_hint(hint));
    }
    Manifest {
        design: reader.table("design", design).unwrap_or_default(),
        ambient: reader.table("ambient", ambient).unwrap_or_default(),
        exchange: reader.table("exchange", exchange).unwrap_or_default(),
        given: reader.map("given"),
        allowance: reader.by_reference(
            "allowance",
            || by_basis("a percentage, or an amount"),
            allowances,
        ),
        rule: reader.table("rule", rule).unwrap_or_default(),
        guard: reader.table("guard", guard).unwrap_or_default(),
        quantities: reader.records("quantity", |id, reader| Some((id, quantity(reader)?))),
    }
}

fn design(reader: &mut Reader<'_>) -> Option<DesignTable> {
    Some(DesignTable {
        name: reader.required("name"),
        title: reader.optional("title"),
        top: reader.required("top"),
        next: reader.required("next"),
        currency: reader.required("currency"),
        license: reader.read_with("license", || "an SPDX expression".to_owned(), license),
        licensor: reader.optional("licensor"),
        function: reader.optional("function"),
        repo: reader.read_with("repo", || "an address on the web".to_owned(), web_address),
        records: reader.list("records"),
        tag: reader.read_with("tag", || "a text with {version} in it".to_owned(), tag),
        docs: docs(reader),
    })
}

fn docs(reader: &mut Reader<'_>) -> Vec<(At<String>, At<String>)> {
    let docs = reader.map::<String>("docs");
    let role = |name: At<Id>| At::new(name.as_str().to_owned(), name.span);
    docs.into_iter().map(|(name, path)| (role(name), path)).collect()
}

fn tag(value: Value<'_>, sink: &Sink<'_>) -> Option<String> {
    let text = String::read(value, sink)?;
    if text.matches("{version}").count() != 1 {
        let message = "the tag must hold `{version}` once";
        let hint = "such as \"v{version}\"";
        sink.push(Diagnostic::error(BAD_VALUE, span_of(value), message).with_hint(hint));
        return None;
    }
    Some(text)
}

fn web_address(value: Value<'_>, sink: &Sink<'_>) -> Option<String> {
    let text = String::read(value, sink)?;
    let host = text.strip_prefix("https://").or_else(|| text.strip_prefix("http://"));
    if host.is_none_or(str::is_empty) || text.contains(char::is_whitespace) {
        let message = "this is no address on the web";
        let hint = "such as \"https://lantern.example/design\"";
        sink.push(Diagnostic::error(BAD_VALUE, span_of(value), message).with_hint(hint));
        return None;
    }
    Some(text)
}

fn license(value: Value<'_>, sink: &Sink<'_>) -> Option<String> {
    let text = String::read(value, sink)?;
    if let Err(error) = spdx::Expression::parse(&text) {
        let word = text.get(error.span.clone()).unwrap_or(&text);
        let names = spdx::identifiers::LICENSES.iter().map(|license| license.name);
        let hint = did_you_mean(word, names.clone());
        let message = match &hint {
            Some(_) => format!("`{word}` is not in the SPDX list"),
            None => format!("`{word}` is no SPDX expression: {}", error.reason),
        };
        // The identifiers have no blanks in them.
        let joined = text.replace(' ', "-").to_lowercase();
        let begun = names.clone().find(|name| name.to_lowercase().starts_with(&joined));
        let hint = hint.or_else(|| begun.map(|name| format!("did you mean `{name}`?")));
        let hint = hint.unwrap_or_else(|| "see the SPDX list, as for CERN-OHL-S-2.0".to_owned());
        sink.push(Diagnostic::error(BAD_VALUE, span_of(value), message).with_hint(hint));
        return None;
    }
    Some(text)
}

fn ambient(reader: &mut Reader<'_>) -> Option<Ambient> {
    let ambient = Ambient {
        low: reader.measure("low", &TEMPERATURE),
        high: reader.measure("high", &TEMPERATURE),
    };
    if let (Some(low), Some(high)) = (&ambient.low, &ambient.high)
        && low.base > high.base
    {
        let message = "the lowest ambient temperature is above the highest";
        reader.error(Diagnostic::error(CONTRADICTION, low.span, message));
    }
    Some(ambient)
}

fn exchange(reader: &mut Reader<'_>) -> Option<Vec<(At<Currency>, Exchange)>> {
    let rates = reader.rest_tables(|reader| {
        let rate = reader.required::<Money>("rate");
        if let Some(rate) = rate.as_ref().filter(|rate| rate.amount.is_zero()) {
            let message = "a rate of zero makes everything free";
            reader.error(Diagnostic::error(BAD_VALUE, rate.span, message));
        }
        let on = reader.required("on");
        Some(Exchange { rate: rate?, on: on? })
    });
    let known = |(code, rate): (At<&str>, Exchange)| match Currency::from_code(code.value) {
        Some(currency) => Some((At::new(currency, code.span), rate)),
        None => {
            let message = format!("`{}` is no currency of ISO 4217", code.value);
            let hint = Unit::parse(code.value).err().and_then(|error| error.hint);
            let diagnostic = Diagnostic::error(UNKNOWN_WORD, code.span, message);
            reader.error(diagnostic.with_hint_if(hint));
            None
        }
    };
    Some(rates.into_iter().filter_map(known).collect())
}

fn by_basis(what: &str) -> String {
    format!("{what}, by basis (estimated, calculated, stated, measured)")
}

fn bases<T>(
    value: Value<'_>,
    sink: &Sink<'_>,
    mut read: impl FnMut(Value<'_>) -> Option<T>,
) -> Option<Vec<(Basis, At<T>)>> {
    let table = Reader::of(value, sink)?;
    let mut found = Vec::new();
    for (word, span, value) in table.entries() {
        match Basis::WORDS.iter().find(|(known, _)| *known == word) {
            Some((_, basis)) => {
                found.extend(read(value).map(|read| (*basis, At::new(read, span_of(value)))));
            }
            None => sink.push(unknown_word(word, span, Basis::WORDS.iter().map(|(word, _)| *word))),
        }
    }
    Some(found)
}

fn allowances(value: Value<'_>, sink: &Sink<'_>) -> Option<Allowances> {
    bases(value, sink, |value| allowance(value, sink)).map(Allowances)
}

fn allowance(value: Value<'_>, sink: &Sink<'_>) -> Option<Allowance> {
    let measure = Measure::read(value, sink)?;
    if measure.base < 0.0 {
        sink.push(Diagnostic::error(BAD_VALUE, span_of(value), "the allowance is negative"));
        return None;
    }
    match measure.exact.filter(|_| measure.unit == Unit::percent()) {
        Some(share) => Some(Allowance::Share(share)),
        None => Some(Allowance::Amount(measure)),
    }
}

fn rule(reader: &mut Reader<'_>) -> Option<Rule> {
    let what = || by_basis("a percentage");
    let unstated = reader.read_with("unstated", what, |value, sink| {
        bases(value, sink, |value| f64::read(value, sink))
    });
    Some(Rule {
        coverage_factor: reader.read_with(
            "coverage-factor",
            || "a number such as 2".to_owned(),
            coverage_factor,
        ),
        unstated: unstated.map(|at| at.value).unwrap_or_default(),
        sigmas: reader.read_with("sigmas", what_sigmas, sigmas),
        price_age: reader.measure("price-age", &TIME),
        figure_age: reader.measure("figure-age", &TIME),
        machine_hour: reader.optional("machine-hour"),
    })
}

fn coverage_factor(value: Value<'_>, sink: &Sink<'_>) -> Option<f64> {
    from_1_to_6(value, "commonly 2", sink)
}

pub(super) fn what_sigmas() -> String {
    "a number such as 3".to_owned()
}

/// How many standard deviations lie between the middle of a tolerance and either limit.
pub(super) fn sigmas(value: Value<'_>, sink: &Sink<'_>) -> Option<f64> {
    from_1_to_6(value, "commonly 3", sink)
}

fn from_1_to_6(value: Value<'_>, usual: &str, sink: &Sink<'_>) -> Option<f64> {
    let value_ref = value.get_ref();
    let number = value_ref.as_integer().map(|integer| integer.as_str());
    let number = number.or(value_ref.as_float().map(|float| float.as_str()));
    let factor = number.and_then(|text| text.parse::<f64>().ok());
    let factor = factor.filter(|factor| (1.0..=6.0).contains(factor));
    if factor.is_none() {
        let message = format!("a number from 1 to 6 is wanted, {usual}");
        sink.push(Diagnostic::error(BAD_VALUE, span_of(value), message));
    }
    factor
}

fn guard(reader: &mut Reader<'_>) -> Option<Guard> {
    let mut events = |key| {
        let there = reader.has(key);
        let list = reader.list::<Event>(key);
        there.then_some(list)
    };
    let (commit, tag, receive) = (events("commit"), events("tag"), events("receive"));
    let every_commit = reader.optional("every-commit");
    Some(Guard { commit, tag, receive, every_commit, on_fault: reader.optional("on-fault") })
}

fn quantity(reader: &mut Reader<'_>) -> Option<QuantityTable> {
    let title = reader.optional("title");
    let unit = reader.required("unit");
    let roll_up = reader.required("roll-up");
    let expected = reader.list::<Origin>("expected");
    Some(QuantityTable { title, unit: unit?, roll_up: roll_up?, expected })
}
