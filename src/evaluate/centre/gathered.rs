//! Masses and centres from the parts upwards, and slopes from the whole downwards.

use super::Moment;
use super::bodies::{Bodies, Body, Held};

/// Every body's mass and centre at some values of the inputs.
#[derive(Debug)]
pub(in crate::evaluate) struct Gathered<'a> {
    bodies: &'a [Body],
    values: &'a [f64],
    states: Vec<State>,
}

/// A body by itself, along the axes of its own origin.
#[derive(Clone, Copy, Debug, Default)]
struct State {
    mass: f64,
    /// What it holds weighs this much, which is its mass unless the body was weighed itself.
    held: f64,
    centre: [f64; 3],
}

/// How the result follows a body.
#[derive(Clone, Copy, Debug, Default)]
struct Pull {
    mass: f64,
    centre: [f64; 3],
    /// How many of it the whole holds outside of what was weighed itself.
    pieces: f64,
}

impl Bodies {
    /// Masses and centres at `values` of the inputs; `None` where the whole has no mass.
    pub(in crate::evaluate) fn gathered<'a>(&'a self, values: &'a [f64]) -> Option<Gathered<'a>> {
        let mut states: Vec<State> = Vec::with_capacity(self.bodies.len());
        for body in &self.bodies {
            let state = state(body, values, &states);
            states.push(state);
        }
        let is_there = states.last().is_some_and(|whole| whole.mass > 0.0);
        is_there.then_some(Gathered { bodies: &self.bodies, values, states })
    }
}

fn state(body: &Body, values: &[f64], states: &[State]) -> State {
    let mut held = 0.0;
    let mut moment = [0.0; 3];
    for inner in &body.holds {
        let State { mass, centre, .. } = states[inner.body];
        let at = located(inner, values, centre);
        let mass = inner.pieces * mass;
        held += mass;
        moment = [0, 1, 2].map(|axis| moment[axis] + mass * at[axis]);
    }
    let centre = match body.centre {
        Some(first) => three(values, first),
        None if held == 0.0 => [0.0; 3],
        None => moment.map(|moment| moment / held),
    };
    State { mass: body.mass.map_or(held, |index| values[index]), held, centre }
}

/// Where a centre of what is held lies along the axes of what holds it: t + R·c.
fn located(held: &Held, values: &[f64], centre: [f64; 3]) -> [f64; 3] {
    let place = three(values, held.place);
    [0, 1, 2].map(|axis| place[axis] + dot(held.turned[axis], centre))
}

fn three(values: &[f64], first: usize) -> [f64; 3] {
    [0, 1, 2].map(|axis| values[first + axis])
}

fn dot(a: [f64; 3], b: [f64; 3]) -> f64 {
    a[0] * b[0] + a[1] * b[1] + a[2] * b[2]
}

impl Gathered<'_> {
    /// The centre of the whole.
    pub(in crate::evaluate) fn centre(&self) -> [f64; 3] {
        self.states.last().map_or([0.0; 3], |whole| whole.centre)
    }

    /// ∂c/∂input of the whole's centre along `axis`, by input.
    pub(super) fn slopes(&self, axis: usize) -> Vec<f64> {
        self.walked(axis).0
    }

    /// What pulls the centre along `axis`, in the order of parts: everything that was weighed itself.
    ///
    /// From ∂c/∂m = n·(x − c)/M, `slopes` tell the mean place x of the n pieces of a part.
    pub(super) fn moments(&self, axis: usize, slopes: &[f64]) -> Vec<Moment> {
        let (_, pulls) = self.walked(axis);
        let whole = self.states.last().copied().unwrap_or_default();
        let weighed = self.bodies.iter().zip(&pulls).zip(&self.states);
        let moment = |((body, pull), state): ((&Body, &Pull), &State)| {
            let index = body.mass.filter(|_| pull.pieces > 0.0)?;
            let at = whole.centre[axis] + slopes[index] * whole.mass / pull.pieces;
            let (pieces, mass) = (pull.pieces, pull.pieces * state.mass);
            Some(Moment { part: body.part, pieces, mass, at })
        };
        let mut moments: Vec<Moment> = weighed.filter_map(moment).collect();
        moments.sort_by_key(|moment| moment.part);
        moments
    }

    /// Backwards through the steps of [`state`].
    fn walked(&self, axis: usize) -> (Vec<f64>, Vec<Pull>) {
        let mut slopes = vec![0.0; self.values.len()];
        let mut pulls = vec![Pull::default(); self.bodies.len()];
        if let Some(whole) = pulls.last_mut() {
            whole.centre[axis] = 1.0;
            whole.pieces = 1.0;
        }
        for index in (0..self.bodies.len()).rev() {
            let pull = pulls[index];
            let inward = self.inward(index, pull, &mut slopes);
            for held in &self.bodies[index].holds {
                self.hand_down(held, inward, &mut slopes, &mut pulls[held.body]);
            }
        }
        (slopes, pulls)
    }

    /// What goes on to what the body holds: by the sum of its masses, by its moment, and in how many
    /// pieces. What the body says of itself ends here.
    fn inward(&self, index: usize, pull: Pull, slopes: &mut [f64]) -> Pull {
        let (body, state) = (&self.bodies[index], &self.states[index]);
        let mut inward = Pull { mass: pull.mass, centre: [0.0; 3], pieces: pull.pieces };
        if let Some(mass) = body.mass {
            slopes[mass] += pull.mass;
            inward = Pull::default();
        }
        match body.centre {
            Some(first) => {
                (0..3).for_each(|axis| slopes[first + axis] += pull.centre[axis]);
            }
            None if state.held != 0.0 => {
                inward.centre = pull.centre.map(|by| by / state.held);
                inward.mass -= dot(inward.centre, state.centre);
            }
            None => {}
        }
        inward
    }

    fn hand_down(&self, held: &Held, by: Pull, slopes: &mut [f64], to: &mut Pull) {
        let State { mass, centre, .. } = self.states[held.body];
        let at = located(held, self.values, centre);
        to.pieces += held.pieces * by.pieces;
        to.mass += held.pieces * (by.mass + dot(by.centre, at));
        for axis in 0..3 {
            slopes[held.place + axis] += held.pieces * mass * by.centre[axis];
            let turned = [0, 1, 2].map(|row| held.turned[row][axis]);
            to.centre[axis] += held.pieces * mass * dot(turned, by.centre);
        }
    }
}
