//! The ledger of a long history beside git walking it and reading the same contents: from nothing,
//! found again, and after one more commit.
//!
//! `cargo bench --bench ledger`

#![allow(clippy::print_stdout, reason = "a benchmark says what it measured")]
#![allow(clippy::unwrap_used, reason = "a measurement that can't go on has failed")]

#[path = "../common/mod.rs"]
mod common;
mod history;
mod processor;
mod synthetic;

use std::process::{Command, Stdio};
use std::time::{Duration, Instant};

use common::Scratch;
use synthetic::Layout;

/// The program that is measured.
const TAGWORTHY: &str = env!("CARGO_BIN_EXE_tagworthy");

/// Files that hold records.
const RECORD_FILES: usize = 1_000;

/// Commits of the history, unless `LEDGER_COMMITS` says otherwise.
const COMMITS: usize = 10_000;

/// How often each is run, by turns.
const RUNS: usize = 3;

fn main() {
    // A harness that only asks what there is gets no answer.
    if std::env::args().any(|argument| argument == "--list") {
        return;
    }
    let asked = std::env::var("LEDGER_COMMITS").ok().and_then(|number| number.parse().ok());
    for layout in [Layout::Flat, Layout::Nested] {
        measure(asked.unwrap_or(COMMITS), layout);
    }
}

fn measure(commits: usize, layout: Layout) {
    let scratch = history::repository(commits, RECORD_FILES, layout);
    let (mut cold, mut warm, mut git) = (Vec::new(), Vec::new(), Vec::new());
    let mut memory = None;
    for _ in 0..RUNS {
        git.push(time(|| read_by_git(&scratch)));
        let _ = std::fs::remove_dir_all(scratch.path().join(".git/tagworthy"));
        cold.push(time(|| memory = memory.max(ledger(&scratch, "HEAD"))));
        warm.push(time(|| memory = memory.max(ledger(&scratch, "HEAD"))));
    }
    let (cold, warm, git) = (median(cold), median(warm), median(git));
    scratch.git(&["reset", "--quiet", "--hard"]);
    let path = "design/supply.toml";
    let text = std::fs::read_to_string(scratch.path().join(path)).unwrap();
    scratch.write(path, format!("{text}# one more\n")).commit("One more");
    let made = time(|| _ = ledger(&scratch, "HEAD~1.."));
    let one_more = time(|| _ = ledger(&scratch, "HEAD"));
    let ratio = |time: Duration| time.as_secs_f64() / git.as_secs_f64();
    println!(
        "{commits} commits, {RECORD_FILES} files, {layout:?}: git {git:.1?}; cold {cold:.1?}, ratio {:.2}; \
         warm {warm:.1?}, 1/{:.0} of cold; after one more commit {one_more:.1?}; at most {} MB",
        ratio(cold),
        cold.as_secs_f64() / warm.as_secs_f64(),
        memory.map_or("?".to_owned(), |bytes: u64| (bytes / 1_000_000).to_string()),
    );
    let processor = |range: &str| processor::time_of(&mut || _ = ledger(&scratch, range));
    if let (Some(one), Some(none)) = (processor("HEAD~1.."), processor("HEAD..")) {
        println!(
            "one more commit alone: its row made {made:.1?}; found again {:.1} ms of a processor, \
             without any row {:.1} ms",
            one.as_secs_f64() * 1e3,
            none.as_secs_f64() * 1e3,
        );
    }
}

/// Makes the ledger of a range, and tells the most memory that its process held, in bytes; only Linux
/// tells it.
fn ledger(scratch: &Scratch, range: &str) -> Option<u64> {
    let mut command = scratch.command(TAGWORTHY, &scratch.path());
    let mut child =
        command.args(["ledger", range, "--format", "csv"]).stdout(Stdio::null()).spawn().unwrap();
    let status = format!("/proc/{}/status", child.id());
    let mut most = None;
    loop {
        if let Some(held) = std::fs::read_to_string(&status).ok().and_then(|text| peak(&text)) {
            most = Some(held);
        }
        if let Some(ended) = child.try_wait().unwrap() {
            assert!(ended.success());
            return most;
        }
        std::thread::sleep(Duration::from_millis(1));
    }
}

/// The line `VmHWM` of proc(5), in bytes.
fn peak(status: &str) -> Option<u64> {
    let line = status.lines().find_map(|line| line.strip_prefix("VmHWM:"))?;
    Some(line.trim().strip_suffix(" kB")?.parse::<u64>().ok()? * 1024)
}

/// What git does for the same: it walks the line of first parents with the paths that differ, and reads
/// each distinct content.
fn read_by_git(scratch: &Scratch) {
    let git = |arguments: &[&str]| -> Command {
        let mut command = scratch.command("git", &scratch.path());
        command.args(arguments);
        command
    };
    let walk = ["log", "--first-parent", "--raw", "--no-renames", "--no-abbrev", "--format="];
    let paths = ["--root", "--", "design", "parts", "tagworthy.toml"];
    let log = git(&[&walk[..], &paths[..]].concat()).output().unwrap();
    assert!(log.status.success());
    let log = String::from_utf8(log.stdout).unwrap();
    let contents: std::collections::BTreeSet<&str> =
        log.lines().filter_map(|line| line.split(' ').nth(3)).collect();
    let mut read = git(&["cat-file", "--batch", "--buffer"])
        .stdin(Stdio::piped())
        .stdout(Stdio::null())
        .spawn()
        .unwrap();
    let mut input = read.stdin.take().unwrap();
    let list: String = contents.iter().map(|id| format!("{id}\n")).collect();
    std::io::Write::write_all(&mut input, list.as_bytes()).unwrap();
    drop(input);
    assert!(read.wait().unwrap().success());
}

fn time(run: impl FnOnce()) -> Duration {
    let start = Instant::now();
    run();
    start.elapsed()
}

fn median(mut times: Vec<Duration>) -> Duration {
    times.sort_unstable();
    times[times.len() / 2]
}
