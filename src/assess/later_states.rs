//! A state that is linked and evaluated from the one before it is the one that comes of nothing.

use std::fmt::Write as _;
use std::sync::Arc;

use proptest::prelude::*;
use twox_hash::XxHash3_128;

use super::{FORM, Kept, Parses, changed_records, judge_requirements};
use crate::design::{self, Changed, Design, Input};
use crate::evidence::RevisionSeals;
use crate::fileset::{ContentKey, FileSet, RepoPath};
use crate::fixture::{self, MANIFEST};
use crate::parse::{self, Parsed, Role};
use crate::record::Date;
use crate::store::{Key, Single, Store};
use crate::verdict::{Assessed, Occasion};

/// Enough parts for several pieces of terms.
const PARTS: usize = 70;

const RULES: &str = r#"
[allowance]
mass = { estimated = "20 %", stated = "5 %" }
[quantity.noise]
unit = "dB"
roll-up = "max"
[quantity.jitter]
unit = "µm"
roll-up = "root-sum-square"
"#;

const SHOP: &str = r#"
[supplier.shop]
prices = "net"
tax = "19 %"
[material.petg]
density = "1.27 g/cm³"
offer = [{ supplier = "shop", pack = "1 kg", price = "22 EUR", breaks = { 3 = "19 EUR" } }]
[rail.main]
voltage = "12 V"
[requirement.light]
part = "scanner"
quantity = "mass"
at-most = "3 kg"
[requirement.cheap]
part = "scanner"
quantity = "cost"
builds = 3
at-most = "90 EUR"
[requirement.few]
part = "scanner"
quantity = "pieces"
at-most = 300
[requirement.quiet]
part = "scanner"
quantity = "noise"
at-most = "40 dB"
[requirement.reach]
part = "part-03"
quantity = "reach"
at-most = "50 mm"
[evidence.weighed]
part = "part-07"
quantity = "mass"
value = "9 g"
on = 2026-03-01
"#;

/// What a change does to a part.
#[derive(Clone, Copy, Debug, PartialEq)]
enum Edit {
    Nothing,
    Mass(u32),
    NoMass,
    Price(u32),
    Title(u32),
    Noise(u32),
    Jitter(u32),
    Draw(u32),
    Reach(u32),
    Formula(u32),
    Optional,
    Held(u32),
    Fits,
    Gone,
    Wrong,
    Item(u32),
    Closed(u32),
    Decision(u32),
    Result(u32),
    Promise(u32),
}

fn edit() -> impl Strategy<Value = Edit> {
    prop_oneof![
        2 => Just(Edit::Nothing),
        6 => (1_u32..90).prop_map(Edit::Mass),
        1 => Just(Edit::NoMass),
        3 => (1_u32..900).prop_map(Edit::Price),
        1 => (1_u32..900).prop_map(Edit::Title),
        2 => (1_u32..60).prop_map(Edit::Noise),
        2 => (1_u32..60).prop_map(Edit::Jitter),
        2 => (1_u32..60).prop_map(Edit::Draw),
        2 => (1_u32..60).prop_map(Edit::Reach),
        1 => (1_u32..9).prop_map(Edit::Formula),
        1 => Just(Edit::Optional),
        1 => (0_u32..5).prop_map(Edit::Held),
        1 => Just(Edit::Fits),
        1 => Just(Edit::Gone),
        1 => Just(Edit::Wrong),
        2 => (0_u32..PARTS as u32).prop_map(Edit::Item),
        1 => (0_u32..PARTS as u32).prop_map(Edit::Closed),
        2 => (0_u32..PARTS as u32).prop_map(Edit::Decision),
        2 => (1_u32..90).prop_map(Edit::Result),
        2 => (1_u32..90).prop_map(Edit::Promise),
    ]
}

/// A part by its number, as an edit leaves it.
fn part(number: usize, edit: Edit) -> String {
    let is_printed = number.is_multiple_of(2);
    let (grams, cents) = match edit {
        Edit::Mass(grams) => (Some(grams), number),
        Edit::NoMass => (None, number),
        Edit::Price(cents) => (Some(5), cents as usize),
        _ => (Some(5), number),
    };
    let mut text = format!("[part.part-{number:02}]\n");
    if let Edit::Title(title) = edit {
        let _ = writeln!(text, "title = \"Part {title}\"");
    }
    let _ = match is_printed {
        true => writeln!(text, "origin = \"printed\"\nmaterial = \"petg\""),
        false => writeln!(text, "origin = \"bought\""),
    };
    if let Some(grams) = grams.filter(|_| !matches!(edit, Edit::Formula(_))) {
        let basis = if is_printed { "" } else { " stated" };
        let _ = writeln!(text, "mass = \"{grams} g{basis}\"");
    }
    let _ = match edit {
        Edit::Noise(level) => writeln!(text, "noise = \"{level} dB\""),
        Edit::Jitter(size) => writeln!(text, "jitter = \"{size} µm ± 1 µm\""),
        Edit::Draw(current) => writeln!(text, "draws.main = \"{current} mA\""),
        Edit::Reach(length) => writeln!(text, "value.reach = \"{length} mm\""),
        Edit::Formula(grams) => writeln!(text, "formula.mass = \"{grams} g + part-01.mass\""),
        Edit::Fits => writeln!(text, "fits.part-01 = \"^1.0.0\""),
        Edit::Wrong => writeln!(text, "mass = \"one\""),
        _ if number == 3 => writeln!(text, "value.reach = \"5 mm\""),
        _ => Ok(()),
    };
    if !is_printed {
        let _ = writeln!(text, "offer = [{{ supplier = \"shop\", price = \"{cents}.10 EUR\" }}]");
    }
    text + &plan(number, edit)
}

/// What stands beside a part that plans or tells of it; it may name what is not there.
fn plan(number: usize, edit: Edit) -> String {
    let about = format!("parts = [\"part-{number:02}\"]");
    match edit {
        Edit::Item(other) => {
            let named = match number % 3 {
                0 => format!("after = [\"item-{other:02}\"]\n"),
                1 => format!("blocks = [\"promise-{other:02}\"]\n"),
                _ => String::new(),
            };
            format!("[item.item-{number:02}]\ntitle = \"An item\"\n{about}\n{named}")
        }
        Edit::Closed(day) => {
            let on = format!("2026-02-{:02}", 1 + day % 28);
            format!("[item.item-{number:02}]\ntitle = \"An item\"\nclosed = {on}\n")
        }
        Edit::Decision(replaced) => {
            let replaces = format!("replaces = [\"so-{replaced:02}\"]\n");
            let replaces = if number.is_multiple_of(3) { replaces } else { String::new() };
            format!(
                "[decision.so-{number:02}]\ntitle = \"So\"\non = 2026-02-01\n{about}\n{replaces}"
            )
        }
        Edit::Result(grams) => format!(
            "[evidence.weighed-{number:02}]\npart = \"part-{number:02}\"\nquantity = \"mass\"\n\
             value = \"{grams} g\"\non = 2026-03-01\n"
        ),
        Edit::Promise(grams) => format!(
            "[requirement.promise-{number:02}]\npart = \"part-{number:02}\"\nquantity = \"mass\"\n\
             at-most = \"{grams} g\"\n"
        ),
        _ => String::new(),
    }
}

/// The files of a design with these edits of its parts, two parts a file.
fn written(edits: &[Edit]) -> FileSet {
    let mut text = format!("\n== tagworthy.toml\n{MANIFEST}{RULES}\n== shop.toml\n{SHOP}");
    text.push_str(
        "\n== top.toml\n[part.scanner]\norigin = \"assembled\"\n[part.scanner.contains]\n",
    );
    let held = |(_, edit): &(usize, &Edit)| **edit != Edit::Gone && **edit != Edit::Held(0);
    for (number, edit) in edits.iter().enumerate().filter(held) {
        let _ = match edit {
            Edit::Optional => writeln!(text, "part-{number:02} = {{ count = 1, optional = true }}"),
            Edit::Held(count) => writeln!(text, "part-{number:02} = {count}"),
            _ => writeln!(text, "part-{number:02} = 2"),
        };
    }
    for (file, pair) in edits.chunks(2).enumerate() {
        let parts = pair.iter().enumerate().filter(|(_, edit)| **edit != Edit::Gone);
        let parts: String = parts.map(|(at, edit)| part(2 * file + at, *edit)).collect();
        let _ = write!(text, "\n== parts/{file:02}.toml\n{parts}");
    }
    fixture::files(&text)
}

/// The files of a state, parsed; contents that another state has are parsed once.
struct State {
    files: FileSet,
    manifest_path: RepoPath,
    manifest: Arc<Parsed>,
    records: Vec<(RepoPath, Arc<Parsed>)>,
}

impl State {
    fn of(edits: &[Edit], parses: &mut Parses) -> Self {
        let files = written(edits);
        let manifest_path = RepoPath::from("tagworthy.toml");
        let mut parsed = |path: &RepoPath, role| {
            let key = files.entries[path].key;
            if !parses.have(&key, role) {
                parses.keep(key, role, Arc::new(parse::file(&files.contents[&key], role)));
            }
            parses.of(&files, path, role)
        };
        let manifest = parsed(&manifest_path, Role::Manifest);
        let paths = files.entries.keys().filter(|path| **path != manifest_path);
        let records = paths.map(|path| (path.clone(), parsed(path, Role::Records))).collect();
        Self { files, manifest_path, manifest, records }
    }

    fn input(&self) -> Input<'_> {
        Input {
            manifest_path: &self.manifest_path,
            manifest: &self.manifest,
            files: &self.records,
            entries: &self.files.entries,
            checks: &[],
        }
    }

    fn changed_since(&self, before: &Self) -> Vec<Changed> {
        let pairs = before.records.iter().zip(&self.records);
        let changed = pairs.filter(|((_, was), (_, is))| !Arc::ptr_eq(was, is));
        changed
            .map(|((path, was), (_, is))| Changed {
                path: path.clone(),
                before: Arc::clone(was),
                after: Arc::clone(is),
            })
            .collect()
    }
}

fn judged(before: Option<&Assessed>, design: &Arc<Design>) -> Assessed {
    judge_requirements(before, design, &RevisionSeals::default(), &occasion(design))
}

fn occasion(design: &Design) -> Occasion {
    Occasion::new(design.next.clone(), Date::constant(2026, 3, 1))
}

/// All that is said of a state; of budgets what they come to and what they are made of.
fn said(assessed: &Assessed) -> String {
    let budgets = assessed.figures.budgets.iter().map(|(subject, budget)| {
        let made_of: Vec<_> = budget.contributions().collect();
        format!("{subject:?}: {budget:?} of {made_of:?}\n")
    });
    format!(
        "{:?}\n{}\n{:?}\n{:?}",
        assessed.design,
        budgets.collect::<String>(),
        assessed.judged,
        assessed.figures.computed
    )
}

/// What an earlier run kept of a state, as the next one finds it.
fn kept(judged: &Assessed, state: &State, parses: &Parses) -> Kept {
    let (mut store, key) = (Store::in_memory(), Key::new(ContentKey::new(&[]), FORM, "1"));
    store.put(key.clone(), &Kept::of(judged, &state.files.entries, parses));
    let found: Option<Kept> = store.get(&key).expect("it was kept");
    found.expect("all of it was kept").under(state.manifest.rules())
}

/// Where this differs, a state of before is read in another way: raise [`FORM`].
#[test]
fn the_form_has_a_name() {
    let mut parses = Parses::default();
    let state = State::of(&with(&[(3, Edit::Promise(4)), (8, Edit::Formula(3))]), &mut parses);
    let design = design::link(&state.input()).design.expect("nothing is wrong");
    let folder = tempfile::tempdir().expect("there is room");
    let (file, key) =
        (Single::open(folder.path(), "state"), Key::new(ContentKey::new(&[]), FORM, ""));
    file.put(&key, &Kept::of(&judged(None, &design), &state.files.entries, &parses));
    let digest = XxHash3_128::oneshot(&file.bytes(&key).expect("it was kept"));
    insta::assert_snapshot!(format!("{FORM}: {digest:032x}"));
}

/// The state after, judged from what was kept of the one before; nothing where it does not follow from it.
fn judged_from_kept(kept: Kept, is: &State, parses: &Parses) -> Option<Assessed> {
    let entries = &is.files.entries;
    let changed = changed_records(kept.design(), kept.entries(), &**entries)?;
    let changed: Vec<RepoPath> = changed.into_iter().cloned().collect();
    let later = kept.later(kept.design(), entries, &changed, parses)?;
    let then = kept.assessed(&later, occasion(&later));
    Some(judged(Some(&then), &later))
}

/// Holds the state after against the one that comes of nothing; whether it came of the one before.
fn check(before: &[Edit], after: &[Edit]) -> bool {
    let mut parses = Parses::default();
    let [was, is] = [before, after].map(|edits| State::of(edits, &mut parses));
    let Some(design) = design::link(&was.input()).design else { return false };
    let then = judged(None, &design);
    let anew = design::link(&is.input()).design;
    let later = design::relink(&design, &is.files.entries, &is.changed_since(&was));
    let from_kept = judged_from_kept(kept(&then, &was, &parses), &is, &parses);
    let Some(later) = later else {
        assert!(
            from_kept.is_none(),
            "what cannot be linked from a state cannot be so once that is kept"
        );
        return false;
    };
    let anew = anew.expect("what can be linked from a state before can be linked at all");
    let expected = said(&judged(None, &anew));
    assert_eq!(said(&judged(Some(&then), &later)), expected);
    assert_eq!(from_kept.as_ref().map(said), Some(expected), "from what was kept");
    true
}

fn edits() -> impl Strategy<Value = Vec<Edit>> {
    let some = prop::collection::vec((0..PARTS, edit()), 0..5);
    some.prop_map(|some| with(&some))
}

fn with(some: &[(usize, Edit)]) -> Vec<Edit> {
    let mut edits = vec![Edit::Nothing; PARTS];
    for (at, edit) in some {
        edits[*at] = *edit;
    }
    edits
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(60))]
    #[test]
    fn a_later_state_is_what_comes_of_nothing(before in edits(), after in edits()) {
        check(&before, &after);
    }
}

#[test]
fn a_state_in_which_figures_moved_comes_of_the_one_before() {
    for edit in [Edit::Mass(70), Edit::NoMass, Edit::Price(400), Edit::Title(3), Edit::Noise(30)] {
        assert!(check(&with(&[]), &with(&[(40, edit), (41, edit)])), "{edit:?}");
        assert!(check(&with(&[(40, edit)]), &with(&[])), "{edit:?} taken back");
    }
    assert!(check(&with(&[]), &with(&[(3, Edit::Reach(60))])), "a named value that is promised");
}

/// All but one of the printed parts gain so much that the order reaches another price of the material.
#[test]
fn a_price_that_all_parts_share_is_another_for_all_of_them() {
    let heavy: Vec<_> = (0..PARTS).step_by(2).skip(1).map(|at| (at, Edit::Mass(20))).collect();
    assert!(check(&with(&[]), &with(&heavy)));
}

#[test]
fn what_follows_from_a_part_that_changed_is_worked_out_anew() {
    let formula = (40, Edit::Formula(3));
    assert!(check(&with(&[formula]), &with(&[formula, (1, Edit::Mass(70))])));
}

#[test]
fn what_no_part_depends_on_is_linked_for_itself() {
    let edits =
        [Edit::Item(2), Edit::Closed(2), Edit::Decision(2), Edit::Result(8), Edit::Promise(4)];
    for edit in edits {
        assert!(check(&with(&[]), &with(&[(41, edit)])), "{edit:?}");
        assert!(check(&with(&[(41, edit)]), &with(&[])), "{edit:?} taken back");
    }
    assert!(check(&with(&[(41, Edit::Item(2))]), &with(&[(41, Edit::Closed(2))])));
    assert!(check(&with(&[(41, Edit::Promise(4))]), &with(&[(41, Edit::Promise(9))])));
}

#[test]
fn what_waits_for_nothing_or_for_itself_is_linked_anew() {
    let (first, second, promise) = ((39, Edit::Item(42)), (42, Edit::Item(39)), Edit::Promise(4));
    let done = (42, Edit::Closed(2));
    assert!(check(&with(&[done]), &with(&[done, first])), "it waits for one that is there");
    assert!(!check(&with(&[done, first]), &with(&[first])), "it waits for one that is gone");
    assert!(!check(&with(&[done, first]), &with(&[second, first])), "each waits for the other");
    let blocks = (40, Edit::Item(44));
    assert!(check(&with(&[(44, promise)]), &with(&[(44, promise), blocks])));
    assert!(!check(&with(&[(44, promise), blocks]), &with(&[blocks])), "it blocks nothing");
}

#[test]
fn what_holds_or_names_something_else_is_linked_anew() {
    for edit in [Edit::Held(1), Edit::Optional, Edit::Fits, Edit::Gone, Edit::Wrong] {
        assert!(!check(&with(&[]), &with(&[(40, edit)])), "{edit:?}");
    }
}
