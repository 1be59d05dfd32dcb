//! A made-up design of any size, as files and as a repository: parts in two levels, offers,
//! requirements with room to spare. The same number gives the same files.

use std::fmt::Write as _;
use std::io::Write as _;
use std::process::Stdio;

use crate::common::Scratch;

/// How the record files lie.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Layout {
    /// All in one folder.
    Flat,
    /// Three folders deep.
    Nested,
}

/// Files by path.
pub type Files = Vec<(String, String)>;

/// Parts that one assembly contains.
const PARTS_OF_AN_ASSEMBLY: usize = 24;

/// Record files that hold no part: requirements, suppliers.
const OTHER_FILES: usize = 2;

/// A manifest, and `record_files` files of records; all but a few hold one part each.
pub fn files(record_files: usize, layout: Layout) -> Files {
    let parts = record_files.saturating_sub(OTHER_FILES + 1);
    let assemblies = parts / (PARTS_OF_AN_ASSEMBLY + 1) + 1;
    let mut files: Files = vec![
        ("tagworthy.toml".to_owned(), MANIFEST.to_owned()),
        ("design/requirements.toml".to_owned(), REQUIREMENTS.to_owned()),
        ("design/supply.toml".to_owned(), SUPPLY.to_owned()),
        ("parts/scanner.toml".to_owned(), scanner(assemblies)),
    ];
    for number in 0..parts {
        let (assembly, id) = (number % assemblies, format!("part-{number:04}"));
        let path = match layout {
            Layout::Flat => format!("parts/{id}.toml"),
            Layout::Nested => {
                format!("parts/unit-{assembly:03}/group-{}/{id}.toml", number % 7)
            }
        };
        let text = match number {
            _ if number < assemblies => unit(number, assemblies, parts),
            _ if number % 2 == 0 => printed(number),
            _ => bought(number),
        };
        files.push((path, text));
    }
    files
}

/// A repository that holds `files` in one commit, checked out, with a change staged: the last part
/// is some hundred grams heavier.
#[allow(dead_code, reason = "a history makes a repository of its own")]
pub fn repository(files: &Files) -> Scratch {
    let scratch = Scratch::new();
    fast_import(&scratch, files);
    scratch.git(&["reset", "--quiet", "--hard"]);
    let (path, text) = files.last().expect("a design has files");
    scratch.write(path, text.replace("\nmass     = \"", "\nmass     = \"1"));
    scratch.git(&["add", "--all"]);
    assert_eq!(scratch.git_line(&["diff", "--cached", "--name-only"]), *path);
    scratch
}

fn fast_import(scratch: &Scratch, files: &Files) {
    let mut stream = String::from(
        "commit refs/heads/main\ncommitter Ada Frame <ada@lantern.example> 1772616030 +0100\ndata 5\nFirst\n",
    );
    for (path, text) in files {
        let _ = write!(stream, "M 100644 inline {path}\ndata {}\n{text}\n", text.len());
    }
    let mut import = scratch
        .command("git", &scratch.path())
        .args(["fast-import", "--quiet"])
        .stdin(Stdio::piped())
        .spawn()
        .expect("git runs");
    let mut input = import.stdin.take().expect("the input is a pipe");
    input.write_all(stream.as_bytes()).expect("git reads the stream");
    drop(input);
    assert!(import.wait().expect("git ends").success());
}

const MANIFEST: &str = r#"[design]
name     = "lantern"
title    = "Lantern, many times over"
top      = "scanner"
next     = "1.0.0"
currency = "EUR"
records  = ["parts/**/*.toml", "design/*.toml"]
tag      = "v{version}"

[ambient]
low  = "5 °C"
high = "35 °C"

[exchange]
USD = { rate = "0.92 EUR", on = 2026-03-01 }

[allowance]
mass = { estimated = "20 %", calculated = "10 %", stated = "5 %", measured = "0 %" }

[rule]
coverage-factor = 2
"#;

const REQUIREMENTS: &str = r#"[requirement.carry-mass]
title    = "One person carries it"
part     = "scanner"
quantity = "mass"
at-most  = "400 kg"
margin   = "2 kg"

[requirement.cost-ceiling]
title    = "What ten of them cost"
part     = "scanner"
quantity = "cost"
builds   = 10
at-most  = "90000 EUR"

[requirement.printed-in-time]
title    = "A printer finishes it"
part     = "scanner"
quantity = "print-time"
at-most  = "9000 h"

[requirement.few-pieces]
title    = "Few enough to count"
part     = "scanner"
quantity = "pieces"
at-most  = 9000
"#;

const SUPPLY: &str = r#"[material.petg]
density = "1.27 g/cm³"
softens = "80 °C"
[[material.petg.offer]]
supplier = "print-shop"
code     = "PETG-1"
pack     = "1 kg"
price    = "22 EUR"
quoted   = 2026-02-01

[supplier.print-shop]
prices   = "gross"
tax      = "19 %"

[supplier.bolt-shop]
prices    = "net"
tax       = "19 %"
shipping  = "5.90 EUR"
free-over = "50 EUR"

[supplier.far-shop]
prices   = "net"
tax      = "19 %"
duty     = "2.5 %"
shipping = "14 USD"
"#;

fn scanner(assemblies: usize) -> String {
    let mut text = String::from(
        "[part.scanner]\ntitle  = \"The whole product\"\norigin = \"assembled\"\n\n[part.scanner.contains]\n",
    );
    for number in 0..assemblies {
        let _ = writeln!(text, "part-{number:04} = {}", 1 + number % 2);
    }
    text
}

/// An assembly of every part whose number leaves its own when divided by the number of assemblies.
fn unit(number: usize, assemblies: usize, parts: usize) -> String {
    let mut text = format!(
        "[part.part-{number:04}]\ntitle   = \"Unit {number}\"\nversion = \"1.{number}.0\"\norigin  = \"assembled\"\n\n[part.part-{number:04}.contains]\n"
    );
    for contained in (number + assemblies..parts).step_by(assemblies) {
        let _ = writeln!(text, "part-{contained:04} = {}", 1 + contained % 4);
    }
    text
}

fn printed(number: usize) -> String {
    let (grams, tenths) = (8 + number % 60, number % 10);
    format!(
        r#"# Holds its neighbours apart; the long side lies on the bed.
[part.part-{number:04}]
title    = "Bracket {number}"
version  = "1.{}.0"
origin   = "printed"
material = "petg"
size     = "84 x 60 x 9 mm"
mass     = "{grams}.{tenths} g ± 0.5 g measured"
print-time = "1 h {} min"

[part.part-{number:04}.dimension]
slot  = "5.00 mm +0.05/-0.00"
reach = "40.0 mm ± 0.1 mm"

[part.part-{number:04}.setting]
layer = "0.2 mm"
"#,
        number % 5,
        number % 60,
    )
}

fn bought(number: usize) -> String {
    let (supplier, currency) =
        if number.is_multiple_of(3) { ("far-shop", "USD") } else { ("bolt-shop", "EUR") };
    let cents = 10 + number % 90;
    format!(
        r#"# Taken from the catalogue; any maker's will do.
[part.part-{number:04}]
title    = "Spacer {number}"
origin   = "bought"
designation = "Spacer {number}"
mass     = "{}.{} g stated"

[[part.part-{number:04}.offer]]
supplier = "{supplier}"
code     = "S-{number}"
pack     = 50
price    = "3.{cents} {currency}"
breaks   = {{ 5 = "3.05 {currency}", 20 = "2.80 {currency}" }}
lead-time = "10 d"
quoted   = 2026-02-12
"#,
        1 + number % 9,
        number % 10,
    )
}
