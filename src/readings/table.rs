//! A small table of readings: comma-separated values (RFC 4180) with a line of column names.

use super::ReadingError;
use crate::units::Dimension;

/// More rows than this are no readings by hand.
const MOST_ROWS: usize = 1000;

/// Longer tables are refused.
const MOST_BYTES: usize = 1024 * 1024;

/// Columns are at most so many, whether known or not.
const MOST_COLUMNS: usize = 32;

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
    line: u64,
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

    /// `file, row 3, column sum`.
    pub fn place(&self, column: &str) -> String {
        format!("{}, line {}, column `{column}`", self.file, self.line)
    }
}

/// Reads a table. `layouts` are the sets of columns that make sense; the table has to have one of them, in any order.
///
/// # Errors
/// When it is no UTF-8 text, is too long, has ragged rows, or other columns.
pub fn table(file: &str, bytes: &[u8], layouts: &[&[&str]]) -> Result<Table, ReadingError> {
    let refused = |message: String, repair: &str| ReadingError::new(message, repair).at(file);
    if bytes.len() > MOST_BYTES {
        return Err(refused("this table is larger than 1 MB".into(), "leave only the readings of one card in it"));
    }
    let text = std::str::from_utf8(bytes).map_err(|e| {
        refused(format!("byte {} is no UTF-8 text", e.valid_up_to() + 1), "save the table as UTF-8")
    })?;
    // Line ends of one kind, and one at the end: so the line that the reader has come to tells where a row stands.
    let text = format!("{}\n", text.trim_start_matches('\u{FEFF}').replace("\r\n", "\n").trim_end());
    let mut reader =
        csv::ReaderBuilder::new().trim(csv::Trim::All).comment(Some(b'#')).from_reader(text.as_bytes());
    let columns = reader.headers().map(|h| h.iter().map(str::to_lowercase).collect::<Vec<String>>());
    let columns = columns.map_err(|error| broken(file, 1, &error))?;
    known(file, &columns, layouts)?;
    let mut rows = Vec::new();
    let mut record = csv::StringRecord::new();
    loop {
        let read = reader.read_record(&mut record);
        let line = reader.position().line().saturating_sub(1);
        if !read.map_err(|error| broken(file, line, &error))? {
            break;
        }
        if rows.len() == MOST_ROWS {
            return Err(refused(
                format!("this table has more than {MOST_ROWS} rows"),
                "leave only the readings in it",
            ));
        }
        let cells = columns.iter().cloned().zip(record.iter().map(str::to_owned)).collect();
        rows.push(Row { file: file.to_owned(), line, cells });
    }
    if rows.is_empty() {
        return Err(refused("this table has no rows".into(), "write one reading a row, under the column names"));
    }
    Ok(Table { columns, rows })
}

/// A row that cannot be read.
fn broken(file: &str, line: u64, error: &csv::Error) -> ReadingError {
    let message = match error.kind() {
        csv::ErrorKind::UnequalLengths { expected_len, len, .. } => {
            format!("this row has {len} cells, and the table has {expected_len} columns")
        }
        _ => "this row cannot be read".to_owned(),
    };
    ReadingError::new(
        message,
        "give every row as many cells as there are columns; a cell with a comma stands in quotes",
    )
    .at(format!("{file}, line {line}"))
}

/// Checks that the columns are those of one layout.
fn known(file: &str, columns: &[String], layouts: &[&[&str]]) -> Result<(), ReadingError> {
    let is =
        |layout: &&&[&str]| layout.len() == columns.len() && layout.iter().all(|n| columns.iter().any(|c| c == n));
    if columns.len() <= MOST_COLUMNS && layouts.iter().any(|l| is(&l)) {
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

    const LAYOUTS: &[&[&str]] = &[&["drawn", "strips", "sum"], &["hole", "part"]];

    fn of(text: &str) -> Result<Table, ReadingError> {
        table("kerf.csv", text.as_bytes(), LAYOUTS)
    }

    #[test]
    fn a_table_is_read_whatever_the_order_of_its_columns() {
        let table = of("\u{FEFF}Sum, drawn ,strips\r\n# a remark\r\n\"58.4 mm\", 60 mm, 10\r\n").unwrap();
        assert_eq!(table.rows[0].quantity("sum", Dimension::Length).unwrap(), 58.4);
        assert_eq!(table.rows[0].cell("strips"), Some("10"));
        assert_eq!(table.rows[0].place("sum"), "kerf.csv, line 3, column `sum`");
    }

    #[test]
    fn what_is_wrong_is_told_with_its_place() {
        let wrong = [
            ("", "the columns are ``"),
            ("drawn,strips\n1,2\n", "kerf.csv, line 1: the columns are `drawn,strips`"),
            ("hole,part\n", "no rows"),
            ("hole,part\n1 mm\n", "kerf.csv, line 2: this row has 1 cells, and the table has 2 columns"),
            ("hole,part\n1 mm,2 mm,3 mm\n", "line 2: this row has 3 cells"),
            ("hole,hole\n1 mm,2 mm\n", "the columns are `hole,hole`"),
        ];
        for (text, says) in wrong {
            let error = of(text).unwrap_err().to_string();
            assert!(error.contains(says), "{text:?}: {error}");
        }
        let row = &of("hole,part\n,1\n").unwrap().rows[0];
        assert!(
            row.quantity("hole", Dimension::Length)
                .unwrap_err()
                .to_string()
                .contains("column `hole`: this cell is empty")
        );
        assert!(row.quantity("part", Dimension::Length).unwrap_err().to_string().contains("has no unit"));
        assert!(table("a.csv", b"hole,part\n\xff,1\n", LAYOUTS).unwrap_err().message.contains("no UTF-8"));
        let long = format!("hole,part\n{}", "1 mm,1 mm\n".repeat(1001));
        assert!(of(&long).unwrap_err().message.contains("more than 1000 rows"));
    }
}
