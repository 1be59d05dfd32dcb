//! A repository with a small design in it, and the program at hand.

use std::fs;
use std::path::{Path, PathBuf};
use std::process::Output;

use crate::common::Scratch;

/// The program under test.
pub const PROGRAM: &str = env!("CARGO_BIN_EXE_tagworthy");

const MANIFEST: &str = r#"
[design]
name = "lantern"
top = "scanner"
next = "1.0.0"
currency = "EUR"
records = ["parts/*.toml"]
"#;

const SCANNER: &str = r#"
[supplier.lamp-shop]

[part.scanner]
origin = "assembled"
contains = { frame = 1, lamp = 1 }

[requirement.carry-mass]
part = "scanner"
quantity = "mass"
at-most = "1200 g"
"#;

const FRAME: &str = r#"
[part.frame]
origin = "machined"
mass = "900 g"
sources = ["frame.dxf"]
"#;

/// A lamp of another make, or of another weight.
pub fn lamp(mpn: &str, mass: &str) -> String {
    format!(
        r#"
[part.lamp]
title = "Lamp"
origin = "bought"
maker = "Brightside"
mpn = "{mpn}"
mass = "{mass}"
offer = [{{ supplier = "lamp-shop", code = "{mpn}", price = "12.50 EUR" }}]
"#
    )
}

/// A repository with the design committed and the hook installed.
pub struct Workshop {
    pub scratch: Scratch,
    /// Where the design and the work on it are.
    pub folder: PathBuf,
}

impl Workshop {
    /// The design at the root of the repository.
    pub fn new() -> Self {
        let scratch = Scratch::new();
        let folder = scratch.path();
        let workshop = Self { scratch, folder };
        workshop.write_design();
        workshop.scratch.commit("First light");
        workshop.install(&[]);
        workshop
    }

    /// Writes the design that holds its limit: 1150 g of 1200 g.
    pub fn write_design(&self) {
        self.write("tagworthy.toml", MANIFEST);
        self.write("parts/scanner.toml", SCANNER);
        self.write("parts/frame.toml", FRAME);
        self.write("parts/frame.dxf", "0\nEOF\n");
        self.write("parts/lamp.toml", &lamp("L-250", "250 g"));
    }

    /// Writes a file of the design.
    pub fn write(&self, path: &str, content: &str) {
        let path = self.folder.join(path);
        fs::create_dir_all(path.parent().unwrap()).unwrap();
        fs::write(path, content).unwrap();
    }

    /// Runs the program where the work is.
    pub fn tagworthy(&self, arguments: &[&str]) -> Output {
        self.scratch.command(PROGRAM, &self.folder).args(arguments).output().unwrap()
    }

    /// `hooks install`, which must succeed; what it says.
    pub fn install(&self, arguments: &[&str]) -> String {
        let output = self.tagworthy(&[&["hooks", "install"], arguments].concat());
        assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stderr));
        String::from_utf8(output.stdout).unwrap()
    }

    /// Runs git where the work is, whether it succeeds or not.
    pub fn git(&self, arguments: &[&str]) -> Output {
        self.scratch.try_git_in(&self.folder, arguments)
    }

    /// Runs git where the work is; it must succeed. What it and its hooks say.
    pub fn lets(&self, arguments: &[&str]) -> String {
        let output = self.git(arguments);
        let said = String::from_utf8_lossy(&output.stderr).into_owned();
        assert!(output.status.success(), "git {arguments:?} was refused:\n{said}");
        said
    }

    /// Runs git where the work is; it must be refused. What the hook says.
    pub fn refuses(&self, arguments: &[&str]) -> String {
        let head = self.head();
        let output = self.git(arguments);
        let said = String::from_utf8_lossy(&output.stderr).into_owned();
        assert!(!output.status.success(), "git {arguments:?} was let through:\n{said}");
        assert_eq!(self.head(), head, "nothing is committed");
        said
    }

    /// The commit that is checked out; empty before the first one.
    pub fn head(&self) -> String {
        String::from_utf8(self.git(&["rev-parse", "-q", "--verify", "HEAD"]).stdout).unwrap()
    }

    /// The installed hook before a commit.
    pub fn hook(&self) -> PathBuf {
        self.named_hook("pre-commit")
    }

    /// The installed hook of this name.
    pub fn named_hook(&self, name: &str) -> PathBuf {
        self.scratch.path().join(".git/hooks").join(name)
    }

    /// What lies in a file of the design.
    pub fn read(&self, path: &str) -> String {
        fs::read_to_string(self.folder.join(path)).unwrap()
    }

    /// Replaces a text in a file of the design.
    pub fn change(&self, path: &str, from: &str, to: &str) {
        let text = self.read(path);
        assert!(text.contains(from), "{path} holds no {from}");
        self.write(path, &text.replace(from, to));
    }

    /// Adds a line to the manifest, and commits that.
    pub fn rule(&self, lines: &str) {
        let manifest = self.read("tagworthy.toml");
        self.write("tagworthy.toml", &format!("{manifest}\n{lines}\n"));
        self.lets(&["commit", "-qam", "Another rule"]);
    }

    /// Makes the lamp another one and commits everything, past the hooks where need be.
    pub fn commit_lamp(&self, mpn: &str, mass: &str) {
        self.write("parts/lamp.toml", &lamp(mpn, mass));
        self.lets(&["add", "."]);
        self.lets(&["commit", "--no-verify", "-qm", &format!("{mpn} of {mass}")]);
    }

    /// Makes the design one that can be released: licence named and there.
    pub fn get_ready(&self) {
        self.change("tagworthy.toml", "records =", "license = \"CC0-1.0\"\nrecords =");
        self.write("LICENSE", "SPDX-License-Identifier: CC0-1.0\n");
        self.lets(&["add", "."]);
        self.lets(&["commit", "-qm", "Ready"]);
    }

    /// A bare repository beside this one that takes pushes, with the hook for them installed; it is
    /// this one's `origin` and has its `main`.
    pub fn shared(&self) -> PathBuf {
        let bare = self.scratch.folder("shared.git");
        let path = bare.to_str().unwrap();
        self.scratch.git_in(&self.folder, &["init", "-q", "--bare", "-b", "main", path]);
        self.lets(&["remote", "add", "origin", path]);
        self.lets(&["push", "-q", "origin", "main"]);
        let output =
            self.scratch.command(PROGRAM, &bare).args(["hooks", "install"]).output().unwrap();
        assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stderr));
        bare
    }
}

/// What a hook says, without what differs from run to run: object ids.
pub fn without_ids(said: &str) -> String {
    let is_id = |word: &str| word.len() >= 7 && word.bytes().all(|byte| byte.is_ascii_hexdigit());
    let word = |word: &str| {
        let bare = word.trim_end_matches([':', ',', ';']);
        if is_id(bare) { word.replace(bare, "ID") } else { word.to_owned() }
    };
    let line = |line: &str| line.split(' ').map(word).collect::<Vec<_>>().join(" ");
    said.lines().map(|said| line(said).trim_end().to_owned()).collect::<Vec<_>>().join("\n")
}

/// What a shared repository says to whom pushes, as its hook said it.
pub fn from_remote(said: &str) -> String {
    let lines = said.lines().filter_map(|line| line.strip_prefix("remote:"));
    let lines = lines.map(|line| line.strip_prefix(' ').unwrap_or(line));
    without_ids(lines.collect::<Vec<_>>().join("\n").trim_end())
}

/// Writes a program.
pub fn write_script(path: &Path, script: &str) {
    use std::os::unix::fs::PermissionsExt;
    fs::create_dir_all(path.parent().unwrap()).unwrap();
    fs::write(path, script).unwrap();
    fs::set_permissions(path, fs::Permissions::from_mode(0o755)).unwrap();
}
