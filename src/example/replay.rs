//! Makes the changes of the history files again, one revision after the other.

use std::collections::BTreeSet;
use std::sync::Arc;

use super::script::{Change, Entry, Script};
use super::{Author, Files, HistoryError, Revision, Tag};
use crate::fileset::RepoPath;

/// Files of the example folder that a revision may copy, by their path there.
type Carried<'a> = &'a [(&'a str, &'a [u8])];

/// Every revision with all its files.
pub(super) fn replay(script: &Script, carried: Carried) -> Result<Vec<Revision>, HistoryError> {
    let mut revisions: Vec<Revision> = Vec::new();
    for entry in &script.revision {
        let next = revise(&revisions, entry, script, carried).map_err(|message| HistoryError {
            place: format!("revision `{}`", entry.name),
            message,
        })?;
        revisions.push(next);
    }
    Ok(revisions)
}

/// The revision that `entry` makes of those before it.
fn revise(
    before: &[Revision],
    entry: &Entry,
    script: &Script,
    carried: Carried,
) -> Result<Revision, String> {
    if before.iter().any(|revision| revision.name == entry.name) {
        return Err("the name is taken by an earlier revision".to_owned());
    }
    let (seconds, offset_seconds) = moment(entry)?;
    let parents = parents(before, entry)?;
    let mut files = parents.first().map_or_else(Files::new, |&parent| before[parent].files.clone());
    for position in brought_in(before, &parents) {
        edit(&mut files, &script.revision[position], carried)
            .map_err(|error| format!("bringing in `{}`: {error}", before[position].name))?;
    }
    edit(&mut files, entry, carried)?;
    let tag = entry.tag.as_ref();
    Ok(Revision {
        name: entry.name.clone(),
        parents,
        files,
        author: author(entry, script)?,
        seconds,
        offset_seconds,
        message: format!("{}\n\n{}\n", entry.subject, entry.body.trim_end()),
        tag: tag.map(|tag| Tag { name: tag.name.clone(), message: tag.message.clone() }),
        branch: entry.branch.clone(),
    })
}

/// The contributor that the revision names.
fn author(entry: &Entry, script: &Script) -> Result<Author, String> {
    let contributor = script
        .contributor
        .get(&entry.by)
        .ok_or_else(|| format!("no contributor is called `{}`", entry.by))?;
    Ok(Author { name: contributor.name.clone(), email: contributor.email.clone() })
}

/// Seconds since 1970 and the clock's offset from UTC in seconds.
fn moment(entry: &Entry) -> Result<(i64, i32), String> {
    let wrong = || format!("`on` is no time with an offset from UTC: {}", entry.on);
    let offset_minutes = match entry.on.offset.ok_or_else(wrong)? {
        toml::value::Offset::Z => 0,
        toml::value::Offset::Custom { minutes } => i32::from(minutes),
    };
    let time: jiff::Timestamp = entry.on.to_string().parse().map_err(|_| wrong())?;
    Ok((time.as_second(), offset_minutes * 60))
}

/// Positions of the revisions that the entry stands on: its branch's latest, or the one where the
/// branch begins; then the latest of the branch that it brings in.
fn parents(before: &[Revision], entry: &Entry) -> Result<Vec<usize>, String> {
    let own = match (latest(before, &entry.branch), &entry.onto) {
        (Some(_), Some(_)) => {
            return Err(format!("`onto` where branch `{}` goes on", entry.branch));
        }
        (Some(latest), None) => Some(latest),
        (None, Some(name)) => Some(named(before, name)?),
        (None, None) if before.is_empty() => None,
        (None, None) => return Err(format!("branch `{}` begins without `onto`", entry.branch)),
    };
    let merged = match &entry.merges {
        Some(branch) => Some(
            latest(before, branch).ok_or_else(|| format!("no branch `{branch}` to bring in"))?,
        ),
        None => None,
    };
    Ok(own.into_iter().chain(merged).collect())
}

fn latest(before: &[Revision], branch: &str) -> Option<usize> {
    before.iter().rposition(|revision| revision.branch == branch)
}

fn named(before: &[Revision], name: &str) -> Result<usize, String> {
    before
        .iter()
        .position(|revision| revision.name == name)
        .ok_or_else(|| format!("no earlier revision is called `{name}`"))
}

/// Revisions that a merge adds to its branch, in the order in which they were made; none without
/// a second parent.
fn brought_in(before: &[Revision], parents: &[usize]) -> Vec<usize> {
    let [own, merged] = parents else { return Vec::new() };
    let known = lineage(before, *own);
    lineage(before, *merged).difference(&known).copied().collect()
}

/// A revision and all that came before it.
fn lineage(before: &[Revision], last: usize) -> BTreeSet<usize> {
    let mut found = BTreeSet::from([last]);
    for position in (0..=last).rev() {
        if found.contains(&position) {
            found.extend(&before[position].parents);
        }
    }
    found
}

/// Makes the changes of one revision.
fn edit(files: &mut Files, entry: &Entry, carried: Carried) -> Result<(), String> {
    for path in &entry.remove {
        files.remove(&RepoPath::from(path.as_str())).ok_or_else(|| missing("remove", path))?;
    }
    for (path, text) in &entry.new {
        if files.insert(RepoPath::from(path.as_str()), text.as_bytes().into()).is_some() {
            return Err(format!("new: `{path}` is there already"));
        }
    }
    for change in &entry.change {
        let text = text_of(files, "change", &change.file)?;
        files.insert(RepoPath::from(change.file.as_str()), replaced(&text, change)?);
    }
    for (path, text) in &entry.add {
        let longer = text_of(files, "add", path)? + text;
        files.insert(RepoPath::from(path.as_str()), longer.into_bytes().into());
    }
    for copy in &entry.copy {
        let (_, bytes) = carried
            .iter()
            .find(|(path, _)| *path == copy.from)
            .ok_or_else(|| format!("copy: `{}` is not carried with the program", copy.from))?;
        files.insert(RepoPath::from(copy.file.as_str()), Arc::from(*bytes));
    }
    Ok(())
}

/// The text of a file that a change needs.
fn text_of(files: &Files, edit: &str, path: &str) -> Result<String, String> {
    let bytes = files.get(&RepoPath::from(path)).ok_or_else(|| missing(edit, path))?;
    String::from_utf8(bytes.to_vec()).map_err(|_| format!("{edit}: `{path}` is not text"))
}

fn missing(edit: &str, path: &str) -> String {
    format!("{edit}: there is no `{path}`")
}

/// The text with the one place changed.
fn replaced(text: &str, change: &Change) -> Result<Arc<[u8]>, String> {
    let Change { file, was, is } = change;
    match text.matches(was.as_str()).count() {
        1 => Ok(text.replacen(was.as_str(), is, 1).into_bytes().into()),
        0 => Err(format!("change: `{file}` does not hold {was:?}")),
        times => Err(format!("change: `{file}` holds {was:?} {times} times")),
    }
}

#[cfg(test)]
#[allow(clippy::unwrap_used, reason = "a test that cannot go on fails")]
mod tests {
    use super::super::script;
    use super::*;

    const FIRST: &str = "
        [contributor.ada]
        name  = 'Ada'
        email = 'ada@example.org'
        [[revision]]
        name = 'first'
        on = 2026-01-11T16:20:00+01:00
        by = 'ada'
        subject = 'Begin'
        body = 'Why not.'
        new = { 'a.txt' = 'one two two' }
    ";

    /// The text of `a.txt` at every revision, or what is wrong.
    fn texts(more: &str) -> Result<Vec<String>, String> {
        let text = format!("{FIRST}{more}");
        let script = script::read(&[("h.toml", &text)]).map_err(|error| error.to_string())?;
        let revisions =
            replay(&script, &[("m.stl", b"solid")]).map_err(|error| error.to_string())?;
        let path = RepoPath::from("a.txt");
        let text_at = |revision: &Revision| match revision.files.get(&path) {
            Some(bytes) => String::from_utf8_lossy(bytes).into_owned(),
            None => "gone".to_owned(),
        };
        Ok(revisions.iter().map(text_at).collect())
    }

    /// A second revision with these lines of its own.
    fn second(lines: &str) -> String {
        revision("second", lines)
    }

    fn revision(name: &str, lines: &str) -> String {
        format!(
            "[[revision]]\nname = '{name}'\non = 2026-01-12T16:20:00Z\nby = 'ada'\n\
             subject = 'Go on'\nbody = ''\n{lines}\n"
        )
    }

    #[test]
    fn changes_are_made_one_after_the_other() {
        let more = second(
            "change = [{ file = 'a.txt', was = 'one', is = 'three' }]\nadd = { 'a.txt' = '!' }",
        );
        assert_eq!(texts(&more).unwrap(), ["one two two", "three two two!"]);
        assert_eq!(texts(&second("remove = ['a.txt']")).unwrap(), ["one two two", "gone"]);
        let more = second("copy = [{ file = 'a.txt', from = 'm.stl' }]");
        assert_eq!(texts(&more).unwrap(), ["one two two", "solid"]);
    }

    #[test]
    fn a_merge_makes_the_branch_s_changes_again() {
        let more = revision(
            "side",
            "branch = 'side'\nonto = 'first'\nchange = [{ file = 'a.txt', was = 'one', is = '1' }]",
        ) + &revision("main-goes-on", "add = { 'a.txt' = ' three' }")
            + &revision("merge", "merges = 'side'");
        let expected = ["one two two", "1 two two", "one two two three", "1 two two three"];
        assert_eq!(texts(&more).unwrap(), expected);
    }

    #[test]
    fn a_clash_in_a_merge_names_both_revisions() {
        let change = |word| format!("change = [{{ file = 'a.txt', was = 'one', is = '{word}' }}]");
        let more = revision("side", &format!("branch = 'side'\nonto = 'first'\n{}", change("1")))
            + &revision("main-goes-on", &change("uno"))
            + &revision("merge", "merges = 'side'");
        assert_eq!(
            texts(&more).unwrap_err(),
            r#"revision `merge`: bringing in `side`: change: `a.txt` does not hold "one""#
        );
    }

    #[test]
    fn what_does_not_fit_is_named() {
        let wrong = [
            (
                "change = [{ file = 'a.txt', was = 'two', is = '2' }]",
                r#"change: `a.txt` holds "two" 2 times"#,
            ),
            ("add = { 'b.txt' = '!' }", "add: there is no `b.txt`"),
            ("remove = ['b.txt']", "remove: there is no `b.txt`"),
            ("new = { 'a.txt' = '' }", "new: `a.txt` is there already"),
            (
                "copy = [{ file = 'b.stl', from = 'b.stl' }]",
                "copy: `b.stl` is not carried with the program",
            ),
            ("branch = 'side'", "branch `side` begins without `onto`"),
            ("onto = 'first'", "`onto` where branch `main` goes on"),
            ("branch = 'side'\nonto = 'third'", "no earlier revision is called `third`"),
            ("merges = 'side'", "no branch `side` to bring in"),
        ];
        for (lines, message) in wrong {
            let expected = format!("revision `second`: {message}");
            assert_eq!(texts(&second(lines)).unwrap_err(), expected);
        }
        assert_eq!(
            texts(&revision("first", "")).unwrap_err(),
            "revision `first`: the name is taken by an earlier revision"
        );
    }

    #[test]
    fn an_unknown_key_is_an_error_with_its_place() {
        let error = texts(&second("colour = 'red'")).unwrap_err();
        assert!(error.starts_with("h.toml: TOML parse error at line 18"), "{error}");
        assert!(error.contains("unknown field `colour`"), "{error}");
    }

    #[test]
    fn a_time_without_an_offset_is_refused() {
        let more = second("").replace("16:20:00Z", "16:20:00");
        assert_eq!(
            texts(&more).unwrap_err(),
            "revision `second`: `on` is no time with an offset from UTC: 2026-01-12T16:20:00"
        );
    }

    #[test]
    fn times_are_counted_from_1970_in_utc() {
        let script = script::read(&[("h.toml", FIRST)]).unwrap();
        let revisions = replay(&script, &[]).unwrap();
        // `date --date='2026-01-11T16:20:00+01:00' +%s`
        assert_eq!((revisions[0].seconds, revisions[0].offset_seconds), (1_768_144_800, 3600));
    }
}
