//! Designs for tests, from text.

use std::sync::Arc;

use crate::assess::{self, Parses};
use crate::design::{Demand, Design, Linked};
use crate::diagnostic::Diagnostic;
use crate::facts;
use crate::fileset::{ContentKey, Entry, FileSet, Mode, RepoPath};
use crate::pointer::Pointer;

/// A manifest for tests that do not care about theirs.
pub(crate) const MANIFEST: &str = r#"
[design]
name = "lantern"
top = "scanner"
next = "1.0.0"
currency = "EUR"
records = ["**/*.toml"]
"#;

/// The files of `text`: each begins with a line `== PATH`. Text before the first such line is added
/// to [`MANIFEST`] in `tagworthy.toml`.
pub(crate) fn files(text: &str) -> FileSet {
    let mut files = FileSet::default();
    let entries = Arc::make_mut(&mut files.entries);
    let mut sections = text.split("\n== ");
    let head = sections.next().unwrap_or_default();
    let mut all: Vec<(String, String)> = sections
        .filter_map(|section| section.split_once('\n'))
        .map(|(path, body)| (path.trim().to_owned(), body.to_owned()))
        .collect();
    if !all.iter().any(|(path, _)| path.ends_with("tagworthy.toml")) {
        let no_globs = all.is_empty().then(|| MANIFEST.replace("records", "# records"));
        let manifest = no_globs.unwrap_or_else(|| MANIFEST.to_owned());
        all.push(("tagworthy.toml".to_owned(), format!("{manifest}\n{head}")));
    }
    for (path, body) in all {
        let key = key_of(body.as_bytes());
        entries.insert(RepoPath::from(path.as_str()), Entry { key, mode: Mode::File });
        files.contents.insert(key, Arc::from(body.into_bytes()));
    }
    files
}

/// A content key for tests: equal for equal bytes, different for different ones.
pub(crate) fn key_of(bytes: &[u8]) -> ContentKey {
    use sha2::{Digest, Sha256};
    ContentKey::new(&Sha256::digest(bytes))
}

/// The design in `text`, linked, with all that is wrong with it.
pub(crate) fn linked(text: &str) -> Linked {
    let files = files(text);
    let manifest = files.entries.keys().find(|path| path.file_name() == assess::MANIFEST);
    assess::read(&files, &manifest.expect("a manifest").clone(), &Parses::default())
}

/// The design in `text`, which must be free of errors.
pub(crate) fn design(text: &str) -> Arc<Design> {
    let linked = linked(text);
    let wrong: Vec<_> = linked
        .diagnostics
        .iter()
        .map(|found| format!("{}: {}", found.path, found.diagnostic.message))
        .collect();
    let design = linked.design.unwrap_or_else(|| panic!("the fixture is wrong: {wrong:#?}"));
    looked_into(design, &files(text))
}

/// The design with what the files that it asks for say.
pub(crate) fn looked_into(design: Arc<Design>, files: &FileSet) -> Arc<Design> {
    let facts = |demand: Demand| {
        let bytes = files.contents.get(&demand.key)?;
        Some((demand.key, demand.kind, facts::of(demand.kind, bytes)))
    };
    let known = design.demands().into_iter().filter_map(facts).collect();
    design.knowing(known)
}

/// A mesh of text: a cuboid with a corner at the origin.
pub(crate) fn cuboid_stl(size: [f32; 3]) -> String {
    let bytes = facts::tests::ascii_stl(&facts::tests::cuboid(size));
    String::from_utf8(bytes).expect("it is text")
}

/// The pointer that stands for `content`.
pub(crate) fn pointer_to(content: &str) -> String {
    use sha2::{Digest, Sha256};
    let digest = Sha256::digest(content).into();
    Pointer { digest, bytes: content.len() as u64 }.to_string()
}

/// All that is wrong with the design in `text`: `path:line: code: message (hint)` each.
pub(crate) fn wrong(text: &str) -> String {
    let files = files(text);
    let line = |found: &crate::diagnostic::Located| {
        let bytes = files.bytes(&found.path).expect("a file of the fixture");
        let before = &bytes[..found.diagnostic.span.range().start.min(bytes.len())];
        let line = before.iter().filter(|byte| **byte == b'\n').count() + 1;
        let hint = found.diagnostic.hint.as_ref();
        let hint = hint.map(|hint| format!(" ({hint})")).unwrap_or_default();
        let (code, message) = (found.diagnostic.code, &found.diagnostic.message);
        format!("{}:{line}: {code}: {message}{hint}", found.path)
    };
    linked(text).diagnostics.iter().map(line).collect::<Vec<_>>().join("\n")
}

/// The examples of the reference: its manifest, and one file of all its records.
pub(crate) fn reference_example() -> (String, String) {
    let blocks = |kind: &str| -> String {
        let opening = format!("```toml {kind}\n");
        let blocks = crate::reference::records().split(&opening).skip(1);
        let blocks = blocks.filter_map(|rest| rest.split("```").next());
        blocks.collect::<Vec<_>>().join("\n")
    };
    (blocks("manifest"), blocks("records"))
}

/// What is told of the file `text`: `LINE «offending text» CODE: MESSAGE (HINT)`.
pub(crate) fn told(text: &str, diagnostic: &Diagnostic) -> String {
    let range = diagnostic.span.range();
    let line = text[..range.start].matches('\n').count() + 1;
    let offending = text[range].escape_debug();
    let Diagnostic { code, message, .. } = diagnostic;
    let hint = diagnostic.hint.as_ref().map(|hint| format!(" ({hint})")).unwrap_or_default();
    format!("{line} «{offending}» {code}: {message}{hint}")
}
