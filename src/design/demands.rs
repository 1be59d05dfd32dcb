//! Files of parts that have to be looked into, and what is known of them then.

use std::collections::BTreeSet;
use std::sync::Arc;

use super::files::Found;
use super::{Design, NamedFile, PartIx};
use crate::facts::{self, Facts, Kind};
use crate::fileset::{ContentKey, Entry, Mode, RepoPath};

/// A file to be looked into.
#[derive(Clone, Debug, PartialEq)]
pub struct Demand {
    /// What is in it.
    pub key: ContentKey,
    /// Where it lies.
    pub path: RepoPath,
    /// What is wanted of it.
    pub kind: Kind,
}

impl Design {
    /// The files that figures, facets and checks want to know more of than their content key: the
    /// meshes of parts, their exports of the same kind, and exchange geometry; each content once a kind.
    #[must_use]
    pub fn demands(&self) -> Vec<Demand> {
        let mut demands: Vec<Demand> =
            self.with_files.iter().flat_map(|part| self.demands_of(*part)).collect();
        demands.sort_by(|one, other| one.path.cmp(&other.path));
        let mut seen = BTreeSet::new();
        demands.retain(|demand| seen.insert((demand.key, demand.kind.to_string())));
        demands
    }

    /// What one part wants to know of its files.
    pub(super) fn demands_of(&self, part: PartIx) -> impl Iterator<Item = Demand> {
        let regular = self.made(part).filter(|(_, entry)| entry.mode == Mode::File);
        regular.filter_map(move |(path, entry)| {
            let kind = self.kind_of(part, path)?;
            Some(Demand { key: entry.key, path: path.clone(), kind })
        })
    }

    /// The same design, with what is known of its files.
    #[must_use]
    pub fn knowing(mut self: Arc<Self>, facts: facts::Table) -> Arc<Self> {
        Arc::make_mut(&mut self).facts = Arc::new(facts);
        self
    }

    /// What the mesh of `part` says; `None` where it has none, or nobody looked into it.
    #[must_use]
    pub fn mesh_facts(&self, part: PartIx) -> Option<&Facts> {
        let (path, entry) = self.files[part.index()].mesh.as_ref()?.found.first()?;
        self.facts_of(part, path, entry)
    }

    /// What a file of `part` says, where it was looked into.
    #[must_use]
    pub fn facts_of(&self, part: PartIx, path: &RepoPath, entry: &Entry) -> Option<&Facts> {
        self.facts.get(entry.key, self.kind_of(part, path)?)
    }

    /// The files that were made from the sources of `part`.
    fn made(&self, part: PartIx) -> impl Iterator<Item = &Found> {
        let files = &self.files[part.index()];
        files.exports.iter().chain(&files.mesh).flat_map(|named| &named.found)
    }

    /// What is wanted of a file of `part`. A mesh means nothing without its unit, which only the
    /// record's `mesh` says.
    fn kind_of(&self, part: PartIx, path: &RepoPath) -> Option<Kind> {
        let name = path.file_name().to_ascii_lowercase();
        let ends_with =
            |endings: &[&str]| endings.iter().any(|ending| name.ends_with(ending.as_bytes()));
        if ends_with(&[".step", ".stp"]) {
            return Some(Kind::Step);
        }
        let mesh = self.record(part).mesh.as_ref()?;
        let files = &self.files[part.index()];
        let is_the_mesh = |mesh: &NamedFile| mesh.found.iter().any(|(found, _)| found == path);
        let is_mesh = ends_with(&[".stl", ".3mf"]) || files.mesh.as_ref().is_some_and(is_the_mesh);
        is_mesh.then_some(Kind::Mesh { unit_m: mesh.unit_m.value })
    }
}

#[cfg(test)]
mod tests {
    use crate::fixture::design;

    /// `PATH: KIND` of each demand of a scanner with `keys`, in whose folder five files lie.
    fn demands(keys: &str) -> Vec<String> {
        let design = design(&format!(
            "\n== parts/gate.toml\n[part.scanner]\norigin = \"printed\"\n{keys}\n\
             == parts/gate.stl\na\n== parts/gate.3mf\nb\n== parts/gate.STEP\nc\n\
             == parts/other/same.stl\na\n== parts/gate.pdf\nd\n"
        ));
        let shown = design.demands().into_iter();
        shown.map(|demand| format!("{}: {}", demand.path, demand.kind)).collect()
    }

    #[test]
    fn a_mesh_is_looked_into_in_its_unit_and_so_are_exports_beside_it() {
        let mesh = "mesh = { file = \"gate.stl\", unit = \"mm\" }\nexports = [\"gate.*\"]";
        assert_eq!(
            demands(mesh),
            [
                "parts/gate.3mf: mesh in 0.001 m",
                "parts/gate.STEP: step",
                "parts/gate.stl: mesh in 0.001 m"
            ]
        );
    }

    #[test]
    fn a_mesh_whose_unit_nobody_states_is_not_looked_into() {
        assert_eq!(demands("exports = [\"*.stl\", \"*.3mf\"]"), [""; 0]);
        assert_eq!(demands("sources = [\"gate.STEP\"]"), [""; 0], "a source is known by its bytes");
    }

    #[test]
    fn one_content_is_looked_into_once() {
        let twice = "mesh = { file = \"gate.stl\", unit = \"mm\" }\nexports = [\"other/same.stl\"]";
        assert_eq!(demands(twice), ["parts/gate.stl: mesh in 0.001 m"]);
    }
}
