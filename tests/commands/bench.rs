//! A small design with a requirement that only a test can show.

use std::fs;

use crate::common::Scratch;

const MANIFEST: &str = r#"
[design]
name = "lantern"
top = "scanner"
next = "1.0.0"
currency = "EUR"
records = ["parts/*.toml", "design/*.toml"]
"#;

const SCANNER: &str = r#"
[part.scanner]
origin = "assembled"
contains = { gate = 1, lamp = 1 }
[part.gate]
origin = "machined"
mass = "31 g"

[requirement.gate-light]
part = "gate"
quantity = "mass"
at-most = "40 g"
method = "test"

[requirement.carry-mass]
part = "scanner"
quantity = "mass"
at-most = "200 g"
"#;

/// The lamp of another make.
pub fn lamp(mpn: &str) -> String {
    format!("[part.lamp]\norigin = \"bought\"\nmpn = \"{mpn}\"\nmass = \"250 g\"\n")
}

/// The gate cut to another size.
pub fn resized() -> String {
    SCANNER.replace("mass = \"31 g\"", "mass = \"31 g\"\ndimension = { slot = \"5 mm\" }")
}

/// Where results are written down, with a remark and lines that end as on Windows.
pub const RESULTS: &str = "# results of bench 2\r\n";

/// The design in a repository, with nothing measured yet.
pub struct Bench(pub Scratch);

impl Bench {
    pub fn new() -> Self {
        let bench = Self::uncommitted();
        bench.0.commit("First light");
        bench
    }

    /// The same before the first commit.
    pub fn uncommitted() -> Self {
        let scratch = Scratch::new();
        scratch.git(&["config", "user.name", "Ada Frame"]);
        scratch.git(&["config", "core.autocrlf", "false"]);
        scratch.write("tagworthy.toml", MANIFEST).write("parts/scanner.toml", SCANNER);
        scratch.write("parts/lamp.toml", lamp("L-250")).write("design/evidence.toml", RESULTS);
        Self(scratch)
    }

    /// What the program prints; it must succeed.
    #[track_caller]
    pub fn says(&self, arguments: &[&str]) -> String {
        self.says_in(".", arguments)
    }

    /// The same in a folder below the root.
    #[track_caller]
    pub fn says_in(&self, folder: &str, arguments: &[&str]) -> String {
        let output = self.run_in(folder, arguments);
        let told = String::from_utf8_lossy(&output.stderr);
        assert!(output.status.success(), "{arguments:?} was refused:\n{told}");
        String::from_utf8(output.stdout).unwrap()
    }

    /// Why the program could not do it; nothing may have been written.
    #[track_caller]
    pub fn fails(&self, arguments: &[&str]) -> String {
        let before = self.0.git(&["status", "--porcelain", "-v", "-v"]);
        let output = self.run(arguments);
        assert_eq!(output.status.code(), Some(2), "{arguments:?}");
        assert_eq!(self.0.git(&["status", "--porcelain", "-v", "-v"]), before, "{arguments:?}");
        String::from_utf8(output.stderr).unwrap()
    }

    /// The verdict on a requirement in `ready`.
    pub fn verdict(&self, requirement: &str) -> String {
        let output = String::from_utf8(self.run(&["ready"]).stdout).unwrap();
        let name = format!(" {requirement} ");
        let line = output.lines().find(|line| line.contains(&name)).unwrap_or_default();
        line.split_whitespace().next().unwrap_or_default().to_owned()
    }

    pub fn read(&self, path: &str) -> String {
        fs::read_to_string(self.0.path().join(path)).unwrap()
    }

    pub fn head(&self) -> String {
        self.0.git_line(&["rev-parse", "--short", "HEAD"])
    }

    fn run(&self, arguments: &[&str]) -> std::process::Output {
        self.run_in(".", arguments)
    }

    /// What the program comes to in a folder below the root.
    pub fn run_in(&self, folder: &str, arguments: &[&str]) -> std::process::Output {
        let program = env!("CARGO_BIN_EXE_tagworthy");
        self.0
            .command(program, &self.0.path().join(folder))
            .env("COLUMNS", "120")
            .args(arguments)
            .output()
            .unwrap()
    }
}
