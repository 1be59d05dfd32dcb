//! A long list that is much the same from state to state: what two of them have in common, they share.

use std::ops::{Index, IndexMut, Range};
use std::slice::Iter;
use std::sync::Arc;

use serde::de::DeserializeOwned;
use serde::{Deserialize, Deserializer, Serialize, Serializer};

use crate::late::{Late, packed_row, unpacked_row};

/// How many neighbours stand in one piece: about the root of a long list, so that neither the pieces
/// nor what stands in one are many.
pub const NEIGHBOURS: usize = 32;

/// A list in pieces of neighbours. A copy shares them all, until one is changed. What was packed is
/// unpacked one by one, when somebody looks at it.
#[derive(Clone, Debug)]
pub struct Pieces<T> {
    /// All of the same length, but for the last.
    pieces: Vec<Arc<[Late<T>]>>,
    length: usize,
}

impl<T> Default for Pieces<T> {
    fn default() -> Self {
        Self { pieces: Vec::new(), length: 0 }
    }
}

impl<T> Pieces<T> {
    fn of(items: impl IntoIterator<Item = Late<T>>) -> Self {
        let (mut items, mut pieces, mut length) = (items.into_iter(), Vec::new(), 0);
        loop {
            let piece: Arc<[Late<T>]> = items.by_ref().take(NEIGHBOURS).collect();
            if piece.is_empty() {
                return Self { pieces, length };
            }
            length += piece.len();
            pieces.push(piece);
        }
    }

    /// How many there are.
    #[must_use]
    pub fn len(&self) -> usize {
        self.length
    }

    /// Whether there is none.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.length == 0
    }

    /// What stands at a place, where there is one.
    #[must_use]
    pub fn get(&self, place: usize) -> Option<&T> {
        self.pieces.get(place / NEIGHBOURS)?.get(place % NEIGHBOURS).map(|item| &**item)
    }

    /// All of them, in order.
    pub fn iter(&self) -> All<'_, T> {
        All { pieces: self.pieces.iter(), piece: [].iter() }
    }

    /// Whether both lists share what stands at these places, which are those of a piece.
    #[must_use]
    pub fn shares(&self, other: &Self, places: &Range<usize>) -> bool {
        let piece = places.start / NEIGHBOURS;
        let both = self.pieces.get(piece).zip(other.pieces.get(piece));
        both.is_some_and(|(one, other)| Arc::ptr_eq(one, other))
    }
}

/// All that stands in pieces, in order.
#[derive(Clone, Debug)]
pub struct All<'a, T> {
    pieces: Iter<'a, Arc<[Late<T>]>>,
    /// What is left of the piece before these.
    piece: Iter<'a, Late<T>>,
}

impl<'a, T> Iterator for All<'a, T> {
    type Item = &'a T;
    fn next(&mut self) -> Option<&'a T> {
        loop {
            if let Some(item) = self.piece.next() {
                return Some(item);
            }
            self.piece = self.pieces.next()?.iter();
        }
    }
}

/// The places of a list of so many, in pieces.
pub fn pieces(length: usize) -> impl Iterator<Item = Range<usize>> {
    let starts = (0..length).step_by(NEIGHBOURS);
    starts.map(move |start| start..length.min(start + NEIGHBOURS))
}

impl<T> FromIterator<T> for Pieces<T> {
    fn from_iter<I: IntoIterator<Item = T>>(items: I) -> Self {
        Self::of(items.into_iter().map(Late::from))
    }
}

impl<T: Serialize> Serialize for Pieces<T> {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        packed_row(self.iter(), serializer)
    }
}

impl<'de, T: DeserializeOwned> Deserialize<'de> for Pieces<T> {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        unpacked_row(deserializer).map(Self::of)
    }
}

impl<T> From<Vec<T>> for Pieces<T> {
    fn from(items: Vec<T>) -> Self {
        items.into_iter().collect()
    }
}

impl<T> Index<usize> for Pieces<T> {
    type Output = T;
    fn index(&self, place: usize) -> &T {
        &self.pieces[place / NEIGHBOURS][place % NEIGHBOURS]
    }
}

impl<T: Clone> IndexMut<usize> for Pieces<T> {
    fn index_mut(&mut self, place: usize) -> &mut T {
        &mut Arc::make_mut(&mut self.pieces[place / NEIGHBOURS])[place % NEIGHBOURS]
    }
}

impl<'a, T> IntoIterator for &'a Pieces<T> {
    type Item = &'a T;
    type IntoIter = All<'a, T>;
    fn into_iter(self) -> Self::IntoIter {
        self.iter()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn it_is_the_list_that_it_was_made_of() {
        for length in [0, 1, 31, 32, 33, 64, 100] {
            let list: Vec<usize> = (0..length).map(|number| 2 * number).collect();
            let made = Pieces::from(list.clone());
            assert_eq!(made.iter().copied().collect::<Vec<_>>(), list);
            assert_eq!((made.len(), made.is_empty()), (length, length == 0));
            assert_eq!(made.get(length), None);
            for (place, number) in list.iter().enumerate() {
                assert_eq!((made[place], made.get(place)), (*number, Some(number)));
            }
        }
    }

    #[test]
    fn a_copy_shares_all_but_the_piece_that_is_changed() {
        let before: Pieces<usize> = (0..100).collect();
        let mut after = before.clone();
        after[40] = 1;
        assert_eq!((before[40], after[40], after[41]), (40, 1, 41));
        let shared: Vec<bool> = pieces(100).map(|places| before.shares(&after, &places)).collect();
        assert_eq!(shared, [true, false, true, true]);
        assert_eq!(pieces(100).last(), Some(96..100));
        let short: Pieces<usize> = (0..10).collect();
        assert!(!before.shares(&short, &(32..64)));
    }
}
