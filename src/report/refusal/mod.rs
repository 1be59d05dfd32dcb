//! Why a hook refuses, in one screen: what, by how much, through which part, and the ways out.

mod command;
mod gone;
mod release;
mod waiver;

use std::collections::BTreeSet;

use serde::Serialize;

use super::diagnostics::DiagnosticRow;
use super::impact::verdict_row;
use super::moves::{Between, ShareRow};
use super::next;
use super::remarks;
use super::requirements::{self, RequirementRow};
use super::shown::count;
use crate::compare::VerdictChange;
use crate::diagnostic::Severity;
use crate::fileset::RepoPath;
use crate::record::{Event, Id};
use crate::verdict::{Assessed, Judged, Verdict};

pub use gone::{Removal, removed};
pub use release::{misnamed, not_ready, overtaken};

/// Requirements that one screen has room for: 25 lines, as a terminal has at least.
pub const MOST_OVERRUNS: usize = 3;

/// Diagnostics that one screen has room for.
pub const MOST_DIAGNOSTICS: usize = 2;

/// What git was about to do.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case", tag = "kind", content = "what")]
pub enum Moment {
    /// A commit.
    Commit,
    /// The commit of a merge.
    Merge,
    /// Sending release tags to another repository.
    Push,
    /// Letting in what a push brings.
    Receive(Received),
    /// Making the tag of this name.
    Tag(String),
}

/// What a shared repository judges of a push.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Received {
    /// The branch of this name, as a whole.
    Branch(String),
    /// One commit, by its short id, of the branch of this name.
    Commit(String, String),
    /// A release tag.
    Tag,
}

/// Why git is stopped, and the ways out.
#[derive(Clone, Debug, Serialize)]
pub struct Refusal {
    /// All of it in one line.
    pub headline: String,
    /// What git was about to do.
    pub moment: Moment,
    /// What is wrong in record files, where that is the reason.
    pub diagnostics: Vec<DiagnosticRow>,
    /// Requirements that stand in the way.
    pub overruns: Vec<Overrun>,
    /// What else stands in the way, a line each.
    pub besides: Vec<String>,
    /// What to do about it, a line each.
    pub mend: Vec<String>,
    /// What shows all of it, where one screen has no room for it.
    pub all_of_it: Option<String>,
    /// Commands that let it through with a reason, one for each thing that is refused.
    pub waivers: Vec<String>,
}

/// A requirement that stands in the way.
#[derive(Clone, Debug, Serialize)]
pub struct Overrun {
    /// The variant in which it does, where it does not in the design itself.
    pub variant: Option<Id>,
    /// How it stands now.
    pub row: RequirementRow,
    /// How it stood before, where that is another verdict.
    pub before: Option<Verdict>,
    /// What happens to it, where the verdicts do not tell.
    pub event: Option<&'static str>,
    /// What it would be without the optional parts, where they decide.
    pub options: Option<String>,
    /// The parts that turned it, largest share first.
    pub through: Vec<ShareRow>,
}

/// A requirement that a change turns for the worse, in a build of the design.
#[derive(Clone, Copy, Debug)]
pub struct Broken<'a> {
    /// The build, before and after.
    pub between: Between<'a>,
    /// What happens to the requirement.
    pub event: Event,
    /// Its verdict, before and after.
    pub change: &'a VerdictChange,
}

impl Moment {
    /// What is refused, as the subject of a sentence.
    fn subject(&self) -> String {
        match self {
            Self::Commit | Self::Push | Self::Tag(_) => "this".into(),
            Self::Merge => "this merge".into(),
            Self::Receive(Received::Branch(branch)) => format!("this push to {branch}"),
            Self::Receive(Received::Commit(commit, branch)) => {
                format!("commit {commit} of this push to {branch}")
            }
            Self::Receive(Received::Tag) => "this tag".into(),
        }
    }

    /// What to do to let it through with a reason; the commands follow.
    #[must_use]
    pub fn instead(&self) -> &'static str {
        match self {
            Self::Commit | Self::Merge => "or write down why it may pass, and stage that",
            Self::Push | Self::Receive(_) | Self::Tag(_) => {
                "or write down why it may pass, and commit that"
            }
        }
    }

    /// What comes when all is mended.
    #[must_use]
    pub fn again(&self) -> &'static str {
        match self {
            Self::Commit => "then stage it and commit again",
            Self::Merge => "then stage it and finish the merge: git commit",
            Self::Push | Self::Receive(Received::Tag) => {
                "then commit it, move the tag there, and push again"
            }
            Self::Receive(Received::Branch(_)) => "then commit it and push again",
            Self::Receive(Received::Commit(..)) => {
                "then put it into that commit (git rebase --interactive) and push again"
            }
            Self::Tag(_) => "then commit it and tag again",
        }
    }

    /// What tells all of it by `command`, where that can be asked for here.
    fn all_of(&self, command: &str, manifest: &RepoPath) -> Option<String> {
        let is_staged = matches!(self, Self::Commit | Self::Merge);
        let design = command::of_design(manifest);
        is_staged.then(|| format!("tagworthy {command} --staged{design} lists all of it"))
    }

    /// Git's own way past the hook, where there is one.
    #[must_use]
    pub fn way_past(&self) -> Option<String> {
        match self {
            Self::Commit | Self::Merge => Some("git commit --no-verify".into()),
            Self::Push => Some("git push --no-verify".into()),
            Self::Receive(_) => None,
            Self::Tag(tag) => Some(format!("git -c core.hooksPath=/dev/null tag {tag}")),
        }
    }
}

/// The refusal of the records of `manifest`, which cannot be read: any more, or where the tag of this name points.
#[must_use]
pub fn unreadable(
    diagnostics: Vec<DiagnosticRow>,
    manifest: &RepoPath,
    tag: Option<&str>,
    moment: Moment,
) -> Refusal {
    let number = diagnostics.len();
    let errors = diagnostics.iter().filter(|row| row.severity == Severity::Error).count();
    let errors = count(errors, "error");
    let headline = match tag {
        None => format!("refused: {} leaves the records unreadable, {errors}", moment.subject()),
        Some(tag) => {
            format!("refused: the records cannot be read where the tag {tag} points, {errors}")
        }
    };
    let all_of_it = moment.all_of("check", manifest).filter(|_| number > MOST_DIAGNOSTICS);
    let mend = vec!["put right what is marked above".to_owned()];
    Refusal { diagnostics, mend, all_of_it, ..Refusal::new(headline, moment) }
}

/// The refusal of a change that turns the requirements in `broken`.
#[must_use]
pub fn refusal(broken: &[Broken<'_>], between: Between<'_>, moment: Moment) -> Refusal {
    let overruns: Vec<Overrun> = broken.iter().filter_map(overrun).collect();
    let different: BTreeSet<&Id> = broken.iter().map(|broken| &broken.change.requirement).collect();
    let events: BTreeSet<Event> = broken.iter().map(|broken| broken.event).collect();
    let name = &between.after.design.name;
    let does = does(&events, &format!("{} of {name}", count(different.len(), "requirement")));
    let headline = format!("refused: {} {does}", moment.subject());
    let afters = broken.iter().map(|broken| (broken.between.after, &broken.change.requirement));
    let steps = afters.clone().flat_map(|(after, id)| next::for_requirement(after, id));
    let waivers = afters.filter_map(|(after, id)| waiver::of_requirement(after, id));
    let all_of_it = moment
        .all_of("impact", &between.after.design.manifest_path)
        .filter(|_| overruns.len() > MOST_OVERRUNS);
    Refusal {
        overruns,
        all_of_it,
        mend: once(steps),
        waivers: once(waivers),
        ..Refusal::new(headline, moment)
    }
}

impl Refusal {
    fn new(headline: String, moment: Moment) -> Self {
        Self {
            headline,
            moment,
            diagnostics: Vec::new(),
            overruns: Vec::new(),
            besides: Vec::new(),
            mend: Vec::new(),
            all_of_it: None,
            waivers: Vec::new(),
        }
    }
}

/// What a change does to `requirements`, as the rest of a sentence.
fn does(events: &BTreeSet<Event>, requirements: &str) -> String {
    let one = if events.len() == 1 { events.first() } else { None };
    match one {
        Some(Event::NewlyFailing) => format!("breaks {requirements}"),
        Some(Event::NewlyKnownFailing) => format!("shows a failure in {requirements}"),
        Some(Event::NewlyWorse) => format!("moves {requirements} further from the limit"),
        Some(Event::NewlyEdge) => format!("may break {requirements}"),
        Some(Event::NewlyStale) => format!("overtakes the evidence for {requirements}"),
        Some(Event::NewlyIncomplete) => format!("leaves {requirements} without all figures"),
        _ => format!("turns {requirements} for the worse"),
    }
}

fn overrun(broken: &Broken<'_>) -> Option<Overrun> {
    let Broken { between, event, change } = *broken;
    let judged = between.after.of_requirement(&change.requirement)?;
    let event = match event {
        Event::NewlyWorse => Some("it failed before, and is further away now"),
        Event::NewlyKnownFailing => Some("the design is the same, more is known of it"),
        _ => None,
    };
    Some(Overrun {
        before: change.before.filter(|before| Some(*before) != change.after),
        event,
        through: verdict_row(change, between).shares,
        ..Overrun::of(between.after, judged)
    })
}

impl Overrun {
    /// A requirement as it stands in a build.
    fn of(build: &Assessed, judged: &Judged) -> Self {
        Self {
            variant: build.design.variant.clone(),
            row: requirements::row(build, judged),
            before: None,
            event: None,
            options: remarks::options(build, judged),
            through: Vec::new(),
        }
    }
}

/// Each text once, in the order in which it comes first.
fn once(texts: impl Iterator<Item = String>) -> Vec<String> {
    let mut seen = BTreeSet::new();
    texts.filter(|text| seen.insert(text.clone())).collect()
}

#[cfg(test)]
mod tests {
    use super::super::samples::{LANTERN, assessed, lantern_with_a_heavier_lamp};
    use super::*;
    use crate::compare;

    /// What is said of turning the sample design into `after`, for all of its events at once.
    fn said(after: &str) -> Refusal {
        let (before, after) = (assessed(LANTERN), assessed(after));
        let between = Between { before: Some(&before), after: &after };
        let change = compare::impact(Some(&before), &after);
        let event = Event::NewlyFailing;
        let broken: Vec<_> = change
            .verdicts
            .iter()
            .filter(|change| change.is_newly_failing())
            .map(|change| Broken { between, event, change })
            .collect();
        refusal(&broken, between, Moment::Commit)
    }

    #[test]
    fn every_refused_requirement_comes_with_its_way_out() {
        let refusal = said(&lantern_with_a_heavier_lamp());
        assert!(refusal.overruns.len() > 1);
        assert_eq!(refusal.waivers.len(), refusal.overruns.len());
        for (overrun, waiver) in refusal.overruns.iter().zip(&refusal.waivers) {
            assert!(waiver.contains(&format!("waive {} ", overrun.row.id)), "{waiver}");
        }
    }

    #[test]
    fn the_headline_says_what_the_change_does() {
        let one = |event| does(&BTreeSet::from([event]), "1 requirement");
        assert_eq!(one(Event::NewlyFailing), "breaks 1 requirement");
        assert_eq!(one(Event::NewlyStale), "overtakes the evidence for 1 requirement");
        let both = BTreeSet::from([Event::NewlyFailing, Event::NewlyEdge]);
        assert_eq!(does(&both, "2 requirements"), "turns 2 requirements for the worse");
    }
}
