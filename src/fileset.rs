//! The files of one revision: which paths there are, what is in them by content key, and the bytes
//! of those that hold records. A plain value: git makes it, and so does a test from a string.

use std::cmp::Ordering;
use std::collections::BTreeMap;
use std::fmt;
use std::hash::{BuildHasherDefault, Hash, Hasher};
use std::sync::Arc;

use serde::{Deserialize, Deserializer, Serialize, Serializer};

use bstr::{BStr, ByteSlice};

/// A path relative to the repository's root, with forward slashes, as git stores it: bytes.
#[derive(Clone, Default, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct RepoPath(Arc<[u8]>);

impl RepoPath {
    /// The path that git stores as `bytes`.
    pub fn new(bytes: impl AsRef<[u8]>) -> Self {
        Self(bytes.as_ref().into())
    }

    /// The bytes that git stores.
    #[must_use]
    pub fn as_bstr(&self) -> &BStr {
        self.0.as_bstr()
    }

    /// The folder that holds the file; empty for the repository's root.
    #[must_use]
    pub fn folder(&self) -> RepoPath {
        match self.0.rfind_byte(b'/') {
            Some(slash) => Self::new(&self.0[..slash]),
            None => Self::default(),
        }
    }

    /// The last step of the path.
    #[must_use]
    pub fn file_name(&self) -> &BStr {
        let slash = self.0.rfind_byte(b'/').map_or(0, |slash| slash + 1);
        self.0[slash..].as_bstr()
    }

    /// The path of `relative` (which may hold `.` and `..`) seen from this folder; `None` when it
    /// would leave the repository or is empty.
    #[must_use]
    pub fn join(&self, relative: &[u8]) -> Option<RepoPath> {
        let mut steps: Vec<&[u8]> = self.0.split_str("/").filter(|step| !step.is_empty()).collect();
        for step in relative.split_str("/") {
            match step {
                b"" | b"." => {}
                b".." => {
                    steps.pop()?;
                }
                name => steps.push(name),
            }
        }
        (!steps.is_empty()).then(|| Self::new(steps.join(&b'/')))
    }

    /// The rest of the path below `folder`, if it lies there.
    #[must_use]
    pub fn below(&self, folder: &RepoPath) -> Option<&BStr> {
        if folder.0.is_empty() {
            return Some(self.as_bstr());
        }
        let rest = self.0.strip_prefix(&*folder.0)?;
        rest.strip_prefix(b"/").map(ByteSlice::as_bstr)
    }
}

impl Serialize for RepoPath {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.serialize_bytes(&self.0)
    }
}

impl<'de> Deserialize<'de> for RepoPath {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        <&[u8]>::deserialize(deserializer).map(Self::new)
    }
}

impl From<&str> for RepoPath {
    fn from(path: &str) -> Self {
        Self::new(path)
    }
}

impl fmt::Display for RepoPath {
    /// Lossy where the path is not UTF-8; a path is bytes until it is shown.
    fn fmt(&self, formatter: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(formatter, "{}", self.as_bstr())
    }
}

impl fmt::Debug for RepoPath {
    fn fmt(&self, formatter: &mut fmt::Formatter<'_>) -> fmt::Result {
        fmt::Debug::fmt(self.as_bstr(), formatter)
    }
}

/// Identifies a content as git would store it: the object id of its blob, whether the content was
/// read from a tree, the index or the working tree.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub struct ContentKey {
    bytes: [u8; 32],
    length: u8,
}

impl ContentKey {
    /// The key with the given object id, of at most 32 bytes (longer ones are cut).
    #[must_use]
    pub fn new(object_id: &[u8]) -> Self {
        let length = object_id.len().min(32);
        let mut bytes = [0; 32];
        bytes[..length].copy_from_slice(&object_id[..length]);
        Self { bytes, length: u8::try_from(length).unwrap_or(32) }
    }

    /// The object id.
    #[must_use]
    pub fn as_bytes(&self) -> &[u8] {
        &self.bytes[..usize::from(self.length)]
    }
}

impl Serialize for ContentKey {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.serialize_bytes(self.as_bytes())
    }
}

impl<'de> Deserialize<'de> for ContentKey {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        <&[u8]>::deserialize(deserializer).map(Self::new)
    }
}

/// An object id is evenly distributed in itself: its beginning tells nearly all of them apart.
impl Hash for ContentKey {
    fn hash<H: Hasher>(&self, state: &mut H) {
        state.write(&self.bytes[..8]);
    }
}

/// Finds places for keys as their own ids tell them.
pub type ByKey = BuildHasherDefault<OwnHash>;

/// Takes the first eight bytes that it is given for the hash, which is enough for what is evenly
/// distributed already.
#[derive(Clone, Copy, Debug, Default)]
pub struct OwnHash(u64);

impl Hasher for OwnHash {
    fn write(&mut self, bytes: &[u8]) {
        let first = bytes.first_chunk().map(|first| u64::from_le_bytes(*first));
        self.0 ^= first.unwrap_or_default();
    }

    fn finish(&self) -> u64 {
        self.0
    }
}

impl fmt::Display for ContentKey {
    fn fmt(&self, formatter: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.as_bytes().iter().try_for_each(|byte| write!(formatter, "{byte:02x}"))
    }
}

impl fmt::Debug for ContentKey {
    fn fmt(&self, formatter: &mut fmt::Formatter<'_>) -> fmt::Result {
        fmt::Display::fmt(self, formatter)
    }
}

/// Whether the glob `pattern` matches `path`: `*` and `?` stop at a slash, `**` does not.
#[must_use]
pub fn glob_matches(pattern: &BStr, path: &BStr) -> bool {
    gix_glob::wildmatch(pattern, path, gix_glob::wildmatch::Mode::NO_MATCH_SLASH_LITERAL)
}

/// What kind of entry a path is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
pub enum Mode {
    /// A regular file, executable or not.
    File,
    /// A symbolic link: named, never followed.
    Link,
    /// A submodule: the content key is its commit.
    Submodule,
}

/// One path of a revision.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Entry {
    /// What is in it.
    pub key: ContentKey,
    /// What kind of entry it is.
    pub mode: Mode,
}

/// The entries at those of `paths` that are there, in the order of `paths`. Where that is the order of
/// entries too, one is found beside the other.
pub fn entries_at<'a>(
    entries: &'a BTreeMap<RepoPath, Entry>,
    paths: &'a [RepoPath],
) -> impl Iterator<Item = (&'a RepoPath, &'a Entry)> {
    let mut rest = entries.range::<RepoPath, _>(..).peekable();
    paths.iter().filter_map(move |path| {
        let is_it = |(known, _): &(&RepoPath, &Entry)| *known == path;
        let found = rest.next_if(is_it).or_else(|| {
            rest = entries.range(path..).peekable();
            rest.next_if(is_it)
        });
        found.map(|(_, entry)| (path, entry))
    })
}

/// A path that does not lie in two states with the same entry.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Differing<'a> {
    /// The path.
    pub path: &'a RepoPath,
    /// What lies there in one state, and in the other.
    pub entries: [Option<&'a Entry>; 2],
}

/// The paths that do not lie in both with the same entry, in the order of paths, which is that of both.
#[must_use]
pub fn differing<'a>(
    one: impl IntoIterator<Item = (&'a RepoPath, &'a Entry)>,
    other: impl IntoIterator<Item = (&'a RepoPath, &'a Entry)>,
) -> Vec<Differing<'a>> {
    let (mut ours, mut theirs) = (one.into_iter().peekable(), other.into_iter().peekable());
    let mut differing = Vec::new();
    loop {
        let order = match (ours.peek(), theirs.peek()) {
            (None, None) => return differing,
            (Some(_), None) => Ordering::Less,
            (None, Some(_)) => Ordering::Greater,
            (Some((our, _)), Some((their, _))) => our.cmp(their),
        };
        let our = ours.next_if(|_| order.is_le());
        let their = theirs.next_if(|_| order.is_ge());
        if our != their {
            let entries = [our, their].map(|found| found.map(|(_, entry)| entry));
            differing.extend(our.or(their).map(|(path, _)| Differing { path, entries }));
        }
    }
}

/// Every path of one revision, and the bytes of those that were asked for.
#[derive(Clone, Debug, Default)]
pub struct FileSet {
    /// Every path, in git's order of bytes; shared by all who look at the revision.
    pub entries: Arc<BTreeMap<RepoPath, Entry>>,
    /// Bytes by content key: those of manifests and record files.
    pub contents: BTreeMap<ContentKey, Arc<[u8]>>,
}

impl FileSet {
    /// The bytes of the file at `path`, if they were read.
    #[must_use]
    pub fn bytes(&self, path: &RepoPath) -> Option<&Arc<[u8]>> {
        self.contents.get(&self.entries.get(path)?.key)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn entries(files: &[(&str, u8)]) -> BTreeMap<RepoPath, Entry> {
        let entry = |(path, content): &(&str, u8)| {
            let key = ContentKey::new(&[*content; 20]);
            (RepoPath::from(*path), Entry { key, mode: Mode::File })
        };
        files.iter().map(entry).collect()
    }

    #[test]
    fn entries_are_found_in_whatever_order_they_are_asked_for() {
        let all = entries(&[("a", 1), ("b", 2), ("c", 3), ("e", 5)]);
        let found = |paths: &[&str]| -> Vec<String> {
            let paths: Vec<RepoPath> = paths.iter().map(|path| RepoPath::from(*path)).collect();
            let found = entries_at(&all, &paths);
            found.map(|(path, entry)| format!("{path} {}", entry.key.as_bytes()[0])).collect()
        };
        assert_eq!(found(&["a", "b", "c"]), ["a 1", "b 2", "c 3"]);
        assert_eq!(found(&["e", "b", "d", "b", "c"]), ["e 5", "b 2", "b 2", "c 3"]);
        assert_eq!(found(&["", "f"]), [""; 0]);
    }

    #[test]
    fn what_came_went_or_holds_something_else_differs() {
        let one = entries(&[("a", 1), ("b", 2), ("d", 4), ("e", 5)]);
        let other = entries(&[("b", 2), ("c", 3), ("d", 9), ("f", 6), ("g", 7)]);
        let paths = |one, other| -> Vec<String> {
            differing(one, other).into_iter().map(|found| found.path.to_string()).collect()
        };
        assert_eq!(paths(&one, &other), ["a", "c", "d", "e", "f", "g"]);
        assert_eq!(paths(&other, &one), ["a", "c", "d", "e", "f", "g"]);
        assert_eq!(paths(&one, &one), [""; 0]);
    }
}
