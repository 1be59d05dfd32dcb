//! What a command wrote, on a page.

use super::super::page::Page;
use crate::report::Written;

/// One line.
#[must_use]
pub fn written(report: &Written) -> Page {
    Page { headline: vec![report.headline.as_str().into()], sections: Vec::new() }
}
