//! Quantity → text.

use rust_decimal::Decimal;

use super::super::{
    Currency, Unit, show_difference, show_measure, show_money, show_price, show_uncertain,
    show_written,
};

fn unit(symbol: &str) -> Unit {
    Unit::parse(symbol).unwrap()
}

fn money(amount: &str, code: &str) -> String {
    show_money(amount.parse().unwrap(), Currency::from_code(code).unwrap())
}

#[test]
fn a_computed_value_has_four_digits_and_no_noise() {
    assert_eq!(show_measure(0.1 + 0.2, &unit("m")), "0.3 m");
    assert_eq!(show_measure(0.031_254_9, &unit("g")), "31.25 g");
    assert_eq!(show_measure(1.234_567_89, &unit("kg")), "1.235 kg");
    assert_eq!(show_measure(99_999.6, &unit("m")), "100000 m");
    assert_eq!(show_measure(-0.000_000_01, &unit("kg")), "-1e-8 kg");
    assert_eq!(show_measure(0.0, &unit("g")), "0 g");
    assert_eq!(show_measure(-0.0, &unit("g")), "0 g");
    assert_eq!(show_measure(318.15, &unit("°C")), "45 °C");
    assert_eq!(show_measure(0.2, &Unit::percent()), "20 %");
    assert_eq!(show_measure(std::f64::consts::FRAC_PI_4, &unit("°")), "45°");
}

#[test]
fn a_written_value_keeps_its_digits() {
    assert_eq!(show_written(0.031_254_9, &unit("g")), "31.2549 g");
    assert_eq!(show_written(0.062_125, &unit("mm")), "62.125 mm");
    assert_eq!(show_written(273.15 + 0.05, &unit("°C")), "0.05 °C");
    assert_eq!(show_written(0.1 + 0.2, &unit("m")), "0.3 m");
}

#[test]
fn digits_before_the_point_are_kept() {
    assert_eq!(show_measure(123.456_7, &unit("g")), "123457 g");
    assert_eq!(show_measure(14.0, &Unit::none()), "14");
    assert_eq!(show_measure(1_234_567.0, &Unit::none()), "1234567");
}

#[test]
fn sizes_out_of_the_ordinary_have_a_power_of_ten() {
    assert_eq!(show_measure(8.196e-11, &unit("m")), "8.196e-11 m");
    assert_eq!(show_measure(6.022_140_76e23, &Unit::none()), "6.022e23");
}

#[test]
fn a_difference_of_temperatures_is_in_kelvin() {
    assert_eq!(show_difference(15.0, &unit("°C")), "15 K");
    assert_eq!(show_difference(-0.002, &unit("g")), "-2 g");
}

#[test]
fn an_uncertainty_has_two_digits_and_the_value_as_many_places() {
    // JCGM 100:2008 (its numbers from memory), 7.2.6: y = 10.057 62 Ω with u = 27 mΩ is reported as 10.058 Ω.
    assert_eq!(show_uncertain(10.057_62, 0.027, &unit("Ω")), "10.058 Ω ± 0.027 Ω");
    // The same, 7.2.2: 100.021 47 g with 0.35 mg; 7.2.4: with 0.79 mg.
    assert_eq!(show_uncertain(0.100_021_47, 0.35e-6, &unit("g")), "100.02147 g ± 0.00035 g");
    assert_eq!(show_uncertain(0.100_021_47, 0.79e-6, &unit("g")), "100.02147 g ± 0.00079 g");

    assert_eq!(show_uncertain(1.184, 0.009, &unit("g")), "1184.0 g ± 9.0 g");
    assert_eq!(show_uncertain(1.184, 0.123, &unit("g")), "1180 g ± 120 g");
    assert_eq!(show_uncertain(1.184, 0.0996, &unit("g")), "1180 g ± 100 g");
    assert_eq!(show_uncertain(0.04, 123.4, &unit("g")), "0 g ± 120000 g");
    assert_eq!(show_uncertain(-0.000_4, 0.1, &unit("m")), "0.00 m ± 0.10 m");
    assert_eq!(show_uncertain(311.55, 1.2, &unit("°C")), "38.4 °C ± 1.2 K");
    assert_eq!(show_uncertain(8.196e-11, 3.2e-13, &unit("m")), "8.196e-11 m ± 3.2e-13 m");
}

#[test]
fn without_an_uncertainty_the_value_stands_alone() {
    assert_eq!(show_uncertain(0.031, 0.0, &unit("g")), "31 g");
    assert_eq!(show_uncertain(1.0, 1e-14, &unit("m")), "1 m");
    assert_eq!(show_uncertain(1.0, f64::NAN, &unit("m")), "1 m");
    assert_eq!(show_uncertain(f64::INFINITY, 1.0, &unit("m")), "not a number m");
}

#[test]
fn money_has_the_minor_digits_of_its_currency() {
    // ISO 4217, list one of 2026-01-01.
    assert_eq!(money("412.8", "EUR"), "412.80 EUR");
    assert_eq!(money("1234.5", "JPY"), "1234 JPY");
    assert_eq!(money("1234.5", "KRW"), "1234 KRW");
    assert_eq!(money("0.0005", "BHD"), "0.000 BHD");
    assert_eq!(money("3.1415", "KWD"), "3.142 KWD");
    assert_eq!(money("1", "CLF"), "1.0000 CLF");
}

#[test]
fn a_price_has_the_digits_that_it_needs() {
    let price =
        |amount: &str| show_price(amount.parse().unwrap(), Currency::from_code("EUR").unwrap());
    assert_eq!(price("12.345"), "12.34 EUR");
    assert_eq!(price("1.904"), "1.90 EUR");
    assert_eq!(price("0.238"), "0.238 EUR");
    assert_eq!(price("0.021"), "0.021 EUR");
    assert_eq!(price("0.0226145"), "0.0226 EUR");
    assert_eq!(price("0.05"), "0.05 EUR");
    assert_eq!(price("-0.021"), "-0.021 EUR");
    assert_eq!(price("0.00000021"), "0.00 EUR");
    assert_eq!(price("0"), "0.00 EUR");
}

#[test]
fn money_is_rounded_half_to_even_and_only_when_shown() {
    assert_eq!(money("0.125", "EUR"), "0.12 EUR");
    assert_eq!(money("0.135", "EUR"), "0.14 EUR");
    assert_eq!(money("-0.004", "EUR"), "0.00 EUR");
    assert_eq!(money("-0.015", "EUR"), "-0.02 EUR");
    assert_eq!(show_money(Decimal::MAX, Currency::from_code("JPY").unwrap()).len(), 33);
    assert_eq!(show_measure(4.2, &unit("EUR")), "4.20 EUR");
}
