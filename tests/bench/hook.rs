//! The program from its start to its end, beside git doing the least that it could: the
//! judgement of a staged change in a design of 1,000 record files, and `--version`. And what the
//! installed hooks cost: those that do not concern the design, beside a hook that does nothing at all;
//! a commit and a rebase, beside the same without hooks.
//!
//! `cargo bench --bench hook`

#![allow(clippy::print_stdout, reason = "a benchmark says what it measured")]
#![allow(clippy::unwrap_used, reason = "a measurement that can't go on has failed")]

#[path = "../common/mod.rs"]
mod common;
mod paired;
mod plumbing;
mod synthetic;

use std::cell::Cell;
use std::ffi::OsStr;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};
use std::sync::LazyLock;

use common::Scratch;
use divan::Bencher;
use synthetic::Layout;

/// The program that is measured: a copy, as an installed one is. The system holds a file that was written
/// in one go in larger pieces than one that a linker put together, and so starts it sooner.
static TAGWORTHY: LazyLock<PathBuf> = LazyLock::new(|| {
    let installed = Path::new(env!("CARGO_TARGET_TMPDIR")).join("tagworthy");
    std::fs::copy(env!("CARGO_BIN_EXE_tagworthy"), &installed).unwrap();
    installed
});

/// Lets git run without hooks.
const WITHOUT: &[&str] = &["-c", "core.hooksPath=/dev/null"];

/// Installs the hook that git calls for every change of references, too.
const GUARD: &str = "--tag-guard";

/// Commits of a rebase.
const REBASED: usize = 100;

/// Commits after which all is kept that is kept from one to the next.
const WARMING: usize = 3;

/// What the shim of the hooks tells the C library: how to ask for memory.
const MEMORY: (&str, &str) =
    ("GLIBC_TUNABLES", "glibc.malloc.hugetlb=1:glibc.malloc.top_pad=8388608");

/// Files that hold records.
const RECORD_FILES: usize = 1_000;

fn main() {
    divan::main();
    paired::tell();
}

/// What an earlier hook kept.
const KEPT: &str = ".git/tagworthy";

/// With what the hook of the commit before kept.
#[divan::bench(args = [Layout::Flat, Layout::Nested], sample_count = 60, sample_size = 1)]
fn pre_commit(bencher: Bencher<'_, '_>, layout: Layout) {
    judge(bencher, layout, false);
}

/// The first time: nothing is kept, and then everything.
#[divan::bench(args = [Layout::Flat, Layout::Nested], sample_count = 60, sample_size = 1)]
fn first_pre_commit(bencher: Bencher<'_, '_>, layout: Layout) {
    judge(bencher, layout, true);
}

fn judge(bencher: Bencher<'_, '_>, layout: Layout, is_first: bool) {
    let scratch = synthetic::repository(&synthetic::files(RECORD_FILES, layout));
    let mut hook = hook(&scratch);
    let judged = hook.output().unwrap();
    let said = String::from_utf8_lossy(&judged.stderr);
    assert!(judged.status.success() && said.contains("mass"), "the mass moved: {said}");
    hook.stdout(Stdio::null()).stderr(Stdio::null());
    (0..WARMING).for_each(|_| succeed(&mut hook));
    let first = if is_first { "first " } else { "" };
    let name = format!("{first}pre-commit on {RECORD_FILES} record files, {layout:?}");
    let kept = scratch.path().join(KEPT);
    let judge = || {
        if is_first && kept.exists() {
            std::fs::remove_dir_all(&kept).unwrap();
        }
        succeed(&mut hook);
    };
    paired::compare(bencher, [&name, "git"], judge, || plumbing::read_index(&scratch));
}

#[divan::bench(sample_count = 100, sample_size = 1)]
fn version(bencher: Bencher<'_, '_>) {
    let scratch = Scratch::new();
    let ask = |program: &OsStr| {
        let mut command = scratch.command(program, &scratch.path());
        command.arg("--version").stdout(Stdio::null());
        command
    };
    let (mut ours, mut git) = (ask(TAGWORTHY.as_os_str()), ask("git".as_ref()));
    paired::compare(bencher, ["--version", "git"], || succeed(&mut ours), || succeed(&mut git));
}

/// Hooks that end in their shell, with what git hands to them.
#[divan::bench(args = ["reference-transaction", "pre-push", "prepare-commit-msg", "post-checkout"], sample_count = 200, sample_size = 1)]
fn not_concerned(bencher: Bencher<'_, '_>, name: &str) {
    let scratch = installed(Scratch::new(), &[GUARD]);
    let input = scratch.folder("input");
    std::fs::write(&input, "0 1 refs/heads/main 0\n").unwrap();
    let run = |program: &Path| {
        let mut hook = scratch.command(program, &scratch.path());
        hook.args(["prepared", "one", "0"]).env("GIT_EDITOR", ":").stderr(Stdio::null());
        hook
    };
    let mut ours = run(&scratch.path().join(".git/hooks").join(name));
    let mut nothing = run(Path::new("/bin/true"));
    let read = || std::fs::File::open(&input).unwrap();
    let what = format!("{name} that does not concern the design");
    paired::compare(
        bencher,
        [&what, "/bin/true"],
        || succeed(ours.stdin(read())),
        || succeed(nothing.stdin(read())),
    );
}

/// A commit with all hooks, and with the one that judges it alone.
#[divan::bench(args = ["all hooks", "pre-commit"], sample_count = 30, sample_size = 1)]
fn commit(bencher: Bencher<'_, '_>, hooks: &str) {
    let design = synthetic::repository(&synthetic::files(RECORD_FILES, Layout::Flat));
    let scratch = installed(design, &[]);
    if hooks == "pre-commit" {
        for name in ["prepare-commit-msg", "post-commit"] {
            std::fs::remove_file(scratch.path().join(".git/hooks").join(name)).unwrap();
        }
    }
    let number = Cell::new(0);
    let weigh = || {
        number.set(number.get() + 1);
        scratch.write("parts/scale.toml", format!("# weighing {}\n", number.get()));
    };
    weigh();
    scratch.git(&["add", "parts"]);
    scratch.git(&["commit", "--quiet", "--no-verify", "--message", "Heavier"]);
    let commit = |hooks: &[&str]| {
        weigh();
        scratch.git(&[hooks, &["commit", "--quiet", "--all", "--message", "Weighed"]].concat());
    };
    for _ in 0..WARMING {
        commit(&[]);
    }
    let what = format!("commit with {hooks} on {RECORD_FILES} record files");
    paired::compare(bencher, [&what, "without"], || commit(&[]), || commit(WITHOUT));
}

#[divan::bench(args = [false, true], sample_count = 8, sample_size = 1)]
fn rebase(bencher: Bencher<'_, '_>, guarded: bool) {
    let design = synthetic::repository(&synthetic::files(RECORD_FILES, Layout::Flat));
    let guard = if guarded { &[GUARD][..] } else { &[] };
    let scratch = installed(design, guard);
    scratch.git(&["commit", "--quiet", "--no-verify", "--message", "Heavier"]);
    for number in 0..REBASED {
        scratch.write("notes.txt", format!("{number}\n")).git(&["add", "notes.txt"]);
        scratch.git(&[WITHOUT, &["commit", "--quiet", "--message", "Notes"]].concat());
    }
    let onto = format!("HEAD~{REBASED}");
    let rebase = |hooks: &[&str]| {
        scratch.git(&[hooks, &["rebase", "--quiet", "--force-rebase", &onto]].concat());
    };
    let also = if guarded { " and the guard for tags" } else { "" };
    let what = format!("rebase of {REBASED} commits with all hooks{also}");
    paired::compare(bencher, [&what, "without"], || rebase(&[]), || rebase(WITHOUT));
}

/// The repository with the hooks installed.
fn installed(scratch: Scratch, further: &[&str]) -> Scratch {
    let mut install = scratch.command(&*TAGWORTHY, &scratch.path());
    install.args(["hooks", "install"]).args(further).stdout(Stdio::null());
    succeed(&mut install);
    scratch
}

/// The hook as git starts it.
fn hook(scratch: &Scratch) -> Command {
    let mut hook = scratch.command(&*TAGWORTHY, &scratch.path());
    hook.args(["hook", "pre-commit"]).env("GIT_INDEX_FILE", ".git/index").env("GIT_PREFIX", "");
    hook.env(MEMORY.0, MEMORY.1);
    hook
}

fn succeed(command: &mut Command) {
    assert!(command.status().unwrap().success());
}
