//! The licence file and the licence expression agree.

use std::collections::BTreeSet;

use bstr::ByteSlice;
use spdx::{Expression, LicenseReq};

use super::{Check, Context, Entries, finding, place};
use crate::design::Design;
use crate::diagnostic::Code;
use crate::fileset::{Mode, RepoPath};
use crate::verdict::Finding;
use crate::verdict::documents::LICENSE;

pub(super) const CHECK: Check = Check {
    code: Code("licence"),
    title: "The licence file and the licence expression agree",
    doc: "The manifest names a licence by an SPDX expression, and a file holds either the tag \
          `SPDX-License-Identifier:` with an expression that means the same, or the text of every \
          licence in it. The file is the document `license` of the manifest, or else those beside \
          the manifest whose names begin with LICENSE, LICENCE or COPYING. Texts are compared word \
          by word without case and punctuation; nine words of ten have to agree.",
    waivable: true,
    run,
};

/// The tag of the SPDX specification.
const TAG: &str = "SPDX-License-Identifier:";

/// The files that the licence can stand in, in the order of paths.
pub(super) fn demands(design: &Design, entries: &Entries) -> Vec<RepoPath> {
    let files = entries.iter().filter(|(_, entry)| entry.mode == Mode::File);
    files.map(|(path, _)| path).filter(|path| is_licence_file(design, path)).cloned().collect()
}

/// Whether the file at `path` is one that the licence can stand in.
fn is_licence_file(design: &Design, path: &RepoPath) -> bool {
    match design.docs.iter().find(|(role, _)| role == LICENSE) {
        Some((_, named)) => named.found.iter().any(|(found, _)| found == path),
        None => {
            let name = path.file_name().to_ascii_uppercase();
            let is_one = ["LICENSE", "LICENCE", "COPYING"].iter().any(|s| name.starts_with_str(s));
            is_one && path.folder() == design.manifest_path.folder()
        }
    }
}

fn run(context: &Context<'_>) -> Vec<Finding> {
    problem(context).into_iter().collect()
}

fn problem(context: &Context<'_>) -> Option<Finding> {
    let design = context.design;
    let Some(license) = &design.manifest.design.license else {
        return Some(Finding {
            remedy: Some("add license = \"…\" with an SPDX expression to [design]".to_owned()),
            ..finding(CHECK.code, "the manifest names no licence".to_owned())
        });
    };
    let expression = Expression::parse(license).ok()?;
    let documents = context.documents.texts.iter();
    let texts: Vec<String> = documents
        .filter(|(path, _)| is_licence_file(design, path))
        .map(|(_, bytes)| bytes.to_str_lossy().into_owned())
        .collect();
    let why = disagreement(&expression, &texts)?;
    Some(Finding {
        place: Some(place(&design.manifest_path, license)),
        remedy: Some(format!(
            "put the licence's text into a file LICENSE, or a line `{TAG} {}`",
            license.value
        )),
        ..finding(CHECK.code, why)
    })
}

/// Why the licence files do not show the expression, if they do not.
fn disagreement(expression: &Expression, texts: &[String]) -> Option<String> {
    if texts.is_empty() {
        return Some("there is no licence file".to_owned());
    }
    let tags: Vec<&str> = texts.iter().flat_map(|text| tags(text)).collect();
    let means_the_same =
        |tag: &&str| Expression::parse(tag).is_ok_and(|tag| same(&tag, expression));
    match tags.iter().find(|tag| !means_the_same(tag)) {
        Some(tag) => Some(format!("the licence file says `{tag}`, the manifest `{expression}`")),
        None if !tags.is_empty() || holds_texts(expression, texts) => None,
        None => Some(format!("the licence file does not hold the text of `{expression}`")),
    }
}

/// The expressions behind the tags of a text, which may stand in comments.
fn tags(text: &str) -> impl Iterator<Item = &str> {
    let behind = text.lines().filter_map(|line| Some(line.split_once(TAG)?.1));
    behind.map(|tag| tag.trim().trim_end_matches("-->").trim_end_matches("*/").trim())
}

/// The most licences in two expressions whose meanings are compared.
const COMPARED: usize = 12;

/// Whether two expressions are met by the same licences, however they are written; long ones have
/// to be written alike.
fn same(a: &Expression, b: &Expression) -> bool {
    let all: BTreeSet<&LicenseReq> =
        a.requirements().chain(b.requirements()).map(|required| &required.req).collect();
    if all.len() > COMPARED {
        return a.iter().eq(b.iter());
    }
    (0_u32..1 << all.len()).all(|choice| {
        let accepts = |required: &LicenseReq| {
            all.iter().position(|known| *known == required).is_some_and(|at| choice >> at & 1 == 1)
        };
        a.evaluate(accepts) == b.evaluate(accepts)
    })
}

/// The least share of three-word runs that texts of one licence have in common.
const AGREEMENT: f64 = 0.9;

/// Whether the files together are the texts of all licences in the expression.
fn holds_texts(expression: &Expression, texts: &[String]) -> bool {
    let required: BTreeSet<&LicenseReq> =
        expression.requirements().map(|required| &required.req).collect();
    let known = required.iter().map(|required| match required.addition {
        None => required.license.id().map(spdx::LicenseId::text),
        // What an exception adds can only be said by the tag.
        Some(_) => None,
    });
    let Some(known) = known.collect::<Option<Vec<&str>>>() else { return false };
    agreement(&known.join("\n").to_lowercase(), &texts.join("\n").to_lowercase()) >= AGREEMENT
}

/// Every run of three words, sorted.
fn runs(text: &str) -> Vec<[&str; 3]> {
    let words = text.split(|c: char| !c.is_alphanumeric()).filter(|word| !word.is_empty());
    let words: Vec<&str> = words.collect();
    let mut runs: Vec<[&str; 3]> = words.windows(3).map(|run| [run[0], run[1], run[2]]).collect();
    runs.sort_unstable();
    runs
}

/// The share of runs of three words that both texts have, of the longer one.
fn agreement(a: &str, b: &str) -> f64 {
    let (a, b) = (runs(a), runs(b));
    let longer = a.len().max(b.len());
    let (mut common, mut at, mut other) = (0_usize, 0, 0);
    while at < a.len() && other < b.len() {
        let order = a[at].cmp(&b[other]);
        common += usize::from(order.is_eq());
        at += usize::from(order.is_le());
        other += usize::from(order.is_ge());
    }
    if longer == 0 { 0.0 } else { common as f64 / longer as f64 }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::fixture::MANIFEST;
    use crate::verdict::tests::found;

    fn with(license: &str, files: &str) -> Vec<String> {
        let text = format!(
            "\n== tagworthy.toml\n{MANIFEST}license = \"{license}\"\n\
             \n== p.toml\n[part.scanner]\norigin = \"bought\"\n{files}"
        );
        found("licence", &text, "1.0.0")
    }

    fn text_of(license: &str) -> &'static str {
        spdx::license_id(license).expect("an identifier of the SPDX list").text()
    }

    #[test]
    fn the_tag_shows_the_licence() {
        let tag = "\n== LICENSE\nSPDX-License-Identifier: CERN-OHL-S-2.0\n";
        assert_eq!(with("CERN-OHL-S-2.0", tag), [""; 0]);
        assert_eq!(
            with("CERN-OHL-P-2.0", tag),
            ["the licence file says `CERN-OHL-S-2.0`, the manifest `CERN-OHL-P-2.0`"]
        );
        let either = "\n== COPYING.txt\n<!-- SPDX-License-Identifier: MIT OR Apache-2.0 -->\n";
        assert_eq!(with("Apache-2.0 OR MIT", either), [""; 0]);
        assert_eq!(with("Apache-2.0 AND MIT", either).len(), 1);
    }

    #[test]
    fn a_design_without_a_licence_file_has_none() {
        assert_eq!(with("CERN-OHL-S-2.0", ""), ["there is no licence file"]);
        let elsewhere = "\n== docs/LICENSE\nSPDX-License-Identifier: CERN-OHL-S-2.0\n";
        assert_eq!(with("CERN-OHL-S-2.0", elsewhere), ["there is no licence file"]);
        let unnamed = found("licence", "[part.scanner]\norigin = \"bought\"\n", "1.0.0");
        assert_eq!(unnamed, ["the manifest names no licence"]);
    }

    #[test]
    fn the_text_shows_the_licence_however_it_is_wrapped() {
        let wrapped = text_of("CERN-OHL-S-2.0").split_whitespace().collect::<Vec<_>>().join("\n");
        let file = format!("\n== LICENSE\nLantern, 2026\n{}", wrapped.to_uppercase());
        assert_eq!(with("CERN-OHL-S-2.0", &file), [""; 0]);
        assert_eq!(
            with("CERN-OHL-W-2.0", &file),
            ["the licence file does not hold the text of `CERN-OHL-W-2.0`"]
        );
    }

    #[test]
    fn two_licences_need_both_texts() {
        let (mit, apache) = (text_of("MIT"), text_of("Apache-2.0"));
        let both = format!("\n== LICENSE-APACHE\n{apache}\n== LICENSE-MIT\n{mit}\n");
        assert_eq!(with("MIT OR Apache-2.0", &both), [""; 0]);
        assert_eq!(with("MIT OR Apache-2.0", &format!("\n== LICENSE\n{mit}")).len(), 1);
    }

    /// One is the other with a third clause.
    #[test]
    fn a_text_that_holds_another_one_is_not_that() {
        let three = format!("\n== LICENSE\n{}", text_of("BSD-3-Clause"));
        assert_eq!(with("BSD-2-Clause", &three).len(), 1);
        assert_eq!(with("BSD-3-Clause", &three), [""; 0]);
    }

    /// The SPDX licence list, as the specification's site shows it.
    #[test]
    fn identifiers_of_open_hardware_are_those_of_the_spdx_list() {
        let valid = [
            "CERN-OHL-S-2.0",
            "CERN-OHL-W-2.0",
            "CERN-OHL-P-2.0",
            "CERN-OHL-1.2",
            "TAPR-OHL-1.0",
            "Apache-2.0 WITH SHL-2.1",
        ];
        for expression in valid {
            assert!(Expression::parse(expression).is_ok(), "{expression}");
        }
        for expression in ["CERN-OHL-S", "CERN-OHL-2.0", "SHL-2.1"] {
            assert!(Expression::parse(expression).is_err(), "{expression}");
        }
    }
}
