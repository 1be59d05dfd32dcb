//! The day that ages count from.

use super::loader::Loader;
use super::{Failure, World};
use crate::git::At;
use crate::record::Date;
use crate::report::Place;

impl Loader<'_> {
    /// The day of a state: the commit's, or today; and how the state is called.
    pub(super) fn occasion(&self, at: &At, world: &World) -> Result<(Date, Place), Failure> {
        let At::Revision(revision) = at else { return Ok((world.today, at.into())) };
        let commit = self.repository.describe(revision)?;
        Ok((day_of(commit.seconds, world.today), Place::Revision(commit.short_id)))
    }
}

/// By the name that was asked for.
impl From<&At> for Place {
    fn from(at: &At) -> Self {
        match at {
            At::Revision(revision) => Self::Revision(revision.clone()),
            At::Index => Self::Index,
            At::WorkTree => Self::WorkingTree,
        }
    }
}

/// The day, in UTC, of a time in seconds since 1970; `otherwise` where the calendar has none.
#[must_use]
pub fn day_of(seconds: i64, otherwise: Date) -> Date {
    let time = jiff::Timestamp::from_second(seconds);
    time.map_or(otherwise, |time| time.to_zoned(jiff::tz::TimeZone::UTC).date())
}
