//! The manifest of Open Know-How, as TOML.

use super::untrusted::one_line;
use crate::report::{OkhPart, OpenKnowHow};

/// The manifest as the text of a file `okh.toml`.
#[must_use]
pub fn okh(manifest: &OpenKnowHow) -> String {
    toml::to_string_pretty(&cleaned(manifest))
        .expect("a manifest has text keys, and plain values before tables")
}

/// The same with texts on one line, in which nothing acts on a terminal.
fn cleaned(manifest: &OpenKnowHow) -> OpenKnowHow {
    let texts = |texts: &[String]| texts.iter().map(|text| one_line(text)).collect();
    let some = |text: &Option<String>| text.as_deref().map(one_line);
    let part = |part: &OkhPart| OkhPart {
        name: one_line(&part.name),
        source: texts(&part.source),
        export: texts(&part.export),
        ..part.clone()
    };
    OpenKnowHow {
        name: one_line(&manifest.name),
        repo: one_line(&manifest.repo),
        license: one_line(&manifest.license),
        licensor: one_line(&manifest.licensor),
        function: one_line(&manifest.function),
        readme: some(&manifest.readme),
        contribution_guide: some(&manifest.contribution_guide),
        bom: some(&manifest.bom),
        manufacturing_instructions: some(&manifest.manufacturing_instructions),
        user_manual: some(&manifest.user_manual),
        part: manifest.part.iter().map(part).collect(),
        ..manifest.clone()
    }
}
