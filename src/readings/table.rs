//! Readings from a table: one a row, in columns of known names.

use super::ReadingError;
use crate::source::Sources;
use crate::table;
use crate::units::Dimension;

/// A table whose columns are known.
#[derive(Clone, Debug)]
pub struct Table {
    /// The columns, in the order of the file.
    pub columns: Vec<String>,
    /// The rows.
    pub rows: Vec<Row>,
}

/// A row of a table.
#[derive(Clone, Debug)]
pub struct Row {
    file: String,
    /// Line of the file, from 1.
    line: usize,
    cells: Vec<(String, String)>,
}

impl Row {
    /// What is written in a column; `None` where it is left empty.
    pub fn cell(&self, column: &str) -> Option<&str> {
        self.cells.iter().find(|(name, _)| name == column).map(|(_, cell)| cell.as_str()).filter(|c| !c.is_empty())
    }

    /// What a column has to hold.
    ///
    /// # Errors
    /// When it is empty or cannot be read.
    pub fn read<T>(&self, column: &str, read: impl FnOnce(&str) -> Result<T, String>) -> Result<T, ReadingError> {
        let cell = self.cell(column).ok_or_else(|| "this cell is empty".to_owned());
        cell.and_then(read).map_err(|message| {
            ReadingError::new(message, "write a value with its unit, as in a recipe").at(self.place(column))
        })
    }

    /// A quantity above zero, in its base unit.
    ///
    /// # Errors
    /// When the cell is empty or holds something else.
    pub fn quantity(&self, column: &str, dimension: Dimension) -> Result<f64, ReadingError> {
        self.read(column, |cell| super::quantity::above_zero(cell, dimension))
    }

    /// `file, line 3, column sum`.
    pub fn place(&self, column: &str) -> String {
        format!("{}, line {}, column `{column}`", self.file, self.line)
    }
}

impl Table {
    /// The readings of a table. `layouts` are the sets of columns that make sense; the table has to have one of them, in any
    /// order.
    ///
    /// # Errors
    /// When it has other columns.
    pub fn of(read: &table::Table, sources: &Sources, layouts: &[&[&str]]) -> Result<Self, ReadingError> {
        let columns: Vec<String> = read.columns.iter().map(|c| c.value.to_lowercase()).collect();
        known(&read.name, &columns, layouts)?;
        let rows = read.rows.iter().map(|row| {
            let texts = row.cells.iter().map(|cell| number(cell.text().unwrap_or_default(), read.has_free_commas));
            let cells = columns.iter().cloned().zip(texts).collect();
            let line = sources.position(row.span.source, row.span.start).line;
            Row { file: read.name.clone(), line, cells }
        });
        Ok(Self { rows: rows.collect(), columns })
    }
}

/// A number as the language writes it: where commas part no cells, a single one is the decimal mark.
fn number(cell: &str, has_free_commas: bool) -> String {
    let is_mark = has_free_commas && cell.matches(',').count() == 1 && !cell.contains('.');
    if is_mark { cell.replace(',', ".") } else { cell.to_owned() }
}

/// Checks that the columns are those of one layout.
fn known(file: &str, columns: &[String], layouts: &[&[&str]]) -> Result<(), ReadingError> {
    let is =
        |layout: &&&[&str]| layout.len() == columns.len() && layout.iter().all(|n| columns.iter().any(|c| c == n));
    if layouts.iter().any(|l| is(&l)) {
        return Ok(());
    }
    let listed: Vec<String> = layouts.iter().map(|l| format!("`{}`", l.join(","))).collect();
    let shown: String = columns.join(",").chars().take(80).collect();
    Err(ReadingError::new(
        format!("the columns are `{shown}`"),
        format!("name them in the first line: {}", listed.join(" or ")),
    )
    .at(format!("{file}, line 1")))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::diagnostics::Sink;
    use crate::source::FileBytes;

    const LAYOUTS: &[&[&str]] = &[&["drawn", "strips", "sum"], &["hole", "part"]];

    fn of(text: &str) -> Result<Table, ReadingError> {
        let file = FileBytes { path: "kerf.csv".into(), bytes: text.as_bytes().into(), hash: String::new() };
        let mut sources = Sources::default();
        let remarks = table::Remarks::Hash;
        let read = table::read(&file, "kerf.csv", None, remarks, &mut sources, &mut Sink::new());
        Table::of(&read.expect("a table"), &sources, LAYOUTS)
    }

    #[test]
    fn a_table_is_read_whatever_the_order_of_its_columns() {
        let table = of("\u{FEFF}Sum, drawn ,strips\r\n# a remark\r\n\"58.4 mm\", 60 mm, 10\r\n").unwrap();
        assert_eq!(table.rows[0].quantity("sum", Dimension::Length).unwrap(), 58.4);
        assert_eq!(table.rows[0].cell("strips"), Some("10"));
        assert_eq!(table.rows[0].place("sum"), "kerf.csv, line 3, column `sum`");
    }

    #[test]
    fn decimal_commas_are_read_where_they_part_no_cells() {
        for text in ["hole;part\n20,09 mm;19,76 mm\n", "hole\tpart\r\n20,09 mm\t19.76 mm\r\n"] {
            let row = &of(text).unwrap().rows[0];
            let [hole, part] = ["hole", "part"].map(|c| row.quantity(c, Dimension::Length).unwrap());
            assert_eq!((hole, part), (20.09, 19.76), "{text:?}");
        }
        for text in ["hole,part\n\"20,09 mm\",19.76 mm\n", "hole;part\n1.020,09 mm;19,76 mm\n"] {
            assert!(of(text).unwrap().rows[0].quantity("hole", Dimension::Length).is_err(), "{text:?}");
        }
    }

    #[test]
    fn what_is_wrong_is_told_with_its_place() {
        let error = of("drawn,strips\n1,2\n").unwrap_err().to_string();
        assert!(error.contains("kerf.csv, line 1: the columns are `drawn,strips`"), "{error}");
        let row = &of("hole,part\n,1\n").unwrap().rows[0];
        let said = |column| row.quantity(column, Dimension::Length).unwrap_err().to_string();
        assert!(said("hole").contains("column `hole`: this cell is empty"));
        assert!(said("part").contains("has no unit"));
    }
}
