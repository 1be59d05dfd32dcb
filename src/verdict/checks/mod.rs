//! The release checks: what a release needs besides its requirements. One file a check.

mod bill_complete;
mod cautions_present;
mod documents_present;
mod editable_source;
mod evidence_current;
mod export_order;
mod figure_age;
mod files_present;
mod heat_paths;
mod items_due;
mod licence;
mod links_resolve;
mod mesh_sound;
mod names_current;
mod own_figures;
mod price_age;
mod rails_hold;
mod softening;
mod steps_match;
mod unpinned;
mod version_raised;
mod versions_fit;

use std::collections::{BTreeMap, BTreeSet};

use super::{Documents, Finding, Occasion};
use crate::design::{Design, NamedFile};
use crate::diagnostic::{At, Code, Span};
use crate::evaluate::Figures;
use crate::evidence::Standings;
use crate::fileset::{Entry, Mode, RepoPath};

pub use export_order::made_from;

/// What every check sees.
#[derive(Clone, Copy, Debug)]
pub struct Context<'a> {
    /// The design.
    pub design: &'a Design,
    /// Its figures.
    pub figures: &'a Figures,
    /// What its evidence still says.
    pub standings: &'a Standings,
    /// Bytes of the documents that [`demands`] asks for.
    pub documents: &'a Documents,
    /// What it is judged for.
    pub occasion: &'a Occasion,
}

/// One release check.
#[derive(Clone, Copy, Debug)]
pub struct Check {
    /// Its stable name, which waivers use.
    pub code: Code,
    /// What it asks, in a few words.
    pub title: &'static str,
    /// One paragraph for the reference.
    pub doc: &'static str,
    /// Whether a waiver can let its findings through.
    pub waivable: bool,
    /// Finds what is in the way; waivers are not looked at.
    pub run: fn(&Context<'_>) -> Vec<Finding>,
}

/// Every check, in the order of the checklist.
pub const CHECKS: &[Check] = &[
    RECORDS_READABLE,
    REQUIREMENTS,
    items_due::CHECK,
    evidence_current::CHECK,
    versions_fit::CHECK,
    version_raised::CHECK,
    bill_complete::CHECK,
    price_age::CHECK,
    files_present::CHECK,
    steps_match::CHECK,
    editable_source::CHECK,
    export_order::CHECK,
    mesh_sound::CHECK,
    heat_paths::CHECK,
    rails_hold::CHECK,
    softening::CHECK,
    cautions_present::CHECK,
    licence::CHECK,
    documents_present::CHECK,
    links_resolve::CHECK,
    names_current::CHECK,
    own_figures::CHECK,
    figure_age::CHECK,
    unpinned::CHECK,
];

/// The check that finds old quotes.
pub const PRICE_AGE: Code = price_age::CHECK.code;

/// The check that compares steps and bill of materials.
pub const STEPS_MATCH: Code = steps_match::CHECK.code;

const RECORDS_READABLE: Check = Check {
    code: Code("records-readable"),
    title: "The records are readable",
    doc: "Every record file is TOML, every key is known, every reference names something, every \
          quantity has the dimension of its place. Nothing else is judged before that: what is \
          wrong is reported with its place in the file. It cannot be waived.",
    waivable: false,
    run: judged_elsewhere,
};

const REQUIREMENTS: Check = Check {
    code: Code("requirements"),
    title: "The requirements are met",
    doc: "Every must-have that is due at the release is a pass, or has a waiver of its own. \
          Should-haves are reported and hold up nothing. A waiver names one requirement; the check \
          as a whole cannot be waived.",
    waivable: false,
    run: judged_elsewhere,
};

/// Records are checked when they are linked, requirements one by one: these two stand in the list
/// for the reader.
fn judged_elsewhere(_: &Context<'_>) -> Vec<Finding> {
    Vec::new()
}

/// The codes that a waiver can name.
#[must_use]
pub fn waivable_codes() -> Vec<&'static str> {
    CHECKS.iter().filter(|check| check.waivable).map(|check| check.code.0).collect()
}

/// The files whose bytes the checks read, in the order of paths.
#[must_use]
pub fn demands(design: &Design, entries: &Entries) -> Vec<RepoPath> {
    let of_licence = licence::demands(design, entries);
    let written = super::documents::written(design).map(|(_, path)| path.clone());
    let all: BTreeSet<RepoPath> = of_licence.into_iter().chain(written).collect();
    all.into_iter().collect()
}

/// What all checks find, in their order.
pub(super) fn run(context: &Context<'_>) -> Vec<Finding> {
    CHECKS.iter().flat_map(|check| (check.run)(context)).collect()
}

/// A finding about no part in particular.
fn finding(check: Code, message: String) -> Finding {
    Finding {
        check,
        part: None,
        through: Vec::new(),
        message,
        remedy: None,
        place: None,
        identity: None,
        covered: None,
    }
}

/// Why a file that is named cannot be used, if it cannot.
fn unusable(file: &NamedFile) -> Option<String> {
    let written = &file.written.value;
    if file.found.is_empty() {
        return Some(format!("`{written}` is not there"));
    }
    file.found.iter().find_map(|(path, entry)| match entry.mode {
        Mode::File => None,
        Mode::Link => Some(format!("`{path}` is a symbolic link, which is never followed")),
        Mode::Submodule => Some(format!("`{path}` is another repository")),
    })
}

/// Where `written` stands in the file at `path`.
fn place<T>(path: &RepoPath, written: &At<T>) -> (RepoPath, Span) {
    (path.clone(), written.span)
}

/// The files of a revision by path.
type Entries = BTreeMap<RepoPath, Entry>;

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_check_has_a_code_of_its_own_and_a_doc() {
        let codes: BTreeSet<&str> = CHECKS.iter().map(|check| check.code.0).collect();
        assert_eq!(codes.len(), CHECKS.len());
        for check in CHECKS {
            assert_eq!(
                crate::record::Id::check(check.code.0),
                None,
                "{} is kebab-case",
                check.code
            );
            assert!(check.doc.ends_with('.') && !check.title.is_empty(), "{}", check.code);
        }
    }

    #[test]
    fn what_is_unreadable_is_never_waived() {
        assert!(!waivable_codes().contains(&"records-readable"));
        assert!(waivable_codes().contains(&"licence"));
    }
}
