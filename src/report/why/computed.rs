//! A computed figure as a tree: what a formula takes, what heats, what draws.

use super::super::computed::{self as shared, LoadRow};
use super::super::shown::Shown;
use super::{Branch, InputRow, Scope, Told, written};
use crate::evaluate::{
    Aim, By, Computed, Currents, Drawer, Drawn, End, Moment, Share, Slope, Source, Traced,
    Uncomputed, computed_of, coverage_factor, levers,
};
use crate::evidence;
use crate::quantity::Unit;
use crate::record::Id;

/// Levers that are told.
const MOST_LEVERS: usize = 8;

impl Scope<'_> {
    /// A computed figure at one of its ends, the warm one where none is meant.
    pub(super) fn computed(&self, aim: &Aim, end: Option<usize>, unit: &Unit) -> Told {
        let name = self.name_of(aim);
        let found = self.found(aim);
        let ended = found.as_ref().map(|found| (found, found.ends.get(end.unwrap_or(0))));
        match ended {
            Ok((_, Some(end))) => self.told(aim, end, unit),
            Ok((_, None)) => {
                Told { branch: Branch { name, ..Branch::default() }, ..Told::default() }
            }
            Err(why) => Told {
                branch: Branch { name, ..Branch::default() },
                remarks: vec![why.words(&self.assessed.design)],
                ..Told::default()
            },
        }
    }

    fn found(&self, aim: &Aim) -> Result<Computed, Uncomputed> {
        let figures = &self.assessed.figures;
        figures.computed.get(aim).cloned().unwrap_or_else(|| {
            let design = &self.assessed.design;
            let stand_ins = evidence::stand_ins(design, &self.assessed.standings);
            computed_of(design, &stand_ins, figures.steady.as_ref(), aim)
        })
    }

    fn told(&self, aim: &Aim, end: &End, unit: &Unit) -> Told {
        let design = &*self.assessed.design;
        let uncertain = uncertain(end);
        let shares = uncertain.budget();
        let uncertainty = shares.iter().map(|share| self.input(share, uncertain, unit)).collect();
        let mut told = Told {
            branch: Branch {
                name: self.name_of(aim),
                value: Some(Shown::uncertain(
                    end.value.value,
                    coverage_factor(design) * end.value.u(),
                    unit,
                )),
                ..Branch::default()
            },
            uncertainty,
            ..Told::default()
        };
        let at = shared::ambient(design, end).map(|at| format!("at {} ambient", at.text));
        told.branch.remarks.extend(at);
        told.branch.remarks.extend(end.with_options.then(|| "with all optional parts".to_owned()));
        match &end.by {
            By::Formula => self.formula(&mut told, aim, end, unit),
            By::HeatPaths => self.heat_paths(&mut told, end, unit),
            By::Moments(moments) => told.branch.branches = self.moments(moments, end, unit),
            By::Loads(loads) => {
                told.branch.branches = self.loads(&loads.0, unit);
                let rated = loads.1.as_ref();
                told.remarks.extend(rated.and_then(|rated| shared::derating(design, rated)));
                let of_rest = rated.filter(|rated| rated.derated.u() > 0.0);
                told.remarks.extend(of_rest.map(|_| OF_REST.to_owned()));
                told.loads =
                    loads.0.drawn.iter().map(|drawn| shared::load(design, drawn, unit)).collect();
            }
        }
        let tried = self.tried(aim, end, unit);
        told.trials = tried.row;
        told.remarks.extend(tried.remark);
        told
    }

    fn formula(&self, told: &mut Told, aim: &Aim, end: &End, unit: &Unit) {
        let design = &*self.assessed.design;
        if let Some(Ok(worst)) = &end.worst
            && worst.low != worst.high
        {
            told.remarks.push(format!("{} at worst", shared::bounds(worst, unit)));
        }
        if let Aim::Part(part, name) = aim {
            let record = design.record(*part);
            let text = record.formulas.iter().find(|(known, _)| known.value == *name);
            told.branch.remarks.extend(text.map(|(_, text)| format!("= {}", text.value)));
            told.branch.written =
                written::of_part(design, *part, name).map(|found| self.written_at(&found));
        }
        let shares = end.value.budget();
        let exact = end
            .value
            .slopes
            .keys()
            .filter(|source| !shares.iter().any(|share| share.source == **source));
        let sources = shares.iter().map(|share| &share.source).chain(exact);
        told.branch.branches = sources
            .filter_map(|source| Some(self.leaf(source, end.value.slopes.get(source)?)))
            .collect();
    }

    /// The rise above ambient is a sum over what heats; the paths only say how it is led away.
    fn heat_paths(&self, told: &mut Told, end: &End, unit: &Unit) {
        let design = &*self.assessed.design;
        let is_path = |source: &Source| matches!(source, Source::HeatPath { .. });
        let slopes = end.value.slopes.iter();
        let mut heats: Vec<(f64, Branch)> = slopes
            .filter(|(source, _)| !is_path(source))
            .map(|(source, slope)| (slope.by * slope.figure, self.leaf(source, slope)))
            .filter(|(rise, _)| *rise != 0.0)
            .collect();
        heats.sort_by(|a, b| b.0.total_cmp(&a.0).then_with(|| a.1.name.cmp(&b.1.name)));
        let whole: f64 = heats.iter().map(|(rise, _)| rise.abs()).sum();
        let heated = heats.into_iter().map(|(rise, mut branch)| {
            branch.share = (whole > 0.0).then(|| rise.abs() / whole);
            let told = Shown::difference_to(rise, end.value.u(), unit).text;
            branch.remarks.push(format!("makes {told}"));
            branch
        });
        let found = levers(&end.value);
        let paths = found.iter().filter(|lever| is_path(&lever.source));
        let paths = paths.filter_map(|lever| {
            Some(self.leaf(&lever.source, end.value.slopes.get(&lever.source)?))
        });
        told.branch.branches = heated.chain(paths).collect();
        let helping = found.iter().filter(|lever| lever.by_a_tenth_k > 0.0).take(MOST_LEVERS);
        told.levers = helping.filter_map(|lever| shared::told(design, &end.value, lever)).collect();
    }

    /// What pulls the centre of mass, the largest moment first.
    fn moments(&self, moments: &[Moment], end: &End, unit: &Unit) -> Vec<Branch> {
        let design = &*self.assessed.design;
        let whole: f64 = moments.iter().map(|moment| moment.mass).sum::<f64>() * end.value.value;
        let mut sorted: Vec<&Moment> = moments.iter().collect();
        let size = |moment: &Moment| (moment.mass * moment.at).abs();
        sorted.sort_by(|a, b| size(b).total_cmp(&size(a)).then(a.part.cmp(&b.part)));
        let branch = |moment: &Moment| {
            let id = design.id(moment.part);
            let count = moment.pieces;
            let name = if count == 1.0 { id.to_string() } else { format!("{count} × {id}") };
            let mass = Id::from("mass");
            let weighed = Source::Part { part: moment.part, name: mass.clone() };
            let slope = end.value.slopes.get(&weighed);
            let u = slope.map_or(0.0, |slope| slope.u * moment.pieces);
            let of_mass = self.unit_of_source(&weighed);
            let expanded_u = coverage_factor(design) * u;
            Branch {
                name,
                value: Some(Shown::difference_to(moment.at, 1e-3 * moment.at, unit)),
                share: (whole != 0.0).then(|| moment.mass * moment.at / whole),
                written: written::of(design, &weighed).map(|found| self.written_at(&found)),
                remarks: vec![Shown::uncertain(moment.mass, expanded_u, &of_mass).text],
                ..Branch::default()
            }
        };
        sorted.into_iter().map(branch).collect()
    }

    /// What a rail feeds, the largest peak first; beneath a rail that it feeds, what that one feeds.
    fn loads(&self, currents: &Currents, unit: &Unit) -> Vec<Branch> {
        let whole: f64 = currents.drawn.iter().map(|drawn| drawn.peak.abs()).sum();
        let told = |shown: Shown| {
            // A tenth of a current is more than is known of it.
            let text = Shown::difference_to(shown.base, 0.1 * shown.base, unit).text;
            Shown { text, ..shown }
        };
        let branch = |drawn: &Drawn| {
            let LoadRow { load, mean, peak } = shared::load(&self.assessed.design, drawn, unit);
            let fed = self.fed_by(drawn).map(|currents| self.loads(currents, unit));
            Branch {
                name: load.to_string(),
                value: Some(told(peak)),
                share: (whole > 0.0).then(|| drawn.peak.abs() / whole),
                written: self.drawer(drawn, &currents.peak.slopes),
                remarks: vec![format!("{} in the mean", told(mean).text)],
                branches: fed.unwrap_or_default(),
                ..Branch::default()
            }
        };
        currents.drawn.iter().map(branch).collect()
    }

    /// The currents of the rail that draws, where a rail does; none feeds itself where currents are
    /// known.
    fn fed_by(&self, drawn: &Drawn) -> Option<&Currents> {
        let Drawer::Rail(id) = &drawn.by else { return None };
        let place = self.assessed.design.rails.iter().position(|rail| rail.id.value == *id)?;
        self.assessed.figures.steady.as_ref()?.currents.as_ref().ok()?.get(place)
    }

    fn drawer(
        &self,
        drawn: &Drawn,
        slopes: &std::collections::BTreeMap<Source, Slope>,
    ) -> Option<super::FoundAt> {
        let design = &*self.assessed.design;
        match &drawn.by {
            Drawer::Part(of) => {
                let mut sources = slopes.keys();
                let is_of =
                    |source: &&Source| matches!(source, Source::Draw { part, .. } if part == of);
                let found = written::of(design, sources.find(is_of)?)?;
                Some(self.written_at(&found))
            }
            Drawer::Rail(rail) => {
                let held = design.rail(rail.as_str())?;
                Some(self.written(&held.path, held.id.span))
            }
        }
    }

    /// An input by itself.
    fn leaf(&self, source: &Source, slope: &Slope) -> Branch {
        let design = &*self.assessed.design;
        let found = written::of(design, source);
        Branch {
            name: source.name(design),
            value: Some(self.value(source, slope.figure, slope.u)),
            basis: found.as_ref().and_then(|found| found.basis),
            written: found.map(|found| self.written_at(&found)),
            ..Branch::default()
        }
    }

    /// An input as it is written, where it has no ±; what follows from a mesh is not written.
    fn value(&self, source: &Source, value: f64, u: f64) -> Shown {
        let design = &*self.assessed.design;
        let unit = self.unit_of_source(source);
        let is_written = written::of(design, source).is_some_and(|found| found.unit.is_some());
        if u == 0.0 && is_written {
            return Shown::written(value, &unit);
        }
        Shown::uncertain(value, coverage_factor(design) * u, &unit)
    }

    fn unit_of_source(&self, source: &Source) -> Unit {
        let design = &*self.assessed.design;
        let written = written::of(design, source).and_then(|found| found.unit);
        let of_quantity = |name: &Id| design.quantities.get(name).map(|known| known.unit.clone());
        let known = match source {
            Source::Part { name, .. } => of_quantity(name),
            Source::HeatPath { .. } => Unit::parse("K/W").ok(),
            Source::Draw { .. } => Unit::parse("A").ok(),
            Source::Position { .. } => Unit::parse("mm").ok(),
            Source::Given(_) | Source::Density(_) => None,
        };
        written.or(known).unwrap_or_else(Unit::none)
    }

    fn input(&self, share: &Share, of: &Traced, unit: &Unit) -> InputRow {
        let design = &*self.assessed.design;
        let figure = of.slopes.get(&share.source).map_or(0.0, |slope| slope.figure);
        let of = self.unit_of_source(&share.source);
        InputRow {
            figure: share.source.name(design),
            value: self.value(&share.source, figure, share.u),
            sensitivity: share.sensitivity,
            sensitivity_text: sensitivity(share.sensitivity, unit, &of),
            share: share.share,
            written: written::of(design, &share.source).map(|found| self.written_at(&found)),
        }
    }
}

/// Said where a rating that falls with a temperature is as uncertain as that.
const OF_REST: &str = "uncertain is what is left between the peak and the derated rating";

/// What a verdict is uncertain by: of a rail whose rating is uncertain too, what is left of that.
fn uncertain(end: &End) -> &Traced {
    match &end.by {
        By::Loads(loads) => {
            let rated = loads.1.as_ref().filter(|rated| rated.derated.u() > 0.0);
            rated.map_or(&end.value, |rated| &rated.reserve)
        }
        By::Formula | By::HeatPaths | By::Moments(_) => &end.value,
    }
}

/// `0.89 mm/K`: how the result follows an input, in the units that both are shown in.
pub(super) fn sensitivity(by: f64, result: &Unit, input: &Unit) -> String {
    let by = result.difference_from_base(by) / input.difference_from_base(1.0);
    let digits = (2.0 - libm::floor(libm::log10(by.abs()))).clamp(0.0, 9.0);
    let place = libm::pow(10.0, digits);
    let number = libm::rint(by * place) / place;
    match (result.difference_symbol(), input.difference_symbol()) {
        (result, input) if result == input => format!("× {number}"),
        (result, "") => format!("{number} {result}"),
        ("", input) => format!("{number} per {input}"),
        (result, input) if input.contains(['/', ' ', '·']) => {
            format!("{number} {result} per {input}")
        }
        (result, input) => format!("{number} {result}/{input}"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::report::samples::assessed;
    use crate::report::{Place, why};

    /// 10 W ± 2 W over 3 K/W are 65 °C at 35 °C: 15 K above 50 °C take 15 % of 4 A, and 6 K of u (at k = 2,
    /// 3 K) 0.12 A of it. The peak is known to 0.1 A (u 0.05 A): 0.12² of 0.12² + 0.05² are 85 %.
    #[test]
    fn a_rail_is_as_uncertain_as_the_temperature_that_derates_it() {
        let assessed = assessed(
            "[ambient]\nhigh = \"35 °C\"\n[part.scanner]\norigin = \"bought\"\n\
             heat = \"10 W ± 2 W\"\nheat-path = [{ to = \"ambient\", resistance = \"3 K/W\" }]\n\
             draws = { five-volt = { mean = \"0.5 A\", peak = \"1.5 A ± 0.1 A\" } }\n\
             [rail.five-volt]\nvoltage = \"5 V\"\nrating = \"4 A\"\n\
             derate = { from = \"50 °C\", by = \"1 %/K\", at = \"scanner\" }\n\
             [requirement.reserve]\nrail = \"five-volt\"\n",
        );
        let place = Place::Revision("3f2c9ab".into());
        let why = why(&assessed, "reserve", None, place, &|_, _| 7).expect("a requirement");
        let shares: Vec<(String, i64)> = why
            .uncertainty
            .iter()
            .map(|row| (row.figure.clone(), (100.0 * row.share).round() as i64))
            .collect();
        let shares: Vec<(&str, i64)> =
            shares.iter().map(|(figure, share)| (figure.as_str(), *share)).collect();
        assert_eq!(
            shares,
            [("heat of scanner", 85), ("peak current of scanner from five-volt", 15)]
        );
        assert!(why.remarks.iter().any(|remark| remark == super::OF_REST), "{:?}", why.remarks);
    }

    #[test]
    fn a_sensitivity_is_in_both_units() {
        let of = |result, input| {
            let [result, input] = [result, input].map(|symbol| Unit::parse(symbol).ok());
            sensitivity(5.0, &result.unwrap_or_else(Unit::none), &input.unwrap_or_else(Unit::none))
        };
        assert_eq!(of("m", "m"), "× 5");
        assert_eq!(of("m", ""), "5 m");
        assert_eq!(of("m", "K"), "5 m/K");
        assert_eq!(of("m", "K/W"), "5 m per K/W");
        assert_eq!(of("", "K"), "5 per K");
        assert_eq!(of("", "rad/s"), "5 per rad/s");
    }
}
