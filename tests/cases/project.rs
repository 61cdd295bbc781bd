//! A case on disk: what is in its folder, compiled and compared.

use kerfbook::diagnostics::{Diagnostic, Sink};
use kerfbook::driver::{Build, Request, compile};
use kerfbook::figures::Cache;
use kerfbook::source::{Access, DiskFiles, FileBytes, Files, ReadError};
use std::fs;
use std::path::{Path, PathBuf};

/// Where the cases lie, seen from the crate's folder, in which cargo runs tests.
const ROOT: &str = "tests/cases";

/// Fixtures of other tests that cases may use too.
const FIXTURES: &str = "tests/fixtures";

/// Folders of cases that are about more than one rule.
const OF_MANY: &str = "many";

/// Whether a file is what a case compiles: its recipe, or the drawing that was taken for one.
fn is_compiled(file: &Path, has_recipe: bool) -> bool {
    if has_recipe { is_recipe(file) } else { file.extension().is_some_and(|e| e == "svg") }
}

fn is_recipe(file: &Path) -> bool {
    let name = file.file_name().unwrap_or_default().to_string_lossy();
    name.ends_with(".kdl") && !name.ends_with(".shop.kdl") && !name.ends_with(".journal.kdl")
}

/// One folder.
pub struct Case {
    /// `AREA/WHAT`.
    pub name: String,
    folder: PathBuf,
    recipe: PathBuf,
}

/// All folders that hold a case, sorted.
pub fn folders() -> Vec<PathBuf> {
    let inside = |folder: &Path| -> Vec<PathBuf> {
        let listing = fs::read_dir(folder).unwrap_or_else(|e| panic!("{}: {e}", folder.display()));
        let mut all: Vec<PathBuf> = listing.map(|e| e.unwrap().path()).filter(|p| p.is_dir()).collect();
        all.sort();
        all
    };
    let areas = inside(Path::new(ROOT));
    areas.iter().filter(|a| !a.ends_with("shared")).flat_map(|area| inside(area)).collect()
}

impl Case {
    /// The case in a folder; it has one file that is a recipe.
    pub fn at(folder: PathBuf) -> Self {
        let name = folder.strip_prefix(ROOT).unwrap().to_string_lossy().replace('\\', "/");
        let files = files_in(&folder);
        let has_recipe = files.iter().any(|p| is_recipe(p));
        let recipes: Vec<PathBuf> = files.into_iter().filter(|p| is_compiled(p, has_recipe)).collect();
        let [recipe] = recipes.as_slice() else { panic!("{name}: expected one recipe, found {recipes:?}") };
        Self { name, recipe: recipe.clone(), folder }
    }

    /// Whether it is about one rule.
    pub fn is_rule(&self) -> bool {
        !self.name.starts_with(OF_MANY)
    }

    /// Compiles it.
    pub fn compile(&self) -> Build {
        self.compile_from(&files())
    }

    /// Compiles it with files from somewhere else.
    pub fn compile_from(&self, files: &dyn Files) -> Build {
        let sets = fs::read_to_string(self.folder.join("set.txt")).unwrap_or_default();
        let pair = |line: &str| {
            let (name, value) = line.split_once('=').expect("a line of set.txt is NAME=VALUE");
            (name.to_owned(), value.to_owned())
        };
        let request =
            Request { recipe: self.recipe.clone(), sets: sets.lines().map(pair).collect(), ..Request::default() };
        let mut build = compile(&request, files, &Cache::default());
        build.findings = anywhere(&build.findings);
        build
    }

    /// Compares `found` with `expected.txt`, or writes it there when asked to.
    pub fn compare(&self, found: &str) -> Option<String> {
        let path = self.folder.join("expected.txt");
        if std::env::var_os("UPDATE").is_some() {
            fs::write(&path, found).unwrap();
            return None;
        }
        let Ok(expected) = fs::read_to_string(&path) else {
            return Some(format!("{} is missing", path.display()));
        };
        let expected = expected.replace('\r', "");
        (expected != found).then(|| format!("{} says otherwise:\n{found}", path.display()))
    }
}

/// The files of the cases: nothing else on the machine can be read.
pub fn files() -> DiskFiles {
    DiskFiles::new(Path::new(ROOT), &[PathBuf::from(FIXTURES)])
}

fn files_in(folder: &Path) -> Vec<PathBuf> {
    let mut all: Vec<PathBuf> =
        fs::read_dir(folder).unwrap().map(|e| e.unwrap().path()).filter(|p| p.is_file()).collect();
    all.sort();
    all
}

/// The findings with a made-up path for the folder that the crate happens to lie in.
fn anywhere(findings: &Sink) -> Sink {
    let here = fs::canonicalize(env!("CARGO_MANIFEST_DIR")).unwrap().to_string_lossy().into_owned();
    let mut all = Sink::new();
    for finding in findings.iter() {
        let mut finding: Diagnostic = finding.clone();
        finding.message = finding.message.replace(&here, "/home/heron/pond");
        if let Some(repair) = &mut finding.repair {
            repair.text = repair.text.replace(&here, "/home/heron/pond");
        }
        all.push(finding);
    }
    all
}

/// The files of the cases, one of them with another text.
pub struct Edited {
    files: DiskFiles,
    path: PathBuf,
    text: String,
}

impl Edited {
    /// Reads `text` wherever `path` is asked for.
    pub fn new(path: PathBuf, text: String) -> Self {
        Self { files: files(), path, text }
    }

    fn over(&self, read: FileBytes) -> FileBytes {
        if read.path == self.path { FileBytes { bytes: self.text.as_bytes().into(), ..read } } else { read }
    }
}

impl Files for Edited {
    fn read(&self, path: &str, from: Option<&Path>) -> Result<FileBytes, ReadError> {
        self.files.read(path, from).map(|read| self.over(read))
    }

    fn open_named(&self, path: &Path) -> Result<FileBytes, ReadError> {
        self.files.open_named(path).map(|read| self.over(read))
    }

    fn accesses(&self) -> Vec<Access> {
        self.files.accesses()
    }
}
