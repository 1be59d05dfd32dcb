//! Names for new records, and files to put them in.

use super::*;
use crate::fileset::RepoPath;

#[test]
fn an_id_is_numbered_where_it_is_taken() {
    let check = |base: &str, taken: &[&str], expected: &str| {
        assert_eq!(free_id(&base.into(), |id| taken.contains(&id)).as_str(), expected);
    };
    check("gate-soak", &[], "gate-soak");
    check("gate-soak", &["gate-soak"], "gate-soak-2");
    check("gate-soak", &["gate-soak", "gate-soak-2", "gate-soak-4"], "gate-soak-3");
    let long = "a".repeat(64);
    check(&long, &[], &long);
    check(&long, &[&long], &format!("{}-2", &long[..62]));
    let longer = "a".repeat(61) + "-bcdef";
    check(&longer, &[], &format!("{}-2", &long[..61]));
}

#[test]
fn an_id_is_made_of_what_it_is_about() {
    assert_eq!(
        id_of_result(&"film-gate".into(), Some(&"temperature".into())).as_str(),
        "film-gate-temperature"
    );
    assert_eq!(id_of_result(&"scanner".into(), None).as_str(), "scanner-result");
    let check = |title: &str, expected: &str| {
        let id = id_of_title(title, "item");
        assert_eq!(id.as_str(), expected);
        assert_eq!(Id::check(id.as_str()), None, "{expected}");
    };
    check("Glare at the gate's left edge", "glare-at-the-gates-left-edge");
    check("  It -- hums!  ", "it-hums");
    check(
        "The better lamp costs more than the ceiling leaves",
        "the-better-lamp-costs-more-than-the",
    );
    check("2 screws too few", "item-2-screws-too-few");
    check("Ambient", "item-ambient");
    check("ガタつき", "item");
    check(&"a".repeat(90), &"a".repeat(40));
}

#[test]
fn a_file_is_the_part_that_it_is_named_after() {
    let id = |path: &str| id_of_file(path).map(|id| id.to_string());
    assert_eq!(id("cad/Film_Gate v2").as_deref(), Some("film-gate-v2"));
    assert_eq!(id("cad/3d-scan"), None);
    assert_eq!(id("部品"), None);
    assert_eq!(id(&format!("lid {}", "a".repeat(70))).as_deref(), Some("lid"));
}

/// The file that a record of `kind` goes to; each file is (path, of that kind, all).
fn chosen(kind: RecordKind, files: &[(&str, usize, usize)]) -> Option<String> {
    let candidate = |(path, of_kind, records): &(&str, usize, usize)| {
        let path = RepoPath::from(*path);
        let is_manifest = path.file_name() == "tagworthy.toml";
        let role = if is_manifest { Role::Manifest } else { Role::Records };
        Candidate { path, role, of_kind: *of_kind, records: *records }
    };
    let files: Vec<_> = files.iter().map(candidate).collect();
    choose_file(&files, kind).map(|file| file.path.to_string())
}

#[test]
fn a_record_goes_where_a_designer_would_look_for_it() {
    let check = |kind, files: &[_], expected: &str| {
        assert_eq!(chosen(kind, files).as_deref(), Some(expected));
    };
    let (evidence, item) = (RecordKind::Evidence, RecordKind::Item);
    check(
        item,
        &[("a.toml", 1, 9), ("b.toml", 2, 2), ("open.toml", 0, 0), ("c.toml", 2, 2)],
        "b.toml",
    );
    check(item, &[("a.toml", 0, 9), ("design/open.toml", 0, 0)], "design/open.toml");
    check(
        evidence,
        &[("a.toml", 0, 9), ("open.toml", 0, 1), ("tagworthy.toml", 0, 1)],
        "tagworthy.toml",
    );
    check(evidence, &[("tagworthy.toml", 0, 0), ("a.toml", 0, 9), ("b.toml", 0, 10)], "a.toml");
    check(evidence, &[("tagworthy.toml", 0, 0)], "tagworthy.toml");
    assert_eq!(chosen(item, &[]), None);
}

#[test]
fn records_are_counted_by_kind() {
    let text = "[item.a]\n[item.b]\n[decision.c]\n[evidence.d]\npart = \"e\"\noutcome = \"pass\"\n";
    let records = parse::file(text.as_bytes(), Role::Records).records;
    let counts = RecordKind::ALL.map(|kind| {
        let file = Candidate::of(&"a.toml".into(), Role::Records, &records, kind);
        (file.of_kind, file.records)
    });
    assert_eq!(counts, [(1, 4), (2, 4), (1, 4), (0, 4)]);
}
