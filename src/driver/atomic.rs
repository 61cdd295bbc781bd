//! Replaces an output folder as one step: the last good one stays until the new one is complete on the disk.
//!
//! The new folder is written beside the old one and then changes places with it. On Linux that is a single
//! step. Elsewhere, or where the file system cannot do it, the old folder is moved aside first; a power failure
//! in that moment leaves no folder under the name, and the next run puts the old one back.
//!
//! Invariant: nothing is ever deleted that this module did not write. A list of names and hashes in each folder
//! tells what that is.

use super::written::{LIST, List, list_text, remove_written, written_here};
use crate::source::sha256;
use std::collections::{BTreeMap, BTreeSet};
use std::fs::{self, File, OpenOptions};
use std::io::{self, ErrorKind, Write};
use std::path::{Path, PathBuf};
use std::time::{Duration, Instant};

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

/// The folder and its neighbours.
pub(super) struct Places {
    pub(super) parent: PathBuf,
    target: PathBuf,
    /// Where the new folder is written, and where the old one is after it has changed places with it.
    new: PathBuf,
    /// Where the old folder is moved when the two cannot change places in one step.
    old: PathBuf,
}

impl Places {
    pub(super) fn new(target: &Path) -> io::Result<Self> {
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
    pub(super) fn recover(&self) -> io::Result<()> {
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
pub(super) fn lock(folder: &Path) -> io::Result<Option<File>> {
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
    write_file(&folder.join(LIST), list_text(list).as_bytes())?;
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

pub(super) fn why_not_portable(path: &str) -> Option<&'static str> {
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
pub(super) fn exists(path: &Path) -> bool {
    fs::symlink_metadata(path).is_ok()
}

/// The error with the path it is about.
pub(super) fn at(path: &Path, error: &io::Error) -> io::Error {
    io::Error::new(error.kind(), format!("{}: {error}", path.display()))
}

pub(super) fn refused(text: String) -> io::Error {
    io::Error::new(ErrorKind::AlreadyExists, text)
}
