//! Ids for new records.

use crate::record::{Id, LONGEST, kebab};

/// Words beyond so many letters make no better id.
const MOST_LETTERS: usize = 40;

/// The id that a result of `quantity` of `part` is offered: `film-gate-temperature`.
#[must_use]
pub fn id_of_result(part: &Id, quantity: Option<&Id>) -> Id {
    let result = quantity.map_or("result", Id::as_str);
    Id::new(format!("{part}-{result}"))
}

/// The id that a record with this title is offered: its first words, as many as are short enough.
/// `otherwise` stands in, or in front, where they make none (another script, a digit first).
#[must_use]
pub fn id_of_title(title: &str, otherwise: &str) -> Id {
    let id = kebab(title, MOST_LETTERS);
    match Id::check(&id) {
        None => Id::new(id),
        Some(_) if id.is_empty() => Id::new(otherwise),
        Some(_) => Id::new(format!("{otherwise}-{id}")),
    }
}

/// The id that a file, without its ending, or a folder has by its name; `None` where that makes none.
#[must_use]
pub fn id_of_file(path: &str) -> Option<Id> {
    let name = path.rsplit('/').next().unwrap_or(path);
    let id = kebab(name, LONGEST);
    Id::check(&id).is_none().then(|| Id::new(id))
}

/// `base`, or with the first number that nobody has: `gate-soak`, `gate-soak-2`, `gate-soak-3`.
#[must_use]
pub fn free_id(base: &Id, is_taken: impl Fn(&str) -> bool) -> Id {
    if !is_taken(base.as_str()) && Id::check(base.as_str()).is_none() {
        return base.clone();
    }
    let numbered = |number: u32| {
        let ending = format!("-{number}");
        let most = (LONGEST - ending.len()).min(base.as_str().len());
        let stem = base.as_str().get(..most).unwrap_or_default().trim_end_matches('-');
        format!("{stem}{ending}")
    };
    let free = (2..).map(numbered).find(|id| !is_taken(id));
    Id::new(free.expect("fewer records than numbers"))
}
