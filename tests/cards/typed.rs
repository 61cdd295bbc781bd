//! The two commands as they are typed: a card, its readings, and the shop file after them.

use std::fs;
use std::path::Path;
use std::process::Command;

/// Runs `kerfbook` in a folder; returns the exit code and all that it said.
fn kerfbook(folder: &Path, line: &[&str]) -> (i32, String) {
    let out =
        Command::new(env!("CARGO_BIN_EXE_kerfbook")).current_dir(folder).args(line).output().expect("it runs");
    let said = [out.stdout, out.stderr].concat();
    (out.status.code().unwrap_or(-1), String::from_utf8(said).expect("text"))
}

fn bench() -> tempfile::TempDir {
    let folder = tempfile::tempdir().unwrap();
    fs::copy("recipes/bench.shop.kdl", folder.path().join("bench.shop.kdl")).unwrap();
    folder
}

fn shop(folder: &Path) -> String {
    fs::read_to_string(folder.join("bench.shop.kdl")).unwrap()
}

#[test]
fn a_kerf_is_written_and_nothing_else() {
    let folder = bench();
    let before = shop(folder.path());
    let sums = ["--sum", "58.37 mm", "--sum", "58.39 mm"];
    let start = ["measure", "kerf", "--shop", "bench.shop.kdl", "--drawn", "60 mm", "--strips", "10"];
    let shown = kerfbook(folder.path(), &[&start[..], &sums[..], &["--print"]].concat());
    assert_eq!(shown.0, 0, "{}", shown.1);
    assert_eq!(shop(folder.path()), before, "shown, not written");
    let (code, said) = kerfbook(folder.path(), &[&start[..], &sums[..]].concat());
    assert_eq!(code, 0, "{said}");
    assert!(said.contains("kerf of `birch-3`: was 0.16 mm, is now 0.162 mm"), "{said}");
    assert_eq!(shop(folder.path()), before.replace("kerf=\"0.16 mm\"", "kerf=\"0.162 mm\""));
}

#[test]
fn a_kerf_is_written_to_the_setting_that_it_was_cut_with() {
    let folder = bench();
    let before = shop(folder.path());
    let line =
        ["measure", "kerf", "--shop", "bench.shop.kdl", "--drawn", "60 mm", "--strips", "10", "--sum", "57.5 mm"];
    let mine = ["--machine", "alcove-tube", "--setting", "through"];
    let (code, said) = kerfbook(folder.path(), &[&line[..], &mine[..]].concat());
    assert_eq!(code, 0, "{said}");
    // (60 mm - 57.5 mm) / 10 strips, by hand.
    assert_eq!(shop(folder.path()), before.replace("kerf=\"0.2 mm\"", "kerf=\"0.25 mm\""));
    let (_, said) = kerfbook(folder.path(), &line);
    assert!(said.contains("`alcove-tube` and `bench-diode` cut `birch-3`"), "{said}");
}

#[test]
fn a_patch_of_a_card_becomes_a_setting_of_the_shop() {
    let folder = bench();
    let (code, said) = kerfbook(
        folder.path(),
        &["card", "settings", "--operation", "score", "--shop", "bench.shop.kdl", "--machine", "bench-diode"],
    );
    assert_eq!(code, 0, "{said}");
    assert!(folder.path().join("birch-3-score.recipe.kdl").exists(), "{said}");
    let line =
        ["measure", "settings", "--card", "birch-3-score.recipe.kdl", "--name", "fine", "--on", "2027-06-01"];
    let wrong = kerfbook(folder.path(), &[&line[..], &["--cell", "z9"]].concat());
    assert!(wrong.0 == 1 && wrong.1.contains("it has `a1` to `e5`"), "{}", wrong.1);
    let (code, said) = kerfbook(folder.path(), &[&line[..], &["--cell", "B2"]].concat());
    assert_eq!(code, 0, "{said}");
    let added = shop(folder.path()).lines().find(|l| l.starts_with("setting \"fine\"")).unwrap().to_owned();
    assert!(added.contains("operation=\"score\"") && added.contains("in/min\" power=\"40 %\""), "{added}");
    assert!(added.ends_with("measured=\"2027-06-01\" how=\"B2 of the card birch-3-score.recipe.kdl\""), "{added}");
}

#[test]
fn a_beam_that_nobody_has_measured_is_added_to_its_machine() {
    let folder = tempfile::tempdir().unwrap();
    fs::write(folder.path().join("bench.shop.kdl"), super::bench::NEW).unwrap();
    assert_eq!(kerfbook(folder.path(), &["card", "focus", "--shop", "bench.shop.kdl"]).0, 0);
    let (code, said) = kerfbook(folder.path(), &["check", "new-diode-focus.recipe.kdl"]);
    assert_eq!(code, 0, "{said}");
    // A beam of 0.1 mm whose Rayleigh range is 1 mm is √2, √5 and √10 times as wide 1, 2 and 3 mm off (ISO 11146-1).
    let read =
        ["3 mm=0.316 mm", "2 mm=0.224 mm", "1 mm=0.141 mm", "0 mm=0.1 mm", "-1 mm=0.141 mm", "-2 mm=0.224 mm"];
    let at: Vec<&str> = read.iter().flat_map(|reading| ["--at", reading]).collect();
    let (code, said) =
        kerfbook(folder.path(), &[&["measure", "focus", "--shop", "bench.shop.kdl"], &at[..]].concat());
    assert_eq!(code, 0, "{said}");
    assert!(said.contains("spot of `new-diode`: was not measured, is now 0.1 mm"), "{said}");
    assert!(
        shop(folder.path()).contains("    spot \"0.1 mm\"\n    focus rayleigh=\"1 mm\"\n}"),
        "{}",
        shop(folder.path())
    );
}

#[test]
fn a_card_that_somebody_worked_on_is_not_lost() {
    let folder = bench();
    let line =
        ["card", "focus", "--shop", "bench.shop.kdl", "--machine", "bench-diode", "--out", "ramp.recipe.kdl"];
    assert_eq!(kerfbook(folder.path(), &line).0, 0);
    assert_eq!(kerfbook(folder.path(), &line).0, 0, "the same again");
    fs::write(folder.path().join("ramp.recipe.kdl"), "// mine").unwrap();
    let (code, said) = kerfbook(folder.path(), &line);
    assert!(code == 1 && said.contains("is there already"), "{said}");
    assert_eq!(fs::read_to_string(folder.path().join("ramp.recipe.kdl")).unwrap(), "// mine");
}

#[test]
fn tables_are_read_and_their_faults_have_a_place() {
    let folder = bench();
    let line = [
        "measure",
        "shade",
        "--shop",
        "bench.shop.kdl",
        "--machine",
        "bench-diode",
        "--setting",
        "dark",
        "--readings",
        "wedge.csv",
    ];
    let table = |text: &str| fs::write(folder.path().join("wedge.csv"), text).unwrap();
    table("power,grey\n0 %,200\n10 %,180\n28 %,none\n");
    let (code, said) = kerfbook(folder.path(), &line);
    assert!(code == 1 && said.contains("wedge.csv, line 4, column `grey`: `none` is no grey"), "{said}");
    table("power,grey\n0 %,200\n10 %,180\n28 %,190\n62 %,60\n");
    let (code, said) = kerfbook(folder.path(), &line);
    assert!(code == 1 && said.contains("10 % of power") && said.contains("no darker"), "{said}");
    table("power,grey\n0 %,200\n10 %,180\n28 %,120\n62 %,60\n");
    let (code, said) = kerfbook(folder.path(), &line);
    assert_eq!(code, 0, "{said}");
    assert!(said.contains("darkness at 18 % in `birch-tones`: was 20 %, is gone"), "{said}");
    let steps = |shop: String| shop.matches("step power=").count();
    assert_eq!(steps(shop(folder.path())), steps(fs::read_to_string("recipes/bench.shop.kdl").unwrap()) - 2);
}

#[test]
fn a_shop_file_with_errors_is_refused_as_it_is() {
    let folder = bench();
    let broken = shop(folder.path()).replace("bed \"410 mm\"", "bed \"410\"");
    fs::write(folder.path().join("bench.shop.kdl"), &broken).unwrap();
    let (code, said) = kerfbook(
        folder.path(),
        &["measure", "kerf", "--shop", "bench.shop.kdl", "--hole", "20.1 mm", "--part", "19.8 mm"],
    );
    assert!(code == 1 && said.contains("schema/"), "{said}");
    assert_eq!(shop(folder.path()), broken);
}
