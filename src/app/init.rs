//! `init`: a manifest and first parts from what the repository holds.

use std::collections::BTreeMap;

use bstr::ByteSlice;

use crate::assess::MANIFEST;
use crate::edit::{Value, id_of_file};
use crate::fileset::{Entry, Mode, RepoPath};
use crate::git::{At, Repository};
use crate::outside::{Failure, Outcome, World, write_whole};

/// File endings of what is made from sources, and of sources that are edited.
const EXPORTS: [&str; 5] = ["stl", "3mf", "dxf", "gbr", "hex"];
const SOURCES: [&str; 9] =
    ["step", "stp", "fcstd", "scad", "f3d", "sldprt", "blend", "kicad_pcb", "ino"];

/// Those among them of circuit boards, and of what runs on them.
const BOARDS: [&str; 2] = ["gbr", "kicad_pcb"];
const PROGRAMS: [&str; 2] = ["hex", "ino"];

/// The record file that the first parts go to.
const PARTS: &str = "parts.toml";

/// Writes `tagworthy.toml` and `parts.toml` into the current folder.
///
/// # Errors
/// [`Failure`] where one of them is there already, outside a repository, or where they cannot be
/// written.
pub fn run(world: &World) -> Result<Outcome, Failure> {
    let repository = Repository::open(&world.folder)?;
    let snapshot = repository.snapshot(&At::WorkTree)?;
    let here = repository.prefix();
    let mine: Vec<&RepoPath> = manifests_here(snapshot.entries(), here);
    if let Some(there) = mine.first() {
        return Err(Failure::new(format!("{there} is there already; nothing was written")));
    }
    let parts = parts(snapshot.entries(), here);
    let name = design_name(repository.work_dir().unwrap_or(&world.folder), &world.folder);
    write_whole(&world.folder.join(PARTS), parts_file(&name, &parts).as_bytes())?;
    write_whole(
        &world.folder.join(MANIFEST),
        manifest_file(&name, top_of(&name, &parts)).as_bytes(),
    )?;
    Ok(Outcome::of(said(&name, &parts)))
}

fn manifests_here<'e>(
    entries: &'e BTreeMap<RepoPath, Entry>,
    here: &RepoPath,
) -> Vec<&'e RepoPath> {
    let written = [MANIFEST, PARTS].map(|name| here.join(name.as_bytes()));
    entries.keys().filter(|path| written.contains(&Some((*path).clone()))).collect()
}

/// A part that the files of the repository speak of.
#[derive(Debug, Default, PartialEq, Eq)]
struct Part {
    sources: Vec<String>,
    exports: Vec<String>,
}

impl Part {
    /// How it comes into being, as far as the endings of its files tell.
    fn origin(&self) -> &'static str {
        let any = |endings: &[&str]| {
            self.sources.iter().chain(&self.exports).any(|path| {
                let ending = path.rsplit_once('.').map(|(_, ending)| ending.to_ascii_lowercase());
                ending.is_some_and(|ending| endings.contains(&ending.as_str()))
            })
        };
        if any(&BOARDS) {
            "board"
        } else if any(&PROGRAMS) {
            "firmware"
        } else {
            "printed"
        }
    }
}

/// Files below `here` that share a name but for the ending are one part.
fn parts(entries: &BTreeMap<RepoPath, Entry>, here: &RepoPath) -> BTreeMap<String, Part> {
    let mut parts: BTreeMap<String, Part> = BTreeMap::new();
    for (path, entry) in entries {
        let Some(path) = path.below(here).and_then(|path| path.to_str().ok()) else { continue };
        let Some((stem, ending)) = path.rsplit_once('.') else { continue };
        if path.contains(char::is_control) {
            continue;
        }
        let ending = ending.to_ascii_lowercase();
        let (export, source) =
            (EXPORTS.contains(&ending.as_str()), SOURCES.contains(&ending.as_str()));
        let Some(id) = id_of_file(stem).filter(|_| entry.mode == Mode::File && (export || source))
        else {
            continue;
        };
        let part = parts.entry(id.to_string()).or_default();
        if export { &mut part.exports } else { &mut part.sources }.push(path.to_owned());
    }
    parts
}

/// The folder's name as an id.
fn design_name(root: &std::path::Path, folder: &std::path::Path) -> String {
    let named = [folder, root].into_iter().filter_map(|path| path.file_name()?.to_str());
    named.filter_map(id_of_file).next().map_or_else(|| "design".to_owned(), |id| id.to_string())
}

/// The id of the whole product: the design's name, unless a part has it.
fn top_of<'n>(name: &'n str, parts: &BTreeMap<String, Part>) -> &'n str {
    if parts.contains_key(name) { "whole-product" } else { name }
}

fn manifest_file(name: &str, top: &str) -> String {
    format!(
        r#"# What this design is, and by which rules it is judged. `tagworthy reference` explains every key.
[design]
name     = "{name}"
top      = "{top}"  # the part that is the whole product
next     = "0.1.0"      # the release being prepared
currency = "EUR"        # of all costs (ISO 4217)
records  = ["{PARTS}"]  # the files that hold records; globs, relative to this file
tag      = "v{{version}}" # the shape of release tags
# license = "CERN-OHL-S-2.0"              # an SPDX expression
# docs    = {{ readme = "README.md" }}      # documents that a release must have

# [ambient]             # where the product must work
# low  = "5 °C"
# high = "35 °C"

# [allowance]           # growth by how well a figure is known
# mass = {{ estimated = "20 %", calculated = "10 %", stated = "5 %", measured = "0 %" }}
"#
    )
}

fn parts_file(name: &str, parts: &BTreeMap<String, Part>) -> String {
    let top = top_of(name, parts);
    let mut text = format!(
        "# First parts, from the files that are here. State what is known: mass, material, offers.\n\n\
         [part.{top}]\norigin = \"assembled\"\n\n[part.{top}.contains]      # how many of each\n"
    );
    for id in parts.keys() {
        text += &format!("{id} = 1\n");
    }
    for (id, part) in parts {
        let origin = part.origin();
        text += &format!(
            "\n[part.{id}]\norigin  = \"{origin}\"      # printed, machined, cut, bought, board …\n"
        );
        for (key, paths) in [("sources", &part.sources), ("exports", &part.exports)] {
            if !paths.is_empty() {
                text += &format!("{key} = {}\n", Value::texts(paths));
            }
        }
        text += "# mass  = \"31 g ± 0.5 g measured\"\n";
    }
    text += "\n# [requirement.cost-ceiling]   # what was promised\n# part     = \"";
    text += top;
    text += "\"\n# quantity = \"cost\"\n# at-most  = \"450 EUR\"\n";
    text
}

fn said(name: &str, parts: &BTreeMap<String, Part>) -> String {
    format!(
        "wrote {MANIFEST}: the design `{name}` and its rules\n\
         wrote {PARTS}: the whole product and {} parts from the files that are here\n\
         next: state what is known of the parts, then `tagworthy check`\n",
        parts.len()
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    fn part(sources: &[&str], exports: &[&str]) -> Part {
        let owned = |paths: &[&str]| paths.iter().map(|path| (*path).to_owned()).collect();
        Part { sources: owned(sources), exports: owned(exports) }
    }

    #[test]
    fn a_part_comes_into_being_as_its_files_say() {
        assert_eq!(part(&["panel.kicad_pcb"], &[]).origin(), "board");
        assert_eq!(part(&["panel.step"], &["out/panel.GBR"]).origin(), "board");
        assert_eq!(part(&["drive.ino"], &["drive.hex"]).origin(), "firmware");
        assert_eq!(part(&["gate.step"], &["gate.stl"]).origin(), "printed");
    }
}
