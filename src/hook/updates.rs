//! What git writes to the standard input of hooks: a line for each reference or commit (githooks(5)).

use std::io::Read;

use crate::outside::Failure;

/// The most that is read: a push of half a million references.
const MOST_BYTES: u64 = 64 << 20;

/// A reference that is about to change.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Update {
    /// The id before; `None` where the reference is new.
    pub old: Option<String>,
    /// The id after; `None` where the reference goes.
    pub new: Option<String>,
    /// Its full name.
    pub name: String,
}

impl Update {
    /// The tag's name, where it is one that comes or moves, and the id that it will have.
    pub fn tag(&self) -> Option<(&str, &str)> {
        self.name.strip_prefix("refs/tags/").zip(self.new.as_deref())
    }
}

/// All of standard input.
///
/// # Errors
/// [`Failure`] where it could not be read, or is longer than [`MOST_BYTES`].
pub(super) fn input() -> Result<String, Failure> {
    let mut bytes = Vec::new();
    let read = std::io::stdin().lock().take(MOST_BYTES).read_to_end(&mut bytes);
    read.map_err(|error| Failure::new(format!("standard input could not be read: {error}")))?;
    if bytes.len() as u64 == MOST_BYTES {
        return Err(Failure::new("there are more references than can be judged"));
    }
    Ok(String::from_utf8_lossy(&bytes).into_owned())
}

/// The lines of `pre-receive` and `reference-transaction`: old id, new id, name.
pub(super) fn received(input: &str) -> Vec<Update> {
    let update = |line: &str| {
        let mut words = line.splitn(3, ' ');
        let (old, new) = (words.next()?, words.next()?);
        Some(Update { old: id(old)?, new: id(new)?, name: words.next()?.to_owned() })
    };
    input.lines().filter_map(update).collect()
}

/// The lines of `pre-push`: local name and id, remote name and id.
pub(super) fn pushed(input: &str) -> Vec<Update> {
    let update = |line: &str| {
        // A local name may be any expression, blanks included; the other three words have none.
        let mut words = line.rsplitn(4, ' ');
        let (old, name, new) = (words.next()?, words.next()?, words.next()?);
        Some(Update { old: id(old)?, new: id(new)?, name: name.to_owned() })
    };
    input.lines().filter_map(update).collect()
}

/// The lines of `post-rewrite`: old id, new id.
pub(super) fn rewritten(input: &str) -> Vec<(String, String)> {
    let pair = |line: &str| {
        let mut words = line.split_whitespace();
        id(words.next()?)?.zip(id(words.next()?)?)
    };
    input.lines().filter_map(pair).collect()
}

/// An id; nothing inside where it is all zeros, nothing at all where it is none.
fn id(word: &str) -> Option<Option<String>> {
    let is_id = word.len() >= 40 && word.bytes().all(|digit| digit.is_ascii_hexdigit());
    is_id.then(|| word.bytes().any(|digit| digit != b'0').then(|| word.to_owned()))
}

#[cfg(test)]
mod tests {
    use super::*;

    const ONE: &str = "1111111111111111111111111111111111111111";
    const TWO: &str = "2222222222222222222222222222222222222222";
    const NONE: &str = "0000000000000000000000000000000000000000";

    #[test]
    fn lines_of_references_are_read_as_githooks_describes_them() {
        let input =
            format!("{NONE} {ONE} refs/tags/v1.0.0\n{ONE} {NONE} refs/heads/old\nnonsense\n");
        let updates = received(&input);
        assert_eq!(updates.len(), 2);
        assert_eq!(updates[0].tag(), Some(("v1.0.0", ONE)));
        assert_eq!((updates[0].old.as_deref(), updates[1].new.as_deref()), (None, None));
        assert_eq!(updates[1].tag(), None);
    }

    #[test]
    fn a_push_names_what_it_sends_and_what_is_there() {
        let input =
            format!("HEAD {TWO} refs/tags/v1.0.0 {NONE}\n(delete) {NONE} refs/tags/v0 {ONE}\n");
        let updates = pushed(&input);
        assert_eq!(updates[0].tag(), Some(("v1.0.0", TWO)));
        assert_eq!(updates[1].tag(), None, "a tag that goes is nothing to judge");
        assert_eq!(updates[1].old.as_deref(), Some(ONE));
    }

    #[test]
    fn a_rewritten_commit_may_have_more_behind_it() {
        let pairs = rewritten(&format!("{ONE} {TWO} more\n{TWO} {ONE}\n"));
        assert_eq!(pairs, [(ONE.to_owned(), TWO.to_owned()), (TWO.to_owned(), ONE.to_owned())]);
    }
}
