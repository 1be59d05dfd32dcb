//! A report as JSON, for programs.

use std::fmt::Write;

use serde::Serialize;

use super::untrusted::is_hidden;

/// Number of the shape: it rises when a key goes or changes its meaning, not when one comes.
pub const FORMAT: u32 = 1;

#[derive(Serialize)]
struct Document<'a, R> {
    format: u32,
    report: &'a str,
    #[serde(flatten)]
    body: &'a R,
}

/// `report`, which is called `name`, as an indented JSON object with a line end behind it.
///
/// Its texts are what the repository holds; characters that act on a terminal are escaped as JSON
/// allows, so that nothing is lost and nothing acts.
#[must_use]
pub fn json(name: &str, report: &impl Serialize) -> String {
    let document = Document { format: FORMAT, report: name, body: report };
    let text = serde_json::to_string_pretty(&document)
        .expect("reports have text keys and no fallible parts");
    let mut safe = escaped(&text);
    safe.push('\n');
    safe
}

/// The report on one line, with a line end behind it.
pub(super) fn line(name: &str, report: &impl Serialize) -> String {
    let document = Document { format: FORMAT, report: name, body: report };
    let text =
        serde_json::to_string(&document).expect("reports have text keys and no fallible parts");
    escaped(&text) + "\n"
}

fn escaped(text: &str) -> String {
    let mut safe = String::with_capacity(text.len() + 1);
    for character in text.chars() {
        if is_hidden(character) && character != '\n' {
            let mut units = [0; 2];
            for unit in character.encode_utf16(&mut units) {
                write!(safe, "\\u{unit:04x}").expect("a String takes everything");
            }
        } else {
            safe.push(character);
        }
    }
    safe
}
