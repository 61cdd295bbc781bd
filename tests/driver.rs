//! Tests of `driver` from outside.

use kerfbook::driver::atomic::replace_folder;
use std::fs;
use std::path::Path;
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
