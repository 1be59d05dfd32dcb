//! The example project, brought to its release by the commands that the README shows.

use std::path::Path;

use crate::common::Scratch;

/// The commands of the README's section on the way to a release.
fn commands() -> String {
    let readme = Path::new(env!("CARGO_MANIFEST_DIR")).join("README.md");
    let readme = std::fs::read_to_string(readme).unwrap();
    let section = readme.split("\n## To a release\n").nth(1).unwrap();
    let block = section.split("```sh\n").nth(1).unwrap();
    block.split("```").next().unwrap().to_owned()
}

#[cfg(unix)]
#[test]
fn the_commands_of_the_readme_lead_to_the_release() {
    let mut scratch = Scratch::new();
    for role in ["AUTHOR", "COMMITTER"] {
        scratch.set(&format!("GIT_{role}_DATE"), "2026-11-20T18:00:00+01:00");
    }
    let program = Path::new(env!("CARGO_BIN_EXE_tagworthy"));
    let lay_out = scratch.command(program, &scratch.folder("")).args(["demo", "lantern"]).output();
    assert!(lay_out.unwrap().status.success());
    let folder = scratch.folder("lantern");
    let path = std::env::var("PATH").unwrap_or_default();
    let path = format!("{}:{path}", program.parent().unwrap().display());
    let mut shell = scratch.command("sh", &folder);
    let output = shell.env("PATH", path).args(["-e", "-c", &commands()]).output().unwrap();
    let (shown, told) =
        (String::from_utf8_lossy(&output.stdout), String::from_utf8_lossy(&output.stderr));
    assert!(output.status.success(), "{shown}\n{told}");
    assert!(shown.contains("ready, nothing in the way"), "{shown}");
    assert!(shown.contains("released as v1.0.0"), "{shown}");
    assert!(shown.contains("its record is what is worked out"), "{shown}");
    assert!(shown.contains("lantern 0.9.0 → 1.0.0: make 2 parts"), "{shown}");
    let kind = scratch.git_in(&folder, &["cat-file", "-t", "v1.0.0"]);
    assert_eq!(String::from_utf8_lossy(&kind).trim(), "tag");
}
