//! Replaces an output folder as one step: the last good one stays until the new one is complete on the disk.
//!
//! The new folder is written beside the old one and then changes places with it. On Linux that is a single
//! step. Elsewhere, or where the file system cannot do it, the old folder is moved aside first; a power failure
//! in that moment leaves no folder under the name, and the next run puts the old one back.
//!
//! Invariant: nothing is ever deleted that this module did not write. A list of names and hashes in each folder
//! tells what that is.

use crate::source::sha256;
use std::collections::{BTreeMap, BTreeSet};
use std::fs::{self, File, OpenOptions};
use std::io::{self, ErrorKind, Write};
use std::path::{Path, PathBuf};
use std::time::{Duration, Instant};

/// The file in each folder that lists what was written there: hash, two blanks, path.
const LIST: &str = ".kerfbook";

/// Files that desktops leave in every folder they show.
const DEBRIS: [&str; 3] = [".DS_Store", "Thumbs.db", "desktop.ini"];

/// How long another run that writes beside this one is waited for.
const PATIENCE: Duration = Duration::from_secs(10);

/// Longer names fit on no common file system once a suffix is added.
const MAX_NAME_BYTES: usize = 200;

/// Puts `files` (relative path with `/`, content) in the place of everything in `target`.
///
/// Fails, and leaves `target` as it is, when it holds files that were not written here or that were changed since,
/// when two paths would be one file on some machine, and when anything cannot be written.
pub fn replace_folder(target: &Path, files: &[(String, Vec<u8>)]) -> io::Result<()> {
    check_paths(files)?;
    let places = Places::new(target)?;
    fs::create_dir_all(&places.parent).map_err(|e| at(&places.parent, &e))?;
    let _lock = lock(&places.parent)?;
    places.recover()?;
    let old = written_here(target)?;
    let list: List = files.iter().map(|(path, bytes)| (path.clone(), sha256(bytes))).collect();
    if old.as_ref() == Some(&list) {
        return Ok(());
    }
    let swapped = write_folder(&places.new, files, &list).and_then(|()| places.swap());
    if swapped.is_err() && target.exists() {
        // What failed is worth more to the reader than a failure to clear up after it.
        let _ = remove_written(&places.new);
    }
    swapped
}

/// Paths of one folder and the hashes of what was written there.
type List = BTreeMap<String, String>;

/// The folder and its neighbours.
struct Places {
    parent: PathBuf,
    target: PathBuf,
    /// Where the new folder is written, and where the old one is after it has changed places with it.
    new: PathBuf,
    /// Where the old folder is moved when the two cannot change places in one step.
    old: PathBuf,
}

impl Places {
    fn new(target: &Path) -> io::Result<Self> {
        let name = target.file_name().and_then(|n| n.to_str());
        let name =
            name.ok_or_else(|| refused(format!("`{}` cannot be the name of a folder", target.display())))?;
        let parent = match target.parent() {
            Some(parent) if !parent.as_os_str().is_empty() => parent.to_path_buf(),
            _ => PathBuf::from("."),
        };
        let beside = |suffix: &str| parent.join(format!(".{name}.kerfbook-{suffix}"));
        Ok(Self { target: target.to_path_buf(), new: beside("new"), old: beside("old"), parent })
    }

    /// Clears up after a run that was interrupted.
    fn recover(&self) -> io::Result<()> {
        if exists(&self.old) && !exists(&self.target) {
            fs::rename(&self.old, &self.target).map_err(|e| at(&self.old, &e))?;
        }
        remove_written(&self.old)?;
        remove_written(&self.new)
    }

    /// Puts the new folder in the place of the old one and removes that.
    fn swap(&self) -> io::Result<()> {
        if !exists(&self.target) {
            fs::rename(&self.new, &self.target).map_err(|e| at(&self.target, &e))?;
        } else if exchange(&self.new, &self.target) {
            sync_folder(&self.parent);
            return remove_written(&self.new);
        } else {
            fs::rename(&self.target, &self.old).map_err(|e| at(&self.target, &e))?;
            if let Err(error) = fs::rename(&self.new, &self.target) {
                fs::rename(&self.old, &self.target).map_err(|e| at(&self.old, &e))?;
                return Err(at(&self.target, &error));
            }
        }
        sync_folder(&self.parent);
        remove_written(&self.old)
    }
}

/// Lets two folders change places in one step; `false` when the system cannot, and nothing has happened.
#[cfg(target_os = "linux")]
fn exchange(one: &Path, other: &Path) -> bool {
    use rustix::fs::{CWD, RenameFlags, renameat_with};
    renameat_with(CWD, one, CWD, other, RenameFlags::EXCHANGE).is_ok()
}

#[cfg(not(target_os = "linux"))]
fn exchange(_one: &Path, _other: &Path) -> bool {
    false
}

/// Keeps other runs out of a folder until the returned file is dropped; `None` where folders cannot be locked.
fn lock(folder: &Path) -> io::Result<Option<File>> {
    let Ok(file) = File::open(folder) else { return Ok(None) };
    let start = Instant::now();
    loop {
        match file.try_lock() {
            Ok(()) => return Ok(Some(file)),
            Err(fs::TryLockError::Error(_)) => return Ok(None),
            Err(fs::TryLockError::WouldBlock) if PATIENCE < start.elapsed() => {
                let text = format!("{}: another run has been writing here for {PATIENCE:?}", folder.display());
                return Err(io::Error::new(ErrorKind::ResourceBusy, text));
            }
            Err(fs::TryLockError::WouldBlock) => std::thread::sleep(Duration::from_millis(20)),
        }
    }
}

/// Writes all files and the list of them into a folder that does not exist yet, through to the disk.
fn write_folder(folder: &Path, files: &[(String, Vec<u8>)], list: &List) -> io::Result<()> {
    fs::create_dir(folder).map_err(|e| at(folder, &e))?;
    // The list comes first: should the rest be interrupted, it tells what may be removed.
    let lines: Vec<String> = list.iter().map(|(path, hash)| format!("{hash}  {path}\n")).collect();
    write_file(&folder.join(LIST), lines.concat().as_bytes())?;
    for (path, bytes) in files {
        let path = folder.join(path);
        if let Some(parent) = path.parent() {
            fs::create_dir_all(parent).map_err(|e| at(parent, &e))?;
        }
        write_file(&path, bytes)?;
    }
    for inner in folders_of(list) {
        sync_folder(&folder.join(inner));
    }
    sync_folder(folder);
    Ok(())
}

fn write_file(path: &Path, bytes: &[u8]) -> io::Result<()> {
    let mut file = OpenOptions::new().write(true).create_new(true).open(path).map_err(|e| at(path, &e))?;
    file.write_all(bytes).and_then(|()| file.sync_all()).map_err(|e| at(path, &e))
}

/// Makes the names in a folder durable. Windows cannot and need not.
fn sync_folder(folder: &Path) {
    let _ = File::open(folder).and_then(|f| f.sync_all());
}

/// What was written in `folder`; `None` when it does not exist or is empty. Fails when it holds anything else.
fn written_here(folder: &Path) -> io::Result<Option<List>> {
    let Ok(about) = fs::symlink_metadata(folder) else { return Ok(None) };
    if about.is_symlink() {
        return Err(refused(format!("`{}` is a link; name the folder that it leads to", folder.display())));
    }
    if !about.is_dir() {
        return Err(refused(format!("`{}` is a file, and a folder has to be written there", folder.display())));
    }
    let list = read_list(folder)?;
    let found = contents(folder)?.files;
    let known = |path: &str| path == LIST || list.contains_key(path) || is_debris(path);
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
    let present = list.into_iter().filter(|(path, _)| found.contains(path)).collect();
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
fn read_list(folder: &Path) -> io::Result<List> {
    let path = folder.join(LIST);
    if !exists(&path) {
        return Ok(List::new());
    }
    let bytes = fs::read(&path).map_err(|e| at(&path, &e))?;
    let text = String::from_utf8_lossy(&bytes);
    let entry = |line: &str| line.split_once("  ").map(|(hash, path)| (path.to_owned(), hash.to_owned()));
    Ok(text.lines().filter_map(entry).filter(|(path, _)| why_not_portable(path).is_none()).collect())
}

/// Removes the files that a folder lists, and then the folder. Anything else in it is kept, and an error.
fn remove_written(folder: &Path) -> io::Result<()> {
    if !exists(folder) {
        return Ok(());
    }
    let list = read_list(folder)?;
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

/// The folders that hold the files of a list, outer ones before inner ones.
fn folders_of(list: &List) -> BTreeSet<String> {
    let above = |path: &String| path.match_indices('/').map(|(i, _)| path[..i].to_owned()).collect::<Vec<_>>();
    list.keys().flat_map(above).collect()
}

/// Refuses paths that would leave the folder, or that mean another file, or the same one, on another machine.
fn check_paths(files: &[(String, Vec<u8>)]) -> io::Result<()> {
    let mut taken: BTreeMap<String, &str> = BTreeMap::new();
    for (path, _) in files {
        if let Some(why) = why_not_portable(path) {
            return Err(refused(format!("`{}` cannot be written: {why}", path.escape_debug())));
        }
        if let Some(other) = taken.insert(path.to_lowercase(), path) {
            return Err(refused(format!("`{other}` and `{path}` are the same file on some machines")));
        }
    }
    for (lower, path) in &taken {
        let mut above = lower.match_indices('/').map(|(i, _)| &lower[..i]);
        if let Some(other) = above.find_map(|folder| taken.get(folder)) {
            return Err(refused(format!("`{other}` cannot be a file, because `{path}` needs it as a folder")));
        }
    }
    Ok(())
}

fn why_not_portable(path: &str) -> Option<&'static str> {
    let parts: Vec<&str> = path.split('/').collect();
    let device = |part: &str| {
        let stem = part.split('.').next().unwrap_or(part).to_ascii_uppercase();
        let numbered = |name: &str| stem.strip_prefix(name).is_some_and(|n| n.len() == 1 && n != "0");
        ["CON", "PRN", "AUX", "NUL"].contains(&stem.as_str()) || numbered("COM") || numbered("LPT")
    };
    if parts.iter().any(|p| p.is_empty() || *p == "." || *p == "..") {
        Some("it has to be relative and stay inside the folder")
    } else if path.contains(['\\', '<', '>', ':', '"', '|', '?', '*']) || path.chars().any(char::is_control) {
        Some("it holds a character that some machines do not allow")
    } else if parts.iter().any(|p| p.ends_with(['.', ' ']) || p.starts_with(' ')) {
        Some("a name in it starts or ends with a blank or a dot")
    } else if parts.iter().any(|p| MAX_NAME_BYTES < p.len()) {
        Some("a name in it is too long")
    } else if parts.iter().any(|p| device(p)) {
        Some("a name in it means a device on some machines")
    } else if parts[0].eq_ignore_ascii_case(LIST) {
        Some("that name is taken by the list of files")
    } else {
        None
    }
}

/// Whether anything stands there, a dangling link included.
fn exists(path: &Path) -> bool {
    fs::symlink_metadata(path).is_ok()
}

/// The error with the path it is about.
fn at(path: &Path, error: &io::Error) -> io::Error {
    io::Error::new(error.kind(), format!("{}: {error}", path.display()))
}

fn refused(text: String) -> io::Error {
    io::Error::new(ErrorKind::AlreadyExists, text)
}
