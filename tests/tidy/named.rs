//! Which paths a source names: imports taken apart, and paths written out in code.

use crate::source::Source;
use crate::token::Token;

/// A path that a source names.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Named {
    /// Where.
    pub line: usize,
    /// Its steps: `["std", "env", "var"]`.
    pub steps: Vec<String>,
}

impl Named {
    /// Whether the path is `prefix` (`std::env`) or lies below it.
    pub fn is_below(&self, prefix: &str) -> bool {
        let mut steps = self.steps.iter();
        prefix.split("::").all(|step| steps.next().is_some_and(|named| named == step))
    }
}

/// Every path that the shipped part of a source names, in order.
pub fn named(source: &Source) -> Vec<Named> {
    let tokens = &source.shipped;
    let mut found = Vec::new();
    let mut at = 0;
    while at < tokens.len() {
        if tokens[at].text == "use" {
            at = import(tokens, at + 1, &[], &mut found);
        } else if tokens[at].is_word() && !continues(tokens, at) {
            at = path(tokens, at, &mut found);
        } else {
            at += 1;
        }
    }
    found
}

/// The room of this crate that `path` leads to, named in `source`: `*` where it is all of them.
/// A bare `crate` or `super` (as in `pub(crate)`) leads to none.
pub fn room_in<'n>(path: &'n Named, source: &Source) -> Option<&'n str> {
    let mut steps = path.steps.iter().map(String::as_str).skip_while(|step| *step == "self");
    let first = steps.next()?;
    if first == "crate" {
        return steps.next();
    }
    let ups = path.steps.iter().filter(|step| *step == "super").count();
    if ups == 0 || ups < source.depth() {
        return None;
    }
    steps.find(|step| *step != "super")
}

/// Whether the word at `at` is a later step of a path, a field or a method.
fn continues(tokens: &[Token], at: usize) -> bool {
    let before = |back: usize| at.checked_sub(back).map(|before| &tokens[before]);
    match before(1).map(|token| token.text.as_str()) {
        Some(".") => true,
        // A path may begin with `::`.
        Some("::") => before(2).is_some_and(|token| token.is_word() || token.text == ">"),
        _ => false,
    }
}

/// Reads the path at `at`; returns where it ends.
fn path(tokens: &[Token], mut at: usize, found: &mut Vec<Named>) -> usize {
    let line = tokens[at].line;
    let mut steps = vec![tokens[at].text.clone()];
    at += 1;
    while let Some([colons, step]) = tokens.get(at..at + 2)
        && colons.text == "::"
        && step.is_word()
    {
        steps.push(step.text.clone());
        at += 2;
    }
    found.push(Named { line, steps });
    at
}

/// Reads one tree of an import below `prefix`; returns where it ends.
fn import(tokens: &[Token], mut at: usize, prefix: &[String], found: &mut Vec<Named>) -> usize {
    let mut steps = prefix.to_vec();
    while let Some(token) = tokens.get(at) {
        match token.text.as_str() {
            "::" => at += 1,
            "{" => return branches(tokens, at + 1, &steps, found),
            "*" => {
                steps.push("*".to_owned());
                at += 1;
            }
            "as" => at += 2,
            _ if token.is_word() => {
                steps.push(token.text.clone());
                at += 1;
            }
            _ => break,
        }
    }
    if steps.len() > prefix.len() {
        found.push(Named { line: tokens[at - 1].line, steps });
    }
    at
}

fn branches(tokens: &[Token], mut at: usize, steps: &[String], found: &mut Vec<Named>) -> usize {
    while let Some(token) = tokens.get(at) {
        match token.text.as_str() {
            "}" => return at + 1,
            "," => at += 1,
            _ => {
                // Whatever cannot be read is stepped over.
                at = import(tokens, at, steps, found).max(at + 1);
            }
        }
    }
    at
}

#[cfg(test)]
mod tests {
    use super::*;

    #[track_caller]
    fn check(source: &str, expected: &[&str]) {
        let found: Vec<String> = named(&Source::new("src/a/b.rs", source))
            .into_iter()
            .filter(|path| path.steps.len() > 1)
            .map(|path| format!("{}:{}", path.line, path.steps.join("::")))
            .collect();
        assert_eq!(found, expected);
    }

    #[test]
    fn imports_are_taken_apart() {
        check(
            "use std::{env, fs::{self, File as F}, io::*};",
            &["1:std::env", "1:std::fs::self", "1:std::fs::File", "1:std::io::*"],
        );
        check(
            "pub use crate::{\n  git::At,\n  parse,\n};",
            &["2:crate::git::At", "3:crate::parse"],
        );
    }

    #[test]
    fn paths_in_code_are_found_where_they_begin() {
        check("a.b::c(); ::gix::open(x::y, <T as Z>::w)", &["1:gix::open", "1:x::y"]);
        check("crate::git::Error", &["1:crate::git::Error"]);
    }

    #[test]
    fn comments_and_texts_name_nothing() {
        check("// gix::a\nlet a = \"gix::b\";", &[]);
    }

    #[test]
    fn what_captures_is_no_import() {
        check("fn a() -> impl B + use<'_> { c::d() }", &["1:c::d"]);
    }

    #[test]
    fn rooms_are_found_from_above_and_below() {
        let rooms = |path: &str, text: &str| -> Vec<String> {
            let source = Source::new(path, text);
            let found = named(&source);
            found.iter().filter_map(|path| room_in(path, &source)).map(str::to_owned).collect()
        };
        assert_eq!(rooms("src/a/b.rs", "use crate::git::At;"), ["git"]);
        assert_eq!(rooms("src/a/b.rs", "use super::c; use self::d; use e::f;"), [""; 0]);
        assert_eq!(rooms("src/a/b.rs", "use super::super::git;"), ["git"]);
        assert_eq!(rooms("src/a/mod.rs", "fn b() { super::git::c() }"), ["git"]);
        assert_eq!(rooms("src/a.rs", "use crate::*; use super::*;"), ["*", "*"]);
        assert_eq!(rooms("src/a.rs", "pub(crate) use b::c; pub(super) fn d() {}"), [""; 0]);
    }

    #[test]
    fn a_prefix_is_whole_steps() {
        let path = Named { line: 1, steps: ["std", "env"].map(str::to_owned).to_vec() };
        assert!(path.is_below("std") && path.is_below("std::env"));
        assert!(!path.is_below("std::env::var") && !path.is_below("st"));
    }
}
