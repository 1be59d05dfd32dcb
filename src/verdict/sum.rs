//! A sum against limits: without optional parts and with all of them, and with figures missing or not.

use super::decide::{Decision, Judgeable, Limit, bound};
use super::{Bound, Side, Verdict};
use crate::record::RollUp;

/// What a budget comes to, by itself or at a step between two states.
#[derive(Clone, Copy, Debug)]
pub struct Sum {
    /// Without optional parts.
    pub without: Judgeable,
    /// With all of them, where there are any.
    pub with: Option<Judgeable>,
    /// How it comes about.
    pub roll_up: RollUp,
    /// Whether parts lack figures.
    pub lacks: bool,
    /// Whether optional parts do.
    pub lacks_options: bool,
}

/// How a sum stands against its limits.
#[derive(Clone, Debug)]
pub struct SumJudged {
    /// Against each of the limits.
    pub decision: Decision,
    /// The value that decides.
    pub value: Judgeable,
    /// Whether that is the one with all optional parts.
    pub by_options: bool,
    /// Whether figures are missing that could still turn the decision.
    pub is_open: bool,
}

impl Sum {
    /// The sum against each of `limits`.
    #[must_use]
    pub fn against(&self, limits: &[Limit]) -> SumJudged {
        let mut value = self.without;
        let mut bounds: Vec<Bound> = Vec::new();
        for limit in limits {
            let plain = bound(&self.without, limit);
            // Optional parts only ever add to what an at-most limit holds down.
            let with = self.with.filter(|_| limit.side == Side::AtMost);
            let worse = with.filter(|with| bound(with, limit).verdict > plain.verdict);
            bounds.push(worse.map_or(plain, |with| bound(&with, limit)));
            value = worse.unwrap_or(value);
        }
        let decision = Decision::of(bounds);
        let is_open = self.is_open(&decision);
        SumJudged { by_options: value != self.without, value, decision, is_open }
    }

    /// Whether figures are missing that could still turn the decision. What lacks terms is a lower bound
    /// (of the smallest of all, an upper one): it may fail already, and never passes.
    fn is_open(&self, decision: &Decision) -> bool {
        let grows = if self.roll_up == RollUp::Min { Side::AtLeast } else { Side::AtMost };
        let has_at_most = decision.bounds.iter().any(|bound| bound.side == Side::AtMost);
        let lacks = self.lacks || (has_at_most && self.lacks_options);
        let has_failed = decision
            .bounds
            .iter()
            .any(|bound| bound.verdict == Verdict::Fail && (!self.lacks || bound.side == grows));
        lacks && !has_failed
    }
}
