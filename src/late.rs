//! Values that were packed in an earlier run, and are unpacked when somebody looks at them.

use std::fmt;
use std::ops::{Deref, DerefMut, Range};
use std::sync::{Arc, OnceLock};

use serde::de::DeserializeOwned;
use serde::{Deserialize, Deserializer, Serialize, Serializer};

/// A value, or what it was packed as until somebody looks at it. Copies of what was packed share what is
/// unpacked.
pub enum Late<T> {
    /// It is there.
    Here(T),
    /// It was packed, and is unpacked once.
    Packed(Arc<Packed<T>>),
}

/// What a value was packed as, among others.
pub struct Packed<T> {
    value: OnceLock<T>,
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

impl<T: DeserializeOwned> Late<T> {
    fn of(bytes: &Arc<[u8]>, place: Range<usize>) -> Self {
        let (value, bytes) = (OnceLock::new(), Arc::clone(bytes));
        Self::Packed(Arc::new(Packed { value, bytes, place, unpack }))
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
        Self::Here(value)
    }
}

impl<T> Deref for Late<T> {
    type Target = T;
    fn deref(&self) -> &T {
        match self {
            Self::Here(value) => value,
            Self::Packed(packed) => {
                let Packed { value, bytes, place, unpack } = &**packed;
                value.get_or_init(|| unpack(&bytes[place.clone()]))
            }
        }
    }
}

impl<T: Clone> DerefMut for Late<T> {
    fn deref_mut(&mut self) -> &mut T {
        if let Self::Packed(_) = self {
            *self = Self::Here(T::clone(self));
        }
        match self {
            Self::Here(value) => value,
            Self::Packed(_) => unreachable!("it was put here"),
        }
    }
}

impl<T: Clone> Clone for Late<T> {
    fn clone(&self) -> Self {
        match self {
            Self::Here(value) => Self::Here(value.clone()),
            Self::Packed(packed) => Self::Packed(Arc::clone(packed)),
        }
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

    fn is_packed(word: &Late<String>) -> bool {
        matches!(word, Late::Packed(packed) if packed.value.get().is_none())
    }

    #[test]
    fn what_is_looked_at_is_unpacked_and_nothing_else() {
        let bytes = packed(&["plate", "", "felt"]);
        let Words(mut words) = postcard::from_bytes(&bytes).expect("it was packed");
        assert!(words.iter().all(is_packed));
        let copy = words.clone();
        assert_eq!(*words[2], "felt");
        words[0].push('s');
        assert_eq!(words.iter().map(is_packed).collect::<Vec<_>>(), [false, true, false]);
        let shown = [&words[0], &copy[0], &copy[1]].map(|word| word.as_str());
        assert_eq!(shown, ["plates", "plate", ""]);
    }

    #[test]
    fn copies_share_what_is_unpacked() {
        let Words(words) = postcard::from_bytes(&packed(&["plate"])).expect("it was packed");
        let copy = words.clone();
        assert!(std::ptr::eq(&raw const *words[0], &raw const *copy[0]));
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
