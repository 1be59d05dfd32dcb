//! Arguments of the git hooks, and of what puts them in place.

use std::ffi::OsString;
use std::path::PathBuf;

use clap::{Args, Subcommand};

/// What to do with the hooks.
#[derive(Clone, Copy, Debug, Subcommand)]
pub enum HooksAction {
    /// Puts the git hooks in place; a hook that is there is kept and runs first.
    Install {
        /// Also where the hooks folder serves other repositories.
        #[arg(long)]
        shared: bool,
        /// Also one that refuses to make a release tag here that is not ready.
        #[arg(long)]
        tag_guard: bool,
    },
    /// Takes the hooks out, and puts back what was there before.
    Remove {
        /// Also where the hooks folder serves other repositories.
        #[arg(long)]
        shared: bool,
    },
    /// Says which hooks are in place, and whether the program that they name is there.
    Status,
}

/// A git hook, with the arguments that git gives to it (githooks(5)).
#[derive(Clone, Debug, PartialEq, Eq, Subcommand)]
pub enum HookName {
    /// Before a commit: judges what is about to be committed.
    PreCommit(By),
    /// Before the commit of a merge: judges what is about to be committed.
    PreMergeCommit(By),
    /// Before the editor opens: adds how the budgets move to the comments of the message.
    PrepareCommitMsg {
        /// The file with the message.
        file: PathBuf,
        /// Where the message comes from.
        source: Option<String>,
        /// The commit whose message it is.
        commit: Option<String>,
    },
    /// Before a push: judges the release tags that are sent.
    PrePush {
        /// The name and the address of the other repository.
        remote: Vec<OsString>,
    },
    /// After a commit: says how the budgets moved, where nothing did so before.
    PostCommit(By),
    /// After a merge: says how the budgets moved, where nothing did so before.
    PostMerge {
        /// The process of git that it belongs to.
        #[command(flatten)]
        by: By,
        /// `1` for a merge that leaves the commit to the user.
        squash: Option<String>,
    },
    /// After another revision was checked out: says how the budgets differ.
    PostCheckout {
        /// The revision before.
        before: String,
        /// The revision that is checked out now.
        after: String,
        /// `1` where not single files were checked out.
        flag: Option<String>,
    },
    /// After a rebase: says how the budgets moved. Reads old and new ids from standard input.
    PostRewrite {
        /// `rebase` or `amend`.
        command: String,
    },
    /// In a shared repository, before a push is let in: judges branches and release tags. Reads old
    /// and new ids and names of references from standard input.
    PreReceive,
    /// Before references change: judges release tags that are made here. Reads old and new ids and
    /// names of references from standard input.
    ReferenceTransaction {
        /// `prepared`, `committed` or `aborted`.
        state: String,
    },
}

impl HookName {
    /// Whether it guards a shared repository: it refuses where it cannot decide.
    #[must_use]
    pub fn is_of_server(&self) -> bool {
        *self == Self::PreReceive
    }
}

/// Which process a hook belongs to.
#[derive(Args, Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct By {
    /// The process of git that calls the hook: by it the hook after a commit knows what was judged
    /// before.
    #[arg(long, value_name = "PROCESS")]
    pub by: Option<u32>,
}
