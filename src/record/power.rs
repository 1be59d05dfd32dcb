//! `[rail.ID]` and `[node.ID]`: the power tree, and places with a temperature that are no parts.

use serde::{Deserialize, Serialize};

use super::{HeatPath, Id};
use crate::diagnostic::At;
use crate::quantity::Measure;

/// A supply rail.
#[derive(Clone, Debug, Serialize, Deserialize)]
pub struct Rail {
    /// Its name in the design.
    pub id: At<Id>,
    /// What people call it.
    pub title: Option<At<String>>,
    /// Its voltage.
    pub voltage: At<Measure>,
    /// The rail or the part that feeds it.
    pub fed_by: Option<At<Id>>,
    /// The part in which its conversion loss turns into heat.
    pub made_in: Option<At<Id>>,
    /// Share of the power fed in that comes out, 0 to 1.
    pub efficiency: Option<At<f64>>,
    /// The most current it can carry.
    pub rating: Option<At<Measure>>,
    /// How the rating falls with temperature.
    pub derate: Option<Derate>,
}

/// A linear fall of a rating.
#[derive(Clone, Debug, Serialize, Deserialize)]
pub struct Derate {
    /// The temperature from which on the rating falls.
    pub from: At<Measure>,
    /// Share of the rating lost for each kelvin above it, in 1/K.
    pub by_per_k: At<Measure>,
    /// The part whose temperature counts; the highest ambient where not given.
    pub at: Option<At<Id>>,
}

/// A place with a temperature.
#[derive(Clone, Debug, Serialize, Deserialize)]
pub struct Node {
    /// Its name in the design.
    pub id: At<Id>,
    /// What people call it.
    pub title: Option<At<String>>,
    /// Thermal resistances to its neighbours.
    pub heat_paths: Vec<HeatPath>,
}
