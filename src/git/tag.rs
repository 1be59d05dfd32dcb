//! Annotated tags: what stands in them, and writing one.

use gix::ObjectId;
use gix::bstr::ByteSlice;
use gix::objs::Kind;
use gix::refs::transaction::PreviousValue;

use super::create::Mark;
use super::error::{Error, detail};
use super::repository::Repository;

/// A tag of a commit with a message. Its texts come from the repository: whoever wrote them isn't
/// trusted.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct AnnotatedTag {
    /// Its name, without `refs/tags/`.
    pub name: String,
    /// The id of the commit, in hexadecimal.
    pub commit: String,
    /// The message without a signature behind it; lossy where it isn't UTF-8.
    pub message: String,
    /// Whether it is signed. The signature isn't checked here.
    pub signed: bool,
}

impl Repository {
    /// The annotated tag called `name`.
    ///
    /// # Errors
    /// [`Error::Tag`] where there is none, and for one that isn't annotated or isn't of a commit.
    pub fn annotated_tag(&self, name: &str) -> Result<AnnotatedTag, Error> {
        let refused = |why: String| Error::Tag { name: name.to_owned(), why };
        let short = name.strip_prefix("refs/tags/").unwrap_or(name);
        let reference = self.inner.try_find_reference(&format!("refs/tags/{short}"));
        let reference = reference.map_err(|error| refused(detail(&error)))?;
        let reference = reference.ok_or_else(|| refused("there is no such tag".to_owned()))?;
        let id = reference.try_id().ok_or_else(|| refused("it names another name".to_owned()))?;
        let object = self.object(id.detach())?;
        if object.kind != Kind::Tag {
            let why = match object.kind {
                Kind::Commit => "it is no annotated tag, and holds no message".to_owned(),
                kind => format!("it names a {kind}, not a commit"),
            };
            return Err(refused(why));
        }
        let damaged = |error: gix::Error| super::tree::damaged(id.detach(), &error);
        let tag = object.into_tag();
        let tag = tag.decode().map_err(damaged)?;
        if tag.target_kind != Kind::Commit {
            return Err(refused(format!("it is a tag of a {}, not of a commit", tag.target_kind)));
        }
        Ok(AnnotatedTag {
            name: short.to_owned(),
            commit: tag.target().to_string(),
            message: tag.message.to_str_lossy().into_owned(),
            signed: tag.signature.is_some(),
        })
    }

    /// Who would tag now: git's committer, and the time.
    ///
    /// # Errors
    /// [`Error::NoIdentity`] where git doesn't know.
    pub fn tagger(&self) -> Result<Mark, Error> {
        let committer = self.inner.committer().and_then(Result::ok).ok_or(Error::NoIdentity)?;
        let time = committer.time().map_err(|_| Error::NoIdentity)?;
        if committer.name.trim().is_empty() || committer.email.trim().is_empty() {
            return Err(Error::NoIdentity);
        }
        Ok(Mark {
            name: committer.name.trim().to_str_lossy().into_owned(),
            email: committer.email.trim().to_str_lossy().into_owned(),
            seconds: time.seconds,
            offset_seconds: time.offset,
        })
    }

    /// Whether git is set to sign the tags that it makes (`tag.gpgSign`).
    #[must_use]
    pub fn signs_tags(&self) -> bool {
        self.inner.config_snapshot().boolean("tag.gpgSign").unwrap_or(false)
    }

    /// Writes an annotated tag of `commit`, which must not be there yet; unsigned.
    ///
    /// # Errors
    /// [`Error::Tag`] where git could not hold it or has it already.
    pub fn write_tag(
        &self,
        name: &str,
        commit: &str,
        tagger: &Mark,
        message: &str,
    ) -> Result<(), Error> {
        let refused = |why: String| Error::Tag { name: name.to_owned(), why };
        tagger.check()?;
        let commit = ObjectId::from_hex(commit.as_bytes());
        let commit = commit.map_err(|error| refused(error.to_string()))?;
        let signature = tagger.signature();
        let mut time = gix::date::parse::TimeBuf::default();
        let signature = signature.to_ref(&mut time);
        let constraint = PreviousValue::MustNotExist;
        let made = self.inner.tag(name, commit, Kind::Commit, Some(signature), message, constraint);
        made.map(drop).map_err(|error| refused(detail(&error)))
    }
}
