//! How the values of a part's record are written into a digest. Every record type is taken apart
//! without `..`, so that a new field cannot be forgotten.

use super::digest::{AnyOrder, Content, Writer};
use crate::quantity::{
    Amount, Dimension, Figure, Kind, Measure, Money, Placement, Spread, Toleranced, Turn,
};
use crate::record::{Consumption, Draw, Hazard, HeatPath, Offer, Setting, Sourced};

impl Content for Kind {
    fn write(&self, writer: &mut Writer) {
        let Self { dimension, point } = self;
        (dimension, point).write(writer);
    }
}

impl Content for Dimension {
    fn write(&self, writer: &mut Writer) {
        let Self { exponents, currency } = self;
        let exponents = exponents.map(exponent);
        let currency = currency.map(|(currency, power)| (currency.code(), exponent(power)));
        (exponents.as_slice(), currency).write(writer);
    }
}

/// An exponent as an unsigned number, one to one.
fn exponent(power: i8) -> u64 {
    u64::from(power.cast_unsigned())
}

impl Content for Measure {
    /// By its value in base units, whatever unit it was written in; money exactly.
    fn write(&self, writer: &mut Writer) {
        let Self { base, exact, kind, unit: _ } = self;
        let money = exact.filter(|_| kind.dimension.currency.is_some());
        (kind, money.is_none().then_some(base), money).write(writer);
    }
}

impl Content for Figure {
    /// A figure that does not say how it is known counts as estimated.
    fn write(&self, writer: &mut Writer) {
        let Self { measure, spread, basis } = self;
        (measure, spread, basis.unwrap_or_default().word()).write(writer);
    }
}

impl Content for Spread {
    fn write(&self, writer: &mut Writer) {
        let Self { half_width, distribution } = self;
        let uniform = *distribution == crate::quantity::Distribution::Uniform;
        (half_width, uniform).write(writer);
    }
}

impl Content for Toleranced {
    /// What is drawn; how well that is kept is no part of it.
    fn write(&self, writer: &mut Writer) {
        let Self { nominal, upper, lower, sigmas: _ } = self;
        (nominal, upper, lower).write(writer);
    }
}

impl Content for Placement {
    /// Where it is, and how it is turned; how far off that may be is no part of it.
    fn write(&self, writer: &mut Writer) {
        let Self { at, half_width: _, turns } = self;
        at.as_slice().write(writer);
        if !turns.is_empty() {
            turns.as_slice().write(writer);
        }
    }
}

impl Content for Turn {
    fn write(&self, writer: &mut Writer) {
        let Self { angle, about } = self;
        (angle, *about as u64).write(writer);
    }
}

impl Content for Amount {
    fn write(&self, writer: &mut Writer) {
        let Self { exact, dimension, unit: _ } = self;
        (exact, dimension).write(writer);
    }
}

impl Content for Money {
    fn write(&self, writer: &mut Writer) {
        let Self { amount, currency } = self;
        (amount, currency.code()).write(writer);
    }
}

impl Content for Setting {
    fn write(&self, writer: &mut Writer) {
        match self {
            Self::Measure(measure) => (Some(measure), None::<&str>).write(writer),
            Self::Text(text) => (None::<&Measure>, Some(text)).write(writer),
        }
    }
}

impl Content for Sourced {
    fn write(&self, writer: &mut Writer) {
        let Self { figure, from, on } = self;
        (figure, from, on).write(writer);
    }
}

impl Content for Hazard {
    fn write(&self, writer: &mut Writer) {
        self.word().write(writer);
    }
}

impl Content for HeatPath {
    fn write(&self, writer: &mut Writer) {
        let Self { to, resistance } = self;
        (to, resistance).write(writer);
    }
}

impl Content for Draw {
    fn write(&self, writer: &mut Writer) {
        let Self { mean, peak } = self;
        (mean, peak).write(writer);
    }
}

impl Content for Consumption {
    fn write(&self, writer: &mut Writer) {
        let Self { spare, waste } = self;
        (spare, waste).write(writer);
    }
}

impl Content for Offer {
    fn write(&self, writer: &mut Writer) {
        let Self {
            supplier,
            code,
            pack,
            price,
            breaks,
            minimum_order,
            lead_time,
            quoted,
            maker,
            mpn,
            span: _,
        } = self;
        let breaks: AnyOrder<_> = breaks.iter().map(|(from, price)| (from, price)).collect();
        let what = (supplier, code, maker, mpn);
        (what, pack, price, breaks, minimum_order, lead_time, quoted).write(writer);
    }
}
