//! Laws that hold for every quantity that is read or shown.

use proptest::prelude::*;

use super::super::{
    Unit, amount, figure, measure, money, number, percent, show_difference, show_measure,
    show_uncertain, show_written, size, toleranced, unit_kind,
};

/// A decimal number of at most 15 digits, as text.
fn decimal() -> impl Strategy<Value = String> {
    "-?(0|[1-9][0-9]{0,8})(\\.[0-9]{1,6})?"
}

const UNITS: [&str; 12] =
    ["m", "mm", "g", "lb", "psi", "K/h", "°C", "deg", "%", "kWh", "EUR/kg", "Ω·mm²/km"];

proptest! {
    #[test]
    fn a_prefix_moves_the_point_and_nothing_else(number in decimal(), unit in "[gmAWVs]") {
        let plain = measure(&format!("{number} {unit}")).unwrap();
        for (prefix, power) in [("k", -3), ("M", -6), ("m", 3), ("µ", 6), ("d", 1), ("da", -1)] {
            let moved = measure(&format!("{number}e{power} {prefix}{unit}")).unwrap();
            prop_assert_eq!(&plain, &moved);
            prop_assert_eq!(plain.exact, moved.exact);
        }
    }

    #[test]
    fn the_float_is_the_one_nearest_to_the_decimal(number in decimal()) {
        // The standard library's reading of decimal text is correctly rounded.
        let read = |unit: &str| measure(&format!("{number} {unit}")).unwrap().base;
        let expected = |power: i32| format!("{number}e{power}").parse::<f64>().unwrap() + 0.0;
        prop_assert_eq!(read("km"), expected(3));
        prop_assert_eq!(read("mm"), expected(-3));
        prop_assert_eq!(read("µm"), expected(-6));
        prop_assert_eq!(read("mm^3"), expected(-9));
    }

    #[test]
    fn money_is_what_was_written(number in "(0|[1-9][0-9]{0,8})(\\.[0-9]{1,6})?") {
        let amount = money(&format!("{number} EUR")).unwrap().amount;
        prop_assert_eq!(amount, number.parse().unwrap());
    }

    #[test]
    fn what_is_shown_reads_as_the_same(digits in 1..99_999_i32, power in -9..4_i32, unit in 0..12_usize) {
        let written = format!("{digits}e{power} {}", UNITS[unit]);
        let read = measure(&written).unwrap();
        let shown = show_written(read.base, &read.unit);
        let again = measure(&shown).unwrap();
        // A point far below 1 °C loses digits beside 273.15 K, and money is shown in cents.
        prop_assume!(!read.kind.point || power >= -4);
        prop_assert_eq!(read.base, again.base, "{} is shown as {}", written, shown);
    }

    #[test]
    fn a_shown_figure_reads_as_one_near_it(
        base in 0.001..1e6_f64, share in 1e-6..10.0_f64, unit in 0..12_usize,
    ) {
        let unit = Unit::parse(UNITS[unit]).unwrap();
        let spread = base * share;
        let shown = show_uncertain(base, spread, &unit);
        let read = figure(&shown).unwrap();
        let read_spread = read.spread.unwrap().half_width;
        prop_assert!((read_spread / spread - 1.0).abs() < 0.051, "{}", shown);
        prop_assert!((read.measure.base - base).abs() < 0.051 * spread, "{}", shown);
    }

    #[test]
    fn no_number_is_shown_with_a_panic(base in any::<f64>(), spread in any::<f64>(), unit in 0..12_usize) {
        let unit = Unit::parse(UNITS[unit]).unwrap();
        let _ = (show_measure(base, &unit), show_difference(base, &unit));
        let _ = show_uncertain(base, spread, &unit);
    }

    #[test]
    fn no_text_is_read_with_a_panic(text in ".*") {
        read_in_every_way(&text);
    }

    #[test]
    fn no_near_quantity_is_read_with_a_panic(
        pieces in prop::collection::vec(0..PIECES.len(), 0..12), blanks in any::<bool>(),
    ) {
        let pieces: Vec<&str> = pieces.into_iter().map(|index| PIECES[index]).collect();
        read_in_every_way(&pieces.join(if blanks { " " } else { "" }));
    }

    #[test]
    fn no_mutilated_quantity_is_read_with_a_panic(
        which in 0..WRITTEN.len(), at in 0..24_usize, insert in "[-+/^·°²e.,0-9a-zµΩ ()]?",
    ) {
        let mut characters: Vec<char> = WRITTEN[which].chars().collect();
        let at = at.min(characters.len() - 1);
        characters.splice(at..=at, insert.chars());
        read_in_every_way(&characters.into_iter().collect::<String>());
    }
}

const PIECES: [&str; 32] = [
    "1",
    "0.5",
    "9999999999999999999999",
    "e",
    "e30",
    "-",
    "+",
    "±",
    "+/-",
    "/",
    "·",
    "*",
    "^",
    "^9",
    "²",
    "⁻",
    "(",
    ")",
    "x",
    "×",
    ",",
    ".",
    "mm",
    "Qm",
    "°C",
    "K",
    "%",
    "psi",
    "EUR",
    "deg",
    "measured",
    "\u{a0}",
];

const WRITTEN: [&str; 10] = [
    "31 g ± 0.5 g measured",
    "14 mm ± 1 %",
    "58 °C ± 1.5 K",
    "4.20 EUR",
    "2 h 30 min",
    "5.00 mm +0.05/-0.00",
    "84 x 60 x 9 mm",
    "17.241 Ω·mm²/km",
    "0.2 W/(m·K)",
    "8.196e7 mm^4",
];

/// Reads `text` as everything; an error must point into it.
fn read_in_every_way(text: &str) {
    let errors = [
        measure(text).err(),
        figure(text).err(),
        money(text).err(),
        amount(text).err(),
        percent(text).err(),
        toleranced(text).err(),
        size(text).err(),
        number(text).err(),
        unit_kind(text).err(),
    ];
    for error in errors.into_iter().flatten() {
        assert!(text.get(error.span.clone()).is_some(), "{text:?}: {error:?}");
        assert!(!error.message.is_empty());
    }
}
