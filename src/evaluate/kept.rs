//! Figures as they are kept from one run to the next.

use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

use serde::{Deserialize, Serialize};

use super::whole::Frame;
use super::{Budget, Figures, StandIns, Subject};
use crate::design::Design;

/// What of figures is kept: budgets with the terms that they are made of. What is computed by more than
/// a roll-up is worked out anew in each state, and is none of it.
#[derive(Clone, Debug, Serialize, Deserialize)]
pub struct KeptFigures {
    budgets: BTreeMap<Subject, Budget>,
    subjects: Arc<BTreeSet<Subject>>,
    stand_ins: StandIns,
}

impl KeptFigures {
    /// Those of `figures`; nothing where they are of no state.
    #[must_use]
    pub fn of(figures: &Figures) -> Option<Self> {
        let frame = figures.frame.as_ref()?;
        Some(Self {
            budgets: figures.budgets.clone(),
            subjects: Arc::clone(&frame.subjects),
            stand_ins: frame.stand_ins.clone(),
        })
    }

    /// The figures of `design`, which they were kept of, for a later state to start from.
    #[must_use]
    pub fn of_design(self, design: &Design) -> Figures {
        let Self { budgets, subjects, stand_ins } = self;
        let frame = Frame::asked_for(design, subjects, stand_ins);
        Figures { budgets, frame: Some(frame), ..Figures::default() }
    }
}
