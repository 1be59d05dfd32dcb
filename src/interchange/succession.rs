//! Two releases of a design: which parts can no longer take each other's place, and how far up
//! through the assemblies that is felt.
//!
//! MIL-STD-100G, 406.13: a part that is no longer interchangeable gets a new identity, and so do the
//! assemblies above it, up to and including the one where interchangeability is restored. Here a new
//! identity is a new version, and an assembly restores what it holds by staying in its major number.

use std::collections::{BTreeMap, BTreeSet};

use semver::{Version, VersionReq};

use crate::design::{Design, PartIx};
use crate::record::Id;

/// Why a part cannot take the place of the one that it was.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Reason {
    /// Its major number is another.
    Major {
        /// The version before.
        was: Version,
        /// The version after.
        is: Version,
    },
    /// The product holds it no longer.
    Removed {
        /// The part that says that it replaces it.
        by: Option<Id>,
    },
    /// It no longer fits a neighbour as that was.
    Fits {
        /// The neighbour.
        neighbour: Id,
        /// The versions that it fits now.
        range: VersionReq,
        /// The version that the neighbour had.
        was: Version,
    },
    /// An assembly no longer takes it as it was.
    Taken {
        /// The assembly.
        assembly: Id,
        /// The versions that the assembly takes now.
        range: VersionReq,
        /// The version that it had.
        was: Version,
    },
}

/// A part that is no longer interchangeable, and the assemblies that it breaks.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Break {
    /// The part.
    pub part: Id,
    /// Why.
    pub reason: Reason,
    /// The assemblies that are no longer interchangeable with it, nearest first.
    pub breaks: Vec<Id>,
    /// The assemblies at which it ends: interchangeable as a whole, but of another make-up.
    pub ends_at: Vec<Id>,
    /// Whether the product itself is among the broken.
    pub reaches_top: bool,
}

/// Every break from `was` to `is`, in the order of parts. Optional parts break nothing.
#[must_use]
pub fn breaks(was: &Design, is: &Design) -> Vec<Break> {
    let (before, after) = (Product::of(was), Product::of(is));
    let both = Both { before, after };
    let mut found: Vec<Break> = both.removed().collect();
    for part in both.after.parts() {
        found.extend(both.of_kept(part));
    }
    found.sort_by(|one, other| one.part.cmp(&other.part));
    found
}

/// What the top holds without fail, and what holds it.
struct Product<'a> {
    design: &'a Design,
    holders: BTreeMap<PartIx, Vec<PartIx>>,
}

impl<'a> Product<'a> {
    fn of(design: &'a Design) -> Self {
        let mut holders = BTreeMap::from([(design.top, Vec::new())]);
        for &assembly in &*design.order {
            if !holders.contains_key(&assembly) {
                continue;
            }
            for link in design.links[assembly.index()].iter().filter(|link| !link.optional) {
                holders.entry(link.child).or_default().push(assembly);
            }
        }
        Self { design, holders }
    }

    fn parts(&self) -> impl Iterator<Item = PartIx> + '_ {
        self.holders.keys().copied()
    }

    fn find(&self, id: &Id) -> Option<PartIx> {
        self.design.part(id.as_str()).filter(|part| self.holders.contains_key(part))
    }

    fn version(&self, part: PartIx) -> Option<&'a Version> {
        self.design.record(part).version.as_ref().map(|version| &version.value)
    }

    fn version_of(&self, id: &Id) -> Option<&'a Version> {
        self.version(self.find(id)?)
    }

    /// Every assembly that holds `part`, and itself.
    fn above(&self, part: PartIx) -> BTreeSet<PartIx> {
        let mut above = BTreeSet::from([part]);
        let mut waiting = vec![part];
        while let Some(at) = waiting.pop() {
            for &holder in self.holders.get(&at).into_iter().flatten() {
                if above.insert(holder) {
                    waiting.push(holder);
                }
            }
        }
        above
    }
}

/// The product of two releases.
struct Both<'a> {
    before: Product<'a>,
    after: Product<'a>,
}

impl<'a> Both<'a> {
    /// Parts that went out of assemblies which are still there.
    fn removed(&self) -> impl Iterator<Item = Break> + '_ {
        self.before.parts().filter_map(|part| {
            let id = self.before.design.id(part);
            if self.after.find(id).is_some() {
                return None;
            }
            let holders = self.before.holders.get(&part).into_iter().flatten();
            let left = holders.filter_map(|at| self.after.find(self.before.design.id(*at)));
            let left: Vec<PartIx> = left.collect();
            let by = || {
                let mut parts = self.after.parts();
                let replaces = |part: &PartIx| {
                    let record = self.after.design.record(*part);
                    record.replaces.as_ref().is_some_and(|replaced| replaced.value == *id)
                };
                parts.find(replaces).map(|part| self.after.design.id(part).clone())
            };
            (!left.is_empty())
                .then(|| self.climb(id, Reason::Removed { by: by() }, left, &|_| true))
        })
    }

    /// The breaks of a part that is in the later product.
    fn of_kept(&self, part: PartIx) -> Vec<Break> {
        let id = self.after.design.id(part);
        if self.before.find(id).is_none() {
            return Vec::new();
        }
        let major = self.before.version_of(id).zip(self.after.version(part));
        let major = major.filter(|(was, is)| was.major != is.major);
        let above = || self.after.holders.get(&part).cloned().unwrap_or_default();
        let major = major.map(|(was, is)| {
            let reason = Reason::Major { was: was.clone(), is: is.clone() };
            self.climb(id, reason, above(), &|_| true)
        });
        let fits = self.refused_neighbours(part).map(|(neighbour, reason)| {
            // Only an assembly that brings the neighbour along makes good for it.
            let with = self.after.above(neighbour);
            self.climb(id, reason, above(), &|assembly| with.contains(&assembly))
        });
        let taken = self
            .not_taken(part)
            .map(|(assembly, reason)| self.climb(id, reason, vec![assembly], &|_| true));
        major.into_iter().chain(fits).chain(taken).collect()
    }

    /// Neighbours in the versions that they had, which `part` took then and takes no longer.
    fn refused_neighbours(&self, part: PartIx) -> impl Iterator<Item = (PartIx, Reason)> + '_ {
        self.after.design.record(part).fits.iter().filter_map(|(neighbour, range)| {
            let was = self.before.version_of(&neighbour.value)?;
            let there = self.after.find(&neighbour.value)?;
            let (neighbour, range) = (neighbour.value.clone(), range.value.clone());
            (!range.matches(was))
                .then(|| (there, Reason::Fits { neighbour, range, was: was.clone() }))
        })
    }

    /// Assemblies that no longer take `part` in the version that it had.
    fn not_taken(&self, part: PartIx) -> impl Iterator<Item = (PartIx, Reason)> + '_ {
        let id = self.after.design.id(part);
        let holders = self.after.holders.get(&part).into_iter().flatten();
        holders.filter_map(move |&assembly| {
            let links = &self.after.design.links[assembly.index()];
            let link = links.iter().find(|link| link.child == part)?;
            let range = &link.version.as_ref()?.value;
            let was = self.before.version_of(id)?;
            let assembly_id = self.after.design.id(assembly);
            let held_it = self.before.find(assembly_id).is_some();
            (held_it && !range.matches(was)).then(|| {
                let (range, was) = (range.clone(), was.clone());
                (assembly, Reason::Taken { assembly: assembly_id.clone(), range, was })
            })
        })
    }

    /// Upwards from the assemblies `from`, each of which is broken unless it is interchangeable as a
    /// whole and `makes_good`.
    fn climb(
        &self,
        part: &Id,
        reason: Reason,
        from: Vec<PartIx>,
        makes_good: &dyn Fn(PartIx) -> bool,
    ) -> Break {
        let mut found = Break {
            part: part.clone(),
            reason,
            breaks: vec![],
            ends_at: vec![],
            reaches_top: false,
        };
        let mut seen: BTreeSet<PartIx> = from.iter().copied().collect();
        let mut level = from;
        found.reaches_top = self.after.design.id(self.after.design.top) == part;
        while !level.is_empty() {
            let mut next = Vec::new();
            for at in level {
                let id = self.after.design.id(at).clone();
                if makes_good(at) && self.is_restored(at) {
                    found.ends_at.push(id);
                    continue;
                }
                found.reaches_top |= at == self.after.design.top;
                found.breaks.push(id);
                let holders = self.after.holders.get(&at).into_iter().flatten();
                next.extend(holders.copied().filter(|holder| seen.insert(*holder)));
            }
            level = next;
        }
        found
    }

    /// Whether an assembly says that it is interchangeable as a whole. Of the product an existing
    /// build is one already: that cannot be taken in its place.
    fn is_restored(&self, assembly: PartIx) -> bool {
        let id = self.after.design.id(assembly);
        let versions = self.before.version_of(id).zip(self.after.version(assembly));
        assembly != self.after.design.top && versions.is_some_and(|(was, is)| was.major == is.major)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::fixture::design;

    /// `PART: REASON; breaks …; ends at …` of each break.
    #[track_caller]
    fn check(was: &str, is: &str, expected: &[&str]) {
        let line = |found: &Break| {
            let ids = |ids: &[Id]| ids.iter().map(Id::as_str).collect::<Vec<_>>().join(" ");
            let why = match &found.reason {
                Reason::Major { was, is } => format!("{was} to {is}"),
                Reason::Removed { by } => {
                    format!("gone for {}", by.as_ref().map_or("nothing", Id::as_str))
                }
                Reason::Fits { neighbour, range, was } => {
                    format!("fits {neighbour} {range}, not {was}")
                }
                Reason::Taken { assembly, range, was } => {
                    format!("{assembly} takes {range}, not {was}")
                }
            };
            let top = if found.reaches_top { ", the product" } else { "" };
            format!(
                "{}: {why}; [{}] [{}]{top}",
                found.part,
                ids(&found.breaks),
                ids(&found.ends_at)
            )
        };
        let found: Vec<String> = breaks(&design(was), &design(is)).iter().map(line).collect();
        assert_eq!(found, expected);
    }

    /// A scanner that holds A ⊃ B ⊃ C, and a neighbour of C beside it.
    fn chain(a: &str, b: &str, c: &str, more: &str) -> String {
        let version = |version: &str| match version {
            "" => String::new(),
            version => format!("version = \"{version}\"\n"),
        };
        format!(
            "[part.scanner]\norigin = \"assembled\"\ncontains = {{ a = 1, n = 1 }}\n\
             [part.a]\norigin = \"assembled\"\ncontains = {{ b = 1 }}\n{}\
             [part.b]\norigin = \"assembled\"\ncontains = {{ c = 1 }}\n{}\
             [part.c]\norigin = \"printed\"\n{}{more}\n",
            version(a),
            version(b),
            version(c),
        )
    }

    const N: &str = "[part.n]\norigin = \"printed\"\nversion = \"1.2.0\"\n";

    /// MIL-STD-100G, 406.13, as read there: C is no longer interchangeable, B is so as a whole: new
    /// identities for C and B, and A is only revised.
    #[test]
    fn a_break_ends_at_the_assembly_that_is_interchangeable_as_a_whole() {
        let was = chain("1.0.0", "1.0.0", "1.0.0", N);
        check(&was, &chain("1.0.0", "1.1.0", "2.0.0", N), &["c: 1.0.0 to 2.0.0; [] [b]"]);
        check(&was, &chain("1.0.0", "1.0.0", "1.9.9", N), &[]);
    }

    /// The same, where B is no longer interchangeable either.
    #[test]
    fn a_break_climbs_until_an_assembly_restores_it() {
        let was = chain("1.0.0", "1.0.0", "1.0.0", N);
        check(
            &was,
            &chain("1.1.0", "2.0.0", "2.0.0", N),
            &["b: 1.0.0 to 2.0.0; [] [a]", "c: 1.0.0 to 2.0.0; [b] [a]"],
        );
        check(
            &was,
            &chain("2.0.0", "", "2.0.0", N),
            &[
                "a: 1.0.0 to 2.0.0; [scanner] [], the product",
                "c: 1.0.0 to 2.0.0; [b a scanner] [], the product",
            ],
        );
    }

    #[test]
    fn a_part_that_went_breaks_what_held_it() {
        let was = chain("1.0.0", "1.0.0", "1.0.0", N);
        let is =
            chain("1.0.0", "1.1.0", "", N).replace("contains = { c = 1 }", "contains = { d = 1 }");
        let is = format!("{is}[part.d]\norigin = \"printed\"\nreplaces = \"c\"\n");
        check(&was, &is, &["c: gone for d; [] [b]"]);
    }

    /// A part that mates across an assembly's bounds is made good only where both are replaced.
    #[test]
    fn a_range_that_no_longer_takes_the_old_neighbour_is_a_break() {
        let with = |range: &str, n: &str| {
            let n = N.replace("1.2.0", n);
            chain("1.0.0", "1.0.0", "1.0.0", &format!("fits = {{ n = \"{range}\" }}\n{n}"))
        };
        let found = "c: fits n ^1.3, not 1.2.0; [b a scanner] [], the product";
        check(&with("^1.2", "1.2.0"), &with("^1.3", "1.3.0"), &[found]);
        check(&with("^1.2", "1.2.0"), &with("^1.2", "1.3.0"), &[]);
    }

    #[test]
    fn an_assembly_that_no_longer_takes_the_old_part_is_broken() {
        let with = |range: &str, c: &str| {
            let takes = format!("contains.c = {{ count = 1, version = \"{range}\" }}");
            chain("1.0.0", "1.0.0", c, N).replace("contains = { c = 1 }", &takes)
        };
        let found = "c: b takes ^1.2, not 1.1.0; [] [b]";
        check(&with("^1.1", "1.1.0"), &with("^1.2", "1.2.0"), &[found]);
    }

    #[test]
    fn what_is_left_to_the_builder_breaks_nothing() {
        let optional = |count: &str| {
            format!(
                "[part.scanner]\norigin = \"assembled\"\ncontains = {{ {count} }}\n\
                 [part.cover]\norigin = \"printed\"\n[part.tray]\norigin = \"printed\"\n"
            )
        };
        let was = optional("tray = 1, cover = { count = 1, optional = true }");
        check(&was, &optional("tray = 1"), &[]);
        let was = optional("tray = 1, cover = 1");
        check(&was, &optional("tray = 1"), &["cover: gone for nothing; [scanner] [], the product"]);
    }
}
