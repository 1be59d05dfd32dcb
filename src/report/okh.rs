//! What a catalogue of open hardware is told: the manifest of Open Know-How, as the schema of the
//! standard has it in the version [`OKHV`].

use serde::Serialize;

use crate::design::{Design, NamedFile, PartFiles, PartIx};
use crate::evaluate::{Subject, budget_of};
use crate::evidence;
use crate::record::{Id, Origin};
use crate::verdict::Assessed;

/// The version of the standard that is followed.
pub const OKHV: &str = "OKH-LOSHv1.0";

/// The manifest. Plain values stand before tables, as TOML wants them.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct OpenKnowHow {
    /// The version of the standard.
    pub okhv: &'static str,
    /// What the product is called.
    pub name: String,
    /// Where it is developed.
    pub repo: String,
    /// Its version.
    pub version: String,
    /// An SPDX expression.
    pub license: String,
    /// Who gives the licence.
    pub licensor: String,
    /// What it does, and for whom.
    pub function: String,
    /// The entrance to its documents.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub readme: Option<String>,
    /// How to take part.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub contribution_guide: Option<String>,
    /// Its list of parts.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub bom: Option<String>,
    /// How it is made.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub manufacturing_instructions: Option<String>,
    /// How it is used.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub user_manual: Option<String>,
    /// Its mass in g, where every part has one.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub mass: Option<f64>,
    /// Its size.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub outer_dimensions: Option<OuterDimensions>,
    /// The parts that have sources or exports, in the order of ids.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub part: Vec<OkhPart>,
}

/// A part with files of its own.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct OkhPart {
    /// What it is called.
    pub name: String,
    /// By which technology's criteria it is documented, where its origin says so.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub tsdc: Option<&'static str>,
    /// What can be edited.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub source: Vec<String>,
    /// What is made from that.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub export: Vec<String>,
    /// Its mass in g.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub mass: Option<f64>,
    /// Its size.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub outer_dimensions: Option<OuterDimensions>,
}

/// A size in mm.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct OuterDimensions {
    /// Along x.
    pub width: f64,
    /// Along y.
    pub depth: f64,
    /// Along z.
    pub height: f64,
}

/// The manifest of a design.
///
/// # Errors
/// The keys of `[design]` that it needs and the design's manifest lacks.
pub fn open_know_how(assessed: &Assessed) -> Result<OpenKnowHow, Vec<&'static str>> {
    let design = &*assessed.design;
    let table = &design.manifest.design;
    let needed = [
        ("repo", &table.repo),
        ("license", &table.license),
        ("licensor", &table.licensor),
        ("function", &table.function),
    ];
    let lacking: Vec<&str> =
        needed.iter().filter(|(_, text)| text.is_none()).map(|(key, _)| *key).collect();
    if !lacking.is_empty() {
        return Err(lacking);
    }
    let [repo, license, licensor, function] =
        needed.map(|(_, text)| text.as_deref().cloned().unwrap_or_default());
    let title = table.title.as_ref().map(|title| title.value.clone());
    let of_role = |role: &str| document(design, role);
    let with_files = design.product().into_iter().filter(|part| *part != design.top);
    Ok(OpenKnowHow {
        okhv: OKHV,
        name: title.unwrap_or_else(|| design.name.to_string()),
        repo,
        version: design.next.to_string(),
        license,
        licensor,
        function,
        readme: of_role("readme"),
        contribution_guide: of_role("contributing"),
        bom: of_role("bom"),
        manufacturing_instructions: of_role("assembly"),
        user_manual: of_role("manual"),
        mass: mass_g(assessed, design.top),
        outer_dimensions: size(design, design.top),
        part: with_files.filter_map(|part| part_row(assessed, part)).collect(),
    })
}

/// The document of a role, from the root of the repository.
fn document(design: &Design, role: &str) -> Option<String> {
    let (_, file) = design.docs.iter().find(|(named, _)| named == role)?;
    paths(std::slice::from_ref(file)).into_iter().next()
}

/// A part that has files; the standard wants a source or an export of each.
fn part_row(assessed: &Assessed, part: PartIx) -> Option<OkhPart> {
    let design = &*assessed.design;
    let record = design.record(part);
    let PartFiles { sources, exports, mesh } = &*design.files[part.index()];
    let (source, mut export) = (paths(sources), paths(exports));
    let mesh = paths(mesh.as_slice()).into_iter().filter(|path| !export.contains(path));
    export.extend(mesh.collect::<Vec<_>>());
    if source.is_empty() && export.is_empty() {
        return None;
    }
    let title = record.title.as_ref().map(|title| title.value.clone());
    Some(OkhPart {
        name: title.unwrap_or_else(|| record.id.value.to_string()),
        tsdc: match record.origin.value {
            Origin::Printed => Some("3DP"),
            Origin::Board => Some("PCB"),
            Origin::Assembled => Some("ASM"),
            _ => None,
        },
        source,
        export,
        mass: mass_g(assessed, part),
        outer_dimensions: size(design, part),
    })
}

/// The files that are there, each once.
fn paths(files: &[NamedFile]) -> Vec<String> {
    let mut paths: Vec<String> = Vec::new();
    for (path, _) in files.iter().flat_map(|file| &file.found) {
        let path = path.to_string();
        if !paths.contains(&path) {
            paths.push(path);
        }
    }
    paths
}

/// The mass in g to the mg, where it is known of all that the part holds.
fn mass_g(assessed: &Assessed, part: PartIx) -> Option<f64> {
    let design = &assessed.design;
    let subject = Subject { part, quantity: Id::from("mass"), builds: 1 };
    let stand_ins = evidence::stand_ins(design, &assessed.standings);
    let budget = budget_of(design, &stand_ins, &subject)?;
    let is_known = !budget.empty && budget.missing.is_empty();
    is_known.then(|| (budget.total.basic * 1e6).round() / 1e3)
}

fn size(design: &Design, part: PartIx) -> Option<OuterDimensions> {
    let size = &design.record(part).size.as_ref()?.value;
    // To the µm: metres in binary are no round millimetres.
    let [width, depth, height] = [0, 1, 2].map(|axis| (size[axis].base * 1e6).round() / 1e3);
    Some(OuterDimensions { width, depth, height })
}
