//! The program from its start to its end, beside git doing the least that it could: the
//! judgement of a staged change in a design of 1,000 record files, and `--version`.
//!
//! `cargo bench --bench hook`

#![allow(clippy::print_stdout, reason = "a benchmark says what it measured")]
#![allow(clippy::unwrap_used, reason = "a measurement that can't go on has failed")]

#[path = "../common/mod.rs"]
mod common;
mod paired;
mod plumbing;
mod synthetic;

use std::process::{Command, Stdio};

use common::Scratch;
use divan::Bencher;
use synthetic::Layout;

/// The program that is measured.
const TAGWORTHY: &str = env!("CARGO_BIN_EXE_tagworthy");

/// Files that hold records.
const RECORD_FILES: usize = 1_000;

fn main() {
    divan::main();
    paired::tell();
}

#[divan::bench(args = [Layout::Flat, Layout::Nested], sample_count = 60, sample_size = 1)]
fn pre_commit(bencher: Bencher<'_, '_>, layout: Layout) {
    let scratch = synthetic::repository(&synthetic::files(RECORD_FILES, layout));
    let mut hook = hook(&scratch);
    let judged = hook.output().unwrap();
    let said = String::from_utf8_lossy(&judged.stderr);
    assert!(judged.status.success() && said.contains("mass"), "the mass moved: {said}");
    hook.stdout(Stdio::null()).stderr(Stdio::null());
    let name = format!("pre-commit on {RECORD_FILES} record files, {layout:?}");
    paired::compare(
        bencher,
        [&name, "git"],
        || succeed(&mut hook),
        || plumbing::read_index(&scratch),
    );
}

#[divan::bench(sample_count = 100, sample_size = 1)]
fn version(bencher: Bencher<'_, '_>) {
    let scratch = Scratch::new();
    let ask = |program| {
        let mut command = scratch.command(program, &scratch.path());
        command.arg("--version").stdout(Stdio::null());
        command
    };
    let (mut ours, mut git) = (ask(TAGWORTHY), ask("git"));
    paired::compare(bencher, ["--version", "git"], || succeed(&mut ours), || succeed(&mut git));
}

/// The hook as git starts it.
fn hook(scratch: &Scratch) -> Command {
    let mut hook = scratch.command(TAGWORTHY, &scratch.path());
    hook.args(["hook", "pre-commit"]).env("GIT_INDEX_FILE", ".git/index").env("GIT_PREFIX", "");
    hook
}

fn succeed(command: &mut Command) {
    assert!(command.status().unwrap().success());
}
