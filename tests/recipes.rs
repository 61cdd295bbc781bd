//! Every recipe under `recipes/` builds without a word, and its bytes depend on nothing but recipe and inputs.

mod mutations;

use kerfbook::diagnostics::Severity;
use kerfbook::driver::{Build, Request, build, project_root, write};
use kerfbook::figures::Cache;
use kerfbook::outputs::OutputFile;
use kerfbook::source::DiskFiles;
use std::collections::BTreeMap;
use std::fs;
use std::path::{Path, PathBuf};

const DEMO: &str = "recipes/heron-pond/heron-pond.recipe.kdl";

/// Builds a recipe; says what was found, if it was more than advice.
fn built(recipe: &Path, sets: &[(&str, &str)]) -> (Build, Vec<OutputFile>) {
    let files = DiskFiles::new(&project_root(recipe), &[]);
    let sets = sets.iter().map(|(n, v)| ((*n).to_owned(), (*v).to_owned())).collect();
    let (build, made) =
        build(&Request { recipe: recipe.to_path_buf(), sets, ..Request::default() }, &files, &Cache::default());
    let heard = build.findings.iter().filter(|d| d.accepted.is_none() && d.severity != Severity::Advice);
    let said: Vec<String> = heard.map(|d| format!("{}: {}", d.finding.rule, d.message)).collect();
    assert!(said.is_empty(), "{}: {said:#?}", recipe.display());
    let made = made.expect("every file can be made").expect("without errors there are files");
    (build, made)
}

fn by_path(files: Vec<OutputFile>) -> BTreeMap<String, Vec<u8>> {
    files.into_iter().map(|f| (f.path, f.bytes)).collect()
}

/// Builds in a pool of so many threads.
fn built_by(threads: usize, recipe: &Path) -> BTreeMap<String, Vec<u8>> {
    let pool = rayon::ThreadPoolBuilder::new().num_threads(threads).build().unwrap();
    by_path(pool.install(|| built(recipe, &[]).1))
}

/// Names of the files that differ or that only one has.
fn differing(one: &BTreeMap<String, Vec<u8>>, other: &BTreeMap<String, Vec<u8>>) -> Vec<String> {
    let names: std::collections::BTreeSet<&String> = one.keys().chain(other.keys()).collect();
    names.into_iter().filter(|n| one.get(*n) != other.get(*n)).cloned().collect()
}

fn assert_same(one: &BTreeMap<String, Vec<u8>>, other: &BTreeMap<String, Vec<u8>>) {
    let names = differing(one, other);
    assert!(names.is_empty(), "{names:?}");
}

fn is_drawing(path: &str) -> bool {
    Path::new(path).extension().is_some_and(|e| e == "svg")
}

fn recipes() -> Vec<PathBuf> {
    let mut waiting = vec![PathBuf::from("recipes")];
    let mut all = Vec::new();
    while let Some(path) = waiting.pop() {
        if path.is_dir() {
            waiting.extend(fs::read_dir(&path).unwrap().map(|e| e.unwrap().path()));
        } else if path.to_string_lossy().ends_with(".recipe.kdl") {
            all.push(path);
        }
    }
    all.sort();
    all
}

/// Copies a folder and what is in it.
pub fn copy(from: &Path, to: &Path) {
    fs::create_dir_all(to).unwrap();
    for entry in fs::read_dir(from).unwrap().map(Result::unwrap) {
        let target = to.join(entry.file_name());
        if entry.path().is_dir() {
            copy(&entry.path(), &target);
        } else {
            fs::copy(entry.path(), target).unwrap();
        }
    }
}

#[test]
fn every_recipe_builds_and_is_written() {
    let recipes = recipes();
    assert!(recipes.len() >= 2, "{recipes:?}");
    for recipe in recipes {
        let (build, files) = built(&recipe, &[]);
        let plan = build.plan.expect("a plan");
        let names: Vec<String> = files.iter().map(|f| f.path.clone()).collect();
        for wanted in ["job-sheet.pdf", "proof.pdf", "preview.png", "report.json"] {
            assert!(names.iter().any(|n| n == wanted), "{}: no {wanted} among {names:?}", recipe.display());
        }
        let drawings = names.iter().filter(|n| !n.contains('/') && is_drawing(n)).count();
        assert_eq!(drawings, plan.runs.len() + usize::from(plan.test_piece.is_some()), "{names:?}");
        for paper in files.iter().filter(|f| Path::new(&f.path).extension().is_some_and(|e| e == "pdf")) {
            read_as_a_paper(&format!("{}: {}", recipe.display(), paper.path), &paper.bytes);
        }
        let folder = tempfile::tempdir().unwrap();
        let target = folder.path().join(&build.slug);
        let bytes = by_path(files.clone());
        write(&target, files).unwrap();
        for (name, bytes) in bytes {
            assert!(fs::read(target.join(&name)).unwrap() == bytes, "{name}");
        }
    }
}

/// A paper is tagged, sound, and small.
fn read_as_a_paper(name: &str, bytes: &[u8]) {
    crate::pdf::tagged::read(name, bytes);
    assert!(bytes.len() < 1_000_000, "{name}: {} bytes", bytes.len());
    if let Some((code, said)) = crate::job_sheet::printed::Printed::new(bytes).run("qpdf", &["--check"], &[]) {
        assert_eq!(code, 0, "{name}: {said}");
    }
}

/// A project that is a copy of ours, found by its `.git` as a real one is. It
/// has no commits: with ours, whose revision is on every page, bytes would
/// differ for a good reason.
fn project_copied_to(folder: &Path) -> PathBuf {
    copy(Path::new("recipes"), folder);
    fs::create_dir(folder.join(".git")).unwrap();
    folder.join("heron-pond/heron-pond.recipe.kdl")
}

#[test]
fn bytes_depend_neither_on_threads_nor_on_the_folder() {
    let (here, elsewhere) = (tempfile::tempdir().unwrap(), tempfile::tempdir().unwrap());
    let demo = project_copied_to(here.path());
    let one = built_by(1, &demo);
    assert_same(&one, &built_by(4, &demo));
    let moved = project_copied_to(&elsewhere.path().join("deep/in/a/workshop"));
    assert_same(&one, &built_by(2, &moved));
}

#[test]
fn a_value_changes_only_what_it_has_to_do_with() {
    let plain = by_path(built(Path::new(DEMO), &[]).1);
    let later = by_path(built(Path::new(DEMO), &[("day", "2028-06-01")]).1);
    let changed = differing(&plain, &later);
    let second_run: Vec<&String> = changed.iter().filter(|n| n.contains("02-")).collect();
    assert!(second_run.is_empty(), "the day is only in the first run: {second_run:?}");
    let engraved = changed.iter().filter(|n| is_drawing(n) && n.starts_with("layers/")).count();
    assert_eq!(engraved, 1, "only the layer with the lettering changes: {changed:?}");
    for wanted in ["job-sheet.pdf", "preview.png", "report.json"] {
        assert!(changed.iter().any(|n| n == wanted), "{wanted} shows the day: {changed:?}");
    }
}

#[test]
fn another_picture_can_be_set() {
    let set = [("picture", "recipes/heron-pond/art/kingfisher.svg")];
    let (build, files) = built(Path::new(DEMO), &set);
    assert!(build.plan.is_some());
    let plain = by_path(built(Path::new(DEMO), &[]).1);
    assert!(differing(&plain, &by_path(files)).iter().any(|n| n.starts_with("01-")));
}
