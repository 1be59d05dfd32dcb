//! The units that have a symbol of their own, and the SI prefixes.
//!
//! Sources: the SI brochure (9th edition) for the SI, its prefixes and the units used with it; the
//! international yard and pound of 1959 for inch, pound and what is made of them.

use super::exact::Ratio;
use super::{Dimension, Kind};

/// A unit with a symbol of its own.
#[derive(Debug)]
pub(super) struct Atom {
    /// As it is written.
    pub symbol: &'static str,
    /// Exponents of the base units, in the order of [`super::Dimension`].
    pub exponents: [i8; 8],
    /// Its size in base units, without the power of π.
    pub factor: Ratio,
    /// The power of π in its size: 1 for the degree of arc.
    pub pi: i8,
    /// Whether it takes SI prefixes.
    pub prefixes: bool,
    /// Whether it names points on the temperature scale.
    pub point: bool,
}

const fn fixed(symbol: &'static str, exponents: [i8; 8], factor: Ratio) -> Atom {
    Atom { symbol, exponents, factor, pi: 0, prefixes: false, point: false }
}

/// A unit that takes prefixes, 10^power base units in size.
const fn si(symbol: &'static str, exponents: [i8; 8], power: i32) -> Atom {
    Atom { prefixes: true, ..fixed(symbol, exponents, ten(1, power)) }
}

const fn celsius(symbol: &'static str) -> Atom {
    Atom { point: true, ..fixed(symbol, TEMPERATURE, Ratio::ONE) }
}

const fn degree(symbol: &'static str) -> Atom {
    Atom { pi: 1, ..fixed(symbol, NONE, Ratio::fraction(1, 180, 0)) }
}

const fn ten(mantissa: i128, power: i32) -> Ratio {
    Ratio::decimal(mantissa, power)
}

//                            m  kg   s   A   K mol  cd  dB
const NONE: [i8; 8] = [0, 0, 0, 0, 0, 0, 0, 0];
const LENGTH: [i8; 8] = [1, 0, 0, 0, 0, 0, 0, 0];
const MASS: [i8; 8] = [0, 1, 0, 0, 0, 0, 0, 0];
const TIME: [i8; 8] = [0, 0, 1, 0, 0, 0, 0, 0];
const CURRENT: [i8; 8] = [0, 0, 0, 1, 0, 0, 0, 0];
const TEMPERATURE: [i8; 8] = [0, 0, 0, 0, 1, 0, 0, 0];
const SUBSTANCE: [i8; 8] = [0, 0, 0, 0, 0, 1, 0, 0];
const LIGHT: [i8; 8] = [0, 0, 0, 0, 0, 0, 1, 0];
const LEVEL: [i8; 8] = [0, 0, 0, 0, 0, 0, 0, 1];
const ILLUMINANCE: [i8; 8] = [-2, 0, 0, 0, 0, 0, 1, 0];
const VOLUME: [i8; 8] = [3, 0, 0, 0, 0, 0, 0, 0];
const FREQUENCY: [i8; 8] = [0, 0, -1, 0, 0, 0, 0, 0];
const FORCE: [i8; 8] = [1, 1, -2, 0, 0, 0, 0, 0];
const PRESSURE: [i8; 8] = [-1, 1, -2, 0, 0, 0, 0, 0];
const ENERGY: [i8; 8] = [2, 1, -2, 0, 0, 0, 0, 0];
const POWER: [i8; 8] = [2, 1, -3, 0, 0, 0, 0, 0];
const CHARGE: [i8; 8] = [0, 0, 1, 1, 0, 0, 0, 0];
const VOLTAGE: [i8; 8] = [2, 1, -3, -1, 0, 0, 0, 0];
const RESISTANCE: [i8; 8] = [2, 1, -3, -2, 0, 0, 0, 0];
const CONDUCTANCE: [i8; 8] = [-2, -1, 3, 2, 0, 0, 0, 0];
const CAPACITANCE: [i8; 8] = [-2, -1, 4, 2, 0, 0, 0, 0];
const INDUCTANCE: [i8; 8] = [2, 1, -2, -2, 0, 0, 0, 0];
const FLUX_DENSITY: [i8; 8] = [0, 1, -2, -1, 0, 0, 0, 0];

/// Every unit, sorted by the bytes of its symbol.
pub(super) static ATOMS: &[Atom] = &[
    fixed("%", NONE, ten(1, -2)),
    si("A", CURRENT, 0),
    Atom { factor: ten(36, 2), ..si("Ah", CHARGE, 0) },
    // The international table's thermal unit: 1055.05585262 J exactly.
    fixed("Btu", ENERGY, ten(105_505_585_262, -8)),
    si("C", CHARGE, 0),
    si("F", CAPACITANCE, 0),
    si("H", INDUCTANCE, 0),
    si("Hz", FREQUENCY, 0),
    si("J", ENERGY, 0),
    si("K", TEMPERATURE, 0),
    si("L", VOLUME, -3),
    si("N", FORCE, 0),
    si("Pa", PRESSURE, 0),
    si("S", CONDUCTANCE, 0),
    si("T", FLUX_DENSITY, 0),
    si("V", VOLTAGE, 0),
    si("VA", POWER, 0),
    si("W", POWER, 0),
    Atom { factor: ten(36, 2), ..si("Wh", ENERGY, 0) },
    si("bar", PRESSURE, 5),
    si("cd", LIGHT, 0),
    fixed("d", TIME, ten(86_400, 0)),
    fixed("dB", LEVEL, Ratio::ONE),
    degree("deg"),
    celsius("degC"),
    fixed("ft", LENGTH, ten(3048, -4)),
    si("g", MASS, -3),
    fixed("h", TIME, ten(3600, 0)),
    fixed("in", LENGTH, ten(254, -4)),
    fixed("kgf", FORCE, ten(980_665, -5)),
    si("l", VOLUME, -3),
    fixed("lb", MASS, ten(45_359_237, -8)),
    fixed("lbf", FORCE, ten(44_482_216_152_605, -13)),
    si("lm", LIGHT, 0),
    si("lx", ILLUMINANCE, 0),
    si("m", LENGTH, 0),
    fixed("mil", LENGTH, ten(254, -7)),
    fixed("min", TIME, ten(60, 0)),
    si("mol", SUBSTANCE, 0),
    si("ohm", RESISTANCE, 0),
    fixed("oz", MASS, ten(28_349_523_125, -12)),
    fixed("ppm", NONE, ten(1, -6)),
    // A pound-force on a square inch, whose decimals never end.
    fixed("psi", PRESSURE, Ratio::fraction(44_482_216_152_605, 64_516, -5)),
    si("rad", NONE, 0),
    fixed("rpm", FREQUENCY, Ratio::fraction(1, 60, 0)),
    si("s", TIME, 0),
    fixed("t", MASS, ten(1, 3)),
    fixed("thou", LENGTH, ten(254, -7)),
    fixed("y", TIME, ten(31_557_600, 0)),
    degree("°"),
    celsius("°C"),
    // The Greek letter, and the sign that Unicode keeps for compatibility.
    si("Ω", RESISTANCE, 0),
    si(OHM_SIGN, RESISTANCE, 0),
];

/// A unit that records may use, as the reference lists it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct KnownUnit {
    /// As it is written.
    pub symbol: &'static str,
    /// What it is a unit of.
    pub kind: Kind,
    /// Whether SI prefixes may stand in front of it.
    pub prefixes: bool,
}

/// Every unit with a symbol of its own; one sign that merely looks like another is left out.
pub fn known_units() -> impl Iterator<Item = KnownUnit> {
    let shown = ATOMS.iter().filter(|atom| atom.symbol != OHM_SIGN);
    shown.map(|atom| {
        let dimension = Dimension { exponents: atom.exponents, currency: None };
        let kind = Kind { dimension, point: atom.point };
        KnownUnit { symbol: atom.symbol, kind, prefixes: atom.prefixes }
    })
}

/// Looks like the Greek letter.
const OHM_SIGN: &str = "\u{2126}";

/// Prefixed symbols that are met often: what a misspelt one is compared with.
pub(super) const USUAL: &[&str] = &[
    "mm", "cm", "km", "µm", "nm", "kg", "mg", "ms", "µs", "mA", "µA", "mV", "kV", "mW", "kW", "mΩ",
    "kΩ", "MΩ", "kPa", "MPa", "GPa", "mN", "kN", "kHz", "MHz", "GHz", "mL", "pF", "nF", "µF", "µH",
    "kWh", "mAh",
];

/// What most quantities of a design are written in.
pub(super) const COMMON: &[&str] = &[
    "%", "A", "CHF", "EUR", "EUR/kg", "GBP", "K", "K/W", "USD", "V", "W", "Wh", "cm", "d", "g",
    "g/cm³", "g/m", "h", "kg", "kg/m", "m", "mA", "mAh", "min", "ml", "mm", "s", "°C", "µm",
];

/// Words that are written for a unit, and the symbol that is meant.
pub(super) const SPELT_OUT: &[(&str, &str)] = &[
    ("amp", "A"),
    ("celsius", "°C"),
    ("day", "d"),
    ("degf", "°C"),
    ("degree", "°"),
    ("euro", "EUR"),
    ("fahrenheit", "°C"),
    ("feet", "ft"),
    ("foot", "ft"),
    ("gr", "g"),
    ("gram", "g"),
    ("gramme", "g"),
    ("hour", "h"),
    ("hr", "h"),
    ("inch", "in"),
    ("joule", "J"),
    ("kelvin", "K"),
    ("kilo", "kg"),
    ("kilogram", "kg"),
    ("lbs", "lb"),
    ("liter", "L"),
    ("litre", "L"),
    ("meter", "m"),
    ("metre", "m"),
    ("micron", "µm"),
    ("millimeter", "mm"),
    ("millimetre", "mm"),
    ("minute", "min"),
    ("mins", "min"),
    ("newton", "N"),
    ("ounce", "oz"),
    ("percent", "%"),
    ("pound", "lb"),
    ("sec", "s"),
    ("second", "s"),
    ("volt", "V"),
    ("watt", "W"),
    ("year", "y"),
    ("yr", "y"),
    ("°f", "°C"),
    ("€", "EUR"),
    ("$", "USD"),
    ("£", "GBP"),
];

/// The power of ten of an SI prefix of one character.
const fn prefix_power(prefix: char) -> Option<i32> {
    Some(match prefix {
        'Q' => 30,
        'R' => 27,
        'Y' => 24,
        'Z' => 21,
        'E' => 18,
        'P' => 15,
        'T' => 12,
        'G' => 9,
        'M' => 6,
        'k' => 3,
        'h' => 2,
        'd' => -1,
        'c' => -2,
        'm' => -3,
        // The micro sign, the Greek letter, and the letter of keyboards that have neither.
        '\u{b5}' | '\u{3bc}' | 'u' => -6,
        'n' => -9,
        'p' => -12,
        'f' => -15,
        'a' => -18,
        'z' => -21,
        'y' => -24,
        'r' => -27,
        'q' => -30,
        _ => return None,
    })
}

/// The unit of this symbol, and the power of ten of its prefix.
pub(super) fn find(symbol: &str) -> Option<(&'static Atom, i32)> {
    if let Some(atom) = named(symbol) {
        return Some((atom, 0));
    }
    let mut rest = symbol.chars();
    let short = rest.next().and_then(prefix_power).map(|power| (power, rest.as_str()));
    let deca = symbol.strip_prefix("da").map(|rest| (1, rest));
    [short, deca].into_iter().flatten().find_map(|(power, rest)| {
        named(rest).filter(|atom| atom.prefixes).map(|atom| (atom, power))
    })
}

fn named(symbol: &str) -> Option<&'static Atom> {
    let index = ATOMS.binary_search_by(|atom| atom.symbol.cmp(symbol)).ok()?;
    Some(&ATOMS[index])
}
