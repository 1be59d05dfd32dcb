//! `rails-hold`: no rail has to carry more than it can.

use super::{Check, Context, finding, place};
use crate::design::{Design, Held};
use crate::diagnostic::Code;
use crate::evaluate::{Currents, Drawer, Rated, Steady};
use crate::quantity::{Unit, show_measure};
use crate::record::Rail;
use crate::verdict::Finding;

pub(super) const CHECK: Check = Check {
    code: Code("rails-hold"),
    title: "Every rail carries its loads",
    doc: "The peak currents of all loads of a rail together are no more than its rating, derated at \
          the temperature of the part that limits it. Loads beneath it are carried up through \
          voltages and efficiencies. The loads are named, the largest first. A reserve beyond that \
          is the matter of a requirement.",
    waivable: true,
    run,
};

/// Loads that are named in one finding.
const NAMED_LOADS: usize = 5;

fn run(context: &Context<'_>) -> Vec<Finding> {
    let design = context.design;
    let Some(steady) = context.figures.steady.as_ref() else { return Vec::new() };
    let found = of_build(design, steady);
    let with = steady.build(true).filter(|_| found.is_empty());
    let with = with.map(|with| of_build(design, with)).unwrap_or_default().into_iter();
    let with = with.map(|finding| Finding {
        message: format!("with all optional parts {}", finding.message),
        ..finding
    });
    found.into_iter().chain(with).collect()
}

fn of_build(design: &Design, steady: &Steady) -> Vec<Finding> {
    match &steady.currents {
        Err(fault) => vec![Finding {
            remedy: Some("mend the rail's record".into()),
            ..finding(CHECK.code, fault.words())
        }],
        Ok(currents) => {
            let rails = design.rails.iter().zip(currents);
            rails.filter_map(|(rail, currents)| judged(design, steady, rail, currents)).collect()
        }
    }
}

fn judged(
    design: &Design,
    steady: &Steady,
    rail: &Held<Rail>,
    currents: &Currents,
) -> Option<Finding> {
    let rating = rail.rating.as_ref()?;
    let (message, remedy) = match steady.rated.get(&rail.id.value) {
        None => (
            format!("no temperature is known that derates `{}`", rail.id.as_str()),
            "give [ambient] its `high`".to_owned(),
        ),
        Some(rated) if rated.reserve.value < 0.0 => {
            (overload(design, rail, currents, rated), format!("relieve `{}`", rail.id.as_str()))
        }
        Some(_) => return None,
    };
    let feeder = rail.made_in.as_ref().or(rail.fed_by.as_ref());
    let loads = currents.drawn.iter().filter_map(|drawn| match &drawn.by {
        Drawer::Part(part) => Some(*part),
        Drawer::Rail(_) => None,
    });
    Some(Finding {
        part: feeder.and_then(|id| design.part(id.as_str())),
        through: loads.collect(),
        place: Some(place(&rail.path, rating)),
        remedy: Some(remedy),
        identity: Some(rail.id.as_str().to_owned()),
        ..finding(CHECK.code, message)
    })
}

fn overload(design: &Design, rail: &Rail, currents: &Currents, rated: &Rated) -> String {
    let shown = |current: f64| {
        let unit = Unit::parse("A").unwrap_or_else(|_| Unit::none());
        // Three digits are more than any of these is known to.
        let rounded = format!("{current:.2e}").parse().unwrap_or(current);
        show_measure(rounded, &unit)
    };
    let load = |drawn: &crate::evaluate::Drawn| {
        let name = match &drawn.by {
            Drawer::Part(part) => design.id(*part),
            Drawer::Rail(rail) => rail,
        };
        format!("`{name}` {}", shown(drawn.peak))
    };
    let named: Vec<String> = currents.drawn.iter().take(NAMED_LOADS).map(load).collect();
    let others = currents.drawn.len().saturating_sub(NAMED_LOADS);
    let others = if others > 0 { format!(" and {others} more") } else { String::new() };
    let derated = if rated.derated.value < rated.rating {
        format!(" of its {}", shown(rated.rating))
    } else {
        String::new()
    };
    format!(
        "`{}` gives {} at its peak and carries {}{derated}: {}{others}",
        rail.id.as_str(),
        shown(currents.peak.value),
        shown(rated.derated.value),
        named.join(", ")
    )
}

#[cfg(test)]
mod tests {
    use crate::verdict::tests::found;

    fn rail(rating: &str, derate: &str) -> Vec<String> {
        let text = format!(
            "[ambient]\nhigh = \"50 °C\"\n[part.scanner]\norigin = \"assembled\"\n\
             contains = {{ lamp = 2, motor = 1 }}\n\
             [part.lamp]\norigin = \"bought\"\ndraws = {{ five-volt = {{ mean = \"0.2 A\" }} }}\n\
             [part.motor]\norigin = \"bought\"\n\
             draws = {{ five-volt = {{ mean = \"0.3 A\", peak = \"0.8 A\" }} }}\n\
             [rail.five-volt]\nvoltage = \"5 V\"\nrating = \"{rating}\"\n{derate}\n"
        );
        found("rails-hold", &text, "1.0.0")
    }

    #[test]
    fn an_overloaded_rail_names_its_loads_in_order_of_size() {
        assert_eq!(rail("1.2 A", ""), [""; 0]);
        assert_eq!(
            rail("1 A", ""),
            ["`five-volt` gives 1.2 A at its peak and carries 1 A: `motor` 0.8 A, `lamp` 0.4 A"]
        );
    }

    #[test]
    fn optional_parts_are_counted_where_all_is_well_without_them() {
        let optional = |rating: &str| {
            let text = format!(
                "[part.scanner]\norigin = \"assembled\"\n\
                 contains = {{ lamp = 1, fan = {{ optional = true }} }}\n\
                 [part.lamp]\norigin = \"bought\"\ndraws = {{ five-volt = \"1 A\" }}\n\
                 [part.fan]\norigin = \"bought\"\ndraws = {{ five-volt = \"0.2 A\" }}\n\
                 [rail.five-volt]\nvoltage = \"5 V\"\nrating = \"{rating}\"\n"
            );
            found("rails-hold", &text, "1.0.0")
        };
        assert_eq!(optional("1.2 A"), [""; 0]);
        assert_eq!(
            optional("1.1 A"),
            ["with all optional parts `five-volt` gives 1.2 A at its peak and carries 1.1 A: \
              `lamp` 1 A, `fan` 0.2 A"]
        );
        assert!(optional("0.9 A")[0].starts_with("`five-volt` gives 1 A"), "it fails by itself");
    }

    /// 2.5 %/K from 40 °C on: at 50 °C three quarters are left.
    #[test]
    fn a_rating_falls_with_temperature() {
        let derate = "derate = { from = \"40 °C\", by = \"2.5 %/K\" }";
        assert_eq!(rail("1.7 A", derate), [""; 0]);
        let found = rail("1.5 A", derate);
        assert!(found[0].contains("carries 1.12 A of its 1.5 A"), "{found:?}");
    }
}
