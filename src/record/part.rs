//! `[part.ID]`: one part, bought or made, or an assembly of others.

use semver::{Version, VersionReq};
use serde::{Deserialize, Serialize};

use super::{Date, Id, Offer};
use crate::diagnostic::{At, Diagnostic};
use crate::quantity::{Amount, Figure, Measure, Placement, Toleranced};

/// A part or an assembly. What is written by name stands in the order of names.
#[derive(Clone, Debug, Serialize, Deserialize)]
pub struct Part {
    /// Its name in the design.
    pub id: At<Id>,
    /// What people call it.
    pub title: Option<At<String>>,
    /// Remarks; prose only.
    pub note: Option<At<String>>,
    /// Its own version, if it is not simply bought.
    pub version: Option<At<Version>>,
    /// How it comes into being.
    pub origin: At<Origin>,
    /// Editable sources: paths or globs.
    pub sources: Vec<At<String>>,
    /// Files made from the sources: paths or globs.
    pub exports: Vec<At<String>>,
    /// What it is made of.
    pub material: Option<At<Id>>,
    /// The mesh that its printed mass is computed from.
    pub mesh: Option<Mesh>,
    /// Outer size along x, y, z.
    pub size: Option<At<[Measure; 3]>>,
    /// The standard's designation.
    pub designation: Option<At<String>>,
    /// Who makes a bought part.
    pub maker: Option<At<String>>,
    /// The maker's part number.
    pub mpn: Option<At<String>>,
    /// The part that it took the place of; it need not exist any more.
    pub replaces: Option<At<Id>>,
    /// The version from which on it is planned to be gone.
    pub phased_out: Option<At<Version>>,
    /// What about it can hurt.
    pub hazards: Vec<At<Hazard>>,
    /// Versions of its neighbours that it fits.
    pub fits: Vec<(At<Id>, At<VersionReq>)>,
    /// Drawn sizes.
    pub dimensions: Vec<(At<Id>, At<Toleranced>)>,
    /// What it is set to.
    pub settings: Vec<(At<Id>, At<Setting>)>,
    /// Further named figures, free of any built-in meaning.
    pub values: Vec<(At<Id>, Sourced)>,
    /// Derived quantities.
    pub formulas: Vec<(At<Id>, At<String>)>,
    /// What an assembly contains.
    pub contains: Vec<Use>,
    /// Where it can be bought.
    pub offers: Vec<Offer>,
    /// What is used up beyond the pieces themselves.
    pub consumption: Consumption,
    /// Thermal resistances to other parts, nodes or `ambient`.
    pub heat_paths: Vec<HeatPath>,
    /// Currents drawn, by rail.
    pub draws: Vec<(At<Id>, Draw)>,
    /// Charge or energy of a cell.
    pub capacity: Option<At<Figure>>,
    /// Every other key: known quantities are told from misspelt keys when the manifest is at hand.
    #[serde(with = "stated")]
    pub quantities: Vec<(At<Id>, Stated)>,
}

/// What stands at a key that may be a quantity: a figure, or what is wrong if it is meant as one.
pub type Stated = Result<Sourced, Vec<Diagnostic>>;

/// Quantities are kept with a part as long as nothing is wrong with them: what is wrong is told of the text
/// that it stands in.
mod stated {
    use serde::ser::{Error, SerializeSeq};
    use serde::{Deserialize, Deserializer, Serializer};

    use super::{At, Id, Sourced, Stated};

    pub(super) fn serialize<S: Serializer>(
        quantities: &[(At<Id>, Stated)],
        serializer: S,
    ) -> Result<S::Ok, S::Error> {
        let mut sequence = serializer.serialize_seq(Some(quantities.len()))?;
        for (name, stated) in quantities {
            let sourced = stated.as_ref().map_err(|_| S::Error::custom("a figure is wrong"))?;
            sequence.serialize_element(&(name, sourced))?;
        }
        sequence.end()
    }

    pub(super) fn deserialize<'de, D: Deserializer<'de>>(
        deserializer: D,
    ) -> Result<Vec<(At<Id>, Stated)>, D::Error> {
        let quantities = Vec::<(At<Id>, Sourced)>::deserialize(deserializer)?;
        Ok(quantities.into_iter().map(|(name, sourced)| (name, Ok(sourced))).collect())
    }
}

/// A figure with where it comes from.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Sourced {
    /// Value, ±, basis.
    pub figure: At<Figure>,
    /// Data sheet, book, log.
    pub from: Option<At<String>>,
    /// The day on which it was learnt.
    pub on: Option<At<Date>>,
}

/// How a part comes into being.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[allow(missing_docs, reason = "the words are the documentation")]
pub enum Origin {
    Printed,
    Machined,
    Cut,
    Bought,
    Modified,
    Board,
    Assembled,
    Firmware,
}

impl Origin {
    /// Every origin with its word in a record.
    pub const WORDS: [(&'static str, Self); 8] = [
        ("printed", Self::Printed),
        ("machined", Self::Machined),
        ("cut", Self::Cut),
        ("bought", Self::Bought),
        ("modified", Self::Modified),
        ("board", Self::Board),
        ("assembled", Self::Assembled),
        ("firmware", Self::Firmware),
    ];

    /// The word in a record.
    #[must_use]
    pub fn word(self) -> &'static str {
        Self::WORDS[self as usize].0
    }

    /// Whether the designer or a builder makes it from files of the design.
    #[must_use]
    pub fn is_made(self) -> bool {
        matches!(self, Self::Printed | Self::Machined | Self::Cut | Self::Modified | Self::Board)
    }
}

/// The mesh of a printed part.
#[derive(Clone, Debug, Serialize, Deserialize)]
pub struct Mesh {
    /// Path of the file.
    pub file: At<String>,
    /// Length that one unit of the file stands for, in metres.
    pub unit_m: At<f64>,
    /// Thickness of the printed walls.
    pub walls: Option<At<Measure>>,
    /// Share of the inside that is filled, 0 to 1.
    pub infill: Option<At<f64>>,
}

/// What can hurt.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[allow(missing_docs, reason = "the words are the documentation")]
pub enum Hazard {
    Mains,
    HotSurface,
    Moving,
    Cell,
    Sharp,
    Light,
    Pressure,
    Fumes,
    /// A text of the designer's own.
    Other(String),
}

impl Hazard {
    /// Every named hazard with its word in a record.
    pub const WORDS: [(&'static str, Self); 8] = [
        ("mains", Self::Mains),
        ("hot-surface", Self::HotSurface),
        ("moving", Self::Moving),
        ("cell", Self::Cell),
        ("sharp", Self::Sharp),
        ("light", Self::Light),
        ("pressure", Self::Pressure),
        ("fumes", Self::Fumes),
    ];

    /// The word in a record, or the designer's own text.
    #[must_use]
    pub fn word(&self) -> &str {
        if let Self::Other(text) = self {
            return text;
        }
        Self::WORDS.iter().find(|(_, hazard)| hazard == self).map_or("", |(word, _)| word)
    }
}

/// One value of `setting`.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub enum Setting {
    /// A quantity: `"350 mA"`.
    Measure(Measure),
    /// A word or text, a whole number, `true` or `false`, as text.
    Text(String),
}

/// One line of what an assembly contains.
#[derive(Clone, Debug, Serialize, Deserialize)]
pub struct Use {
    /// The part.
    pub part: At<Id>,
    /// How much of it.
    pub amount: At<Amount>,
    /// The versions of it that do.
    pub version: Option<At<VersionReq>>,
    /// Where its own origin sits in the parent, and how it is turned there, one a piece.
    pub places: Vec<At<Placement>>,
    /// Left to the builder.
    pub optional: bool,
}

/// What is used up beyond the pieces themselves.
#[derive(Clone, Debug, Default, Serialize, Deserialize)]
pub struct Consumption {
    /// Extra pieces in one order.
    pub spare: Option<At<u64>>,
    /// Share of the amount that is lost, 0.10 for 10 %.
    pub waste: Option<At<rust_decimal::Decimal>>,
}

/// A thermal resistance to a neighbour.
#[derive(Clone, Debug, Serialize, Deserialize)]
pub struct HeatPath {
    /// A part, a node or `ambient`.
    pub to: At<Id>,
    /// In K/W.
    pub resistance: At<Figure>,
}

/// Current drawn from a rail.
#[derive(Clone, Debug, Serialize, Deserialize)]
pub struct Draw {
    /// Over a working cycle.
    pub mean: At<Figure>,
    /// The highest that lasts long enough to matter; the mean where not given.
    pub peak: Option<At<Figure>>,
}

/// The quantities that say where the mass of a part sits, along the axes of its own origin.
pub const CENTRE_OF_MASS: [&str; 3] = ["centre-of-mass-x", "centre-of-mass-y", "centre-of-mass-z"];

/// Parts that are expected to state a quantity: one without makes the budget incomplete.
pub type Expected = Vec<At<Origin>>;
