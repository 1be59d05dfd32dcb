//! What happens when a hook could not decide.

use crate::cli::hooks::HookName;
use crate::git::{At, Repository};
use crate::outside::{Failure, Loader, Outcome, World, manifests};
use crate::record::OnFault;
use crate::report::Moment;

/// Tells of the failure, and refuses where the manifest says so, or where it says nothing and the
/// repository is a shared one.
pub(super) fn told(hook: &HookName, failure: &Failure, world: &World) -> Outcome {
    let usual = if hook.is_of_server() { OnFault::Refuse } else { OnFault::Pass };
    let refused = can_refuse(hook) && asked_for(world).unwrap_or(usual) == OnFault::Refuse;
    let end = if refused { "and is refused" } else { "and git goes on" };
    let past = way_past(hook).filter(|_| refused);
    let past =
        past.map(|past| format!("tagworthy: the manifest asks for that; {past} goes past\n"));
    let notice = format!("tagworthy: {failure}\ntagworthy: {}, {end}\n", missed(hook));
    Outcome { notice: notice + &past.unwrap_or_default(), refused, ..Outcome::default() }
}

/// Git's own way past a hook that refuses only because the manifest asks for it.
fn way_past(hook: &HookName) -> Option<String> {
    match hook {
        HookName::PreCommit(_) => Moment::Commit.way_past(),
        HookName::PreMergeCommit(_) => Moment::Merge.way_past(),
        HookName::PrePush { .. } => Moment::Push.way_past(),
        HookName::ReferenceTransaction { .. } => Moment::Tag("…".to_owned()).way_past(),
        _ => None,
    }
}

fn can_refuse(hook: &HookName) -> bool {
    matches!(
        hook,
        HookName::PreCommit(_)
            | HookName::PreMergeCommit(_)
            | HookName::PrePush { .. }
            | HookName::PreReceive
            | HookName::ReferenceTransaction { .. }
    )
}

fn missed(hook: &HookName) -> &'static str {
    match hook {
        HookName::PreCommit(_) => "the commit is not judged",
        HookName::PreMergeCommit(_) => "the merge is not judged",
        HookName::PrePush { .. } => "the release tags are not judged",
        HookName::PreReceive => "the push is not judged",
        HookName::ReferenceTransaction { .. } => "the tag is not judged",
        _ => "the budgets are not compared",
    }
}

/// What the outermost manifest that is checked out says of faults, as far as it can be read.
fn asked_for(world: &World) -> Option<OnFault> {
    let repository = Repository::open(&world.folder).ok()?;
    let head = At::Revision(repository.head().ok()??);
    let mut snapshot = repository.snapshot(&head).ok()?;
    let outermost =
        manifests(snapshot.entries()).into_iter().min_by_key(|path| path.as_bstr().len())?;
    let rules = Loader::new(&repository).rules(&mut snapshot, &outermost).ok()?;
    rules.guard.on_fault.as_ref().map(|rule| rule.value)
}
