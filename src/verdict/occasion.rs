//! What a verdict depends on besides the design: the release being prepared, the day, and what was
//! before.

use std::collections::BTreeSet;
use std::sync::Arc;

use semver::Version;

use crate::design::Design;
use crate::fileset::RepoPath;
use crate::record::Date;

/// When, and for what, a design is judged.
#[derive(Clone, Debug)]
pub struct Occasion {
    /// The release that is judged.
    pub release: Version,
    /// The day that ages count from.
    pub today: Date,
    /// What was before, where somebody looked.
    pub past: Arc<Past>,
}

/// What was before the state that is judged, and what of it is not here.
#[derive(Clone, Debug, Default)]
pub struct Past {
    /// The release that came before.
    pub last: Option<LastRelease>,
    /// Files that are older than what they were made from, as (source, export): of the pairs that
    /// [`super::made_from`] names, those in which the export was last changed before the source was.
    pub overtaken: BTreeSet<(RepoPath, RepoPath)>,
    /// Files of parts that are pointers to a content which was not fetched.
    pub unfetched: BTreeSet<RepoPath>,
}

/// A release of the design.
#[derive(Clone, Debug)]
pub struct LastRelease {
    /// Its version.
    pub version: Version,
    /// Its tag.
    pub tag: String,
    /// The design as it was released.
    pub design: Arc<Design>,
}

impl Occasion {
    /// An occasion with nothing before it.
    #[must_use]
    pub fn new(release: Version, today: Date) -> Self {
        Self { release, today, past: Arc::default() }
    }
}
