//! What holds of every change to every file.

use proptest::prelude::*;
use proptest::sample::select;

use super::*;
use crate::record::Records;

/// Lines of a file that fit one another in any order, each with a place for a number.
const PIECES: [&str; 12] = [
    "[item.i@]\ntitle = \"a\"\nopened = 2026-01-02 # b\n",
    "[item.i@]\ntitle  = \"[item.no]\"\n# remark\n",
    "[item.i@]   # bare\n",
    "[part.p@]\norigin = \"printed\"\nsources = [\n  \"a.step\", # b\n  \"c.step\"\n]\n",
    "[part.p@]\ncontains = { a = 1, b = \"0.3 m\" }\n[part.p@.setting]\nx = '''\n[not-a-header]\n'''\n",
    "[[part.q@.offer]]\nsupplier = \"s\"\nprice = \"1 EUR\"\n[[part.q@.offer]]\nsupplier = \"t\"\n",
    "[evidence.e@]\npart = \"p\"\noutcome = \"pass\"\n[evidence.e@.seal]\np = \"g1\"\n",
    "[evidence.e@]\ntrials.passed = 1\ntrials.of = 2\n\"part\" = \"p\"\n",
    "[waiver.w@]\nunknown = 1\n",
    "# a remark\n",
    "\n",
    "   \t\n",
];

/// A file of such pieces, with any line ends, with or without a last one, with or without a mark.
fn files() -> impl Strategy<Value = String> {
    let pieces = prop::collection::vec(select(&PIECES[..]), 0..12);
    (pieces, any::<[bool; 3]>()).prop_map(|(pieces, [crlf, open, marked])| {
        let numbered = pieces.iter().enumerate();
        let mut text: String =
            numbered.map(|(at, piece)| piece.replace('@', &at.to_string())).collect();
        if open && text.ends_with('\n') {
            text.pop();
        }
        if crlf {
            text = text.replace('\n', "\r\n");
        }
        if marked { format!("\u{feff}{text}") } else { text }
    })
}

/// Where `after` has something that `before` has not, if all else is the same.
fn insertion<'a>(before: &str, after: &'a str) -> Option<&'a str> {
    let length = after.len().checked_sub(before.len())?;
    let fits = |at: &usize| {
        after.is_char_boundary(*at)
            && after.is_char_boundary(at + length)
            && before.get(..*at) == after.get(..*at)
            && before.get(*at..) == after.get(at + length..)
    };
    let at = (0..=before.len()).find(fits)?;
    after.get(at..at + length)
}

fn records(text: &str) -> Records {
    parse::file(text.as_bytes(), Role::Records).records
}

/// What the records say, but not where they say it.
fn sayings(records: &Records, without: &str) -> String {
    let spans = |text: String| {
        let mut rest = text.as_str();
        let mut said = String::new();
        while let Some((before, behind)) = rest.split_once("span: Span") {
            said += before;
            rest = behind.split_once('}').map_or("", |(_, behind)| behind);
        }
        said + rest
    };
    let items = records.items.iter().filter(|item| item.id.as_str() != without);
    let items: Vec<_> = items.collect();
    let rest = (&records.parts, &records.evidence, &records.waivers);
    spans(format!("{items:?} {rest:?}"))
}

/// Any text, odd ones more often than chance has it.
fn texts() -> impl Strategy<Value = String> {
    prop_oneof![
        any::<String>(),
        "[\"'\\\\\n\r\t#=\\[\\]{},a\u{0}\u{7f}\u{85}\u{202e}\u{feff}€]{1,20}",
    ]
    .prop_filter("an empty text is refused", |text| !text.trim().is_empty())
}

proptest! {
    #[test]
    fn a_new_record_leaves_every_other_byte_alone(text in files(), title in texts()) {
        let after = added(&text, "new-item", &item(&title));
        let new = insertion(&text, &after);
        prop_assert!(new.is_some(), "{after:?}");
        let new = new.unwrap_or_default();
        let crlf = text.contains("\r\n");
        prop_assert!(new.split_inclusive('\n').all(|line| !line.ends_with('\n') || line.ends_with("\r\n") == crlf), "{new:?}");
        let is_open = !text.trim_start_matches('\u{feff}').is_empty() && !text.ends_with('\n');
        prop_assert_eq!(after.ends_with('\n'), !is_open);
        let (before, after) = (records(&text), records(&after));
        prop_assert_eq!(before.len() + 1, after.len());
        prop_assert_eq!(sayings(&before, "new-item"), sayings(&after, "new-item"));
        let read = after.items.iter().find(|item| item.id.as_str() == "new-item").unwrap();
        prop_assert_eq!(&read.title.as_ref().unwrap().value, &title);
    }

    #[test]
    fn closing_adds_two_lines_and_nothing_else(text in files(), result in texts()) {
        let open = records(&text).items;
        prop_assume!(!open.is_empty());
        let id = &open[open.len() / 2].id.value;
        let after = close_item(&text, Role::Records, id, day("2026-10-20"), &result).unwrap();
        let new = insertion(&text, &after).unwrap();
        prop_assert_eq!(new.matches('\n').count(), 2, "{:?}", new);
        let (before, after) = (records(&text), records(&after));
        prop_assert_eq!(sayings(&before, id.as_str()), sayings(&after, id.as_str()));
        let read = after.items.iter().find(|item| item.id.as_str() == id.as_str()).unwrap();
        prop_assert_eq!(&read.result.as_ref().unwrap().value, &result);
        prop_assert_eq!(read.closed.as_ref().unwrap().value, day("2026-10-20"));
    }

    #[test]
    fn a_record_added_twice_is_refused(text in files()) {
        let once = added(&text, "new-item", &item("a"));
        let twice = add_record(&once, Role::Records, &"new-item".into(), &item("a"));
        prop_assert_eq!(twice, Err(EditError::Taken { kind: "item", id: "new-item".into() }));
    }

    #[test]
    fn no_text_makes_a_change_panic(text in any::<String>(), toml in "[\\[\\]a.=\"{}, #\n\r\u{feff}é]{0,40}") {
        for text in [text, toml] {
            let _ = add_record(&text, Role::Records, &"new".into(), &soak());
            let _ = set_keys(&text, Role::Records, &["a", "a"], &[("a", Value::Count(1))]);
            let _ = carry_over(&text, Role::Records, &"a".into(), (&"a".into(), "g1"), "b");
            let _ = add_seal(&text, Role::Records, &"a".into(), &[]);
        }
    }

    #[test]
    fn every_text_is_read_back_as_it_was(text in any::<String>(), key in texts()) {
        let pairs = vec![(key.clone(), Value::List(vec![Value::text(&text), Value::Count(7)]))];
        let written = format!("a = {}", Value::Table(pairs));
        let read: toml::Table = toml::from_str(&written).unwrap();
        prop_assert_eq!(read["a"][key.as_str()][0].as_str(), Some(text.as_str()));
    }
}
