//! A made-up history of a made-up design: each commit moves the mass or the price of one to three
//! parts. The same numbers give the same commits.

use std::collections::BTreeMap;
use std::fmt::Write as _;
use std::io::{BufWriter, Write};
use std::process::Stdio;

use crate::common::Scratch;
use crate::synthetic::{self, Layout};

/// A repository whose history has so many commits of a design of `record_files` files, packed and with
/// a commit graph, as git's own upkeep leaves it.
pub fn repository(commits: usize, record_files: usize, layout: Layout) -> Scratch {
    let scratch = Scratch::new();
    let mut import = scratch
        .command("git", &scratch.path())
        .args(["fast-import", "--quiet"])
        .stdin(Stdio::piped())
        .spawn()
        .expect("git runs");
    let mut input = BufWriter::new(import.stdin.take().expect("the input is a pipe"));
    let files = synthetic::files(record_files, layout);
    let mut texts: BTreeMap<String, String> = files.iter().cloned().collect();
    commit(&mut input, 0, &files);
    let parts: Vec<String> = files
        .iter()
        .filter(|(_, text)| text.contains("\nmass "))
        .map(|(path, _)| path.clone())
        .collect();
    let mut random = 1_u64;
    for number in 1..commits {
        let count = 1 + next(&mut random) % 3;
        let changed = (0..count).map(|_| {
            let path = &parts[next(&mut random) % parts.len()];
            let text = heavier(&texts[path], next(&mut random));
            texts.insert(path.clone(), text.clone());
            (path.clone(), text)
        });
        let changed: Vec<_> = changed.collect();
        commit(&mut input, number, &changed);
    }
    drop(input.into_inner().expect("git reads the stream"));
    assert!(import.wait().expect("git ends").success());
    scratch.git(&["gc", "--quiet"]);
    scratch
}

/// The part with another mass.
fn heavier(text: &str, random: usize) -> String {
    let line = |line: &str| match line.strip_prefix("mass     = \"") {
        Some(rest) => {
            let unit = rest.split_once(' ').map_or("g\"", |(_, unit)| unit);
            format!("mass     = \"{}.{} {unit}\n", 1 + random % 60, random % 10)
        }
        None => format!("{line}\n"),
    };
    text.lines().map(line).collect()
}

fn commit(input: &mut impl Write, number: usize, files: &[(String, String)]) {
    let message = format!("Revision {number}");
    let mut text = format!(
        "commit refs/heads/main\ncommitter Ada Frame <ada@lantern.example> {} +0100\ndata {}\n{message}\n",
        1_772_616_030 + 600 * number,
        message.len(),
    );
    for (path, content) in files {
        let _ = write!(text, "M 100644 inline {path}\ndata {}\n{content}\n", content.len());
    }
    input.write_all(text.as_bytes()).expect("git reads the stream");
}

/// The next of a sequence of numbers by Knuth's multiplier for 64 bits (MMIX; from memory).
fn next(random: &mut u64) -> usize {
    *random =
        random.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
    (*random >> 33) as usize
}
