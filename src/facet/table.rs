//! Which facet every field of a part belongs to.

use std::collections::{BTreeMap, BTreeSet};
use std::sync::{Arc, OnceLock};

use semver::Version;

use super::digest::{AnyOrder, Content, Digest, Writer};
use super::{Facets, Known, Table};
use crate::design::{Design, NamedFile, PartFiles, PartIx};
use crate::diagnostic::At;
use crate::facts::{Facts, GeometryKey};
use crate::fileset::{ContentKey, RepoPath};
use crate::quantity::{Measure, Toleranced};
use crate::record::{Id, Material, Mesh, Part, Use};

/// The facets of every part of `design`.
#[must_use]
pub fn table(design: &Design) -> Table {
    table_since(None, design)
}

/// The same, where the table of another state of the design is known: of parts that are surely the same
/// nothing is worked out again.
#[must_use]
pub fn table_since(before: Option<(&Design, &Table)>, design: &Design) -> Table {
    let before = before.filter(|(was, _)| was.facts == design.facts);
    if let Some((was, table)) = before.filter(|(was, _)| stands_on_the_same(was, design)) {
        let mut facets = table.0.clone();
        for part in design.parts_apart(was) {
            if !is_surely_same((was, part), (design, part)) {
                facets[part.index()] = OnceLock::new();
            }
        }
        return Table(facets);
    }
    let kept = |part: PartIx| {
        let (was, table) = before?;
        let place = was.part(design.id(part).as_str())?;
        let is_same = is_surely_same((was, place), (design, part));
        table.0.get(place.index()).filter(|_| is_same).cloned()
    };
    Table(design.part_indices().map(|part| kept(part).unwrap_or_default()).collect())
}

/// Whether parts in one place are the same where their records and files are.
#[must_use]
pub fn stands_on_the_same(one: &Design, other: &Design) -> bool {
    one.is_surely_built_as(other) && Arc::ptr_eq(&one.materials, &other.materials)
}

/// Whether two parts are the same without a look at their facets: one record, one material, files of
/// one content. Parts of which this is not said may be the same all the same.
#[must_use]
pub fn is_surely_same(one: (&Design, PartIx), other: (&Design, PartIx)) -> bool {
    let record = |(design, part): (&Design, PartIx)| Arc::as_ptr(&design.record(part).record);
    record(one) == record(other) && has_same_files(one, other) && has_same_material(one, other)
}

fn has_same_files((design, part): (&Design, PartIx), (other, place): (&Design, PartIx)) -> bool {
    let (files, others) = (&design.files[part.index()], &other.files[place.index()]);
    let found = |files: &PartFiles| files.all().map(|file| file.found.clone()).collect::<Vec<_>>();
    Arc::ptr_eq(files, others) || found(files) == found(others)
}

fn has_same_material(one: (&Design, PartIx), other: (&Design, PartIx)) -> bool {
    let material = |(design, part): (&Design, PartIx)| {
        let id = design.record(part).material.as_ref()?;
        Some(Arc::as_ptr(&design.material(id.as_str())?.record))
    };
    stands_on_the_same(one.0, other.0) && one.1 == other.1 || material(one) == material(other)
}

/// The facets of one part.
///
/// Every field of the record stands in exactly one facet; the record is taken apart without `..`,
/// so that a new field has to be given its place here.
#[must_use]
pub fn of(design: &Design, ix: PartIx) -> Facets {
    let part = &*design.record(ix).record;
    let Part {
        id: _,
        title,
        note,
        version,
        origin: _,  // as the identity
        sources: _, // as the files that they mean
        exports: _,
        material,
        mesh,
        size,
        designation: _,
        maker: _,
        mpn: _,
        replaces,
        phased_out,
        hazards,
        fits,
        dimensions,
        settings,
        values,
        formulas,
        contains,
        offers,
        consumption,
        heat_paths,
        draws,
        capacity,
        quantities,
    } = part;
    let files = &design.files[ix.index()];
    let shapes = Shapes::of(design, ix);
    let material = material.as_ref().and_then(|id| design.material(id.as_str()));
    let (unit_m, walls, infill) = mesh.as_ref().map_or((None, None, None), printing);

    let known = quantities.iter().filter_map(|(key, figure)| Some((key, figure.as_ref().ok()?)));
    let known = (known.collect::<AnyOrder<_>>(), pairs(values), capacity);
    let kept = (spreads(contains), sigmas(dimensions));
    let derived: AnyOrder<_> = formulas.iter().map(|(name, text)| (name, spaced(text))).collect();
    let flows = (AnyOrder(heat_paths.iter().collect()), pairs(draws));
    let hazards = AnyOrder(hazards.iter().collect());

    let digests = [
        Digest::of(&(shapes.by_geometry(), unit_m.filter(|_| !is_known(design, ix)))),
        Digest::of(&(material.map(|material| &material.id), walls, infill)),
        identity(part, files),
        Digest::of(&(size.as_ref().map(|size| size.as_slice()), pairs(dimensions))),
        Digest::of(&pairs(settings)),
        Digest::of(&contains.iter().map(contained).collect::<AnyOrder<_>>()),
        Digest::of(&(version, pairs(fits), ranges(contains), replaces)),
        Digest::of(&(known, kept, derived, flows, hazards, material.map(|of| known_of(of)))),
        Digest::of(&(
            AnyOrder(offers.iter().collect()),
            consumption,
            phased_out,
            material.map(|material| AnyOrder(material.offers.iter().collect())),
        )),
        Digest::of(&(title, note)),
    ];
    let contents = shapes.by_content().map_or(Digest::NOTHING, |all| Digest::of(&(all, unit_m)));
    Facets { digests, contents, known: shapes.known() }
}

/// Who made it and as what; the version only where nothing else tells it apart.
fn identity(part: &Part, files: &PartFiles) -> Digest {
    let Part { origin, maker, mpn, designation, version, .. } = part;
    let has_a_name = maker.is_some() || mpn.is_some() || designation.is_some();
    let is_told_apart = has_a_name || files.all().next().is_some();
    let version = version.as_ref().filter(|_| !is_told_apart).map(|at| series(at));
    Digest::of(&(origin.word(), maker, mpn, designation, version))
}

/// What a mesh says besides its file: what its numbers mean, walls, infill.
type Printing<'a> = (Option<&'a At<f64>>, Option<&'a At<Measure>>, Option<&'a At<f64>>);

fn printing(mesh: &Mesh) -> Printing<'_> {
    let Mesh { file: _, unit_m, walls, infill } = mesh;
    (Some(unit_m), walls.as_ref(), infill.as_ref())
}

/// Whether the geometry of the part's mesh is known in metres: its unit then says nothing more.
fn is_known(design: &Design, part: PartIx) -> bool {
    design.mesh_facts(part).is_some_and(|facts| facts.geometry().is_some())
}

/// What the geometry of a part was read from: its exports and its mesh, or its sources where it names
/// neither. Where the files lie and what they are called is no matter.
pub(super) struct Shapes<'a> {
    /// Each file once: its content, and what was found there where it was looked into.
    files: BTreeMap<&'a RepoPath, (ContentKey, Option<&'a Facts>)>,
    /// How many of the named files are nowhere.
    missing: Option<u64>,
}

impl<'a> Shapes<'a> {
    pub(super) fn of(design: &'a Design, part: PartIx) -> Self {
        let files = &design.files[part.index()];
        let made: Vec<&NamedFile> = files.exports.iter().chain(&files.mesh).collect();
        let named = if made.is_empty() { files.sources.iter().collect() } else { made };
        let found = named.iter().flat_map(|named| &named.found);
        let found =
            found.map(|(path, entry)| (path, (entry.key, design.facts_of(part, path, entry))));
        let nowhere = named.iter().filter(|named| named.found.is_empty());
        let missing: BTreeSet<&str> = nowhere.map(|named| named.written.as_str()).collect();
        let missing = (!missing.is_empty()).then_some(missing.len() as u64);
        Self { files: found.collect(), missing }
    }

    fn by_geometry(&self) -> (AnyOrder<Shape>, Option<u64>) {
        let shape = |(key, facts): &(ContentKey, Option<&Facts>)| {
            let geometry = facts.and_then(Facts::geometry);
            geometry.map_or(Shape::Content(*key), Shape::Geometry)
        };
        (self.files.values().map(shape).collect(), self.missing)
    }

    /// `None` where the geometry is nothing but contents, or none at all.
    fn by_content(&self) -> Option<(AnyOrder<Shape>, Option<u64>)> {
        let is_looked_into = self.files.values().any(|(_, facts)| facts.is_some());
        let content = |(key, _): &(ContentKey, Option<&Facts>)| Shape::Content(*key);
        (is_looked_into || self.missing.is_some())
            .then(|| (self.files.values().map(content).collect(), self.missing))
    }

    /// Whether there are files, and none of them was looked into.
    pub(super) fn are_bytes_alone(&self) -> bool {
        !self.files.is_empty() && self.files.values().all(|(_, facts)| facts.is_none())
    }

    fn known(&self) -> Known {
        let mut looked_into = self.files.values().filter_map(|(_, facts)| *facts);
        match (self.missing, looked_into.all(Facts::are_of_content)) {
            (Some(_), _) => Known::NotThere,
            (None, false) => Known::NotAtHand,
            (None, true) => Known::Whole,
        }
    }
}

/// What a file is the shape of: by its geometry where the file was looked into, else by its bytes.
enum Shape {
    Geometry(GeometryKey),
    Content(ContentKey),
}

impl Content for Shape {
    fn write(&self, writer: &mut Writer) {
        match self {
            Self::Geometry(key) => key.write(writer),
            Self::Content(key) => key.write(writer),
        }
    }
}

/// A version without its patch number: parts of one series are the same thing.
fn series(version: &Version) -> (u64, u64) {
    (version.major, version.minor)
}

/// One line of what an assembly contains, but for the versions that do.
fn contained(line: &Use) -> impl Content {
    let Use { part, amount, version: _, places, optional } = line;
    let places: AnyOrder<_> = places.iter().collect();
    (part, amount, places, *optional)
}

/// How far off the places may be of what an assembly contains, part by part.
fn spreads(contains: &[Use]) -> AnyOrder<(&At<Id>, AnyOrder<&f64>)> {
    let lines = contains.iter().map(|line| {
        let known = line.places.iter().filter_map(|place| place.half_width.as_ref());
        (&line.part, known.collect::<AnyOrder<_>>())
    });
    lines.filter(|(_, known)| !known.0.is_empty()).collect()
}

/// How well drawn sizes are kept, by name, where that is said.
fn sigmas(dimensions: &[(At<Id>, At<Toleranced>)]) -> AnyOrder<(&At<Id>, f64)> {
    dimensions.iter().filter_map(|(name, size)| Some((name, size.sigmas?))).collect()
}

/// The versions of what an assembly contains that do.
fn ranges(contains: &[Use]) -> impl Content {
    let asked = contains.iter().filter_map(|line| Some((&line.part, line.version.as_ref()?)));
    asked.collect::<AnyOrder<_>>()
}

/// What is known of a material. What it is, is its name.
fn known_of(material: &Material) -> impl Content {
    let Material { id: _, title: _, density, softens, offers: _ } = material;
    (density, softens)
}

/// Named values; the order of names means nothing.
fn pairs<T: Content>(named: &[(At<Id>, T)]) -> AnyOrder<(&At<Id>, &T)> {
    named.iter().map(|(name, value)| (name, value)).collect()
}

/// A formula with single blanks. They stay: `a - b` is a difference and `a-b` a name.
fn spaced(formula: &str) -> String {
    formula.split_whitespace().collect::<Vec<_>>().join(" ")
}
