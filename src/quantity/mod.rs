//! Quantities: numbers with a unit, an uncertainty, a basis; exact money; how they are read and shown.
//!
//! A quantity is kept in base units (m, kg, s, A, K, mol, cd; money in its currency). Conversions
//! are decimal until the last step, so that the stored `f64` is the one nearest to the true value
//! wherever the unit's factor is exact. Money never becomes a float.

mod dimension;
mod exact;
pub mod expression;
mod figure;
mod placement;
mod read;
mod show;
mod term;
#[cfg(test)]
mod tests;
mod text;
mod unit;
mod unit_meant;
mod unit_table;

pub use dimension::{Currency, Dimension, Kind};
pub use figure::{Amount, Basis, Distribution, Figure, Measure, Money, Spread, Toleranced};
pub use placement::{Placement, Point, Turn, placement, point};
pub use read::{
    TextError, amount, figure, figure_or_number, measure, money, number, percent, size, toleranced,
    unit_kind,
};
pub use show::{
    show_difference, show_measure, show_money, show_price, show_uncertain, show_written,
};
pub use unit::Unit;
pub use unit_table::{KnownUnit, known_units};
