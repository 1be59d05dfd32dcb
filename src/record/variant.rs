//! `[variant.ID]`: another build of the same design.

use serde::{Deserialize, Serialize};

use super::Id;
use crate::diagnostic::At;
use crate::quantity::Amount;

/// Another build of the same design, checked like the first.
#[derive(Clone, Debug, Serialize, Deserialize)]
pub struct Variant {
    /// Its name in the design.
    pub id: At<Id>,
    /// What people call it.
    pub title: Option<At<String>>,
    /// Parts that it goes without.
    pub drop: Vec<At<Id>>,
    /// Parts that take the place of others: (old, new).
    pub swap: Vec<(At<Id>, At<Id>)>,
    /// Amounts that differ: (assembly, part, amount).
    pub change: Vec<(At<Id>, At<Id>, At<Amount>)>,
    /// Steps that are not done in it.
    pub skip: Vec<At<Id>>,
}
