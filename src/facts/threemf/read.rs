//! The package and its XML, into a [`Model`].

use std::borrow::Cow;
use std::collections::BTreeMap;
use std::io::{BufReader, Cursor};

use quick_xml::Reader;
use quick_xml::events::{BytesStart, Event};
use zip::ZipArchive;

use super::{IN_PLACE, Model, Object, ObjectId, Placed, Transform};
use crate::facts::{Refusal, refuse};

/// How many bytes of XML a package may unpack to: some ten million triangles.
const MAX_UNPACKED_BYTES: u64 = 1 << 30;

const TOO_LARGE: &str = "it unpacks to more than 1 GiB";

const RELATIONSHIPS: &str = "_rels/.rels";
const MODEL_TYPE: &str = "/3dmodel";

impl Model {
    /// Reads the root model of the package, and the files that its components name.
    pub(in crate::facts) fn read(bytes: &[u8]) -> Result<Self, Refusal> {
        let mut package = Package::open(bytes)?;
        let root = package.root()?;
        let mut model = Self { unit_m: 1e-3, objects: BTreeMap::new(), build: Vec::new() };
        let mut wanted = vec![root.clone()];
        let mut seen = wanted.clone();
        while let Some(file) = wanted.pop() {
            let part = package.model(&file)?;
            if file == root {
                (model.unit_m, model.build) = (part.unit_m, part.build);
            } else if part.unit_m != model.unit_m {
                return refuse(format!("`{file}` has another unit than the rest"));
            }
            let placed = part.objects.values().flat_map(|object| &object.components);
            let mut named: Vec<String> =
                placed.chain(&model.build).map(|placed| placed.object.file.clone()).collect();
            named.retain(|file| !seen.contains(file));
            named.sort();
            named.dedup();
            seen.extend_from_slice(&named);
            wanted.extend(named);
            model.objects.extend(part.objects);
        }
        Ok(model)
    }
}

struct Package<'a> {
    archive: ZipArchive<Cursor<&'a [u8]>>,
    may_unpack_bytes: u64,
}

impl<'a> Package<'a> {
    fn open(bytes: &'a [u8]) -> Result<Self, Refusal> {
        match ZipArchive::new(Cursor::new(bytes)) {
            Ok(archive) => Ok(Self { archive, may_unpack_bytes: MAX_UNPACKED_BYTES }),
            Err(error) => refuse(format!("its ZIP package can't be read: {error}")),
        }
    }

    /// The file that the package names as its model.
    fn root(&mut self) -> Result<String, Refusal> {
        let mut root = None;
        self.read_xml(RELATIONSHIPS, |event| {
            if let Xml::Begin(tag) = event
                && tag.local_name().as_ref() == "Relationship"
                && attribute(tag, "Type")?.is_some_and(|kind| kind.ends_with(MODEL_TYPE))
            {
                root = attribute(tag, "Target")?.map(Cow::into_owned);
            }
            Ok(())
        })?;
        match root {
            Some(path) => Ok(path.trim_start_matches('/').to_owned()),
            None => refuse("its package names no 3D model"),
        }
    }

    fn model(&mut self, file: &str) -> Result<ModelFile, Refusal> {
        let mut reading = ModelFile::new(file);
        self.read_xml(file, |event| match event {
            Xml::Begin(tag) => reading.begin(tag),
            Xml::End(name) => reading.end(name),
        })?;
        Ok(reading)
    }

    /// Hands the tags of one file to `sink`.
    fn read_xml(
        &mut self,
        file: &str,
        mut sink: impl FnMut(&Xml<'_>) -> Result<(), Refusal>,
    ) -> Result<(), Refusal> {
        let wrong = |error: &dyn std::fmt::Display| Refusal(format!("`{file}` in it: {error}"));
        let content = self.archive.by_name(file).map_err(|error| wrong(&error))?;
        // The library unpacks no more than the package says, and tells where there is more.
        let bytes = content.size();
        if bytes >= self.may_unpack_bytes {
            return refuse(TOO_LARGE);
        }
        let mut reader = Reader::from_reader(BufReader::new(content));
        let mut buffer = Vec::new();
        loop {
            buffer.clear();
            let event = reader.read_event_into(&mut buffer);
            match event.map_err(|error| wrong(&error))? {
                Event::Start(tag) => sink(&Xml::Begin(&tag))?,
                Event::Empty(tag) => {
                    sink(&Xml::Begin(&tag))?;
                    sink(&Xml::End(tag.local_name().as_ref()))?;
                }
                Event::End(tag) => sink(&Xml::End(tag.local_name().as_ref()))?,
                Event::Eof => break,
                _ => {}
            }
        }
        self.may_unpack_bytes -= bytes;
        Ok(())
    }
}

enum Xml<'a> {
    Begin(&'a BytesStart<'a>),
    End(&'a str),
}

/// One model file of the package, as far as it was read.
struct ModelFile {
    file: String,
    unit_m: f64,
    objects: BTreeMap<ObjectId, Object>,
    build: Vec<Placed>,
    open: Option<(ObjectId, Object)>,
}

impl ModelFile {
    fn new(file: &str) -> Self {
        Self {
            file: file.to_owned(),
            unit_m: 1e-3,
            objects: BTreeMap::new(),
            build: Vec::new(),
            open: None,
        }
    }

    fn begin(&mut self, tag: &BytesStart<'_>) -> Result<(), Refusal> {
        let open = self.open.as_mut().map(|(_, object)| object);
        match (tag.local_name().as_ref(), open) {
            ("model", None) => self.unit_m = unit_m(attribute(tag, "unit")?.as_deref())?,
            ("object", None) => {
                let id = ObjectId { file: self.file.clone(), number: number(tag, "id")? };
                let kind = attribute(tag, "type")?.unwrap_or_default();
                let is_support = matches!(kind.as_ref(), "support" | "solidsupport");
                self.open = Some((id, Object { is_support, ..Object::default() }));
            }
            ("vertex", Some(object)) => {
                object.corners.push([number(tag, "x")?, number(tag, "y")?, number(tag, "z")?]);
            }
            ("triangle", Some(object)) => {
                object.triangles.push([number(tag, "v1")?, number(tag, "v2")?, number(tag, "v3")?]);
            }
            ("component", Some(object)) => object.components.push(placed(tag, &self.file)?),
            ("item", None) => self.build.push(placed(tag, &self.file)?),
            _ => {}
        }
        Ok(())
    }

    fn end(&mut self, name: &str) -> Result<(), Refusal> {
        if name != "object" {
            return Ok(());
        }
        let Some((id, object)) = self.open.take() else { return Ok(()) };
        let corners = object.corners.len();
        if object.triangles.as_flattened().iter().any(|&corner| corner as usize >= corners) {
            return refuse(format!(
                "object {} has a triangle at a corner that isn't there",
                id.number
            ));
        }
        self.objects.insert(id, object);
        Ok(())
    }
}

/// The object that a component or an item of the build places.
fn placed(tag: &BytesStart<'_>, file: &str) -> Result<Placed, Refusal> {
    let path = attribute(tag, "path")?;
    let file = path.as_deref().map_or(file, |path| path.trim_start_matches('/')).to_owned();
    let transform = match attribute(tag, "transform")? {
        Some(text) => transform(&text)?,
        None => IN_PLACE,
    };
    Ok(Placed { object: ObjectId { file, number: number(tag, "objectid")? }, transform })
}

fn transform(text: &str) -> Result<Transform, Refusal> {
    let values: Option<Vec<f64>> = text.split_whitespace().map(|word| word.parse().ok()).collect();
    let values = values.and_then(|values| Transform::try_from(values).ok());
    values.ok_or_else(|| Refusal("a transform is not twelve numbers".to_owned()))
}

/// Metres in a unit; the words are those of the specification, and `millimeter` is its default.
fn unit_m(word: Option<&str>) -> Result<f64, Refusal> {
    match word {
        None | Some("millimeter") => Ok(1e-3),
        Some("micron") => Ok(1e-6),
        Some("centimeter") => Ok(1e-2),
        Some("inch") => Ok(0.0254),
        Some("foot") => Ok(0.3048),
        Some("meter") => Ok(1.0),
        Some(other) => refuse(format!("its unit `{}` is unknown", other.escape_default())),
    }
}

fn number<T: std::str::FromStr>(tag: &BytesStart<'_>, name: &str) -> Result<T, Refusal> {
    let text = attribute(tag, name)?;
    text.as_deref()
        .and_then(|text| text.trim().parse().ok())
        .ok_or_else(|| Refusal(format!("a `{}` has no number `{name}`", tag.local_name().as_ref())))
}

/// The value of the attribute with the given local name.
fn attribute<'a>(tag: &'a BytesStart<'_>, name: &str) -> Result<Option<Cow<'a, str>>, Refusal> {
    for attribute in tag.attributes().with_checks(false) {
        let attribute = attribute.map_err(|error| Refusal(format!("its XML: {error}")))?;
        if attribute.key.local_name().as_ref() == name {
            return Ok(Some(attribute.value));
        }
    }
    Ok(None)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::facts::tests::model;

    #[test]
    fn a_package_that_unpacks_without_end_is_refused() {
        let bytes = model("", &" ".repeat(100_000));
        assert!(bytes.len() < 100_000 / 50);
        let mut package = Package::open(&bytes).expect("it is a package");
        package.may_unpack_bytes = 50_000;
        let refusal = package.model("3D/3dmodel.model").err();
        assert_eq!(refusal, Some(Refusal(TOO_LARGE.to_owned())));
    }

    /// The size is said in the directory at the end, 24 bytes behind its mark (APPNOTE.TXT 4.3.12).
    #[test]
    fn a_package_that_says_less_than_it_holds_is_refused() {
        let mut bytes = model("", &" ".repeat(100_000));
        let directory = bytes.windows(4).rposition(|mark| mark == b"PK\x01\x02").expect("one");
        bytes[directory + 24..][..4].copy_from_slice(&50_u32.to_le_bytes());
        let mut package = Package::open(&bytes).expect("it is a package");
        let refusal = package.model("3D/3dmodel.model").err().map(|Refusal(why)| why);
        assert!(refusal.is_some_and(|why| why.contains("larger than its declared")));
    }
}
