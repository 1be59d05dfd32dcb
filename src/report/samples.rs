//! Small assessed designs for tests of reports and renderers.

use crate::assess;
use crate::diagnostic::Code;
use crate::evidence::{RevisionSeals, covered, seal_text};
use crate::facet;
use crate::fixture;
use crate::record::Date;
use crate::verdict::{Assessed, Documents, Finding, Occasion};

/// Lantern with something of everything in the way.
pub(crate) const LANTERN: &str = r#"
[ambient]
low = "5 °C"
[allowance]
mass = { estimated = "20 %" }

[part.scanner]
title = "Lantern"
origin = "assembled"
contains = { lamp-house = 1, base = 1, felt = "0.35 m", dust-cover = { count = 1, optional = true } }
[part.lamp-house]
origin = "assembled"
version = "1.2.0"
contains = { led-panel = 1, screw-m3x8 = 14, supply = 1 }
hazard = ["hot-surface"]
[part.led-panel]
origin = "bought"
version = "1.2.0"
mpn = "LP-40"
mass = "412 g ± 8 g measured"
hazard = ["light", "hot-surface"]
[[part.led-panel.offer]]
supplier = "lamp-shop"
price = "38.50 EUR"
[part.screw-m3x8]
origin = "bought"
designation = "ISO 4762 M3x8"
mass = "0.8 g stated"
[[part.screw-m3x8.offer]]
supplier = "bolt-shop"
price = "0.08 EUR"
[part.supply]
origin = "bought"
mass = "180 g ± 20 g"
hazard = ["mains"]
[part.base]
origin = "printed"
mass = "520 g ± 6 g calculated"
[part.felt]
origin = "bought"
mass = "12 g/m"
[part.dust-cover]
origin = "printed"
mass = "60 g"
[supplier.lamp-shop]
[supplier.bolt-shop]

[requirement.carry-mass]
title = "Light enough for a bag"
part = "scanner"
quantity = "mass"
at-most = "1280 g"
margin = "25 g"
[requirement.lamp-mass]
part = "lamp-house"
quantity = "mass"
at-most = "620 g"
[requirement.base-is-heavy]
part = "base"
quantity = "mass"
at-least = "510 g"
margin = "10 g"
[requirement.cost-ceiling]
part = "lamp-house"
quantity = "cost"
at-most = "45 EUR"
[requirement.few-screws]
part = "scanner"
quantity = "designation-kinds"
at-most = 4
priority = "should"
[requirement.even-light]
part = "led-panel"
method = "test"
[requirement.no-sharp-edges]
part = "scanner"
method = "inspection"
[requirement.quiet]
part = "base"
method = "test"
due = "1.1.0"

[waiver.blunt-later]
requirement = "no-sharp-edges"
until-before = "1.1.0"
on = 2026-10-05
by = "Ada"
why = "first batch goes to friends"

[item.led-glare]
title = "Glare at the gate's left edge"
opened = 2026-09-20
parts = ["led-panel"]
blocks = ["even-light"]
[item.nicer-knob]
opened = 2026-09-21
parts = ["base"]
due = "2.0.0"
"#;

/// Lantern with a heavier and dearer lamp, and less margin asked for.
pub(crate) fn lantern_with_a_heavier_lamp() -> String {
    LANTERN
        .replace("version = \"1.2.0\"\nmpn = \"LP-40\"", "version = \"1.3.0\"\nmpn = \"LP-60\"")
        .replace("412 g ± 8 g measured", "520 g ± 8 g measured")
        .replace("38.50 EUR", "42.90 EUR")
        .replace("margin = \"25 g\"", "margin = \"15 g\"")
}

/// A finding about two parts.
pub(crate) fn misfit(assessed: &Assessed) -> Finding {
    Finding {
        check: Code("versions-fit"),
        part: assessed.design.part("led-panel"),
        through: assessed.design.part("lamp-house").into_iter().collect(),
        message: "led-panel is 1.3.0, lamp-house holds ^1.2.0".into(),
        remedy: Some("let lamp-house hold led-panel ^1.3".into()),
        place: None,
        identity: None,
        covered: None,
    }
}

/// `text` with a seal of what it is at each `SEAL`, in the order of results.
pub(crate) fn sealed(text: &str) -> String {
    let design = fixture::design(&text.replace("SEAL", ""));
    let facets = facet::table(&design);
    design.evidence.iter().fold(text.to_owned(), |text, evidence| {
        let seal = seal_text(&facets, &design, &covered(&design, evidence)).into_iter();
        let seal = seal.map(|(part, seal)| format!("{part} = \"{seal}\""));
        let seal = seal.collect::<Vec<_>>().join(", ");
        text.replacen("SEAL", &format!("seal = {{ {seal} }}"), 1)
    })
}

/// The design in `text`, judged for its next release; no documents are at hand.
pub(crate) fn assessed(text: &str) -> Assessed {
    let design = fixture::design(text);
    let occasion = Occasion::new(design.next.clone(), Date::constant(2026, 11, 20));
    assess::judge(&design, &RevisionSeals::default(), &Documents::default(), occasion)
}
