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
fn a_setting_that_is_like_a_measured_one_is_told_when_it_moves_along() {
    let folder = bench();
    let line = shop(folder.path())
        + "setting \"fine\" machine=\"bench-diode\" stock=\"birch-3\" operation=\"score\" speed=\"100 in/min\" power=\"20 %\" passes=1\nsetting \"soft\" like=\"fine\" power=\"10 %\"\n";
    fs::write(folder.path().join("bench.shop.kdl"), &line).unwrap();
    let card =
        ["card", "settings", "--operation", "score", "--shop", "bench.shop.kdl", "--machine", "bench-diode"];
    assert_eq!(kerfbook(folder.path(), &card).0, 0);
    let line = ["measure", "settings", "--card", "birch-3-score.recipe.kdl", "--cell", "b2", "--on", "2027-06-01"];
    let (code, said) = kerfbook(folder.path(), &[&line[..], &["--name", "fine"]].concat());
    assert_eq!(code, 0, "{said}");
    let moved = said.lines().find(|l| l.contains("`soft` for `bench-diode`")).unwrap_or_else(|| panic!("{said}"));
    assert!(moved.contains("speed from ") && !moved.contains("power"), "its power is its own: {moved}");
    // It has a machine and a stock only by what it is like, and is measured all the same.
    let (code, said) = kerfbook(folder.path(), &[&line[..], &["--name", "soft"]].concat());
    assert_eq!(code, 0, "{said}");
    assert_eq!(shop(folder.path()).matches("setting \"soft\"").count(), 1);
}

#[test]
fn what_is_measured_already_is_not_written_again() {
    let folder = bench();
    let line =
        ["measure", "kerf", "--shop", "bench.shop.kdl", "--drawn", "60 mm", "--strips", "10", "--sum", "58.4 mm"];
    let (code, said) = kerfbook(folder.path(), &[&line[..], &["--print"]].concat());
    assert!(code == 0 && said.contains("bench.shop.kdl says so already") && !said.contains("line "), "{said}");
}

#[test]
fn a_table_of_a_spreadsheet_is_read_with_its_decimal_commas() {
    let folder = bench();
    fs::write(
        folder.path().join("comb.csv"),
        "\u{feff}drawn;strips;sum\r\n60 mm;10;58,37 mm\r\n60 mm;10;58,39 mm\r\n",
    )
    .unwrap();
    let line = ["measure", "kerf", "--shop", "bench.shop.kdl", "--readings", "comb.csv"];
    let (code, said) = kerfbook(folder.path(), &line);
    assert!(code == 0 && said.contains("kerf of `birch-3`: was 0.16 mm, is now 0.162 mm"), "{said}");
}

#[test]
fn a_shade_card_says_what_it_was_burned_with_and_a_later_setting_is_told() {
    let folder = bench();
    let line = ["measure", "shade", "--shop", "bench.shop.kdl", "--machine", "bench-diode", "--setting", "dark"];
    let read = ["--patch", "10 %=6 %", "--patch", "28 %=38 %", "--patch", "62 %=100 %"];
    assert_eq!(kerfbook(folder.path(), &[&line[..], &read[..]].concat()).0, 0);
    let text = shop(folder.path());
    // 120 mm/s are 283.465 in/min (25.4 mm an inch, exactly).
    assert!(
        text.contains("setting=\"dark\" speed=\"283.465 in/min\" passes=1 interval=\"0.1 mm\" focus=\"0 mm\" {"),
        "{text}"
    );
    let recipe = "recipe \"Sun\" language=1\nuse \"bench.shop.kdl\"\nmachine \"bench-diode\"\nstock \"birch-3\"\nsheet \"80 mm\" \"80 mm\"\nboard { circle \"50 mm\" }\nshape \"sun\" { circle \"18 mm\" }\nrun \"all\" { engrave \"sun\" shade=\"35 %\"; cut \"board\" setting=\"through\" }\n";
    fs::write(folder.path().join("sun.recipe.kdl"), recipe).unwrap();
    let (code, said) = kerfbook(folder.path(), &["check", "sun.recipe.kdl"]);
    assert_eq!(code, 0, "{said}");
    fs::write(
        folder.path().join("bench.shop.kdl"),
        text.replace("operation=\"engrave\" speed=\"120 mm/s\"", "operation=\"engrave\" speed=\"90 mm/s\""),
    )
    .unwrap();
    let (code, said) = kerfbook(folder.path(), &["check", "sun.recipe.kdl"]);
    assert!(
        code == 1 && said.contains("plan/shade-card-outdated") && said.contains("now speed 90 mm/s"),
        "{said}"
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
