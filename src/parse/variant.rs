//! `[variant.ID]`.

use super::field::Field;
use super::reader::{Reader, span_of};
use crate::diagnostic::At;
use crate::quantity::Amount;
use crate::record::{Id, Variant};

pub(super) fn read(id: At<Id>, reader: &mut Reader<'_>) -> Option<Variant> {
    let title = reader.optional("title");
    let drop = reader.list("drop");
    let swap = reader.map_by_reference::<Id>("swap");
    let swap = swap.into_iter().map(|(old, new)| (old, At::new(new.value, new.span))).collect();
    let what = || format!("by part: {}", Amount::what());
    let assemblies = reader.by_reference("change", what, |value, sink| {
        let table = Reader::of(value, sink)?;
        let lines = table.entries().into_iter().filter_map(|(part, span, value)| {
            let amount = At::new(Amount::read(value, sink)?, span_of(value));
            Some((At::new(Id::new(part), span), amount))
        });
        Some(lines.collect::<Vec<_>>())
    });
    let mut change: Vec<_> = assemblies
        .into_iter()
        .flat_map(|(assembly, lines)| {
            lines.into_iter().map(move |(part, amount)| (assembly.clone(), part, amount))
        })
        .collect();
    change.sort_by(|(a, b, _), (c, d, _)| (&a.value, &b.value).cmp(&(&c.value, &d.value)));
    Some(Variant { id, title, drop, swap, change, skip: reader.list("skip") })
}
