//! Names for what figures come from, as people know them.

use super::trace::{Place, Source};
use crate::design::{Design, PartIx};
use crate::record::Id;

impl Place {
    /// The id that the records have for it.
    #[must_use]
    pub fn id(&self, design: &Design) -> Id {
        match self {
            Self::Part(part) => design.id(*part).clone(),
            Self::Node(id) => id.clone(),
            Self::Ambient => Id::from("ambient"),
        }
    }
}

impl Source {
    /// `mass of lens`, `given.gravity`, `led-panel → inside-air`, `motor from twelve-volt`.
    #[must_use]
    pub fn name(&self, design: &Design) -> String {
        match self {
            Self::Given(id) => format!("given.{id}"),
            Self::Part { part, name } => format!("{name} of {}", design.id(*part)),
            Self::Density(material) => format!("density of {material}"),
            Self::HeatPath { from, to } => format!("{} → {}", from.id(design), to.id(design)),
            Self::Position { part, within, place, axis } => {
                let axis = ["x", "y", "z"].get(*axis).unwrap_or(&"");
                let several = design.links[within.index()]
                    .iter()
                    .any(|link| link.child == *part && link.places.len() > 1);
                let which = if several { format!(", place {}", place + 1) } else { String::new() };
                format!("{axis} of {} in {}{which}", design.id(*part), design.id(*within))
            }
            Self::Draw { part, rail, peak } => {
                let which = if *peak { "peak" } else { "mean" };
                format!("{which} current of {} from {rail}", design.id(*part))
            }
        }
    }

    /// The part whose record states it; `None` for a constant or a path that a node states.
    #[must_use]
    pub fn part(&self) -> Option<PartIx> {
        match self {
            Self::Part { part, .. }
            | Self::Draw { part, .. }
            | Self::HeatPath { from: Place::Part(part), .. } => Some(*part),
            // Where a part sits is said by what holds it.
            Self::Position { within, .. } => Some(*within),
            Self::Given(_) | Self::Density(_) | Self::HeatPath { .. } => None,
        }
    }
}
