//! Formulas: what they come to, and what is wrong with them.

#![allow(clippy::unwrap_used, reason = "a test that cannot go on fails")]

use proptest::prelude::*;

use super::super::tests::explain;
use super::super::{Kind, unit_kind};
use super::*;

/// The formula with every grouping shown.
fn grouped(text: &str) -> String {
    fn show(node: &Node) -> String {
        match &node.form {
            Form::Quantity(measure) => {
                format!("{} {}", measure.base, measure.unit.symbol()).trim_end().into()
            }
            Form::Name(name) => name.to_string(),
            Form::Negative(operand) => format!("(-{})", show(operand)),
            Form::Operation(operator, operands) => {
                let sign = match operator {
                    Operator::Plus => '+',
                    Operator::Minus => '-',
                    Operator::Times => '*',
                    Operator::Over => '/',
                    Operator::Power => '^',
                };
                format!("({} {sign} {})", show(&operands[0]), show(&operands[1]))
            }
            Form::Call(function, arguments) => {
                let arguments: Vec<String> = arguments.iter().map(show).collect();
                format!("{}({})", function.word(), arguments.join(", "))
            }
        }
    }
    show(parse(text).unwrap_or_else(|error| panic!("{text}: {error:?}")).root())
}

fn refusal(text: &str) -> String {
    explain(text, parse(text))
}

/// The kinds of the names that the tests use.
fn resolve(name: &str) -> Option<Kind> {
    let unit = match name {
        "given.film-pull" => "N",
        "reach" | "a" | "b" => "mm",
        "modulus" => "GPa",
        "second-moment" => "mm^4",
        "inside" | "outside" => "°C",
        "heat" => "W",
        "resistance" => "K/W",
        "price" => "EUR",
        "fee" => "USD",
        "hum" => "dB",
        "teeth" => "%",
        _ => return None,
    };
    unit_kind(unit).ok()
}

fn kind(text: &str) -> Result<Kind, super::super::TextError> {
    parse(text)?.kind(&mut resolve)
}

/// Checks that the formula gives a quantity of the kind of `unit`.
fn check_kind(text: &str, unit: &str) {
    let expected = if unit.is_empty() { Kind::default() } else { unit_kind(unit).unwrap() };
    assert_eq!(kind(text), Ok(expected), "{text}");
}

fn kind_refusal(text: &str) -> String {
    explain(text, kind(text))
}

#[test]
fn operators_bind_as_in_school() {
    assert_eq!(grouped("a + b * c"), "(a + (b * c))");
    assert_eq!(grouped("a - b - c"), "((a - b) - c)");
    assert_eq!(grouped("a / b * c"), "((a / b) * c)");
    assert_eq!(grouped("a ^ b ^ c"), "(a ^ (b ^ c))");
    assert_eq!(grouped("(a + b) * c"), "((a + b) * c)");
    assert_eq!(grouped("-a^2"), "(-(a ^ 2))");
    assert_eq!(grouped("-a * b"), "((-a) * b)");
    assert_eq!(grouped("a^-2 * b"), "((a ^ (-2)) * b)");
    assert_eq!(grouped("a - -b"), "(a - (-b))");
    assert_eq!(grouped("2 * pi"), "(2 * 3.141592653589793)");
    assert_eq!(grouped("max(a, b + 1, min(c))"), "max(a, (b + 1), min(c))");
    assert_eq!(
        grouped("given.film-pull * reach^3 / (3 * modulus * second-moment)"),
        "((given.film-pull * (reach ^ 3)) / ((3 * modulus) * second-moment))"
    );
}

#[test]
fn a_minus_sign_within_a_name_is_part_of_it() {
    assert_eq!(grouped("a-b"), "a-b");
    assert_eq!(grouped("a - b"), "(a - b)");
    assert_eq!(grouped("a -b"), "(a - b)");
    assert_eq!(grouped("film-gate.mass-2"), "film-gate.mass-2");
    assert_eq!(grouped("3-2"), "(3 - 2)");
}

#[test]
fn a_unit_binds_to_its_number() {
    assert_eq!(grouped("3 mm^2 * b"), "(0.000003 mm^2 * b)");
    assert_eq!(grouped("2.4 K/W * heat"), "(2.4 K/W * heat)");
    assert_eq!(grouped("6 mm / 2 s"), "(0.006 mm / 2 s)");
    assert_eq!(grouped("6 mm/2"), "(0.006 mm / 2)");
    assert_eq!(grouped("3*reach"), "(3 * reach)");
    assert_eq!(grouped("2 h 30 min + 1 s"), "(9000 h + 1 s)");
    assert_eq!(grouped("inside - -5 °C"), "(inside - 268.15 °C)");
    assert_eq!(grouped("0.2 W/(m·K) * a"), "(0.2 W/(m·K) * a)");
    assert_eq!(
        refusal("3 mm*reach"),
        "[reach] unknown unit `reach` (a unit ends at a blank: `3 mm * reach`)"
    );
    assert_eq!(refusal("3 mn"), "[mn] unknown unit `mn` (did you mean `mN`?)");
}

#[test]
fn names_come_in_reading_order_with_their_places() {
    let expression = parse("given.film-pull * reach^3 / max(b, reach)").unwrap();
    let names: Vec<_> = expression.names().collect();
    assert_eq!(
        names,
        [("given.film-pull", 0..15), ("reach", 18..23), ("b", 32..33), ("reach", 35..40)]
    );
}

#[test]
fn what_is_no_formula_is_refused() {
    assert_eq!(refusal(""), "[] a number, a name or `(` is missing");
    assert_eq!(refusal("a +"), "[] a number, a name or `(` is missing");
    assert_eq!(refusal("a b"), "[b] an operator is missing in front of this");
    assert_eq!(refusal("(a + b"), "[(] this `(` is never closed");
    assert_eq!(refusal("(a b)"), "[b)] an operator or `)` is missing in front of this");
    assert_eq!(refusal("a)"), "[)] this `)` was never opened");
    assert_eq!(refusal("roof(a)"), "[roof] there is no function `roof`");
    assert_eq!(refusal("sqr(a)"), "[sqr] there is no function `sqr` (did you mean `sqrt`?)");
    assert_eq!(refusal("sqrt(a, b)"), "[sqrt] `sqrt` takes one argument");
    assert_eq!(refusal("max()"), "[)] a number, a name or `(` is missing");
    assert_eq!(
        refusal("max(1,5)"),
        "[1,5] a number is written without commas and gaps (the decimal mark is a point; between two arguments a blank follows the comma)"
    );
}

#[test]
fn formulas_are_bounded() {
    let parentheses = "(".repeat(3000);
    assert!(refusal(&parentheses).contains("at most 64 levels deep"));
    assert!(refusal(&"-".repeat(3000)).contains("at most 64 levels deep"));
    assert!(refusal(&"a^".repeat(2000)).contains("at most 64 levels deep"));
    assert!(refusal(&"a+".repeat(2000)).contains("at most 250 operands"));
    assert!(refusal(&"a".repeat(5000)).contains("at most 4096 bytes"));
    assert!(parse(&vec!["a"; 250].join(" + ")).is_ok());
}

#[test]
fn dimensions_follow_the_operators() {
    // The sag of an end-loaded cantilever, F L³ / (3 E I), is a length.
    check_kind("given.film-pull * reach^3 / (3 * modulus * second-moment)", "m");
    check_kind("a + b - 3 mm", "m");
    check_kind("a / b", "");
    check_kind("a^-2", "1/m²");
    check_kind("(1 + teeth)^2.5", "");
    check_kind("2^(a / b)", "");
    check_kind("sqrt(a * b)", "m");
    check_kind("sqrt(2 EUR * price)", "EUR");
    check_kind("abs(a - b)", "m");
    check_kind("max(a, b, 1 in)", "m");
    check_kind("sin(30 deg) + cos(a / b) + exp(-1) + ln(2) + tan(0.1 rad)", "");
    check_kind("price / 3 kg", "EUR/kg");
    check_kind("hum + 3 dB", "dB");
}

#[test]
fn temperatures_are_points_and_differences() {
    check_kind("inside - outside", "K");
    check_kind("inside + 5 K", "°C");
    check_kind("5 K + inside", "°C");
    check_kind("inside - 5 K", "°C");
    // 2 K/W × 4 W + 35 °C = 43 °C, as a point.
    check_kind("resistance * heat + outside", "°C");
    check_kind("max(inside, outside)", "°C");
    check_kind("(inside - outside) * 2", "K");
    check_kind("-5 °C", "°C");

    let again = "(take another temperature from it first: `(a - b) * 2`)";
    let only = "a temperature can only be compared, or a difference taken";
    assert_eq!(
        kind_refusal("10 °C + 10 °C"),
        "[10 °C + 10 °C] two temperatures cannot be added (a difference of temperatures is in K: `10 °C + 10 K`)"
    );
    assert_eq!(
        kind_refusal("5 K - inside"),
        "[5 K - inside] a temperature cannot be taken from a temperature difference"
    );
    assert_eq!(kind_refusal("2 * inside"), format!("[inside] {only} {again}"));
    assert_eq!(kind_refusal("-inside"), format!("[inside] {only} {again}"));
    assert_eq!(kind_refusal("inside^2"), format!("[inside] {only} {again}"));
    assert_eq!(kind_refusal("abs(inside)"), format!("[inside] {only} {again}"));
    assert_eq!(
        kind_refusal("max(inside, 5 K)"),
        "[5 K] a temperature difference cannot be compared with a temperature"
    );
}

#[test]
fn dimensions_that_do_not_go_together_are_refused() {
    assert_eq!(
        kind_refusal("1 + (a + heat) * 2"),
        "[a + heat] a power cannot be added to a length"
    );
    assert_eq!(kind_refusal("a - 3"), "[a - 3] a plain number cannot be taken from a length");
    assert_eq!(
        kind_refusal("sin(a)"),
        "[a] the argument of `sin` is a plain number, and this is a length"
    );
    assert_eq!(
        kind_refusal("exp(hum)"),
        "[hum] the argument of `exp` is a plain number, and this is a level"
    );
    assert_eq!(kind_refusal("2^a"), "[a] an exponent is a plain number, and this is a length");
    assert_eq!(
        kind_refusal("a^0.5"),
        "[0.5] an exponent of a length is a whole number, written out (`sqrt` takes the root of an area or the like)"
    );
    assert_eq!(kind_refusal("sqrt(a)"), "[a] a length has no square root");
    assert_eq!(kind_refusal("(a^100)^2"), "[(a^100)^2] the power is too high");
    assert_eq!(
        kind_refusal("price + fee"),
        "[price + fee] an amount of USD cannot be added to an amount of EUR (one formula reckons in one currency)"
    );
    assert_eq!(
        kind_refusal("price / fee"),
        "[price / fee] an amount of EUR and an amount of USD do not go together (one formula reckons in one currency)"
    );
}

#[test]
fn an_unknown_name_is_said() {
    assert_eq!(kind_refusal("2 * width"), "[width] nothing here is called `width`");
    assert_eq!(
        kind_refusal("a-b"),
        "[a-b] nothing here is called `a-b` (a minus sign between names has blanks around it)"
    );
}

const PIECES: [&str; 28] = [
    "1",
    "0.5",
    "1e30",
    "9e-30",
    "-",
    "+",
    "*",
    "/",
    "^",
    "^2",
    "(",
    ")",
    ",",
    ", ",
    " ",
    "mm",
    "mm^9",
    "°C",
    "EUR",
    "USD",
    "a",
    "inside",
    "film-gate.mass",
    "pi",
    "sqrt(",
    "max(",
    "·",
    "\u{2212}",
];

proptest! {
    #[test]
    fn no_text_is_parsed_with_a_panic(text in ".*") {
        survives(&text);
    }

    #[test]
    fn no_near_formula_is_parsed_with_a_panic(
        pieces in prop::collection::vec(0..PIECES.len(), 0..30), blanks in any::<bool>(),
    ) {
        let pieces: Vec<&str> = pieces.into_iter().map(|index| PIECES[index]).collect();
        survives(&pieces.join(if blanks { " " } else { "" }));
    }

    #[test]
    fn every_place_lies_within_the_text(
        operators in prop::collection::vec(0..5_usize, 1..20), grouped in any::<bool>(),
    ) {
        let mut text = "a".to_owned();
        for operator in operators {
            let sign = ["+", "-", "*", "/", "^"][operator];
            text = if grouped { format!("({text} {sign} 2 mm)") } else { format!("{text} {sign} b.c-d") };
        }
        let expression = parse(&text).unwrap();
        for (name, span) in expression.names() {
            prop_assert_eq!(&text[span], name);
        }
        survives(&text);
    }
}

/// Parses and checks the formula; an error must point into it.
fn survives(text: &str) {
    if let Err(error) = kind(text) {
        assert!(text.get(error.span.clone()).is_some(), "{text:?}: {error:?}");
    }
}
