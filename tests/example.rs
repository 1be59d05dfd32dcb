//! The example project: its history is whole, and it ends with the files that are there.
//!
//! After a change to `example-project/history/`, `UPDATE_EXAMPLE=1 cargo test --test example`
//! writes the files of the last revision.
#![allow(clippy::unwrap_used, reason = "a test that cannot go on fails")]

use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::path::{Path, PathBuf};
use std::sync::Arc;

use tagworthy::assess::{self, Parses};
use tagworthy::design::Design;
use tagworthy::evidence::{covered, seal_text};
use tagworthy::example::{Revision, history};
use tagworthy::facet;
use tagworthy::fileset::{ContentKey, Entry, FileSet, Mode, RepoPath};
use tagworthy::record::{Evidence, Id, Seal};

type Point = [u32; 3];

fn revisions() -> Vec<Revision> {
    history().unwrap_or_else(|error| panic!("{error}"))
}

fn project() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("example-project")
}

#[test]
fn nine_months_of_three_people() {
    let revisions = revisions();
    let first = &revisions[0];
    let last = revisions.last().unwrap();
    let authors: BTreeSet<_> = revisions.iter().map(|revision| &revision.author.email).collect();
    let merges = revisions.iter().filter(|revision| revision.parents.len() == 2).count();

    assert!(revisions.len() >= 40, "{} revisions", revisions.len());
    assert!(last.seconds - first.seconds >= 9 * 30 * 86_400, "nine months");
    assert!(authors.iter().all(|email| email.ends_with("@example.org")), "{authors:?}");
    assert_eq!((authors.len(), merges >= 3), (3, true), "{merges} merges");
}

#[test]
fn parents_come_before_their_children() {
    let revisions = revisions();
    for (position, revision) in revisions.iter().enumerate() {
        assert_eq!(revision.parents.is_empty(), position == 0, "{}", revision.name);
        for &parent in &revision.parents {
            assert!(parent < position, "{}", revision.name);
            assert!(revisions[parent].seconds < revision.seconds, "{}", revision.name);
        }
    }
}

#[test]
fn every_branch_is_brought_in() {
    let revisions = revisions();
    let parents: BTreeSet<_> = revisions.iter().flat_map(|revision| &revision.parents).collect();
    let ends: Vec<_> =
        (0..revisions.len()).filter(|position| !parents.contains(position)).collect();
    assert_eq!(ends, [revisions.len() - 1]);
}

#[test]
fn every_revision_changes_something_and_says_so_briefly() {
    let revisions = revisions();
    for revision in &revisions {
        let subject = revision.message.lines().next().unwrap_or_default();
        assert!((10..=72).contains(&subject.chars().count()), "{subject}");
        let before = revision.parents.first().map(|&parent| &revisions[parent].files);
        assert_ne!(before, Some(&revision.files), "{} changes nothing", revision.name);
    }
}

#[test]
fn release_tags_rise() {
    let tags: Vec<_> = revisions().into_iter().filter_map(|revision| revision.tag).collect();
    let versions: Vec<semver::Version> =
        tags.iter().map(|tag| tag.name.trim_start_matches('v').parse().unwrap()).collect();
    assert!(versions.is_sorted_by(|a, b| a < b), "{versions:?}");
    assert_eq!(tags.first().map(|tag| tag.name.as_str()), Some("v0.1.0"));
    assert_eq!(tags.last().map(|tag| tag.name.as_str()), Some("v1.0.0-rc.1"));
}

#[test]
fn the_last_revision_is_what_is_there() {
    let revisions = revisions();
    let expected: BTreeMap<String, &[u8]> = revisions
        .last()
        .unwrap()
        .files
        .iter()
        .map(|(path, bytes)| (path.to_string(), bytes.as_ref()))
        .collect();
    if std::env::var_os("UPDATE_EXAMPLE").is_some() {
        write(&expected);
    }
    let there = files_below(&project(), "");
    let differing: Vec<_> = expected
        .keys()
        .chain(there.keys())
        .collect::<BTreeSet<_>>()
        .into_iter()
        .filter_map(|path| difference(path, expected.get(path), there.get(path)))
        .collect();
    assert!(differing.is_empty(), "in example-project/\n{}", differing.join("\n"));
}

fn write(files: &BTreeMap<String, &[u8]>) {
    for (path, bytes) in files {
        let path = project().join(path);
        fs::create_dir_all(path.parent().unwrap()).unwrap();
        fs::write(path, bytes).unwrap();
    }
}

/// Where a file of the last revision and the file that is there begin to differ.
fn difference(path: &str, expected: Option<&&[u8]>, there: Option<&Vec<u8>>) -> Option<String> {
    let (expected, there) = match (expected, there) {
        (Some(expected), Some(there)) => (expected, there),
        (Some(_), None) => return Some(format!("{path} is missing")),
        (None, _) => return Some(format!("{path} is not in the last revision")),
    };
    if *expected == there.as_slice() {
        return None;
    }
    let lines = |bytes: &[u8]| String::from_utf8_lossy(bytes).lines().map(str::to_owned).collect();
    let (mut expected, mut there): (Vec<_>, Vec<_>) = (lines(expected), lines(there));
    let longest = expected.len().max(there.len());
    expected.resize(longest, "(the end)".to_owned());
    there.resize(longest, "(the end)".to_owned());
    let at = (0..longest).find(|&at| expected[at] != there[at]);
    Some(match at {
        Some(at) => {
            format!("{path}:{}\n  history {}\n  file    {}", at + 1, expected[at], there[at])
        }
        None => format!("{path} differs in its line ends"),
    })
}

/// The files below a folder, without the history's own.
fn files_below(folder: &Path, prefix: &str) -> BTreeMap<String, Vec<u8>> {
    let mut found = BTreeMap::new();
    for entry in fs::read_dir(folder).unwrap().map(Result::unwrap) {
        let path = format!("{prefix}{}", entry.file_name().to_str().unwrap());
        match entry.file_type().unwrap().is_dir() {
            true if path == "history" || path.ends_with("__pycache__") => {}
            true => found.extend(files_below(&entry.path(), &format!("{path}/"))),
            false => drop(found.insert(path, fs::read(entry.path()).unwrap())),
        }
    }
    found
}

/// Closed and of one orientation: each edge of a triangle is met once, and once the other way
/// (the condition under which the signed-tetrahedron volume is the volume; common practice).
#[test]
fn every_mesh_is_closed() {
    let mut seen = BTreeSet::new();
    for revision in revisions() {
        for (path, bytes) in &revision.files {
            let is_mesh = path.to_string().ends_with(".stl");
            if is_mesh && seen.insert(bytes.clone()) {
                assert!(is_closed(bytes), "{path} at {} is open", revision.name);
            }
        }
    }
    assert!(seen.len() >= 20, "{} meshes", seen.len());
}

#[test]
fn a_mesh_without_one_triangle_is_open() {
    let diffuser = fs::read(project().join("parts/lamp/diffuser.stl")).unwrap();
    let text = String::from_utf8(diffuser).unwrap();
    let from = text.rfind("facet normal").unwrap();
    assert!(is_closed(text.as_bytes()));
    assert!(!is_closed(&text.as_bytes()[..from]));
}

fn is_closed(ascii_stl: &[u8]) -> bool {
    let text = std::str::from_utf8(ascii_stl).unwrap();
    let corners: Vec<Point> = text
        .lines()
        .filter_map(|line| line.strip_prefix("vertex "))
        .map(|line| {
            let numbers: Vec<f32> = line.split(' ').map(|number| number.parse().unwrap()).collect();
            [numbers[0].to_bits(), numbers[1].to_bits(), numbers[2].to_bits()]
        })
        .collect();
    let mut edges = BTreeMap::<(Point, Point), u32>::new();
    for triangle in corners.chunks(3) {
        for (from, to) in [(0, 1), (1, 2), (2, 0)] {
            *edges.entry((triangle[from], triangle[to])).or_default() += 1;
        }
    }
    !edges.is_empty()
        && edges.iter().all(|(&(a, b), &times)| times == 1 && edges.contains_key(&(b, a)))
}

/// The example's records hold seals, and those are what the program writes for the parts of that
/// revision: a failed result's for what was on the bench, and a later part's that it is carried to.
#[test]
fn seals_are_what_the_program_writes() {
    let revisions = revisions();
    let tested = &revisions.iter().find(|revision| revision.name == "even-light").unwrap();
    let bench = design(tested);
    let evidence = &result(&bench, "even-light-1");
    let table = facet::table(&bench);
    let expected = seal_text(&table, &bench, &covered(&bench, evidence));
    let held = evidence.seal.iter().map(|(part, seal)| (part.value.clone(), text(&seal.value)));
    assert_eq!(lines(held), lines(expected));

    let now = design(revisions.last().unwrap());
    let table = facet::table(&now);
    let carried = &result(&now, "feed-1").carries_over[0];
    let expected = facet::seal(table.of(&now, now.part(carried.part.value.as_str()).unwrap()));
    assert_eq!(text(&carried.seal.value), expected);
}

fn result(design: &Design, id: &str) -> Evidence {
    let named = design.evidence.iter().find(|held| held.id.value.as_str() == id);
    Evidence::clone(&named.unwrap().record)
}

fn text(seal: &Seal) -> String {
    let words = seal.0.iter().map(|(letter, digits)| format!("{letter}{digits}"));
    words.collect::<Vec<_>>().join(" ")
}

/// As they stand in a record.
fn lines(seals: impl IntoIterator<Item = (Id, String)>) -> String {
    let line = |(part, seal): (Id, String)| format!("{:<11} = \"{seal}\"\n", part.as_str());
    seals.into_iter().map(line).collect()
}

/// The design at a revision, with every content under the key that git gives it.
fn design(revision: &Revision) -> Arc<Design> {
    let mut files = FileSet::default();
    let entries = Arc::make_mut(&mut files.entries);
    for (path, bytes) in &revision.files {
        let id = gix::objs::compute_hash(gix::hash::Kind::Sha1, gix::objs::Kind::Blob, bytes);
        let key = ContentKey::new(id.unwrap().as_bytes());
        entries.insert(path.clone(), Entry { key, mode: Mode::File });
        files.contents.insert(key, bytes.clone());
    }
    let manifest = RepoPath::from(assess::MANIFEST);
    assess::read(&files, &manifest, &Parses::default()).design.unwrap()
}
