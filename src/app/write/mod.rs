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

use crate::outside::{Manner, Outcome, shown};
use crate::render::layout;
use crate::report::Written;

fn told(command: &str, report: &Written, manner: &Manner) -> Outcome {
    Outcome::of(shown(command, report, &layout::written(report), manner))
}
