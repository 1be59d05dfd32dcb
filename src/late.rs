//! Values that were packed in an earlier run, and are unpacked when somebody looks at them.

use std::fmt;
use std::ops::{Deref, DerefMut, Range};
use std::sync::{Arc, OnceLock};

use serde::de::DeserializeOwned;
use serde::{Deserialize, Deserializer, Serialize, Serializer};

/// A value, or what it was packed as until somebody looks at it.
pub struct Late<T> {
    value: OnceLock<T>,
    packed: Option<Packed<T>>,
}

/// What a value was packed as, among others.
struct Packed<T> {
    bytes: Arc<[u8]>,
    place: Range<usize>,
    unpack: fn(&[u8]) -> T,
}

/// Packed values, one behind the other, each with the place where it ends.
#[derive(Serialize, Deserialize)]
struct Row<'a> {
    ends: Vec<usize>,
    #[serde(borrow)]
    bytes: &'a [u8],
}

impl<T> Late<T> {
    fn looked_at(&self) -> &T {
        self.value.get_or_init(|| {
            let packed = self.packed.as_ref().expect("a value that is not packed is there");
            (packed.unpack)(&packed.bytes[packed.place.clone()])
        })
    }
}

impl<T: DeserializeOwned> Late<T> {
    fn of(bytes: &Arc<[u8]>, place: Range<usize>) -> Self {
        let packed = Packed { bytes: Arc::clone(bytes), place, unpack };
        Self { value: OnceLock::new(), packed: Some(packed) }
    }
}

/// Whoever hands over packed values has made sure that they are what was packed, in the same form.
fn unpack<T: DeserializeOwned>(bytes: &[u8]) -> T {
    postcard::from_bytes(bytes).expect("it was packed in this form, and nothing of it is damaged")
}

/// Writes values, so that [`unpacked_row`] reads them and unpacks none.
///
/// # Errors
/// Those of the serializer, and where a value cannot be packed.
pub fn packed_row<'a, T: Serialize + 'a, S: Serializer>(
    values: impl Iterator<Item = &'a T>,
    serializer: S,
) -> Result<S::Ok, S::Error> {
    let (mut ends, mut bytes) = (Vec::new(), Vec::new());
    for value in values {
        bytes = postcard::to_extend(value, bytes).map_err(serde::ser::Error::custom)?;
        ends.push(bytes.len());
    }
    Row { ends, bytes: &bytes }.serialize(serializer)
}

/// The values that [`packed_row`] wrote.
///
/// # Errors
/// Those of the deserializer, and where the places of values are none.
pub fn unpacked_row<'de, T: DeserializeOwned, D: Deserializer<'de>>(
    deserializer: D,
) -> Result<Vec<Late<T>>, D::Error> {
    let Row { ends, bytes } = Row::deserialize(deserializer)?;
    let is_row = ends.is_sorted() && ends.last().is_none_or(|end| *end == bytes.len());
    if !is_row {
        return Err(serde::de::Error::custom("values end where there are none"));
    }
    let bytes: Arc<[u8]> = bytes.into();
    let starts = std::iter::once(0).chain(ends.iter().copied());
    Ok(starts.zip(&ends).map(|(start, end)| Late::of(&bytes, start..*end)).collect())
}

impl<T: Serialize> Serialize for Late<T> {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        packed_row(std::iter::once(&**self), serializer)
    }
}

impl<'de, T: DeserializeOwned> Deserialize<'de> for Late<T> {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        let mut row = unpacked_row(deserializer)?;
        row.pop().ok_or_else(|| serde::de::Error::custom("a value is missing"))
    }
}

impl<T> From<T> for Late<T> {
    fn from(value: T) -> Self {
        Self { value: value.into(), packed: None }
    }
}

impl<T> Deref for Late<T> {
    type Target = T;
    fn deref(&self) -> &T {
        self.looked_at()
    }
}

impl<T> DerefMut for Late<T> {
    fn deref_mut(&mut self) -> &mut T {
        self.looked_at();
        self.value.get_mut().expect("somebody looked at it")
    }
}

impl<T: Clone> Clone for Late<T> {
    /// What nobody looked at stays packed in both.
    fn clone(&self) -> Self {
        Self { value: self.value.clone(), packed: self.packed.clone() }
    }
}

impl<T> Clone for Packed<T> {
    fn clone(&self) -> Self {
        let Self { bytes, place, unpack } = self;
        Self { bytes: Arc::clone(bytes), place: place.clone(), unpack: *unpack }
    }
}

impl<T: Default> Default for Late<T> {
    fn default() -> Self {
        T::default().into()
    }
}

impl<T: PartialEq> PartialEq for Late<T> {
    fn eq(&self, other: &Self) -> bool {
        **self == **other
    }
}

impl<T: fmt::Debug> fmt::Debug for Late<T> {
    fn fmt(&self, formatter: &mut fmt::Formatter<'_>) -> fmt::Result {
        (**self).fmt(formatter)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A row of late values.
    #[derive(Deserialize)]
    struct Words(#[serde(deserialize_with = "unpacked_row")] Vec<Late<String>>);

    fn packed(words: &[&str]) -> Vec<u8> {
        let words: Vec<String> = words.iter().map(|word| (*word).to_owned()).collect();
        let mut serializer =
            postcard::Serializer { output: postcard::ser_flavors::AllocVec::new() };
        packed_row(words.iter(), &mut serializer).expect("words can be packed");
        postcard::ser_flavors::Flavor::finalize(serializer.output).expect("there is memory")
    }

    #[test]
    fn what_is_looked_at_is_unpacked_and_nothing_else() {
        let bytes = packed(&["plate", "", "felt"]);
        let Words(mut words) = postcard::from_bytes(&bytes).expect("it was packed");
        assert!(words.iter().all(|word| word.value.get().is_none()));
        assert_eq!(*words[2], "felt");
        let copy = words.clone();
        words[0].push('s');
        assert_eq!(
            words.iter().map(|word| word.value.get().is_some()).collect::<Vec<_>>(),
            [true, false, true]
        );
        assert_eq!(
            (words[0].as_str(), copy[0].as_str(), copy[1].as_str()),
            ("plates", "plate", "")
        );
    }

    #[test]
    fn a_damaged_row_is_an_error() {
        let bytes = packed(&["plate", "felt"]);
        for length in 0..bytes.len() {
            assert!(postcard::from_bytes::<Words>(&bytes[..length]).is_err(), "{length} bytes");
        }
        // The places where values end: 2 of them, at 6 and 11, or at 6 and 200.
        assert_eq!(bytes[..3], [2, 6, 11]);
        let mut other = bytes.clone();
        other[2] = 5;
        assert!(postcard::from_bytes::<Words>(&other).is_err());
    }
}
