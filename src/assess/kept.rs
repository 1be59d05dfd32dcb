//! A judged state as it is kept from one run to the next: the next one starts from there.

use std::collections::BTreeMap;
use std::sync::Arc;

use serde::{Deserialize, Serialize};

use super::Parses;
use crate::design::{Changed, Concern, Design, Held, PartIx, relink};
use crate::evaluate::KeptFigures;
use crate::evidence::Standings;
use crate::facet;
use crate::fileset::{Entry, RepoPath};
use crate::late::Late;
use crate::parse::Parsed;
use crate::record::{Manifest, Records};
use crate::verdict::{Assessed, Occasion};

/// The shape of what is kept, which tells nothing of it itself: this rises with the shape of designs or of
/// figures, and where any of these follows from the records in another way. Records have a form of their
/// own, [`crate::parse::kept::FORM`], which a state is kept by too.
pub const FORM: &str = "state/2";

/// A judged state: the design, its budgets, and the files that it is made of.
#[derive(Debug, Serialize, Deserialize)]
pub struct Kept {
    design: Arc<Design>,
    figures: KeptFigures,
    /// The files in the order of paths.
    entries: Vec<(RepoPath, Entry)>,
    /// By file: the parts that it holds, in its order.
    parts: Late<Vec<Vec<PartIx>>>,
}

impl Kept {
    /// What is kept of a state with these `entries`, whose record files were all parsed. Nothing where a
    /// budget stands on what is not at hand here: it is another one once that was fetched.
    #[must_use]
    pub fn of(
        assessed: &Assessed,
        entries: &BTreeMap<RepoPath, Entry>,
        parses: &Parses,
    ) -> Option<Self> {
        let design = Arc::clone(&assessed.design);
        if !design.facts.are_of_content() {
            return None;
        }
        let concern = Concern::of(&design.manifest, &design.manifest_path, Some(&design));
        let entries = entries.iter().filter(|(path, _)| concern.holds(path));
        let entries: Vec<(RepoPath, Entry)> =
            entries.map(|(path, entry)| (path.clone(), *entry)).collect();
        let parts = entries.iter().map(|(_, entry)| {
            let said = parses.records(&entry.key).map(|said| &said.records.parts);
            let parts = said.into_iter().flatten();
            parts.map(|part| design.part(part.id.as_str())).collect()
        });
        let parts: Option<Vec<Vec<PartIx>>> = parts.collect();
        let parts = Late::from(parts?);
        Some(Self { figures: KeptFigures::of(&assessed.figures)?, entries, parts, design })
    }

    /// The same with what the manifest says, which is not kept: it is read anyhow. Where it is another, so
    /// is one of the [`entries`](Self::entries).
    #[must_use]
    pub fn under(mut self, rules: Arc<Manifest>) -> Self {
        Arc::make_mut(&mut self.design).manifest = rules;
        self
    }

    /// The design.
    #[must_use]
    pub fn design(&self) -> &Arc<Design> {
        &self.design
    }

    /// What lies at the paths that it is made of, in their order.
    pub fn entries(&self) -> impl Iterator<Item = (&RepoPath, &Entry)> {
        self.entries.iter().map(|(path, entry)| (path, entry))
    }

    /// The place of a path among these.
    fn place(&self, path: &RepoPath) -> Option<usize> {
        self.entries.binary_search_by(|(known, _)| known.cmp(path)).ok()
    }

    /// The design of a state with the entries `after` that follows from `design`, which is that of this
    /// state or followed from it, and of which the record files `changed` are others. Nothing where all of
    /// its files have to be linked as a whole, which also tells what is wrong.
    #[must_use]
    pub fn later(
        &self,
        design: &Arc<Design>,
        after: &BTreeMap<RepoPath, Entry>,
        changed: &[RepoPath],
        parses: &Parses,
    ) -> Option<Arc<Design>> {
        if changed.is_empty() {
            return Some(Arc::clone(design));
        }
        let changed = changed.iter().map(|path| {
            let after = Arc::clone(parses.records(&after.get(path)?.key)?);
            let before = Arc::new(self.said(design, path));
            Some(Changed { path: path.clone(), before, after })
        });
        relink(design, after, &changed.collect::<Option<Vec<_>>>()?)
    }

    /// What a record file of the design says.
    fn said(&self, design: &Design, path: &RepoPath) -> Parsed {
        let parts = self.place(path).map(|place| &self.parts[place]).into_iter().flatten();
        let records = Records {
            parts: parts.map(|part| Arc::clone(&design.record(*part).record)).collect(),
            nodes: held_at(&design.nodes, path),
            rails: held_at(&design.rails, path),
            materials: held_at(&design.materials, path),
            suppliers: held_at(&design.suppliers, path),
            variants: held_at(&design.variants, path),
            requirements: held_at(&design.requirements, path),
            evidence: held_at(&design.evidence, path),
            items: held_at(&design.items, path),
            decisions: held_at(&design.decisions, path),
            waivers: held_at(&design.waivers, path),
            steps: held_at(&design.steps, path),
        };
        Parsed { records, ..Parsed::default() }
    }

    /// The state to start from, of which only budgets are known; `like` is a design with the same files.
    #[must_use]
    pub fn assessed(self, like: &Design, occasion: Occasion) -> Assessed {
        let mut design = self.design;
        let figures = self.figures.of_design(&design);
        Arc::make_mut(&mut design).facts = Arc::clone(&like.facts);
        let standings = Standings::of_none(facet::table(&design));
        let (judged, findings, variants) = (Vec::new(), Vec::new(), Vec::new());
        Assessed { design, figures, standings, judged, findings, occasion, variants }
    }
}

/// The records that a file holds.
fn held_at<T>(held: &[Held<T>], path: &RepoPath) -> Vec<Arc<T>> {
    let here = held.iter().filter(|held| held.path == *path);
    here.map(|held| Arc::clone(&held.record)).collect()
}
