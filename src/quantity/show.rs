//! Showing quantities: rounded for reading, never for reckoning.

use rust_decimal::{Decimal, RoundingStrategy};

use super::{Currency, Unit};

/// A value that was computed and of which no uncertainty is said, at four significant digits, those
/// before the point never rounded away: `31.25 g`.
///
/// `base` is in base units; a plain number has no unit behind it, and money its minor digits.
#[must_use]
pub fn show_measure(base: f64, unit: &Unit) -> String {
    with_symbol(&show_number(unit.from_base(base), unit, COMPUTED_DIGITS), unit.symbol())
}

/// A value as somebody wrote it: no digit of it is rounded away.
#[must_use]
pub fn show_written(base: f64, unit: &Unit) -> String {
    with_symbol(&show_number(unit.from_base(base), unit, WRITTEN_DIGITS), unit.symbol())
}

/// A difference of two values at four significant digits; of temperatures in `K`.
///
/// `base_difference` is in base units.
#[must_use]
pub fn show_difference(base_difference: f64, unit: &Unit) -> String {
    let number = unit.difference_from_base(base_difference);
    let number = show_number(number, unit, COMPUTED_DIGITS);
    with_symbol(&number, unit.difference_symbol())
}

/// A value with its expanded uncertainty, which has two significant digits, and the value as many
/// places (JCGM 100:2008, 7.2.6): `31.20 g ± 0.45 g`.
///
/// Both are in base units. Without an uncertainty, or with one far below what a float can tell
/// apart, the value is shown alone.
#[must_use]
pub fn show_uncertain(base: f64, expanded_uncertainty: f64, unit: &Unit) -> String {
    let value = unit.from_base(base);
    let spread = unit.difference_from_base(expanded_uncertainty).abs();
    let is_told_apart = spread.is_finite() && spread > value.abs() * 1e-12;
    if !is_told_apart || !value.is_finite() {
        return show_measure(base, unit);
    }
    let last_place = exponent_of(spread, 1) - 1;
    let (value, spread) = if is_ordinary(value.abs().max(spread)) {
        (to_place(value, last_place), to_place(spread, last_place))
    } else {
        let places = places_above(last_place, value);
        (format!("{value:.places$e}"), format!("{spread:.1e}"))
    };
    let value = with_symbol(without_negative_zero(&value), unit.symbol());
    format!("{value} ± {}", with_symbol(&spread, unit.difference_symbol()))
}

/// An amount of money at its currency's minor digits (ISO 4217), half to even: `412.80 EUR`.
#[must_use]
pub fn show_money(amount: Decimal, currency: Currency) -> String {
    let digits = currency.minor_digits();
    let rounded = amount.round_dp_with_strategy(digits, RoundingStrategy::MidpointNearestEven);
    let rounded = if rounded.is_zero() { Decimal::ZERO } else { rounded };
    format!("{rounded:.places$} {}", currency.code(), places = digits as usize)
}

/// A price, of which three digits tell: where the minor digits hold fewer, it has more. Half to even.
#[must_use]
pub fn show_price(amount: Decimal, currency: Currency) -> String {
    let minor = currency.minor_digits();
    let size = amount.abs();
    let needed = |places: &u32| {
        let smallest = Decimal::ONE_HUNDRED.checked_div(Decimal::from(10_u64.pow(*places)));
        smallest.is_some_and(|smallest| size >= smallest)
    };
    let places = (minor..=MOST_PRICE_DIGITS).find(needed).unwrap_or(MOST_PRICE_DIGITS);
    let rounded = amount.round_dp_with_strategy(places, RoundingStrategy::MidpointNearestEven);
    let places = rounded.normalize().scale();
    if places <= minor {
        return show_money(amount, currency);
    }
    format!("{:.places$} {}", rounded.normalize(), currency.code(), places = places as usize)
}

/// Digits behind the point of a price, at most.
const MOST_PRICE_DIGITS: u32 = 6;

/// Significant digits of a computed value without a stated uncertainty.
const COMPUTED_DIGITS: i32 = 4;

/// Significant digits of a value that was written: as many as anybody writes, and few enough that
/// nothing shows of its way to base units and back, 273.15 K included.
const WRITTEN_DIGITS: i32 = 9;

fn show_number(value: f64, unit: &Unit, digits: i32) -> String {
    if !value.is_finite() {
        return "not a number".into();
    }
    if value == 0.0 || is_ordinary(value.abs()) {
        if let Some(currency) = unit.currency() {
            let text = format!("{value:.places$}", places = currency.minor_digits() as usize);
            return without_negative_zero(&text).into();
        }
        let place = exponent_of(value, digits - 1) + 1 - digits;
        // Digits before the point are never rounded away: 123457, not 123460.
        let text = to_place(value, place.min(0));
        return without_negative_zero(without_trailing_zeros(&text)).into();
    }
    let places = usize::try_from(digits - 1).unwrap_or(0);
    let text = format!("{value:.places$e}");
    let (mantissa, exponent) = text.split_once('e').unwrap_or((&text, "0"));
    format!("{}e{exponent}", without_trailing_zeros(mantissa))
}

/// Sizes that are read more easily without a power of ten.
fn is_ordinary(size: f64) -> bool {
    (1e-6..1e15).contains(&size)
}

/// The power of ten of the first digit, once `value` is rounded to `places` digits behind it.
fn exponent_of(value: f64, places: i32) -> i32 {
    let text = format!("{value:.places$e}", places = places.unsigned_abs() as usize);
    text.split_once('e').and_then(|(_, exponent)| exponent.parse().ok()).unwrap_or(0)
}

/// The digits behind the first one of `value` down to the place 10^last.
fn places_above(last: i32, value: f64) -> usize {
    usize::try_from(exponent_of(value, 1) - last).unwrap_or(0)
}

/// `value` rounded to the place 10^place.
fn to_place(value: f64, place: i32) -> String {
    if place <= 0 {
        return format!("{value:.places$}", places = place.unsigned_abs() as usize);
    }
    // Through the decimal digits, which round exactly; a power of ten need not.
    let digits = usize::try_from(exponent_of(value, 17) - place);
    let rounded = match digits {
        Ok(digits) => format!("{value:.digits$e}").parse().unwrap_or(value),
        Err(_) => 0.0,
    };
    format!("{rounded:.0}")
}

fn without_trailing_zeros(text: &str) -> &str {
    if text.contains('.') { text.trim_end_matches('0').trim_end_matches('.') } else { text }
}

fn without_negative_zero(text: &str) -> &str {
    match text.strip_prefix('-') {
        Some(size) if size.bytes().all(|byte| matches!(byte, b'0' | b'.')) => size,
        _ => text,
    }
}

fn with_symbol(number: &str, symbol: &str) -> String {
    match symbol {
        "" => number.into(),
        // The signs of an angle follow without a blank (SI brochure, 5.4.3).
        "°" => format!("{number}{symbol}"),
        _ => format!("{number} {symbol}"),
    }
}
