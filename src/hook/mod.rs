//! The git hooks: which state each judges, what it refuses, and how the shims are put in place.
//!
//! A hook of one's own working tree never stops git for a fault of this program; that of a shared
//! repository does, since nobody is there to look (`fault`).

mod change;
mod events;
mod fault;
mod gone;
mod guard;
pub mod installed;
mod judged;
mod message;
mod moved;
mod post_checkout;
mod post_commit;
mod post_merge;
mod post_rewrite;
mod pre_commit;
mod pre_merge_commit;
mod pre_push;
mod pre_receive;
mod prepare_commit_msg;
mod reference_transaction;
mod tag;
mod touched;
mod updates;
mod warm;

use crate::cli::hooks::HookName;
use crate::outside::{Manner, Outcome, World};

/// Runs one hook. Never fails: a fault is told, and refuses only where the manifest or the place
/// asks for it.
#[must_use]
pub fn run(hook: &HookName, manner: &Manner, world: &World) -> Outcome {
    let done = match hook {
        HookName::PreCommit(by) => pre_commit::run(*by, manner, world),
        HookName::PreMergeCommit(by) => pre_merge_commit::run(*by, manner, world),
        HookName::PrepareCommitMsg { file, .. } => prepare_commit_msg::run(file, world),
        HookName::PrePush { .. } => pre_push::run(manner, world),
        HookName::PostCommit(by) => post_commit::run(*by, world),
        HookName::PostMerge { by, squash } => post_merge::run(*by, squash.as_deref(), world),
        HookName::PostCheckout { before, after, flag } => {
            post_checkout::run((before, after), flag.as_deref(), world)
        }
        HookName::PostRewrite { command } => post_rewrite::run(command, world),
        HookName::PreReceive => pre_receive::run(manner, world),
        HookName::ReferenceTransaction { state } => {
            reference_transaction::run(state, manner, world)
        }
    };
    done.unwrap_or_else(|failure| fault::told(hook, &failure, world))
}
