//! How many of every part an assembly holds, over all paths at once.

use rust_decimal::Decimal;

use super::number;
use crate::design::{Design, PartIx};

/// How many (or how much) of each part one whole holds.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Multiplicities(Vec<Option<Decimal>>);

impl Multiplicities {
    /// Pieces, or the extent in base units: 0 for what is not contained, `None` beyond what 28
    /// decimal digits hold.
    #[must_use]
    pub fn of(&self, part: PartIx) -> Option<Decimal> {
        self.0[part.index()]
    }

    /// Whether the whole holds any of it.
    #[must_use]
    pub fn holds(&self, part: PartIx) -> bool {
        self.of(part) != Some(Decimal::ZERO)
    }
}

/// How many of each part one `root` holds, itself once; optional parts only if `with_optional`.
///
/// Each link of the design is looked at once, however many paths lead over it: assemblies come
/// before what they contain in [`Design::order`].
#[must_use]
pub fn multiplicities(design: &Design, root: PartIx, with_optional: bool) -> Multiplicities {
    multiplicities_down_to(design, root, with_optional, |_| false)
}

/// The same, where parts that `is_closed` are not looked into: what only they hold is not counted.
pub(super) fn multiplicities_down_to(
    design: &Design,
    root: PartIx,
    with_optional: bool,
    is_closed: impl Fn(PartIx) -> bool,
) -> Multiplicities {
    let mut counts = vec![Some(Decimal::ZERO); design.parts.len()];
    counts[root.index()] = Some(Decimal::ONE);
    for &parent in &*design.order {
        let held = counts[parent.index()];
        if held == Some(Decimal::ZERO) || is_closed(parent) {
            continue;
        }
        for link in &design.links[parent.index()] {
            if link.optional && !with_optional {
                continue;
            }
            let count = &mut counts[link.child.index()];
            let more = held.and_then(|held| number::times(held, link.amount));
            *count = count.zip(more).and_then(|(count, more)| number::plus(count, more));
        }
    }
    Multiplicities(counts)
}

#[cfg(test)]
mod tests {
    use std::fmt::Write;

    use super::*;
    use crate::fixture::design;

    fn counts(design: &Design, root: &str, parts: &[&str]) -> Vec<String> {
        let held = multiplicities(design, design.part(root).expect("a part"), false);
        let of = |id: &&str| held.of(design.part(id).expect("a part"));
        parts
            .iter()
            .map(of)
            .map(|count| count.map_or("-".into(), |count| count.to_string()))
            .collect()
    }

    /// Heizer and Render, Operations Management, ch. 14, example of a multi-level explosion: 50
    /// brackets need these.
    #[test]
    fn a_multi_level_explosion_counts_over_all_paths() {
        let design = design(
            r#"
            [part]
            scanner = { origin = "assembled", contains = { bracket = 50 } }
            bracket = { origin = "assembled", contains = { base = 1, spring = 2, clamp = 4 } }
            base = { origin = "assembled", contains = { clamp = 1, housing = 2 } }
            clamp = { origin = "assembled", contains = { handle = 1, casting = 1 } }
            housing = { origin = "assembled", contains = { bearing = 2, shaft = 1 } }
            spring.origin = "bought"
            handle.origin = "bought"
            casting.origin = "bought"
            bearing.origin = "bought"
            shaft.origin = "bought"
            "#,
        );
        let parts = ["base", "spring", "clamp", "handle", "casting", "housing", "bearing", "shaft"];
        let expected = ["50", "100", "250", "250", "250", "100", "200", "100"];
        assert_eq!(counts(&design, "scanner", &parts), expected);
        assert_eq!(counts(&design, "base", &parts), ["1", "0", "1", "1", "1", "2", "4", "2"]);
    }

    /// `levels` assemblies, each holding the next over two others.
    fn doubly_shared(levels: usize) -> String {
        let mut text =
            String::from("[part]\nscanner = { origin = \"assembled\", contains.s0 = 1 }\n");
        for level in 0..levels {
            let next = level + 1;
            let _ = writeln!(
                text,
                "s{level} = {{ origin = \"assembled\", contains = {{ a{level} = 1, b{level} = 1 }} }}\n\
                 a{level} = {{ origin = \"assembled\", contains.s{next} = 1 }}\n\
                 b{level} = {{ origin = \"assembled\", contains.s{next} = 1 }}"
            );
        }
        let _ = writeln!(text, "s{levels} = {{ origin = \"bought\", mass = \"1 g\" }}");
        text
    }

    /// One path after the other would take decades.
    #[test]
    fn sixty_levels_of_shared_assemblies_cost_their_links_alone() {
        let design = design(&doubly_shared(60));
        assert_eq!(counts(&design, "scanner", &["s60"]), ["1152921504606846976"], "2 to the 60");
    }

    #[test]
    fn a_count_beyond_28_digits_is_no_panic() {
        let design = design(&doubly_shared(100));
        assert_eq!(
            counts(&design, "scanner", &["s90", "s100"]),
            [(1_u128 << 90).to_string(), "-".into()]
        );
    }

    #[test]
    fn lengths_multiply_along_the_path_and_optional_parts_are_left_out() {
        let design = design(
            r#"
            [part]
            scanner = { origin = "assembled", contains = { lid = 3, cover = { count = 1, optional = true } } }
            lid = { origin = "assembled", contains = { felt = "0.35 m" } }
            cover = { origin = "assembled", contains = { felt = "20 cm" } }
            felt.origin = "bought"
            "#,
        );
        assert_eq!(counts(&design, "scanner", &["felt", "cover"]), ["1.05", "0"]);
        let with = multiplicities(&design, design.top, true);
        assert_eq!(
            with.of(design.part("felt").expect("felt")),
            Some("1.25".parse().expect("1.25"))
        );
    }
}
