//! A small design that is ready.

use std::process::Output;

use crate::common::Scratch;

const MANIFEST: &str = r#"
[design]
name = "lantern"
title = "Lantern,\na [scanner](https://lantern.example) for @all\n# <b>and sundry</b>"
top = "scanner"
next = "0.1.0"
currency = "EUR"
license = "CERN-OHL-S-2.0"
records = ["parts/*.toml"]
"#;

/// The parts, with the gate in a version and of a size.
pub fn parts(gate: &str, slot: &str) -> String {
    format!(
        r#"
[part.scanner]
origin = "assembled"
contains = {{ gate = 1, lamp = 1 }}
[part.gate]
origin = "printed"
version = "{gate}"
sources = ["gate.scad"]
exports = ["gate.stl"]
mass = "31 g ± 1 g"
dimension = {{ slot = "{slot} ± 0.1 mm" }}
[part.lamp]
title = "Lamp"
origin = "bought"
mass = "100 g"
[[part.lamp.offer]]
supplier = "corner-shop"
code = "L-1"
price = "4 EUR"
[supplier.corner-shop]
[requirement.carry-mass]
part = "scanner"
quantity = "mass"
at-most = "200 g"
"#
    )
}

/// The design in a repository.
pub struct Workshop(pub Scratch);

impl Workshop {
    pub fn new() -> Self {
        let scratch = Scratch::new();
        scratch
            .write("tagworthy.toml", MANIFEST)
            .write("LICENSE", "SPDX-License-Identifier: CERN-OHL-S-2.0\n")
            .write("parts/scanner.toml", parts("1.0.0", "5 mm"))
            .write("parts/gate.scad", "cube(5);\n")
            .write("parts/gate.stl", "solid gate\nendsolid gate\n");
        scratch.commit("First light");
        Self(scratch)
    }

    /// Changes the gate, and commits that.
    pub fn with_gate(&self, version: &str, slot: &str) -> &Self {
        self.0.write("parts/scanner.toml", parts(version, slot)).commit("Another gate");
        self
    }

    /// Prepares another release, and commits that.
    pub fn prepare(&self, next: &str) -> &Self {
        let manifest = MANIFEST.replace("next = \"0.1.0\"", &format!("next = \"{next}\""));
        self.0.write("tagworthy.toml", manifest).commit("Go on");
        self
    }

    /// What the program prints; it must succeed.
    #[track_caller]
    pub fn says(&self, arguments: &[&str]) -> String {
        self.ends(arguments, 0)
    }

    /// What the program prints where it refuses.
    #[track_caller]
    pub fn refuses(&self, arguments: &[&str]) -> String {
        self.ends(arguments, 1)
    }

    /// Why the program could not decide.
    #[track_caller]
    pub fn fails(&self, arguments: &[&str]) -> String {
        let output = self.run(arguments);
        assert_eq!(output.status.code(), Some(2), "{arguments:?}");
        String::from_utf8(output.stderr).unwrap()
    }

    /// The message of a tag, as git shows it.
    pub fn message(&self, tag: &str) -> String {
        let name = format!("refs/tags/{tag}");
        String::from_utf8(self.0.git(&["for-each-ref", "--format=%(contents)", &name])).unwrap()
    }

    /// The tags that there are.
    pub fn tags(&self) -> String {
        self.0.git_line(&["tag", "--list"])
    }

    #[track_caller]
    fn ends(&self, arguments: &[&str], status: i32) -> String {
        let output = self.run(arguments);
        let told = String::from_utf8_lossy(&output.stderr);
        let shown = String::from_utf8(output.stdout).unwrap();
        assert_eq!(output.status.code(), Some(status), "{arguments:?}\n{shown}\n{told}");
        shown
    }

    pub fn run(&self, arguments: &[&str]) -> Output {
        let program = env!("CARGO_BIN_EXE_tagworthy");
        let mut command = self.0.command(program, &self.0.path());
        command.env("COLUMNS", "120").args(arguments).output().unwrap()
    }
}
