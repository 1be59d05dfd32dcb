//! The house rules, held against the sources: which room names which, who may name a library, how
//! long things are, what is said where. The rules themselves are explained in `DEVELOPERS.md`.

#![allow(clippy::unwrap_used, reason = "a test that can't go on has failed")]

mod flow;
mod named;
mod source;
mod style;
mod token;

use std::fs;
use std::path::Path;

use flow::Flow;
use source::Source;
use style::Reserved;

/// The river, mouth first. What is for tests may name any room.
const FLOW: Flow = Flow {
    order: &[
        "cli",         // what the arguments may be
        "app",         // glue, one file a command
        "hook",        // one file a git hook
        "outside",     // states that are read, files that are written
        "reference",   // every key and command, explained
        "example",     // the example project and its history
        "render",      // a report as text, one file a format
        "report",      // results in the order in which they are read
        "release",     // verdicts joined with history
        "history",     // revisions → ledger
        "compare",     // two designs → what moved, and what it reaches
        "assess",      // the stages in a handful of calls
        "verdict",     // figures against promises
        "evidence",    // what tests still say
        "evaluate",    // design → figures
        "interchange", // which versions fit
        "facet",       // what a part is, in a few digests
        "design",      // records → linked design
        "facts",       // meshes and pointers, looked into
        "edit",        // records, changed in place
        "parse",       // bytes → records
        "record",      // the records' types
        "quantity",    // units, values, money
        "git",         // repositories
        "store",       // what is kept between runs
        "diagnostic",  // what is wrong, and where
        "pointer",     // what stands for a large file
        "fileset",     // the files of one revision
        "late",        // values that wait, packed, until they are looked at
        "threads",     // work on several threads
    ],
    doors: &[
        ("cli", &["app", "hook", "outside", "reference"]),
        ("example", &["app"]),
        ("git", &["app", "hook", "outside"]),
        ("reference", &["app"]),
        ("store", &["app", "hook", "outside"]),
    ],
    narrow: &[
        ("cli", &[]),
        ("git", &["diagnostic", "pointer", "fileset", "threads"]),
        ("store", &["diagnostic", "fileset"]),
    ],
};

/// Libraries and doors to the outside, and the places that may name them.
const RESERVED: &[Reserved] = &[
    ("clap", &["cli", "main.rs", "reference"]),
    ("gix", &["git/"]),
    ("gix_glob", &["fileset.rs"]),
    ("indicatif", &["outside/progress.rs"]),
    ("owo_colors", &["render/"]),
    ("postcard", &["late", "parse/kept", "store/"]),
    ("petgraph", &["design/"]),
    ("pulldown_cmark", &["verdict/"]),
    ("spdx", &["parse/", "verdict/"]),
    ("std::env", &["main.rs", "git/"]),
    ("std::fs", &["main.rs", "hook/", "outside/", "git/", "store"]),
    ("std::net", &[]),
    // A tag is signed by git itself; who writes a file beside another names it by its own number.
    ("std::process", &["main.rs", "outside/sign.rs", "store/single"]),
    // The program is glue around two rooms.
    ("tagworthy::app", &["main.rs"]),
    ("tagworthy::cli", &["main.rs"]),
    ("toml", &["parse/", "edit", "example", "render/okh"]),
    ("toml_edit", &["edit/"]),
];

/// What does not belong into a file that is kept: marks of unfinished work, places on one machine,
/// numbers that only a tracker can explain.
const UNWELCOME: &[&str] = &[
    concat!("TO", "DO"),
    concat!("FIX", "ME"),
    concat!("XX", "X"),
    concat!("HA", "CK"),
    concat!("/ho", "me/"),
    concat!("/ro", "ot/"),
    concat!("/tm", "p/"),
    concat!("issue ", "#"),
];

/// Where texts lie that unwelcome words are looked for in, beside the sources.
const TEXTS: &[&str] =
    &["README.md", "DEVELOPERS.md", "Cargo.toml", ".ci", "hooks", ".pre-commit-hooks.yaml"];

#[test]
fn rooms_name_only_rooms_further_up() {
    holds(&flow::uphill(&sources("src"), &FLOW));
}

#[test]
fn no_room_leads_back_to_itself() {
    let way = flow::cycle(&sources("src"));
    assert!(way.is_none(), "{}", way.unwrap_or_default().join(" → "));
}

#[test]
fn the_crate_lists_its_rooms_in_the_order_of_the_flow() {
    holds(&flow::listing(&sources("src"), FLOW.order));
}

#[test]
fn libraries_and_the_outside_are_named_behind_their_doors() {
    holds(&style::strangers(&sources("src"), RESERVED));
}

#[test]
fn only_the_main_file_prints() {
    holds(&style::loud_macros(&sources("src")));
}

#[test]
fn nothing_shipped_unwraps() {
    holds(&style::unwraps(&sources("src")));
}

#[test]
fn a_file_is_one_idea() {
    holds(&style::long_files(&sources("src")));
}

#[test]
fn a_function_fits_on_a_screen() {
    holds(&style::long_functions(&[sources("src"), sources("tests")].concat()));
}

#[test]
fn every_file_says_what_it_is() {
    holds(&style::silent_files(&[sources("src"), sources("tests")].concat()));
}

#[test]
fn every_check_has_a_code_a_doc_and_tests() {
    let checks = rust_files("src/verdict/checks").into_iter();
    let checks: Vec<_> = checks.filter(|(path, _)| !path.ends_with("mod.rs")).collect();
    assert!(!checks.is_empty());
    let tests: String = rust_files("src/verdict/tests").into_iter().map(|(_, text)| text).collect();
    for (path, text) in checks {
        let code = text.split("code: Code(").nth(1).and_then(|rest| rest.split(')').next());
        let code = code.unwrap_or_else(|| panic!("{path} has no code"));
        assert!(text.contains("doc: "), "{path} has no doc");
        let tested = text.contains("#[cfg(test)]") || tests.contains(code);
        assert!(tested, "{path} has no tests, and none of the room's name {code}");
    }
}

#[test]
fn no_unwelcome_words_are_kept() {
    let mut texts: Vec<_> = ["src", "tests"].into_iter().flat_map(rust_files).collect();
    texts.extend(TEXTS.iter().flat_map(|path| files(path)));
    holds(&style::unwelcome_words(&texts, UNWELCOME));
}

#[track_caller]
fn holds(violations: &[String]) {
    assert!(violations.is_empty(), "\n{}\n", violations.join("\n"));
}

/// The Rust sources below a folder of the crate.
fn sources(folder: &str) -> Vec<Source> {
    let sources = Source::all(rust_files(folder));
    assert!(!sources.is_empty(), "nothing lies in {folder}");
    sources
}

fn rust_files(folder: &str) -> Vec<(String, String)> {
    files(folder).into_iter().filter(|(path, _)| path.ends_with(".rs")).collect()
}

/// Path and text of the file at `path` below the crate, or of all files of the folder there, in
/// the order of names; none where there is nothing.
fn files(path: &str) -> Vec<(String, String)> {
    let place = Path::new(env!("CARGO_MANIFEST_DIR")).join(path);
    let Ok(entries) = fs::read_dir(&place) else {
        let text = fs::read_to_string(&place).ok();
        return text.map(|text| (path.to_owned(), text)).into_iter().collect();
    };
    let names = entries.map(|entry| entry.unwrap().file_name().into_string().unwrap());
    let mut names: Vec<String> = names.collect();
    names.sort();
    names.iter().flat_map(|name| files(&format!("{path}/{name}"))).collect()
}
