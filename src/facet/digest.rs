//! Digests, and how values are written into them: unambiguously, and by what they mean.

use std::fmt;
use std::ops::Range;

use rust_decimal::Decimal;
use semver::{Version, VersionReq};
use serde::Serialize;
use sha2::{Digest as _, Sha256};

use crate::diagnostic::At;
use crate::facts::GeometryKey;
use crate::fileset::ContentKey;
use crate::record::{Date, Id};

const LENGTH_BYTES: usize = 6;

/// As much as most facets say.
const USUAL_BYTES: usize = 512;

/// The first six bytes of the SHA-256 of everything that one facet of a part says.
///
/// Shown as twelve hexadecimal digits. Seals hold it, so the way in which values are written into it
/// is a promise: another way makes every result stale.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Digest([u8; LENGTH_BYTES]);

impl Digest {
    /// The digest of a facet of which the part says nothing.
    pub const NOTHING: Self = Self([0; LENGTH_BYTES]);

    /// Whether the part says nothing of the facet.
    #[must_use]
    pub fn is_nothing(self) -> bool {
        self == Self::NOTHING
    }

    /// The digest of `content`.
    pub(super) fn of(content: &impl Content) -> Self {
        let mut writer = Writer { bytes: Vec::with_capacity(USUAL_BYTES), says_something: false };
        content.write(&mut writer);
        if !writer.says_something {
            return Self::NOTHING;
        }
        let full = Sha256::digest(&writer.bytes);
        let mut digest = [0; LENGTH_BYTES];
        digest.copy_from_slice(&full[..LENGTH_BYTES]);
        Self(digest)
    }
}

impl fmt::Display for Digest {
    fn fmt(&self, formatter: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.0.iter().try_for_each(|byte| write!(formatter, "{byte:02x}"))
    }
}

impl fmt::Debug for Digest {
    fn fmt(&self, formatter: &mut fmt::Formatter<'_>) -> fmt::Result {
        fmt::Display::fmt(self, formatter)
    }
}

impl Serialize for Digest {
    fn serialize<S: serde::Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.collect_str(self)
    }
}

/// What can be written into a digest. Equal meaning writes equal bytes, other meaning others, and
/// no value's bytes are the beginning of another's of the same type.
pub(super) trait Content {
    fn write(&self, writer: &mut Writer);
}

/// The bytes that a digest is taken of.
#[derive(Default)]
pub(super) struct Writer {
    bytes: Vec<u8>,
    /// Whether there was anything besides absent values and empty lists.
    says_something: bool,
}

impl Writer {
    /// The number of a variant, or of the elements that follow.
    fn tag(&mut self, number: usize) {
        self.bytes.extend_from_slice(&(number as u64).to_le_bytes());
    }

    /// A value of any length.
    fn leaf(&mut self, bytes: &[u8]) {
        self.tag(bytes.len());
        self.bytes.extend_from_slice(bytes);
        self.says_something = true;
    }
}

/// Values whose order means nothing.
pub(super) struct AnyOrder<T>(pub(super) Vec<T>);

impl<T: Content> Content for AnyOrder<T> {
    fn write(&self, writer: &mut Writer) {
        writer.tag(self.0.len());
        if let [] | [_] = &self.0[..] {
            self.0.iter().for_each(|item| item.write(writer));
            return;
        }
        let mut apart = Writer::default();
        let place = |item: &T| {
            let start = apart.bytes.len();
            item.write(&mut apart);
            start..apart.bytes.len()
        };
        let mut places: Vec<Range<usize>> = self.0.iter().map(place).collect();
        places.sort_by(|a, b| apart.bytes[a.clone()].cmp(&apart.bytes[b.clone()]));
        places.into_iter().for_each(|item| writer.bytes.extend_from_slice(&apart.bytes[item]));
        writer.says_something |= apart.says_something;
    }
}

impl<T: Content> FromIterator<T> for AnyOrder<T> {
    fn from_iter<I: IntoIterator<Item = T>>(items: I) -> Self {
        Self(items.into_iter().collect())
    }
}

impl<T: Content> Content for Option<T> {
    fn write(&self, writer: &mut Writer) {
        writer.tag(usize::from(self.is_some()));
        if let Some(value) = self {
            value.write(writer);
        }
    }
}

impl<T: Content> Content for [T] {
    fn write(&self, writer: &mut Writer) {
        writer.tag(self.len());
        self.iter().for_each(|item| item.write(writer));
    }
}

impl<T: Content> Content for At<T> {
    fn write(&self, writer: &mut Writer) {
        self.value.write(writer);
    }
}

impl<T: Content + ?Sized> Content for &T {
    fn write(&self, writer: &mut Writer) {
        (**self).write(writer);
    }
}

macro_rules! tuples {
    ($(($($place:tt $type:ident),+);)*) => { $(
        impl<$($type: Content),+> Content for ($($type,)+) {
            fn write(&self, writer: &mut Writer) {
                $(self.$place.write(writer);)+
            }
        }
    )* };
}
tuples! {
    (0 A, 1 B);
    (0 A, 1 B, 2 C);
    (0 A, 1 B, 2 C, 3 D);
    (0 A, 1 B, 2 C, 3 D, 4 E);
    (0 A, 1 B, 2 C, 3 D, 4 E, 5 F);
    (0 A, 1 B, 2 C, 3 D, 4 E, 5 F, 6 G);
    (0 A, 1 B, 2 C, 3 D, 4 E, 5 F, 6 G, 7 H);
}

impl Content for str {
    fn write(&self, writer: &mut Writer) {
        writer.leaf(self.as_bytes());
    }
}

impl Content for String {
    fn write(&self, writer: &mut Writer) {
        self.as_str().write(writer);
    }
}

impl Content for Id {
    fn write(&self, writer: &mut Writer) {
        self.as_str().write(writer);
    }
}

impl Content for bool {
    fn write(&self, writer: &mut Writer) {
        writer.leaf(&[u8::from(*self)]);
    }
}

impl Content for u64 {
    fn write(&self, writer: &mut Writer) {
        writer.leaf(&self.to_le_bytes());
    }
}

impl Content for f64 {
    /// By its bits; the two zeros are one.
    fn write(&self, writer: &mut Writer) {
        let value = if *self == 0.0 { 0.0 } else { *self };
        writer.leaf(&value.to_bits().to_le_bytes());
    }
}

impl Content for Decimal {
    /// Without trailing zeros: 3.90 is 3.9.
    fn write(&self, writer: &mut Writer) {
        writer.leaf(self.normalize().to_string().as_bytes());
    }
}

impl Content for ContentKey {
    fn write(&self, writer: &mut Writer) {
        writer.leaf(self.as_bytes());
    }
}

impl Content for GeometryKey {
    fn write(&self, writer: &mut Writer) {
        writer.leaf(self.as_bytes());
    }
}

macro_rules! as_shown {
    ($($type:ty),*) => { $(impl Content for $type {
        fn write(&self, writer: &mut Writer) {
            writer.leaf(self.to_string().as_bytes());
        }
    })* };
}
as_shown!(Date, Version, VersionReq);

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn neighbours_do_not_run_into_each_other() {
        assert_ne!(Digest::of(&("ab", "c")), Digest::of(&("a", "bc")));
        assert_ne!(Digest::of(&(Some("a"), None::<&str>)), Digest::of(&(None::<&str>, Some("a"))));
        let (joined, apart) = (["a", "b"].as_slice(), ["ab"].as_slice());
        assert_ne!(Digest::of(&joined), Digest::of(&apart));
    }

    #[test]
    fn equal_numbers_are_equal_however_written() {
        assert_eq!(Digest::of(&0.0), Digest::of(&-0.0));
        let price = |text: &str| Digest::of(&text.parse::<Decimal>().expect("a number"));
        assert_eq!(price("3.90"), price("3.9"));
        assert_ne!(price("3.90"), price("39"));
    }

    #[test]
    fn order_counts_in_a_list_and_not_in_a_set() {
        let (one, other) = (vec!["a", "b"], vec!["b", "a"]);
        assert_ne!(Digest::of(&one.as_slice()), Digest::of(&other.as_slice()));
        assert_eq!(Digest::of(&AnyOrder(one)), Digest::of(&AnyOrder(other)));
    }

    #[test]
    fn absent_values_and_empty_lists_say_nothing() {
        assert!(Digest::of(&(None::<&str>, AnyOrder(Vec::<u64>::new()))).is_nothing());
        assert!(!Digest::of(&(None::<&str>, "")).is_nothing());
    }

    #[test]
    fn a_digest_is_the_beginning_of_a_sha_256() {
        // python3: hashlib.sha256((4).to_bytes(8, "little") + b"petg").hexdigest()[:12]
        assert_eq!(Digest::of(&"petg").to_string(), "ec23125c5482");
    }
}
