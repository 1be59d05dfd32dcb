//! Where things sit: places in what holds them, and their own centres of mass.

use super::reader::Reader;
use super::wanted::plausible;
use crate::diagnostic::At;
use crate::quantity::{self, Distribution, Figure, Measure, Placement, Point, Spread, TextError};
use crate::record::{CENTRE_OF_MASS, Id, Sourced, Stated};

/// What stands at `centre-of-mass`, as the three quantities that it is short for.
pub(super) fn centre_of_mass(reader: &mut Reader<'_>) -> Vec<(At<Id>, Stated)> {
    let Some(point) = reader.optional::<Point>("centre-of-mass") else { return Vec::new() };
    let Point { at, half_width, basis } = point.value;
    let spread =
        half_width.map(|half_width| Spread { half_width, distribution: Distribution::Normal });
    let stated = |(name, measure): (&str, Measure)| {
        let figure = At::new(Figure { measure, spread, basis }, point.span);
        (At::new(Id::from(name), point.span), Ok(Sourced { figure, from: None, on: None }))
    };
    CENTRE_OF_MASS.into_iter().zip(at).map(stated).collect()
}

pub(super) fn placement(text: &str) -> Result<Placement, TextError> {
    let placement = quantity::placement(text)?;
    plausible_lengths(&placement.at, text)?;
    Ok(placement)
}

pub(super) fn point(text: &str) -> Result<Point, TextError> {
    let point = quantity::point(text)?;
    plausible_lengths(&point.at, text)?;
    Ok(point)
}

/// None of the lengths is absurd.
pub(super) fn plausible_lengths(lengths: &[Measure; 3], text: &str) -> Result<(), TextError> {
    lengths.iter().try_for_each(|length| plausible(length.kind, length.base, text))
}
