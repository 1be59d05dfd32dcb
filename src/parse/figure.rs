//! Quantities: amounts, limits, settings, and figures with what is known about them.

use super::field::{Field, read_text, text};
use super::reader::{Reader, Value, span_of};
use super::sink::Sink;
use super::wanted::{Wanted, plausible};
use super::{BAD_VALUE, CONTRADICTION, WRONG_DIMENSION};
use crate::diagnostic::{At, Diagnostic, Span};
use crate::quantity::{
    self, Amount, Basis, Distribution, Figure, Kind, Measure, Spread, TextError, Unit,
};
use crate::record::{Setting, Sourced};
use rust_decimal::prelude::ToPrimitive;
use toml::de::DeValue;

/// A quantity of no absurd size.
pub(super) fn plausible_measure(text: &str) -> Result<Measure, TextError> {
    let measure = quantity::measure(text)?;
    plausible(measure.kind, measure.base, text)?;
    Ok(measure)
}

fn plausible_figure(text: &str) -> Result<Figure, TextError> {
    let figure = quantity::figure(text)?;
    plausible(figure.measure.kind, figure.measure.base, text)?;
    Ok(figure)
}

fn plausible_result(text: &str) -> Result<Figure, TextError> {
    let figure = quantity::figure_or_number(text)?;
    plausible(figure.measure.kind, figure.measure.base, text)?;
    Ok(figure)
}

fn plausible_amount(text: &str) -> Result<Amount, TextError> {
    let amount = quantity::amount(text)?;
    let base = amount.exact.to_f64().unwrap_or(f64::MAX);
    plausible(Kind::of(amount.dimension), base, text)?;
    Ok(amount)
}

impl Field for Amount {
    fn what() -> String {
        "a count of pieces, or a length, mass, area or volume such as \"0.35 m\"".to_owned()
    }

    fn read(value: Value<'_>, sink: &Sink<'_>) -> Option<Self> {
        if value.get_ref().is_integer() {
            return u64::read(value, sink).map(Self::pieces);
        }
        read_text(value, Self::what, sink, plausible_amount)
    }
}

impl Field for Setting {
    fn what() -> String {
        "a quantity, a text, a whole number, true or false".to_owned()
    }

    fn read(value: Value<'_>, sink: &Sink<'_>) -> Option<Self> {
        match value.get_ref() {
            DeValue::Boolean(yes) => Some(Self::Text(yes.to_string())),
            DeValue::Integer(_) => {
                u64::read(value, sink).map(|count| Self::Text(count.to_string()))
            }
            _ => {
                let text = text(value, Self::what, sink)?;
                let measure = plausible_measure(text).map(Self::Measure);
                Some(measure.unwrap_or_else(|_| Self::Text(text.to_owned())))
            }
        }
    }
}

impl Field for Measure {
    fn what() -> String {
        "a quantity such as \"45 °C\", or a count".to_owned()
    }

    fn read(value: Value<'_>, sink: &Sink<'_>) -> Option<Self> {
        if value.get_ref().is_integer() {
            let count = u64::read(value, sink)?;
            return quantity::number(&count.to_string()).ok();
        }
        read_text(value, Self::what, sink, plausible_measure)
    }
}

impl Field for Figure {
    fn what() -> String {
        "a quantity such as \"31 g ± 0.5 g measured\"".to_owned()
    }

    fn read(value: Value<'_>, sink: &Sink<'_>) -> Option<Self> {
        read_text(value, Self::what, sink, plausible_figure)
    }
}

/// Reads a figure that is `wanted`.
pub(super) fn figure_of(wanted: &Wanted, value: Value<'_>, sink: &Sink<'_>) -> Option<Figure> {
    let figure = Figure::read(value, sink)?;
    let Measure { kind, base, .. } = figure.measure;
    wanted.takes(kind, base, span_of(value), sink).then_some(figure)
}

pub(super) fn what_result() -> String {
    format!("{}, or a plain number such as \"780 ± 12\"", Figure::what())
}

/// Reads what came of a test. Some quantities have no unit, and which one it is of shows when the design
/// is linked.
pub(super) fn result(value: Value<'_>, sink: &Sink<'_>) -> Option<Figure> {
    if value.get_ref().is_integer() {
        let count = u64::read(value, sink)?;
        return plausible_result(&count.to_string()).ok();
    }
    read_text(value, what_result, sink, plausible_result)
}

/// Reads a measure that is `wanted`.
pub(super) fn measure_of(wanted: &Wanted, value: Value<'_>, sink: &Sink<'_>) -> Option<Measure> {
    let measure = Measure::read(value, sink)?;
    wanted.takes(measure.kind, measure.base, span_of(value), sink).then_some(measure)
}

impl Field for Sourced {
    fn what() -> String {
        format!("{}, or a table", Figure::what())
    }

    fn read(value: Value<'_>, sink: &Sink<'_>) -> Option<Self> {
        if value.get_ref().is_table() {
            let mut reader = Reader::of(value, sink)?;
            let sourced = sourced(&mut reader);
            reader.finish();
            return sourced;
        }
        let figure = At::new(Figure::read(value, sink)?, span_of(value));
        Some(Self { figure, from: None, on: None })
    }
}

/// The long form of a figure: `{ value, plus-minus, distribution, basis, from, on }`.
pub(super) fn sourced(reader: &mut Reader<'_>) -> Option<Sourced> {
    let figure = reader.required::<Figure>("value");
    let plus_minus = reader.optional::<Measure>("plus-minus");
    let distribution = reader.optional::<Distribution>("distribution");
    let basis = reader.optional::<Basis>("basis");
    let from = reader.optional("from");
    let on = reader.optional("on");
    let mut figure = figure?;
    if let Some(plus_minus) = plus_minus {
        if figure.spread.is_some() {
            say_twice(plus_minus.span, "±", reader);
        }
        figure.value.spread = Some(half_width(&figure.measure, &plus_minus, reader)?);
    }
    if let Some(distribution) = distribution {
        match &mut figure.value.spread {
            Some(spread) => spread.distribution = distribution.value,
            None => {
                let message = "`distribution` is about the ±, and there is none";
                reader.error(Diagnostic::error(CONTRADICTION, distribution.span, message));
            }
        }
    }
    if let (Some(basis), Some(_)) = (&basis, figure.basis) {
        say_twice(basis.span, "basis", reader);
    }
    figure.value.basis = basis.map(|at| at.value).or(figure.value.basis);
    Some(Sourced { figure, from, on })
}

fn say_twice(span: Span, what: &str, reader: &Reader<'_>) {
    let message = format!("`value` has its {what} already");
    reader.error(Diagnostic::error(CONTRADICTION, span, message));
}

fn half_width(of: &Measure, plus_minus: &At<Measure>, reader: &Reader<'_>) -> Option<Spread> {
    let difference = Kind::of(of.kind.dimension);
    let relative = plus_minus.unit == Unit::percent() && difference != plus_minus.kind;
    let half_width = match () {
        () if plus_minus.base < 0.0 => {
            let message = "what is behind ± cannot be negative";
            reader.error(Diagnostic::error(BAD_VALUE, plus_minus.span, message));
            None
        }
        () if relative && !of.kind.point => Some((of.base * plus_minus.base).abs()),
        () if plus_minus.kind == difference => Some(plus_minus.base),
        () => {
            let found = plus_minus.kind;
            let message = format!("this is {found}, and the ± of {} is {difference}", of.kind);
            reader.error(Diagnostic::error(WRONG_DIMENSION, plus_minus.span, message));
            None
        }
    };
    Some(Spread { half_width: half_width?, distribution: Distribution::Normal })
}
