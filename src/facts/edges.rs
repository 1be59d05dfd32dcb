//! Do the triangles enclose something? Each edge must be used as often in one direction as in the
//! other: then the surface has no boundary, and its volume means something.
//!
//! Corners that fall together on the grid are one. The question is answered without a table of
//! corners: every edge has a hash, counted up in one direction and down in the other, and the total is
//! zero exactly if all edges are balanced (but for a chance of 2⁻⁶⁴). An edge used more than once
//! in its rising direction is crowded. Only if something is wrong are edges counted one by one.

use std::ops::Range;

use serde::{Deserialize, Serialize};

use super::geometry::Cell;
use crate::threads;

const BUCKETS: usize = 512;

/// Edges at which a surface is not what the surface of a solid should be.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct Edges {
    /// Edges with an odd number of triangles: a hole begins there.
    pub open: u64,
    /// Edges with an even number of triangles that don't go round it in both directions alike.
    pub mismatched: u64,
    /// Edges with more than two triangles: bodies touch there, or a face is there twice.
    pub crowded: u64,
}

impl Edges {
    /// Whether no edge is open.
    #[must_use]
    pub fn closed(&self) -> bool {
        self.open == 0
    }

    /// Whether all triangles agree on which side is outside.
    #[must_use]
    pub fn oriented(&self) -> bool {
        self.mismatched == 0
    }
}

/// The quick answer: whether there is anything wrong.
///
/// Every edge of a good surface is used in its rising direction exactly once. Those hashes are held, by
/// their highest bits, so that each bucket is looked through within the processor's cache. What
/// lies in memory was never touched before, which is most of the time this takes; hence no table that
/// grows. Written without branches on the direction, which nothing can predict.
#[derive(Debug)]
pub(super) struct Balance {
    net: u64,
    rising: Vec<u64>,
    /// How many of each bucket's slots are used, or would be if it had enough.
    used: [usize; BUCKETS],
    bucket_slots: usize,
}

impl Balance {
    /// For at most `triangles` triangles; of more it says that something is wrong.
    pub(super) fn new(triangles: usize) -> Self {
        let mean = triangles.saturating_mul(3) / 2 / BUCKETS;
        let bucket_slots = mean + 8 * mean.isqrt() + 16;
        Self { net: 0, rising: vec![0; BUCKETS * bucket_slots], used: [0; BUCKETS], bucket_slots }
    }

    pub(super) fn add(&mut self, cells: &[Cell; 3]) {
        for (hash, rises) in edges(cells) {
            let sign = if rises { 1 } else { u64::MAX };
            self.net = self.net.wrapping_add(hash.wrapping_mul(sign));
            let bucket = (hash >> (u64::BITS - BUCKETS.ilog2())) as usize;
            let slot = self.used[bucket].min(self.bucket_slots - 1);
            self.rising[bucket * self.bucket_slots + slot] = hash;
            self.used[bucket] += usize::from(rises);
        }
    }

    /// The hashes in a bucket; `None` where it had too few slots.
    fn bucket(&self, bucket: usize) -> Option<&[u64]> {
        let slots = &self.rising[bucket * self.bucket_slots..][..self.bucket_slots];
        Some(self.used[bucket]).filter(|used| *used < slots.len()).map(|used| &slots[..used])
    }
}

/// Whether every edge has exactly two triangles, in opposite directions. The `balances` are those of
/// the pieces of one mesh.
pub(super) fn are_perfect(balances: &[Balance]) -> bool {
    let net = balances.iter().fold(0_u64, |net, balance| net.wrapping_add(balance.net));
    let halves = [0..BUCKETS / 2, BUCKETS / 2..BUCKETS];
    net == 0 && threads::each(&halves, |half| all_differ(balances, half)).iter().all(|it| *it)
}

/// Whether no hash stands twice in any of the buckets.
fn all_differ(balances: &[Balance], buckets: &Range<usize>) -> bool {
    let mut seen = Seen::default();
    buckets.clone().all(|bucket| {
        let parts: Option<Vec<&[u64]>> =
            balances.iter().map(|balance| balance.bucket(bucket)).collect();
        parts.is_some_and(|parts| seen.all_differ(&parts))
    })
}

/// A set of hashes; 0 stands for a free slot.
#[derive(Default)]
struct Seen(Vec<u64>);

impl Seen {
    fn all_differ(&mut self, hashes: &[&[u64]]) -> bool {
        let number: usize = hashes.iter().map(|part| part.len()).sum();
        self.0.clear();
        self.0.resize((2 * number).next_power_of_two(), 0);
        let last = self.0.len() - 1;
        hashes.iter().copied().flatten().all(|&hash| {
            let mut slot = hash as usize & last;
            while self.0[slot] != 0 && self.0[slot] != hash {
                slot = (slot + 1) & last;
            }
            std::mem::replace(&mut self.0[slot], hash) == 0
        })
    }
}

/// The slow answer: how many edges are wrong, and how.
#[derive(Debug, Default)]
pub(super) struct Count {
    /// Hash of the edge, whose lowest bit says whether the edge is used in its rising direction.
    uses: Vec<u64>,
}

impl Count {
    pub(super) fn add(&mut self, cells: &[Cell; 3]) {
        self.uses.extend(edges(cells).map(|(hash, rises)| hash & !1 | u64::from(rises)));
    }

    pub(super) fn edges(mut self) -> Edges {
        self.uses.sort_unstable();
        let mut edges = Edges::default();
        for uses in self.uses.chunk_by(|a, b| a | 1 == b | 1) {
            let rising = uses.iter().filter(|&&hash| hash & 1 == 1).count();
            edges.open += u64::from(uses.len() % 2 == 1);
            edges.mismatched += u64::from(uses.len() % 2 == 0 && rising * 2 != uses.len());
            edges.crowded += u64::from(uses.len() > 2);
        }
        edges
    }
}

/// The edges of a triangle, each as a hash that is the same from both sides and never 0, and whether
/// the triangle uses it in its rising direction.
fn edges(cells: &[Cell; 3]) -> impl Iterator<Item = (u64, bool)> {
    let [a, b, c] = cells.map(corner);
    [(a, b), (b, c), (c, a)].into_iter().map(|(from, to)| {
        let (low, high) = (from.min(to), from.max(to));
        (fold(low ^ SALT[2], high ^ SALT[3]).max(1), from < to)
    })
}

fn corner(cell: Cell) -> u64 {
    let [x, y, z] = cell.map(|steps| u64::from(steps.cast_unsigned()));
    fold(x ^ y << 32 ^ SALT[0], z ^ SALT[1])
}

/// The fractional parts of √2, √3, √5, √7, so that small numbers don't meet in small products.
const SALT: [u64; 4] =
    [0x6a09_e667_f3bc_c908, 0xbb67_ae85_84ca_a73b, 0x3c6e_f372_fe94_f82b, 0xa54f_f53a_5f1d_36f1];

/// Both halves of the product in one: every bit of the factors reaches many of the result. Never
/// stored, so it may change.
fn fold(a: u64, b: u64) -> u64 {
    let product = u128::from(a) * u128::from(b);
    let low = product as u64;
    low ^ (product >> 64) as u64
}
