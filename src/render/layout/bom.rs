//! The bill of materials on a page, and as the rows of a sheet.

use super::super::csv::{Cell, csv};
use super::super::page::{Page, Row, Span, Table, Tone};
use super::joined;
use crate::report::{
    BomReport, BomRow, LineRow, MissingRow, ParcelRow, Shown, Structure, UnofferedRow,
};

/// Parts, materials, options, then the order supplier by supplier.
#[must_use]
pub fn bom(report: &BomReport) -> Page {
    let mut page = Page { headline: vec![report.headline.as_str().into()], sections: Vec::new() };
    page.table("bill of materials", parts(report, &report.parts));
    page.table("materials", parts(report, &report.materials));
    page.table("left to the builder, not in the order", parts(report, &report.optional));
    page.table("order", order(&report.parcels));
    page.table("offered by nobody, at the cost that each states", unoffered(&report.unoffered));
    page.table("cannot be bought", missing(&report.missing));
    page.table("costs", costs(report));
    page.list("next", report.next.iter().map(|step| vec![step.as_str().into()]).collect());
    page
}

/// The same parts as a sheet, with what is ordered of each.
#[must_use]
pub fn bom_sheet(report: &BomReport) -> String {
    const COLUMNS: [&str; 18] = [
        "level",
        "part",
        "title",
        "version",
        "origin",
        "designation",
        "maker",
        "part number",
        "material",
        "one build",
        "all builds",
        "unit",
        "each",
        "supplier",
        "code",
        "units ordered",
        "ordered for",
        "optional",
    ];
    let rows = report.parts.iter().chain(&report.materials).chain(&report.optional);
    let rows: Vec<Vec<Cell>> = rows.map(sheet_row).collect();
    csv(&COLUMNS, &rows)
}

fn sheet_row(row: &BomRow) -> Vec<Cell> {
    let number = |shown: &Shown| {
        let is_count = shown.unit.is_empty();
        Cell::Number(if is_count { shown.text.clone() } else { shown.number.to_string() })
    };
    let money = |shown: Option<&Shown>| {
        shown.map_or(Cell::text(None), |shown| {
            Cell::Number(shown.exact.clone().unwrap_or_else(|| shown.number.to_string()))
        })
    };
    vec![
        Cell::Number(row.level.to_string()),
        Cell::text(Some(row.part.as_str())),
        Cell::text(row.title.as_deref()),
        Cell::text(row.version.as_deref()),
        Cell::text(Some(row.origin)),
        Cell::text(row.designation.as_deref()),
        Cell::text(row.maker.as_deref()),
        Cell::text(row.mpn.as_deref()),
        Cell::text(row.material.as_ref().map(crate::record::Id::as_str)),
        number(&row.quantity),
        number(&row.all_builds),
        Cell::text(Some(&row.quantity.unit)),
        money(row.each.as_ref()),
        Cell::text(row.supplier.as_deref()),
        Cell::text(row.code.as_deref()),
        Cell::text(row.units.as_deref()),
        money(row.order.as_ref()),
        Cell::text(row.optional.then_some("yes")),
    ]
}

fn parts(report: &BomReport, rows: &[BomRow]) -> Table {
    let by_level = report.structure == Structure::Level;
    let one = if by_level { "in each" } else { "one build" };
    // What would stand in every row the same, or in none, is left out.
    let columns = [
        ("level", by_level),
        ("part", true),
        (one, true),
        ("all builds", report.builds > 1),
        ("each", true),
        ("order", !by_level || rows.iter().any(|row| row.order.is_some())),
    ];
    let kept = || columns.iter().map(|(_, is_kept)| *is_kept);
    let row = |row: &BomRow| {
        let cells = part_cells(row).into_iter().zip(kept());
        let cells = cells.filter_map(|(cell, is_kept)| is_kept.then_some(cell));
        Row { cells: cells.collect(), remarks: said_of(row) }
    };
    let names = columns.iter().filter(|(_, is_kept)| *is_kept).map(|(name, _)| *name);
    Table { columns: names.collect(), named: true, rows: rows.iter().map(row).collect() }
}

fn part_cells(row: &BomRow) -> [Span; 6] {
    let level = if row.level > 0 { row.level.to_string() } else { String::new() };
    let part = format!("{}{}", "  ".repeat(row.level.saturating_sub(1)), row.part);
    let text = |shown: &Option<Shown>| {
        Span::from(shown.as_ref().map(|shown| shown.text.clone()).unwrap_or_default())
    };
    [
        level.into(),
        Span::new(part, Tone::Strong),
        row.quantity.text.as_str().into(),
        row.all_builds.text.as_str().into(),
        text(&row.each),
        text(&row.order),
    ]
}

/// `Socket screw, stainless; ISO 4762 M3x8; bolt-shop 912-3-8-A2`.
fn said_of(row: &BomRow) -> Vec<String> {
    let made = [row.maker.as_deref(), row.mpn.as_deref()];
    let made: Vec<&str> = made.into_iter().flatten().collect();
    let made = (!made.is_empty()).then(|| made.join(" "));
    let version = row.version.as_ref().map(|version| format!("version {version}"));
    let material = row.material.as_ref().map(|material| format!("{} in {material}", row.origin));
    let above = row.listed_above.then(|| "its parts are listed above".to_owned());
    let remarks = [row.title.clone(), row.designation.clone(), made, version, material, above];
    remarks.into_iter().flatten().collect()
}

/// A supplier's row and, below it, what is ordered there.
pub(super) fn order(parcels: &[ParcelRow]) -> Table {
    let columns = vec!["supplier, code", "part", "units", "of", "at", "cost"];
    let rows = parcels.iter().flat_map(|parcel| {
        let lines = parcel.lines.iter().map(line);
        std::iter::once(supplier(parcel)).chain(lines)
    });
    Table { columns, named: true, rows: rows.collect() }
}

fn supplier(parcel: &ParcelRow) -> Row {
    let besides =
        |shown: &Shown, what: &str| (shown.base != 0.0).then(|| format!("{} {what}", shown.text));
    let remarks = [
        parcel.title.clone(),
        parcel.url.clone(),
        besides(&parcel.shipping, "shipping"),
        besides(&parcel.tax_and_duty, "duty and tax"),
        parcel.lead_time.as_ref().map(|time| format!("all there in {}", time.text)),
    ];
    let mut cells = vec![Span::default(); 6];
    cells[0] = Span::new(parcel.supplier.as_str(), Tone::Strong);
    cells[5] = Span::new(parcel.total.text.as_str(), Tone::Strong);
    Row { cells, remarks: remarks.into_iter().flatten().collect() }
}

fn line(row: &LineRow) -> Row {
    let code = row.code.as_ref().map(|code| format!("  {code}"));
    let pack = if row.pack.text == "1" { "" } else { row.pack.text.as_str() };
    let left = (row.left_over.base != 0.0).then(|| format!("{} left over", row.left_over.text));
    let more = row.more_is_cheaper.then(|| "fewer would cost more".to_owned());
    let also = (!row.also_at.is_empty()).then(|| format!("also at {}", joined(&row.also_at, ", ")));
    let going = row.phased_out.as_ref().map(|until| format!("planned to go from {until} on"));
    let cells = vec![
        code.unwrap_or_default().into(),
        row.what.as_str().into(),
        row.units.as_str().into(),
        pack.into(),
        row.price.as_str().into(),
        row.cost.text.as_str().into(),
    ];
    Row { cells, remarks: [left, more, also, going].into_iter().flatten().collect() }
}

fn unoffered(rows: &[UnofferedRow]) -> Table {
    let row = |row: &UnofferedRow| Row {
        cells: vec![Span::new(row.part.as_str(), Tone::Strong), row.cost.text.as_str().into()],
        remarks: Vec::new(),
    };
    Table { columns: vec!["part", "cost"], named: false, rows: rows.iter().map(row).collect() }
}

pub(super) fn missing(rows: &[MissingRow]) -> Table {
    let row = |row: &MissingRow| Row {
        cells: vec![Span::new(row.part.as_str(), Tone::Bad), row.why.into()],
        remarks: Vec::new(),
    };
    Table { columns: vec!["part", "why"], named: false, rows: rows.iter().map(row).collect() }
}

/// How sure it is that no order costs less, where none `at_least` costs less.
pub(super) fn how_cheap(at_least: Option<&Shown>) -> &'static str {
    match at_least {
        None => "the cheapest choice of all offers",
        Some(_) => "the best choice found in time",
    }
}

fn costs(report: &BomReport) -> Table {
    let row = |what: &str, value: &Shown, remark: Option<&str>| Row {
        cells: vec![what.into(), value.text.as_str().into()],
        remarks: remark.map(str::to_owned).into_iter().collect(),
    };
    let one = report.cost.as_ref();
    let one = one.map(|cost| row("one build", cost, Some("what it consumes, machine hours too")));
    let found = how_cheap(report.at_least.as_ref());
    let least = report.at_least.as_ref().map(|least| row("no choice below", least, None));
    let order = row("order", &report.order_cost, Some(found));
    let rows = one.into_iter().chain([order]).chain(least).collect();
    Table { columns: vec!["what", "cost"], named: false, rows }
}
