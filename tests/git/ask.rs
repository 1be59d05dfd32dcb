//! Questions to the library, answered in a process with an environment of its own.

use std::path::{Path, PathBuf};

use bstr::{BString, ByteSlice};
use tagworthy::fileset::{Mode, RepoPath};
use tagworthy::git::{At, Content, Cursor, Error, Range, Repository, Snapshot};

use crate::common::Scratch;

/// What is asked in the current folder.
#[derive(Clone, Copy, Debug)]
pub enum Question<'q> {
    /// Every path at a state: `WORKTREE`, `INDEX` or a revision.
    Paths(&'q str),
    /// The content of a path at a state, up to a number of bytes.
    Content(&'q str, &'q str, u64),
    /// The commit that is checked out.
    Head,
    /// The folder below the working tree's root.
    Prefix,
    /// The folder of hooks, and its reach.
    Hooks,
    /// The commit that a revision names.
    Describe(&'q str),
    /// All tags.
    Tags,
    /// Where two histories parted.
    MergeBase(&'q str, &'q str),
    /// The commits of a range, `A..B` or `B`, on the line of first parents or `every` one; each with the
    /// paths that differ from its first parent, as git's raw lines.
    History(&'q str, &'q str),
    /// The commits that last changed paths, as they are at a revision.
    LastChanges(&'q str, &'q [&'q str]),
    /// What an annotated tag holds.
    Annotated(&'q str),
    /// Whether git is set to sign tags.
    Signs,
    /// What git's configuration says of a key.
    Setting(&'q str),
    /// Tags the commit that is checked out, by whoever git says.
    WriteTag(&'q str, &'q str),
    /// The commits that the second history holds and the first does not.
    Since(&'q str, &'q str),
    /// The first parent of a revision.
    Parent(&'q str),
    /// What a reference names directly.
    Reference(&'q str),
    /// The commit behind an object.
    Behind(&'q str),
    /// Whether the second history holds the first commit.
    Reached(&'q str, &'q str),
}

impl Question<'_> {
    fn words(self) -> Vec<String> {
        let words: &[&str] = &match self {
            Self::Paths(at) => vec!["paths", at],
            Self::Content(at, path, limit) => {
                return vec!["content".into(), at.into(), path.into(), limit.to_string()];
            }
            Self::Head => vec!["head"],
            Self::Prefix => vec!["prefix"],
            Self::Hooks => vec!["hooks"],
            Self::Describe(revision) => vec!["describe", revision],
            Self::Tags => vec!["tags"],
            Self::MergeBase(one, other) => vec!["merge-base", one, other],
            Self::History(range, which) => vec!["history", range, which],
            Self::LastChanges(at, paths) => [&["last-changes", at], paths].concat(),
            Self::Annotated(name) => vec!["annotated", name],
            Self::Signs => vec!["signs"],
            Self::Setting(key) => vec!["setting", key],
            Self::WriteTag(name, message) => vec!["write-tag", name, message],
            Self::Since(old, new) => vec!["since", old, new],
            Self::Parent(revision) => vec!["parent", revision],
            Self::Reference(name) => vec!["reference", name],
            Self::Behind(id) => vec!["behind", id],
            Self::Reached(wanted, tip) => vec!["reached", wanted, tip],
        };
        words.iter().map(|&word| word.to_owned()).collect()
    }
}

/// The answer, asked in the repository's folder.
pub fn ask(scratch: &Scratch, question: Question) -> BString {
    ask_in(scratch, &scratch.path(), question)
}

/// The answer, asked in a folder.
pub fn ask_in(scratch: &Scratch, folder: &Path, question: Question) -> BString {
    let answer = scratch.folder("answer");
    let _ = std::fs::remove_file(&answer);
    let output = scratch
        .command(std::env::current_exe().unwrap(), folder)
        .args(["--exact", "ask::answer", "--ignored"])
        .env("QUESTION", question.words().join("\n"))
        .env("ANSWER", &answer)
        .output()
        .unwrap();
    assert!(output.status.success(), "{}", output.stdout.as_bstr());
    std::fs::read(answer).unwrap().into()
}

/// Checks that every path at a state is what `git ls-files --stage` or `git ls-tree` says.
pub fn check_paths(scratch: &Scratch, at: &str, expected: &[u8]) {
    let found = ask(scratch, Question::Paths(at));
    assert_eq!(found, as_paths(expected), "at {at}");
}

/// What `git ls-files --stage -z` and `git ls-tree -r -z` print, written as [`Question::Paths`] is.
pub fn as_paths(listing: &[u8]) -> BString {
    let mut lines: Vec<(&[u8], BString)> = Vec::new();
    for line in listing.split(|&byte| byte == 0).filter(|line| !line.is_empty()) {
        let (facts, path) = line.split_once_str("\t").unwrap();
        let facts: Vec<_> = facts.to_str().unwrap().split(' ').collect();
        // ls-files: mode, id, stage; ls-tree: mode, kind, id.
        let id = if facts[1].len() >= 40 { facts[1] } else { facts[2] };
        let mode = match facts[0] {
            "120000" => "link",
            "160000" => "submodule",
            _ => "file",
        };
        lines.push((path, format!("{mode} {id} ").into()));
    }
    lines.sort();
    let mut text = BString::default();
    for (path, facts) in lines {
        text.extend_from_slice(&[&facts, path, b"\n"].concat());
    }
    text
}

/// Not a test: answers the question in the environment.
#[test]
#[ignore = "answers for other tests"]
fn answer() {
    let (Ok(question), Some(answer)) = (std::env::var("QUESTION"), std::env::var_os("ANSWER"))
    else {
        return;
    };
    let words: Vec<_> = question.split('\n').collect();
    let text = reply(&words).unwrap_or_else(|error| format!("error: {error}").into());
    std::fs::write(PathBuf::from(answer), text).unwrap();
}

fn reply(words: &[&str]) -> Result<BString, Error> {
    let repository = Repository::open(&std::env::current_dir().unwrap())?;
    Ok(match *words {
        ["paths", at] => paths(&repository.snapshot(&state(at))?),
        ["content", at, path, limit] => {
            let mut snapshot = repository.snapshot(&state(at))?;
            match snapshot.read(&RepoPath::from(path), limit.parse().unwrap())? {
                Some(Content::Bytes(bytes)) => bytes.to_vec().into(),
                Some(Content::TooLarge { bytes }) => format!("{bytes} bytes are too many").into(),
                None => "no file".into(),
            }
        }
        ["head"] => repository.head()?.unwrap_or_else(|| "unborn".to_owned()).into(),
        ["prefix"] => repository.prefix().as_bstr().to_owned(),
        ["hooks"] => {
            let hooks = repository.hooks_folder()?;
            format!("{:?} {}", hooks.reach, hooks.path.display()).into()
        }
        ["describe", revision] => format!("{:#?}", repository.describe(revision)?).into(),
        ["tags"] => {
            let lines =
                repository.tags()?.into_iter().map(|tag| format!("{} {}\n", tag.commit, tag.name));
            lines.collect::<String>().into()
        }
        ["merge-base", one, other] => told(repository.merge_base(one, other)?),
        ["since", old, new] => {
            let lines = repository.commits_since(Some(old), new, 1000)?.into_iter();
            lines.map(|id| format!("{id}\n")).collect::<String>().into()
        }
        ["parent", revision] => told(repository.parent(revision)?),
        ["reference", name] => told(repository.reference(name)?),
        ["behind", id] => told(repository.commit_behind(id)?),
        ["reached", wanted, tip] => {
            repository.is_reached(wanted, &[tip.to_owned()])?.to_string().into()
        }
        ["last-changes", at, ref paths @ ..] => {
            let paths = paths.iter().map(|path| RepoPath::from(*path));
            let changes = repository.last_changes(at, paths)?.into_iter();
            changes.map(|(path, commit)| format!("{commit} {path}\n")).collect::<String>().into()
        }
        ["annotated", name] => {
            let tag = repository.annotated_tag(name)?;
            format!("{} {}\n{}", tag.commit, tag.signed, tag.message).into()
        }
        ["setting", key] => told(repository.setting(key)),
        ["signs"] => repository.signs_tags().to_string().into(),
        ["write-tag", name, ref lines @ ..] => {
            let head = repository.head()?.unwrap_or_default();
            repository.write_tag(name, &head, &repository.tagger()?, &lines.join("\n"))?;
            "made".into()
        }
        ["history", range, which] => history(&repository, range, which == "every")?,
        _ => panic!("unknown question: {words:?}"),
    })
}

fn told(id: Option<String>) -> BString {
    id.unwrap_or_else(|| "nothing".to_owned()).into()
}

/// `commit ID`, then `BEFORE AFTER PATH` for each path; the last line tells whether the clone was cut
/// off.
fn history(repository: &Repository, range: &str, every: bool) -> Result<BString, Error> {
    let (after, upto) = match range.split_once("..") {
        Some((after, upto)) => (Some(after.to_owned()), upto.to_owned()),
        None => (None, range.to_owned()),
    };
    let way = repository.way(&Range { after, upto, every })?;
    let (mut cursor, teller) = (repository.cursor(), repository.teller());
    // Goes half of its way by what the other tells.
    let mut follower = repository.cursor();
    let mut text = BString::default();
    for (number, passed) in way.commits.iter().enumerate() {
        let told = teller.tell(passed)?;
        assert_eq!(told.id, passed.id.to_string());
        text.extend_from_slice(format!("commit {}\n", passed.id).as_bytes());
        match passed.parent_tree {
            Some(parent) => {
                let changes = cursor.move_to(parent)?;
                follower.follow(parent, &changes)?;
            }
            None => (cursor, follower) = (repository.cursor(), repository.cursor()),
        }
        let changes = cursor.move_to(passed.tree)?;
        match number % 2 {
            0 => follower.follow(passed.tree, &changes)?,
            _ => assert_eq!(follower.move_to(passed.tree)?, changes),
        }
        assert_eq!((follower.tree(), cursor.tree()), (Some(passed.tree), Some(passed.tree)));
        assert_eq!(follower.snapshot().entries(), cursor.snapshot().entries());
        for change in changes {
            let id = |entry: Option<tagworthy::fileset::Entry>| {
                entry.map_or("none".to_owned(), |entry| entry.key.to_string())
            };
            let ids = format!("{} {} ", id(change.before), id(change.after));
            text.extend_from_slice(&[ids.as_bytes(), change.path.as_bstr(), b"\n"].concat());
        }
        check_paths_of(&mut text, repository, &cursor, &told.id)?;
    }
    text.extend_from_slice(format!("cut off: {}\n", way.is_cut_off).as_bytes());
    Ok(text)
}

/// Adds a line where the cursor holds other paths than the commit that it stands at.
fn check_paths_of(
    text: &mut BString,
    repository: &Repository,
    cursor: &Cursor<'_>,
    commit: &str,
) -> Result<(), Error> {
    let read = repository.snapshot(&At::Revision(commit.to_owned()))?;
    if cursor.snapshot().entries() != read.entries() {
        text.extend_from_slice(b"other paths than at the commit\n");
    }
    Ok(())
}

fn state(at: &str) -> At {
    match at {
        "WORKTREE" => At::WorkTree,
        "INDEX" => At::Index,
        revision => At::Revision(revision.to_owned()),
    }
}

fn paths(snapshot: &Snapshot) -> BString {
    let mut text = BString::default();
    for (path, entry) in snapshot.entries() {
        let mode = match entry.mode {
            Mode::File => "file",
            Mode::Link => "link",
            Mode::Submodule => "submodule",
        };
        text.extend_from_slice(format!("{mode} {} ", entry.key).as_bytes());
        text.extend_from_slice(path.as_bstr());
        text.push(b'\n');
    }
    text
}
