//! Text → quantity, and what is wrong with the text.

use rust_decimal::Decimal;

use super::super::{
    Amount, Basis, Dimension, Kind, Measure, Unit, amount, figure, figure_or_number, measure,
    money, number, percent, size, toleranced, unit_kind,
};
use super::explain;

fn exact(measure: &Measure) -> String {
    measure.exact.unwrap().to_string()
}

fn decimal(text: &str) -> Decimal {
    text.parse().unwrap()
}

#[test]
fn a_number_with_a_unit_is_a_measure() {
    for (text, expected) in [
        ("450 EUR", "450"),
        ("5 °C", "278.15"),
        ("-2.18 °C", "270.97"),
        ("2.4 K/W", "2.4"),
        ("20 %", "0.2"),
        ("2.5 %/K", "0.025"),
        ("  1.27 g/cm³ ", "1270"),
        ("31g", "0.031"),
        ("\u{2212}3\u{a0}mm", "-0.003"),
        ("+3 mm", "0.003"),
        (".5 mm", "0.0005"),
        ("8.196e7 mm^4", "0.00008196"),
        ("8.196E-2 mm", "0.00008196"),
        ("-0 mm", "0"),
    ] {
        assert_eq!(exact(&measure(text).unwrap()), expected, "{text}");
    }
    assert_eq!(measure("5 °C").unwrap().kind, Kind::TEMPERATURE_POINT);
    assert_eq!(measure("-0 mm").unwrap(), measure("0 mm").unwrap());
    assert_eq!(measure("36 K/h").unwrap().base, 0.01);
    assert_eq!(measure("0.6 K/h").unwrap().exact, None);
}

#[test]
fn a_measure_may_be_written_in_falling_parts() {
    assert_eq!(exact(&measure("2 h 30 min").unwrap()), "9000");
    assert_eq!(exact(&measure("1 d 2 h 3 min 4 s").unwrap()), "93784");
    assert_eq!(exact(&measure("-2 h 30 min").unwrap()), "-9000");
    assert_eq!(exact(&measure("5 ft 3 in").unwrap()), "1.6002");
    assert_eq!(measure("2 h 30 min").unwrap().unit.symbol(), "h");

    let refusal = |text| explain(text, measure(text));
    let falls = "(the parts of one quantity fall, as in `2 h 30 min`)";
    assert_eq!(refusal("30 min 2 h"), format!("[2 h] a part in `h` cannot follow here {falls}"));
    assert_eq!(refusal("2 h 30 mm"), format!("[30 mm] a part in `mm` cannot follow here {falls}"));
    assert_eq!(refusal("5 °C 3 K"), format!("[3 K] a part in `K` cannot follow here {falls}"));
}

#[test]
fn a_figure_has_a_spread_and_a_basis() {
    let read = |text| {
        let figure = figure(text).unwrap();
        let spread = figure.spread.map(|spread| spread.half_width.to_string());
        (figure.measure.base.to_string(), spread.unwrap_or_default(), figure.basis)
    };
    let expect = |base: &str, spread: &str, basis| (base.to_owned(), spread.to_owned(), basis);
    assert_eq!(read("31 g"), expect("0.031", "", None));
    assert_eq!(read("31 g ± 0.5 g measured"), expect("0.031", "0.0005", Some(Basis::Measured)));
    assert_eq!(read("31 g +/- 0.5 g"), expect("0.031", "0.0005", None));
    assert_eq!(read("31 g±500 mg stated"), expect("0.031", "0.0005", Some(Basis::Stated)));
    assert_eq!(read("14 mm ± 1 %"), expect("0.014", "0.00014", None));
    assert_eq!(read("-14 mm ± 1 %"), expect("-0.014", "0.00014", None));
    assert_eq!(read("58 °C ± 1.5 K"), expect("331.15", "1.5", None));
    assert_eq!(read("2 h 30 min ± 5 min"), expect("9000", "300", None));
    assert_eq!(read("12 EUR estimated"), expect("12", "", Some(Basis::Estimated)));
    assert_eq!(
        read("2.1 GPa ± 8 % calculated"),
        expect("2100000000", "168000000", Some(Basis::Calculated))
    );
}

#[test]
fn the_spread_of_a_share_is_in_points() {
    assert_eq!(figure("88 % ± 2 %").unwrap().spread.unwrap().half_width, 0.02);
    assert_eq!(figure("2.5 %/K ± 8 %").unwrap().spread.unwrap().half_width, 0.002);
}

#[test]
fn a_spread_that_does_not_go_with_its_value_is_refused() {
    let refusal = |text| explain(text, figure(text));
    assert_eq!(
        refusal("60 °C ± 1 %"),
        "[1 %] the ± of a temperature is a difference (such as `± 1.5 K`)"
    );
    assert_eq!(
        refusal("60 °C ± 1.5 °C"),
        "[1.5 °C] the ± of a temperature is a difference (such as `± 1.5 K`)"
    );
    assert_eq!(
        refusal("15 K ± 1.5 °C"),
        "[1.5 °C] a temperature cannot be the ± of a temperature difference"
    );
    assert_eq!(refusal("31 g ± 2 mm"), "[2 mm] a length cannot be the ± of a mass");
    assert_eq!(refusal("31 g ± -2 g"), "[-2 g] what is behind ± cannot be negative");
    assert_eq!(refusal("31 g ± 2"), "[2] a unit is missing");
    assert_eq!(refusal("31 g ±"), "[] a number is missing");
    assert_eq!(refusal("31 ± 2 g"), "[31] a unit is missing");
    assert_eq!(
        refusal("31 g mesured"),
        "[mesured] `mesured` does not say how a figure is known (did you mean `measured`?)"
    );
    assert_eq!(refusal("31 g measured twice"), "[twice] `twice` is not understood here");
}

#[test]
fn money_is_exact() {
    let price = money("4.20 EUR").unwrap();
    assert_eq!((price.amount, price.currency.code()), (decimal("4.2"), "EUR"));
    // A sum that binary floats get wrong: 0.1 + 0.2.
    let sum = money("0.1 USD").unwrap().amount + money("0.2 USD").unwrap().amount;
    assert_eq!(sum, money("0.3 USD").unwrap().amount);

    let refusal = |text| explain(text, money(text));
    assert_eq!(
        refusal("4.20 EUR/kg"),
        "[4.20 EUR/kg] money is wanted here, and this is EUR/kg (such as `4.20 EUR`)"
    );
    assert_eq!(refusal("-1 EUR"), "[-1 EUR] a price cannot be negative");
    assert_eq!(refusal("4.20"), "[4.20] a unit is missing");
    assert_eq!(
        refusal("1e-30 EUR"),
        "[1e-30 EUR] the quantity has more digits than can be kept exactly"
    );
}

#[test]
fn an_amount_is_a_positive_extent() {
    let felt = amount("0.35 m").unwrap();
    let unit = Unit::parse("m").unwrap();
    assert_eq!(felt, Amount { exact: decimal("0.35"), dimension: Dimension::LENGTH, unit });
    assert_eq!(amount("250 mL").unwrap().exact, decimal("0.00025"));

    let refusal = |text| explain(text, amount(text));
    assert_eq!(refusal("0 m"), "[0 m] an amount is more than nothing");
    assert_eq!(refusal("-1 m"), "[-1 m] an amount is more than nothing");
    assert_eq!(
        refusal("3 W"),
        "[3 W] an amount is a length, mass, area or volume, and this is a power"
    );
    assert_eq!(
        refusal("14"),
        "[14] a unit is missing (a number of pieces is written without quotes)"
    );
}

#[test]
fn a_percentage_is_a_share() {
    assert_eq!(percent("19 %").unwrap(), decimal("0.19"));
    assert_eq!(percent("0 %").unwrap(), Decimal::ZERO);
    assert_eq!(percent("350ppm").unwrap(), decimal("0.00035"));
    let refusal = |text| explain(text, percent(text));
    assert_eq!(refusal("19"), "[19] a unit is missing (such as `20 %`)");
    assert_eq!(
        refusal("19 mm"),
        "[19 mm] a percentage is wanted here, and this is a length (such as `20 %`)"
    );
    assert_eq!(refusal("-3 %"), "[-3 %] a percentage cannot be negative here");
}

#[test]
fn a_drawn_size_has_limits() {
    let read = |text| {
        let size = toleranced(text).unwrap();
        [size.nominal.base, size.upper, size.lower].map(|value| value.to_string())
    };
    assert_eq!(read("6 mm"), ["0.006", "0", "0"]);
    assert_eq!(read("40.0 mm ± 0.1 mm"), ["0.04", "0.0001", "-0.0001"]);
    assert_eq!(read("40.0 mm ± 1 %"), ["0.04", "0.0004", "-0.0004"]);
    assert_eq!(read("5.00 mm +0.05/-0.00"), ["0.005", "0.00005", "0"]);
    assert_eq!(read("5.00 mm +0.05/-0.02 mm"), ["0.005", "0.00005", "-0.00002"]);
    assert_eq!(read("5.00 mm +50 µm/-20 µm"), ["0.005", "0.00005", "-0.00002"]);
    assert_eq!(read("5.00 mm +0.05 -0.02"), ["0.005", "0.00005", "-0.00002"]);
    assert_eq!(read("5 mm -0.01/-0.03"), ["0.005", "-0.00001", "-0.00003"]);
    assert_eq!(read("5 mm 0/-0.03"), ["0.005", "0", "-0.00003"]);
}

#[test]
fn limits_that_make_no_sense_are_refused() {
    let refusal = |text| explain(text, toleranced(text));
    assert_eq!(
        refusal("5 mm -0.05/+0.05"),
        "[-0.05/+0.05] the upper deviation, which comes first, is below the lower one"
    );
    let one = "a size has two deviations, and this is one";
    for (text, deviation, both) in [
        ("15.00 mm +0.02", "+0.02", "15.00 mm +0.02/-0.00"),
        ("5 mm -0.05/", "-0.05", "5 mm +0.00/-0.05"),
        ("5 mm +50 µm", "+50 µm", "5 mm +50 µm/-0"),
    ] {
        assert_eq!(refusal(text), format!("[{deviation}] {one} (such as `{both}`)"));
        assert!(toleranced(both).is_ok(), "{both}");
    }
    assert_eq!(
        refusal("5 mm +0.05 g/-0.05 g"),
        "[+0.05 g] a mass cannot be a deviation from a length"
    );
    assert_eq!(refusal("5 mm ± 0.05 g"), "[0.05 g] a mass cannot be the ± of a length");
    assert_eq!(refusal("5 +0.05/-0.00 mm"), "[5] a unit is missing");
}

#[test]
fn a_size_is_three_lengths() {
    let read = |text| size(text).unwrap().map(|length| length.base.to_string());
    assert_eq!(read("84 x 60 x 9 mm"), ["0.084", "0.06", "0.009"]);
    assert_eq!(read("84×60×9 mm"), ["0.084", "0.06", "0.009"]);
    assert_eq!(read("12 x 0 x -48 mm"), ["0.012", "0", "-0.048"]);
    assert_eq!(read("1 m x 20 mm x 3 mm"), ["1", "0.02", "0.003"]);
    assert_eq!(read("1 x 2 cm x 3 mm"), ["0.01", "0.02", "0.003"]);

    let refusal = |text| explain(text, size(text));
    assert_eq!(
        refusal("84 x 60 mm"),
        "[] `x` is missing between two sizes (such as `84 x 60 x 9 mm`)"
    );
    assert_eq!(refusal("84 x 60 x 9"), "[9] a unit is missing");
    assert_eq!(refusal("84 x 60 x 9 g"), "[84] a length is wanted here, and this is a mass");
    assert_eq!(refusal("8 x 6 x 9 x 2 mm"), "[x] unknown unit `x`");
}

#[test]
fn a_plain_number_has_no_unit() {
    assert_eq!(number("350").unwrap().base, 350.0);
    assert_eq!(number("350").unwrap().kind, Kind::of(Dimension::NONE));
    assert_eq!(explain("350 mm", number("350 mm")), "[mm] `mm` is not understood here");
    assert_eq!(unit_kind("dB").unwrap(), Kind::of(Dimension::LEVEL));
    assert_eq!(unit_kind("°C").unwrap(), Kind::TEMPERATURE_POINT);
}

#[test]
fn what_was_determined_may_have_no_unit() {
    let read = |text| {
        let figure = figure_or_number(text).unwrap();
        let half_width = figure.spread.map(|spread| spread.half_width);
        (figure.measure.base, half_width, figure.basis)
    };
    assert_eq!(read("780"), (780.0, None, None));
    assert_eq!(read("780 ± 12 measured"), (780.0, Some(12.0), Some(Basis::Measured)));
    assert_eq!(read("780 ± 5 %"), (780.0, Some(39.0), None));
    assert_eq!(read("0.35 measured"), (0.35, None, Some(Basis::Measured)));
    assert_eq!(read("31 g ± 0.5 g"), (0.031, Some(0.0005), None));
    assert_eq!(read("88 % ± 2 %"), (0.88, Some(0.02), None));
    let refusal = |text| explain(text, figure_or_number(text));
    assert_eq!(refusal("780 ± 12 g"), "[12 g] a mass cannot be the ± of a plain number");
    assert_eq!(refusal("780 gg"), "[gg] unknown unit `gg` (did you mean `g`?)");
    assert_eq!(refusal("31 g ± 0.5"), "[0.5] a unit is missing");
}

#[test]
fn numbers_of_other_countries_are_refused_with_the_remedy() {
    let refusal = |text| explain(text, measure(text));
    let remedy = "a number is written without commas and gaps (the decimal mark is a point, and thousands are not set apart)";
    for (text, offending) in [
        ("1,5 mm", "1,5"),
        ("1,200.5 mm", "1,200.5"),
        ("1 200 mm", "1 200"),
        ("1'200 mm", "1'200"),
        ("-1_200 mm", "-1_200"),
    ] {
        assert_eq!(refusal(text), format!("[{offending}] {remedy}"));
    }
}

#[test]
fn what_is_no_quantity_is_refused() {
    let refusal = |text| explain(text, measure(text));
    assert_eq!(refusal(""), "[] a number is missing");
    assert_eq!(refusal("mm"), "[mm] a number is missing");
    assert_eq!(refusal("-"), "[-] a number is missing");
    assert_eq!(refusal("inf g"), "[inf] a number is missing");
    assert_eq!(
        refusal("5 6 g"),
        "[5 6] a number is written without commas and gaps (the decimal mark is a point, and thousands are not set apart)"
    );
    assert_eq!(refusal("450"), "[450] a unit is missing");
    assert_eq!(refusal("314 /s"), "[314] a unit is missing (such as `1/s`)");
    assert_eq!(refusal("314 /parsec"), "[314] a unit is missing");
    let behind = "a number is missing (the unit follows the number: `38.00 EUR`)";
    assert_eq!(refusal("€38.00"), format!("[€38.00] {behind}"));
    assert_eq!(refusal("EUR 38.00"), format!("[EUR] {behind}"));
    assert_eq!(refusal("2 h min 30"), "[min 30] `min 30` is not understood here");
    assert_eq!(refusal("5. mm"), "[5] a unit is missing");
    assert_eq!(refusal("5 mm?"), "[?] `?` is not understood here");
    assert_eq!(refusal("-300 °C"), "[-300 °C] this is below the absolute zero of temperature");
}

#[test]
fn absurd_magnitudes_are_refused() {
    let refusal = |text: &str| explain(text, measure(text));
    assert_eq!(refusal("1e31 m"), "[1e31] the number is beyond 10 to the power of ±30");
    assert_eq!(
        refusal("1e-99999999999 m"),
        "[1e-99999999999] the number is beyond 10 to the power of ±30"
    );
    assert_eq!(refusal("9e29 km"), "[9e29 km] the quantity is larger than anything that is built");
    let long = format!("{} m", "9".repeat(25));
    assert_eq!(refusal(&long), format!("[{}] the number has more than 24 digits", "9".repeat(25)));
    // 27 315 · 10⁻² + 1 · 10⁻⁵⁴ would need 57 digits.
    let small = format!("{}1e-30 °C", "0.".to_owned() + &"0".repeat(23));
    assert!(refusal(&small).ends_with("the quantity has more digits than can be kept exactly"));
    assert_eq!(measure("000000000000000000000000000001 m").unwrap().base, 1.0);
}
