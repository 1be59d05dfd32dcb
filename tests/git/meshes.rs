//! Meshes as they lie in a repository: in git itself, behind a pointer, and as what they should not be.

use std::fs;
use std::io::{Cursor, Write};
use std::path::PathBuf;

use zip::write::{SimpleFileOptions, ZipWriter};

use crate::common::Scratch;
use crate::common::large::{fetch, place_of, pointer_to, tetrahedron};

/// A gate that is printed of a material of 1 g/cm³ and weighs what its mesh encloses.
const DESIGN: &str = r#"
[design]
name = "lantern"
top = "gate"
next = "1.0.0"
currency = "EUR"
records = ["gate.toml"]
"#;

const GATE: &str = r#"
[part.gate]
origin = "printed"
material = "wax"
mesh = { file = "gate.stl", unit = "mm" }
[material.wax]
density = "1 g/cm³"
[requirement.light]
part = "gate"
quantity = "mass"
at-most = "40 g"
"#;

/// What is said of a gate that cannot be weighed.
const NOT_FETCHED: &str = "unproven; `gate.stl` (of `gate`) is only a pointer here";

fn repository() -> Scratch {
    let scratch = Scratch::new();
    scratch.write("tagworthy.toml", DESIGN).write("gate.toml", GATE);
    scratch
}

/// 60 mm · 60 mm · 60 mm / 6 of 1 g/cm³.
const LIGHT: &str = "pass 36 g";

/// The same as binary STL.
fn binary(triangles: u32) -> Vec<u8> {
    let mut bytes = vec![b' '; 80];
    bytes.extend(triangles.to_le_bytes());
    bytes.extend([0; 50].repeat(4));
    bytes
}

fn json(scratch: &Scratch, arguments: &[&str]) -> serde_json::Value {
    let program = env!("CARGO_BIN_EXE_tagworthy");
    let mut command = scratch.command(program, &scratch.path());
    let output = command.args(arguments).args(["--format", "json"]).output().unwrap();
    let told = String::from_utf8_lossy(&output.stderr);
    assert!(matches!(output.status.code(), Some(0 | 1)), "{arguments:?}: {told}");
    serde_json::from_slice(&output.stdout).unwrap()
}

/// The verdict on the gate's mass with its value, and what is found about its files.
fn told_at(scratch: &Scratch, state: &[&str]) -> String {
    let report = json(scratch, &[&["ready"], state].concat());
    let light = &report["requirements"][0];
    let mut told = light["verdict"].as_str().unwrap().to_owned();
    if let Some(value) =
        light["value"]["text"].as_str().filter(|_| told == "pass" || told == "fail")
    {
        told += &format!(" {value}");
    }
    for finding in report["findings"].as_array().unwrap() {
        if matches!(finding["check"].as_str().unwrap(), "mesh-sound" | "files-present") {
            told += &format!("; {}", finding["message"].as_str().unwrap());
        }
    }
    told
}

/// The same in a revision, the index and the working tree.
#[track_caller]
fn check_everywhere(scratch: &Scratch, expected: &str) {
    scratch.commit("A gate");
    for state in [&["--at", "HEAD"][..], &["--staged"], &[]] {
        assert_eq!(told_at(scratch, state), expected, "{state:?}");
    }
}

/// What is said of a gate whose mesh is `bytes`.
#[track_caller]
fn check(bytes: impl AsRef<[u8]>, expected: &str) {
    let scratch = repository();
    scratch.write("gate.stl", bytes);
    check_everywhere(&scratch, expected);
}

#[test]
fn a_mesh_is_measured_in_a_revision_in_the_index_and_on_disk() {
    let scratch = repository();
    scratch.write("gate.stl", tetrahedron(60)).commit("A gate");
    scratch.write("gate.stl", tetrahedron(50)).git(&["add", "gate.stl"]);
    scratch.write("gate.stl", tetrahedron(70));
    assert_eq!(told_at(&scratch, &["--at", "HEAD"]), LIGHT);
    assert_eq!(told_at(&scratch, &["--staged"]), "pass 30 g");
    assert_eq!(told_at(&scratch, &[]), "fail 42 g");
}

#[test]
fn a_pointer_says_nothing_until_its_content_was_fetched() {
    let scratch = repository();
    let mesh = tetrahedron(60);
    scratch.write("gate.stl", pointer_to(mesh.as_bytes()));
    check_everywhere(&scratch, NOT_FETCHED);
    fetch(&scratch, &mesh);
    check_everywhere(&scratch, LIGHT);
}

#[test]
fn a_source_is_no_pointer_alone_where_a_release_is_judged() {
    let scratch = repository();
    let (mesh, source) = (tetrahedron(60), "how the gate is drawn");
    let gate = GATE.replace("[material.wax]", "sources = [\"gate.scad\"]\n[material.wax]");
    scratch.write("gate.toml", gate).write("gate.stl", &mesh);
    scratch.write("gate.scad", pointer_to(source.as_bytes()));
    check_everywhere(&scratch, &format!("{LIGHT}; `gate.scad` (of `gate`) is only a pointer here"));
    fetch(&scratch, source);
    check_everywhere(&scratch, LIGHT);
}

/// The setting is that of git-lfs-config(5) (from memory): a relative folder lies in git's own.
#[test]
fn what_was_fetched_may_lie_elsewhere() {
    for set in ["lfs-of-all", "~/lfs-of-all", "/"] {
        let scratch = repository();
        let elsewhere = match set {
            "lfs-of-all" => scratch.path().join(".git").join(set),
            "~/lfs-of-all" => scratch.home().join("lfs-of-all"),
            _ => scratch.folder("shared/by everyone"),
        };
        let set = if set == "/" { elsewhere.to_str().unwrap() } else { set };
        let mesh = tetrahedron(60);
        scratch.write("gate.stl", pointer_to(mesh.as_bytes()));
        fetch(&scratch, &mesh);
        scratch.git(&["config", "lfs.storage", set]);
        check_everywhere(&scratch, NOT_FETCHED);
        fs::create_dir_all(elsewhere.parent().unwrap()).unwrap();
        fs::rename(scratch.path().join(".git/lfs"), elsewhere).unwrap();
        check_everywhere(&scratch, LIGHT);
    }
}

/// What is known of a content does not go with it.
#[test]
fn facts_outlive_the_content() {
    let scratch = repository();
    let mesh = tetrahedron(60);
    scratch.write("gate.stl", pointer_to(mesh.as_bytes()));
    fetch(&scratch, &mesh);
    check_everywhere(&scratch, LIGHT);
    fs::remove_dir_all(scratch.path().join(".git/lfs")).unwrap();
    check_everywhere(&scratch, LIGHT);
    fs::remove_dir_all(scratch.path().join(".git/tagworthy")).unwrap();
    check_everywhere(&scratch, NOT_FETCHED);
}

#[test]
fn every_working_tree_finds_what_was_fetched_for_one() {
    let scratch = repository();
    let mesh = tetrahedron(60);
    scratch.write("gate.stl", pointer_to(mesh.as_bytes())).commit("A gate");
    fetch(&scratch, &mesh);
    let other = scratch.folder("other");
    scratch.git(&["worktree", "add", "--quiet", other.to_str().unwrap()]);
    let program = env!("CARGO_BIN_EXE_tagworthy");
    let output = scratch.command(program, &other).args(["ready"]).output().unwrap();
    let told = String::from_utf8(output.stdout).unwrap();
    assert!(told.contains("pass") && told.contains("36 g"), "{told}");
}

/// A file with the attribute of large files holds the content before it is staged, and nothing was
/// fetched for it.
#[test]
fn the_content_may_lie_in_the_working_tree_alone() {
    let scratch = repository();
    let mesh = tetrahedron(60);
    scratch.write(".gitattributes", "*.stl filter=lfs\n");
    scratch.write("gate.stl", &mesh);
    assert_eq!(told_at(&scratch, &[]), LIGHT);
    scratch.write("gate.stl", pointer_to(tetrahedron(50).as_bytes()));
    assert_eq!(told_at(&scratch, &[]), NOT_FETCHED);
}

#[test]
fn what_was_fetched_is_used_only_if_it_is_what_the_pointer_says() {
    let mesh = tetrahedron(60);
    let fetched = |content: &[u8]| {
        let scratch = repository();
        scratch.write("gate.stl", pointer_to(mesh.as_bytes()));
        fs::write(place_of(&scratch, mesh.as_bytes()), content).unwrap();
        told_at(&scratch, &[])
    };
    let unusable = "unproven; `gate.stl` (of `gate`) cannot be used here: what was fetched for it";
    let other = mesh.replacen("60", "50", 1);
    assert_eq!(
        fetched(other.as_bytes()),
        format!("{unusable} has another digest than its pointer says")
    );
    let (cut, size) = (&mesh.as_bytes()[..9], mesh.len());
    assert_eq!(fetched(cut), format!("{unusable} has 9 bytes, where its pointer says {size}"));
}

#[cfg(unix)]
#[test]
fn neither_a_link_nor_a_pipe_is_opened() {
    let mesh = tetrahedron(60);
    let told = |make: &dyn Fn(&Scratch, PathBuf)| {
        let scratch = repository();
        scratch.write("gate.stl", pointer_to(mesh.as_bytes()));
        make(&scratch, place_of(&scratch, mesh.as_bytes()));
        told_at(&scratch, &[])
    };
    let unusable = "unproven; `gate.stl` (of `gate`) cannot be used here: what was fetched for it";
    let link = |scratch: &Scratch, place: PathBuf| {
        scratch.write("elsewhere", &mesh);
        std::os::unix::fs::symlink(scratch.path().join("elsewhere"), place).unwrap();
    };
    let is_link = "is a symbolic link, which is not followed";
    assert_eq!(told(&link), format!("{unusable} {is_link}"));
    let linked_folder = |scratch: &Scratch, place: PathBuf| {
        let folder = place.parent().unwrap();
        fs::write(&place, &mesh).unwrap();
        fs::rename(folder, scratch.folder("elsewhere")).unwrap();
        std::os::unix::fs::symlink(scratch.folder("elsewhere"), folder).unwrap();
    };
    assert_eq!(told(&linked_folder), format!("{unusable} {is_link}"));
    let pipe = |scratch: &Scratch, place: PathBuf| {
        let made = scratch.command("mkfifo", &scratch.path()).arg(place).status().unwrap();
        assert!(made.success());
    };
    assert_eq!(told(&pipe), format!("{unusable} is no regular file"));
    let folder = |_: &Scratch, place: PathBuf| fs::create_dir(place).unwrap();
    assert_eq!(told(&folder), format!("{unusable} is no regular file"));
}

#[cfg(unix)]
#[test]
fn a_link_or_a_pipe_where_the_mesh_should_be_is_told() {
    let scratch = repository();
    scratch.write("elsewhere.stl", tetrahedron(60));
    std::os::unix::fs::symlink("elsewhere.stl", scratch.path().join("gate.stl")).unwrap();
    let link = "`gate.stl` is a symbolic link, which is never followed (of `gate`)";
    check_everywhere(&scratch, &format!("unproven; {link}"));
    let scratch = repository();
    scratch.write("gate.stl", tetrahedron(60)).commit("A gate");
    fs::remove_file(scratch.path().join("gate.stl")).unwrap();
    let made = scratch.command("mkfifo", &scratch.path()).arg("gate.stl").status().unwrap();
    assert!(made.success());
    assert_eq!(told_at(&scratch, &[]), "unproven; `gate.stl` is not there (of `gate`)");
}

/// Git stores the text with `\n` where attributes say so, and the shape is the same in any case.
#[test]
fn line_endings_of_a_text_mesh_make_no_difference() {
    for attributes in ["", "*.stl text\n", "*.stl text eol=crlf\n", "*.stl -text\n"] {
        let scratch = repository();
        scratch.write(".gitattributes", attributes);
        scratch.write("gate.stl", tetrahedron(60));
        check_everywhere(&scratch, LIGHT);
        scratch.write("gate.stl", tetrahedron(60).replace('\n', "\r\n"));
        assert_eq!(told_at(&scratch, &[]), LIGHT, "{attributes}");
        let parts = json(&scratch, &["impact"])["parts"].clone();
        assert_eq!(parts.as_array().map(Vec::len), Some(0), "{attributes}");
    }
}

#[test]
fn a_mesh_that_is_cut_short_or_lies_is_told() {
    let unreadable = "unproven; `gate.stl` (of `gate`) cannot be read:";
    let bytes = binary(u32::MAX);
    let lie = "it is cut short: its header promises 4294967295 triangles, it has bytes for 4";
    check(&bytes, &format!("{unreadable} {lie}"));
    let cut = &binary(4)[..200];
    let told = "it is cut short: its header promises 4 triangles, it has bytes for 2";
    check(cut, &format!("{unreadable} {told}"));
    let text = tetrahedron(60);
    let half = &text[..text.find("vertex 0 60").unwrap()];
    check(half, &format!("{unreadable} it is cut short in line 4, where vertex should follow"));
    check("", &format!("{unreadable} the file is empty"));
    let nan = text.replacen("60", "nan", 1);
    check(&nan, &format!("{unreadable} a corner has a coordinate that is no finite number"));
}

#[test]
fn a_package_that_unpacks_to_more_than_a_mesh_is_told() {
    const RELATIONSHIPS: &str = "<Relationships><Relationship Target='/3D/3dmodel.model' \
        Type='http://schemas.microsoft.com/3dmanufacturing/2013/01/3dmodel'/></Relationships>";
    let mut writer = ZipWriter::new(Cursor::new(Vec::new()));
    writer.start_file("_rels/.rels", SimpleFileOptions::default()).unwrap();
    writer.write_all(RELATIONSHIPS.as_bytes()).unwrap();
    writer.start_file("3D/3dmodel.model", SimpleFileOptions::default()).unwrap();
    writer.write_all(b"<model unit='millimeter'>").unwrap();
    let blanks = vec![b' '; 1 << 20];
    (0..1025).for_each(|_| writer.write_all(&blanks).unwrap());
    let bomb = writer.finish().unwrap().into_inner();
    assert!(bomb.len() < 2 << 20, "a thousandth of what it unpacks to");
    let scratch = repository();
    scratch.write("gate.stl", bomb);
    let told = told_at(&scratch, &[]);
    let why = "`gate.stl` (of `gate`) cannot be read: it unpacks to more than 1 GiB";
    assert_eq!(told, format!("unproven; {why}"));
}

/// What `ready` and `why` say `now` of a gate that was weighed when it was `sealed`.
fn weighed(sealed: &dyn Fn(&Scratch), now: &dyn Fn(&Scratch)) -> [String; 2] {
    let scratch = repository();
    scratch.write("gate.toml", format!("{GATE}method = \"test\"\n"));
    sealed(&scratch);
    scratch.commit("A gate");
    let program = env!("CARGO_BIN_EXE_tagworthy");
    let mut measure = scratch.command(program, &scratch.path());
    let output =
        measure.args(["measure", "gate.mass", "36 g", "--method", "test"]).output().unwrap();
    assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stderr));
    // As on another machine, where nothing is at hand.
    for folder in [".git/tagworthy", ".git/lfs"] {
        let _ = fs::remove_dir_all(scratch.path().join(folder));
    }
    now(&scratch);
    let ready = json(&scratch, &["ready"])["requirements"][0].clone();
    let why = json(&scratch, &["why", "light"])["evidence"][0].clone();
    let ready = format!("{} {}", ready["verdict"].as_str().unwrap(), ready["remarks"][0]);
    [ready, format!("{} {}", why["standing"].as_str().unwrap(), why["because"])]
}

#[test]
fn evidence_is_never_stale_for_what_was_not_fetched() {
    let pointer_to_height = |scratch: &Scratch, height: u32| {
        scratch.write("gate.stl", pointer_to(tetrahedron(height).as_bytes()));
    };
    let here = |height: u32| {
        move |scratch: &Scratch| {
            pointer_to_height(scratch, height);
            fetch(scratch, &tetrahedron(height));
        }
    };
    let elsewhere = |height: u32| move |scratch: &Scratch| pointer_to_height(scratch, height);
    let renamed = |scratch: &Scratch| {
        let mesh = tetrahedron(60).replacen("solid gate", "solid other", 1);
        scratch.write("gate.stl", pointer_to(mesh.as_bytes()));
        fetch(scratch, &mesh);
    };
    let nothing = |_: &Scratch| {};
    let current = ["pass \"by gate-mass\"", "current null"];
    assert_eq!(weighed(&here(60), &nothing), current, "the pointer is the same");
    assert_eq!(weighed(&elsewhere(60), &here(60)), current, "sealed without the content");
    assert_eq!(weighed(&here(60), &renamed), current, "the same triangles in another file");
    let unknown = [
        "unproven \"gate-mass is not decidable here: large files of gate were not fetched\"",
        "undecidable \"large files of gate were not fetched\"",
    ];
    assert_eq!(weighed(&here(60), &elsewhere(50)), unknown);
    assert_eq!(weighed(&elsewhere(60), &elsewhere(50)), unknown);
    let stale = ["stale \"gate-mass is stale: gate geometry\"", "stale \"gate geometry\""];
    assert_eq!(weighed(&here(60), &here(50)), stale);
}

/// The revision that was on the bench has the former mesh; the volume goes with the height.
#[test]
fn how_near_another_mesh_is_stands_beside_what_it_made_stale() {
    let scratch = repository();
    scratch.write("gate.stl", tetrahedron(60)).commit("A gate");
    let program = env!("CARGO_BIN_EXE_tagworthy");
    let mut measure = scratch.command(program, &scratch.path());
    assert!(measure.args(["measure", "gate.mass", "36 g"]).output().unwrap().status.success());
    scratch.write("gate.stl", tetrahedron(61));
    let near = json(&scratch, &["why", "gate"])["evidence"][0]["near"]["gate"].clone();
    assert!((near["volume"].as_f64().unwrap() - 1.0 / 60.0).abs() < 1e-9, "{near}");
    assert_eq!(near["bounds"]["text"], "1 mm");
    assert_eq!(near["centroid"]["text"], "0.25 mm");
    assert_eq!(json(&scratch, &["impact"])["parts"][0]["near"], near);
}
