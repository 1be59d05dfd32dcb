//! From a part of the design to bodies in places.

use std::collections::BTreeMap;

use super::super::Unprinted;
use super::super::budget;
use super::super::formula::Input;
use super::super::known::{self, Known, coverage_factor};
use super::super::number::Number;
use super::super::printed;
use super::super::trace::Source;
use super::super::whole::Context;
use super::{Lacks, NoCentre};
use crate::design::{Design, Link, PartIx};
use crate::quantity::Placement;
use crate::record::{CENTRE_OF_MASS, Id};

/// The quantity that weighs the centres.
const MASS: &str = "mass";

/// A part and all that it holds as bodies in places.
#[derive(Debug, Default)]
pub(in crate::evaluate) struct Bodies {
    /// Masses, own centres and places, in base units; coordinates come in threes.
    pub(in crate::evaluate) inputs: Vec<Input>,
    /// What is held comes before what holds it; the last one is the whole.
    pub(super) bodies: Vec<Body>,
}

/// A part with a mass, once however often it is held.
#[derive(Debug)]
pub(super) struct Body {
    pub(super) part: PartIx,
    /// Its mass as an input; `None` where it is the sum of what it holds.
    pub(super) mass: Option<usize>,
    /// The first of the three inputs of its own centre; `None` where that follows from what it holds.
    pub(super) centre: Option<usize>,
    pub(super) holds: Vec<Held>,
}

/// Pieces of a body in one place.
#[derive(Debug)]
pub(super) struct Held {
    /// The body.
    pub(super) body: usize,
    pub(super) pieces: f64,
    pub(super) turned: [[f64; 3]; 3],
    /// The first of the three inputs of the place.
    pub(super) place: usize,
}

impl Bodies {
    /// The bodies of `root` and everything beneath it; what has no mass is left out.
    ///
    /// # Errors
    /// What they lack.
    pub(in crate::evaluate) fn of(
        context: &Context<'_>,
        root: PartIx,
        with_options: bool,
    ) -> Result<Self, NoCentre> {
        let design = context.design;
        let mut work = Work {
            context,
            with_options,
            found: Self::default(),
            by_part: BTreeMap::new(),
            lacking: Vec::new(),
        };
        let held = super::super::multiplicities(design, root, with_options);
        for part in design.order.iter().rev().filter(|part| held.holds(**part)) {
            work.add(*part);
        }
        let Work { found, by_part, mut lacking, .. } = work;
        lacking.sort();
        match (lacking.is_empty(), by_part.contains_key(&root)) {
            (false, _) => Err(NoCentre::Lacking(lacking)),
            (true, true) => Ok(found),
            (true, false) => Err(NoCentre::NoMass),
        }
    }

    /// The inputs as the records have them.
    pub(in crate::evaluate) fn values(&self) -> Vec<f64> {
        self.inputs.iter().map(|input| input.value).collect()
    }
}

struct Work<'a> {
    context: &'a Context<'a>,
    with_options: bool,
    found: Bodies,
    /// The bodies that there are so far.
    by_part: BTreeMap<PartIx, usize>,
    lacking: Vec<(PartIx, Lacks)>,
}

impl Work<'_> {
    /// Adds the body of a part all of whose own parts have theirs.
    fn add(&mut self, part: PartIx) {
        let design = self.context.design;
        let is_assembly = known::is_assembly(design, part);
        let holds = if is_assembly { self.held(part) } else { Vec::new() };
        let mass = match budget::own_mass(self.context, part) {
            Ok(Some(mass)) => Some(mass),
            Ok(None) if holds.is_empty() => return,
            Ok(None) => None,
            Err(missing) => return self.lacking.push((part, Lacks::Mass(missing))),
        };
        let is_by_itself = holds.is_empty() && (!is_assembly || self.lacking.is_empty());
        let centre = if is_by_itself { self.centre(part) } else { None };
        let mass = mass.map(|mass| {
            self.input(Source::Part { part, name: Id::from(MASS) }, mass.value.to_f64(), mass.u)
        });
        self.by_part.insert(part, self.found.bodies.len());
        self.found.bodies.push(Body { part, mass, centre, holds });
    }

    /// What the assembly holds, place by place.
    fn held(&mut self, within: PartIx) -> Vec<Held> {
        let design = self.context.design;
        let mut holds = Vec::new();
        let with_options = self.with_options;
        for link in design.links[within.index()].iter() {
            let Some(body) = self.by_part.get(&link.child).copied() else { continue };
            if link.optional && !with_options {
                continue;
            }
            let Some(pieces) = pieces_at_a_place(link) else {
                self.lacking.push((link.child, Lacks::Place(within)));
                continue;
            };
            for (place, placement) in link.places.iter().enumerate() {
                let first = self.place((link.child, within, place), placement);
                let turned = placement.rotation();
                holds.push(Held { body, pieces, turned, place: first });
            }
        }
        holds
    }

    /// The first of the three inputs of a place.
    fn place(
        &mut self,
        (part, within, place): (PartIx, PartIx, usize),
        placement: &Placement,
    ) -> usize {
        let half_width = placement.half_width.unwrap_or(0.0);
        let u = half_width / coverage_factor(self.context.design);
        let first = self.found.inputs.len();
        for (axis, measure) in placement.at.iter().enumerate() {
            self.input(Source::Position { part, within, place, axis }, measure.base, u);
        }
        first
    }

    /// The first of the three inputs of the part's own centre: what its record says, else the
    /// centroid of its mesh.
    fn centre(&mut self, part: PartIx) -> Option<usize> {
        let found = match stated_centre(self.context.design, part) {
            Some(stated) => Ok(stated),
            None => centroid(self.context.design, part).map(|at| at.map(|value| (value, 0.0))),
        };
        let centre = found.map_err(|why| self.lacking.push((part, Lacks::Centre(why)))).ok()?;
        let first = self.found.inputs.len();
        for ((value, u), name) in centre.into_iter().zip(CENTRE_OF_MASS) {
            self.input(Source::Part { part, name: Id::from(name) }, value, u);
        }
        Some(first)
    }

    fn input(&mut self, source: Source, value: f64, u: f64) -> usize {
        let design = self.context.design;
        self.found.inputs.push(Input::of(design, source, value, u));
        self.found.inputs.len() - 1
    }
}

/// How many pieces each place of the link holds; `None` where the places do not say where all are.
fn pieces_at_a_place(link: &Link) -> Option<f64> {
    let amount = Number::Exact(link.amount).to_f64();
    match link.places.len() {
        1 => Some(amount),
        places if places as f64 == amount => Some(1.0),
        _ => None,
    }
}

/// What the record says of the part's own centre along all three axes, with its u in m. What is
/// assumed of figures without ± is a share, and that of a distance from an origin means nothing.
fn stated_centre(design: &Design, part: PartIx) -> Option<[(f64, f64); 3]> {
    let along = |axis: usize| {
        let stated = design.figures[part.index()].get(&Id::from(CENTRE_OF_MASS[axis]))?;
        let Known { value, u, .. } = known::constant(design, &stated.figure);
        Some((value.to_f64(), u))
    };
    Some([along(0)?, along(1)?, along(2)?])
}

/// The centroid of the part's mesh in m; or what keeps the mesh from giving it.
fn centroid(design: &Design, part: PartIx) -> Result<[f64; 3], Option<Unprinted>> {
    let mesh = design.record(part).mesh.as_ref().ok_or(None)?;
    let (facts, solid) = printed::solid(design, part).map_err(Some)?;
    let unit_m = facts.unit_m.unwrap_or(mesh.unit_m.value);
    Ok(solid.body(unit_m, 1.0).centre)
}
