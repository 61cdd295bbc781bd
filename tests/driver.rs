//! Tests of `driver` from outside.

use kerfbook::driver::atomic::replace_folder;
use kerfbook::driver::watch::{WatchOptions, watch};
use kerfbook::source::{Access, DiskFiles, Files};
use std::fs;
use std::io::Write;
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::mpsc::{Receiver, channel};
use std::thread::JoinHandle;
use std::time::Duration;
use tempfile::TempDir;

fn files(list: &[(&str, &str)]) -> Vec<(String, Vec<u8>)> {
    list.iter().map(|(path, text)| ((*path).to_owned(), text.as_bytes().to_vec())).collect()
}

/// Everything below a folder except the list of files, as `path: text`.
fn shown(folder: &Path) -> Vec<String> {
    fn walk(folder: &Path, top: &Path, found: &mut Vec<String>) {
        for entry in fs::read_dir(folder).unwrap() {
            let path = entry.unwrap().path();
            let name = path.strip_prefix(top).unwrap().to_str().unwrap().to_owned();
            if path.is_dir() {
                walk(&path, top, found);
            } else if name != ".kerfbook" {
                found.push(format!("{name}: {}", fs::read_to_string(&path).unwrap()));
            }
        }
    }
    let mut found = Vec::new();
    walk(folder, folder, &mut found);
    found.sort();
    found
}

fn names(folder: &Path) -> Vec<String> {
    let mut names: Vec<String> =
        fs::read_dir(folder).unwrap().map(|e| e.unwrap().file_name().into_string().unwrap()).collect();
    names.sort();
    names
}

#[test]
fn a_folder_is_replaced_as_a_whole() {
    let place = TempDir::new().unwrap();
    let out = place.path().join("out/heron");
    replace_folder(&out, &files(&[("01-cut.svg", "old"), ("layers/01.svg", "old"), ("gone/x", "old")])).unwrap();
    assert_eq!(shown(&out), ["01-cut.svg: old", "gone/x: old", "layers/01.svg: old"]);
    replace_folder(&out, &files(&[("01-cut.svg", "new"), ("layers/01.svg", "new")])).unwrap();
    assert_eq!(shown(&out), ["01-cut.svg: new", "layers/01.svg: new"]);
    assert_eq!(names(&place.path().join("out")), ["heron"], "nothing is left beside it");
    assert_eq!(names(&out), [".kerfbook", "01-cut.svg", "layers"]);
}

#[test]
fn the_same_files_are_not_written_again() {
    let place = TempDir::new().unwrap();
    let out = place.path().join("out");
    replace_folder(&out, &files(&[("a", "1")])).unwrap();
    let time = fs::metadata(out.join("a")).unwrap().modified().unwrap();
    replace_folder(&out, &files(&[("a", "1")])).unwrap();
    assert_eq!(fs::metadata(out.join("a")).unwrap().modified().unwrap(), time);
    fs::remove_file(out.join("a")).unwrap();
    replace_folder(&out, &files(&[("a", "1")])).unwrap();
    assert_eq!(shown(&out), ["a: 1"], "a file that was removed is written again");
}

#[test]
fn what_was_not_built_is_never_deleted() {
    let place = TempDir::new().unwrap();
    let out = place.path().join("out");
    replace_folder(&out, &files(&[("a", "1"), ("b", "1")])).unwrap();
    fs::write(out.join("notes.txt"), "mine").unwrap();
    let error = replace_folder(&out, &files(&[("a", "2")])).unwrap_err().to_string();
    assert!(error.contains("`notes.txt`") && error.contains("not written by a build"), "{error}");
    fs::remove_file(out.join("notes.txt")).unwrap();

    fs::write(out.join("b"), "corrected by hand").unwrap();
    let error = replace_folder(&out, &files(&[("a", "2")])).unwrap_err().to_string();
    assert!(error.contains("`b`") && error.contains("changed since"), "{error}");
    assert_eq!(shown(&out), ["a: 1", "b: corrected by hand"]);

    let photos = place.path().join("photos");
    fs::create_dir(&photos).unwrap();
    fs::write(photos.join("cat.jpg"), "cat").unwrap();
    replace_folder(&photos, &files(&[("a", "2")])).unwrap_err();
    replace_folder(&photos.join("cat.jpg"), &files(&[("a", "2")])).unwrap_err();
    assert_eq!(shown(&photos), ["cat.jpg: cat"]);
    assert_eq!(names(place.path()), ["out", "photos"]);
}

#[test]
fn empty_folders_and_what_desktops_leave_do_not_stand_in_the_way() {
    let place = TempDir::new().unwrap();
    let out = place.path().join("out");
    fs::create_dir_all(out.join("empty/inner")).unwrap();
    fs::write(out.join(".DS_Store"), "").unwrap();
    replace_folder(&out, &files(&[("a", "1")])).unwrap();
    assert_eq!(shown(&out), ["a: 1"]);
    fs::create_dir(out.join("empty")).unwrap();
    replace_folder(&out, &files(&[("a", "2")])).unwrap();
    assert_eq!(names(&out), [".kerfbook", "a"]);
    assert_eq!(names(place.path()), ["out"]);
}

#[test]
fn an_interrupted_run_is_cleared_up() {
    let place = TempDir::new().unwrap();
    let (out, new, old) =
        (place.path().join("out"), place.path().join(".out.kerfbook-new"), place.path().join(".out.kerfbook-old"));
    replace_folder(&out, &files(&[("a", "1")])).unwrap();
    // While writing: the list is there, a file is half written, another is missing.
    fs::create_dir(&new).unwrap();
    fs::copy(out.join(".kerfbook"), new.join(".kerfbook")).unwrap();
    fs::write(new.join("a"), "ha").unwrap();
    replace_folder(&out, &files(&[("a", "2")])).unwrap();
    assert_eq!((shown(&out), names(place.path())), (vec!["a: 2".to_owned()], vec!["out".to_owned()]));
    // Between moving the old folder aside and moving the new one in: a failing build puts the old one back.
    fs::rename(&out, &old).unwrap();
    replace_folder(&out, &files(&[("a", "3"), ("a/b", "3")])).unwrap_err();
    replace_folder(&out, &files(&[("a", "2")])).unwrap();
    assert_eq!((shown(&out), names(place.path())), (vec!["a: 2".to_owned()], vec!["out".to_owned()]));
    // After it: only the old folder is left to remove, and what someone put into it is kept.
    replace_folder(&old, &files(&[("x", "1")])).unwrap();
    fs::write(old.join("mine"), "mine").unwrap();
    replace_folder(&out, &files(&[("a", "4")])).unwrap_err();
    assert_eq!((shown(&out), shown(&old)), (vec!["a: 2".to_owned()], vec!["mine: mine".to_owned()]));
}

#[test]
fn paths_that_would_leave_the_folder_or_differ_between_machines_are_refused() {
    let place = TempDir::new().unwrap();
    let out = place.path().join("out");
    for paths in [
        &["../a"][..],
        &["/a"],
        &["a/../b"],
        &["a//b"],
        &[""],
        &["a\\b"],
        &["c:a"],
        &["a\n"],
        &["nul.svg"],
        &["COM1"],
        &["a."],
        &[".kerfbook"],
        &["a", "a"],
        &["Layer.svg", "layer.svg"],
        &["É.svg", "é.svg"],
        &["a", "A/b"],
    ] {
        let list: Vec<(&str, &str)> = paths.iter().map(|p| (*p, "")).collect();
        replace_folder(&out, &files(&list)).unwrap_err();
        assert!(!out.exists(), "{paths:?}");
    }
    let long = "x".repeat(300);
    replace_folder(&out, &files(&[(&long, "")])).unwrap_err();
    replace_folder(&out, &files(&[("console.svg", ""), ("…é 1.svg", "")])).unwrap();
}

#[test]
fn a_failure_leaves_the_last_good_folder() {
    let place = TempDir::new().unwrap();
    let out = place.path().join("out");
    replace_folder(&out, &files(&[("a", "1")])).unwrap();
    // Something that cannot be removed stands where the new folder has to be written.
    let new = place.path().join(".out.kerfbook-new");
    fs::write(&new, "in the way").unwrap();
    replace_folder(&out, &files(&[("a", "2")])).unwrap_err();
    assert_eq!(shown(&out), ["a: 1"]);
    replace_folder(&place.path().join("out/a/inner"), &files(&[("a", "2")])).unwrap_err();
    replace_folder(Path::new("/"), &files(&[("a", "2")])).unwrap_err();
    assert_eq!(shown(&out), ["a: 1"]);
}

#[cfg(unix)]
#[test]
fn links_are_neither_followed_nor_replaced() {
    let place = TempDir::new().unwrap();
    let (real, link) = (place.path().join("real"), place.path().join("link"));
    replace_folder(&real, &files(&[("a", "1")])).unwrap();
    std::os::unix::fs::symlink(&real, &link).unwrap();
    let error = replace_folder(&link, &files(&[("a", "2")])).unwrap_err().to_string();
    assert!(error.contains("is a link"), "{error}");
    std::os::unix::fs::symlink("/etc", real.join("etc")).unwrap();
    replace_folder(&real, &files(&[("a", "2")])).unwrap_err();
    assert!(real.join("etc").exists() && fs::read_to_string(real.join("a")).unwrap() == "1");
}

#[test]
fn two_runs_do_not_write_into_each_other() {
    let place = TempDir::new().unwrap();
    let out = place.path().join("out");
    std::thread::scope(|scope| {
        for run in 0..4 {
            let out = &out;
            scope.spawn(move || {
                for _ in 0..10 {
                    let text = run.to_string();
                    replace_folder(out, &files(&[("a", &text), ("b", &text), ("c/d", &text)])).unwrap();
                }
            });
        }
    });
    let texts: std::collections::BTreeSet<_> =
        shown(&out).iter().map(|line| line.split(": ").last().unwrap().to_owned()).collect();
    assert_eq!(texts.len(), 1, "all files are of one run");
}

/// One build of a watch: what had changed, and what the build read.
#[derive(Debug)]
struct Build {
    changed: Vec<String>,
    read: Vec<(String, Option<String>)>,
}

/// A watch over a project whose `main.kdl` names, one a line, the files that it uses.
struct Watching {
    place: TempDir,
    builds: Receiver<Build>,
    stop: Arc<AtomicBool>,
    thread: Option<JoinHandle<()>>,
}

/// No build takes as long as this on any machine; it is waited in full only by a test that fails.
const LONG: Duration = Duration::from_secs(20);

impl Watching {
    /// Starts a watch that polls every `poll`, and takes in its first build.
    fn start(files: &[(&str, &str)], poll: Duration) -> Self {
        let place = TempDir::new().unwrap();
        let root = place.path().canonicalize().unwrap();
        for (path, text) in files {
            fs::create_dir_all(root.join(path).parent().unwrap()).unwrap();
            fs::write(root.join(path), text).unwrap();
        }
        let (sender, builds) = channel();
        let stop = Arc::new(AtomicBool::new(false));
        let ends = Arc::clone(&stop);
        let options = WatchOptions { poll, outputs: vec![root.join("out")], ..WatchOptions::default() };
        let thread = std::thread::spawn(move || {
            let build = |changed: &[PathBuf]| {
                let (accesses, read) = build(&root);
                let name = |p: &PathBuf| p.strip_prefix(&root).unwrap().to_str().unwrap().to_owned();
                let _ = sender.send(Build { changed: changed.iter().map(name).collect(), read });
                accesses
            };
            watch(&options, &ends, build).unwrap();
        });
        let watching = Self { place, builds, stop, thread: Some(thread) };
        assert!(watching.next().changed.is_empty());
        watching
    }

    fn path(&self, path: &str) -> PathBuf {
        self.place.path().join(path)
    }

    /// Writes in one step, so that no half-written file can be seen: a new file is renamed into its place.
    fn write(&self, path: &str, text: &str) {
        let new = self.path(path).with_extension("new");
        fs::write(&new, text).unwrap();
        fs::rename(new, self.path(path)).unwrap();
    }

    /// Writes over the start of a file that exists, in one step too.
    fn write_in_place(&self, path: &str, text: &str) {
        let mut file = fs::OpenOptions::new().write(true).open(self.path(path)).unwrap();
        file.write_all(text.as_bytes()).unwrap();
    }

    /// The next build.
    fn next(&self) -> Build {
        self.builds.recv_timeout(LONG).expect("a build after a change")
    }

    /// The build for a change to `path`, after which nothing else is built: the change of `last.txt`, made after
    /// it, is the next thing that is noticed.
    fn one_build_for(&self, path: &str) {
        assert_eq!(self.next().changed, [path]);
        self.no_build();
    }

    /// Takes in builds until one has read `text`; how many there are depends on how busy the machine is.
    fn builds_until(&self, path: &str, text: &str) {
        let read = |build: &Build| build.read.iter().any(|(p, t)| p == path && t.as_deref() == Some(text));
        while !read(&self.next()) {}
        self.no_build();
    }

    /// Shows without waiting that nothing before has caused a build: a change that does is made, and is the next.
    fn no_build(&self) {
        let count = fs::read_to_string(self.path("last.txt")).unwrap().len();
        self.write("last.txt", &"x".repeat(count + 1));
        let build = self.next();
        assert_eq!(build.changed, ["last.txt"], "{build:?}");
    }
}

impl Drop for Watching {
    fn drop(&mut self) {
        self.stop.store(true, Ordering::Relaxed);
        if let Some(thread) = self.thread.take() {
            let ended = thread.join();
            assert!(ended.is_ok() || std::thread::panicking());
        }
    }
}

/// Reads `last.txt`, `main.kdl` and every file that it names, and writes an output folder.
fn build(root: &Path) -> (Vec<Access>, Vec<(String, Option<String>)>) {
    let files = DiskFiles::new(root, &[]);
    let mut read = Vec::new();
    let mut names = vec!["main.kdl".to_owned(), "last.txt".to_owned()];
    while let Some(name) = names.pop() {
        let text = files.read(&name, None).ok().map(|f| String::from_utf8_lossy(&f.bytes).into_owned());
        if let Some(main) = text.as_ref().filter(|_| name == "main.kdl") {
            names.extend(main.lines().map(str::to_owned));
            replace_folder(&root.join("out"), &[("copy.txt".to_owned(), main.as_bytes().to_vec())]).unwrap();
        }
        read.push((name, text));
    }
    (files.accesses(), read)
}

const NEVER: Duration = Duration::from_secs(100_000);

fn project() -> Watching {
    Watching::start(&[("main.kdl", "art/a.svg\nlater/b.svg"), ("art/a.svg", "a"), ("last.txt", "")], NEVER)
}

#[test]
fn every_way_of_saving_causes_a_build() {
    let watching = project();
    watching.write_in_place("art/a.svg", "in place");
    watching.one_build_for("art/a.svg");
    watching.write("art/a.svg", "renamed over");
    watching.one_build_for("art/a.svg");
    watching.write_in_place("art/a.svg", "and in place again, after the rename");
    watching.one_build_for("art/a.svg");
    fs::rename(watching.path("art/a.svg"), watching.path("art/a.svg~")).unwrap();
    fs::write(watching.path("art/a.svg"), "backed up and written anew").unwrap();
    watching.builds_until("art/a.svg", "backed up and written anew");
    fs::remove_file(watching.path("art/a.svg")).unwrap();
    fs::write(watching.path("art/a.svg"), "deleted and recreated").unwrap();
    watching.builds_until("art/a.svg", "deleted and recreated");
    for part in 0..20 {
        fs::write(watching.path("art/a.svg"), "many writes ".repeat(part)).unwrap();
    }
    watching.builds_until("art/a.svg", &"many writes ".repeat(19));
}

#[test]
fn what_changes_nothing_causes_no_build() {
    let watching = project();
    watching.write("art/a.svg", "a");
    watching.write_in_place("art/a.svg", "a");
    fs::File::open(watching.path("art/a.svg")).unwrap().set_modified(std::time::SystemTime::UNIX_EPOCH).unwrap();
    watching.no_build();
    watching.write("art/unrelated.svg", "x");
    watching.write("main.kdl~", "x");
    watching.no_build();
    // The build itself reads all files and writes this folder: neither leads to another build.
    fs::create_dir_all(watching.path("out/x")).unwrap();
    watching.no_build();
    fs::remove_dir(watching.path("out/x")).unwrap();
}

#[test]
fn files_that_are_missing_or_go_are_waited_for() {
    let watching = project();
    fs::create_dir(watching.path("later")).unwrap();
    watching.write("later/b.svg", "b");
    watching.builds_until("later/b.svg", "b");
    fs::remove_file(watching.path("art/a.svg")).unwrap();
    watching.one_build_for("art/a.svg");
    watching.write("art/a.svg", "back");
    watching.one_build_for("art/a.svg");
    // A whole folder is put in the place of another, as version control does.
    fs::create_dir(watching.path("new")).unwrap();
    watching.write("new/a.svg", "of the new folder");
    fs::rename(watching.path("art"), watching.path("old")).unwrap();
    fs::rename(watching.path("new"), watching.path("art")).unwrap();
    watching.builds_until("art/a.svg", "of the new folder");
    watching.write_in_place("art/a.svg", "in the new folder");
    watching.one_build_for("art/a.svg");
}

#[test]
fn what_a_build_reads_is_watched_from_then_on_and_no_longer() {
    let watching = project();
    watching.write("main.kdl", "other/c.svg");
    watching.one_build_for("main.kdl");
    fs::create_dir(watching.path("other")).unwrap();
    watching.write("other/c.svg", "c");
    watching.builds_until("other/c.svg", "c");
    watching.write("other/c.svg", "changed");
    watching.one_build_for("other/c.svg");
    watching.write("art/a.svg", "nobody reads this any more");
    watching.no_build();
    // A build that fails because its first file is gone is followed by others all the same.
    fs::remove_file(watching.path("main.kdl")).unwrap();
    watching.one_build_for("main.kdl");
    watching.write("main.kdl", "art/a.svg");
    watching.one_build_for("main.kdl");
}

#[cfg(unix)]
#[test]
fn a_change_behind_a_link_is_seen() {
    let files = [("main.kdl", "linked.svg"), ("last.txt", ""), ("far/away/real.svg", "a")];
    let watching = Watching::start(&files, NEVER);
    let target = watching.path("far/away/real.svg");
    std::os::unix::fs::symlink(&target, watching.path("linked.svg")).unwrap();
    watching.one_build_for("linked.svg");
    fs::write(&target, "b").unwrap();
    watching.builds_until("linked.svg", "b");
}

#[test]
fn polling_alone_finds_changes_too() {
    let watching = Watching::start(&[("main.kdl", "a"), ("last.txt", ""), ("a", "1")], Duration::from_millis(60));
    watching.write("a", "22");
    watching.one_build_for("a");
}
