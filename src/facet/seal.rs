//! The physical facets of a part as text: what was on the bench.
//!
//! Geometry is said twice: as the shapes, and as the contents of the files that they were read from.
//! A seal can so be held against a machine that has the files and one that has not fetched them,
//! whichever of the two it was taken on.

use super::{Digest, Facet, Facets, Known};
use crate::record::Seal;

const GEOMETRY: char = 'g';

/// The letter of the contents that a geometry was read from.
const CONTENTS: char = 'f';

/// The letter of each physical facet in a seal.
const LETTERS: [(char, Facet); 6] = [
    (GEOMETRY, Facet::Geometry),
    ('m', Facet::Material),
    ('i', Facet::Identity),
    ('d', Facet::Dimensions),
    ('s', Facet::Settings),
    ('c', Facet::Composition),
];

/// The seal of a part: letter and digits of every physical facet of which it says something.
#[must_use]
pub fn seal(facets: &Facets) -> String {
    let words = sealed(facets).0.into_iter().map(|(letter, digits)| format!("{letter}{digits}"));
    words.collect::<Vec<_>>().join(" ")
}

/// The same as the value that a record holds. Of a geometry that is not known here only the contents
/// are said.
#[must_use]
pub fn sealed(facets: &Facets) -> Seal {
    let is_told = |facet: Facet| facet != Facet::Geometry || facets.known == Known::Whole;
    let told = LETTERS.iter().filter(|(_, facet)| is_told(*facet));
    let told = told.map(|(letter, facet)| (*letter, facets.get(*facet)));
    let told = told.chain([(CONTENTS, facets.contents)]);
    let told = told.filter(|(_, digest)| !digest.is_nothing());
    Seal(told.map(|(letter, digest)| (letter, digest.to_string())).collect())
}

/// Whether a seal says the geometry too, where its part has one.
#[must_use]
pub fn says_all(seal: &Seal) -> bool {
    seal.digits(GEOMETRY).is_some() || seal.digits(CONTENTS).is_none()
}

/// What is known of a part that was sealed once.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Since {
    /// The physical facets in which it differs, in the order of the table.
    pub changed: Vec<Facet>,
    /// Why it cannot be told whether its geometry is another.
    pub untold: Option<Untold>,
}

/// Why a geometry cannot be compared with a sealed one.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Untold {
    /// A file of the part is not in the revision.
    NotThere,
    /// The content of a file is not at hand.
    NotAtHand,
    /// It was not known when the seal was taken.
    NotSealed,
}

/// What changed of a part since it was sealed. A facet that is not in the seal was empty then.
#[must_use]
pub fn since(seal: &Seal, facets: &Facets) -> Since {
    let differs = |(letter, facet): &(char, Facet)| !says(seal, *letter, facets.get(*facet));
    let mut changed: Vec<Facet> =
        LETTERS.iter().filter(|letter| differs(letter)).map(|(_, facet)| *facet).collect();
    let is_of_geometry = changed.first() == Some(&Facet::Geometry);
    let untold = if is_of_geometry { untold(seal, facets) } else { None };
    if untold.is_some() || (is_of_geometry && has_same_contents(seal, facets)) {
        changed.remove(0);
    }
    Since { changed, untold }
}

/// Whether the seal has these digits for the letter, or does not have it for nothing.
fn says(seal: &Seal, letter: char, digest: Digest) -> bool {
    match seal.digits(letter) {
        Some(digits) => digits.eq_ignore_ascii_case(&digest.to_string()),
        None => digest.is_nothing(),
    }
}

fn has_same_contents(seal: &Seal, facets: &Facets) -> bool {
    !facets.contents.is_nothing() && says(seal, CONTENTS, facets.contents)
}

/// Why geometries whose digits differ may be the same all the same, if they may.
fn untold(seal: &Seal, facets: &Facets) -> Option<Untold> {
    let [had_geometry, had_contents] = [GEOMETRY, CONTENTS].map(|it| seal.digits(it).is_some());
    let either_has_none =
        facets.get(Facet::Geometry).is_nothing() || !(had_geometry || had_contents);
    if either_has_none || has_same_contents(seal, facets) {
        return None;
    }
    match facets.known {
        Known::NotThere => Some(Untold::NotThere),
        Known::NotAtHand => Some(Untold::NotAtHand),
        Known::Whole => (!had_geometry).then_some(Untold::NotSealed),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::facet::table;
    use crate::fixture::design;

    const GATE: &str = r#"
        [part.scanner]
        origin = "printed"
        material = "petg"
        dimension = { slot = "5.00 mm +0.05/-0.00" }
        setting = { drive = "350 mA" }
        [material.petg]
    "#;

    fn facets(text: &str) -> Facets {
        let design = design(text);
        *table(&design).of(&design, design.top)
    }

    /// The seal as it is read back from a record.
    fn read(seal: &str) -> Seal {
        let word = |word: &str| (word.chars().next().expect("a letter"), word[1..].to_owned());
        Seal(seal.split(' ').map(word).collect())
    }

    #[test]
    fn a_seal_is_a_promise() {
        // The encoding itself is pinned: another one would make every seal in every design stale.
        insta::assert_snapshot!(
            seal(&facets(GATE)),
            @"m504c88649fb5 i7126be705991 d68c771b49fcc scdb3a72a4e27"
        );
    }

    #[test]
    fn a_seal_names_the_facets_that_changed_since() {
        let sealed = read(&seal(&facets(GATE)));
        assert_eq!(since(&sealed, &facets(GATE)), Since::default());
        let now = GATE.replace("350 mA", "0.4 A").replace("5.00 mm", "5.1 mm");
        assert_eq!(since(&sealed, &facets(&now)).changed, [Facet::Dimensions, Facet::Settings]);
    }

    #[test]
    fn a_facet_that_came_or_went_is_a_change() {
        let without = GATE.replace("setting = { drive = \"350 mA\" }", "");
        let (with, without) = (facets(GATE), facets(&without));
        assert_eq!(since(&read(&seal(&with)), &without).changed, [Facet::Settings]);
        assert_eq!(since(&read(&seal(&without)), &with).changed, [Facet::Settings]);
    }
}
