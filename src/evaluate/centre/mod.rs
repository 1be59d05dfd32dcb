//! Centres of mass: of one part by its mesh or its record, of an assembly by what it holds and where.
//!
//! With masses m, places t, rotations R and own centres c, each assembly has M = Σm and
//! c = Σm·(t + R·c)/M, from the parts upwards. The slopes to every mass, place and own centre follow
//! backwards through the same steps, so that value and uncertainty take one look at each link.

mod bodies;
mod gathered;
#[cfg(test)]
mod tests;

use super::formula::Input;
use super::trace::{Slope, Traced, rounded};
use super::whole::Context;
use super::{Missing, Unprinted};
use crate::design::PartIx;
use crate::record::{CENTRE_OF_MASS, Id};

pub(super) use bodies::Bodies;

/// What a centre of mass lacks of one part.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Lacks {
    /// Its mass.
    Mass(Missing),
    /// Its own centre; with what keeps its mesh from giving it, where it has one.
    Centre(Option<Unprinted>),
    /// Where it sits in this assembly.
    Place(PartIx),
}

/// Why a centre of mass is not known.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum NoCentre {
    /// What is lacking, in the order of parts.
    Lacking(Vec<(PartIx, Lacks)>),
    /// Nothing that the part holds has a mass.
    NoMass,
}

/// A centre of mass along one axis, in m from the part's own origin.
#[derive(Clone, Debug, PartialEq)]
pub struct Centre {
    /// With its slopes to masses, places and own centres.
    pub value: Traced,
    /// What pulls it where it is, in the order of parts.
    pub moments: Vec<Moment>,
}

/// All pieces of a part in a whole.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Moment {
    /// The part.
    pub part: PartIx,
    /// How many (or how much) of it.
    pub pieces: f64,
    /// In kg, all of them.
    pub mass: f64,
    /// Their common centre along the axis, in m from the origin of the whole.
    pub at: f64,
}

/// The axis that a quantity is the centre of mass along: 0, 1, 2 for x, y, z.
pub(super) fn axis_of(quantity: &Id) -> Option<usize> {
    CENTRE_OF_MASS.iter().position(|name| quantity == *name)
}

/// The centre of mass of `part` with everything beneath it, along `axis`.
///
/// # Errors
/// What it lacks, by part: nothing is taken to sit at an origin because nobody said where it sits.
pub(super) fn along(
    context: &Context<'_>,
    part: PartIx,
    axis: usize,
    with_options: bool,
) -> Result<Centre, NoCentre> {
    let bodies = Bodies::of(context, part, with_options)?;
    let values = bodies.values();
    let gathered = bodies.gathered(&values).ok_or(NoCentre::NoMass)?;
    let slopes = gathered.slopes(axis);
    let slope = |(input, by): (&Input, &f64)| {
        (input.source.clone(), Slope { by: *by, figure: input.value, u: input.u })
    };
    let value = rounded(gathered.centre()[axis]);
    let slopes_by_source = bodies.inputs.iter().zip(&slopes).map(slope).collect();
    Ok(Centre {
        moments: gathered.moments(axis, &slopes),
        value: Traced { value, slopes: slopes_by_source },
    })
}
