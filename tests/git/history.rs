//! Histories walked beside git's own log: branches, merges, and what hurts.

use std::collections::{BTreeMap, BTreeSet};
use std::fmt::Write as _;
use std::io::Write;
use std::process::Stdio;

use crate::ask::{Question, ask, ask_in};
use crate::common::Scratch;

/// Feeds a stream to `git fast-import`.
fn import(scratch: &Scratch, stream: &str) {
    let mut import = scratch
        .command("git", &scratch.path())
        .args(["fast-import", "--quiet", "--force"])
        .stdin(Stdio::piped())
        .spawn()
        .unwrap();
    import.stdin.take().unwrap().write_all(stream.as_bytes()).unwrap();
    assert!(import.wait().unwrap().success());
}

/// A commit of a stream: `:mark` on a branch, `days` after the first, from its parents.
fn commit(mark: usize, branch: &str, days: i64, parents: &[usize], changes: &str) -> String {
    let seconds = 1_772_616_030 + 86_400 * days;
    let message = format!("Revision {mark}");
    let mut text = format!(
        "commit refs/heads/{branch}\nmark :{mark}\ncommitter Ada Frame <ada@lantern.example> {seconds} +0100\n\
         data {}\n{message}\n",
        message.len()
    );
    for (at, parent) in parents.iter().enumerate() {
        let word = if at == 0 { "from" } else { "merge" };
        let _ = writeln!(text, "{word} :{parent}");
    }
    text + changes + "\n"
}

fn file(path: &str, content: &str) -> String {
    format!("M 100644 inline {path}\ndata {}\n{content}\n", content.len())
}

/// What git's own log says: each commit of the range, and the raw lines against its first parent.
fn by_git(scratch: &Scratch, range: &str, every: bool) -> Vec<(String, BTreeSet<String>)> {
    let first_parent = if every { "--topo-order" } else { "--first-parent" };
    let list = scratch.git_line(&["rev-list", "--reverse", first_parent, range, "--"]);
    let raw = |id: &str| {
        let parent = format!("{id}^1");
        let has_parent =
            scratch.try_git_in(&scratch.path(), &["rev-parse", "--verify", "--quiet", &parent]);
        let diff = ["-c", "core.quotePath=false", "diff-tree", "-r", "--no-renames", "--no-abbrev"];
        let text = match has_parent.status.success() {
            true => scratch.git_line(&[&diff[..], &[&parent, id]].concat()),
            false => scratch.git_line(&[&diff[..], &["--root", "--no-commit-id", id]].concat()),
        };
        let line = |line: &str| {
            let (facts, path) = line.split_once('\t').unwrap();
            let facts: Vec<&str> = facts.split(' ').collect();
            let id = |id: &str| if id.chars().all(|c| c == '0') { "none" } else { id }.to_owned();
            format!("{} {} {path}", id(facts[2]), id(facts[3]))
        };
        text.lines().map(line).collect()
    };
    list.lines().map(|id| (id.to_owned(), raw(id))).collect()
}

/// The answer to [`Question::History`] in the same shape.
fn by_us(scratch: &Scratch, range: &str, every: bool) -> Vec<(String, BTreeSet<String>)> {
    let which = if every { "every" } else { "line" };
    let answer = ask(scratch, Question::History(range, which)).to_string();
    let mut commits: Vec<(String, BTreeSet<String>)> = Vec::new();
    for line in answer.lines() {
        match line.strip_prefix("commit ") {
            Some(id) => commits.push((id.to_owned(), BTreeSet::new())),
            None if line.starts_with("cut off: ") => assert_eq!(line, "cut off: false"),
            None => {
                assert!(commits.last_mut().unwrap().1.insert(line.to_owned()), "{line} twice");
            }
        }
    }
    commits
}

#[track_caller]
fn check(scratch: &Scratch, range: &str) {
    assert_eq!(by_us(scratch, range, false), by_git(scratch, range, false), "{range}");
    let (ours, gits) = (by_us(scratch, range, true), by_git(scratch, range, true));
    assert_eq!(ours.len(), gits.len());
    let place = |id: &str| ours.iter().position(|(known, _)| known == id);
    for (at, (id, _)) in ours.iter().enumerate() {
        let parents = scratch.git_line(&["log", "-1", "--format=%P", id]);
        let before = parents.split_whitespace().filter_map(place).all(|parent| parent < at);
        assert!(before, "parents come before their children");
    }
    let sorted = |commits: Vec<(String, BTreeSet<String>)>| -> BTreeMap<_, _> {
        commits.into_iter().collect()
    };
    assert_eq!(sorted(ours), sorted(gits), "{range}, every commit");
}

/// Two branches, one of which is merged twice; a folder that becomes a file and back.
fn with_merges() -> Scratch {
    let scratch = Scratch::new();
    let stream = [
        commit(1, "main", 0, &[], &(file("a.toml", "1") + &file("parts/b.toml", "2"))),
        commit(2, "side", 1, &[1], &file("parts/c.toml", "3")),
        commit(3, "main", 2, &[1], &file("parts/b.toml", "4")),
        commit(4, "side", 3, &[2], "D parts/b.toml\n"),
        commit(5, "main", 4, &[3, 2], &file("parts/c.toml", "3")),
        commit(6, "main", 5, &[5], &("D parts\n".to_owned() + &file("parts", "a file"))),
        commit(7, "main", 6, &[6, 4], "R a.toml parts.toml\n"),
        commit(8, "main", 7, &[7], &("D parts\n".to_owned() + &file("parts/größe.toml", "5"))),
    ];
    import(&scratch, &stream.concat());
    scratch
}

#[test]
fn commits_and_paths_are_those_of_gits_log() {
    let scratch = with_merges();
    check(&scratch, "main");
    check(&scratch, "side..main");
    check(&scratch, "main~3..main");
    check(&scratch, "main..side");
    scratch.git(&["gc", "--quiet"]);
    scratch.git(&["commit-graph", "write", "--reachable"]);
    check(&scratch, "main");
    check(&scratch, "side..main");
}

#[test]
fn many_heads_no_common_root_and_clocks_that_are_wrong() {
    let scratch = Scratch::new();
    let stream = [
        commit(1, "main", 50, &[], &file("a", "1")),
        commit(2, "one", 10, &[1], &file("b", "2")),
        commit(3, "two", 90, &[1], &file("c", "3")),
        commit(4, "apart", 20, &[], &file("d", "4")),
        commit(5, "apart", 5, &[4], &file("d", "5")),
        commit(6, "main", 1, &[1, 2, 3], &(file("b", "2") + &file("c", "3"))),
        commit(7, "main", 2, &[6, 5], &file("d", "5")),
    ];
    import(&scratch, &stream.concat());
    check(&scratch, "main");
    check(&scratch, "apart..main");
    check(&scratch, "one..main");
}

/// The next of a sequence of numbers by Knuth's multiplier for 64 bits (MMIX; from memory).
fn next(random: &mut u64) -> usize {
    *random =
        random.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
    (*random >> 33) as usize
}

#[test]
fn whatever_happens_to_files_and_folders() {
    for seed in 0..6 {
        let mut random = seed;
        let mut stream = String::new();
        for mark in 1..40 {
            let parent = mark - 1 - usize::from(mark > 3 && next(&mut random).is_multiple_of(4));
            let mut changes = String::new();
            for _ in 0..1 + next(&mut random) % 4 {
                let name = |random: &mut u64| ["a", "b", "c", "a.b", "a-b"][next(random) % 5];
                let mut path = name(&mut random).to_owned();
                for _ in 0..next(&mut random) % 3 {
                    path = format!("{path}/{}", name(&mut random));
                }
                changes += &match next(&mut random) % 4 {
                    0 => format!("D {path}\n"),
                    _ => file(&path, &(next(&mut random) % 9).to_string()),
                };
            }
            let merged = (mark > 5 && next(&mut random).is_multiple_of(5)).then(|| mark - 3);
            let parents: Vec<usize> =
                [parent].into_iter().filter(|parent| *parent > 0).chain(merged).collect();
            stream += &commit(mark, "main", mark as i64, &parents, &changes);
        }
        let scratch = Scratch::new();
        import(&scratch, &stream);
        check(&scratch, "main");
    }
}

#[test]
fn where_a_clone_was_cut_off_knowledge_ends() {
    let scratch = with_merges();
    let clone = scratch.folder("clone");
    let origin = format!("file://{}", scratch.path().display());
    let to = clone.to_str().unwrap();
    scratch.git(&["clone", "--quiet", "--depth=2", "--branch=main", &origin, to]);
    let answer = ask_in(&scratch, &clone, Question::History("HEAD", "line")).to_string();
    let line = scratch.git_in(&clone, &["rev-list", "--first-parent", "HEAD"]);
    assert_eq!(answer.matches("commit ").count(), String::from_utf8(line).unwrap().lines().count());
    assert!(answer.ends_with("cut off: true\n"), "{answer}");
}

#[test]
fn what_a_partial_clone_lacks_is_named() {
    let scratch = with_merges();
    scratch.git(&["config", "uploadpack.allowFilter", "true"]);
    let clone = scratch.folder("clone");
    let origin = format!("file://{}", scratch.path().display());
    let to = clone.to_str().unwrap();
    scratch.git(&[
        "clone",
        "--quiet",
        "--filter=tree:0",
        "--no-checkout",
        "--branch=main",
        &origin,
        to,
    ]);
    let answer = ask_in(&scratch, &clone, Question::History("HEAD", "line")).to_string();
    let root = scratch.git_line(&["rev-list", "--max-parents=0", "main"]);
    let tree = scratch.git_line(&["rev-parse", &format!("{root}^{{tree}}")]);
    assert!(answer.contains(&format!("object {tree} is missing")), "{answer}");
}

#[test]
fn a_repository_of_longer_ids_is_walked_too() {
    let scratch = Scratch::with_init(&["--object-format=sha256"]);
    let stream = [
        commit(1, "main", 0, &[], &file("a/b", "1")),
        commit(2, "main", 1, &[1], &file("a/b", "2")),
    ];
    import(&scratch, &stream.concat());
    check(&scratch, "main");
}

#[test]
fn references_in_tables_are_refused_in_words() {
    let scratch = Scratch::with_init(&["--ref-format=reftable"]);
    import(&scratch, &commit(1, "main", 0, &[], &file("a", "1")));
    let answer = ask(&scratch, Question::History("HEAD", "line")).to_string();
    assert!(answer.contains("uses the reference storage `reftable`"), "{answer}");
}
