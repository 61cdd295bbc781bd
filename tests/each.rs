//! Rows of tables: a part of a sheet each, or a job each.

use kerfbook::driver::{Build, Request, build, compile, each, project_root};
use kerfbook::figures::Cache;
use kerfbook::outputs::OutputFile;
use kerfbook::plan::Operation;
use kerfbook::source::{DiskFiles, MemoryFiles};
use std::collections::BTreeSet;
use std::path::{Path, PathBuf};
use std::process::{Command, Output};

const DEMO: &str = "recipes/heron-pond/heron-pond.recipe.kdl";
const SHOP: &str = include_str!("cases/shared/bench.shop.kdl");

/// A recipe of name tags, on a sheet of 200 x 100 mm.
fn tags(inside: &str) -> String {
    format!(
        "recipe \"Tags\"\nuse \"bench.shop.kdl\"\nmachine \"bench-diode\"\nstock \"alder-3\"\nsheet \"200 mm\" \"100 mm\"\n{inside}"
    )
}

fn compiled(recipe: &str, table: &str) -> Build {
    let mut files = MemoryFiles::default();
    files.insert("tags.recipe.kdl", recipe.as_bytes());
    files.insert("bench.shop.kdl", SHOP.as_bytes());
    files.insert("guests.csv", table.as_bytes());
    let request = Request { recipe: PathBuf::from("tags.recipe.kdl"), ..Request::default() };
    compile(&request, &files, &Cache::default())
}

fn operations(build: &Build) -> Vec<&Operation> {
    build.plan.as_ref().expect("a plan").runs.iter().flat_map(|r| &r.operations).collect()
}

const REPEAT: &str =
    "repeat \"tags\" from=\"guests.csv\" cell-width=\"60 mm\" cell-height=\"25 mm\" gap=\"5 mm\" {
    column \"edge\" kind=\"length\"
    shape \"tag\" { rectangle \"{edge}\" \"20 mm\" }
    shape \"hole\" { circle \"3 mm\"; place left=\"tag\" right=\"2 mm\" }
    lettering \"guest\" \"{name}\" strokes=\"plain\" height=\"{tag.height} / 4\" { place centre=\"cell\" }
}
run \"all\" { score \"guest\"; cut \"hole\"; cut \"tag\" }";

#[test]
fn every_row_is_drawn_in_its_cell() {
    let build = compiled(&tags(REPEAT), "name,edge\nAda,50 mm\nBo,40 mm\n\"Cleo, D\",2 in\nEd,55 mm\n");
    let said: Vec<&str> = build.findings.iter().map(|d| d.finding.rule).collect();
    assert_eq!(said, Vec::<&str>::new());
    let operations = operations(&build);
    assert_eq!(operations[2].figures, ["tag-1", "tag-2", "tag-3", "tag-4"]);
    let plan = build.plan.as_ref().unwrap();
    let of = |name: &str| plan.figures.iter().find(|f| f.name == name).unwrap().bounds.unwrap();
    // Three cells of 60 mm side by side take 190 mm and two rows 55 mm; the grid lies in the middle of 200 x 100 mm.
    for (row, (x, y, width)) in
        [(35.0, 35.0, 50.0), (100.0, 35.0, 40.0), (165.0, 35.0, 50.8), (35.0, 65.0, 55.0)].iter().enumerate()
    {
        let tag = of(&format!("tag-{}", row + 1));
        assert!((tag.center().x - x).abs() < 1e-6 && (tag.center().y - y).abs() < 1e-6, "{tag:?}");
        assert!((tag.width() - width).abs() < 1e-6, "{tag:?}");
        let hole = of(&format!("hole-{}", row + 1));
        assert!((hole.x0 - tag.x0 - 2.0).abs() < 1e-6, "beside the edge of its own tag: {hole:?} {tag:?}");
    }
}

#[test]
fn rows_can_be_taken_sheet_by_sheet() {
    let table: String = "name,edge\n".to_owned() + &"Ada,50 mm\n".repeat(14);
    let all = compiled(&tags(REPEAT), &table);
    let rules: Vec<&str> = all.findings.iter().map(|d| d.finding.rule).collect();
    assert_eq!(rules, ["repeat/does-not-fit"]);
    let repair = &all.findings.iter().next().unwrap().repair.as_ref().unwrap().text;
    assert!(repair.contains("2 sheets") && repair.contains("count=9") && repair.contains("first=10"), "{repair}");
    let second = tags(&REPEAT.replace("gap=", "first=10 count=9 gap="));
    let figures = compiled(&second, &table);
    assert_eq!(operations(&figures)[2].figures.len(), 5);
    assert_eq!(operations(&figures)[2].figures[0], "tag-10");
}

#[test]
fn a_hostile_table_is_refused_without_a_panic() {
    let texts = [
        "",
        "\u{feff}",
        "name",
        "\"",
        "name,edge\n\"\"\"",
        ",,,\n,,,",
        "name,edge\n{name},{edge}\n",
        "a;b,c\n1;2\n",
    ];
    for text in texts {
        let build = compiled(&tags(REPEAT), text);
        assert!(build.findings.has_errors() && build.plan.is_none(), "{text:?}");
    }
}

/// Builds a row of a table as `build --each` does.
fn row_of_demo(given: each::RowJob) -> Vec<OutputFile> {
    let recipe = PathBuf::from(DEMO);
    let files = DiskFiles::new(&project_root(&recipe), &[]);
    let request = Request { recipe, given: given.given, ..Request::default() };
    build(&request, &files, &Cache::default()).1.expect("files").expect("no errors")
}

#[test]
fn a_row_is_built_as_its_values_by_set_are() {
    let mut files = MemoryFiles::default();
    files.insert("days.csv", &b"day\n2028-06-01\n"[..]);
    let mut sink = kerfbook::diagnostics::Sink::new();
    let (_, mut rows) = each::rows(Path::new("days.csv"), &files, &mut sink);
    let by_row = row_of_demo(rows.remove(0));
    let recipe = PathBuf::from(DEMO);
    let disk = DiskFiles::new(&project_root(&recipe), &[]);
    let request = Request { recipe, sets: vec![("day".into(), "2028-06-01".into())], ..Request::default() };
    let by_set = build(&request, &disk, &Cache::default()).1.expect("files").expect("no errors");
    let bytes = |files: &[OutputFile]| -> Vec<(String, Vec<u8>)> {
        files.iter().map(|f| (f.path.clone(), f.bytes.clone())).collect()
    };
    assert!(bytes(&by_row) == bytes(&by_set));
}

fn run(folder: &Path, arguments: &[&str]) -> Output {
    Command::new(env!("CARGO_BIN_EXE_kerfbook")).args(arguments).current_dir(folder).output().unwrap()
}

#[test]
fn each_row_has_a_folder_and_errors_name_the_row() {
    let folder = tempfile::tempdir().unwrap();
    let write = |name: &str, text: &str| std::fs::write(folder.path().join(name), text).unwrap();
    write("bench.shop.kdl", SHOP);
    let inside =
        "input \"name\" kind=\"text\"\ninput \"edge\" kind=\"length\"\nboard { rectangle \"{edge}\" \"20 mm\" }
lettering \"guest\" \"{name}\" strokes=\"plain\" height=\"4 mm\" { place centre=\"board\" }
run \"all\" { score \"guest\"; cut \"board\" }";
    write("tag.recipe.kdl", &tags(inside));
    write("guests.csv", "name,edge\nAda,50 mm\nBo,forty\nCleo,60 mm\n");
    let output = run(folder.path(), &["build", "tag.recipe.kdl", "--each", "guests.csv"]);
    let said = String::from_utf8(output.stderr).unwrap();
    assert_eq!(output.status.code(), Some(1), "{said}");
    assert!(said.contains("guests.csv, row 2, column edge"), "{said}");
    assert!(said.contains("not built: 1 of 3 rows (2)"), "{said}");
    let made: BTreeSet<String> = std::fs::read_dir(folder.path().join("out/tag"))
        .unwrap()
        .map(|e| e.unwrap().file_name().into_string().unwrap())
        .collect();
    assert_eq!(made, BTreeSet::from(["1-ada".to_owned(), "3-cleo".to_owned()]));
    assert!(folder.path().join("out/tag/1-ada/job-sheet.pdf").is_file());

    write("guests.csv", "nmae,edge\nAda,50 mm\nBo,40 mm\n");
    let output = run(folder.path(), &["build", "tag.recipe.kdl", "--each", "guests.csv"]);
    let said = String::from_utf8(output.stderr).unwrap();
    assert_eq!(said.matches("the recipe has no input `nmae`").count(), 1, "told once: {said}");
    assert!(said.contains("(1, 2)"), "{said}");
}
