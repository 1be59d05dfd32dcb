//! The example project, brought to its release by the commands that the README shows.

use std::path::{Path, PathBuf};

use crate::common::Scratch;

/// The commands of the README's section on the way to a release.
fn commands() -> String {
    let readme = Path::new(env!("CARGO_MANIFEST_DIR")).join("README.md");
    let readme = std::fs::read_to_string(readme).unwrap();
    let section = readme.split("\n## To a release\n").nth(1).unwrap();
    let block = section.split("```sh\n").nth(1).unwrap();
    block.split("```").next().unwrap().to_owned()
}

const PROGRAM: &str = env!("CARGO_BIN_EXE_tagworthy");

/// The example, laid out in a folder.
fn laid_out(scratch: &Scratch) -> PathBuf {
    let lay_out = scratch.command(PROGRAM, &scratch.folder("")).args(["demo", "lantern"]).output();
    assert!(lay_out.unwrap().status.success());
    scratch.folder("lantern")
}

/// One lens is 79.00 EUR round the corner. The other shop's is 69.00 EUR and 19 % of tax, 82.11 EUR, and
/// for ten 64.00 EUR, 76.16 EUR; from 200 EUR on its parcel is free.
#[test]
fn ten_lenses_come_from_another_shop_than_one() {
    let scratch = Scratch::new();
    let folder = laid_out(&scratch);
    let lens = |builds: &str| {
        let mut command = scratch.command(PROGRAM, &folder);
        let output = command.args(["bom", "--builds", builds, "--format", "csv"]).output().unwrap();
        let sheet = String::from_utf8(output.stdout).unwrap();
        let line = sheet.lines().find(|line| line.starts_with("0,lens,")).unwrap();
        let cells: Vec<&str> = line.split(',').collect();
        cells[cells.len() - 5..cells.len() - 1].join(" ")
    };
    assert_eq!(lens("1"), "corner-shop M35-28 1 79");
    assert_eq!(lens("10"), "optics-shop M35-28 10 761.6");
}

#[cfg(unix)]
#[test]
fn the_commands_of_the_readme_lead_to_the_release() {
    let mut scratch = Scratch::new();
    for role in ["AUTHOR", "COMMITTER"] {
        scratch.set(&format!("GIT_{role}_DATE"), "2026-11-20T18:00:00+01:00");
    }
    let program = Path::new(PROGRAM);
    let folder = laid_out(&scratch);
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
    let message = scratch.git_in(&folder, &["tag", "--list", "--format=%(contents)", "v1.0.0"]);
    let message = String::from_utf8(message).unwrap();
    // What the second look was told of the gate's temperature, and who wrote the waivers.
    assert!(
        message.contains("- gate-stays-cool stale → fail by `cdd23b1` of Ines Okafor"),
        "{message}"
    );
    assert!(message.contains("- gate-stays-cool fail → waived by"), "{message}");
    assert!(message.contains("\"film-gate.temperature\": ["), "{message}");
    assert!(message.contains("\"export-order of led-panel\": ["), "{message}");
    let kind = scratch.git_in(&folder, &["cat-file", "-t", "v1.0.0"]);
    assert_eq!(String::from_utf8_lossy(&kind).trim(), "tag");
}
