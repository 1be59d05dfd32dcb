//! What can hurt: every hazard with its caution and the parts that have it.

use std::collections::{BTreeMap, BTreeSet};

use serde::Serialize;

use crate::design::{Design, Held, PartIx};
use crate::record::{Hazard, Id, Step};

/// Stands wherever cautions stand.
pub const LOCAL_CODES_FIRST: &str =
    "Local codes and licensed practice come first; nothing here replaces them.";

/// The cautions of a design, or of some of its parts.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Cautions {
    /// [`LOCAL_CODES_FIRST`].
    pub notice: &'static str,
    /// Hazard by hazard, in the order of [`Hazard`]'s words, then the designer's own.
    pub hazards: Vec<Caution>,
}

/// One hazard.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Caution {
    /// The hazard's word, or the designer's own text.
    pub hazard: String,
    /// What to be careful about; nothing for a text of the designer's own, which says it itself.
    pub caution: Option<&'static str>,
    /// The parts that have it, in the order of ids.
    pub parts: Vec<Id>,
    /// The steps that say so, where steps are told of.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub steps: Vec<Id>,
}

/// The cautions of everything beneath the top; `None` where nothing can hurt.
pub(super) fn of_design(design: &Design) -> Option<Cautions> {
    of_parts(design, design.product())
}

/// The cautions of `parts`; `None` where nothing can hurt.
pub(super) fn of_parts(
    design: &Design,
    parts: impl IntoIterator<Item = PartIx>,
) -> Option<Cautions> {
    of_parts_and_steps(design, parts, &[])
}

/// The cautions of everything beneath the top, and those of the steps; `None` where nothing can hurt.
pub(super) fn of_assembly(design: &Design, steps: &[&Held<Step>]) -> Option<Cautions> {
    of_parts_and_steps(design, design.product(), steps)
}

/// The parts and the steps that have a hazard.
type Having<'a> = (BTreeSet<&'a Id>, Vec<Id>);

/// The cautions of `parts`, and those of the steps; `None` where nothing can hurt.
pub(super) fn of_parts_and_steps(
    design: &Design,
    parts: impl IntoIterator<Item = PartIx>,
    steps: &[&Held<Step>],
) -> Option<Cautions> {
    let mut with: BTreeMap<(usize, &Hazard), Having<'_>> = BTreeMap::new();
    for part in parts {
        for hazard in &design.record(part).hazards {
            with.entry((rank(hazard), &hazard.value)).or_default().0.insert(design.id(part));
        }
    }
    for step in steps {
        for hazard in &step.cautions {
            with.entry((rank(hazard), &hazard.value)).or_default().1.push(step.id.value.clone());
        }
    }
    let caution = |((_, hazard), (parts, steps)): ((usize, &Hazard), Having<'_>)| Caution {
        hazard: hazard.word().to_owned(),
        caution: caution(hazard),
        parts: parts.into_iter().cloned().collect(),
        steps,
    };
    let hazards: Vec<Caution> = with.into_iter().map(caution).collect();
    (!hazards.is_empty()).then_some(Cautions { notice: LOCAL_CODES_FIRST, hazards })
}

fn rank(hazard: &Hazard) -> usize {
    Hazard::WORDS.iter().position(|(_, known)| known == hazard).unwrap_or(Hazard::WORDS.len())
}

/// What one is usually warned of (common practice).
fn caution(hazard: &Hazard) -> Option<&'static str> {
    match hazard {
        Hazard::Mains => Some(
            "mains voltage can kill: unplug before opening, leave the wiring to those licensed",
        ),
        Hazard::HotSurface => Some("hot when running: let it cool down before touching"),
        Hazard::Moving => Some("moving parts catch fingers, hair and sleeves: stop it first"),
        Hazard::Cell => {
            Some("cells burn: no short circuit, no puncture, and a charger made for them")
        }
        Hazard::Sharp => Some("sharp edges cut: deburr, or wear gloves"),
        Hazard::Light => Some("bright light harms eyes: never look into it when uncovered"),
        Hazard::Pressure => Some("stored pressure: release it before loosening anything"),
        Hazard::Fumes => Some("harmful fumes or dust: work with extraction and a mask that fits"),
        Hazard::Other(_) => None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::fixture;

    #[test]
    fn hazards_are_collected_beneath_the_top_alone() {
        let design = fixture::design(
            r#"
            [part.scanner]
            origin = "assembled"
            contains = { lamp = 1 }
            [part.lamp]
            origin = "assembled"
            contains = { bulb = 2 }
            hazard = ["hot-surface"]
            [part.bulb]
            origin = "bought"
            hazard = ["breaks into splinters", "hot-surface"]
            [part.spare-supply]
            origin = "bought"
            hazard = ["mains"]
            "#,
        );
        let cautions = of_design(&design).expect("hazards");
        let told: Vec<_> = cautions
            .hazards
            .iter()
            .map(|caution| (caution.hazard.as_str(), format!("{:?}", caution.parts)))
            .collect();
        assert_eq!(
            told,
            [
                ("hot-surface", r#"["bulb", "lamp"]"#.to_owned()),
                ("breaks into splinters", r#"["bulb"]"#.to_owned()),
            ]
        );
    }
}
