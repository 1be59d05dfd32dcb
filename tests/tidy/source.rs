//! A source file as the rules see it: what is shipped of it, apart from what is for tests only.

use crate::token::{Token, tokens};

/// A source file.
#[derive(Clone, Debug)]
pub struct Source {
    /// Below the crate's folder, with forward slashes: `src/git/mod.rs`.
    pub path: String,
    /// All of it.
    pub text: String,
    /// Words and marks of what is shipped; none where the whole file is for tests.
    pub shipped: Vec<Token>,
    /// The number of lines that are shipped, comments and blank ones included.
    pub shipped_lines: usize,
    /// Names of modules with files of their own that are for tests only.
    test_modules: Vec<String>,
}

impl Source {
    /// The file at `path`, by itself.
    pub fn new(path: &str, text: &str) -> Self {
        let mut source = Self {
            path: path.to_owned(),
            text: text.to_owned(),
            shipped: Vec::new(),
            shipped_lines: text.lines().count(),
            test_modules: Vec::new(),
        };
        source.set_tests_apart(&tokens(text));
        source
    }

    /// All files of a crate: those that only a test declares as its modules are for tests.
    pub fn all(files: impl IntoIterator<Item = (String, String)>) -> Vec<Self> {
        let mut sources: Vec<Self> =
            files.into_iter().map(|(path, text)| Self::new(&path, &text)).collect();
        let for_tests: Vec<String> = sources.iter().flat_map(Self::test_places).collect();
        for source in &mut sources {
            let places = for_tests.iter();
            let is_test = places.filter_map(|place| source.path.strip_prefix(place.as_str()));
            if is_test.into_iter().any(|rest| rest == ".rs" || rest.starts_with('/')) {
                source.shipped.clear();
                source.shipped_lines = 0;
            }
        }
        sources
    }

    /// The room: the first step below `src`, without an ending.
    pub fn room(&self) -> &str {
        let below = self.path.strip_prefix("src/").unwrap_or(&self.path);
        below.split(['/', '.']).next().unwrap_or_default()
    }

    /// How many modules deep the file lies below the crate.
    pub fn depth(&self) -> usize {
        self.module_folder().matches('/').count() - 1
    }

    /// Where the file's own modules lie: `src/git/` for `src/git/mod.rs`.
    fn module_folder(&self) -> String {
        let stem = self.path.strip_suffix(".rs").unwrap_or(&self.path);
        let is_root = ["src/lib", "src/main"].contains(&stem);
        match stem.strip_suffix("/mod") {
            Some(folder) => format!("{folder}/"),
            None if is_root => "src/".to_owned(),
            None => format!("{stem}/"),
        }
    }

    /// Paths, without an ending, of modules that are for tests only.
    fn test_places(&self) -> Vec<String> {
        let folder = self.module_folder();
        self.test_modules.iter().map(|name| format!("{folder}{name}")).collect()
    }

    fn set_tests_apart(&mut self, tokens: &[Token]) {
        let mut at = 0;
        while at < tokens.len() {
            if !is_test_attribute(&tokens[at..]) {
                self.shipped.push(tokens[at].clone());
                at += 1;
                continue;
            }
            let item = item_length(&tokens[at..]);
            let item = &tokens[at..at + item];
            if let [.., keyword, name, end] = item
                && keyword.text == "mod"
                && end.text == ";"
            {
                self.test_modules.push(name.text.clone());
            }
            let last_line = item.last().map_or(0, |token| token.line);
            self.shipped_lines -= last_line + 1 - item[0].line;
            at += item.len();
        }
    }
}

/// Whether `#[cfg(test)]`, or `#[cfg(all(test, …))]`, stands here.
fn is_test_attribute(tokens: &[Token]) -> bool {
    let begins = |words: &[&str]| {
        tokens.len() >= words.len()
            && words.iter().zip(tokens).all(|(word, token)| token.text == *word)
    };
    begins(&["#", "[", "cfg", "(", "test", ")", "]"])
        || begins(&["#", "[", "cfg", "(", "all", "(", "test", ","])
}

/// The number of tokens of the item with its attributes: up to its closing brace or semicolon.
fn item_length(tokens: &[Token]) -> usize {
    let mut depth = 0usize;
    for (at, token) in tokens.iter().enumerate() {
        match token.text.as_str() {
            "(" | "[" | "{" => depth += 1,
            ")" | "]" => depth = depth.saturating_sub(1),
            "}" => {
                depth = depth.saturating_sub(1);
                if depth == 0 {
                    return at + 1;
                }
            }
            ";" if depth == 0 => return at + 1,
            _ => {}
        }
    }
    tokens.len()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn shipped(source: &Source) -> String {
        source.shipped.iter().map(|token| token.text.as_str()).collect::<Vec<_>>().join(" ")
    }

    #[test]
    fn tests_are_set_apart() {
        let source = Source::new(
            "src/a.rs",
            "fn a() {}\n#[cfg(test)]\n#[allow(x)]\nmod tests {\n  fn b() { c[0]; }\n}\nfn d() {}\n",
        );
        assert_eq!(shipped(&source), "fn a ( ) { } fn d ( ) { }");
        assert_eq!(source.shipped_lines, 2);
    }

    #[test]
    fn an_item_for_tests_ends_at_its_semicolon() {
        let source = Source::new("src/a.rs", "#[cfg(test)] const A: [u8; 2] = [1; 2]; fn b();");
        assert_eq!(shipped(&source), "fn b ( ) ;");
    }

    #[test]
    fn what_is_shipped_without_tests_is_shipped() {
        let source = Source::new("src/a.rs", "#[cfg(not(test))] fn a() {}");
        assert!(shipped(&source).ends_with("fn a ( ) { }"));
    }

    #[test]
    fn a_file_that_is_a_module_of_tests_is_not_shipped() {
        let sources = Source::all(
            [
                ("src/lib.rs", "mod a;\n#[cfg(test)]\npub(crate) mod fixture;"),
                ("src/fixture.rs", "fn b() {}"),
                ("src/fixture/more.rs", "fn c() {}"),
                ("src/fixtures.rs", "fn d() {}"),
                ("src/a.rs", "#[cfg(test)]\nmod tests;"),
                ("src/a/tests.rs", "fn e() {}"),
            ]
            .map(|(path, text)| (path.to_owned(), text.to_owned())),
        );
        let lines: Vec<usize> = sources.iter().map(|source| source.shipped_lines).collect();
        assert_eq!(lines, [1, 0, 0, 1, 0, 0]);
    }

    #[test]
    fn rooms_and_depths_follow_the_folders() {
        let place = |path: &str| {
            let source = Source::new(path, "");
            (source.room().to_owned(), source.depth())
        };
        assert_eq!(place("src/lib.rs"), ("lib".to_owned(), 0));
        assert_eq!(place("src/cli.rs"), ("cli".to_owned(), 1));
        assert_eq!(place("src/git/mod.rs"), ("git".to_owned(), 1));
        assert_eq!(place("src/git/tree.rs"), ("git".to_owned(), 2));
        assert_eq!(place("src/a/b/mod.rs"), ("a".to_owned(), 2));
    }
}
