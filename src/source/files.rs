//! The one way to read a file.

use sha2::{Digest, Sha256};
use std::collections::BTreeMap;
use std::fs::File;
use std::io::Read;
use std::path::{Component, Path, PathBuf};
use std::sync::{Arc, Mutex};

/// Larger files are refused: far above any artwork or photo a workshop sheet can use.
pub const MAX_FILE_BYTES: u64 = 256 * 1024 * 1024;

/// The bytes of a file and their hash.
#[derive(Clone, Debug)]
pub struct FileBytes {
    /// Where it really lies, links resolved.
    pub path: PathBuf,
    /// What it holds.
    pub bytes: Arc<[u8]>,
    /// SHA-256 of the bytes, in lower-case hexadecimal.
    pub hash: String,
}

/// Why a file could not be read.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum ReadError {
    /// There is none.
    NotFound {
        /// Names in the same folder that come close.
        near: Vec<String>,
    },
    /// It is a folder, a pipe or a device.
    NotAFile,
    /// It is over [`MAX_FILE_BYTES`].
    TooLarge {
        /// Its size in bytes.
        bytes: u64,
    },
    /// It lies outside the project's folder and no one allowed that.
    OutsideProject {
        /// The project's folder.
        root: PathBuf,
        /// Where the path really leads.
        real: PathBuf,
    },
    /// The path is not written portably: a backslash, a drive, a control character.
    BadPath {
        /// What is wrong with it.
        why: &'static str,
    },
    /// The operating system said no.
    Failed {
        /// In its words.
        why: String,
    },
}

/// One path that was asked for, whether or not it could be read.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Access {
    /// The path, as absolute as it could be made.
    pub path: PathBuf,
    /// Hash of what was read; `None` when it failed.
    pub hash: Option<String>,
}

/// A place that files are read from.
pub trait Files: Send + Sync {
    /// Reads `path`, which stands in the text at `from` and is relative to that text's folder.
    fn read(&self, path: &str, from: Option<&Path>) -> Result<FileBytes, ReadError>;

    /// Reads a file that was named on the command line: naming it there allows it, wherever it lies.
    fn open_named(&self, path: &Path) -> Result<FileBytes, ReadError>;

    /// Every path asked for so far, sorted.
    fn accesses(&self) -> Vec<Access>;

    /// The first digits of the revision that the project is at, where it is kept under version control.
    fn revision(&self) -> Option<String> {
        None
    }
}

/// Files on disk, inside one project's folder and the folders that the user has added.
#[derive(Debug)]
pub struct DiskFiles {
    root: PathBuf,
    also: Vec<PathBuf>,
    log: Mutex<BTreeMap<PathBuf, Option<String>>>,
}

impl DiskFiles {
    /// Reads below `root` (an existing folder) and below each folder in `also`.
    pub fn new(root: &Path, also: &[PathBuf]) -> Self {
        let real = |p: &Path| p.canonicalize().unwrap_or_else(|_| p.to_path_buf());
        Self { root: real(root), also: also.iter().map(|p| real(p)).collect(), log: Mutex::default() }
    }

    /// The project's folder, links resolved.
    pub fn root(&self) -> &Path {
        &self.root
    }

    fn record(&self, path: PathBuf, hash: Option<String>) {
        if let Ok(mut log) = self.log.lock() {
            log.insert(path, hash);
        }
    }

    fn load(&self, wanted: &Path) -> Result<FileBytes, ReadError> {
        let allows =
            |real: &Path| std::iter::once(&self.root).chain(&self.also).any(|root| real.starts_with(root));
        let real = resolve(wanted).map_err(|error| match error {
            // What lies in folders that may not be read is nobody's business.
            ReadError::NotFound { .. }
                if !wanted.parent().and_then(|p| p.canonicalize().ok()).is_some_and(|p| allows(&p)) =>
            {
                ReadError::NotFound { near: Vec::new() }
            }
            error => error,
        })?;
        if !allows(&real) {
            return Err(ReadError::OutsideProject { root: self.root.clone(), real });
        }
        read_regular(&real)
    }
}

impl Files for DiskFiles {
    fn read(&self, path: &str, from: Option<&Path>) -> Result<FileBytes, ReadError> {
        check_spelling(path)?;
        let folder = from.and_then(Path::parent).unwrap_or(&self.root);
        let wanted = tidy(&folder.join(path));
        let result = self.load(&wanted);
        self.record(wanted, result.as_ref().ok().map(|f| f.hash.clone()));
        result
    }

    fn open_named(&self, path: &Path) -> Result<FileBytes, ReadError> {
        let wanted = tidy(&std::path::absolute(path).unwrap_or_else(|_| path.to_path_buf()));
        let result = resolve(&wanted).and_then(|real| read_regular(&real));
        self.record(wanted, result.as_ref().ok().map(|f| f.hash.clone()));
        result
    }

    fn accesses(&self) -> Vec<Access> {
        let log = self.log.lock().map(|l| l.clone()).unwrap_or_default();
        log.into_iter().map(|(path, hash)| Access { path, hash }).collect()
    }

    fn revision(&self) -> Option<String> {
        super::revision::revision(&self.root)
    }
}

/// Where a path really leads.
fn resolve(wanted: &Path) -> Result<PathBuf, ReadError> {
    wanted.canonicalize().map_err(|error| {
        if error.kind() == std::io::ErrorKind::NotFound {
            ReadError::NotFound { near: near_files(wanted) }
        } else {
            ReadError::Failed { why: error.to_string() }
        }
    })
}

fn read_regular(real: &Path) -> Result<FileBytes, ReadError> {
    let failed = |error: std::io::Error| ReadError::Failed { why: error.to_string() };
    // Asked before opening: opening a pipe would wait for ever.
    let about = std::fs::metadata(real).map_err(failed)?;
    if !about.is_file() {
        return Err(ReadError::NotAFile);
    }
    if about.len() > MAX_FILE_BYTES {
        return Err(ReadError::TooLarge { bytes: about.len() });
    }
    let mut bytes = Vec::new();
    File::open(real).and_then(|f| f.take(MAX_FILE_BYTES + 1).read_to_end(&mut bytes)).map_err(failed)?;
    let size = bytes.len() as u64;
    if size > MAX_FILE_BYTES {
        return Err(ReadError::TooLarge { bytes: size });
    }
    Ok(file_bytes(real.to_path_buf(), bytes.into()))
}

fn file_bytes(path: PathBuf, bytes: Arc<[u8]>) -> FileBytes {
    let hash = sha256(&bytes);
    FileBytes { path, bytes, hash }
}

/// SHA-256 in lower-case hexadecimal.
pub fn sha256(bytes: &[u8]) -> String {
    Sha256::digest(bytes).iter().fold(String::new(), |hex, b| hex + &format!("{b:02x}"))
}

/// Refuses paths that would mean something else on another machine.
fn check_spelling(path: &str) -> Result<(), ReadError> {
    let bad = |why| Err(ReadError::BadPath { why });
    if path.is_empty() {
        return bad("it is empty");
    }
    if path.contains('\\') {
        return bad("it holds a backslash; write `/` between folders on every system");
    }
    if path.chars().any(char::is_control) {
        return bad("it holds a control character");
    }
    if path.starts_with('/') || path.get(1..2) == Some(":") {
        return bad("it is absolute; write it relative to the file it stands in, so that a friend can use it too");
    }
    Ok(())
}

/// Removes `.` and `a/..` without asking the disk, so that a missing file still has one name.
fn tidy(path: &Path) -> PathBuf {
    let mut out = PathBuf::new();
    for part in path.components() {
        match part {
            Component::CurDir => {}
            Component::ParentDir if matches!(out.components().next_back(), Some(Component::Normal(_))) => {
                out.pop();
            }
            other => out.push(other),
        }
    }
    out
}

/// Entries of a folder that are looked at for names.
const MOST_LISTED: usize = 2000;

/// Names in the folder of `wanted` that come close to its name; where none does, those with the same ending.
fn near_files(wanted: &Path) -> Vec<String> {
    let name = wanted.file_name().map(|n| n.to_string_lossy().into_owned()).unwrap_or_default();
    let Some(Ok(listing)) = wanted.parent().map(std::fs::read_dir) else { return Vec::new() };
    let all: Vec<String> = listing
        .take(MOST_LISTED)
        .filter_map(|entry| Some(entry.ok()?.file_name().to_string_lossy().into_owned()))
        .collect();
    let distance = |other: &str| strsim::damerau_levenshtein(&name.to_lowercase(), &other.to_lowercase());
    let mut close: Vec<(usize, String)> = all.iter().map(|other| (distance(other), other.clone())).collect();
    close.retain(|(distance, _)| *distance <= 1 + name.len() / 4);
    close.sort();
    if !close.is_empty() {
        return close.into_iter().map(|(_, other)| other).take(3).collect();
    }
    let ending = |path: &str| Path::new(path).extension().map(|e| e.to_string_lossy().to_lowercase());
    let wanted = ending(&name);
    let mut alike: Vec<String> =
        all.into_iter().filter(|other| wanted.is_some() && ending(other) == wanted).collect();
    alike.sort();
    alike.truncate(3);
    alike
}

/// Files held in memory, for tests and for text that has not been saved yet.
#[derive(Debug, Default)]
pub struct MemoryFiles {
    files: BTreeMap<PathBuf, Arc<[u8]>>,
    log: Mutex<BTreeMap<PathBuf, Option<String>>>,
}

impl MemoryFiles {
    /// Adds or replaces a file.
    pub fn insert(&mut self, path: impl Into<PathBuf>, bytes: impl Into<Arc<[u8]>>) {
        self.files.insert(path.into(), bytes.into());
    }
}

impl Files for MemoryFiles {
    fn read(&self, path: &str, from: Option<&Path>) -> Result<FileBytes, ReadError> {
        check_spelling(path)?;
        let folder = from.and_then(Path::parent).unwrap_or(Path::new(""));
        let wanted = tidy(&folder.join(path));
        let found = self.files.get(&wanted).map(|b| file_bytes(wanted.clone(), Arc::clone(b)));
        if let Ok(mut log) = self.log.lock() {
            log.insert(wanted, found.as_ref().map(|f| f.hash.clone()));
        }
        found.ok_or(ReadError::NotFound { near: Vec::new() })
    }

    fn open_named(&self, path: &Path) -> Result<FileBytes, ReadError> {
        self.read(&path.to_string_lossy(), None)
    }

    fn accesses(&self) -> Vec<Access> {
        let log = self.log.lock().map(|l| l.clone()).unwrap_or_default();
        log.into_iter().map(|(path, hash)| Access { path, hash }).collect()
    }
}
