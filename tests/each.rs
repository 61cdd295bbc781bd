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
    assert_eq!(made, BTreeSet::from([".kerfbook", "1-ada", "3-cleo"].map(str::to_owned)));
    assert!(folder.path().join("out/tag/1-ada/job-sheet.pdf").is_file());

    write("guests.csv", "nmae,edge\nAda,50 mm\nBo,40 mm\n");
    let output = run(folder.path(), &["build", "tag.recipe.kdl", "--each", "guests.csv"]);
    let said = String::from_utf8(output.stderr).unwrap();
    assert_eq!(said.matches("the recipe has no input `nmae`").count(), 1, "told once: {said}");
    assert!(said.contains("(1, 2)"), "{said}");
}

/// A job of name tags in a folder of its own.
fn tag_job(table: &str) -> tempfile::TempDir {
    let folder = tempfile::tempdir().unwrap();
    let write = |name: &str, text: &str| std::fs::write(folder.path().join(name), text).unwrap();
    write("bench.shop.kdl", SHOP);
    let inside = "input \"edge\" kind=\"length\" default=\"50 mm\"\nboard { rectangle \"{edge}\" \"20 mm\" }\nrun \"all\" { cut \"board\" }";
    write("tag.recipe.kdl", &tags(inside));
    write("edges.csv", table);
    folder
}

fn built(folder: &Path) -> BTreeSet<String> {
    let listing = std::fs::read_dir(folder.join("out/tag")).unwrap();
    listing.map(|e| e.unwrap().file_name().into_string().unwrap()).filter(|n| n != ".kerfbook").collect()
}

#[test]
fn a_build_and_one_for_each_row_take_each_others_place() {
    let folder = tag_job("edge\n40 mm\n60 mm\n");
    let kerfbook = |arguments: &[&str]| {
        let output = run(folder.path(), arguments);
        assert_eq!(output.status.code(), Some(0), "{}", String::from_utf8_lossy(&output.stderr));
    };
    let rows = |names: &[&str]| names.iter().map(|n| (*n).to_owned()).collect::<BTreeSet<String>>();
    kerfbook(&["build", "tag.recipe.kdl"]);
    assert!(built(folder.path()).contains("job-sheet.pdf"));
    kerfbook(&["build", "tag.recipe.kdl", "--each", "edges.csv"]);
    assert_eq!(built(folder.path()), rows(&["1-40-mm", "2-60-mm"]));
    std::fs::write(folder.path().join("edges.csv"), "edge\n45 mm\n").unwrap();
    kerfbook(&["build", "tag.recipe.kdl", "--each", "edges.csv"]);
    assert_eq!(built(folder.path()), rows(&["1-45-mm"]), "folders of rows that are gone are gone");
    kerfbook(&["build", "tag.recipe.kdl"]);
    assert!(built(folder.path()).contains("job-sheet.pdf") && !built(folder.path()).contains("1-45-mm"));
}

#[test]
fn what_somebody_put_among_the_rows_is_kept() {
    let folder = tag_job("edge\n40 mm\n");
    let each = ["build", "tag.recipe.kdl", "--each", "edges.csv"];
    assert_eq!(run(folder.path(), &each).status.code(), Some(0));
    std::fs::write(folder.path().join("out/tag/1-40-mm/notes.txt"), "mine").unwrap();
    for arguments in [&each[..], &["build", "tag.recipe.kdl"]] {
        let output = run(folder.path(), arguments);
        let said = String::from_utf8(output.stderr).unwrap();
        assert!(output.status.code() == Some(3) && said.contains("`notes.txt`"), "{said}");
    }
    assert_eq!(std::fs::read_to_string(folder.path().join("out/tag/1-40-mm/notes.txt")).unwrap(), "mine");
}

#[test]
fn findings_of_rows_are_one_text_for_programs() {
    let folder = tag_job("edge\nforty\n40 mm\nfifty\n");
    let each = ["build", "tag.recipe.kdl", "--each", "edges.csv", "--message-format"];
    let output = run(folder.path(), &[&each[..], &["json"]].concat());
    assert_eq!(output.status.code(), Some(1));
    let said = String::from_utf8(output.stdout).unwrap();
    let lines: Vec<serde_json::Value> = said.lines().map(|l| serde_json::from_str(l).expect("JSON")).collect();
    let files: Vec<&str> = lines.iter().filter_map(|l| l["file"].as_str()).collect();
    assert_eq!(files, ["edges.csv, row 1, column edge", "edges.csv, row 3, column edge"], "{said}");
    assert_eq!((&lines[2]["kind"], &lines[2]["errors"], lines.len()), (&"summary".into(), &2.into(), 3), "{said}");
    let output = run(folder.path(), &[&each[..], &["sarif"]].concat());
    let log: serde_json::Value = serde_json::from_slice(&output.stdout).expect("one log");
    assert_eq!(log["runs"][0]["results"].as_array().map(Vec::len), Some(2));
}

/// Pictures of rows are read from the folder of the recipe, as all files are.
#[test]
fn a_cell_may_name_the_picture_of_its_row() {
    let mut files = MemoryFiles::default();
    let inside = "repeat \"tags\" from=\"guests.csv\" cell-width=\"40 mm\" cell-height=\"40 mm\" gap=\"5 mm\" {
    artwork \"badge\" file=\"{picture}\" { size width=\"30 mm\"; place centre=\"cell\" }
}
run \"all\" { engrave \"badge\" }";
    let svg = |body: &str| {
        format!(
            "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"30mm\" height=\"30mm\" viewBox=\"0 0 30 30\">{body}</svg>"
        )
    };
    files.insert("tags.recipe.kdl", tags(inside).as_bytes());
    files.insert("bench.shop.kdl", SHOP.as_bytes());
    files.insert("guests.csv", &b"picture\nart/disc.svg\nart/block.svg\n"[..]);
    files.insert("art/disc.svg", svg("<circle cx=\"15\" cy=\"15\" r=\"15\"/>").as_bytes());
    files.insert("art/block.svg", svg("<rect width=\"30\" height=\"15\"/>").as_bytes());
    let request = Request { recipe: PathBuf::from("tags.recipe.kdl"), ..Request::default() };
    let build = compile(&request, &files, &Cache::default());
    let said: Vec<&str> = build.findings.iter().map(|d| d.message.as_str()).collect();
    let plan = build.plan.as_ref().unwrap_or_else(|| panic!("{said:?}"));
    let area = |name: &str| plan.figures.iter().find(|f| f.name == name).unwrap().area.get();
    // A disc of 30 mm, and half a square of 30 mm: π 15², 30 · 15.
    assert!((area("badge-1") - std::f64::consts::PI * 225.0).abs() < 0.1, "{}", area("badge-1"));
    assert!((area("badge-2") - 450.0).abs() < 1e-3, "{}", area("badge-2"));
}
