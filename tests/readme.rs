//! The sessions that the README shows are real: each command of the program is run again in the
//! example project, and must print what stands there.
//!
//! `UPDATE_README=1 cargo test --test readme` writes down what is printed now.

#![allow(clippy::unwrap_used, reason = "a test that can't go on has failed")]

mod common;

use std::fs;
use std::path::Path;

use common::Scratch;

/// How a line of a session begins that holds a command.
const PROMPT: &str = "$ ";

/// The program, as a session calls it.
const PROGRAM: &str = "tagworthy";

/// Columns of the terminal that sessions are shown in.
const COLUMNS: &str = "80";

/// A command and what it printed.
#[derive(Clone, Debug, PartialEq, Eq)]
struct Exchange {
    command: String,
    output: String,
}

/// A stretch of the README.
#[derive(Clone, Debug, PartialEq, Eq)]
enum Block {
    /// Anything else, as it stands.
    Prose(String),
    /// A block of `console` whose commands are the program's.
    Session(Vec<Exchange>),
}

#[test]
fn the_readme_shows_what_the_program_prints() {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("README.md");
    let shown = fs::read_to_string(&path).unwrap();
    let blocks = blocks(&shown);
    assert!(blocks.iter().any(|block| matches!(block, Block::Session(_))), "no session is shown");
    let printed = text(&played_again(blocks));
    if std::env::var_os("UPDATE_README").is_some() {
        fs::write(&path, printed).unwrap();
    } else {
        assert_same(&shown, &printed);
    }
}

#[test]
fn sessions_are_told_from_the_rest() {
    let readme = "Before.\n\n```console\n$ tagworthy check --at HEAD\nall is\n\n  well\n\
                  $ tagworthy ready\n```\n\n```console\n$ cargo test\n```\n";
    let exchange = |command: &str, output: &str| Exchange {
        command: command.to_owned(),
        output: output.to_owned(),
    };
    assert_eq!(
        blocks(readme),
        [
            Block::Prose("Before.\n\n".to_owned()),
            Block::Session(vec![
                exchange("tagworthy check --at HEAD", "all is\n\n  well\n"),
                exchange("tagworthy ready", ""),
            ]),
            Block::Prose("\n```console\n$ cargo test\n```\n".to_owned()),
        ]
    );
}

#[test]
fn blocks_are_written_as_they_were_read() {
    for readme in
        ["", "# A\n", "```console\n$ tagworthy check\nwell\n```\nB\n", "```sh\ncargo test\n```\n"]
    {
        assert_eq!(text(&blocks(readme)), readme);
    }
}

#[test]
#[should_panic(expected = "only commands of tagworthy can be played again")]
fn a_session_holds_no_command_of_another_program() {
    blocks("```console\n$ tagworthy check\n$ rm x\n```\n");
}

fn blocks(readme: &str) -> Vec<Block> {
    const OPENING: &str = "```console\n";
    const CLOSING: &str = "```\n";
    let (mut blocks, mut prose, mut rest) = (Vec::new(), String::new(), readme);
    while let Some(line) = rest.split_inclusive('\n').next() {
        let session = rest.strip_prefix(&format!("{OPENING}{PROMPT}{PROGRAM} "));
        if session.is_none() {
            prose.push_str(line);
            rest = &rest[line.len()..];
            continue;
        }
        let inside = &rest[OPENING.len()..];
        let (session, after) = inside.split_once(&format!("\n{CLOSING}")).unwrap();
        blocks.extend((!prose.is_empty()).then(|| Block::Prose(std::mem::take(&mut prose))));
        blocks.push(Block::Session(exchanges(&format!("{session}\n"))));
        rest = after;
    }
    blocks.extend((!prose.is_empty()).then_some(Block::Prose(prose)));
    blocks
}

fn exchanges(session: &str) -> Vec<Exchange> {
    let mut exchanges: Vec<Exchange> = Vec::new();
    for line in session.split_inclusive('\n') {
        match (line.strip_prefix(PROMPT), exchanges.last_mut()) {
            (Some(command), _) => {
                let is_ours = command.split_whitespace().next() == Some(PROGRAM);
                assert!(is_ours, "only commands of {PROGRAM} can be played again: {command}");
                let command = command.trim_end().to_owned();
                exchanges.push(Exchange { command, output: String::new() });
            }
            (None, Some(exchange)) => exchange.output.push_str(line),
            (None, None) => panic!("a session begins with a command: {line}"),
        }
    }
    exchanges
}

fn text(blocks: &[Block]) -> String {
    let exchange =
        |exchange: &Exchange| format!("{PROMPT}{}\n{}", exchange.command, exchange.output);
    let block = |block: &Block| match block {
        Block::Prose(text) => text.clone(),
        Block::Session(exchanges) => {
            format!("```console\n{}```\n", exchanges.iter().map(exchange).collect::<String>())
        }
    };
    blocks.iter().map(block).collect()
}

/// The same blocks, with what the commands print now in the example project.
fn played_again(blocks: Vec<Block>) -> Vec<Block> {
    let scratch = Scratch::new();
    run(&scratch, &scratch.home(), "tagworthy demo lantern");
    let lantern = scratch.home().join("lantern");
    assert!(lantern.join(".git").is_dir(), "the example project is laid out");
    let again = |exchange: Exchange| Exchange {
        output: run(&scratch, &lantern, &exchange.command),
        ..exchange
    };
    let play = |block: Block| match block {
        Block::Session(exchanges) => Block::Session(exchanges.into_iter().map(again).collect()),
        prose => prose,
    };
    blocks.into_iter().map(play).collect()
}

/// What the command prints, errors last, as one would see it without colours.
fn run(scratch: &Scratch, folder: &Path, command: &str) -> String {
    let output = scratch
        .command(env!("CARGO_BIN_EXE_tagworthy"), folder)
        .args(command.split_whitespace().skip(1))
        .env("NO_COLOR", "1")
        .env("COLUMNS", COLUMNS)
        .output()
        .unwrap();
    let printed = [output.stdout, output.stderr].concat();
    let mut printed = String::from_utf8(printed).unwrap().trim_end().to_owned();
    if !printed.is_empty() {
        printed.push('\n');
    }
    printed
}

/// Fails with the first line that differs.
#[track_caller]
fn assert_same(shown: &str, printed: &str) {
    let differs = shown.lines().zip(printed.lines()).enumerate().find(|(_, (a, b))| a != b);
    if let Some((at, (shown, printed))) = differs {
        panic!("README.md:{} shows\n  {shown}\nbut the program prints\n  {printed}", at + 1);
    }
    assert_eq!(shown.len(), printed.len(), "README.md ends differently from what is printed");
}
