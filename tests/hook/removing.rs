//! Taking the hooks out brings back what was there, byte by byte.

use std::collections::BTreeMap;
use std::fs;
use std::os::unix::fs::{PermissionsExt, symlink};
use std::path::{Path, PathBuf};

use crate::workshop::{Workshop, write_script};

/// Every file of a folder with its mode, and its bytes or where it leads.
fn contents(folder: &Path) -> BTreeMap<PathBuf, (u32, Vec<u8>)> {
    let entries = fs::read_dir(folder).unwrap().map(|entry| entry.unwrap().path());
    entries
        .map(|path| {
            let metadata = fs::symlink_metadata(&path).unwrap();
            let bytes = match metadata.is_symlink() {
                true => fs::read_link(&path).unwrap().into_os_string().into_encoded_bytes(),
                false => fs::read(&path).unwrap(),
            };
            (path, (metadata.permissions().mode(), bytes))
        })
        .collect()
}

fn remove(workshop: &Workshop) -> String {
    let output = workshop.tagworthy(&["hooks", "remove"]);
    assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stderr));
    String::from_utf8(output.stdout).unwrap()
}

#[test]
fn every_byte_mode_and_link_comes_back() {
    let workshop = Workshop::new();
    remove(&workshop);
    let hooks = workshop.scratch.path().join(".git/hooks");
    write_script(&hooks.join("pre-commit"), "#!/bin/sh\necho own >&2\n");
    fs::set_permissions(hooks.join("pre-commit"), fs::Permissions::from_mode(0o700)).unwrap();
    fs::write(hooks.join("pre-push"), [0xff, 0, b'\r', b'\n']).unwrap();
    write_script(&workshop.scratch.path().join("checks/all"), "#!/bin/sh\n");
    symlink("../../checks/all", hooks.join("post-commit")).unwrap();
    symlink("nowhere", hooks.join("post-merge")).unwrap();
    let before = contents(&hooks);
    workshop.install(&["--tag-guard"]);
    assert_ne!(contents(&hooks), before);
    let said = remove(&workshop);
    assert!(said.contains("9 hooks taken out"), "{said}");
    assert_eq!(contents(&hooks), before);
    assert!(remove(&workshop).contains("no hook of tagworthy's"));
    assert_eq!(contents(&hooks), before);
}

#[test]
fn what_someone_changed_since_is_left_alone() {
    let workshop = Workshop::new();
    workshop.change(".git/hooks/pre-commit", "seconds=${TAGWORTHY_SECONDS:-30}", "seconds=5");
    let changed = fs::read(workshop.hook()).unwrap();
    write_script(&workshop.named_hook("pre-push"), "#!/bin/sh\n");
    let said = remove(&workshop);
    assert!(said.contains("changed by hand"), "{said}");
    assert_eq!(fs::read(workshop.hook()).unwrap(), changed);
    assert_eq!(fs::read_to_string(workshop.named_hook("pre-push")).unwrap(), "#!/bin/sh\n");
    assert!(!workshop.named_hook("post-commit").exists());
    assert!(workshop.install(&[]).contains("changed by hand"));
    assert_eq!(fs::read(workshop.hook()).unwrap(), changed);
}

#[test]
fn without_hooks_nothing_is_judged() {
    let workshop = Workshop::new();
    remove(&workshop);
    workshop.write("parts/lamp.toml", &crate::workshop::lamp("L-350", "350 g"));
    assert_eq!(workshop.lets(&["commit", "-qam", "Too heavy"]), "");
}

#[test]
fn a_folder_in_the_place_of_a_hook_is_in_nobodys_way() {
    let workshop = Workshop::new();
    remove(&workshop);
    let hook = workshop.hook();
    fs::create_dir(&hook).unwrap();
    fs::write(hook.join("notes.txt"), "git passes it over").unwrap();
    workshop.install(&[]);
    workshop.write("parts/lamp.toml", &crate::workshop::lamp("L-350", "350 g"));
    assert!(workshop.refuses(&["commit", "-qam", "Too heavy"]).contains("carry-mass"));
    workshop.write("parts/lamp.toml", &crate::workshop::lamp("L-260", "260 g"));
    workshop.lets(&["commit", "-qam", "Fits"]);
    remove(&workshop);
    assert_eq!(fs::read_to_string(hook.join("notes.txt")).unwrap(), "git passes it over");
}
