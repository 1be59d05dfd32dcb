//! Waivers that do not let through what they are about.

use super::judged_on::unit_of;
use super::shown::{Shown, without_noise};
use crate::quantity::{Unit, show_written};
use crate::record::Id;
use crate::verdict::{Assessed, Judged, Lapse, Side};

/// What is said of them beside their requirement.
pub(super) fn remarks(judged: &Judged, unit: &Unit) -> Vec<String> {
    let one = |lapsed: &crate::verdict::Lapsed| {
        let waiver = &lapsed.waiver;
        match &lapsed.why {
            Lapse::Ended(until) => format!("waiver {waiver} held until before {until}"),
            Lapse::NoValue => format!("waiver {waiver} goes up to a value, and there is none"),
            Lapse::Short { side, up_to, needed, guard } => {
                let up_to = Shown::written(*up_to, unit).text;
                let needed = reaching(*needed, *guard, *side, unit);
                format!("waiver {waiver} goes up to {up_to}, and {needed} is needed")
            }
        }
    };
    judged.lapsed.iter().map(one).collect()
}

/// Why the waiver `id` does not let its requirement through, and what would; nothing where it does.
#[must_use]
pub fn why_not_waived(assessed: &Assessed, id: &Id) -> Option<String> {
    let found = assessed.judged.iter().find_map(|judged| {
        let lapsed = judged.lapsed.iter().find(|lapsed| lapsed.waiver == *id)?;
        Some((judged, &lapsed.why))
    });
    let (judged, why) = found?;
    let requirement = &judged.requirement;
    let unit = unit_of(&assessed.design, &assessed.design.requirements[judged.index], judged);
    Some(match why {
        Lapse::Ended(until) => {
            let next = &assessed.occasion.release;
            let message = format!("a waiver until before {until} does not hold at {next}");
            format!("{message}\nname a later release with --until-before")
        }
        Lapse::NoValue => {
            let message = format!("{requirement} has no value that --up-to could be held against");
            format!("{message}\nwithout --up-to it is let through as it is")
        }
        Lapse::Short { side, up_to, needed, guard } => {
            let up_to = Shown::written(*up_to, &unit).text;
            let value = if *side == Side::AtMost { needed - guard } else { needed + guard };
            let value = Shown::uncertain(value, judged.expanded_u, &unit).text;
            let needed = reaching(*needed, *guard, *side, &unit);
            let message =
                format!("up to {up_to} {requirement} is not let through: it is at {value}");
            format!("{message}\nit takes --up-to \"{needed}\"")
        }
    })
}

/// A value as it has to be written so that a waiver reaches `needed`: rounded beyond it.
fn reaching(needed: f64, guard: f64, side: Side, unit: &Unit) -> String {
    let number = unit.from_base(needed);
    let places = match unit.kind().dimension.currency {
        Some((currency, _)) => i32::try_from(currency.minor_digits()).unwrap_or(2),
        // To the second digit of the uncertainty, or the fourth of what is exact.
        None if guard > 0.0 => 1 - power_of(unit.difference_from_base(guard)),
        None => 3 - power_of(number),
    };
    let step = libm::pow(10.0, f64::from(-places.clamp(-12, 12)));
    let steps = without_noise(number / step);
    let exactly = (guard <= 0.0).then(|| show_written(needed, unit));
    // A step further where the text would read as less, by the last bit of a float.
    let beyond = |further: f64| match side {
        Side::AtMost => (libm::ceil(steps) + further) * step,
        Side::AtLeast => (libm::floor(steps) - further) * step,
    };
    let decimals = usize::try_from(places.clamp(0, 12)).unwrap_or(0);
    let text = |further: f64| {
        let text = format!("{:.decimals$} {}", beyond(further), unit.symbol());
        text.trim_end().to_owned()
    };
    let reaches = |text: &str| {
        let read = crate::quantity::figure_or_number(text);
        read.is_ok_and(|figure| match side {
            Side::AtMost => without_noise(figure.measure.base) >= without_noise(needed),
            Side::AtLeast => without_noise(figure.measure.base) <= without_noise(needed),
        })
    };
    let rounded = [0.0, 1.0].into_iter().map(text);
    let is_money = unit.kind().dimension.currency.is_some();
    exactly
        .filter(|_| !is_money)
        .into_iter()
        .chain(rounded)
        .find(|text| reaches(text))
        .unwrap_or_else(|| show_written(needed, unit))
}

/// The power of ten of a number's first digit.
#[allow(clippy::cast_possible_truncation, reason = "it is a small whole number")]
fn power_of(number: f64) -> i32 {
    let power = libm::floor(libm::log10(number.abs()));
    if power.is_finite() { power as i32 } else { 0 }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_needed_is_rounded_beyond_it() {
        let unit = |symbol| Unit::parse(symbol).expect("a unit");
        let (most, least) = (Side::AtMost, Side::AtLeast);
        for (needed, guard, side, symbol, expected) in [
            (230.1301, 0.8123, most, "EUR", "230.14 EUR"),
            (0.281 + 0.004, 0.004, most, "g", "285.0 g"),
            (230.13, 0.81, most, "EUR", "230.13 EUR"),
            (1.193_42, 0.009, most, "g", "1193.5 g"),
            (1.193_42, 0.09, most, "g", "1194 g"),
            (1.193_42, 0.9, most, "g", "1200 g"),
            (0.281, 0.0, most, "g", "281 g"),
            (0.281_12, 0.0, most, "g", "281.12 g"),
            (0.281_12, 0.0, least, "g", "281.12 g"),
            (324.56, 1.3, most, "°C", "51.5 °C"),
        ] {
            assert_eq!(reaching(needed, guard, side, &unit(symbol)), expected);
        }
    }
}
