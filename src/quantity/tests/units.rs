//! Units: their factors against published values, their spellings, their dimensions.

use iso_currency::IntoEnumIterator;

use super::super::unit_table::{ATOMS, SPELT_OUT, USUAL};
use super::super::{Currency, Dimension, Unit, measure};
use super::explain;

/// The value in base units of a quantity, as its shortest decimal text.
fn base(text: &str) -> String {
    let measure = measure(text).unwrap_or_else(|error| panic!("{text}: {error:?}"));
    match measure.exact {
        Some(exact) => {
            assert_eq!(exact.to_string().parse::<f64>(), Ok(measure.base), "{text}");
            exact.to_string()
        }
        None => measure.base.to_string(),
    }
}

fn refusal(unit: &str) -> String {
    explain(unit, Unit::parse(unit))
}

#[test]
fn the_table_is_sorted_so_that_it_can_be_searched() {
    assert!(ATOMS.is_sorted_by(|a, b| a.symbol < b.symbol));
}

#[test]
fn every_unit_that_is_offered_exists() {
    let offered = SPELT_OUT.iter().map(|(_, symbol)| *symbol).chain(USUAL.iter().copied());
    for symbol in offered {
        assert!(Unit::parse(symbol).is_ok(), "{symbol}");
    }
}

#[test]
fn factors_of_the_inch_and_the_pound_are_exact() {
    // UCUM, the unified code for units of measure: table of international customary units.
    assert_eq!(base("1 lb"), "0.45359237");
    assert_eq!(base("1 oz"), "0.028349523125");
    assert_eq!(base("1 in"), "0.0254");
    assert_eq!(base("1 ft"), "0.3048");
    assert_eq!(base("1 lbf"), "4.4482216152605");
    // UCUM gives 6894.757293168 Pa and 0.29307107 W, to as many digits as it prints.
    assert_eq!(&base("1 psi")[..14], "6894.757293168");
    assert_eq!(&base("1 Btu/h")[..10], "0.29307107");
    // NIST SP 811, appendix B (from memory): 1 thou (mil) is 2.54e-5 m, 1 kgf is 9.80665 N.
    assert_eq!(base("1 thou"), "0.0000254");
    assert_eq!(base("1 mil"), "0.0000254");
    assert_eq!(base("1 kgf"), "9.80665");
}

#[test]
fn a_pound_on_a_square_inch_is_the_nearest_float() {
    // 4.4482216152605 / 0.0254² by Python's exact fractions, then `float`, which rounds correctly:
    // 6894.7572931683613367…; the second times 14.5.
    assert_eq!(measure("1 psi").unwrap().base, 6_894.757_293_168_362);
    assert_eq!(measure("1 lbf/in²").unwrap().base, measure("1 psi").unwrap().base);
    assert_eq!(measure("14.5 psi").unwrap().base, 99_973.980_750_941_23);
}

#[test]
fn prefixes_are_those_of_the_si_brochure() {
    // SI brochure, 9th edition (2019, updated 2022), table 7 (from memory).
    let prefixes = [
        ("Q", 30),
        ("R", 27),
        ("Y", 24),
        ("Z", 21),
        ("E", 18),
        ("P", 15),
        ("T", 12),
        ("G", 9),
        ("M", 6),
        ("k", 3),
        ("h", 2),
        ("da", 1),
        ("d", -1),
        ("c", -2),
        ("m", -3),
        ("µ", -6),
        ("n", -9),
        ("p", -12),
        ("f", -15),
        ("a", -18),
        ("z", -21),
        ("y", -24),
        ("r", -27),
        ("q", -30),
    ];
    for (prefix, power) in prefixes {
        let read = measure(&format!("1 {prefix}m")).unwrap().base;
        assert_eq!(Ok(read), format!("1e{power}").parse(), "{prefix}m");
    }
}

#[test]
fn micro_is_written_in_three_ways() {
    for text in ["1 \u{b5}m", "1 \u{3bc}m", "1 um"] {
        assert_eq!(base(text), "0.000001", "{text}");
    }
}

#[test]
fn units_used_with_the_si_have_their_exact_size() {
    // SI brochure, table 8; the bar: NIST SP 811; the Julian year: IAU (all from memory).
    for (text, expected) in [
        ("1 min", "60"),
        ("1 h", "3600"),
        ("1 d", "86400"),
        ("1 y", "31557600"),
        ("1 L", "0.001"),
        ("1 l", "0.001"),
        ("1 t", "1000"),
        ("1 bar", "100000"),
        ("1 kWh", "3600000"),
        ("1 mAh", "3.6"),
        ("1 %", "0.01"),
        ("1 ppm", "0.000001"),
        ("30 rpm", "0.5"),
        ("180 deg", "3.141592653589793"),
        ("90°", "1.5707963267948966"),
    ] {
        assert_eq!(base(text), expected, "{text}");
    }
}

#[test]
fn derived_units_are_made_of_base_units_as_the_si_says() {
    // SI brochure, table 4, and its equations between quantities (from memory).
    for (unit, same) in [
        ("N", "kg·m/s²"),
        ("Pa", "N/m²"),
        ("J", "N·m"),
        ("W", "J/s"),
        ("C", "A·s"),
        ("V", "W/A"),
        ("Ω", "V/A"),
        ("\u{2126}", "ohm"),
        ("S", "A/V"),
        ("F", "C/V"),
        ("H", "V·s/A"),
        ("T", "V·s/m²"),
        ("Hz", "1/s"),
        ("lx", "lm/m²"),
        ("VA", "V·A"),
        ("Wh", "W·h"),
        ("Ah", "A·h"),
        ("L", "dm³"),
        ("°", "deg"),
        ("psi", "lbf/in^2"),
        ("rpm", "min^-1"),
    ] {
        let (left, right) = (format!("7.3 {unit}"), format!("7.3 {same}"));
        assert_eq!(measure(&left), measure(&right), "{unit} = {same}");
    }
}

#[test]
fn compound_units_are_written_in_several_ways() {
    for (unit, same) in [
        ("N·m", "N*m"),
        ("N·m", "N\u{22c5}m"),
        ("g/cm³", "g/cm^3"),
        ("m²", "m^2"),
        ("m⁻¹", "m^-1"),
        ("1/K", "K^-1"),
        ("mm⁴", "mm^4"),
        ("s⁻⁹", "s^-9"),
        ("W/(m·K)", "W/m/K"),
        ("%/K", "%/°C"),
        ("Ω·mm²/km", "ohm*mm^2/km"),
    ] {
        let (left, right) = (Unit::parse(unit).unwrap(), Unit::parse(same).unwrap());
        assert_eq!((left.kind(), left.size()), (right.kind(), right.size()), "{unit} = {same}");
    }
    // Copper at 17.241 Ω·mm²/km (ASTM B258, restated in tables of wire) is 1.7241e-8 Ω·m.
    assert_eq!(base("17.241 Ω·mm²/km"), "0.000000017241");
}

#[test]
fn celsius_by_itself_is_a_point_and_within_a_compound_a_difference() {
    assert!(Unit::parse("°C").unwrap().kind().point);
    assert!(Unit::parse("degC").unwrap().kind().point);
    for unit in ["K", "°C/h", "W/°C", "°C^2", "1/°C"] {
        assert!(!Unit::parse(unit).unwrap().kind().point, "{unit}");
    }
    assert_eq!(Unit::parse("°C/h").unwrap().kind().dimension, Dimension::TEMPERATURE_RATE);
}

#[test]
fn no_currency_code_is_the_symbol_of_a_unit() {
    for currency in iso_currency::Currency::iter() {
        let unit = Unit::parse(currency.code()).unwrap();
        assert_eq!(unit.currency().map(|currency| currency.code()), Some(currency.code()));
    }
}

#[test]
fn an_unknown_unit_is_answered_with_the_nearest_one() {
    assert_eq!(refusal("MM"), "[MM] unknown unit `MM` (did you mean `mm`?)");
    assert_eq!(refusal("Mpa"), "[Mpa] unknown unit `Mpa` (did you mean `MPa`?)");
    assert_eq!(refusal("grams"), "[grams] unknown unit `grams` (did you mean `g`?)");
    assert_eq!(refusal("kgs"), "[kgs] unknown unit `kgs` (did you mean `kg`?)");
    assert_eq!(refusal("mms"), "[mms] unknown unit `mms` (did you mean `mm`?)");
    assert_eq!(refusal("°F"), "[°F] unknown unit `°F` (did you mean `°C`?)");
    assert_eq!(refusal("inches"), "[inches] unknown unit `inches` (did you mean `in`?)");
    assert_eq!(refusal("cm2"), "[cm2] unknown unit `cm2` (did you mean `cm^2`?)");
    assert_eq!(refusal("Nm"), "[Nm] unknown unit `Nm` (did you mean `N·m`?)");
    assert_eq!(refusal("Ncm"), "[Ncm] unknown unit `Ncm` (did you mean `N·cm`?)");
    assert_eq!(refusal("N·mn"), "[mn] unknown unit `mn` (did you mean `mN`?)");
    assert_eq!(refusal("EUX"), "[EUX] unknown currency or unit `EUX` (did you mean `EUR`?)");
    assert_eq!(refusal("eur"), "[eur] unknown unit `eur` (did you mean `EUR`?)");
    assert_eq!(refusal("€"), "[€] unknown unit `€` (did you mean `EUR`?)");
    assert_eq!(refusal("parsecs"), "[parsecs] unknown unit `parsecs`");
}

#[test]
fn units_that_mean_nothing_are_refused() {
    assert_eq!(refusal(""), "[] a unit is missing");
    assert_eq!(refusal("2.5"), "[2.5] a unit is missing");
    assert_eq!(refusal("EUR/USD"), "[USD] two currencies meet in a unit");
    assert_eq!(refusal("m^0"), "[^0] a unit's power is a whole number from -9 to 9, not 0");
    assert_eq!(refusal("m^12"), "[^12] a unit's power is a whole number from -9 to 9, not 0");
    assert_eq!(refusal("Qm^9"), "[Qm^9] the unit is beyond all sizes that can be kept");
    assert_eq!(refusal("W/(m·K"), "[] `)` is missing behind the divisors of a unit");
    assert_eq!(refusal("mm mm"), "[mm] `mm` is not understood here");
    assert_eq!(refusal("m/"), "[/] `/` is not understood here");
}

#[test]
fn a_value_is_shown_in_its_unit_and_a_difference_without_the_offset() {
    let celsius = Unit::parse("°C").unwrap();
    assert_eq!(celsius.from_base(298.15), 25.0);
    assert_eq!(celsius.difference_from_base(15.0), 15.0);
    assert_eq!(celsius.difference_symbol(), "K");
    assert_eq!(Unit::parse("g").unwrap().from_base(0.031), 31.0);
    assert_eq!(Unit::percent().from_base(0.2), 20.0);
    assert_eq!(Unit::parse("deg").unwrap().from_base(std::f64::consts::PI), 180.0);
}

/// Numeric codes by ISO 4217, list one; these four from memory.
#[test]
fn a_currency_is_kept_by_its_number() {
    let kept = |code: &str| postcard::to_allocvec(&Currency::from_code(code)).expect("a number");
    let number = |number: u16| postcard::to_allocvec(&Some(number)).expect("a number");
    for (code, of_the_standard) in [("EUR", 978), ("USD", 840), ("JPY", 392), ("CHF", 756)] {
        assert_eq!(kept(code), number(of_the_standard), "{code}");
    }
    for currency in iso_currency::Currency::iter() {
        let back: Currency = postcard::from_bytes(&kept(currency.code())[1..]).expect("a currency");
        assert_eq!(back.code(), currency.code());
    }
}
