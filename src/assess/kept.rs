//! A judged state as it is kept from one run to the next: the next one starts from there.

use std::collections::BTreeMap;
use std::sync::Arc;

use serde::{Deserialize, Serialize};

use super::{Parses, changed_records};
use crate::design::{Changed, Concern, Design, Held, PartIx, relink};
use crate::evaluate::KeptFigures;
use crate::evidence::Standings;
use crate::facet;
use crate::fileset::{Entry, RepoPath};
use crate::late::Late;
use crate::parse::Parsed;
use crate::record::{Manifest, Records};
use crate::verdict::{Assessed, Occasion};

/// The shape of what is kept, which tells nothing of it itself: this rises with the shape of records, of
/// designs or of figures, and where any of these follows from the records in another way.
pub const FORM: &str = "state/1";

/// A judged state: the design, its budgets, and the files that it is made of.
#[derive(Debug, Serialize, Deserialize)]
pub struct Kept {
    design: Arc<Design>,
    figures: KeptFigures,
    entries: BTreeMap<RepoPath, Entry>,
    /// The parts that a record file holds, in the order of the file.
    parts: Late<BTreeMap<RepoPath, Vec<PartIx>>>,
}

impl Kept {
    /// What is kept of a state with these `entries`, in whose record files nothing is wrong.
    #[must_use]
    pub fn of(
        assessed: &Assessed,
        entries: &BTreeMap<RepoPath, Entry>,
        parses: &Parses,
    ) -> Option<Self> {
        let design = Arc::clone(&assessed.design);
        let concern = Concern::of(&design.manifest, &design.manifest_path, Some(&design));
        let entries = entries.iter().filter(|(path, _)| concern.holds(path));
        let entries: BTreeMap<RepoPath, Entry> =
            entries.map(|(path, entry)| (path.clone(), *entry)).collect();
        let parts = entries.iter().filter_map(|(path, entry)| {
            let records = &parses.records(&entry.key)?.records;
            let parts = records.parts.iter().map(|part| design.part(part.id.as_str()));
            Some((path.clone(), parts.collect::<Option<_>>()?))
        });
        let parts = Late::from(parts.collect::<BTreeMap<_, _>>());
        Some(Self { figures: KeptFigures::of(&assessed.figures)?, entries, parts, design })
    }

    /// The same with the manifest, which is not kept; nothing where it is another.
    #[must_use]
    pub fn under(
        mut self,
        path: &RepoPath,
        entry: Option<&Entry>,
        rules: Arc<Manifest>,
    ) -> Option<Self> {
        let is_same = self.design.manifest_path == *path && self.entries.get(path) == entry;
        Arc::make_mut(&mut self.design).manifest = rules;
        is_same.then_some(self)
    }

    /// The design.
    #[must_use]
    pub fn design(&self) -> &Arc<Design> {
        &self.design
    }

    /// What lies at the paths that it is made of.
    #[must_use]
    pub fn entries(&self) -> &BTreeMap<RepoPath, Entry> {
        &self.entries
    }

    /// The design of a state with the entries `after`, which follows from the one `before`: from that of
    /// this state, or from one that followed from it. Nothing where its record files would have to be
    /// linked as a whole, or something is to be said of one.
    #[must_use]
    pub fn later(
        &self,
        design: &Arc<Design>,
        [before, after]: [&BTreeMap<RepoPath, Entry>; 2],
        parses: &Parses,
    ) -> Option<Arc<Design>> {
        let paths = changed_records(design, [before, after])?;
        if paths.is_empty() {
            return Some(Arc::clone(design));
        }
        let changed = paths.into_iter().map(|path| {
            let after = Arc::clone(parses.records(&after.get(path)?.key)?);
            let before = Arc::new(self.said(design, path));
            after.diagnostics.is_empty().then(|| Changed { path: path.clone(), before, after })
        });
        relink(design, after, &changed.collect::<Option<Vec<_>>>()?)
    }

    /// What a record file of the design says.
    fn said(&self, design: &Design, path: &RepoPath) -> Parsed {
        let parts = self.parts.get(path).into_iter().flatten();
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
