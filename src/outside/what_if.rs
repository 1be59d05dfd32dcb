//! A state with changes that nobody made: tried out on the text of its records, and no file touched.

use std::sync::Arc;

use super::manifests::find_manifest;
use super::{Failure, Loader, Manner, State, World};
use crate::assess::{self, Parses};
use crate::cli::WhatIfArgs;
use crate::design::{Design, PartIx};
use crate::diagnostic::{Severity, did_you_mean};
use crate::edit::{EditError, Value, free_id, set_in_list, set_keys};
use crate::fileset::{ContentKey, Entry, FileSet, Mode, RepoPath};
use crate::git::At;
use crate::parse::Role;
use crate::record::{Id, Offer, Part};
use crate::report::Place;

impl Loader<'_> {
    /// The design at a state, and the same with the changes of `what_if`.
    ///
    /// # Errors
    /// [`Failure`] where git could not read the state, where its records cannot be read, and where a
    /// change would leave them so: it points into the argument.
    pub fn what_if(
        &mut self,
        at: &At,
        what_if: &WhatIfArgs,
        manner: &Manner,
        world: &World,
    ) -> Result<(State, State), Failure> {
        let mut snapshot = self.repository.snapshot(at)?;
        let wanted = manner.design.as_deref();
        let manifest = find_manifest(snapshot.entries(), self.repository.prefix(), wanted)?;
        let was = self.design(&mut snapshot, &manifest, at, world)?;
        let design = was.linked.design.clone().ok_or_else(|| was.unreadable())?;
        let mut trial = Trial::of(was.files.clone(), design, &self.parses);
        let arguments = arguments(what_if);
        for argument in &arguments {
            trial.try_out(argument)?;
        }
        let names: Vec<String> = arguments.iter().map(Argument::name).collect();
        let (files, design) = (trial.files, trial.tried);
        let place = Place::WhatIf(names.join(", "));
        let is = self.state_with(&was, files, design, place, &mut snapshot)?;
        Ok((was, is))
    }
}

/// One change, as it was typed.
struct Argument<'a> {
    option: &'static str,
    text: &'a str,
}

fn arguments(what_if: &WhatIfArgs) -> Vec<Argument<'_>> {
    let options = [("--set", &what_if.set), ("--swap", &what_if.swap), ("--drop", &what_if.drop)];
    let all = options.into_iter().flat_map(|(option, texts)| {
        texts.iter().map(move |text| Argument { option, text: text.trim() })
    });
    all.collect()
}

impl<'a> Argument<'a> {
    /// How a headline names the change.
    fn name(&self) -> String {
        match (self.option, self.text.split_once('=')) {
            ("--swap", Some((old, new))) => format!("{} for {}", new.trim(), old.trim()),
            ("--drop", _) => format!("no {}", self.text),
            _ => self.text.to_owned(),
        }
    }

    /// What stands on both sides of the first equals sign.
    fn sides(&self, form: &str) -> Result<(&'a str, &'a str), Failure> {
        let sides = self.text.split_once('=').map(|(left, right)| (left.trim(), right.trim()));
        let sides = sides.filter(|(left, right)| !left.is_empty() && !right.is_empty());
        sides.ok_or_else(|| self.refused(&format!("this is no {form}"), None))
    }

    /// Why it cannot be tried out, with a mark below the word that the message quotes, else below all
    /// of it.
    fn refused(&self, message: &str, hint: Option<&str>) -> Failure {
        let quoted = message.split('`').nth(1).filter(|word| !word.is_empty());
        let marked = quoted.and_then(|word| Some((self.text.rfind(word)?, word)));
        let (start, marked) = marked.unwrap_or((0, self.text));
        let before = self.option.len() + 1 + self.text[..start].chars().count();
        let mark = "^".repeat(marked.chars().count().max(1));
        let hint = hint.map(|hint| format!("\n{hint}")).unwrap_or_default();
        let (option, text, blanks) = (self.option, self.text, " ".repeat(before));
        Failure::new(format!("{message}\n  {option} {text}\n  {blanks}{mark}{hint}"))
    }
}

/// The records of a design with changes in them.
struct Trial<'p> {
    files: FileSet,
    /// As the records have it.
    design: Arc<Design>,
    /// As it is with the changes so far.
    tried: Arc<Design>,
    /// The variant that parts are swapped and dropped in; nobody wrote it down.
    variant: Id,
    drop: Vec<String>,
    swap: Vec<(String, Value)>,
    /// The manifest without that variant.
    manifest: Option<String>,
    parses: &'p Parses,
}

impl<'p> Trial<'p> {
    fn of(files: FileSet, design: Arc<Design>, parses: &'p Parses) -> Self {
        let is_taken = |id: &str| design.variants.iter().any(|known| known.id.as_str() == id);
        let variant = free_id(&Id::from("what-if"), is_taken);
        let tried = Arc::clone(&design);
        let (drop, swap) = (Vec::new(), Vec::new());
        Self { files, design, tried, variant, drop, swap, manifest: None, parses }
    }

    /// Makes one more change; the records can be read with it.
    fn try_out(&mut self, argument: &Argument<'_>) -> Result<(), Failure> {
        match argument.option {
            "--set" => self.set(argument)?,
            "--swap" => {
                let (old, new) = argument.sides("OLD=NEW, as in lid=oak-lid")?;
                self.part(old, argument)?;
                self.part(new, argument)?;
                self.swap.push((old.to_owned(), Value::text(new)));
                self.write_variant()?;
            }
            _ => {
                self.drop.push(argument.text.to_owned());
                self.write_variant()?;
            }
        }
        self.link(argument)
    }

    fn set(&mut self, argument: &Argument<'_>) -> Result<(), Failure> {
        let (name, value) = argument.sides("PART.KEY=VALUE, as in led-panel.mass=500 g")?;
        let (part, key) = name
            .split_once('.')
            .ok_or_else(|| argument.refused(&format!("what of `{name}` is to be set?"), None))?;
        let part = self.part(part, argument)?;
        let path = self.design.record(part).path.clone();
        let is_manifest = path == self.design.manifest_path;
        let role = if is_manifest { Role::Manifest } else { Role::Records };
        let text = set(&self.text(&path)?, role, (&self.design, part), key, &value_of(value));
        let text = text.map_err(|error| match &error {
            EditError::Wrong(wrong) => argument.refused(&wrong.message, wrong.hint.as_deref()),
            other => argument.refused(&other.to_string(), None),
        })?;
        self.write(&path, &text);
        Ok(())
    }

    /// The part of this id, which `argument` names.
    fn part(&self, id: &str, argument: &Argument<'_>) -> Result<PartIx, Failure> {
        self.design.part(id).ok_or_else(|| {
            let hint = did_you_mean(id, self.design.parts.iter().map(|part| part.id.as_str()));
            argument.refused(&format!("there is no part `{id}`"), hint.as_deref())
        })
    }

    /// Writes the variant below the manifest.
    fn write_variant(&mut self) -> Result<(), Failure> {
        let path = self.design.manifest_path.clone();
        let manifest = match &self.manifest {
            Some(manifest) => manifest.clone(),
            None => self.text(&path)?,
        };
        let (variant, drop) = (&self.variant, Value::texts(&self.drop));
        let swap = Value::Table(self.swap.clone());
        let text = format!("{manifest}\n[variant.{variant}]\ndrop = {drop}\nswap = {swap}\n");
        self.manifest = Some(manifest);
        self.write(&path, &text);
        Ok(())
    }

    fn text(&self, path: &RepoPath) -> Result<String, Failure> {
        let bytes = self.files.bytes(path).map_or(&[][..], |bytes| bytes);
        let text = std::str::from_utf8(bytes);
        let text = text.map_err(|error| Failure::new(format!("{path} is no text: {error}")))?;
        Ok(text.to_owned())
    }

    fn write(&mut self, path: &RepoPath, text: &str) {
        // No object has an id as short as this, so that nothing else is taken for this content.
        let number = self.files.contents.len() as u64;
        let key = ContentKey::new(&number.to_be_bytes());
        let entry = Entry { key, mode: Mode::File };
        Arc::make_mut(&mut self.files.entries).insert(path.clone(), entry);
        self.files.contents.insert(key, text.as_bytes().into());
    }

    /// Links the records with the changes so far, of which `argument` is the last.
    fn link(&mut self, argument: &Argument<'_>) -> Result<(), Failure> {
        let linked = assess::read(&self.files, &self.design.manifest_path, self.parses);
        let Some(design) = linked.design else {
            let mut found = linked.diagnostics.iter().map(|located| &located.diagnostic);
            let error = found.find(|found| found.severity == Severity::Error);
            let message =
                error.map_or("the records cannot be read with it", |error| &error.message);
            let hint = error.and_then(|error| error.hint.as_deref());
            return Err(argument.refused(message, hint));
        };
        self.tried = match self.drop.is_empty() && self.swap.is_empty() {
            true => design,
            false => as_itself(&design, &self.variant),
        };
        Ok(())
    }
}

/// The variant `id` of a design, taken for the design itself.
fn as_itself(design: &Arc<Design>, id: &Id) -> Arc<Design> {
    let mut built = design.as_variant(id.as_str()).unwrap_or_else(|| Arc::clone(design));
    let itself = Arc::make_mut(&mut built);
    itself.variant = None;
    itself.variants.retain(|variant| variant.id.value != *id);
    built
}

/// A count where one was typed, else a text, as records have all quantities.
fn value_of(text: &str) -> Value {
    text.parse().map_or_else(|_| Value::text(text), Value::Count)
}

/// The text of a record file with another value at `key` of a part.
fn set(
    text: &str,
    role: Role,
    (design, part): (&Design, PartIx),
    key: &str,
    value: &Value,
) -> Result<String, EditError> {
    let record = design.record(part);
    let id = record.id.as_str();
    if let Some((offer, key)) = key.strip_prefix("offer.").and_then(|rest| rest.rsplit_once('.')) {
        let by = if is_code(&record.offers, offer) { "code" } else { "supplier" };
        return set_in_list(
            text,
            role,
            &["part", id],
            ("offer", by, offer),
            &[(key, value.clone())],
        );
    }
    let (tables, key) = match key.rsplit_once('.') {
        Some((tables, key)) => (tables.split('.').collect(), key),
        None => (holder(record, key).into_iter().collect(), key),
    };
    let path: Vec<&str> = ["part", id].into_iter().chain::<Vec<&str>>(tables).collect();
    set_keys(text, role, &path, &[(key, value.clone())])
}

fn is_code(offers: &[Offer], word: &str) -> bool {
    offers.iter().any(|offer| offer.code.as_ref().is_some_and(|code| code.value == word))
}

/// The table of a part's record that holds what the part calls `name`; none where it is a key of its
/// own.
fn holder(part: &Part, name: &str) -> Option<&'static str> {
    let has = |mut names: Box<dyn Iterator<Item = &Id> + '_>| names.any(|known| known == name);
    let named = [
        ("dimension", has(Box::new(part.dimensions.iter().map(|(name, _)| &name.value)))),
        ("setting", has(Box::new(part.settings.iter().map(|(name, _)| &name.value)))),
        ("value", has(Box::new(part.values.iter().map(|(name, _)| &name.value)))),
        ("formula", has(Box::new(part.formulas.iter().map(|(name, _)| &name.value)))),
    ];
    named.into_iter().find(|(_, has)| *has).map(|(table, _)| table)
}
