//! The reference says what the code does: nothing is missing in it, and nothing is made up.

use std::collections::BTreeSet;

use clap::{Command, CommandFactory, Parser};

use super::{commands, records};
use crate::cli::Cli;
use crate::design::BUILT_IN;
use crate::fixture;
use crate::parse;
use crate::quantity::{Unit, known_units, measure};

type Entries = BTreeSet<(String, String)>;

/// The first cells of all tables that stand in backticks, each with the names in backticks of the
/// heading above it.
fn entries(page: &str) -> Entries {
    let mut places = vec![String::new()];
    let mut entries = Entries::new();
    for line in page.lines() {
        if line.starts_with('#') {
            places = quoted(line).map(str::to_owned).collect();
            if places.is_empty() {
                places.push(String::new());
            }
        }
        let Some(key) = line.strip_prefix("| `").and_then(|rest| rest.split('`').next()) else {
            continue;
        };
        for place in &places {
            assert!(entries.insert((place.clone(), key.to_owned())), "{place}: {key} twice");
        }
    }
    entries
}

/// What stands in backticks.
fn quoted(line: &str) -> impl Iterator<Item = &str> {
    line.split('`').skip(1).step_by(2)
}

/// `part.offer` for `[[part.ID.offer]]`: ids, names and currencies are written in capitals.
fn table(heading: &str) -> String {
    let steps = heading.trim_matches(['[', ']']).split('.');
    let fixed = steps.filter(|step| !step.contains(|c: char| c.is_ascii_uppercase()));
    fixed.collect::<Vec<_>>().join(".")
}

#[track_caller]
fn check(documented: &Entries, known: &Entries) {
    let missing: Vec<_> = known.difference(documented).collect();
    let made_up: Vec<_> = documented.difference(known).collect();
    assert!(missing.is_empty() && made_up.is_empty(), "missing: {missing:?}, made up: {made_up:?}");
}

#[test]
fn every_key_is_in_the_reference_and_every_key_there_is_known() {
    let documented =
        entries(records()).into_iter().map(|(heading, key)| (table(&heading), key)).collect();
    let keys = parse::vocabulary().into_iter().map(|key| (key.table, key.key.to_owned()));
    // The cost of an order is worked out; no part can state it.
    let quantities = BUILT_IN.iter().filter(|(name, _)| *name != "order-cost");
    let quantities = quantities.map(|(name, _)| ("part".to_owned(), (*name).to_owned()));
    check(&documented, &keys.chain(quantities).collect());
}

#[test]
fn the_examples_are_one_design_without_errors() {
    let (manifest, records) = fixture::reference_example();
    assert_eq!(
        super::records().matches("```toml").count() * 2,
        super::records().matches("```").count()
    );
    let design =
        fixture::design(&format!("\n== tagworthy.toml\n{manifest}\n== parts/all.toml\n{records}"));
    assert_eq!(design.name.as_str(), "lantern");
    assert_eq!(design.evidence.len(), 3);
}

#[test]
fn the_examples_show_every_table_and_key() {
    let (manifest, records) = fixture::reference_example();
    let all = format!("{manifest}{records}");
    let is_word = |c: char| c.is_ascii_alphanumeric() || c == '-';
    let shown: BTreeSet<&str> = all.split(|c| !is_word(c)).collect();
    let hidden: Vec<_> = parse::vocabulary()
        .into_iter()
        .filter(|key| !shown.contains(key.key))
        .map(|key| format!("{}.{}", key.table, key.key))
        .collect();
    assert!(hidden.is_empty(), "{hidden:?}");
}

#[test]
fn headings_are_led_to() {
    let anchors: BTreeSet<String> = records()
        .lines()
        .filter(|line| line.starts_with('#'))
        .map(|line| line.trim_matches(['#', ' ']).to_lowercase().replace(' ', "-"))
        .collect();
    for link in records().split("](#").skip(1).filter_map(|rest| rest.split(')').next()) {
        assert!(anchors.contains(link), "#{link}");
    }
}

#[test]
fn every_unit_is_listed_and_what_is_said_of_units_is_so() {
    let page = super::units();
    for line in [
        "| a mass | `g` | `lb`, `oz`, `t` |",
        "| a temperature |  | `degC`, `°C` |",
        "| a temperature difference | `K` |  |",
        "| 1/s | `Hz` | `rpm` |",
    ] {
        assert!(page.lines().any(|found| found == line), "{line}\n{page}");
    }
    let rows = page.lines().filter(|line| line.starts_with("| ")).flat_map(quoted);
    let listed = rows.filter(|symbol| Unit::parse(symbol).is_ok()).count();
    assert_eq!(listed, known_units().count());
    let prefixes = page.split("take them: `").nth(1).expect("a list").split("`, and `u`").next();
    let prefixes = prefixes.expect("its end").replace("`, `", " ");
    for prefix in prefixes.split_whitespace().chain(["u"]) {
        assert!(Unit::parse(&format!("{prefix}m")).is_ok(), "{prefix}");
    }
    let read = |text: &str| measure(text).expect("a quantity");
    let is = |left: &str, right: &str| assert_eq!(read(left), read(right));
    is("3000 rpm", "50 1/s");
    is("50 rad/s", "50 Hz");
}

/// Every command with its long options; those of all commands stand at the empty name.
fn options(command: &Command, path: &str, options: &mut Entries) {
    for argument in command.get_arguments().filter(|argument| !argument.is_global_set()) {
        let long = argument.get_long().map(|long| format!("--{long}"));
        options.extend(long.map(|long| (path.to_owned(), long)));
    }
    for inner in command.get_subcommands() {
        let dot = if path.is_empty() { "" } else { " " };
        self::options(inner, &format!("{path}{dot}{}", inner.get_name()), options);
    }
}

/// Every command that does something by itself.
fn names(command: &Command, path: &str) -> Vec<String> {
    if !command.has_subcommands() {
        return vec![path.to_owned()];
    }
    let inner = command.get_subcommands();
    inner.flat_map(|inner| names(inner, format!("{path} {}", inner.get_name()).trim())).collect()
}

#[test]
fn every_option_is_in_the_reference_and_every_option_there_is_known() {
    let program = Cli::command();
    let mut known = Entries::new();
    options(&program, "", &mut known);
    let global = program.get_arguments().filter(|argument| argument.is_global_set());
    let global = global.filter_map(|argument| Some(format!("--{}", argument.get_long()?)));
    known.extend(global.map(|long| (String::new(), long)));
    // clap brings these two along.
    known.extend(["--help", "--version"].map(|long| (String::new(), long.to_owned())));
    check(&entries(commands()), &known);
}

#[test]
fn every_command_has_its_heading_and_an_example() {
    let headings = commands().lines().filter(|line| line.starts_with("## ")).flat_map(quoted);
    let names = names(&Cli::command(), "");
    assert_eq!(headings.collect::<BTreeSet<_>>(), names.iter().map(String::as_str).collect());
    for name in &names {
        let section = commands().split(&format!("## `{name}`\n")).nth(1).expect("a heading");
        let section = section.split("\n## ").next().unwrap_or_default();
        assert!(section.contains(&format!("tagworthy {name}")), "{name} has no example");
    }
}

#[test]
fn every_example_of_a_command_is_understood() {
    let lines = commands().lines().filter(|line| line.starts_with("tagworthy "));
    for line in lines {
        if let Err(error) = Cli::try_parse_from(line.split_whitespace()) {
            panic!("{line}: {error}");
        }
    }
}
