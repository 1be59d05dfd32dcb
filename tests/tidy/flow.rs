//! Rooms name only rooms further up the river.

use std::collections::{BTreeMap, BTreeSet};

use crate::named::{named, room_in};
use crate::source::Source;

/// The order of rooms, and who may name which.
#[derive(Clone, Copy, Debug)]
pub struct Flow {
    /// All rooms, mouth of the river first: a room names only those after it.
    pub order: &'static [&'static str],
    /// Rooms that only a few may name, wherever these stand.
    pub doors: &'static [(&'static str, &'static [&'static str])],
    /// Rooms that may name only a few of those after them.
    pub narrow: &'static [(&'static str, &'static [&'static str])],
}

impl Flow {
    fn allows(&self, from: &str, to: &str) -> bool {
        if let Some((_, few)) = self.narrow.iter().find(|(room, _)| *room == from)
            && !few.contains(&to)
        {
            return false;
        }
        match self.doors.iter().find(|(room, _)| *room == to) {
            Some((_, few)) => few.contains(&from),
            None => self.place(from) < self.place(to) && self.place(to).is_some(),
        }
    }

    fn place(&self, room: &str) -> Option<usize> {
        self.order.iter().position(|listed| *listed == room)
    }
}

/// Every import against the flow: `src/a/b.rs:3: a names c`.
pub fn uphill(sources: &[Source], flow: &Flow) -> Vec<String> {
    let mut against = Vec::new();
    for source in sources {
        let from = source.room();
        for path in named(source) {
            if let Some(to) = room_in(&path, source).filter(|to| *to != from)
                && !flow.allows(from, to)
            {
                against.push(format!("{}:{}: {from} names {to}", source.path, path.line));
            }
        }
    }
    against
}

/// A way from a room back to itself, if there is one: `["a", "b", "a"]`.
pub fn cycle(sources: &[Source]) -> Option<Vec<String>> {
    let mut names: BTreeMap<&str, BTreeSet<String>> = BTreeMap::new();
    for source in sources {
        let rooms = named(source).into_iter().filter_map(|path| {
            let room = room_in(&path, source)?;
            (room != source.room()).then(|| room.to_owned())
        });
        names.entry(source.room()).or_default().extend(rooms);
    }
    let mut ends = BTreeSet::new();
    names.keys().find_map(|room| back_to_itself(&mut vec![(*room).to_owned()], &names, &mut ends))
}

/// Walks on from the last room of `way`; rooms in `ends` are known to lead to no cycle.
fn back_to_itself(
    way: &mut Vec<String>,
    names: &BTreeMap<&str, BTreeSet<String>>,
    ends: &mut BTreeSet<String>,
) -> Option<Vec<String>> {
    let room = way.last()?.clone();
    if ends.contains(&room) {
        return None;
    }
    for next in names.get(room.as_str()).into_iter().flatten() {
        let met = way.iter().position(|room| room == next);
        way.push(next.clone());
        if let Some(start) = met {
            return Some(way.split_off(start));
        }
        if let Some(found) = back_to_itself(way, names, ends) {
            return Some(found);
        }
        way.pop();
    }
    ends.insert(room);
    None
}

/// Where the module list of `lib.rs` and the rooms that are there differ from `order`.
pub fn listing(sources: &[Source], order: &[&str]) -> Vec<String> {
    let is_root = |source: &&Source| source.path == "src/lib.rs";
    let listed: Vec<&str> = sources.iter().filter(is_root).flat_map(modules).collect();
    let there: BTreeSet<&str> = sources
        .iter()
        .filter(|source| source.shipped_lines > 0 && source.depth() > 0)
        .map(Source::room)
        .collect();
    let expected: Vec<&str> = order.iter().copied().filter(|room| there.contains(room)).collect();
    let unknown = there.iter().filter(|room| !order.contains(*room));
    let mut wrong: Vec<String> =
        unknown.map(|room| format!("src/{room} has no place in the order")).collect();
    if listed != expected {
        wrong.push(format!(
            "src/lib.rs lists\n  {}\nnot\n  {}",
            listed.join(", "),
            expected.join(", ")
        ));
    }
    wrong
}

/// The modules that a source declares, in order.
fn modules(source: &Source) -> impl Iterator<Item = &str> {
    let pairs = source.shipped.windows(2).filter(|pair| pair[0].text == "mod");
    pairs.map(|pair| pair[1].text.as_str())
}

#[cfg(test)]
mod tests {
    use super::*;

    const FLOW: Flow = Flow {
        order: &["words", "mouth", "bend", "spring", "well"],
        doors: &[("words", &["mouth"]), ("well", &["mouth"])],
        narrow: &[("words", &[]), ("bend", &["spring"])],
    };

    fn sources(files: &[(&str, &str)]) -> Vec<Source> {
        Source::all(files.iter().map(|(path, text)| ((*path).to_owned(), (*text).to_owned())))
    }

    #[track_caller]
    fn check(path: &str, text: &str, expected: &[&str]) {
        assert_eq!(uphill(&sources(&[(path, text)]), &FLOW), expected);
    }

    #[test]
    fn a_room_names_those_after_it() {
        check("src/mouth.rs", "use crate::{bend, spring::A};", &[]);
        check("src/spring/a.rs", "\nuse crate::bend;", &["src/spring/a.rs:2: spring names bend"]);
        check(
            "src/spring/a.rs",
            "super::super::mouth::b()",
            &["src/spring/a.rs:1: spring names mouth"],
        );
    }

    #[test]
    fn a_room_without_a_place_is_named_by_none() {
        check("src/mouth.rs", "use crate::attic;", &["src/mouth.rs:1: mouth names attic"]);
        check("src/mouth.rs", "use crate::*;", &["src/mouth.rs:1: mouth names *"]);
        check("src/attic.rs", "use crate::well;", &["src/attic.rs:1: attic names well"]);
    }

    #[test]
    fn doors_are_for_those_who_have_the_key() {
        check("src/mouth.rs", "use crate::{well, words};", &[]);
        check("src/spring.rs", "use crate::well;", &["src/spring.rs:1: spring names well"]);
        check("src/spring.rs", "use crate::words;", &["src/spring.rs:1: spring names words"]);
    }

    #[test]
    fn a_narrow_room_names_only_what_it_was_given() {
        check("src/bend.rs", "use crate::spring;", &[]);
        check("src/words.rs", "use crate::spring;", &["src/words.rs:1: words names spring"]);
    }

    #[test]
    fn tests_may_name_any_room() {
        check("src/spring.rs", "#[cfg(test)] mod tests { use crate::mouth; }", &[]);
    }

    #[test]
    fn a_cycle_is_named_as_a_way() {
        let files = [
            ("src/a.rs", "use crate::b;"),
            ("src/b/mod.rs", "use crate::{c, d};"),
            ("src/c.rs", ""),
            ("src/d/e.rs", "use crate::b;"),
        ];
        let way = cycle(&sources(&files)).unwrap_or_default();
        assert_eq!(way, ["b", "d", "b"]);
        assert_eq!(cycle(&sources(&files[..3])), None);
    }

    #[test]
    fn the_list_of_modules_follows_the_order() {
        let rooms = [("src/bend.rs", ""), ("src/mouth/mod.rs", "\n"), ("src/bend.rs", "\n")];
        let with = |list: &'static str| {
            let files: Vec<_> = rooms.into_iter().chain([("src/lib.rs", list)]).collect();
            listing(&sources(&files), FLOW.order)
        };
        assert_eq!(with("pub mod mouth; mod bend; #[cfg(test)] mod fixture;"), [""; 0]);
        assert_eq!(
            with("pub mod bend; pub mod mouth;"),
            ["src/lib.rs lists\n  bend, mouth\nnot\n  mouth, bend"]
        );
        assert_eq!(with("pub mod mouth;"), ["src/lib.rs lists\n  mouth\nnot\n  mouth, bend"]);
        let attic = sources(&[("src/attic.rs", "//! Old things."), ("src/lib.rs", "")]);
        assert_eq!(listing(&attic, FLOW.order), ["src/attic has no place in the order"]);
    }
}
