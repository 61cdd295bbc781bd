//! One job for each row of a table: its cells are the inputs of a recipe.

use crate::diagnostics::Sink;
use crate::recipe::{Given, read_failure};
use crate::source::{Files, Sources};
use crate::table::{self, Remarks, Row, Table};
use std::path::Path;

/// What one row gives.
#[derive(Clone, Debug)]
pub struct RowJob {
    /// The number of the row, from 1.
    pub number: usize,
    /// Its first cell, for people.
    pub title: String,
    /// The name of its folder: the number, and the first cell as far as it can be part of a file name everywhere.
    pub folder: String,
    /// Its cells, as values for inputs.
    pub given: Vec<Given>,
}

/// Reads the rows of a table. The sources hold its text, for the places of findings; no rows where it has errors.
pub fn rows(path: &Path, files: &dyn Files, sink: &mut Sink) -> (Sources, Vec<RowJob>) {
    let mut sources = Sources::default();
    let shown = path.to_string_lossy().replace('\\', "/");
    let table = match files.open_named(path) {
        Ok(file) => table::read(&file, &shown, None, Remarks::None, &mut sources, sink),
        Err(error) => {
            sink.push(read_failure(&error, &shown, None));
            None
        }
    };
    let jobs = table.iter().flat_map(|t| t.rows.iter().map(|row| job(t, row, &sources))).collect();
    (sources, jobs)
}

fn job(table: &Table, row: &Row, sources: &Sources) -> RowJob {
    let given: Vec<Given> = table
        .cells(row)
        .map(|(column, cell)| Given {
            name: column.value.clone(),
            value: cell.text().unwrap_or_default().to_owned(),
            origin: sources.get(cell.span.source).name.clone(),
        })
        .collect();
    let title = given.first().map(|g| g.value.clone()).unwrap_or_default();
    let digits = table.rows.len().to_string().len();
    let number = format!("{:0digits$}", row.number);
    let folder = match plain(&title) {
        words if words.is_empty() => number,
        words => format!("{number}-{words}"),
    };
    RowJob { number: row.number, title, folder, given }
}

/// Letters a to z, digits and `-`, at most 40: a file name on every system.
fn plain(text: &str) -> String {
    let lower = text.to_ascii_lowercase();
    let words = lower.split(|c: char| !c.is_ascii_alphanumeric()).filter(|w| !w.is_empty());
    let joined = words.collect::<Vec<_>>().join("-");
    joined.chars().take(40).collect::<String>().trim_end_matches('-').to_owned()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::source::MemoryFiles;

    fn jobs(text: &str) -> Vec<RowJob> {
        let mut files = MemoryFiles::default();
        files.insert("guests.csv", text.as_bytes());
        let mut sink = Sink::new();
        let (_, jobs) = rows(Path::new("guests.csv"), &files, &mut sink);
        assert!(!sink.has_errors());
        jobs
    }

    #[test]
    fn folders_sort_as_the_rows_do_and_are_plain() {
        let text = format!("name,table\nAda Müller / 7,1\n,2\n{}", "../..,3\n".repeat(8));
        let folders: Vec<String> = jobs(&text).into_iter().map(|j| j.folder).collect();
        assert_eq!(folders[..3], ["01-ada-m-ller-7", "02", "03"]);
        assert!(folders.is_sorted());
    }

    #[test]
    fn cells_become_inputs_by_the_names_of_their_columns() {
        let job = &jobs("name,table\nAda,4\n")[0];
        let given: Vec<(&str, &str)> = job.given.iter().map(|g| (g.name.as_str(), g.value.as_str())).collect();
        assert_eq!(given, [("name", "Ada"), ("table", "4")]);
        assert_eq!(job.given[1].origin, "guests.csv, row 1, column table");
    }
}
