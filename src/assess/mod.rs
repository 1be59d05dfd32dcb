//! The river in a handful of calls: files of a revision → linked design → figures → verdicts.

mod kept;

use std::collections::HashMap;
use std::sync::Arc;

use crate::design::{self, Changed, Concern, Design, Linked, Selection};
use crate::diagnostic::{Code, Diagnostic, Span};
use crate::evaluate::{self, Figures};
use crate::evidence::{self, RevisionSeals, Standings};
use crate::facet;
use crate::fileset::{
    self, ByKey, ContentKey, Differing, Entry, FileSet, Mode, RepoPath, entries_at,
};
use crate::parse::{self, Parsed, Role};
use crate::verdict::{self, Assessed, Documents, Occasion};

pub use kept::{FORM, Kept};

/// The file name of every manifest.
pub const MANIFEST: &str = "tagworthy.toml";

/// A glob of the manifest that selects no file.
pub const EMPTY_GLOB: Code = Code("empty-glob");

/// A manifest that is a link or a submodule, which is not read.
pub const NOT_A_FILE: Code = Code("not-a-file");

/// Files that were parsed already, by content: a revision parses only what others have not.
#[derive(Debug, Default)]
pub struct Parses {
    manifests: ByContent,
    records: ByContent,
}

/// What stands in files, by their content.
type ByContent = HashMap<ContentKey, Arc<Parsed>, ByKey>;

impl Parses {
    /// What stands in the file at `path`; an empty file where there is none.
    #[must_use]
    pub fn of(&self, files: &FileSet, path: &RepoPath, role: Role) -> Arc<Parsed> {
        let entry = files.entries.get(path);
        entry.map(|entry| self.of_entry(files, entry, role)).unwrap_or_default()
    }

    fn of_entry(&self, files: &FileSet, entry: &Entry, role: Role) -> Arc<Parsed> {
        let known = self.of_role(role).get(&entry.key).map(Arc::clone);
        let anew =
            || files.contents.get(&entry.key).map(|bytes| Arc::new(parse::file(bytes, role)));
        known.or_else(anew).unwrap_or_default()
    }

    /// Whether a content was parsed in `role`.
    #[must_use]
    pub fn have(&self, key: &ContentKey, role: Role) -> bool {
        self.of_role(role).contains_key(key)
    }

    /// What a content says as a file of records, where it was parsed.
    #[must_use]
    pub fn records(&self, key: &ContentKey) -> Option<&Arc<Parsed>> {
        self.records.get(key)
    }

    /// Keeps what a content of `key` says in `role`.
    pub fn keep(&mut self, key: ContentKey, role: Role, parsed: Arc<Parsed>) {
        match role {
            Role::Manifest => self.manifests.insert(key, parsed),
            Role::Records => self.records.insert(key, parsed),
        };
    }

    fn of_role(&self, role: Role) -> &ByContent {
        match role {
            Role::Manifest => &self.manifests,
            Role::Records => &self.records,
        }
    }
}

/// Reads and links the design whose manifest lies at `manifest_path`; its record files' bytes are
/// in `files`.
#[must_use]
pub fn read(files: &FileSet, manifest_path: &RepoPath, parses: &Parses) -> Linked {
    let rules = parses.of(files, manifest_path, Role::Manifest).rules();
    let selection = design::select(&rules, manifest_path, &files.entries);
    read_selected(files, manifest_path, &selection, parses)
}

/// The same, where it is known already which files the manifest selects.
#[must_use]
pub fn read_selected(
    files: &FileSet,
    manifest_path: &RepoPath,
    selection: &Selection,
    parses: &Parses,
) -> Linked {
    let mut manifest = parses.of(files, manifest_path, Role::Manifest);
    if !selection.empty.is_empty() {
        let told = Arc::make_mut(&mut manifest);
        told.diagnostics.extend(selection.empty.iter().map(|span| empty_glob(*span)));
    }
    if files.entries.get(manifest_path).is_some_and(|entry| entry.mode != Mode::File) {
        Arc::make_mut(&mut manifest).diagnostics.push(not_a_file());
    }
    let records: Vec<(RepoPath, Arc<Parsed>)> = entries_at(&files.entries, &selection.records)
        .map(|(path, entry)| (path.clone(), parses.of_entry(files, entry, Role::Records)))
        .collect();
    design::link(&design::Input {
        manifest_path,
        manifest: &manifest,
        files: &records,
        entries: &files.entries,
        checks: &verdict::waivable_codes(),
    })
}

/// The same, where the `design` is known that stands in other files, and nothing is to be said of it.
#[must_use]
pub fn read_since(
    (before, design): (&FileSet, &Design),
    files: &FileSet,
    manifest_path: &RepoPath,
    parses: &Parses,
) -> Linked {
    let is_here = design.manifest_path == *manifest_path;
    let changed = is_here.then(|| changed((before, design), files, parses)).flatten();
    let later = changed.and_then(|changed| design::relink(design, &files.entries, &changed));
    match later {
        Some(design) => Linked { design: Some(design), diagnostics: Vec::new() },
        None => read(files, manifest_path, parses),
    }
}

/// The record files that are others in `files`; nothing where anything else is another, which may be a
/// file that the design names.
fn changed(
    (before, design): (&FileSet, &Design),
    files: &FileSet,
    parses: &Parses,
) -> Option<Vec<Changed>> {
    let paths = changed_records(design, &*before.entries, &*files.entries)?;
    let changed = paths.into_iter().map(|path| Changed {
        path: path.clone(),
        before: parses.of(before, path, Role::Records),
        after: parses.of(files, path, Role::Records),
    });
    Some(changed.collect())
}

/// The record files of the design that are others in the later one of two states; nothing where anything
/// else is another that it is made of. Documents and the logs of tests may be. The entries of both are in
/// the order of paths.
#[must_use]
pub fn changed_records<'a>(
    design: &Design,
    before: impl IntoIterator<Item = (&'a RepoPath, &'a Entry)>,
    after: impl IntoIterator<Item = (&'a RepoPath, &'a Entry)>,
) -> Option<Vec<&'a RepoPath>> {
    let concern = Concern::of(&design.manifest, &design.manifest_path, Some(design));
    let name = design.manifest_path.file_name();
    let is_file = |entry: Option<&Entry>| entry.is_some_and(|entry| entry.mode == Mode::File);
    let differing = fileset::differing(before, after);
    let concerned = differing.into_iter().filter(|found| concern.holds(found.path));
    let record = |found: Differing<'a>| {
        let is_record = concern.is_record(found.path) && found.path.file_name() != name;
        (is_record && found.entries.into_iter().all(is_file)).then_some(found.path)
    };
    concerned.map(record).collect()
}

fn not_a_file() -> Diagnostic {
    let message = "the manifest is no regular file, and is not read";
    let hint = "put the file itself here: neither a link nor a submodule is followed";
    Diagnostic::error(NOT_A_FILE, Span::default(), message).with_hint(hint)
}

fn empty_glob(span: Span) -> Diagnostic {
    Diagnostic::warning(EMPTY_GLOB, span, "no file matches")
        .with_hint("paths are relative to tagworthy.toml; `**/` stands for any folders")
}

/// Evaluates a design and each of its variants, and judges them for `occasion`; `revisions` are the
/// designs that were on the bench, and `documents` the texts that release checks look into.
#[must_use]
pub fn judge(
    design: &Arc<Design>,
    revisions: &RevisionSeals,
    documents: &Documents,
    occasion: Occasion,
) -> Assessed {
    each_variant(design, |design| {
        let (figures, standings) = evaluated(None, &design, revisions);
        verdict::judge(design, figures, standings, documents, occasion.clone())
    })
}

/// The same without release checks: how every requirement stands, and nothing that changes with the
/// day alone. What nothing moved since the state `before` is taken from there.
#[must_use]
pub fn judge_requirements(
    before: Option<&Assessed>,
    design: &Arc<Design>,
    revisions: &RevisionSeals,
    occasion: &Occasion,
) -> Assessed {
    each_variant(design, |design| {
        let (figures, standings) = evaluated(before, &design, revisions);
        verdict::judge_requirements(design, figures, standings, occasion.clone())
    })
}

fn each_variant(design: &Arc<Design>, judge: impl Fn(Arc<Design>) -> Assessed) -> Assessed {
    let variants = design.variants.iter();
    let variants = variants.filter_map(|variant| design.as_variant(variant.id.as_str()));
    Assessed { variants: variants.map(&judge).collect(), ..judge(Arc::clone(design)) }
}

fn evaluated(
    before: Option<&Assessed>,
    design: &Arc<Design>,
    revisions: &RevisionSeals,
) -> (Figures, Standings) {
    let variant = design.variant.as_ref();
    let before = before.and_then(|before| match variant {
        None => Some(before),
        Some(variant) => before.variant(variant.as_str()),
    });
    let known = before.map(|before| (&*before.design, before.standings.facets()));
    let facets = facet::table_since(known, design);
    let standings = evidence::standings(design, facets, revisions, variant);
    let stand_ins = evidence::stand_ins(design, &standings);
    let before = before.map(|before| (&*before.design, &before.figures));
    (evaluate::figures(before, design, &stand_ins), standings)
}

#[cfg(test)]
mod later_states;
#[cfg(test)]
mod tests {
    use crate::fixture::{design, wrong};

    #[test]
    fn a_small_design_is_one_file() {
        let design = design(
            r#"
            [part.scanner]
            origin = "assembled"
            contains = { screw = 4, felt = "0.35 m" }
            [part.screw]
            origin = "bought"
            mass = "0.8 g measured"
            [part.felt]
            origin = "bought"
            mass = "12 g/m"
            "#,
        );
        assert_eq!(design.parts.len(), 3);
        assert_eq!(design.links[design.top.index()].len(), 2);
    }

    #[test]
    fn all_errors_are_reported_together_with_the_nearest_name() {
        insta::assert_snapshot!(wrong(
            r#"
[part.scanner]
origin = "asembled"
contains = { scrw = 4, felt = "0.35 m" }
titel = "Scanner"
mass = "12 kgg"
[part.screw]
origin = "bought"
mass = 0.8
[part.felt]
origin = "bought"
mass = "12 g"
[requirement.light]
part = "scanner"
quantity = "mas"
at-most = "1 kg"
[requirement.cheap]
part = "scanner"
quantity = "cost"
at-most = "45 USD"
"#
        ), @r#"
        tagworthy.toml:11: unknown-word: `asembled` is not known here (did you mean `assembled`?)
        tagworthy.toml:12: dangling-reference: there is no part `scrw` (did you mean `screw`?)
        tagworthy.toml:13: unknown-key: there is no key `titel` here (did you mean `title`?)
        tagworthy.toml:14: bad-value: unknown unit `kgg` (did you mean `kg`?)
        tagworthy.toml:17: wrong-type: a unit is missing: a bare number stands only where pieces are counted (a quantity such as "31 g ± 0.5 g measured" is wanted)
        tagworthy.toml:20: wrong-dimension: `mass` is kg/m here, and this is a mass (`felt` comes by a length: state it for one unit of that)
        tagworthy.toml:23: dangling-reference: there is no quantity `mas` (did you mean `mass`?)
        tagworthy.toml:28: wrong-dimension: this is an amount of USD, where an amount of EUR is wanted
        "#);
    }
}
