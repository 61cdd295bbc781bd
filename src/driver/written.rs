//! What a build has written into a folder: a list of names and hashes in the folder tells.
//!
//! A folder may hold others with lists of their own, one for each row of a table; its list names them.

use super::atomic::{at, exists, refused, why_not_portable};
use crate::source::sha256;
use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::io;
use std::path::Path;

/// The file in each folder that lists what was written there: hash, two blanks, path. A path that ends with `/` is a folder
/// with a list of its own.
pub(super) const LIST: &str = ".kerfbook";

/// Files that desktops leave in every folder they show.
const DEBRIS: [&str; 3] = [".DS_Store", "Thumbs.db", "desktop.ini"];

/// Paths of one folder and the hashes of what was written there.
pub(super) type List = BTreeMap<String, String>;

/// A list as it is written.
pub(super) fn list_text(list: &List) -> String {
    list.iter().map(|(path, hash)| format!("{hash}  {path}\n")).collect()
}

/// The folders of a list that have lists of their own, and are there.
pub(super) fn folders_in<'l>(list: &'l List, folder: &Path) -> Vec<&'l str> {
    let named = list.keys().filter_map(|path| path.strip_suffix('/'));
    // A link may lead anywhere: it is nothing that was written here.
    named.filter(|name| fs::symlink_metadata(folder.join(name)).is_ok_and(|about| about.is_dir())).collect()
}

/// What was written in `folder`; `None` when it does not exist or is empty. Fails when it holds anything else.
pub(super) fn written_here(folder: &Path) -> io::Result<Option<List>> {
    let Ok(about) = fs::symlink_metadata(folder) else { return Ok(None) };
    if about.is_symlink() {
        return Err(refused(format!("`{}` is a link; name the folder that it leads to", folder.display())));
    }
    if !about.is_dir() {
        return Err(refused(format!("`{}` is a file, and a folder has to be written there", folder.display())));
    }
    let list = read_list(folder)?;
    let inner = folders_in(&list, folder);
    for name in &inner {
        written_here(&folder.join(name))?;
    }
    let found = contents(folder)?.files;
    let is_inside = |path: &str| inner.iter().any(|n| path.strip_prefix(n).is_some_and(|p| p.starts_with('/')));
    let known = |path: &str| path == LIST || list.contains_key(path) || is_debris(path) || is_inside(path);
    let foreign: Vec<&str> = found.iter().map(String::as_str).filter(|p| !known(p)).collect();
    if !foreign.is_empty() {
        return Err(keeps(folder, "were not written by a build", &foreign));
    }
    let mut changed = Vec::new();
    for (path, hash_then) in list.iter().filter(|(path, _)| found.contains(*path)) {
        let place = folder.join(path);
        if sha256(&fs::read(&place).map_err(|e| at(&place, &e))?) != *hash_then {
            changed.push(path.as_str());
        }
    }
    if !changed.is_empty() {
        return Err(keeps(folder, "were changed since they were built", &changed));
    }
    // A file that is missing makes the list wrong, so that everything is written anew.
    let is_there = |path: &str| found.contains(path) || path.strip_suffix('/').is_some_and(|n| inner.contains(&n));
    let present = list.iter().filter(|(path, _)| is_there(path)).map(|(p, h)| (p.clone(), h.clone())).collect();
    Ok((!found.is_empty()).then_some(present))
}

fn keeps(folder: &Path, why: &str, files: &[&str]) -> io::Error {
    let shown: Vec<String> = files.iter().take(5).map(|f| format!("`{f}`")).collect();
    let more = if files.len() > 5 { format!(" and {} more", files.len() - 5) } else { String::new() };
    refused(format!(
        "`{}` holds files that {why}: {}{more}; move them elsewhere, or build into another folder",
        folder.display(),
        shown.join(", ")
    ))
}

/// Reads the list of a folder; what is no line of it (a run was interrupted) is not in it.
pub(super) fn read_list(folder: &Path) -> io::Result<List> {
    let path = folder.join(LIST);
    if !exists(&path) {
        return Ok(List::new());
    }
    let bytes = fs::read(&path).map_err(|e| at(&path, &e))?;
    let text = String::from_utf8_lossy(&bytes);
    let entry = |line: &str| line.split_once("  ").map(|(hash, path)| (path.to_owned(), hash.to_owned()));
    Ok(text
        .lines()
        .filter_map(entry)
        .filter(|(path, _)| why_not_portable(path.trim_end_matches('/')).is_none())
        .collect())
}

/// Removes what a folder lists, and then the folder. Anything else in it is kept, and an error.
pub(super) fn remove_written(folder: &Path) -> io::Result<()> {
    if !exists(folder) {
        return Ok(());
    }
    let list = read_list(folder)?;
    for name in folders_in(&list, folder) {
        remove_written(&folder.join(name))?;
    }
    let Contents { files, folders } = contents(folder)?;
    for path in files.iter().filter(|p| *p != LIST && (list.contains_key(*p) || is_debris(p))) {
        fs::remove_file(folder.join(path)).map_err(|e| at(&folder.join(path), &e))?;
    }
    for inner in folders.into_iter().rev() {
        // Fails where something is kept, which the last line reports.
        let _ = fs::remove_dir(folder.join(inner));
    }
    let rest = fs::read_dir(folder).map_err(|e| at(folder, &e))?.count();
    if rest <= 1 && files.contains(LIST) {
        // The list goes last, so that an interrupted removal can be taken up again.
        fs::remove_file(folder.join(LIST)).map_err(|e| at(folder, &e))?;
    }
    fs::remove_dir(folder).map_err(|e| at(folder, &e))
}

fn is_debris(path: &str) -> bool {
    DEBRIS.contains(&path.rsplit('/').next().unwrap_or(path))
}

/// What is below a folder: paths relative to it, with `/`.
#[derive(Default)]
struct Contents {
    /// Files and links; links are not followed.
    files: BTreeSet<String>,
    /// Folders, outer ones before the ones in them.
    folders: BTreeSet<String>,
}

fn contents(folder: &Path) -> io::Result<Contents> {
    let mut found = Contents::default();
    let mut rest = vec![String::new()];
    while let Some(inner) = rest.pop() {
        let place = folder.join(&inner);
        for entry in fs::read_dir(&place).map_err(|e| at(&place, &e))? {
            let entry = entry.map_err(|e| at(&place, &e))?;
            let path = format!("{inner}{}", entry.file_name().to_string_lossy());
            if entry.file_type().map_err(|e| at(&entry.path(), &e))?.is_dir() {
                rest.push(format!("{path}/"));
                found.folders.insert(path);
            } else {
                found.files.insert(path);
            }
        }
    }
    Ok(found)
}
