//! The ledger on a sheet: a row a revision, two columns a budget, in the unit of its last row.

use std::collections::BTreeMap;

use super::super::csv::{Cell, LINE_END, line};
use super::ledger::verdicts;
use crate::record::Id;
use crate::report::{LedgerSheetRow, SheetFigure};

/// What a row says besides its figures.
const FIXED: [&str; 12] = [
    "revision", "date", "author", "subject", "merge", "readable", "parts", "verdicts", "loosened",
    "opened", "closed", "decided",
];

/// A sheet that is filled row by row: which columns there are is known when all rows are.
#[derive(Debug, Default)]
pub struct LedgerSheet {
    rows: Vec<SheetRow>,
    /// Every budget in every unit that it was ever told in.
    budgets: Vec<Budget>,
    /// By the name of a budget, the place of it in the unit of its last row.
    last: BTreeMap<String, usize>,
}

#[derive(Debug)]
struct SheetRow {
    /// What is said besides the figures, as it is written.
    fixed: Box<str>,
    /// Basic and predicted, by the place of their budget.
    numbers: Box<[(usize, [f64; 2])]>,
}

#[derive(Debug)]
struct Budget {
    name: String,
    unit: String,
}

impl LedgerSheet {
    /// One row more.
    pub fn add(&mut self, row: &LedgerSheetRow) {
        let numbers = row.figures.iter();
        let numbers =
            numbers.map(|figure| (self.place(figure), [figure.basic, figure.predicted])).collect();
        self.rows.push(SheetRow { fixed: line(&fixed(row)).into_boxed_str(), numbers });
    }

    /// The place of a figure's budget in its unit, which is that of its last row from here on.
    fn place(&mut self, figure: &SheetFigure) -> usize {
        let is_it = |budget: &Budget| budget.name == figure.name && budget.unit == figure.unit;
        let last = self.last.get_mut(&figure.name);
        if let Some(place) = &last
            && is_it(&self.budgets[**place])
        {
            return **place;
        }
        let known = self.budgets.iter().position(is_it);
        let place = known.unwrap_or(self.budgets.len());
        if known.is_none() {
            let (name, unit) = (figure.name.clone(), figure.unit.clone());
            self.budgets.push(Budget { name, unit });
        }
        match last {
            Some(last) => *last = place,
            None => drop(self.last.insert(figure.name.clone(), place)),
        }
        place
    }

    /// The sheet with the rows that were added.
    #[must_use]
    pub fn text(&self) -> String {
        let fixed = FIXED.iter().map(|name| (*name).to_owned());
        let budgets = self.last.values().flat_map(|place| {
            let Budget { name, unit } = &self.budgets[*place];
            let unit = if unit.is_empty() { String::new() } else { format!(" [{unit}]") };
            ["basic", "predicted"].map(|which| format!("{name} {which}{unit}"))
        });
        let names: Vec<Cell> = fixed.chain(budgets).map(Cell::Text).collect();
        let mut text = line(&names) + LINE_END;
        let mut columns: Vec<Column> = self.last.values().map(|place| Column::of(*place)).collect();
        for row in &self.rows {
            text += &row.fixed;
            columns.iter_mut().for_each(|column| text += column.cells(row));
            text += LINE_END;
        }
        text
    }
}

/// The two columns of a budget in one unit; most rows leave it as the row before did.
struct Column {
    place: usize,
    /// The numbers of the last row that had them, and their cells, each behind a comma.
    written: Option<([f64; 2], String)>,
}

impl Column {
    fn of(place: usize) -> Self {
        Self { place, written: None }
    }

    /// The cells of a row; empty ones where it does not tell of the budget in that unit.
    fn cells(&mut self, row: &SheetRow) -> &str {
        let numbers = row.numbers.iter().find(|(at, _)| *at == self.place);
        let Some((_, numbers)) = numbers else { return ",," };
        let bits = |numbers: &[f64; 2]| numbers.map(f64::to_bits);
        if self.written.as_ref().is_none_or(|(last, _)| bits(last) != bits(numbers)) {
            let [basic, predicted] = numbers;
            self.written = Some((*numbers, format!(",{basic},{predicted}")));
        }
        self.written.as_ref().map_or(",,", |(_, cells)| cells)
    }
}

fn fixed(row: &LedgerSheetRow) -> Vec<Cell> {
    let text = |text: &str| Cell::Text(text.to_owned());
    let yes = |is: bool| text(if is { "yes" } else { "no" });
    let list = |ids: &[Id]| Cell::Text(ids.iter().map(Id::as_str).collect::<Vec<_>>().join(" "));
    let loosened = row.loosened.iter().map(|less| format!("{} {}", less.requirement, less.what));
    vec![
        text(&row.revision.revision),
        text(&row.revision.date),
        text(&row.revision.author),
        text(&row.revision.subject),
        yes(row.revision.is_merge),
        yes(row.readable),
        list(&row.parts),
        Cell::Text(verdicts(&row.verdicts).join("; ")),
        Cell::Text(loosened.collect::<Vec<_>>().join("; ")),
        list(&row.opened),
        list(&row.closed),
        list(&row.decided),
    ]
}
