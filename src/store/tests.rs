//! The store under the worst that a machine does: killing, damage, a full disk, two at once.

#![allow(clippy::unwrap_used, reason = "a test that can't go on has failed")]

use std::fs;
use std::path::Path;
use std::process::{Child, Command, Stdio};
use std::thread;
use std::time::{Duration, SystemTime};

use super::database::{Database, PAGE_BYTES};
use super::{FILE_NAME, Key, Single, Store};
use crate::fileset::ContentKey;

/// Where a child of this test program finds the store's folder.
const FOLDER: &str = "TAGWORTHY_TEST_STORE";

fn key(number: u32) -> Key {
    Key::new(ContentKey::new(&number.to_be_bytes()), "mesh in 0.001 m", "0.1.0/1")
}

/// Keeps `number` by its key, and writes it to the file.
fn keep(folder: &Path, number: u32) {
    let mut store = Store::open(folder);
    store.put(key(number), &f64::from(number));
    store.flush();
}

fn kept(folder: &Path, number: u32) -> Option<f64> {
    Store::open(folder).get(&key(number))
}

#[test]
fn what_was_kept_is_found_by_the_same_key_alone() {
    let folder = tempfile::tempdir().unwrap();
    let folder = folder.path().join("made when written");
    let mut store = Store::open(&folder);
    assert_eq!(store.get::<f64>(&key(1)), None);
    store.put(key(1), &0.1);
    assert_eq!((store.get(&key(1)), kept(&folder, 1)), (Some(0.1), None));
    store.flush();
    assert_eq!((store.get(&key(1)), kept(&folder, 1)), (Some(0.1), Some(0.1)));
    assert_eq!(store.get_each::<f64>(&[key(2), key(1)]), [None, Some(0.1)]);
    let other_kind = Key::new(ContentKey::new(&1_u32.to_be_bytes()), "step", "0.1.0/1");
    let other_version =
        Key::new(ContentKey::new(&1_u32.to_be_bytes()), "mesh in 0.001 m", "0.1.1/1");
    assert_eq!(store.get_each::<f64>(&[other_kind, other_version]), [None, None]);
    assert_eq!(store.get::<String>(&key(1)), None);
}

#[test]
fn in_memory_it_forgets_with_its_end() {
    let mut store = Store::in_memory();
    store.put(key(1), &1.0);
    store.flush();
    assert_eq!(store.get(&key(1)), Some(1.0));
}

#[test]
fn a_single_value_is_found_by_its_key_until_another_takes_its_place() {
    let folder = tempfile::tempdir().unwrap();
    let folder = folder.path().join("made when written");
    let single = Single::open(&folder, "state");
    assert_eq!(single.get::<String>(&key(1)), None);
    assert!(single.put(&key(1), &"one") && single.put(&key(2), &"two"));
    assert_eq!(
        (single.get::<String>(&key(1)), single.get(&key(2))),
        (None, Some("two".to_owned()))
    );
    assert_eq!(fs::read_dir(&folder).unwrap().count(), 1, "nothing lies beside it");
}

#[test]
fn what_a_killed_writer_left_is_cleared_away() {
    let folder = tempfile::tempdir().unwrap();
    let an_hour_ago = SystemTime::now() - Duration::from_secs(2 * 3600);
    for (name, is_old) in
        [("state.17", true), ("state.18", false), ("records.17", true), ("state.x", true)]
    {
        let file = fs::File::create(folder.path().join(name)).unwrap();
        if is_old {
            file.set_modified(an_hour_ago).unwrap();
        }
    }
    assert!(Single::open(folder.path(), "state").put(&key(1), &"felt"));
    let left = fs::read_dir(folder.path()).unwrap().map(|entry| entry.unwrap().file_name());
    let mut left: Vec<_> = left.collect();
    left.sort();
    assert_eq!(left, ["records.17", "state", "state.18", "state.x"]);
}

#[test]
fn a_damaged_single_value_is_not_found() {
    let folder = tempfile::tempdir().unwrap();
    let single = Single::open(folder.path(), "state");
    assert!(single.put(&key(1), &"felt"));
    let file = folder.path().join("state");
    let whole = fs::read(&file).unwrap();
    for at in 0..whole.len() {
        let mut other = whole.clone();
        other[at] ^= 1;
        fs::write(&file, &other).unwrap();
        assert_eq!(single.get::<String>(&key(1)), None, "byte {at}");
        fs::write(&file, &whole[..at]).unwrap();
        assert_eq!(single.get::<String>(&key(1)), None, "{at} bytes");
    }
    fs::remove_file(&file).unwrap();
    fs::create_dir(&file).unwrap();
    assert!(!single.put(&key(1), &"felt"), "a folder is in the way");
    assert_eq!(single.get::<String>(&key(1)), None);
}

/// Permissions don't bind an administrator; a file where the folder should be does.
#[test]
fn where_nothing_can_be_written_nothing_fails() {
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("a file");
    fs::write(&file, "").unwrap();
    let mut store = Store::open(&file);
    store.put(key(1), &1.0);
    store.flush();
    assert_eq!(store.get(&key(1)), Some(1.0));
    assert_eq!(kept(&file, 1), None);
}

#[test]
fn a_damaged_file_is_begun_anew() {
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join(FILE_NAME);
    keep(folder.path(), 1);
    let whole = fs::read(&file).unwrap();
    let zeros = vec![0; whole.len()];
    for damaged in [b"not a database".as_slice(), &whole[..whole.len() / 2], &whole[..100], &zeros]
    {
        fs::write(&file, damaged).unwrap();
        assert_eq!(kept(folder.path(), 1), None);
        keep(folder.path(), 2);
        assert_eq!((kept(folder.path(), 1), kept(folder.path(), 2)), (None, Some(2.0)));
    }
}

/// As another program would have laid it out.
#[test]
fn a_file_of_another_layout_is_begun_anew() {
    let folder = tempfile::tempdir().unwrap();
    let other = rusqlite::Connection::open(folder.path().join(FILE_NAME)).unwrap();
    other.execute("CREATE TABLE kept (name TEXT, value BLOB, day INTEGER)", []).unwrap();
    drop(other);
    assert_eq!(kept(folder.path(), 1), None);
    keep(folder.path(), 1);
    assert_eq!(kept(folder.path(), 1), Some(1.0));
}

#[test]
fn a_file_beyond_its_bound_is_begun_anew() {
    let folder = tempfile::tempdir().unwrap();
    keep(folder.path(), 1);
    keep(folder.path(), 2);
    assert_eq!(kept(folder.path(), 1), Some(1.0), "below it nothing is forgotten");
    let file = fs::OpenOptions::new().write(true).open(folder.path().join(FILE_NAME)).unwrap();
    file.set_len((1 << 28) + 1).unwrap();
    keep(folder.path(), 3);
    assert_eq!((kept(folder.path(), 1), kept(folder.path(), 3)), (None, Some(3.0)));
    assert!(file_bytes(folder.path()) < 1 << 20);
}

fn file_bytes(folder: &Path) -> u64 {
    fs::metadata(folder.join(FILE_NAME)).unwrap().len()
}

/// Wherever a page lost some bits (a digit is then another digit): right or absent, never wrong, and soon whole again.
#[test]
fn no_damage_gives_a_wrong_value() {
    const PAGE: usize = PAGE_BYTES as usize;
    const VALUES: u32 = 5000;
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join(FILE_NAME);
    let mut store = Store::open(folder.path());
    (0..VALUES).for_each(|number| store.put(key(number), &f64::from(number)));
    store.flush();
    let whole = fs::read(&file).unwrap();
    let pages = whole.chunks(PAGE).enumerate();
    let used = pages.filter(|(_, page)| page.iter().any(|&byte| byte != 0)).map(|(page, _)| page);
    let mut found_beside = 0;
    for page in used {
        let mut damaged = whole.clone();
        for (at, byte) in damaged[page * PAGE..].iter_mut().take(PAGE).enumerate() {
            *byte ^= if at % 7 == 0 { 1 } else { 0 };
        }
        for number in (0..VALUES).step_by(500) {
            fs::write(&file, &damaged).unwrap();
            let found = kept(folder.path(), number);
            assert!(found.is_none_or(|value| value == f64::from(number)), "page {page}");
            found_beside += u32::from(found.is_some());
        }
        fs::write(&file, damaged).unwrap();
        let keys: Vec<Key> = (0..VALUES).map(key).collect();
        let found = Store::open(folder.path()).get_each::<f64>(&keys);
        for (number, found) in found.iter().enumerate() {
            assert!(found.is_none_or(|value| value == number as f64), "page {page}");
        }
        keep(folder.path(), 1000);
        keep(folder.path(), 1000);
        assert_eq!(kept(folder.path(), 1000), Some(1000.0), "page {page}");
    }
    assert!(found_beside > 0, "what lies on other pages is found beside a damaged one");
}

/// The database itself would hand it out.
#[test]
fn a_value_with_another_letter_is_not_found() {
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join(FILE_NAME);
    let mut store = Store::open(folder.path());
    store.put(key(1), &"film gate");
    store.flush();
    assert_eq!(store.get::<String>(&key(1)).as_deref(), Some("film gate"));
    let mut bytes = fs::read(&file).unwrap();
    let at = bytes.windows(9).position(|window| window == b"film gate").unwrap();
    bytes[at] = b'F';
    fs::write(&file, bytes).unwrap();
    assert_eq!(store.get::<String>(&key(1)), None);
}

/// Not a test by itself: what the children of the next ones do.
#[test]
#[ignore = "a part of other tests"]
fn keeps_on_writing() {
    let Some(folder) = std::env::var_os(FOLDER) else { return };
    for number in 0..u32::MAX {
        keep(folder.as_ref(), number);
    }
}

/// Values that are written at once.
const AT_ONCE: u32 = 200;

/// Bytes of each, so that all of them are many pages and it takes a while to write them.
const LONG: usize = 8_000;

/// Which of two writings a file holds.
type Round = (bool, String);

/// Not a test by itself: writes many values at once, and others in their place, again and again. They
/// are made before, so that a part of them is written at almost any moment.
#[test]
#[ignore = "a part of another test"]
fn keeps_on_writing_many() {
    let Some(folder) = std::env::var_os(FOLDER) else { return };
    let folder = Path::new(&folder);
    let entries = |is_second: bool| {
        let mut store = Store::open(folder);
        let round: Round = (is_second, "x".repeat(LONG));
        (0..AT_ONCE).for_each(|number| store.put(key(number), &round));
        store.fresh
    };
    let (first, second) = (entries(false), entries(true));
    let database = Database::new(folder.join(FILE_NAME));
    for time in 0_u32.. {
        database.write(&first);
        database.write(&second);
        if time == 1 {
            fs::write(folder.join(BEGUN), "").unwrap();
        }
    }
}

/// What the child makes when it has written for a while.
const BEGUN: &str = "begun";

/// The writings that the values are of, each once: one, unless parts of two are there.
fn rounds(folder: &Path) -> Vec<Option<bool>> {
    let keys: Vec<Key> = (0..AT_ONCE).map(key).collect();
    let found = Store::open(folder).get_each::<Round>(&keys);
    let mut rounds: Vec<_> = found.into_iter().map(|value| Some(value?.0)).collect();
    rounds.dedup();
    rounds
}

fn writer(folder: &Path, what: &str) -> Child {
    Command::new(std::env::current_exe().unwrap())
        .args([&format!("store::tests::{what}"), "--exact", "--ignored"])
        .env(FOLDER, folder)
        .stdout(Stdio::null())
        .stderr(Stdio::null())
        .spawn()
        .unwrap()
}

/// Waits until `number` is kept.
fn await_kept(folder: &Path, number: u32) {
    let found = (0..2_000).any(|_| {
        thread::sleep(Duration::from_millis(5));
        kept(folder, number).is_some()
    });
    assert!(found, "{number} was never kept");
}

/// All of what was written at once is there, or all of what was there before.
#[test]
fn a_writer_may_be_killed_at_any_moment() {
    let folder = tempfile::tempdir().unwrap();
    let folder = folder.path();
    keep(folder, 1_000_000);
    for time in 0..12 {
        let _ = fs::remove_file(folder.join(BEGUN));
        let mut child = writer(folder, "keeps_on_writing_many");
        let begun = (0..20_000).any(|_| {
            thread::sleep(Duration::from_millis(1));
            folder.join(BEGUN).exists()
        });
        assert!(begun, "nothing was ever written");
        thread::sleep(Duration::from_micros(u64::from(time) * 1_700));
        child.kill().unwrap();
        child.wait().unwrap();
        let rounds = rounds(folder);
        assert!(matches!(rounds[..], [Some(_)]), "parts of several rounds are kept: {rounds:?}");
        assert_eq!(kept(folder, 1_000_000), Some(1e6), "what was kept before is kept");
        keep(folder, 2_000_000 + time);
        assert!(kept(folder, 2_000_000 + time).is_some(), "it can be written to after a killing");
    }
}

#[test]
fn two_processes_write_at_once() {
    let folder = tempfile::tempdir().unwrap();
    let mut child = writer(folder.path(), "keeps_on_writing");
    await_kept(folder.path(), 0);
    let numbers = 3_000_000..3_000_020;
    numbers.clone().for_each(|number| keep(folder.path(), number));
    child.kill().unwrap();
    child.wait().unwrap();
    let found = numbers.filter(|&number| kept(folder.path(), number) == Some(f64::from(number)));
    assert!(found.count() > 0, "each gets its turn, as a rule");
    assert_eq!(kept(folder.path(), 0), Some(0.0));
}

/// A limit on the size of files stands in for a full disk.
#[cfg(unix)]
#[test]
fn on_a_full_disk_what_was_kept_stays() {
    let folder = tempfile::tempdir().unwrap();
    keep(folder.path(), 1_000_000);
    let mut store = Store::open(folder.path());
    (100..200).for_each(|number| store.put(key(number), &f64::from(number)));
    store.flush();
    let blocks = file_bytes(folder.path()) / 512;
    let script = format!("trap '' XFSZ; ulimit -f {blocks}; exec timeout 60 \"$0\" \"$@\"");
    let status = Command::new("sh")
        .args(["-c", &script])
        .arg(std::env::current_exe().unwrap())
        .args(["store::tests::fills_the_disk", "--exact", "--ignored"])
        .env(FOLDER, folder.path())
        .stdout(Stdio::null())
        .status()
        .unwrap();
    assert!(status.success());
    assert_eq!(kept(folder.path(), 1_000_000), Some(1e6));
    let numbers = (100..200).map(|number| kept(folder.path(), number));
    assert!(numbers.eq((100..200).map(|number| Some(f64::from(number)))), "not a part of them");
    keep(folder.path(), 1);
    assert_eq!(kept(folder.path(), 1), Some(1.0));
}

/// Not a test by itself: more than the disk of the test before holds.
#[test]
#[ignore = "a part of another test"]
fn fills_the_disk() {
    let Some(folder) = std::env::var_os(FOLDER) else { return };
    let mut store = Store::open(folder.as_ref());
    let long = "x".repeat(1 << 16);
    (0..200).for_each(|number| store.put(key(number), &long));
    store.flush();
    assert_eq!(kept(folder.as_ref(), 0), None, "the disk is full");
    assert_eq!(store.get(&key(0)), Some(long));
}
