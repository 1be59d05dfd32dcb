//! Judges a change that takes the manifest of a design away.
//!
//! Records that are left without a manifest are records that can no longer be read. Where they go with
//! it, or another design reads them, nothing stands unread: like a promise that is given up, that is
//! said and let through.

use super::change::{Rule, told};
use super::touched::Gone;
use crate::outside::Outcome;
use crate::record::Event;
use crate::render::layout;
use crate::render::untrusted::one_line;
use crate::report::{self, Removal};

/// Judges that the design is gone; `from` is a revision that still has its manifest.
pub(super) fn judge(gone: &Gone, from: &str, rule: &Rule<'_>) -> Outcome {
    let removal = removal(gone);
    let is_newly_unread = !gone.left.is_empty() && removal.design.is_some();
    if !(is_newly_unread && rule.guard.contains(&Event::NewlyUnreadable)) {
        let notice = format!("{}; let through\n", line(gone));
        return Outcome { notice, ..Outcome::default() };
    }
    let refusal = report::removed(&removal, from, rule.moment.clone());
    Outcome { notice: told(&layout::refusal(&refusal), rule), refused: true, ..Outcome::default() }
}

/// What became of the design, in one line.
pub(super) fn line(gone: &Gone) -> String {
    one_line(&removal(gone).told())
}

fn removal(gone: &Gone) -> Removal<'_> {
    Removal {
        manifest: &gone.manifest,
        design: gone.was.linked.design.as_deref(),
        left: &gone.left,
        is_taken_over: gone.is_taken_over,
    }
}
