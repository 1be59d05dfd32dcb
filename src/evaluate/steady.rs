//! The product at work, in its steady state: currents, what they heat, and what the heat derates.
//!
//! Mean currents give losses, losses and the parts' own heat give temperatures, temperatures derate
//! the ratings that peaks are held against: each follows from the one before, and none goes back.

use std::collections::BTreeMap;

use super::heat::{self, Extreme, Network, Solution};
use super::multiplicity::{Multiplicities, multiplicities};
use super::rails::{self, Currents, Fault, Feed, Loss, Rated, Tree};
use super::trace::{Place, Traced};
use super::whole::Context;
use crate::design::{Design, Held, PartIx};
use crate::record::{Id, Rail};

/// The product in its steady state.
#[derive(Clone, Debug)]
pub struct Steady {
    /// The power tree.
    pub tree: Tree,
    /// The currents of its rails, in the order of [`Tree::rails`]; nothing is lost in a tree that has
    /// none.
    pub currents: Result<Vec<Currents>, Fault>,
    /// What feeds the tree.
    pub feeds: Vec<Feed>,
    /// Ratings against peaks, by rail, where a rail has a rating and its derating is known.
    pub rated: BTreeMap<Id, Rated>,
    /// Temperatures at the highest ambient with predicted heat; `None` without a highest ambient.
    pub hot: Option<Solution>,
    /// Temperatures at the lowest ambient with basic heat; `None` without a lowest ambient.
    pub cold: Option<Solution>,
    /// The same with all optional parts, where there are any.
    pub with_options: Option<Box<Steady>>,
}

impl Steady {
    /// The temperatures at one end; `None` where the manifest gives no ambient for it.
    #[must_use]
    pub fn at(&self, extreme: Extreme) -> Option<&Solution> {
        match extreme {
            Extreme::Hot => self.hot.as_ref(),
            Extreme::Cold => self.cold.as_ref(),
        }
    }

    /// The product without its optional parts, or with all of them: `None` where there are none.
    #[must_use]
    pub fn build(&self, with_options: bool) -> Option<&Self> {
        if with_options { self.with_options.as_deref() } else { Some(self) }
    }

    /// What heats what at one end, and the ambient temperature there in K.
    pub(super) fn network(
        &self,
        context: &Context<'_>,
        with_options: bool,
        extreme: Extreme,
    ) -> Option<(Network, f64)> {
        let design = context.design;
        let counts = multiplicities(design, design.top, with_options);
        let losses = rails::losses(&self.tree, self.currents.as_deref().unwrap_or_default());
        network(context, &counts, &losses, extreme)
    }

    /// The temperature of a part in K at one end, with what it follows from.
    #[must_use]
    pub fn temperature(&self, part: PartIx, extreme: Extreme) -> Option<Traced> {
        self.at(extreme)?.temperature(&Place::Part(part))
    }
}

/// The steady state of the product, without its optional parts and with all of them.
pub(super) fn of_product(context: &Context<'_>) -> Steady {
    let design = context.design;
    let [base, with] = [false, true].map(|with| multiplicities(design, design.top, with));
    let with_options = (with != base).then(|| Box::new(steady(context, &with)));
    Steady { with_options, ..steady(context, &base) }
}

/// The steady state of the product that holds its parts as often as `counts` says.
fn steady(context: &Context<'_>, counts: &Multiplicities) -> Steady {
    let design = context.design;
    let tree = rails::tree(design, counts);
    let currents = rails::currents(&tree);
    let known = currents.as_deref().unwrap_or_default();
    let losses = rails::losses(&tree, known);
    let hot = solved(context, counts, &losses, Extreme::Hot);
    Steady {
        feeds: rails::feeds(design, counts, &tree, known),
        rated: ratings(design, known, hot.as_ref()),
        cold: solved(context, counts, &losses, Extreme::Cold),
        hot,
        tree,
        currents,
        with_options: None,
    }
}

fn solved(
    context: &Context<'_>,
    counts: &Multiplicities,
    losses: &[Loss],
    extreme: Extreme,
) -> Option<Solution> {
    let (network, ambient_k) = network(context, counts, losses, extreme)?;
    Some(heat::solve(&network, ambient_k))
}

fn network(
    context: &Context<'_>,
    counts: &Multiplicities,
    losses: &[Loss],
    extreme: Extreme,
) -> Option<(Network, f64)> {
    let ambient_k = extreme.ambient_k(context.design)?;
    let heats = heat::heats(context, counts, losses, extreme);
    Some((heat::network(context.design, counts, heats), ambient_k))
}

fn ratings(design: &Design, currents: &[Currents], hot: Option<&Solution>) -> BTreeMap<Id, Rated> {
    let derating = design.rails.iter().filter_map(|rail| rail.derate.as_ref()?.at.as_ref());
    let parts = derating.filter_map(|id| design.part(id.as_str()));
    let temperatures: BTreeMap<PartIx, Traced> =
        parts.filter_map(|part| Some((part, hot?.temperature(&Place::Part(part))?))).collect();
    let rated = |(rail, currents): (&Held<Rail>, &Currents)| {
        let rated = rails::rated(design, rail, currents, &temperatures)?;
        Some((rail.id.value.clone(), rated))
    };
    design.rails.iter().zip(currents).filter_map(rated).collect()
}
