//! Why a repository, or something in it, could not be read.

use std::fmt;
use std::io;
use std::path::PathBuf;

use crate::fileset::RepoPath;

/// How many paths an error names before it only counts them.
const NAMED_PATHS: usize = 5;

/// What went wrong, where, and what to do about it.
#[derive(Debug)]
pub enum Error {
    /// No repository in `folder` or above it.
    NoRepository {
        /// Where the search began.
        folder: PathBuf,
    },
    /// The repository belongs to someone else, and isn't listed as safe.
    OtherOwner {
        /// The working tree, or the git directory of a bare repository.
        folder: PathBuf,
    },
    /// A way of storing a repository that can't be read here.
    Unsupported {
        /// The git directory.
        git_dir: PathBuf,
        /// What it uses, in words.
        feature: String,
    },
    /// The repository is there but can't be opened.
    Open {
        /// Where it is, or where the search began.
        folder: PathBuf,
        /// The reason.
        detail: String,
    },
    /// A bare repository was asked for its index or its working tree.
    NoWorkTree {
        /// The git directory.
        git_dir: PathBuf,
    },
    /// There is no commit yet.
    Unborn,
    /// A revision doesn't name a commit (or tree) of this repository.
    Revision {
        /// As it was asked for.
        revision: String,
        /// The reason.
        detail: String,
        /// Whether the history was cut off when the repository was cloned.
        shallow: bool,
    },
    /// A tag can't be used, or can't be made.
    Tag {
        /// Its name.
        name: String,
        /// The reason.
        why: String,
    },
    /// git doesn't know who is at work.
    NoIdentity,
    /// An object is named but isn't there.
    MissingObject {
        /// Its id, in hexadecimal.
        id: String,
        /// Whether the repository was cloned without all of its objects.
        partial: bool,
    },
    /// An object is there but can't be read.
    DamagedObject {
        /// Its id, in hexadecimal.
        id: String,
        /// The reason.
        detail: String,
    },
    /// A tree has more paths, or is nested deeper, than is accepted.
    TooLarge {
        /// What exceeds which bound, in words.
        what: String,
    },
    /// A merge is under way, and paths wait for a decision.
    Conflicts {
        /// The paths.
        paths: Vec<RepoPath>,
    },
    /// The index, the references or the configuration can't be read.
    Unreadable {
        /// What can't be read, in words.
        what: String,
        /// The reason.
        detail: String,
    },
    /// A file of the working tree can't be read.
    File {
        /// Its path.
        path: RepoPath,
        /// The reason.
        source: io::Error,
    },
    /// A file of the working tree changed between being listed and being read.
    ChangedMeanwhile {
        /// Its path.
        path: RepoPath,
    },
    /// The folder for a new repository isn't empty.
    NotEmpty {
        /// The folder.
        folder: PathBuf,
    },
    /// A history that git could not hold.
    InvalidHistory {
        /// What is wrong, in words.
        what: String,
    },
    /// A new repository could not be written.
    Write {
        /// Where.
        folder: PathBuf,
        /// The reason.
        detail: String,
    },
}

const NO_IDENTITY: &str = "git doesn't know who tags; run `git config user.name` and \
                           `git config user.email` with yours";

impl fmt::Display for Error {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::NoRepository { folder } => write!(
                out,
                "no git repository in {} or above it; run this inside one, or start one with `git init`",
                folder.display()
            ),
            Self::OtherOwner { folder } => write!(
                out,
                "the repository at {0} belongs to another user; if you trust it, run \
                 `git config --global --add safe.directory {0}`",
                folder.display()
            ),
            Self::Unsupported { git_dir, feature } => {
                write!(
                    out,
                    "the repository at {} uses {feature}, which can't be read here",
                    git_dir.display()
                )
            }
            Self::Open { folder, detail } => {
                write!(out, "the repository at {} can't be opened: {detail}", folder.display())
            }
            Self::NoWorkTree { git_dir } => write!(
                out,
                "the repository at {} has no working tree; name a revision instead",
                git_dir.display()
            ),
            Self::Unborn => write!(out, "there is no commit yet"),
            Self::Revision { revision, detail, shallow } => {
                write!(out, "`{revision}` names no commit here: {detail}")?;
                shallow_remedy(out, *shallow)
            }
            Self::Tag { name, why } => write!(out, "the tag `{name}`: {why}"),
            Self::NoIdentity => out.write_str(NO_IDENTITY),
            Self::MissingObject { id, partial } => {
                write!(out, "object {id} is missing from the repository; ")?;
                let remedy =
                    if *partial { "fetch it, for example with" } else { "look for damage with" };
                let command = if *partial { "git fetch --refetch" } else { "git fsck" };
                write!(out, "{remedy} `{command}`")
            }
            Self::DamagedObject { id, detail } => {
                write!(out, "object {id} can't be read: {detail}; look for damage with `git fsck`")
            }
            Self::TooLarge { what } => write!(out, "the repository is too large: {what}"),
            Self::Conflicts { paths } => {
                write!(out, "a merge left conflicts in ")?;
                list(out, paths)?;
                write!(out, "; resolve them and `git add` the files")
            }
            Self::Unreadable { what, detail } => write!(out, "{what} can't be read: {detail}"),
            Self::File { path, source } => write!(out, "{path} can't be read: {source}"),
            Self::ChangedMeanwhile { path } => {
                write!(out, "{path} changed while it was being read; run this again")
            }
            Self::NotEmpty { folder } => {
                write!(out, "{} isn't empty; name a new or an empty folder", folder.display())
            }
            Self::InvalidHistory { what } => write!(out, "git can't hold this history: {what}"),
            Self::Write { folder, detail } => {
                write!(out, "the repository at {} can't be written: {detail}", folder.display())
            }
        }
    }
}

impl std::error::Error for Error {
    fn source(&self) -> Option<&(dyn std::error::Error + 'static)> {
        match self {
            Self::File { source, .. } => Some(source),
            _ => None,
        }
    }
}

fn shallow_remedy(out: &mut fmt::Formatter<'_>, shallow: bool) -> fmt::Result {
    if shallow {
        write!(
            out,
            "; this clone holds only part of the history, `git fetch --unshallow` brings the rest"
        )?;
    }
    Ok(())
}

fn list(out: &mut fmt::Formatter<'_>, paths: &[RepoPath]) -> fmt::Result {
    for (position, path) in paths.iter().take(NAMED_PATHS).enumerate() {
        let comma = if position > 0 { ", " } else { "" };
        write!(out, "{comma}{path}")?;
    }
    match paths.len().saturating_sub(NAMED_PATHS) {
        0 => Ok(()),
        more => write!(out, " and {more} more"),
    }
}

/// The error for what the git library can't read.
pub(super) fn unreadable(what: &str, error: &(dyn std::error::Error + 'static)) -> Error {
    Error::Unreadable { what: what.to_owned(), detail: detail(error) }
}

/// What lies at the bottom of an error of the git library, on one line: its last cause that is more
/// than a word, without the text that was parsed.
pub(super) fn last_cause(error: &(dyn std::error::Error + 'static)) -> String {
    let mut said = error.to_string();
    let mut cause = error.source();
    while let Some(error) = cause {
        said = Some(error.to_string()).filter(|text| text.contains(' ')).unwrap_or(said);
        cause = error.source();
    }
    let said = said.split(", input=").next().unwrap_or_default();
    said.replace('\n', " ")
}

/// An error of the git library on one line, with its causes.
pub(super) fn detail(error: &(dyn std::error::Error + 'static)) -> String {
    let mut text = String::new();
    let mut cause = Some(error);
    while let Some(error) = cause {
        let line = error.to_string().replace('\n', " ");
        if !text.ends_with(&line) {
            if !text.is_empty() {
                text.push_str(": ");
            }
            text.push_str(&line);
        }
        cause = error.source();
    }
    text
}
