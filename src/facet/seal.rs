//! The physical facets of a part as text: what was on the bench.

use super::{Digest, Facet, Facets};
use crate::record::Seal;

/// The letter of each physical facet in a seal.
const LETTERS: [(char, Facet); 6] = [
    ('g', Facet::Geometry),
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

/// The same as the value that a record holds.
#[must_use]
pub fn sealed(facets: &Facets) -> Seal {
    let said = LETTERS.iter().map(|(letter, facet)| (*letter, facets.get(*facet)));
    let said = said.filter(|(_, digest)| !digest.is_nothing());
    Seal(said.map(|(letter, digest)| (letter, digest.to_string())).collect())
}

/// The physical facets in which a part differs from what was sealed, in the order of the table. A
/// facet that is not in the seal was empty then.
#[must_use]
pub fn changed_since(seal: &Seal, facets: &Facets) -> Vec<Facet> {
    let differs = |(letter, facet): &(char, Facet)| {
        let sealed = seal.0.iter().find(|(known, _)| known == letter);
        let now = facets.get(*facet);
        match sealed {
            Some((_, digits)) => !digits.eq_ignore_ascii_case(&now.to_string()),
            None => now != Digest::NOTHING,
        }
    };
    LETTERS.iter().filter(|letter| differs(letter)).map(|(_, facet)| *facet).collect()
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
        *table(&design).of(design.top)
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
        assert_eq!(changed_since(&sealed, &facets(GATE)), []);
        let now = GATE.replace("350 mA", "0.4 A").replace("5.00 mm", "5.1 mm");
        assert_eq!(changed_since(&sealed, &facets(&now)), [Facet::Dimensions, Facet::Settings]);
    }

    #[test]
    fn a_facet_that_came_or_went_is_a_change() {
        let without = GATE.replace("setting = { drive = \"350 mA\" }", "");
        let (with, without) = (facets(GATE), facets(&without));
        assert_eq!(changed_since(&read(&seal(&with)), &without), [Facet::Settings]);
        assert_eq!(changed_since(&read(&seal(&without)), &with), [Facet::Settings]);
    }
}
