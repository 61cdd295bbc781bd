//! `resume` as it is typed: what it never does to a build.

use std::fs;
use std::path::Path;
use std::process::Command;

const RECIPE: &str = r#"
recipe "Kite tag" language=1
use "bench.shop.kdl"
machine "bench-diode"
stock "birch-3"
sheet "90 mm" "70 mm"
board { rectangle "60 mm" "45 mm" corner="5 mm" }
shape "ring" { circle "9 mm" }
run "out" { cut "ring"; cut "board" }
"#;

/// Runs `kerfbook` in a folder; returns the exit code and all that it said.
fn kerfbook(folder: &Path, line: &[&str]) -> (i32, String) {
    let out =
        Command::new(env!("CARGO_BIN_EXE_kerfbook")).current_dir(folder).args(line).output().expect("it runs");
    let said = [out.stdout, out.stderr].concat();
    (out.status.code().unwrap_or(-1), String::from_utf8(said).expect("text"))
}

fn built() -> tempfile::TempDir {
    let folder = tempfile::tempdir().unwrap();
    fs::copy("recipes/bench.shop.kdl", folder.path().join("bench.shop.kdl")).unwrap();
    fs::write(folder.path().join("kite.recipe.kdl"), RECIPE).unwrap();
    let (code, said) = kerfbook(folder.path(), &["build", "kite.recipe.kdl"]);
    assert_eq!(code, 0, "{said}");
    folder
}

#[test]
fn a_remainder_never_takes_the_place_of_a_build() {
    let folder = built();
    let sheet = fs::read(folder.path().join("out/kite/job-sheet.pdf")).unwrap();
    let rest = ["resume", "kite.recipe.kdl", "--run", "out", "--after", "1"];
    let (code, said) = kerfbook(folder.path(), &[&rest[..], &["--out", "out/kite"]].concat());
    assert!(code != 0 && said.contains("holds a build"), "{said}");
    assert!(sheet == fs::read(folder.path().join("out/kite/job-sheet.pdf")).unwrap());
    let (code, said) = kerfbook(folder.path(), &rest);
    assert_eq!(code, 0, "{said}");
    assert!(folder.path().join("out/kite-01-out-left/put-back.pdf").exists(), "{said}");
}

#[test]
fn another_machine_than_that_of_the_build_is_told() {
    let folder = built();
    let rest = ["resume", "kite.recipe.kdl", "--run", "out", "--after", "1", "--machine", "alcove-tube"];
    let (code, said) = kerfbook(folder.path(), &rest);
    assert_eq!(code, 0, "{said}");
    assert!(said.contains("the run was made for the machine `bench-diode`"), "{said}");
}

#[test]
fn a_box_beside_the_sheet_is_a_box_in_which_nothing_lies() {
    let folder = built();
    let rest =
        |only: &str| kerfbook(folder.path(), &["resume", "kite.recipe.kdl", "--run", "out", "--only", only]);
    let (code, said) = rest("-50,-50 20x20");
    assert!(code == 2 && said.contains("nothing of run `out` lies there"), "{said}");
    let (code, said) = rest("-50,-50");
    assert!(code == 2 && said.contains("`-50,-50` is no box: expected"), "{said}");
}

#[test]
fn a_day_that_no_calendar_has_is_no_day_of_a_burn() {
    let folder = built();
    for day in ["2027-02-30", "9999-12-31", "zzz"] {
        let (code, said) = kerfbook(folder.path(), &["record", "kite.recipe.kdl", "--went", "well", "--on", day]);
        assert!(code == 2 && said.contains("expected a day of the calendar"), "{said}");
    }
}
