//! What a manifest guards, and what is guarded where it does not say.

use crate::diagnostic::At;
use crate::record::{Event, Manifest};

/// What is refused at a commit.
pub(super) fn commit(rules: &Manifest) -> Vec<Event> {
    listed(rules.guard.commit.as_deref(), &[Event::NewlyUnreadable, Event::NewlyFailing])
}

/// What is refused at a release tag.
pub(super) fn tag(rules: &Manifest) -> Vec<Event> {
    listed(rules.guard.tag.as_deref(), &[Event::Unreadable, Event::NotReady])
}

/// What a shared repository refuses.
pub(super) fn receive(rules: &Manifest) -> Vec<Event> {
    let usual = [Event::NewlyUnreadable, Event::NewlyFailing, Event::NotReadyTag];
    listed(rules.guard.receive.as_deref(), &usual)
}

fn listed(events: Option<&[At<Event>]>, usual: &[Event]) -> Vec<Event> {
    match events {
        Some(events) => events.iter().map(|event| event.value).collect(),
        None => usual.to_vec(),
    }
}
