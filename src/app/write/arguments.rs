//! What was typed → the record that is meant; what cannot be meant names its argument.

use std::str::FromStr;

use crate::cli::write::{DecideArgs, ItemCloseArgs, ItemOpenArgs, MeasureArgs, WaiveArgs};
use crate::diagnostic::{At, Span};
use crate::edit::{NewDecision, NewEvidence, NewItem, NewResult, NewWaiver, Typed};
use crate::outside::Failure;
use crate::record::{Date, Id, Method, Outcome, Waived};

/// What `measure` is told.
#[derive(Clone, Debug)]
pub enum Measured {
    /// A new result; its revision is as it was typed, and it has no seal yet.
    Result(Box<NewEvidence>),
    /// Evidence that holds for the present state of a part too.
    CarriedOver {
        /// The evidence.
        evidence: Id,
        /// The part.
        part: Id,
        /// Why it holds.
        why: String,
    },
}

/// What `measure` is told.
///
/// # Errors
/// [`Failure`] where an argument cannot be read.
pub fn measured(args: &MeasureArgs, today: Date) -> Result<Measured, Failure> {
    let (part, quantity) = match args.subject.split_once('.') {
        Some((part, quantity)) => (part, Some(id("PART.QUANTITY", quantity)?)),
        None => (args.subject.as_str(), None),
    };
    let part = id("PART", part)?;
    if let (Some(evidence), Some(why)) = (&args.carries_over, &args.why) {
        let evidence = id("--carries-over", evidence)?;
        return Ok(Measured::CarriedOver { evidence, part, why: why.clone() });
    }
    let result = result(args, &part, quantity)?;
    // Who measures a value tests; what else was looked at has several names.
    let default = matches!(result, NewResult::Value { .. }).then_some(Method::Test);
    let method = args.method.as_ref().map(|word| method(word)).transpose()?;
    Ok(Measured::Result(Box::new(NewEvidence {
        verifies: ids("--verifies", &args.verifies)?,
        ambient: quantity_of("--ambient", args.ambient.as_deref())?,
        steady: quantity_of("--steady", args.steady.as_deref())?,
        method: method.or(default),
        on: Some(day(args.on.as_deref(), today)?),
        by: args.by.clone(),
        files: args.files.clone(),
        with: ids("--with", &args.with)?,
        except: args.except.iter().map(|text| exception(text)).collect::<Result<_, _>>()?,
        variant: args.variant.as_deref().map(|word| id("--variant", word)).transpose()?,
        samples: args.samples,
        revision: args.revision.clone(),
        effort: quantity_of("--effort", args.effort.as_deref())?,
        ..NewEvidence::of(part, result)
    })))
}

/// What `item open` is told.
///
/// # Errors
/// [`Failure`] where an argument cannot be read.
pub fn item(args: &ItemOpenArgs, today: Date) -> Result<NewItem, Failure> {
    Ok(NewItem {
        title: Some(args.title.clone()),
        note: args.note.clone(),
        opened: Some(day(args.on.as_deref(), today)?),
        parts: ids("--part", &args.parts)?,
        blocks: ids("--blocks", &args.blocks)?,
        after: ids("--after", &args.after)?,
        due: args.due.clone(),
        effort: quantity_of("--effort", args.effort.as_deref())?,
    })
}

/// The item that `item close` is about, and the day.
///
/// # Errors
/// [`Failure`] where an argument cannot be read.
pub fn closing(args: &ItemCloseArgs, today: Date) -> Result<(Id, Date), Failure> {
    Ok((id("ID", &args.id)?, day(args.on.as_deref(), today)?))
}

/// What `decide` is told.
///
/// # Errors
/// [`Failure`] where an argument cannot be read.
pub fn decision(args: &DecideArgs, today: Date) -> Result<NewDecision, Failure> {
    Ok(NewDecision {
        on: Some(day(args.on.as_deref(), today)?),
        title: Some(args.title.clone()),
        why: Some(args.why.clone()),
        by: args.by.clone(),
        parts: ids("--part", &args.parts)?,
        rejected: args.rejected.clone(),
        replaces: ids("--replaces", &args.replaces)?,
    })
}

/// What `waive` is told.
///
/// # Errors
/// [`Failure`] where an argument cannot be read.
pub fn waiver(args: &WaiveArgs, today: Date) -> Result<NewWaiver, Failure> {
    let at = |id: Id| At::new(id, Span::default());
    let waived = match (&args.requirement, &args.check) {
        (_, Some(check)) => {
            let part = args.part.as_deref().map(|word| id("--part", word)).transpose()?;
            Waived::Check { check: at(id("--check", check)?), part: part.map(at) }
        }
        (Some(requirement), None) => Waived::Requirement(at(id("REQUIREMENT", requirement)?)),
        (None, None) => return Err(Failure::new("name a requirement, or a check with --check")),
    };
    Ok(NewWaiver {
        waived,
        up_to: quantity_of("--up-to", args.up_to.as_deref())?,
        until_before: args.until_before.clone(),
        on: Some(day(args.on.as_deref(), today)?),
        by: args.by.clone(),
        why: args.why.clone(),
    })
}

fn result(args: &MeasureArgs, part: &Id, quantity: Option<Id>) -> Result<NewResult, Failure> {
    if let Some(text) = &args.value {
        let value = quantity_of("VALUE", Some(text))?;
        let (Some(quantity), Some(value)) = (quantity, value) else {
            let message = format!("of which quantity of `{part}` is {text} the value?");
            return Err(Failure::new(format!("{message}\nname it behind a dot: {part}.mass")));
        };
        return Ok(NewResult::Value { quantity, value });
    }
    if let Some(quantity) = quantity {
        let message = format!("a VALUE of `{quantity}` is missing");
        let hint = format!("trials and outcomes are of a part: {part}");
        return Err(Failure::new(format!("{message}\n{hint}")));
    }
    if let Some(text) = &args.trials {
        let counts = text
            .split_once('/')
            .and_then(|(passed, of)| Some((passed.trim().parse().ok()?, of.trim().parse().ok()?)));
        let (passed, of) =
            counts.ok_or_else(|| wrong("--trials", text, "no PASSED/ALL such as 59/60"))?;
        return Ok(NewResult::Trials { passed, of });
    }
    let word = args.outcome.as_deref().unwrap_or_default();
    let outcome = Outcome::WORDS.iter().find(|(known, _)| *known == word);
    let outcome = outcome.ok_or_else(|| wrong("--outcome", word, "neither pass nor fail"))?;
    Ok(NewResult::Outcome(outcome.1))
}

fn method(word: &str) -> Result<Method, Failure> {
    let known = Method::WORDS.iter().find(|(known, _)| *known == word);
    let known = known.ok_or_else(|| wrong("--method", word, "no method of verification"))?;
    Ok(known.1)
}

fn exception(text: &str) -> Result<(Id, String), Failure> {
    let split = text.split_once('=').map(|(part, why)| (part.trim(), why.trim()));
    let (part, why) = split
        .filter(|(_, why)| !why.is_empty())
        .ok_or_else(|| wrong("--except", text, "no PART=WHY: the reason is missing"))?;
    Ok((id("--except", part)?, why.to_owned()))
}

fn quantity_of<T>(argument: &str, text: Option<&str>) -> Result<Option<Typed<T>>, Failure>
where
    Typed<T>: FromStr<Err = String>,
{
    let typed = text.map(str::parse).transpose();
    typed.map_err(|error| Failure::new(format!("{argument}: {error}")))
}

fn day(text: Option<&str>, today: Date) -> Result<Date, Failure> {
    let Some(text) = text else { return Ok(today) };
    let date = text.parse().ok().filter(|date: &Date| date.to_string() == text);
    date.ok_or_else(|| wrong("--on", text, "no date such as 2026-10-02"))
}

fn ids(argument: &str, words: &[String]) -> Result<Vec<Id>, Failure> {
    words.iter().map(|word| id(argument, word.trim())).collect()
}

fn id(argument: &str, word: &str) -> Result<Id, Failure> {
    match Id::check(word) {
        Some(why) => Err(Failure::new(format!("{argument}: the id `{word}` {why}"))),
        None => Ok(Id::new(word)),
    }
}

fn wrong(argument: &str, text: &str, why: &str) -> Failure {
    Failure::new(format!("{argument}: `{text}` is {why}"))
}
