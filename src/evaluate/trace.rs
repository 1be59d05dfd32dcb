//! A value with its slopes to the figures that it comes from: propagation of uncertainty to first
//! order (JCGM 100:2008, 5.1.2).
//!
//! Two values are correlated only through the same figure: one figure that comes in twice, or over
//! two ways, is one input, and its slopes add before they are squared.

use std::collections::BTreeMap;

use crate::design::PartIx;
use crate::record::Id;

/// Something that has a temperature.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Place {
    /// A part, all of its pieces together.
    Part(PartIx),
    /// A node of the records.
    Node(Id),
    /// The air around the product.
    Ambient,
}

/// A figure of the records: what values are correlated through.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Source {
    /// A constant of the manifest.
    Given(Id),
    /// A quantity, value, dimension, setting or the capacity of a part.
    Part {
        /// The part.
        part: PartIx,
        /// The figure's name there.
        name: Id,
    },
    /// The density of a material.
    Density(Id),
    /// The resistance of a heat path, named by the record that states it.
    HeatPath {
        /// The place that states it.
        from: Place,
        /// The other end.
        to: Place,
    },
    /// Where a part sits in an assembly.
    Position {
        /// The part.
        part: PartIx,
        /// The assembly.
        within: PartIx,
        /// Which of its places, from 0.
        place: usize,
        /// Along which axis of the assembly: 0, 1, 2 for x, y, z.
        axis: usize,
    },
    /// The current that a part draws from a rail.
    Draw {
        /// The part.
        part: PartIx,
        /// The rail.
        rail: Id,
        /// The peak rather than the mean.
        peak: bool,
    },
}

/// How a value follows one figure.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Slope {
    /// ∂value/∂figure, in base units.
    pub by: f64,
    /// The figure, in base units.
    pub figure: f64,
    /// Standard uncertainty of the figure, in base units.
    pub u: f64,
}

/// A value with its slopes to the figures that it comes from.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Traced {
    /// The value, in base units.
    pub value: f64,
    /// By figure; exact figures are among them.
    pub slopes: BTreeMap<Source, Slope>,
}

/// One line of an uncertainty budget.
#[derive(Clone, Debug, PartialEq)]
pub struct Share {
    /// The figure.
    pub source: Source,
    /// ∂value/∂figure, in base units.
    pub sensitivity: f64,
    /// Standard uncertainty of the figure, in base units.
    pub u: f64,
    /// Its share of the variance, 0 to 1; the shares of a budget add to 1.
    pub share: f64,
}

impl Traced {
    /// A value that depends on no figure.
    #[must_use]
    pub fn exact(value: f64) -> Self {
        Self { value, slopes: BTreeMap::new() }
    }

    /// A figure by itself, with its standard uncertainty.
    #[must_use]
    pub fn figure(source: Source, value: f64, u: f64) -> Self {
        Self { value, slopes: BTreeMap::from([(source, Slope { by: 1.0, figure: value, u })]) }
    }

    /// `value`, which follows each of `terms` with the slope before it.
    #[must_use]
    pub fn combined<'a>(value: f64, terms: impl IntoIterator<Item = (f64, &'a Self)>) -> Self {
        let mut combined = Self::exact(value);
        for (slope, term) in terms {
            combined.follow(slope, term);
        }
        combined
    }

    /// The sum.
    #[must_use]
    pub fn plus(mut self, other: &Self) -> Self {
        self.value += other.value;
        self.follow(1.0, other);
        self
    }

    /// The difference.
    #[must_use]
    pub fn minus(mut self, other: &Self) -> Self {
        self.value -= other.value;
        self.follow(-1.0, other);
        self
    }

    /// `factor` times this.
    #[must_use]
    pub fn scaled(mut self, factor: f64) -> Self {
        self.value *= factor;
        self.slopes.values_mut().for_each(|slope| slope.by *= factor);
        self
    }

    /// The value where figures come to what `figure` says of them, in a straight line; figures of
    /// which it says nothing stay.
    #[must_use]
    pub fn at(&self, figure: impl Fn(&Source) -> Option<f64>) -> f64 {
        self.slopes.iter().fold(self.value, |value, (source, slope)| {
            value + slope.by * figure(source).map_or(0.0, |there| there - slope.figure)
        })
    }

    /// Standard uncertainty, in base units.
    #[must_use]
    pub fn u(&self) -> f64 {
        let (scale, sum) = self.variance();
        scale * sum.sqrt()
    }

    /// The uncertainty budget, the largest share first. Figures without an uncertainty are left out.
    #[must_use]
    pub fn budget(&self) -> Vec<Share> {
        let (scale, sum) = self.variance();
        let share = |(source, slope): (&Source, &Slope)| {
            let part = slope.by * slope.u / scale;
            let (source, sensitivity, u) = (source.clone(), slope.by, slope.u);
            Share { source, sensitivity, u, share: part * part / sum }
        };
        let uncertain = self.slopes.iter().filter(|(_, slope)| slope.by * slope.u != 0.0);
        let mut budget: Vec<Share> = uncertain.map(share).collect();
        budget.sort_by(|a, b| b.share.total_cmp(&a.share).then_with(|| a.source.cmp(&b.source)));
        budget
    }

    /// Adds the slopes of `term` times `slope`.
    fn follow(&mut self, slope: f64, term: &Self) {
        for (source, inner) in &term.slopes {
            let known = self.slopes.entry(source.clone());
            known.or_insert(Slope { by: 0.0, ..*inner }).by += slope * inner.by;
        }
    }

    /// The largest contribution, and the sum of the squares of all in units of it: their squares by
    /// themselves could be beyond what a float holds.
    fn variance(&self) -> (f64, f64) {
        let parts = || self.slopes.values().map(|slope| (slope.by * slope.u).abs());
        let scale = parts().fold(0.0, f64::max);
        if scale == 0.0 {
            return (0.0, 0.0);
        }
        (scale, parts().map(|part| (part / scale) * (part / scale)).sum())
    }
}

/// `value` at 12 significant digits: what is compared or stored must not depend on the last bits of
/// a long computation.
pub(super) fn rounded(value: f64) -> f64 {
    format!("{value:.11e}").parse().unwrap_or(value)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn figure(name: &str, value: f64, u: f64) -> Traced {
        Traced::figure(Source::Given(name.into()), value, u)
    }

    #[test]
    fn the_same_figure_adds_before_it_is_squared_and_different_ones_after() {
        let [a, b] = [figure("a", 5.0, 3.0), figure("b", 5.0, 4.0)];
        assert_eq!(a.clone().plus(&b).u(), 5.0);
        assert_eq!(a.clone().plus(&a).u(), 6.0);
        assert_eq!(a.clone().plus(&b).minus(&a).u(), 4.0);
    }

    #[test]
    fn a_budget_has_the_largest_share_first() {
        let sum = figure("a", 5.0, 3.0).plus(&figure("b", 5.0, 4.0)).plus(&figure("c", 1.0, 0.0));
        let shares: Vec<_> =
            sum.budget().into_iter().map(|line| (line.source, line.share)).collect();
        let given = |name: &str| Source::Given(name.into());
        assert_eq!(shares, [(given("b"), 0.64), (given("a"), 0.36)]);
    }

    #[test]
    fn contributions_whose_squares_no_float_holds_are_added_all_the_same() {
        let sum = figure("a", 1.0, 3e200).plus(&figure("b", 1.0, 4e200));
        assert!((sum.u() / 5e200 - 1.0).abs() < 1e-15);
        assert_eq!(Traced::exact(1.0).u(), 0.0);
    }

    #[test]
    fn twelve_digits_are_kept() {
        assert_eq!(rounded(0.04 - 0.025 - 0.002 - 0.01), 0.003);
        assert_eq!(rounded(1.0 / 3.0), 0.333_333_333_333);
        assert!(rounded(f64::NAN).is_nan());
    }
}
