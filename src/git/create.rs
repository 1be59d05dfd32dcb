//! Laying out a new repository with a given history.

use std::collections::{BTreeMap, HashMap};
use std::fs;
use std::path::Path;
use std::sync::Arc;

use gix::ObjectId;
use gix::bstr::{BString, ByteSlice};
use gix::objs::tree::EntryKind;
use gix::refs::transaction::{Change, LogChange, PreviousValue, RefEdit};
use gix::refs::{FullName, Target};

use super::error::{Error, detail};
use super::normalise::disk_path;
use crate::fileset::RepoPath;

/// A whole history. Commits are named by their position in `commits`.
#[derive(Clone, Debug, Default)]
pub struct NewHistory {
    /// The commits, parents before their children.
    pub commits: Vec<NewCommit>,
    /// The branches.
    pub branches: Vec<NewBranch>,
    /// The annotated tags.
    pub tags: Vec<NewTag>,
    /// The name of the branch that is checked out.
    pub head: String,
}

/// One commit, with all of its files.
#[derive(Clone, Debug)]
pub struct NewCommit {
    /// The positions of its parents.
    pub parents: Vec<usize>,
    /// Every file, not only those that changed.
    pub files: BTreeMap<RepoPath, NewFile>,
    /// Who wrote and committed it, and when.
    pub author: Mark,
    /// The message; the first line is the subject.
    pub message: String,
}

/// A file of a commit.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct NewFile {
    /// Its bytes, stored and checked out as they are.
    pub content: Arc<[u8]>,
    /// Whether it can be run.
    pub executable: bool,
}

/// Who did something, and when.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Mark {
    /// The name.
    pub name: String,
    /// The mail address.
    pub email: String,
    /// Seconds since 1970-01-01T00:00:00Z.
    pub seconds: i64,
    /// The offset from UTC in seconds, a whole number of minutes.
    pub offset_seconds: i32,
}

/// A branch.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct NewBranch {
    /// Its name, without `refs/heads/`.
    pub name: String,
    /// The position of its commit.
    pub commit: usize,
}

/// An annotated tag.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct NewTag {
    /// Its name, without `refs/tags/`.
    pub name: String,
    /// The position of its commit.
    pub commit: usize,
    /// Who tagged, and when.
    pub tagger: Mark,
    /// The message.
    pub message: String,
}

/// Makes a git repository at `folder` with the given history, its head checked out. The same history
/// gives the same object ids, whatever git of the user is configured to do.
///
/// # Errors
/// [`Error::NotEmpty`], [`Error::InvalidHistory`] before anything is written, [`Error::Write`].
pub fn create(folder: &Path, history: &NewHistory) -> Result<(), Error> {
    history.check()?;
    refuse_content(folder)?;
    let writer = Writer { folder, repository: init(folder)? };
    let mut blobs = HashMap::new();
    let mut commits = Vec::with_capacity(history.commits.len());
    for commit in &history.commits {
        let id = writer.commit(commit, &commits, &mut blobs)?;
        commits.push(id);
    }
    writer.references(history, &commits)?;
    writer.check_out(&history.checked_out()?.files, &blobs)
}

impl NewHistory {
    fn checked_out(&self) -> Result<&NewCommit, Error> {
        let branch = self.branches.iter().find(|branch| branch.name == self.head);
        let commit = branch.and_then(|branch| self.commits.get(branch.commit));
        commit.ok_or_else(|| invalid(format!("there is no branch `{}` to check out", self.head)))
    }

    fn check(&self) -> Result<(), Error> {
        for (position, commit) in self.commits.iter().enumerate() {
            if commit.parents.iter().any(|&parent| parent >= position) {
                return Err(invalid(format!("commit {position} stands before one of its parents")));
            }
            check_text(&commit.message)?;
            commit.author.check()?;
            check_paths(&commit.files)?;
        }
        for branch in &self.branches {
            self.check_reference(branch_name(branch)?, branch.commit)?;
        }
        for tag in &self.tags {
            check_text(&tag.message)?;
            tag.tagger.check()?;
            self.check_reference(tag_name(tag)?, tag.commit)?;
        }
        self.checked_out().map(drop)
    }

    fn check_reference(&self, name: FullName, commit: usize) -> Result<(), Error> {
        match commit < self.commits.len() {
            true => Ok(()),
            false => Err(invalid(format!("`{name}` names commit {commit}, which isn't there"))),
        }
    }
}

impl Mark {
    pub(super) fn check(&self) -> Result<(), Error> {
        let plain = |text: &str| !text.trim().is_empty() && !text.contains(['<', '>', '\n', '\0']);
        if !plain(&self.name) || !plain(&self.email) {
            return Err(invalid(format!("`{} <{}>` is no author", self.name, self.email)));
        }
        let whole_minutes = self.offset_seconds % 60 == 0 && self.offset_seconds.abs() < 86_400;
        if self.seconds < 0 || !whole_minutes {
            return Err(invalid(format!(
                "{} s at {} s is no time",
                self.seconds, self.offset_seconds
            )));
        }
        Ok(())
    }

    pub(super) fn signature(&self) -> gix::actor::Signature {
        gix::actor::Signature {
            name: self.name.trim().into(),
            email: self.email.trim().into(),
            time: gix::date::Time { seconds: self.seconds, offset: self.offset_seconds },
        }
    }
}

fn check_text(message: &str) -> Result<(), Error> {
    match message.contains('\0') {
        true => Err(invalid("a message holds a NUL".to_owned())),
        false => Ok(()),
    }
}

/// A path has to be one on every system: `create` writes it to disk, wherever it came from.
fn check_paths(files: &BTreeMap<RepoPath, NewFile>) -> Result<(), Error> {
    for path in files.keys() {
        let bytes = path.as_bstr();
        for name in bytes.split_str("/") {
            let strict = gix::validate::path::component::Options::default();
            gix::validate::path::component(name.as_bstr(), None, strict)
                .map_err(|error| invalid(format!("`{path}` is no path: {error}")))?;
        }
        let folders = bytes.find_iter("/").map(|slash| RepoPath::new(&bytes[..slash]));
        if let Some(file) = folders.into_iter().find(|folder| files.contains_key(folder)) {
            return Err(invalid(format!("`{file}` is both a file and a folder")));
        }
    }
    Ok(())
}

fn invalid(what: String) -> Error {
    Error::InvalidHistory { what }
}

fn refuse_content(folder: &Path) -> Result<(), Error> {
    let occupied = match fs::read_dir(folder) {
        Ok(mut entries) => entries.next().is_some(),
        Err(_) => folder.symlink_metadata().is_ok(),
    };
    match occupied {
        true => Err(Error::NotEmpty { folder: folder.to_owned() }),
        false => Ok(()),
    }
}

/// Neither the user's configuration nor a surrounding git's environment has a say here.
fn init(folder: &Path) -> Result<gix::Repository, Error> {
    fs::create_dir_all(folder).map_err(|error| unwritten(folder, &error))?;
    let kind = gix::create::Kind::WithWorktree;
    let empty =
        gix::create::Options { destination_must_be_empty: Some(true), ..Default::default() };
    let opened =
        gix::ThreadSafeRepository::init_opts(folder, kind, empty, gix::open::Options::isolated());
    let mut repository = opened.map_err(|error| unwritten(folder, &error))?.to_thread_local();
    // Nobody else writes here: an object that isn't known is a new one, no need to look again.
    repository.objects.refresh_never();
    repository.refs.write_reflog = gix::refs::store::WriteReflog::Disable;
    Ok(repository)
}

fn unwritten(folder: &Path, error: &(dyn std::error::Error + 'static)) -> Error {
    Error::Write { folder: folder.to_owned(), detail: detail(error) }
}

/// The ids of contents that were written already.
type Blobs = HashMap<Arc<[u8]>, ObjectId>;

struct Writer<'f> {
    folder: &'f Path,
    repository: gix::Repository,
}

impl Writer<'_> {
    fn commit(
        &self,
        commit: &NewCommit,
        earlier: &[ObjectId],
        blobs: &mut Blobs,
    ) -> Result<ObjectId, Error> {
        let signature = commit.author.signature();
        let object = gix::objs::Commit {
            tree: self.tree(&commit.files, blobs)?,
            parents: commit.parents.iter().map(|&parent| earlier[parent]).collect(),
            author: signature.clone(),
            committer: signature,
            encoding: None,
            message: message(&commit.message),
            extra_headers: Vec::new(),
        };
        self.object(&object)
    }

    fn tree(
        &self,
        files: &BTreeMap<RepoPath, NewFile>,
        blobs: &mut Blobs,
    ) -> Result<ObjectId, Error> {
        let failed = |error: gix::Error| unwritten(self.folder, &error);
        let mut editor = self.repository.empty_tree().edit().map_err(failed)?;
        for (path, file) in files {
            let blob = self.blob(&file.content, blobs)?;
            let kind = if file.executable { EntryKind::BlobExecutable } else { EntryKind::Blob };
            editor.upsert(path.as_bstr(), kind, blob).map_err(failed)?;
        }
        Ok(editor.write().map_err(failed)?.detach())
    }

    fn blob(&self, content: &Arc<[u8]>, blobs: &mut Blobs) -> Result<ObjectId, Error> {
        if let Some(&known) = blobs.get(content) {
            return Ok(known);
        }
        let written =
            self.repository.write_blob(content).map_err(|error| unwritten(self.folder, &error))?;
        blobs.insert(content.clone(), written.detach());
        Ok(written.detach())
    }

    fn object(&self, object: impl gix::objs::WriteTo) -> Result<ObjectId, Error> {
        let written =
            self.repository.write_object(object).map_err(|error| unwritten(self.folder, &error))?;
        Ok(written.detach())
    }

    fn references(&self, history: &NewHistory, commits: &[ObjectId]) -> Result<(), Error> {
        let head = full_name("refs/heads/", &history.head)?;
        let mut edits = vec![update(full_name("", "HEAD")?, Target::Symbolic(head))];
        for branch in &history.branches {
            edits.push(update(branch_name(branch)?, Target::Object(commits[branch.commit])));
        }
        for tag in &history.tags {
            let object = self.tag(tag, commits[tag.commit])?;
            edits.push(update(tag_name(tag)?, Target::Object(object)));
        }
        let written = self.repository.edit_references_as(edits, None);
        written.map(drop).map_err(|error| unwritten(self.folder, &error))
    }

    fn tag(&self, tag: &NewTag, target: ObjectId) -> Result<ObjectId, Error> {
        self.object(gix::objs::Tag {
            target,
            target_kind: gix::objs::Kind::Commit,
            name: tag.name.as_str().into(),
            tagger: Some(tag.tagger.signature()),
            message: message(&tag.message),
            signature: None,
        })
    }

    /// Writes the files, and the index with their stat data: git finds nothing changed.
    fn check_out(&self, files: &BTreeMap<RepoPath, NewFile>, blobs: &Blobs) -> Result<(), Error> {
        let mut state = gix::index::State::new(self.repository.object_hash());
        for (path, file) in files {
            let stat =
                self.write_file(path, file).map_err(|error| unwritten(self.folder, &error))?;
            let mode = match file.executable {
                true => gix::index::entry::Mode::FILE_EXECUTABLE,
                false => gix::index::entry::Mode::FILE,
            };
            let flags = gix::index::entry::Flags::empty();
            state.dangerously_push_entry(stat, blobs[&file.content], flags, mode, path.as_bstr());
        }
        let mut index = gix::index::File::from_state(state, self.repository.index_path());
        index
            .write(gix::index::write::Options::default())
            .map_err(|error| unwritten(self.folder, &error))
    }

    fn write_file(
        &self,
        path: &RepoPath,
        file: &NewFile,
    ) -> std::io::Result<gix::index::entry::Stat> {
        let disk_path = disk_path(self.folder, path).map_err(std::io::Error::other)?;
        if let Some(folder) = disk_path.parent() {
            fs::create_dir_all(folder)?;
        }
        fs::write(&disk_path, &file.content)?;
        if file.executable {
            make_executable(&disk_path)?;
        }
        let metadata = gix::index::fs::Metadata::from_path_no_follow(&disk_path)?;
        gix::index::entry::Stat::from_fs(&metadata).map_err(std::io::Error::other)
    }
}

/// A message ends its last line, as git makes it do.
fn message(text: &str) -> BString {
    format!("{}\n", text.trim_end()).into()
}

fn branch_name(branch: &NewBranch) -> Result<FullName, Error> {
    full_name("refs/heads/", &branch.name)
}

fn tag_name(tag: &NewTag) -> Result<FullName, Error> {
    full_name("refs/tags/", &tag.name)
}

fn full_name(kind: &str, name: &str) -> Result<FullName, Error> {
    let name = format!("{kind}{name}");
    let checked = FullName::try_from(name.as_str());
    checked.map_err(|error| invalid(format!("`{name}` is no name: {}", detail(&error))))
}

fn update(name: FullName, new: Target) -> RefEdit {
    let change = Change::Update { log: LogChange::default(), expected: PreviousValue::Any, new };
    RefEdit { change, name, deref: false }
}

#[cfg(unix)]
fn make_executable(path: &Path) -> std::io::Result<()> {
    use std::os::unix::fs::PermissionsExt;
    fs::set_permissions(path, fs::Permissions::from_mode(0o755))
}

#[cfg(not(unix))]
fn make_executable(_: &Path) -> std::io::Result<()> {
    Ok(())
}
