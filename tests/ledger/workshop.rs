//! A repository with a small design in it, and the program at hand.

use std::path::{Path, PathBuf};
use std::process::Output;

use serde_json::Value;

use crate::common::Scratch;

/// The program under test.
const PROGRAM: &str = env!("CARGO_BIN_EXE_tagworthy");

const MANIFEST: &str = r#"
[design]
name = "lantern"
top = "scanner"
next = "1.0.0"
currency = "EUR"
records = ["parts/*.toml"]
[requirement.carry-mass]
part = "scanner"
quantity = "mass"
at-most = "1200 g"
"#;

/// A lamp of some grams.
pub fn lamp(grams: u32) -> String {
    format!("[part.lamp]\norigin = \"bought\"\nmpn = \"L-{grams}\"\nmass = \"{grams} g\"\n")
}

/// A repository with a design of three parts: 900 g and a lamp of 250 g, of 1200 g.
pub struct Workshop {
    pub scratch: Scratch,
    pub folder: PathBuf,
}

impl Workshop {
    pub fn new() -> Self {
        Self::with_init(&[])
    }

    /// The same in a repository that `git init` makes with further arguments.
    pub fn with_init(arguments: &[&str]) -> Self {
        let scratch = Scratch::with_init(arguments);
        let folder = scratch.path();
        scratch.write("tagworthy.toml", MANIFEST);
        scratch.write(
            "parts/scanner.toml",
            "[part.scanner]\norigin = \"assembled\"\ncontains = { frame = 1, lamp = 1 }\n",
        );
        let frame = "[part.frame]\norigin = \"machined\"\nmass = \"900 g\"\nsources = [\"/cad/frame.step\"]\n";
        scratch.write("parts/frame.toml", frame);
        scratch.write("parts/lamp.toml", lamp(250));
        scratch.write("cad/frame.step", "one");
        scratch.commit("First light");
        Self { scratch, folder }
    }

    /// The example, laid out by the program.
    pub fn lantern() -> Self {
        let scratch = Scratch::new();
        let folder = scratch.folder("lantern");
        let workshop = Self { scratch, folder };
        let to = workshop.folder.to_str().unwrap();
        let mut demo = workshop.scratch.command(PROGRAM, &workshop.scratch.path());
        assert!(demo.args(["demo", to]).output().unwrap().status.success());
        workshop
    }

    /// The last revisions of the example, without those before them.
    pub fn end_of_lantern() -> Self {
        let Self { scratch, folder } = Self::lantern();
        let origin = format!("file://{}", folder.display());
        let end = scratch.folder("end");
        scratch.git(&["clone", "--quiet", "--depth=2", &origin, end.to_str().unwrap()]);
        Self { scratch, folder: end }
    }

    /// Commits a change of one file.
    pub fn change(&self, path: &str, content: &str, message: &str) -> &Self {
        self.scratch.write(path, content).commit(message);
        self
    }

    pub fn git(&self, arguments: &[&str]) -> String {
        let printed = self.scratch.git_in(&self.folder, arguments);
        String::from_utf8(printed).unwrap().trim_end().to_owned()
    }

    /// Runs the program in the design's folder.
    pub fn run(&self, arguments: &[&str]) -> Output {
        self.scratch.command(PROGRAM, &self.folder).args(arguments).output().unwrap()
    }

    /// Takes a loose object away, and holds the ledger to naming it.
    #[track_caller]
    pub fn names_when_lost(&self, object: &str) {
        let (folder, file) = object.split_at(2);
        std::fs::remove_file(self.folder.join(".git/objects").join(folder).join(file)).unwrap();
        let output = self.run(&["ledger"]);
        assert_eq!(output.status.code(), Some(2));
        let said = String::from_utf8(output.stderr).unwrap();
        assert!(said.contains(&format!("object {object} is missing")), "{said}");
    }

    /// What `ledger` prints.
    #[track_caller]
    pub fn ledger(&self, arguments: &[&str]) -> String {
        let output = self.run(&[&["ledger"], arguments].concat());
        let said = String::from_utf8_lossy(&output.stderr);
        assert!(output.status.success(), "{said}");
        String::from_utf8(output.stdout).unwrap()
    }

    /// The rows of the ledger.
    #[track_caller]
    pub fn rows(&self, arguments: &[&str]) -> Vec<Value> {
        self.rows_in(&self.folder, arguments)
    }

    /// The rows of the ledger in another folder.
    #[track_caller]
    pub fn rows_in(&self, folder: &Path, arguments: &[&str]) -> Vec<Value> {
        let mut command = self.scratch.command(PROGRAM, folder);
        let output =
            command.args(["ledger", "--format", "ndjson"]).args(arguments).output().unwrap();
        assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stderr));
        let lines = String::from_utf8(output.stdout).unwrap();
        lines.lines().map(|line| serde_json::from_str(line).unwrap()).collect()
    }

    /// What is kept of earlier runs is forgotten.
    pub fn forget(&self) {
        let _ = std::fs::remove_dir_all(self.folder.join(".git/tagworthy"));
    }
}

/// The subjects of rows.
pub fn subjects(rows: &[Value]) -> Vec<&str> {
    rows.iter().map(|row| row["subject"].as_str().unwrap()).collect()
}
