//! Comma-separated values (RFC 4180) for a spreadsheet, in which no text is taken for a formula.

use super::page::{Body, Page, Section};
use super::untrusted::visible;

/// A sheet: a line of names, then the rows.
#[derive(Clone, Debug, Default)]
pub struct Sheet {
    /// Names of the columns.
    pub columns: Vec<String>,
    /// One cell a column.
    pub rows: Vec<Vec<Cell>>,
}

/// What stands in a cell.
#[derive(Clone, Debug)]
pub enum Cell {
    /// Untrusted text.
    Text(String),
    /// A number, as it is written.
    Number(String),
    /// Nothing.
    Empty,
}

/// The sheet, with a line end behind each line.
#[must_use]
pub fn csv(sheet: &Sheet) -> String {
    let names: Vec<Cell> = sheet.columns.iter().cloned().map(Cell::Text).collect();
    std::iter::once(&names).chain(&sheet.rows).map(|row| line(row)).collect()
}

/// The tables of a page, each under a line of names of its own, with an empty line between two.
#[must_use]
pub fn tables(page: &Page) -> String {
    let sheets: Vec<String> = page.sections.iter().filter_map(sheet).map(|it| csv(&it)).collect();
    sheets.join(END)
}

const END: &str = "\r\n";

fn sheet(section: &Section) -> Option<Sheet> {
    let Body::Table(table) = &section.body else { return None };
    let names = table.columns.iter().map(|name| (*name).to_owned());
    let rows = table.rows.iter().map(|row| {
        let cells = (0..table.columns.len())
            .map(|at| row.cells.get(at).map_or(Cell::Empty, |span| Cell::Text(span.text.clone())));
        cells.chain([Cell::Text(row.remarks.join("; "))]).collect()
    });
    Some(Sheet { columns: names.chain(["remarks".to_owned()]).collect(), rows: rows.collect() })
}

fn line(cells: &[Cell]) -> String {
    let cells: Vec<String> = cells.iter().map(written).collect();
    cells.join(",") + END
}

fn written(cell: &Cell) -> String {
    match cell {
        Cell::Text(text) => quoted(&harmless(text)),
        Cell::Number(number) => number.clone(),
        Cell::Empty => String::new(),
    }
}

/// The text with nothing in it that hides, and an apostrophe before what a spreadsheet would take for
/// a formula.
fn harmless(text: &str) -> String {
    let text = visible(text);
    match text.trim_start().starts_with(['=', '+', '-', '@']) {
        true => format!("'{text}"),
        false => text,
    }
}

fn quoted(text: &str) -> String {
    match text.contains([',', '"']) {
        true => format!("\"{}\"", text.replace('"', "\"\"")),
        false => text.to_owned(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn check(text: &str, expected: &str) {
        assert_eq!(line(&[Cell::Text(text.to_owned())]), format!("{expected}\r\n"));
    }

    #[test]
    fn a_cell_is_quoted_where_it_has_to_be() {
        // RFC 4180, section 2, rules 5 to 7; line ends do not get that far.
        check("film gate", "film gate");
        check("a, b", "\"a, b\"");
        check("the \"gate\"", "\"the \"\"gate\"\"\"");
        check("two\nlines", "two lines");
    }

    #[test]
    fn no_text_is_a_formula() {
        check("=1+1", "'=1+1");
        check(" @sum(a1)", "' @sum(a1)");
        check("-lid", "'-lid");
        check("\t=1", "' =1");
        assert_eq!(line(&[Cell::Number("-3.5".into()), Cell::Empty]), "-3.5,\r\n");
    }

    proptest! {
        #[test]
        fn a_text_is_one_cell_on_one_line(text in "\\PC*|(.|\\n)*") {
            let line = line(&[Cell::Text(text), Cell::Number("1".into())]);
            prop_assert_eq!(line.matches('\n').count(), 1);
            prop_assert!(!line.trim_start_matches(['"', ' ']).starts_with(['=', '+', '-', '@']));
            prop_assert_eq!(line.matches('"').count() % 2, 0);
        }
    }
}
