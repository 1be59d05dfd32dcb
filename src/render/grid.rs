//! Rows in aligned columns, on a screen that may be too narrow for them.

use unicode_width::UnicodeWidthStr;

use super::page::{Line, Row, Span, Table, Tone};
use super::untrusted::clean;
use super::wrap::{self, DEEPER, INDENT};

/// Blanks between columns.
const GAP: usize = 3;

/// The table on a screen of `width` columns. As many columns as fit are aligned; what is in the
/// others, and the remarks, follow each row: on its line where all of it has room there, else below.
pub(super) fn lines(table: &Table, width: usize) -> Vec<Line> {
    let table = without_empty_columns(table);
    let widths: Vec<usize> = (0..table.columns.len()).map(|at| column_width(&table, at)).collect();
    let fitting = fitting(&widths, width);
    let mut lines = Vec::new();
    if table.named {
        let names: Vec<Span> =
            table.columns.iter().map(|name| Span::new(*name, Tone::Faint)).collect();
        lines.push(wrap::trimmed(aligned(&names[..fitting], &widths)));
    }
    for row in &table.rows {
        let line = aligned(&row.cells[..fitting], &widths);
        let rest = rest(&table, row, fitting);
        // A line that ends in blanks alone may be wider: it is trimmed.
        if rest.is_empty() || wrap::width(&line) + wrap::width(&rest) <= width {
            lines.push(wrap::trimmed([line, rest].concat()));
        } else {
            lines.push(wrap::trimmed(line));
            lines.extend(wrap::lines(&rest, width, DEEPER, DEEPER));
        }
    }
    lines
}

/// The table, harmless to a terminal, with the columns in which anything stands; every row has as
/// many cells as there are columns.
fn without_empty_columns(table: &Table) -> Table {
    let cell = |row: &Row, at: usize| row.cells.get(at).cloned().unwrap_or_default();
    let used: Vec<usize> = (0..table.columns.len())
        .filter(|at| table.rows.iter().any(|row| !cell(row, *at).text.is_empty()))
        .collect();
    let row = |row: &Row| Row {
        cells: clean(&used.iter().map(|at| cell(row, *at)).collect::<Line>()),
        remarks: row.remarks.clone(),
    };
    Table {
        columns: used.iter().map(|at| table.columns[*at]).collect(),
        named: table.named,
        rows: table.rows.iter().map(row).collect(),
    }
}

fn column_width(table: &Table, at: usize) -> usize {
    let name = if table.named { table.columns[at].width() } else { 0 };
    let cells = table.rows.iter().map(|row| row.cells[at].text.width());
    cells.max().unwrap_or(0).max(name)
}

/// How many of the first columns fit; at least one.
fn fitting(widths: &[usize], width: usize) -> usize {
    let mut used = INDENT;
    let fit = widths.iter().take_while(|column| {
        let fits = used + **column <= width;
        used += **column + GAP;
        fits
    });
    fit.count().max(1).min(widths.len())
}

fn aligned(cells: &[Span], widths: &[usize]) -> Line {
    let mut line = vec![Span::from(" ".repeat(INDENT))];
    for (cell, column) in cells.iter().zip(widths) {
        let blanks = column.saturating_sub(cell.text.width()) + GAP;
        line.push(cell.clone());
        line.push(" ".repeat(blanks).into());
    }
    line
}

/// What is in the columns that do not fit, then the remarks.
fn rest(table: &Table, row: &Row, fitting: usize) -> Line {
    let mut rest = Line::new();
    let cells = table.columns.iter().zip(&row.cells).skip(fitting);
    for (name, cell) in cells.filter(|(_, cell)| !cell.text.is_empty()) {
        let comma = if rest.is_empty() { "" } else { ", " };
        let name = if table.named { format!("{name} ") } else { String::new() };
        rest.push(format!("{comma}{name}").into());
        rest.push(cell.clone());
    }
    for remark in clean(&row.remarks.iter().map(|text| text.as_str().into()).collect::<Line>()) {
        if !rest.is_empty() {
            rest.push("; ".into());
        }
        rest.push(remark);
    }
    rest
}
