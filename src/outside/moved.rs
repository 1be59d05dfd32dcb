//! The ledger of a design whose manifest was moved: it goes on through the place where it lay before.

use super::{Failure, Loader, Walk, World};
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
    Followed { repository, also, world }.ledger(manifest, way, MOST_MOVES)
}

/// What is followed.
struct Followed<'r> {
    repository: &'r Repository,
    also: Option<(Id, Id)>,
    world: &'r World,
}

impl Followed<'_> {
    fn ledger(&self, manifest: &RepoPath, way: &Way, moves: usize) -> Result<Ledger, Failure> {
        let mut walk = Walk::of(self.repository, manifest.clone(), self.world.today);
        if let Some((part, quantity)) = self.also.clone() {
            walk = walk.following(part, quantity);
        }
        let mut ledger = walk.ledger(way)?;
        let Some(came) = came(&ledger, way).filter(|_| moves > 0) else { return Ok(ledger) };
        let passed = &way.commits[came];
        let Some(former) = self.former(manifest, passed, &ledger)? else { return Ok(ledger) };
        let before = Way { commits: way.commits[..came].to_vec(), is_cut_off: way.is_cut_off };
        let mut rows = self.ledger(&former, &before, moves - 1)?.rows;
        let is_readable = |row: &&Row| matches!(row.told, Told::Entry(_));
        let last = rows.iter().rfind(is_readable).map(|row| way.commits[row.place].id);
        // Where the way begins with the move, what was before it is not told.
        if let Some(last) = last.or(passed.parent) {
            let was = self.state(&last, &former)?;
            let is = self.state(&passed.id, manifest)?;
            if let (Some(first), Some(was), Some(is)) = (ledger.rows.first_mut(), was, is) {
                let also = self.also.as_ref().map(|(part, quantity)| (part, quantity));
                first.told = Told::Entry(Box::new(history::entry(Some(&was), &is, also)));
            }
        }
        rows.append(&mut ledger.rows);
        Ok(Ledger { rows, ..ledger })
    }

    /// Where the manifest lay that a revision moved to `manifest`, with which the ledger begins.
    fn former(
        &self,
        manifest: &RepoPath,
        passed: &Passed,
        ledger: &Ledger,
    ) -> Result<Option<RepoPath>, Failure> {
        let Some(parent) = passed.parent else { return Ok(None) };
        let first = ledger.rows.first().map(|row| &row.told);
        if !matches!(first, Some(Told::Entry(_))) {
            return Ok(None);
        }
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

/// The place on the way at which the design came, where that is one line and the design was not there
/// before.
fn came(ledger: &Ledger, way: &Way) -> Option<usize> {
    let first = ledger.rows.first()?;
    let Told::Entry(entry) = &first.told else { return None };
    let mut pairs = way.commits.windows(2);
    let is_line = pairs.all(|pair| pair[1].parent == Some(pair[0].id));
    (is_line && is_new(entry)).then_some(first.place)
}

fn is_new(entry: &Entry) -> bool {
    entry.parts.iter().all(|part| part.how == How::Added)
        && entry.figures.iter().all(|figure| figure.before.is_none())
}
