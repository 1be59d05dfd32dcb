//! What a designer writes: the records, one file a kind, exactly as they stand in the TOML.
//!
//! References are still words here (`At<Id>`); `design` links them. Paths are still relative to
//! the file that names them.

mod evidence;
mod id;
mod manifest;
mod part;
mod plan;
mod power;
mod requirement;
mod supply;
mod variant;

pub use evidence::{CarriedOver, Evidence, Outcome, Seal, Trials};
pub use id::{Id, LONGEST, kebab};
pub use manifest::{
    Allowance, Allowances, Ambient, DesignTable, Event, Exchange, Guard, Manifest, OnFault,
    QuantityTable, RollUp, Rule,
};
pub use part::{
    CENTRE_OF_MASS, Consumption, Draw, Expected, Hazard, HeatPath, Mesh, Origin, Part, Setting,
    Sourced, Stated, Use,
};
pub use plan::{Decision, Item, Step, Waived, Waiver};
pub use power::{Derate, Node, Rail};
pub use requirement::{AmbientRule, Decide, Limits, Margin, Method, Priority, Requirement};
pub use supply::{Material, Offer, Prices, Supplier};
pub use variant::Variant;

use std::sync::Arc;

use serde::{Deserialize, Serialize};

/// A day of the calendar (`2026-10-02`).
pub type Date = jiff::civil::Date;

/// All records of one file, in the order in which they stand there; shared by every revision that
/// holds the same file.
#[derive(Clone, Debug, Default, Serialize, Deserialize)]
pub struct Records {
    /// `[part.ID]`
    pub parts: Vec<Arc<Part>>,
    /// `[node.ID]`
    pub nodes: Vec<Arc<Node>>,
    /// `[rail.ID]`
    pub rails: Vec<Arc<Rail>>,
    /// `[material.ID]`
    pub materials: Vec<Arc<Material>>,
    /// `[supplier.ID]`
    pub suppliers: Vec<Arc<Supplier>>,
    /// `[variant.ID]`
    pub variants: Vec<Arc<Variant>>,
    /// `[requirement.ID]`
    pub requirements: Vec<Arc<Requirement>>,
    /// `[evidence.ID]`
    pub evidence: Vec<Arc<Evidence>>,
    /// `[item.ID]`
    pub items: Vec<Arc<Item>>,
    /// `[decision.ID]`
    pub decisions: Vec<Arc<Decision>>,
    /// `[waiver.ID]`
    pub waivers: Vec<Arc<Waiver>>,
    /// `[step.ID]`
    pub steps: Vec<Arc<Step>>,
}

impl Records {
    /// How many records there are.
    #[must_use]
    pub fn len(&self) -> usize {
        self.parts.len()
            + self.nodes.len()
            + self.rails.len()
            + self.materials.len()
            + self.suppliers.len()
            + self.variants.len()
            + self.requirements.len()
            + self.evidence.len()
            + self.items.len()
            + self.decisions.len()
            + self.waivers.len()
            + self.steps.len()
    }

    /// Whether there is none.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.len() == 0
    }
}
