//! The ledger of a design whose manifest was moved: it goes on through the place where it lay before.

use super::{Failure, Loader, Take, Walk, World};
use crate::assess;
use crate::compare::How;
use crate::fileset::{ContentKey, RepoPath};
use crate::git::{At, Passed, Repository, Way};
use crate::history::{self, Entry, Ledger, Row, Told};
use crate::record::Id;
use crate::verdict::{Assessed, Occasion};

/// How often a design is followed to another place.
const MOST_MOVES: usize = 16;

/// The rows of the design whose manifest lies at `manifest` at the end of the way, and of what it was
/// before it was moved there; `also` is a figure of a part that is followed besides.
///
/// Where the way is not one line, the design is followed at this one place: which side of a merge it
/// came from is not told by places.
///
/// # Errors
/// [`Failure`] where an object is missing or damaged.
pub fn ledger(
    repository: &Repository,
    manifest: &RepoPath,
    also: Option<(Id, Id)>,
    way: &Way,
    world: &World,
) -> Result<Ledger, Failure> {
    let mut rows = Vec::new();
    Followed { repository, also, world }.rows(manifest, way, MOST_MOVES, &mut |row| {
        rows.push(row);
        Ok(())
    })?;
    Ok(Ledger { rows, passed: way.commits.len(), is_cut_off: way.is_cut_off })
}

/// The same, one row after the other.
///
/// # Errors
/// As [`ledger`], and what `take` fails with.
pub fn rows(
    repository: &Repository,
    manifest: &RepoPath,
    way: &Way,
    world: &World,
    take: &mut Take<'_>,
) -> Result<(), Failure> {
    Followed { repository, also: None, world }.rows(manifest, way, MOST_MOVES, take)
}

/// What is followed.
struct Followed<'r> {
    repository: &'r Repository,
    also: Option<(Id, Id)>,
    world: &'r World,
}

impl Followed<'_> {
    fn rows(
        &self,
        manifest: &RepoPath,
        way: &Way,
        moves: usize,
        take: &mut Take<'_>,
    ) -> Result<(), Failure> {
        let mut walk = Walk::of(self.repository, manifest.clone(), self.world.today);
        if let Some((part, quantity)) = self.also.clone() {
            walk = walk.following(part, quantity);
        }
        let mut is_first = true;
        walk.rows(way, &mut |mut row| {
            if std::mem::take(&mut is_first) && moves > 0 {
                self.before(manifest, way, moves, &mut row, take)?;
            }
            take(row)
        })
    }

    /// What came before the `first` row, if the design was moved to `manifest` there; that row is then
    /// compared with the last before it.
    fn before(
        &self,
        manifest: &RepoPath,
        way: &Way,
        moves: usize,
        first: &mut Row,
        take: &mut Take<'_>,
    ) -> Result<(), Failure> {
        if !is_arrival(first, way) {
            return Ok(());
        }
        let passed = &way.commits[first.place];
        let Some(former) = self.former(manifest, passed)? else { return Ok(()) };
        let before = &way.commits[..first.place];
        let before = Way { commits: before.to_vec(), is_cut_off: way.is_cut_off };
        let mut last = None;
        self.rows(&former, &before, moves - 1, &mut |row| {
            if matches!(row.told, Told::Entry(_)) {
                last = Some(way.commits[row.place].id);
            }
            take(row)
        })?;
        // Where the way begins with the move, what was before it is not told.
        if let Some(last) = last.or(passed.parent) {
            let was = self.state(&last, &former)?;
            let is = self.state(&passed.id, manifest)?;
            if let (Some(was), Some(is)) = (was, is) {
                let also = self.also.as_ref().map(|(part, quantity)| (part, quantity));
                first.told = Told::Entry(Box::new(history::entry(Some(&was), &is, also)));
            }
        }
        Ok(())
    }

    /// Where the manifest lay that a revision moved to `manifest`.
    fn former(&self, manifest: &RepoPath, passed: &Passed) -> Result<Option<RepoPath>, Failure> {
        let Some(parent) = passed.parent else { return Ok(None) };
        let snapshot = |id: ContentKey| self.repository.snapshot(&At::Revision(id.to_string()));
        let (mut before, mut after) = (snapshot(parent)?, snapshot(passed.id)?);
        Loader::new(self.repository).former(&mut before, &mut after, manifest)
    }

    /// The design at a revision, judged as a row of the ledger is.
    fn state(&self, id: &ContentKey, manifest: &RepoPath) -> Result<Option<Assessed>, Failure> {
        let at = At::Revision(id.to_string());
        let mut loader = Loader::new(self.repository).comparing_seals();
        let mut snapshot = self.repository.snapshot(&at)?;
        let state = loader.design(&mut snapshot, manifest, &at, self.world)?;
        Ok(state.linked.design.as_ref().map(|design| {
            let occasion = Occasion::new(design.next.clone(), self.world.today);
            assess::judge_requirements(None, design, &state.revisions, &occasion)
        }))
    }
}

/// Whether the design came with the `first` row of a way that is one line, and was not there before.
fn is_arrival(first: &Row, way: &Way) -> bool {
    let Told::Entry(entry) = &first.told else { return false };
    let mut pairs = way.commits.windows(2);
    is_new(entry) && pairs.all(|pair| pair[1].parent == Some(pair[0].id))
}

fn is_new(entry: &Entry) -> bool {
    entry.parts.iter().all(|part| part.how == How::Added)
        && entry.figures.iter().all(|figure| figure.before.is_none())
}
