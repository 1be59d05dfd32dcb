//! `softening`: no part becomes as warm as its material softens.

use super::{Check, Context, finding, place};
use crate::design::Design;
use crate::diagnostic::Code;
use crate::evaluate::{Softening, softening};
use crate::quantity::{Unit, show_measure, show_uncertain};
use crate::verdict::Finding;

pub(super) const CHECK: Check = Check {
    code: Code("softening"),
    title: "No part softens",
    doc: "The temperature of every part whose material says from when on it `softens` stays below \
          that, its whole uncertainty counted in: by its heat paths at the highest ambient, or as \
          the part states it. A part whose temperature is not known is not judged.",
    waivable: true,
    run,
};

fn run(context: &Context<'_>) -> Vec<Finding> {
    let found = softening(context.design, context.figures.steady.as_ref());
    found.iter().map(|soft| told(context.design, soft)).collect()
}

fn told(design: &Design, soft: &Softening) -> Finding {
    let held = design.record(soft.part);
    let celsius = Unit::parse("°C").unwrap_or_else(|_| Unit::none());
    let material = held.material.as_ref().map(|id| id.as_str()).unwrap_or_default();
    let message = format!(
        "`{}` reaches {}, and `{material}` softens at {}",
        held.id.as_str(),
        show_uncertain(soft.temperature_k, soft.expanded_u_k, &celsius),
        show_measure(soft.softens_k, &celsius),
    );
    Finding {
        part: Some(soft.part),
        place: held.material.as_ref().map(|material| place(&held.path, material)),
        remedy: Some(format!("keep `{}` cooler, or take another material", held.id.as_str())),
        ..finding(CHECK.code, message)
    }
}

#[cfg(test)]
mod tests {
    use crate::verdict::tests::found;

    /// A motor mount on 60 °C stands at the edge of softening PLA (common practice).
    fn mount(known: &str) -> Vec<String> {
        let text = format!(
            "[ambient]\nhigh = \"25 °C\"\n[part.scanner]\norigin = \"printed\"\nmaterial = \"pla\"\n\
             {known}\n[material.pla]\nsoftens = \"60 °C\"\n"
        );
        found("softening", &text, "1.0.0")
    }

    #[test]
    fn a_stated_temperature_counts_with_its_uncertainty() {
        assert_eq!(mount(""), [""; 0], "not known, not judged");
        assert_eq!(mount("temperature = \"57 °C ± 2 K\""), [""; 0]);
        assert_eq!(
            mount("temperature = \"59 °C ± 2 K\""),
            ["`scanner` reaches 59.0 °C ± 2.0 K, and `pla` softens at 60 °C"]
        );
    }

    /// 20 % of 50 °C would be 65 K.
    #[test]
    fn the_uncertainty_that_is_assumed_of_estimates_is_none_of_temperatures() {
        let text = format!(
            "\n== tagworthy.toml\n{}[rule]\nunstated = {{ estimated = \"20 %\" }}\n\
             [part.scanner]\norigin = \"printed\"\nmaterial = \"pla\"\ntemperature = \"50 °C\"\n\
             [material.pla]\nsoftens = \"60 °C\"\n",
            crate::fixture::MANIFEST
        );
        assert_eq!(found("softening", &text, "1.0.0"), [""; 0]);
    }

    #[test]
    fn a_temperature_by_heat_paths_counts_at_the_highest_ambient() {
        let heated = |watt: &str| {
            mount(&format!(
                "heat = \"{watt}\"\nheat-path = [{{ to = \"ambient\", resistance = \"10 K/W\" }}]"
            ))
        };
        assert_eq!(heated("3.4 W"), [""; 0]);
        assert!(heated("3.6 W")[0].starts_with("`scanner` reaches 61 °C"));
    }
}
