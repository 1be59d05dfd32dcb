//! The quantities that budgets are made of: built-in, counted, and the designer's own.

use std::collections::BTreeMap;

use serde::{Deserialize, Serialize};

use crate::quantity::{Currency, Dimension, Kind, Unit};
use crate::record::{CENTRE_OF_MASS, Id, Manifest, Origin, RollUp};

/// Quantities that every design knows, with what they are.
pub const BUILT_IN: [(&str, &str); 11] = [
    ("cost", "what one build consumes, of an order for `builds`; sum"),
    ("order-cost", "a whole order for `builds`: whole units of sale, shipping, tax"),
    ("mass", "sum"),
    ("power", "sum"),
    ("heat", "sum"),
    ("temperature", "max"),
    ("print-time", "sum"),
    ("assembly-time", "sum"),
    (CENTRE_OF_MASS[0], "along x of the part's own origin; by the places of what it holds"),
    (CENTRE_OF_MASS[1], "along y"),
    (CENTRE_OF_MASS[2], "along z"),
];

/// Quantities that are counted, with what is counted.
pub const COUNTED: [(&str, &str); 7] = [
    ("pieces", "single pieces; lengths and masses are no pieces"),
    ("part-kinds", "different parts that are no assemblies"),
    ("designation-kinds", "different standard designations"),
    ("made-parts", "pieces that are printed, machined, cut, modified or boards"),
    ("suppliers", "different suppliers, the cheapest offer of each part taken"),
    ("tools", "different tools of the steps"),
    ("steps", "steps, as often as they are done"),
];

/// Where the values of a quantity come from.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
pub enum Source {
    /// Figures of the parts.
    Figures,
    /// Offers, materials and machine hours.
    Cost,
    /// A whole order.
    OrderCost,
    /// Counting.
    Counted,
    /// Masses and their places.
    Centre,
}

/// A quantity that a design knows.
#[derive(Clone, Debug, Serialize, Deserialize)]
pub struct Quantity {
    /// Its dimension; for parts that come by the metre or kilogram the figure is one a unit of that.
    pub kind: Kind,
    /// The unit that it is shown in.
    pub unit: Unit,
    /// How an assembly's value follows from its parts'.
    pub roll_up: RollUp,
    /// Origins of the parts without parts of their own that must state it.
    pub expected: Vec<Origin>,
    /// Where its values come from.
    pub source: Source,
}

/// Every quantity of a design with this manifest, by name. The first of two with one name counts.
pub(super) fn all(manifest: &Manifest, currency: Currency) -> BTreeMap<Id, Quantity> {
    let own = manifest.quantities.iter().map(|table| {
        let (id, table) = &**table;
        let (unit, kind) = table.unit.value.clone();
        let expected = table.expected.iter().map(|origin| origin.value).collect();
        let roll_up = table.roll_up.value;
        (id.value.clone(), Quantity { kind, unit, roll_up, expected, source: Source::Figures })
    });
    let mut quantities: BTreeMap<Id, Quantity> = own.collect();
    quantities.extend(built_in(currency));
    quantities
}

fn built_in(currency: Currency) -> impl Iterator<Item = (Id, Quantity)> {
    let sums = |name, dimension, unit: &str, expected: &[Origin]| {
        figures(name, Kind::of(dimension), unit, RollUp::Sum, expected)
    };
    let touchable = Origin::WORDS.map(|(_, origin)| origin);
    let touchable: Vec<_> =
        touchable.into_iter().filter(|origin| *origin != Origin::Firmware).collect();
    let money = Kind::of(Dimension::money(currency));
    let costs =
        [("cost", Source::Cost), ("order-cost", Source::OrderCost)].map(|(name, source)| {
            let (id, quantity) = figures(name, money, currency.code(), RollUp::Sum, &[]);
            (id, Quantity { source, ..quantity })
        });
    let counted = COUNTED.map(|(name, _)| {
        let (id, quantity) = figures(name, Kind::of(Dimension::NONE), "", RollUp::Sum, &[]);
        (id, Quantity { source: Source::Counted, ..quantity })
    });
    let centres = CENTRE_OF_MASS.map(|name| {
        let kind = Kind::of(Dimension::LENGTH);
        let (id, quantity) = figures(name, kind, "mm", RollUp::None, &[]);
        (id, Quantity { source: Source::Centre, ..quantity })
    });
    [
        sums("mass", Dimension::MASS, "g", &touchable),
        sums("power", Dimension::POWER, "W", &[]),
        sums("heat", Dimension::POWER, "W", &[]),
        sums("print-time", Dimension::TIME, "h", &[Origin::Printed]),
        sums("assembly-time", Dimension::TIME, "min", &[]),
        figures("temperature", Kind::TEMPERATURE_POINT, "°C", RollUp::Max, &[]),
    ]
    .into_iter()
    .chain(costs)
    .chain(centres)
    .chain(counted)
}

fn figures(
    name: &str,
    kind: Kind,
    unit: &str,
    roll_up: RollUp,
    expected: &[Origin],
) -> (Id, Quantity) {
    let unit = if unit.is_empty() {
        Unit::none()
    } else {
        Unit::parse(unit).expect("a unit of the built-in table")
    };
    let expected = expected.to_vec();
    (Id::from(name), Quantity { kind, unit, roll_up, expected, source: Source::Figures })
}
