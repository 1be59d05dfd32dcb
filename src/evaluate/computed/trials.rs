//! Computed figures by random trials: their inputs are drawn, and the same computation goes on.

use std::collections::BTreeMap;

use super::super::centre::{self, Bodies};
use super::super::formula::Input;
use super::super::heat::{self, Network};
use super::super::monte_carlo::{self, Trials};
use super::super::steady::Steady;
use super::super::trace::{Place, Slope, Source, Traced};
use super::compute::{Candidate, Computer};
use super::{Aim, By, End};
use crate::design::PartIx;

impl Computer<'_> {
    /// The figure at one of its ends by `count` trials; `None` where fewer than two gave a value.
    pub(in crate::evaluate) fn trials(
        &self,
        aim: &Aim,
        end: &End,
        count: usize,
        seed: u64,
    ) -> Option<Trials> {
        match (&end.by, aim) {
            (By::Formula, Aim::Part(part, name)) => {
                let recipe = self.recipe((*part, name), end.extreme)?;
                monte_carlo::trials(&recipe, count, seed)
            }
            (By::HeatPaths, Aim::Part(part, _)) => self.of_temperature(*part, end, count, seed),
            (By::Moments(_), Aim::Part(part, name)) => {
                let bodies = Bodies::of(self.context, *part, end.with_options).ok()?;
                let axis = centre::axis_of(name)?;
                let along = |drawn: &[f64]| Some(bodies.gathered(drawn)?.centre()[axis]);
                monte_carlo::sampled(&bodies.inputs, count, seed, along)
            }
            // Currents are sums of figures, each with its factor: their slopes are all of it.
            (By::Loads(_), _) => {
                let drawn = Drawn::of(self, [&end.value]);
                let peak = |values: &[f64]| Some(drawn.at(&end.value, values));
                monte_carlo::sampled(&drawn.inputs, count, seed, peak)
            }
            (_, Aim::Rail(_)) => None,
        }
    }

    fn of_temperature(&self, part: PartIx, end: &End, count: usize, seed: u64) -> Option<Trials> {
        let build: &Steady = self.steady?.build(end.with_options)?;
        let (network, ambient_k) = build.network(self.context, end.with_options, end.extreme?)?;
        let candidates = self.candidates(part, end.with_options);
        let stated = candidates.iter().filter_map(|candidate| match candidate {
            Candidate::Stated(stated) => Some(stated),
            Candidate::Led(_) => None,
        });
        let drawn = Drawn::of(self, network.figures().chain(stated));
        let warmest = |values: &[f64]| {
            let network = drawn.network(&network, values);
            let solution = heat::solve(&network, ambient_k);
            let mut warmest: Option<f64> = None;
            for candidate in &candidates {
                let found = match candidate {
                    Candidate::Led(part) => solution.temperature_k(&Place::Part(*part))?,
                    Candidate::Stated(stated) => drawn.at(stated, values),
                };
                warmest = Some(warmest.map_or(found, |warmest| warmest.max(found)));
            }
            warmest
        };
        monte_carlo::sampled(&drawn.inputs, count, seed, warmest)
    }
}

/// Figures that are drawn, each once.
struct Drawn {
    inputs: Vec<Input>,
    by_source: BTreeMap<Source, usize>,
}

impl Drawn {
    /// All figures that `values` follow.
    fn of<'v>(computer: &Computer<'_>, values: impl IntoIterator<Item = &'v Traced>) -> Self {
        let slopes = values.into_iter().flat_map(|value| &value.slopes);
        let figures: BTreeMap<&Source, &Slope> = slopes.collect();
        let design = computer.context.design;
        let input = |(source, slope): (&&Source, &&Slope)| {
            Input::of(design, (*source).clone(), slope.figure, slope.u)
        };
        let places = figures.keys().enumerate();
        Self {
            inputs: figures.iter().map(input).collect(),
            by_source: places.map(|(index, source)| ((*source).clone(), index)).collect(),
        }
    }

    /// A value that follows its figures in a straight line, where they come to `values`.
    fn at(&self, value: &Traced, values: &[f64]) -> f64 {
        value.at(|source| self.by_source.get(source).map(|index| values[*index]))
    }

    /// The network with heats and resistances as they were drawn: each is a sum of figures.
    fn network(&self, network: &Network, values: &[f64]) -> Network {
        network.mapped(|figure| Traced::exact(self.at(figure, values)))
    }
}
