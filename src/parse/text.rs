//! Fields that are one short text: versions, money, sizes, percentages, units, seals.

use rust_decimal::Decimal;
use rust_decimal::prelude::ToPrimitive;
use semver::{Version, VersionReq};

use super::field::{Field, in_text, text};
use super::figure::plausible_measure;
use super::place::{placement, plausible_lengths, point};
use super::reader::Value;
use super::sink::Sink;
use super::wanted::plausible;
use crate::quantity::{
    self, Currency, Dimension, Kind, Measure, Money, Placement, Point, TextError, Toleranced, Unit,
};
use crate::record::{Hazard, Margin, Seal};

/// A field that is a string which `parse` understands.
macro_rules! texts {
    ($($type:ty, $what:expr, $parse:expr;)*) => { $(impl Field for $type {
        fn what() -> String {
            $what.to_owned()
        }

        fn read(value: Value<'_>, sink: &Sink<'_>) -> Option<Self> {
            let text = text(value, Self::what, sink)?;
            let result: Result<$type, TextError> = $parse(text);
            result.map_err(|error| sink.push(in_text(value, text, error, sink))).ok()
        }
    })* };
}
texts!(
    String, "a text", text_of;
    Version, "a version such as \"1.2.0\"", version;
    VersionReq, "a version range such as \"^1.2\"", version_range;
    Money, "an amount of money such as \"3.90 EUR\"", money;
    Toleranced, "a size with its tolerance such as \"5.00 mm +0.05/-0.00\"", toleranced;
    [Measure; 3], "three lengths such as \"84 x 60 x 9 mm\"", size;
    Placement, "three lengths such as \"12 x 0 x 48 mm\", with ± and turns where they matter", placement;
    Point, "three lengths such as \"30 x 20 x 4 mm ± 1 mm\"", point;
    Decimal, "a percentage such as \"19 %\"", percent;
    f64, "a percentage such as \"88 %\"", share;
    (Unit, Kind), "a unit such as \"dB\"", unit;
    Currency, "a currency of ISO 4217 such as \"EUR\"", currency;
    Hazard, "a hazard: mains, hot-surface, moving, cell, sharp, light, pressure, fumes, or a text", hazard;
    Seal, "a seal, written by the tool", seal;
    Margin, "a quantity such as \"2 K\", or a percentage of the limit", margin;
);

fn text_of(text: &str) -> Result<String, TextError> {
    if text.trim().is_empty() {
        return Err(whole(text, "the text is empty"));
    }
    Ok(text.to_owned())
}

fn version(text: &str) -> Result<Version, TextError> {
    Version::parse(text).map_err(|_| TextError {
        hint: Some("three numbers: MAJOR.MINOR.PATCH, as in \"1.2.0\"".to_owned()),
        ..whole(text, format!("`{text}` is no version"))
    })
}

fn version_range(text: &str) -> Result<VersionReq, TextError> {
    VersionReq::parse(text).map_err(|_| TextError {
        hint: Some("as in \"^1.2\", \"~1.2.3\", \">=1.2, <1.5\"".to_owned()),
        ..whole(text, format!("`{text}` is no version range"))
    })
}

fn money(text: &str) -> Result<Money, TextError> {
    let money = quantity::money(text)?;
    let kind = Kind::of(Dimension::money(money.currency));
    plausible(kind, money.amount.to_f64().unwrap_or(f64::MAX), text)?;
    Ok(money)
}

fn toleranced(text: &str) -> Result<Toleranced, TextError> {
    let size = quantity::toleranced(text)?;
    for base in [size.nominal.base, size.upper, size.lower] {
        plausible(size.nominal.kind, base, text)?;
    }
    Ok(size)
}

fn size(text: &str) -> Result<[Measure; 3], TextError> {
    let lengths = quantity::size(text)?;
    plausible_lengths(&lengths, text)?;
    Ok(lengths)
}

/// The largest share: ten times the whole.
const LARGEST_SHARE: Decimal = Decimal::TEN;

fn percent(text: &str) -> Result<Decimal, TextError> {
    let share = quantity::percent(text)?;
    if share > LARGEST_SHARE {
        return Err(whole(text, "the percentage is above 1,000 %"));
    }
    Ok(share)
}

fn share(text: &str) -> Result<f64, TextError> {
    let share = percent(text)?;
    if share > Decimal::ONE {
        return Err(whole(text, "the percentage is above 100 %"));
    }
    share.to_string().parse().map_err(|_| whole(text, "the percentage has too many digits"))
}

fn unit(text: &str) -> Result<(Unit, Kind), TextError> {
    let unit = Unit::parse(text)?;
    let kind = unit.kind();
    Ok((unit, kind))
}

fn currency(text: &str) -> Result<Currency, TextError> {
    Currency::from_code(text).ok_or_else(|| TextError {
        hint: Unit::parse(text).err().and_then(|error| error.hint),
        ..whole(text, format!("`{text}` is no currency of ISO 4217"))
    })
}

fn hazard(text: &str) -> Result<Hazard, TextError> {
    let known = Hazard::WORDS.into_iter().find(|(word, _)| *word == text);
    Ok(known.map_or_else(|| Hazard::Other(text.to_owned()), |(_, hazard)| hazard))
}

fn seal(text: &str) -> Result<Seal, TextError> {
    let facet = |word: &str| {
        let (letter, digits) = word.split_at_checked(1)?;
        let letter = letter.chars().next().filter(char::is_ascii_lowercase)?;
        let hexadecimal = digits.bytes().all(|byte| byte.is_ascii_hexdigit());
        (hexadecimal && !digits.is_empty()).then(|| (letter, digits.to_owned()))
    };
    let facets: Option<Vec<_>> = text.split_whitespace().map(facet).collect();
    facets.filter(|facets| !facets.is_empty()).map(Seal).ok_or_else(|| TextError {
        hint: Some("leave seals to the tool; delete this one to take a new one".to_owned()),
        ..whole(text, "this is no seal")
    })
}

fn margin(text: &str) -> Result<Margin, TextError> {
    let measure = plausible_measure(text)?;
    if measure.base < 0.0 {
        return Err(whole(text, "the margin is negative"));
    }
    if measure.unit == Unit::percent() {
        return Ok(Margin::Share(measure.base));
    }
    Ok(Margin::Absolute(measure))
}

fn whole(text: &str, message: impl Into<String>) -> TextError {
    TextError { span: 0..text.len(), message: message.into(), hint: None }
}
