//! The folder that holds one of each row of a table: it lists them, so that a build without rows may take its place, and
//! what belongs to rows that are gone is removed.

use super::atomic::{Places, at, lock};
use super::one_file::write_file;
use super::written::{LIST, List, folders_in, list_text, read_list, remove_written, written_here};
use std::fs;
use std::io;
use std::path::Path;

/// Stands in a list in the place of the hash of a folder, which has a list of its own.
const FOLDER: &str = "-";

/// Makes a folder ready for those of some rows; whatever was built there stays for now.
///
/// # Errors
/// When it holds files that were not written by a build or were changed since, and when it cannot be written.
pub fn begin(target: &Path, rows: &[String]) -> io::Result<()> {
    let places = Places::new(target)?;
    fs::create_dir_all(&places.parent).map_err(|e| at(&places.parent, &e))?;
    let _lock = lock(&places.parent)?;
    places.recover()?;
    fs::create_dir_all(target).map_err(|e| at(target, &e))?;
    let before = read_list(target)?;
    for row in before.keys().filter_map(|path| path.strip_suffix('/')).chain(rows.iter().map(String::as_str)) {
        Places::new(&target.join(row))?.recover()?;
    }
    let mut list = written_here(target)?.unwrap_or_default();
    list.extend(rows.iter().map(entry));
    put(target, &list)
}

/// Removes what stands in the folder besides those of the rows, all of it written by builds before.
///
/// # Errors
/// When something else has come to stand there, or cannot be removed.
pub fn finish(target: &Path, rows: &[String]) -> io::Result<()> {
    let places = Places::new(target)?;
    let _lock = lock(&places.parent)?;
    let list = written_here(target)?.unwrap_or_default();
    let is_row = |path: &str| rows.iter().any(|row| path.strip_suffix('/') == Some(row));
    for path in list.keys().filter(|path| !is_row(path)) {
        match path.strip_suffix('/') {
            Some(name) => remove_written(&target.join(name))?,
            None => fs::remove_file(target.join(path)).map_err(|e| at(&target.join(path), &e))?,
        }
        // Those that hold nothing any more; the others are needed.
        for above in Path::new(path).ancestors().skip(1).filter(|a| !a.as_os_str().is_empty()) {
            let _ = fs::remove_dir(target.join(above));
        }
    }
    let there = folders_in(&list, target);
    put(target, &rows.iter().filter(|row| there.contains(&row.as_str())).map(entry).collect())
}

fn entry(row: &String) -> (String, String) {
    (format!("{row}/"), FOLDER.to_owned())
}

fn put(target: &Path, list: &List) -> io::Result<()> {
    let place = target.join(LIST);
    write_file(&place, list_text(list).as_bytes()).map_err(|e| at(&place, &e))
}
