//! Places that lead heat to one another, solved together.

use std::collections::{BTreeMap, BTreeSet};

use nalgebra::{Cholesky, DMatrix, DVector, Dyn};

use super::super::trace::{Place, Traced, rounded};
use super::{Fault, MOST_PLACES, Network, Path};

/// Places that lead heat to one another without ambient between them, in their steady state.
#[derive(Clone, Debug)]
pub(super) struct Island {
    /// By place: its row.
    rows: BTreeMap<Place, usize>,
    heats: Vec<(usize, Traced)>,
    paths: Vec<Branch>,
    conductances: Cholesky<f64, Dyn>,
    rises_k: DVector<f64>,
}

/// A path between two rows; `None` is ambient.
#[derive(Clone, Debug)]
struct Branch {
    ends: [Option<usize>; 2],
    resistance: Traced,
}

/// The islands of the network that can be solved, and what is wrong with the network.
pub(super) fn all(network: &Network) -> (Vec<Island>, Vec<Fault>) {
    let (sound, mut faults, tainted) = sorted_out(&network.paths);
    let mut islands = Vec::new();
    for group in groups(network, &sound) {
        // A path that is wrong was reported itself; without it the temperatures mean nothing.
        if group.places.iter().any(|place| tainted.contains(place)) {
            continue;
        }
        match Island::of(&group) {
            Ok(island) => islands.push(island),
            Err(fault) => faults.push(fault),
        }
    }
    (islands, faults)
}

/// The paths that are right, what is wrong with the others, and the places that those touch.
fn sorted_out(paths: &[Path]) -> (Vec<&Path>, Vec<Fault>, BTreeSet<&Place>) {
    let mut pairs = BTreeSet::new();
    let (mut sound, mut faults, mut tainted) = (Vec::new(), Vec::new(), BTreeSet::new());
    for path in paths {
        let (from, to) = (&path.from, &path.to);
        // Neither a resistance so small that its conductance is infinite.
        let is_positive = path.resistance.value > 0.0 && path.resistance.value.recip().is_finite();
        let fault = if from == to {
            Fault::ToItself(from.clone())
        } else if !pairs.insert((from.min(to), from.max(to))) {
            Fault::Twice(from.clone(), to.clone())
        } else if !is_positive {
            Fault::NotPositive(from.clone(), to.clone())
        } else {
            sound.push(path);
            continue;
        };
        faults.push(fault);
        tainted.extend([from, to].into_iter().filter(|place| **place != Place::Ambient));
    }
    (sound, faults, tainted)
}

/// Places that hang together, with all that concerns them.
#[derive(Default)]
struct Group<'a> {
    places: BTreeSet<&'a Place>,
    heats: Vec<(&'a Place, &'a Traced)>,
    paths: Vec<&'a Path>,
}

/// Every place but ambient in its group, in the order of places.
fn groups<'a>(network: &'a Network, sound: &[&'a Path]) -> Vec<Group<'a>> {
    let by_place = group_by_place(network, sound);
    let count = by_place.values().max().map_or(0, |last| last + 1);
    let mut groups: Vec<Group<'_>> = std::iter::repeat_with(Group::default).take(count).collect();
    for (place, group) in &by_place {
        groups[*group].places.insert(place);
    }
    for (place, heat) in &network.heats {
        if let Some(group) = by_place.get(place) {
            groups[*group].heats.push((place, heat));
        }
    }
    for path in sound {
        // Both ends are of one group, unless one is ambient.
        let group = by_place.get(&path.from).or_else(|| by_place.get(&path.to));
        group.into_iter().for_each(|group| groups[*group].paths.push(path));
    }
    groups
}

/// The number of the group of each place but ambient.
fn group_by_place<'a>(network: &'a Network, sound: &[&'a Path]) -> BTreeMap<&'a Place, usize> {
    let mut neighbours: BTreeMap<&Place, Vec<&Place>> = BTreeMap::new();
    let ends = network.paths.iter().flat_map(|path| [&path.from, &path.to]);
    for place in network.heats.keys().chain(ends) {
        neighbours.entry(place).or_default();
    }
    for path in sound {
        neighbours.entry(&path.from).or_default().push(&path.to);
        neighbours.entry(&path.to).or_default().push(&path.from);
    }
    // Ambient has its temperature, whatever heat reaches it: nothing hangs together through it.
    neighbours.remove(&Place::Ambient);
    let mut by_place = BTreeMap::new();
    let mut count = 0;
    for start in neighbours.keys() {
        let mut pending = vec![*start];
        let before = by_place.len();
        while let Some(place) = pending.pop() {
            if neighbours.contains_key(place) && !by_place.contains_key(place) {
                by_place.insert(place, count);
                pending.extend(&neighbours[place]);
            }
        }
        count += usize::from(by_place.len() > before);
    }
    by_place
}

impl Island {
    fn of(group: &Group<'_>) -> Result<Self, Fault> {
        let places = || group.places.iter().copied().cloned();
        let count = group.places.len();
        let is_to_ambient = |path: &&Path| [&path.from, &path.to].contains(&&Place::Ambient);
        if !group.paths.iter().any(is_to_ambient) {
            return Err(Fault::Floating(places().collect()));
        }
        if count > MOST_PLACES {
            return Err(Fault::TooLarge(places().next().unwrap_or(Place::Ambient), count));
        }
        let rows: BTreeMap<Place, usize> = places().zip(0..).collect();
        let row = |place: &Place| rows.get(place).copied();
        let branch = |path: &&Path| Branch {
            ends: [row(&path.from), row(&path.to)],
            resistance: path.resistance.clone(),
        };
        let paths: Vec<Branch> = group.paths.iter().map(branch).collect();
        let heats = group.heats.iter();
        let heats = heats.filter_map(|(place, heat)| Some((row(place)?, (*heat).clone())));
        let heats: Vec<(usize, Traced)> = heats.collect();
        let solved = solved(count, &paths, &heats);
        let (conductances, rises_k) =
            solved.ok_or_else(|| Fault::Unsolvable(places().collect()))?;
        Ok(Self { rows, heats, paths, conductances, rises_k })
    }

    /// Its places, in order.
    pub(super) fn places(&self) -> impl Iterator<Item = &Place> {
        self.rows.keys()
    }

    /// How far the place is above ambient.
    pub(super) fn rise_k(&self, place: &Place) -> Option<f64> {
        Some(self.rises_k[*self.rows.get(place)?])
    }

    /// The same with its slopes.
    ///
    /// With λ = G⁻¹·e of the place, ∂ΔT/∂Q = λ, and from G·ΔT = Q with conductances 1/R follows
    /// ∂ΔT/∂R = (λa − λb)(ΔTa − ΔTb)/R² for the resistance between a and b.
    pub(super) fn rise(&self, place: &Place) -> Option<Traced> {
        let row = *self.rows.get(place)?;
        let mut unit = DVector::zeros(self.rows.len());
        unit[row] = 1.0;
        // Rounded, so that equal responses differ by nothing rather than by the last bits.
        let response = self.conductances.solve(&unit).map(rounded);
        let at = |values: &DVector<f64>, end: Option<usize>| end.map_or(0.0, |row| values[row]);
        let across =
            |values: &DVector<f64>, [a, b]: [Option<usize>; 2]| at(values, a) - at(values, b);
        let heats = self.heats.iter().map(|(row, heat)| (response[*row], heat));
        let paths = self.paths.iter().map(|path| {
            let resistance = path.resistance.value;
            let flow = across(&self.rises_k, path.ends) / resistance;
            (rounded(across(&response, path.ends) / resistance * flow), &path.resistance)
        });
        Some(Traced::combined(self.rises_k[row], heats.chain(paths)))
    }
}

/// The decomposition of the conductances, and the rises; `None` where a float cannot hold them.
fn solved(
    count: usize,
    paths: &[Branch],
    heats: &[(usize, Traced)],
) -> Option<(Cholesky<f64, Dyn>, DVector<f64>)> {
    let mut conductances = DMatrix::zeros(count, count);
    for path in paths {
        let conductance = path.resistance.value.recip();
        for end in path.ends.into_iter().flatten() {
            conductances[(end, end)] += conductance;
        }
        if let [Some(a), Some(b)] = path.ends {
            conductances[(a, b)] -= conductance;
            conductances[(b, a)] -= conductance;
        }
    }
    let mut sources = DVector::zeros(count);
    for (row, heat) in heats {
        sources[*row] += heat.value;
    }
    let conductances = conductances.cholesky()?;
    let rises_k = conductances.solve(&sources).map(rounded);
    rises_k.iter().all(|rise| rise.is_finite()).then_some((conductances, rises_k))
}
