//! Builds again whenever something changes that the last build asked for.
//!
//! Editors save in many ways: in place, by renaming a new file over the old one, by deleting and creating.
//! Therefore folders are watched, not files; everything is looked at once it has been quiet for a moment; and
//! only other content counts as a change. A file that was asked for and does not exist is waited for too.
//!
//! Invariant: what is written into the output folders, and what is only read, never causes a build.

use crate::source::{Access, MAX_FILE_BYTES};
use notify::event::{AccessKind, AccessMode};
use notify::{EventKind, RecommendedWatcher, RecursiveMode};
use notify_debouncer_full::{DebounceEventResult, DebouncedEvent, Debouncer, NoCache, new_debouncer_opt};
use sha2::{Digest, Sha256};
use std::collections::{BTreeMap, BTreeSet};
use std::fs::{self, File};
use std::io::{self, Read};
use std::path::{Path, PathBuf};
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::mpsc::{Receiver, RecvTimeoutError, channel};
use std::time::{Duration, Instant, SystemTime};

/// How often the flag that ends the watch is looked at.
const TICK: Duration = Duration::from_millis(50);

/// A file that never comes to rest is built from after this time all the same.
const MAX_WAIT: Duration = Duration::from_secs(2);

/// How is watched.
#[derive(Clone, Debug)]
pub struct WatchOptions {
    /// How long nothing may happen before a build starts.
    pub quiet: Duration,
    /// How often sizes and times of the files are looked at, for network drives that report no changes.
    pub poll: Duration,
    /// Folders that builds write into; nothing in them is looked at.
    pub outputs: Vec<PathBuf>,
}

impl Default for WatchOptions {
    fn default() -> Self {
        Self { quiet: Duration::from_millis(100), poll: Duration::from_secs(2), outputs: Vec::new() }
    }
}

/// Builds once, and then again after every change, until `stop` is set.
///
/// `rebuild` is given the files that changed (none the first time) and returns everything the build asked for,
/// whether or not it succeeded. Returns an error only when nothing can be watched at all.
pub fn watch(
    options: &WatchOptions,
    stop: &AtomicBool,
    mut rebuild: impl FnMut(&[PathBuf]) -> Vec<Access>,
) -> io::Result<()> {
    let mut eyes = Eyes::new(options)?;
    let mut wanted = Wanted::default();
    wanted.take(rebuild(&[]), options);
    while !stop.load(Ordering::Relaxed) {
        eyes.cover(&wanted);
        // This also finds what changed during the build, or before its folder was watched.
        let changed = wanted.changed();
        if !changed.is_empty() {
            wanted.take(rebuild(&changed), options);
        } else if !eyes.wait(&wanted, options, stop)? {
            return Ok(());
        }
    }
    Ok(())
}

/// What a file was like when it was last looked at.
#[derive(Clone, Debug, Default, PartialEq)]
struct Seen {
    /// Size and time of the last change; `None` when there is no such file.
    stamp: Option<(u64, Option<SystemTime>)>,
    /// Hash of the content; `None` when there is nothing to read.
    hash: Option<String>,
}

impl Seen {
    fn now(path: &Path) -> Self {
        let stamp = stamp(path);
        // What no build reads for its size is not read here either.
        let hash = stamp.filter(|(bytes, _)| *bytes <= MAX_FILE_BYTES).and_then(|_| hash(path));
        Self { stamp, hash }
    }
}

/// The files that the last build asked for.
#[derive(Debug, Default)]
struct Wanted {
    files: BTreeMap<PathBuf, Seen>,
    /// The paths of `files`, and where links among them lead.
    places: BTreeSet<PathBuf>,
    /// The content for which the last build was started. It is not started for the same content twice, whatever
    /// a build says that it has read.
    built_for: BTreeMap<PathBuf, Option<String>>,
}

impl Wanted {
    /// Remembers what a build has asked for. A build that asked for nothing has failed before it began, and
    /// the files of the one before it are watched on.
    fn take(&mut self, accesses: Vec<Access>, options: &WatchOptions) {
        if accesses.is_empty() {
            for (path, seen) in &mut self.files {
                *seen = Seen::now(path);
            }
            return;
        }
        let outputs: Vec<PathBuf> = options.outputs.iter().flat_map(|o| [o.clone(), real(o)]).collect();
        let is_output = |path: &Path| outputs.iter().any(|o| path.starts_with(o));
        self.files = accesses
            .into_iter()
            .filter(|a| !is_output(&a.path))
            .map(|Access { path, hash }| {
                // What the build has read counts, not what is there now: it may have changed since. A file that
                // is there and still could not be read leads to one further build, and to no third.
                let seen = Seen { stamp: stamp(&path), hash };
                (path, seen)
            })
            .collect();
        self.places = self.files.keys().flat_map(|p| [p.clone(), real(p)]).collect();
    }

    /// The files whose content is another than the one that was built from.
    fn changed(&mut self) -> Vec<PathBuf> {
        let mut changed = Vec::new();
        for (path, seen) in &mut self.files {
            let now = Seen::now(path);
            seen.stamp = now.stamp;
            if now.hash != seen.hash && self.built_for.get(path) != Some(&now.hash) {
                self.built_for.insert(path.clone(), now.hash);
                changed.push(path.clone());
            }
        }
        changed
    }

    /// Whether size or time of a file is another than when it was last looked at; cheap enough to ask often.
    fn looks_changed(&self) -> bool {
        self.files.iter().any(|(path, seen)| stamp(path) != seen.stamp)
    }

    /// Whether an event may have to do with one of the files: it is about one, or about a folder above one.
    fn concerns(&self, event: &DebouncedEvent) -> bool {
        let is_read_only = match event.kind {
            EventKind::Access(AccessKind::Close(AccessMode::Write)) => false,
            EventKind::Access(_) => true,
            _ => false,
        };
        let is_above =
            |path: &PathBuf| self.places.range(path.clone()..).next().is_some_and(|p| p.starts_with(path));
        event.need_rescan() || (!is_read_only && event.paths.iter().any(is_above))
    }
}

/// What tells a folder from another one of the same name: its number, where there are numbers, and its birth.
type Identity = (u64, Option<SystemTime>);

fn identity(folder: &Path) -> Identity {
    let Ok(about) = fs::metadata(folder) else { return (0, None) };
    #[cfg(unix)]
    let number = std::os::unix::fs::MetadataExt::ino(&about);
    #[cfg(not(unix))]
    let number = 0;
    (number, about.created().ok())
}

/// The watcher of the operating system, and the folders it watches.
struct Eyes {
    debouncer: Debouncer<RecommendedWatcher, NoCache>,
    events: Receiver<DebounceEventResult>,
    folders: BTreeMap<PathBuf, Identity>,
}

impl Eyes {
    fn new(options: &WatchOptions) -> io::Result<Self> {
        let (sender, events) = channel();
        // Shorter than the wait for quiet below, which looks at all files together.
        let step = (options.quiet / 4).max(Duration::from_millis(10));
        let config = notify::Config::default();
        let debouncer = new_debouncer_opt(step, None, sender, NoCache, config).map_err(io::Error::other)?;
        Ok(Self { debouncer, events, folders: BTreeMap::new() })
    }

    /// Watches the folders of all files, or the nearest ones above them that exist, and the folders of those, so
    /// that a folder which is replaced is noticed too.
    fn cover(&mut self, wanted: &Wanted) {
        let mut needed = BTreeSet::new();
        for place in &wanted.places {
            needed.extend(place.ancestors().skip(1).filter(|p| p.is_dir()).take(2).map(Path::to_path_buf));
        }
        let gone: Vec<PathBuf> = self.folders.keys().filter(|f| !needed.contains(*f)).cloned().collect();
        for folder in gone {
            self.forget(&folder);
        }
        for folder in needed {
            let identity = identity(&folder);
            if self.folders.get(&folder).is_some_and(|then| *then == identity) {
                continue;
            }
            // A folder of that name may have been watched that is not there any more.
            self.forget(&folder);
            // A folder that cannot be watched is still looked at by its files' sizes and times.
            if self.debouncer.watch(&folder, RecursiveMode::NonRecursive).is_ok() {
                self.folders.insert(folder, identity);
            }
        }
    }

    fn forget(&mut self, folder: &Path) {
        if self.folders.remove(folder).is_some() {
            // Fails when the folder is gone, which is what is wanted.
            let _ = self.debouncer.unwatch(folder);
        }
    }

    /// Waits until something may have changed and all is quiet again; `false` when the watch is to end.
    fn wait(&mut self, wanted: &Wanted, options: &WatchOptions, stop: &AtomicBool) -> io::Result<bool> {
        let mut last_look = Instant::now();
        while !stop.load(Ordering::Relaxed) {
            match self.events.recv_timeout(TICK) {
                Ok(events) if concerns(&events, wanted) => {
                    self.drain(wanted, options.quiet)?;
                    return Ok(true);
                }
                Err(RecvTimeoutError::Disconnected) => return Err(gone()),
                Ok(_) | Err(RecvTimeoutError::Timeout) => {}
            }
            if options.poll <= last_look.elapsed() {
                if wanted.looks_changed() {
                    self.drain(wanted, options.quiet)?;
                    return Ok(true);
                }
                last_look = Instant::now();
            }
        }
        Ok(false)
    }

    /// Takes in events until there were none about the files for a while.
    fn drain(&mut self, wanted: &Wanted, quiet: Duration) -> io::Result<()> {
        let start = Instant::now();
        let mut last = start;
        while last.elapsed() < quiet && start.elapsed() < MAX_WAIT {
            match self.events.recv_timeout(quiet.saturating_sub(last.elapsed())) {
                Ok(events) if concerns(&events, wanted) => last = Instant::now(),
                Ok(_) | Err(RecvTimeoutError::Timeout) => {}
                Err(RecvTimeoutError::Disconnected) => return Err(gone()),
            }
        }
        Ok(())
    }
}

/// An error of the watcher may stand for events that were lost, so it concerns everything.
fn concerns(events: &DebounceEventResult, wanted: &Wanted) -> bool {
    events.as_ref().map_or(true, |events| events.iter().any(|e| wanted.concerns(e)))
}

fn gone() -> io::Error {
    io::Error::other("the operating system has stopped to report changes")
}

/// The path with its links resolved, as far as it exists.
fn real(path: &Path) -> PathBuf {
    path.canonicalize().unwrap_or_else(|_| path.to_path_buf())
}

fn stamp(path: &Path) -> Option<(u64, Option<SystemTime>)> {
    let about = fs::metadata(path).ok().filter(fs::Metadata::is_file)?;
    Some((about.len(), about.modified().ok()))
}

/// Hash of a file, as the one in [`Access`]; `None` when it cannot be read.
fn hash(path: &Path) -> Option<String> {
    let mut file = File::open(path).ok()?;
    let mut hasher = Sha256::new();
    let mut bytes = vec![0; 64 * 1024];
    loop {
        match file.read(&mut bytes).ok()? {
            0 => break,
            read => hasher.update(&bytes[..read]),
        }
    }
    Some(hasher.finalize().iter().fold(String::new(), |hex, b| hex + &format!("{b:02x}")))
}
