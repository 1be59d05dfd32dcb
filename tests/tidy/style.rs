//! Rules about a source by itself: sizes, words, and who may name what.

use crate::named::named;
use crate::source::Source;
use crate::token::Token;

/// The most lines of a file that are shipped, comments and blank ones included.
const MOST_FILE_LINES: usize = 400;

/// The most lines of a function, from its `fn` to its closing brace.
const MOST_FUNCTION_LINES: usize = 60;

/// Macros that print or end the program.
const LOUD: &[&str] = &["print", "println", "eprint", "eprintln", "dbg", "todo", "unimplemented"];

/// Something that only some places may name.
pub type Reserved = (&'static str, &'static [&'static str]);

/// Names in places that may not name them; a place is the start of a path below `src/`.
pub fn strangers(sources: &[Source], reserved: &[Reserved]) -> Vec<String> {
    let mut found = Vec::new();
    for source in sources {
        let below = source.path.strip_prefix("src/").unwrap_or(&source.path);
        for path in named(source) {
            let misplaced = reserved.iter().filter(|(name, places)| {
                path.is_below(name) && !places.iter().any(|place| below.starts_with(place))
            });
            let line = |(name, _): &Reserved| format!("{}:{}: {name}", source.path, path.line);
            found.extend(misplaced.map(line));
        }
    }
    found
}

/// Macros that print, outside `src/main.rs`.
pub fn loud_macros(sources: &[Source]) -> Vec<String> {
    sources
        .iter()
        .filter(|source| source.path != "src/main.rs")
        .flat_map(|source| {
            let calls = source.shipped.windows(2);
            let loud =
                calls.filter(|call| LOUD.contains(&call[0].text.as_str()) && call[1].text == "!");
            loud.map(|call| format!("{}:{}: {}!", source.path, call[0].line, call[0].text))
        })
        .collect()
}

/// Calls of `unwrap` in what is shipped.
pub fn unwraps(sources: &[Source]) -> Vec<String> {
    let is_call =
        |call: &[Token]| call.iter().map(|token| token.text.as_str()).eq([".", "unwrap", "(", ")"]);
    sources
        .iter()
        .flat_map(|source| {
            let calls = source.shipped.windows(4).filter(|call| is_call(call));
            calls.map(|call| format!("{}:{}", source.path, call[0].line))
        })
        .collect()
}

/// Files that are longer than one idea needs; modules of tests do not count.
pub fn long_files(sources: &[Source]) -> Vec<String> {
    let long = sources.iter().filter(|source| source.shipped_lines > MOST_FILE_LINES);
    long.map(|source| format!("{}: {} lines", source.path, source.shipped_lines)).collect()
}

/// Functions that do not fit on a screen.
pub fn long_functions(sources: &[Source]) -> Vec<String> {
    let mut found = Vec::new();
    for source in sources {
        for (at, pair) in source.shipped.windows(2).enumerate() {
            let lines = match pair {
                [keyword, name] if keyword.text == "fn" && name.is_word() => {
                    lines_of_item(&source.shipped[at..])
                }
                _ => 0,
            };
            if lines > MOST_FUNCTION_LINES {
                let (line, name) = (pair[0].line, &pair[1].text);
                found.push(format!("{}:{line}: {name}: {lines} lines", source.path));
            }
        }
    }
    found
}

/// The number of lines to the brace that closes the item's body, or to its semicolon.
fn lines_of_item(tokens: &[Token]) -> usize {
    let mut depth = 0i32;
    for token in tokens {
        match token.text.as_str() {
            "(" | "[" | "{" => depth += 1,
            ")" | "]" | "}" => depth -= 1,
            _ => {}
        }
        if depth == 0 && ["}", ";"].contains(&token.text.as_str()) {
            return token.line + 1 - tokens[0].line;
        }
    }
    0
}

/// Files that do not begin by saying what they are.
pub fn silent_files(sources: &[Source]) -> Vec<String> {
    let silent = sources.iter().filter(|source| !source.text.starts_with("//! "));
    silent.map(|source| source.path.clone()).collect()
}

/// Words that do not belong into what is kept.
pub fn unwelcome_words(texts: &[(String, String)], words: &[&str]) -> Vec<String> {
    let mut found = Vec::new();
    for (path, text) in texts {
        for (at, line) in text.lines().enumerate() {
            let met = words.iter().filter(|word| holds_word(line, word));
            found.extend(met.map(|word| format!("{path}:{}: {word}", at + 1)));
        }
    }
    found
}

/// Whether `word` stands in `line`, and not within a longer word.
fn holds_word(line: &str, word: &str) -> bool {
    let in_word = |letter: Option<char>| letter.is_some_and(char::is_alphanumeric);
    line.match_indices(word).any(|(at, _)| {
        let before = line[..at].chars().next_back();
        let after = line[at + word.len()..].chars().next();
        let begins = !in_word(before) || !in_word(word.chars().next());
        let ends = !in_word(after) || !in_word(word.chars().next_back());
        begins && ends
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn source(path: &str, text: &str) -> [Source; 1] {
        [Source::new(path, text)]
    }

    #[test]
    fn a_reserved_name_stays_where_it_belongs() {
        let reserved: &[Reserved] = &[("gix", &["git/"]), ("std::env", &["main.rs"])];
        let text = "use gix::open;\nfn a() { std::env::var(b) }";
        let check = |path| strangers(&source(path, text), reserved);
        assert_eq!(
            check("src/parse/mod.rs"),
            ["src/parse/mod.rs:1: gix", "src/parse/mod.rs:2: std::env"]
        );
        assert_eq!(check("src/git/mod.rs"), ["src/git/mod.rs:2: std::env"]);
        assert_eq!(check("src/main.rs"), ["src/main.rs:1: gix"]);
        let likely = source("src/a.rs", "use gix_glob::b; use crate::gix; let std = env!(c);");
        assert_eq!(strangers(&likely, reserved), [""; 0]);
    }

    #[test]
    fn printing_is_for_the_main_file() {
        let text = "fn a() { println!(\"b\") }\n// eprintln!()\nfn c() { d::dbg!(e) }";
        assert_eq!(
            loud_macros(&source("src/a.rs", text)),
            ["src/a.rs:1: println!", "src/a.rs:3: dbg!"]
        );
        assert_eq!(loud_macros(&source("src/main.rs", text)), [""; 0]);
    }

    #[test]
    fn unwrapping_is_for_tests() {
        let text =
            "a\n  .unwrap();\nb.unwrap_or(c);\n#[cfg(test)] mod tests { fn d() { e.unwrap() } }";
        assert_eq!(unwraps(&source("src/a.rs", text)), ["src/a.rs:2"]);
    }

    #[test]
    fn sizes_have_a_limit() {
        let lines = |count: usize| "a\n".repeat(count);
        assert_eq!(long_files(&source("src/a.rs", &lines(400))), [""; 0]);
        assert_eq!(long_files(&source("src/a.rs", &lines(401))), ["src/a.rs: 401 lines"]);
        let function = |count: usize| format!("fn a(b: [u8; 2]) {{\n{}}}", lines(count - 2));
        assert_eq!(long_functions(&source("src/a.rs", &function(60))), [""; 0]);
        assert_eq!(long_functions(&source("src/a.rs", &function(61))), ["src/a.rs:1: a: 61 lines"]);
        let bodiless = format!("type A = fn(u8);\ntrait B {{ fn c();\n{} }}", lines(70));
        assert_eq!(long_functions(&source("src/a.rs", &bodiless)), [""; 0]);
    }

    #[test]
    fn a_file_says_what_it_is() {
        assert_eq!(silent_files(&source("src/a.rs", "//! What it is.\n")), [""; 0]);
        assert_eq!(silent_files(&source("src/a.rs", "// What it is.\n")), ["src/a.rs"]);
    }

    #[test]
    fn words_are_whole_words() {
        let texts = [("a.md".to_owned(), "once\nLater: see NOW, NOW-2\nKNOWN now".to_owned())];
        assert_eq!(unwelcome_words(&texts, &["NOW"]), ["a.md:2: NOW"]);
        assert_eq!(unwelcome_words(&texts, &["ater"]), [""; 0]);
    }
}
