//! What a tree adds up to is what stands above it.

use super::*;
use crate::report::samples::assessed;

/// 1200 g, and 14 g for those who want the cover.
const COVERED: &str = r#"
[part.scanner]
origin = "assembled"
contains = { frame = 1, lamp = 2, lid = 1 }
[part.frame]
origin = "machined"
mass = "900 g"
[part.lamp]
origin = "bought"
mass = "150 g"
[part.lid]
origin = "assembled"
contains = { felt = { optional = true }, lamp = { optional = true } }
[part.felt]
origin = "bought"
mass = "14 g"
[requirement.carry-mass]
part = "scanner"
quantity = "mass"
at-most = "1300 g"
"#;

fn said(name: &str) -> Why {
    let lines = |_: &crate::fileset::RepoPath, _: crate::diagnostic::Span| 1;
    let place = Place::Revision("3f2c9ab".to_owned());
    why(&assessed(COVERED), name, None, place, &lines).unwrap_or_else(|_| panic!("it is there"))
}

/// `lamp 300 g`, one after the other.
fn lines(branches: &[Branch]) -> Vec<String> {
    let told = |branch: &Branch| {
        let value = branch.value.as_ref().map_or_else(String::new, |value| value.text.clone());
        format!("{} {value}", branch.name)
    };
    branches.iter().map(told).collect()
}

#[test]
fn what_fails_with_all_optional_parts_is_told_with_them() {
    let why = said("carry-mass");
    assert!(
        why.headline.contains("carry-mass fails: 1364 g with all optional parts, at most 1300 g"),
        "{}",
        why.headline
    );
    let tree = why.tree.expect("a requirement has one");
    assert_eq!(lines(&tree.branches), ["mass of scanner 1364 g"]);
    let whole = &tree.branches[0];
    assert_eq!(whole.remarks, ["with all optional parts"]);
    assert_eq!(lines(&whole.branches), ["frame 900 g", "2 × lamp 300 g", "lid 164 g"]);
    assert_eq!(lines(&whole.branches[2].branches), ["lamp 150 g", "felt 14 g"]);
}

#[test]
fn a_figure_by_itself_is_that_without_optional_parts() {
    let tree = said("mass").tree.expect("a figure has one");
    assert_eq!(lines(std::slice::from_ref(&tree)), ["mass of scanner 1200 g"]);
    assert_eq!(lines(&tree.branches), ["frame 900 g", "2 × lamp 300 g"]);
}
