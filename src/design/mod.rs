//! Records → a linked design: every reference is an index, every path a file of the revision, every
//! quantity of its dimension. A design exists only where its records are free of errors.
//!
//! petgraph stays in [`graph`]; the rest of the house walks plain vectors in topological order.

mod demands;
mod files;
mod findings;
mod formula_kind;
mod formulas;
mod graph;
mod limits;
mod link;
mod named;
mod near;
mod parts;
mod pieces;
mod quantities;
mod references;
mod relink;
mod turn;
mod variant;

#[cfg(test)]
mod tests;

use std::collections::{BTreeMap, BTreeSet};
use std::fmt;
use std::ops::Range;
use std::sync::Arc;

use rust_decimal::Decimal;
use semver::{Version, VersionReq};
use serde::{Deserialize, Serialize};

use crate::diagnostic::At;
use crate::facts;
use crate::fileset::RepoPath;
use crate::quantity::{Currency, Dimension, Placement, Unit};
use crate::record::{
    Decision, Evidence, Id, Item, Manifest, Material, Node, Part, Rail, Requirement, Sourced, Step,
    Supplier, Variant, Waiver,
};

pub use demands::Demand;
pub use files::{Concern, Found, NamedFile, PartFiles, Selection, select};
pub use link::{Input, Linked, link};
pub use near::nearness;
pub use pieces::{Pieces, pieces};
pub use quantities::{BUILT_IN, COUNTED, Quantity, Source};
pub use relink::{Changed, relink};
pub use turn::in_turn;

/// A part of a design: its place among the parts, sorted by id.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
pub struct PartIx(u32);

impl PartIx {
    /// The place in [`Design::parts`].
    #[must_use]
    pub fn index(self) -> usize {
        self.0 as usize
    }

    fn new(index: usize) -> Self {
        Self(u32::try_from(index).expect("a design holds at most a million records"))
    }
}

/// A record, and the file that holds it.
#[derive(Serialize, Deserialize)]
pub struct Held<T> {
    /// The record.
    pub record: Arc<T>,
    /// The file, relative to the repository's root.
    pub path: RepoPath,
}

impl<T> Clone for Held<T> {
    fn clone(&self) -> Self {
        Self { record: Arc::clone(&self.record), path: self.path.clone() }
    }
}

impl<T: fmt::Debug> fmt::Debug for Held<T> {
    fn fmt(&self, formatter: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.record.fmt(formatter)
    }
}

impl<T> std::ops::Deref for Held<T> {
    type Target = T;
    fn deref(&self) -> &T {
        &self.record
    }
}

/// One line of what an assembly contains.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Link {
    /// The part that is contained.
    pub child: PartIx,
    /// Pieces, or the extent in base units; exact, above zero.
    pub amount: Decimal,
    /// [`Dimension::NONE`] for pieces, else what the extent is.
    pub dimension: Dimension,
    /// Where its pieces sit, as far as that is said: one place a piece, or one for all of them.
    pub places: Vec<Placement>,
    /// The versions of the child that do.
    pub version: Option<At<VersionReq>>,
    /// Left to the builder.
    pub optional: bool,
}

/// What a part states of the design's quantities: a few figures by name, in the order of names.
#[derive(Clone, Debug, Default, Serialize, Deserialize)]
pub struct OwnFigures(Vec<(Id, Sourced)>);

impl OwnFigures {
    /// The figure of `quantity`.
    #[must_use]
    pub fn get(&self, quantity: &Id) -> Option<&Sourced> {
        self.0.iter().find(|(name, _)| name == quantity).map(|(_, figure)| figure)
    }

    /// Every figure with its quantity.
    pub fn iter(&self) -> impl Iterator<Item = (&Id, &Sourced)> {
        self.0.iter().map(|(name, figure)| (name, figure))
    }

    /// The quantities of which there is a figure.
    pub fn keys(&self) -> impl Iterator<Item = &Id> {
        self.0.iter().map(|(name, _)| name)
    }

    /// Adds the figure of a quantity; whether there was none yet.
    fn add(&mut self, quantity: &Id, figure: &Sourced) -> bool {
        match self.0.binary_search_by(|(name, _)| name.cmp(quantity)) {
            Ok(_) => false,
            Err(place) => {
                self.0.reserve_exact(1);
                self.0.insert(place, (quantity.clone(), figure.clone()));
                true
            }
        }
    }
}

/// A design whose records are all right. What two states of it have in common they share, and where they
/// share it nothing of it is another.
#[derive(Clone, Debug, Serialize, Deserialize)]
pub struct Design {
    /// The manifest's file.
    pub manifest_path: RepoPath,
    /// The manifest. It is read, never kept.
    #[serde(skip)]
    pub manifest: Arc<Manifest>,
    /// The design's name.
    pub name: Id,
    /// The release being prepared.
    pub next: Version,
    /// The currency of all costs.
    pub currency: Currency,
    /// The variant that this is; `None` for the design as its records have it.
    pub variant: Option<Id>,
    /// The part that is the whole product.
    pub top: PartIx,
    /// Every quantity by name: built-in, counted and the designer's own.
    pub quantities: Arc<BTreeMap<Id, Quantity>>,
    /// The ids of the parts, in their order.
    pub ids: Arc<Vec<Id>>,
    /// The parts, sorted by id.
    pub parts: Pieces<Held<Part>>,
    /// The parts that have formulas, in the order of parts.
    pub with_formulas: Arc<Vec<PartIx>>,
    /// The parts that name files, in the order of parts.
    pub with_files: Arc<Vec<PartIx>>,
    /// The parts that lead heat to others, in the order of parts.
    pub with_heat_paths: Arc<Vec<PartIx>>,
    /// By part: what it contains, sorted by child.
    pub links: Arc<Vec<Vec<Link>>>,
    /// By part: what its amounts are measured in; [`Dimension::NONE`] where it comes by the piece.
    pub amounts: Arc<Vec<Dimension>>,
    /// Every part, assemblies before what they contain.
    pub order: Arc<Vec<PartIx>>,
    /// By part: its own figures of the quantities that the design knows.
    pub figures: Pieces<Arc<OwnFigures>>,
    /// By part: the files that it names.
    pub files: Pieces<Arc<PartFiles>>,
    /// What is known of files that parts name; nothing until somebody looked into them.
    #[serde(skip)]
    pub facts: Arc<facts::Table>,
    /// The documents of the manifest, by role.
    pub docs: Vec<(String, NamedFile)>,
    /// Files of evidence, by the evidence's place in [`Design::evidence`].
    pub evidence_files: Vec<Vec<NamedFile>>,
    /// The nodes, sorted by id, as are all that follow.
    pub nodes: Vec<Held<Node>>,
    /// The rails.
    pub rails: Vec<Held<Rail>>,
    /// The materials.
    pub materials: Arc<Vec<Held<Material>>>,
    /// The suppliers.
    pub suppliers: Vec<Held<Supplier>>,
    /// The variants.
    pub variants: Vec<Held<Variant>>,
    /// The requirements.
    pub requirements: Vec<Held<Requirement>>,
    /// The evidence.
    pub evidence: Vec<Held<Evidence>>,
    /// The open and closed items.
    pub items: Vec<Held<Item>>,
    /// The decisions.
    pub decisions: Vec<Held<Decision>>,
    /// The waivers.
    pub waivers: Vec<Held<Waiver>>,
    /// The steps, in the order in which they are done.
    pub steps: Vec<Held<Step>>,
}

impl Design {
    /// Every part's place, in the order of ids.
    pub fn part_indices(&self) -> impl Iterator<Item = PartIx> + use<> {
        (0..self.parts.len()).map(PartIx::new)
    }

    /// Whether the other state has the same parts in the same places, and each holds there what it holds
    /// here. Where this is not said it may be so all the same.
    #[must_use]
    pub fn is_surely_built_as(&self, other: &Self) -> bool {
        Arc::ptr_eq(&self.links, &other.links)
    }

    /// The parts that are not plainly the same in another state that is surely built alike: all others
    /// have the very same record and files in both.
    pub fn parts_apart(&self, other: &Self) -> impl Iterator<Item = PartIx> {
        let is_apart = |places: &Range<usize>| {
            !(self.parts.shares(&other.parts, places) && self.files.shares(&other.files, places))
        };
        pieces(self.parts.len()).filter(is_apart).flatten().map(PartIx::new)
    }

    /// Notes which parts have what few have.
    fn note_special_parts(&mut self) {
        let parts = |has: fn(&Part) -> bool| {
            Arc::new(self.part_indices().filter(|part| has(self.record(*part))).collect())
        };
        let with_formulas = parts(|part| !part.formulas.is_empty());
        let with_heat_paths = parts(|part| !part.heat_paths.is_empty());
        let with_files = parts(|part| {
            !part.sources.is_empty() || !part.exports.is_empty() || part.mesh.is_some()
        });
        self.with_formulas = with_formulas;
        self.with_heat_paths = with_heat_paths;
        self.with_files = with_files;
    }

    /// The place of the part `id`.
    #[must_use]
    pub fn part(&self, id: &str) -> Option<PartIx> {
        self.ids.binary_search_by(|known| known.as_str().cmp(id)).ok().map(PartIx::new)
    }

    /// The record of the part at `ix`.
    #[must_use]
    pub fn record(&self, ix: PartIx) -> &Held<Part> {
        &self.parts[ix.index()]
    }

    /// The id of the part at `ix`.
    #[must_use]
    pub fn id(&self, ix: PartIx) -> &Id {
        &self.ids[ix.index()]
    }

    /// By part: the unit that its amounts are shown in, that of the first assembly that contains it.
    #[must_use]
    pub fn units_of_amounts(&self) -> Vec<Unit> {
        let mut units = vec![None; self.parts.len()];
        for line in self.parts.iter().flat_map(|part| &part.contains) {
            if let Some(part) = self.part(line.part.as_str()) {
                units[part.index()].get_or_insert_with(|| line.amount.unit.clone());
            }
        }
        units.into_iter().map(|unit| unit.unwrap_or_else(Unit::none)).collect()
    }

    /// The top and all that it holds, optional parts too, in the order of ids.
    #[must_use]
    pub fn product(&self) -> BTreeSet<PartIx> {
        let mut product = BTreeSet::from([self.top]);
        for part in &*self.order {
            if product.contains(part) {
                product.extend(self.links[part.index()].iter().map(|link| link.child));
            }
        }
        product
    }

    /// The material `id`.
    #[must_use]
    pub fn material(&self, id: &str) -> Option<&Held<Material>> {
        self.place_of_material(id).map(|at| &self.materials[at])
    }

    /// The place of the material `id` among all.
    #[must_use]
    pub fn place_of_material(&self, id: &str) -> Option<usize> {
        position(&self.materials, id, |material| &material.id)
    }

    /// The supplier `id`.
    #[must_use]
    pub fn supplier(&self, id: &str) -> Option<&Held<Supplier>> {
        position(&self.suppliers, id, |supplier| &supplier.id).map(|at| &self.suppliers[at])
    }

    /// The rail `id`.
    #[must_use]
    pub fn rail(&self, id: &str) -> Option<&Held<Rail>> {
        position(&self.rails, id, |rail| &rail.id).map(|at| &self.rails[at])
    }

    /// The requirement `id`.
    #[must_use]
    pub fn requirement(&self, id: &str) -> Option<&Held<Requirement>> {
        let at = position(&self.requirements, id, |requirement| &requirement.id)?;
        Some(&self.requirements[at])
    }
}

fn position<T>(sorted: &[Held<T>], id: &str, key: impl Fn(&T) -> &At<Id>) -> Option<usize> {
    sorted.binary_search_by(|held| key(held).as_str().cmp(id)).ok()
}
