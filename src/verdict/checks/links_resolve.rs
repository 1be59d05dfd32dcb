//! `links-resolve`: what the documents point to is there.

use super::{Check, Context, finding};
use crate::diagnostic::{Code, Span};
use crate::fileset::RepoPath;
use crate::verdict::Finding;
use crate::verdict::documents::written;
use crate::verdict::markdown::{self, Link};

pub(super) const CHECK: Check = Check {
    code: Code("links-resolve"),
    title: "The links of the documents lead somewhere",
    doc: "Links and images of the manifest's documents that lead to a file or folder of the \
          repository lead to one that is there; a leading `/` is the repository's root. Links to \
          other places are not followed, and neither are headings looked for.",
    waivable: true,
    run,
};

fn run(context: &Context<'_>) -> Vec<Finding> {
    let mut found: Vec<Finding> = Vec::new();
    for (_, path) in written(context.design) {
        let text = context.documents.text(path).unwrap_or_default();
        let dead = markdown::links(&text).into_iter().filter(|link| !leads(context, path, link));
        for Link { line, target } in dead {
            let told = Finding {
                place: Some((path.clone(), Span::default())),
                remedy: Some(format!("correct the link in line {line} of `{path}`")),
                ..finding(CHECK.code, format!("`{path}`, line {line}: `{target}` leads nowhere"))
            };
            if found.last() != Some(&told) {
                found.push(told);
            }
        }
    }
    found
}

fn leads(context: &Context<'_>, from: &RepoPath, link: &Link) -> bool {
    let (folder, target) = match link.target.strip_prefix('/') {
        Some(rest) => (RepoPath::default(), rest),
        None => (from.folder(), link.target.as_str()),
    };
    let steps: Vec<&str> = target.split('/').filter(|step| !matches!(*step, "" | ".")).collect();
    if steps.iter().all(|step| *step == "..") {
        // The folder itself, or one above it.
        let depth = folder.as_bstr().split(|byte| *byte == b'/').filter(|step| !step.is_empty());
        return steps.len() <= depth.count();
    }
    folder.join(target.as_bytes()).is_some_and(|path| context.documents.holds(&path))
}

#[cfg(test)]
mod tests {
    use crate::fixture::MANIFEST;
    use crate::verdict::tests::found;

    fn with(text: &str) -> Vec<String> {
        let text = format!(
            "\n== tagworthy.toml\n{MANIFEST}docs = {{ assembly = \"docs/build.md\" }}\n\
             \n== p.toml\n[part.scanner]\norigin = \"bought\"\n\
             \n== docs/build.md\n{text}\n== docs/pictures/lid.png\n\n== README.md\n[dead](none)\n"
        );
        found("links-resolve", &text, "1.0.0")
    }

    #[test]
    fn links_to_files_and_folders_of_the_repository_are_followed() {
        assert_eq!(
            with(
                "[a](../README.md#top) ![b](pictures/lid.png) [c](pictures/) [d](/README.md) [e](.) [f](..)"
            ),
            [""; 0]
        );
        assert_eq!(with("[a](https://lantern.example/none) [b](#none)"), [""; 0]);
    }

    #[test]
    fn a_link_that_leads_nowhere_is_named_with_its_line() {
        assert_eq!(
            with("# Build\n\n[a](README.md)"),
            ["`docs/build.md`, line 3: `README.md` leads nowhere"]
        );
        assert_eq!(with("[a](../../README.md) [b](../..)").len(), 2, "out of the repository");
    }
}
