//! A design whose manifest goes: why that is refused, or how it is told.

use super::command::word;
use super::{Moment, Refusal};
use crate::design::Design;
use crate::fileset::RepoPath;
use crate::report::shown::count;

/// Names that one line has room for.
const MOST_NAMES: usize = 3;

/// A manifest that a change takes away.
#[derive(Clone, Copy, Debug)]
pub struct Removal<'a> {
    /// Where it lay.
    pub manifest: &'a RepoPath,
    /// The design; `None` where its records could not be read before.
    pub design: Option<&'a Design>,
    /// Its record files that nothing reads any more.
    pub left: &'a [RepoPath],
    /// Whether another design reads some of them now.
    pub is_taken_over: bool,
}

impl Removal<'_> {
    /// What becomes of the design, in one line.
    #[must_use]
    pub fn told(&self) -> String {
        let manifest = self.manifest;
        let Some(design) = self.design else {
            return format!("{manifest} is gone, whose records could not be read before");
        };
        let name = &design.name;
        if !self.left.is_empty() {
            let left = self.files_left();
            return format!(
                "{name} is no longer a design: {manifest} is gone, and nothing reads {left}"
            );
        }
        if self.is_taken_over {
            return format!(
                "{name} is no longer a design of its own: {manifest} is gone, and another one reads \
                 its records"
            );
        }
        let requirements = self.requirements();
        let requirements = requirements.map(|told| format!(", {told} among them"));
        format!(
            "{name} is no longer a design here: {manifest} is gone with its records{}",
            requirements.unwrap_or_default()
        )
    }

    fn files_left(&self) -> String {
        named(self.left.iter().map(RepoPath::to_string).collect())
    }

    /// `2 requirements (carry-mass, cost-ceiling)`, where there are any.
    fn requirements(&self) -> Option<String> {
        let requirements = &self.design?.requirements;
        let ids: Vec<String> =
            requirements.iter().map(|requirement| requirement.id.to_string()).collect();
        let number = count(ids.len(), "requirement");
        (!ids.is_empty()).then(|| format!("{number} ({})", named(ids)))
    }
}

/// The refusal of a change that takes a manifest away and leaves its records; `from` is a revision
/// that still has it.
#[must_use]
pub fn removed(removal: &Removal<'_>, from: &str, moment: Moment) -> Refusal {
    let design = removal.design.map(|design| design.name.as_str()).unwrap_or_default();
    let subject = moment.subject();
    let headline = format!(
        "refused: {subject} takes the manifest of {design} away, and leaves its records behind"
    );
    let manifest = removal.manifest;
    let files = count(removal.left.len(), "record file");
    let are = if removal.left.len() == 1 { "is" } else { "are" };
    let gone = format!("{manifest} is gone; {files} {are} left: {}", removal.files_left());
    let unjudged = removal.requirements().map(|told| format!("not judged any more: {told}"));
    let back = match word(&format!(":/{manifest}")) {
        Some(path) => format!("bring it back: git checkout {from} -- {path}"),
        None => format!("bring it back, as it was in {from}"),
    };
    let mend = vec![
        back,
        "or move it together with its records, where they are to lie elsewhere".to_owned(),
        format!("or delete the {files} too, where {design} is to go"),
    ];
    let besides = [Some(gone), unjudged].into_iter().flatten().collect();
    Refusal { besides, mend, ..Refusal::new(headline, moment) }
}

/// The first names, and how many there are besides.
fn named(names: Vec<String>) -> String {
    let more = names.len().saturating_sub(MOST_NAMES);
    let more = (more > 0).then(|| format!("{more} more"));
    let named: Vec<String> = names.into_iter().take(MOST_NAMES).chain(more).collect();
    named.join(", ")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn many_names_are_cut() {
        let names = |number: usize| named((1..=number).map(|name| name.to_string()).collect());
        assert_eq!(names(3), "1, 2, 3");
        assert_eq!(names(5), "1, 2, 3, 2 more");
    }
}
