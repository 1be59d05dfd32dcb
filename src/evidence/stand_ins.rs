//! Results that stand in for the figures beneath a part.

use super::{Standings, is_of_temperature};
use crate::design::{Design, Source};
use crate::evaluate::{StandIns, measured};

/// What was measured of whole parts in their present state, for quantities that are made of figures.
///
/// A temperature belongs to the ambient of its bench and stands in for nothing.
#[must_use]
pub fn stand_ins(design: &Design, standings: &Standings) -> StandIns {
    let mut stand_ins = StandIns::default();
    let current = standings.results(design).filter(|(_, _, stands)| stands.is_current());
    for (_, evidence, _) in current {
        let named = evidence.part.as_ref().zip(evidence.quantity.as_ref());
        let Some(((part, quantity), figure)) = named.zip(evidence.value.as_ref()) else { continue };
        let source = design.quantities.get(&quantity.value).map(|known| known.source);
        let Some(part) = design.part(part.as_str()) else { continue };
        if source == Some(Source::Figures) && !is_of_temperature(design, quantity) {
            stand_ins.add(part, quantity, measured(design, figure));
        }
    }
    stand_ins
}
