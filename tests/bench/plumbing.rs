//! What git's own plumbing does, as the measure of what a reading costs.

use std::process::Stdio;

use crate::common::Scratch;

/// Reads the content of every staged file: what `git ls-files -s` lists, cut to ids, through
/// `git cat-file --batch`, without a shell between the two.
pub fn read_index(scratch: &Scratch) {
    let git = |arguments: &[&str]| {
        let mut command = scratch.command("git", &scratch.path());
        command.args(arguments);
        command
    };
    let mut list = git(&["ls-files", "--format=%(objectname)"])
        .stdout(Stdio::piped())
        .spawn()
        .expect("git runs");
    let read = git(&["cat-file", "--batch", "--buffer"])
        .stdin(list.stdout.take().expect("the output is a pipe"))
        .stdout(Stdio::null())
        .status();
    assert!(read.expect("git runs").success());
    assert!(list.wait().expect("git ends").success());
}
