//! The commands that write records: arguments become a record, the record goes into a file.

mod arguments;
mod desk;
mod item;
mod measure;
mod plan;
#[cfg(test)]
mod tests;

pub use arguments::{Measured, closing, decision, item as new_item, measured, waiver};
pub use item::run as item;
pub use measure::run as measure;
pub use plan::{decide, waive};

use crate::diagnostic::did_you_mean;
use crate::outside::{Failure, Manner, Outcome, shown};
use crate::record::Id;
use crate::render::layout;
use crate::report::Written;

fn told(command: &str, report: &Written, manner: &Manner) -> Outcome {
    Outcome::of(shown(command, report, &layout::written(report), manner))
}

/// Nothing of this kind is called `id`, but what is `known`.
fn unknown<'a>(kind: &str, id: &Id, known: impl IntoIterator<Item = &'a str> + Clone) -> Failure {
    let hint = did_you_mean(id.as_str(), known).map(|hint| format!("\n{hint}")).unwrap_or_default();
    Failure::new(format!("there is no {kind} `{id}`{hint}"))
}
