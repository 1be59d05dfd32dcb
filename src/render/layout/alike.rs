//! What is said of many things in the same words: told of the first, with the others counted or named.

use std::collections::BTreeMap;

use crate::record::Id;
use crate::report::{FindingRow, NextStep, Step};

/// Fewer than these are told one by one.
const WORTH_JOINING: usize = 4;

/// The findings that are told, and the further parts of which the same is found: a check words it alike
/// but for the part.
pub(super) fn findings(rows: &[FindingRow]) -> Vec<(&FindingRow, Vec<Id>)> {
    let wording = |row: &FindingRow| {
        let [part] = &row.parts[..] else { return None };
        let words = row.message.replace(&format!("`{part}`"), "`…`");
        row.waiver.is_none().then_some((row.check.0, words))
    };
    let parts =
        |others: Vec<&FindingRow>| others.iter().flat_map(|row| row.parts.clone()).collect();
    joined(rows, wording).into_iter().map(|(row, others)| (row, parts(others))).collect()
}

/// The steps that are told, and how many more ask for the same of something else.
pub(super) fn steps(steps: &[NextStep]) -> Vec<(&NextStep, usize)> {
    let wording = |step: &NextStep| {
        let (before, named) = step.text.split_once('`')?;
        let (_, after) = named.split_once('`')?;
        (step.step == Step::Settle).then(|| (before.to_owned(), after.to_owned()))
    };
    joined(steps, wording).into_iter().map(|(step, others)| (step, others.len())).collect()
}

/// `all` in their order; of those that are worded alike, where they are enough, the first with the others.
fn joined<T, W: Ord>(all: &[T], wording: impl Fn(&T) -> Option<W>) -> Vec<(&T, Vec<&T>)> {
    let worded: Vec<Option<W>> = all.iter().map(wording).collect();
    let mut alike: BTreeMap<&W, Vec<&T>> = BTreeMap::new();
    for (one, words) in all.iter().zip(&worded) {
        words.iter().for_each(|words| alike.entry(words).or_default().push(one));
    }
    alike.retain(|_, group| group.len() >= WORTH_JOINING);
    let mut told = Vec::new();
    for (one, words) in all.iter().zip(&worded) {
        match words.as_ref().and_then(|words| alike.get(words)) {
            None => told.push((one, Vec::new())),
            Some(group) if std::ptr::eq(group[0], one) => told.push((one, group[1..].to_vec())),
            Some(_) => {}
        }
    }
    told
}

#[cfg(test)]
mod tests {
    use crate::render::layout;
    use crate::render::tests::{at, plain};
    use crate::report::checklist;
    use crate::report::samples::assessed;

    /// A design at its beginning: parts without offers and sources.
    fn screen(bought: usize) -> String {
        let parts = |name: &str, origin: &str, count: usize| {
            let part = |n| format!("[part.{name}-{n}]\norigin = \"{origin}\"\ntitle = \"A\"\n");
            (1..=count).map(part).collect::<String>()
        };
        let uses = |name: &str, count: usize| {
            (1..=count).map(|n| format!("{name}-{n} = 1\n")).collect::<String>()
        };
        let text = format!(
            "\n== parts.toml\n[part.scanner]\norigin = \"assembled\"\n[part.scanner.contains]\n{}{}{}{}",
            uses("screw", bought),
            uses("guide", 2),
            parts("screw", "bought", bought),
            parts("guide", "printed", 2),
        );
        let report = checklist(&assessed(&text), at(), &|_, _| 7);
        plain(&layout::checklist(&report), 80)
    }

    #[test]
    fn what_is_found_of_many_parts_is_told_once() {
        insta::assert_snapshot!(screen(4), @"
        lantern 1.0.0 at 3f2c9ab: not ready, 7 findings in the way

        release checks
          bill-complete     screw-1
              nobody offers `screw-1`; parts.toml:7; the same of screw-2, screw-3,
              screw-4
          editable-source   guide-1   `guide-1` names no source; parts.toml:7
          editable-source   guide-2   `guide-2` names no source; parts.toml:7
          licence                     the manifest names no licence

        in the way, by part
          guide-1   editable-source
          guide-2   editable-source
          screw-1   bill-complete
          screw-2   bill-complete
          screw-3   bill-complete
          screw-4   bill-complete

        next
          add an offer for `screw-1`; the same for 3 more
          add the files that `guide-1` is drawn in to its sources
          add the files that `guide-2` is drawn in to its sources
          add license = \"…\" with an SPDX expression to [design]
          or let one through with a reason: a `[waiver.…]` record, up to a value and a
              release
        ");
    }

    #[test]
    fn three_alike_are_told_one_by_one() {
        let screen = screen(3);
        let told = |text: &str| screen.lines().any(|line| line.contains(text));
        assert!(told("nobody offers `screw-2`") && told("add an offer for `screw-2`"));
        assert!(!told("the same"));
    }
}
