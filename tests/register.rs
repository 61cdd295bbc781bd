//! Every run starts where the others start, or it is told: the demo with innocent edits, read back from its files.

use super::recipes::copy;
use kerfbook::diagnostics::Severity;
use kerfbook::driver::{Build, Request, build};
use kerfbook::figures::Cache;
use kerfbook::source::DiskFiles;
use kurbo::{BezPath, Point, Rect, Shape, Vec2};
use roxmltree::Document;
use serde_json::Value;
use std::collections::BTreeMap;
use std::fs;
use std::path::{Path, PathBuf};

/// What the files round to, in mm.
const MICROMETRE: f64 = 0.001;

struct Built {
    build: Build,
    files: BTreeMap<String, Vec<u8>>,
    _folder: tempfile::TempDir,
}

/// Words of the recipe, and what stands in their place.
type Edit = (&'static str, &'static str);

/// Builds the demo with some words of its recipe replaced.
fn edited(edits: &[Edit]) -> Built {
    let folder = tempfile::tempdir().unwrap();
    copy(Path::new("recipes/heron-pond"), &folder.path().join("heron-pond"));
    fs::copy("recipes/bench.shop.kdl", folder.path().join("bench.shop.kdl")).unwrap();
    let recipe = folder.path().join("heron-pond/heron-pond.recipe.kdl");
    let mut text = fs::read_to_string(&recipe).unwrap();
    for (old, new) in edits {
        assert!(text.contains(old), "{old}");
        text = text.replacen(old, new, 1);
    }
    fs::write(&recipe, text).unwrap();
    made(recipe, folder)
}

fn made(recipe: PathBuf, folder: tempfile::TempDir) -> Built {
    let files = DiskFiles::new(folder.path(), &[]);
    let (build, made) = build(&Request { recipe, ..Request::default() }, &files, &Cache::default());
    let told: Vec<&str> = build.findings.iter().map(|d| d.message.as_str()).collect();
    let made = made.unwrap().unwrap_or_else(|| panic!("{told:?}"));
    Built { build, files: made.into_iter().map(|f| (f.path, f.bytes)).collect(), _folder: folder }
}

impl Built {
    /// The box around all paths of a file, as a machine finds it.
    fn burned(&self, file: &str) -> Rect {
        let document = Document::parse(std::str::from_utf8(&self.files[file]).unwrap()).unwrap();
        let paths = document.descendants().filter_map(|n| BezPath::from_svg(n.attribute("d")?).ok());
        paths.map(|p| p.bounding_box()).reduce(|a, b| a.union(b)).unwrap()
    }

    fn warning(&self, rule: &str) -> Option<String> {
        let found = self.build.findings.iter().find(|d| d.finding.rule == rule && d.severity == Severity::Warning);
        found.map(|d| format!("{} {:?} {:?}", d.message, d.primary.as_ref().map(|l| &l.text), d.consequence))
    }

    fn report(&self) -> Value {
        serde_json::from_slice(&self.files["report.json"]).unwrap()
    }
}

fn corners(b: Rect) -> [Point; 5] {
    [b.center(), b.origin(), Point::new(b.x1, b.y0), Point::new(b.x0, b.y1), Point::new(b.x1, b.y1)]
}

const SCORE_IN_PICTURE: Edit = ("    score \"glow\"\n    score \"marks\"\n", "    score \"glow\"\n");
const SCORE_IN_SEPARATE: Edit = ("    score \"marks\"\n    cut \"pieces\"", "    cut \"pieces\"");
const PICTURE_FROM: Edit = ("run \"picture\" {", "run \"picture\" start=\"right-bottom\" {");
const SEPARATE_FROM: Edit = ("run \"separate\" {", "run \"separate\" start=\"right-bottom\" {");

#[test]
fn the_demo_has_one_middle_and_the_same_four_corners_in_both_runs() {
    let built = edited(&[]);
    let (a, b) = (built.burned("01-picture.svg"), built.burned("02-separate.svg"));
    for (one, other) in corners(a).into_iter().zip(corners(b)) {
        assert!(one.distance(other) <= MICROMETRE, "{one:?} {other:?}");
    }
}

/// One edit, what is told of it, and whether it is told at all: by the middle, or by a corner where runs start from one.
#[test]
fn innocent_edits_that_move_a_run_are_told_and_those_that_do_not_are_not() {
    let cases: &[(&str, &[Edit], usize)] = &[
        ("marks no longer scored in the first run", &[SCORE_IN_PICTURE], 0),
        ("marks no longer scored in the second run: the board has the same middle", &[SCORE_IN_SEPARATE], 0),
        ("marks nowhere", &[SCORE_IN_PICTURE, SCORE_IN_SEPARATE], 0),
        (
            "the sun moved beyond the marks by 10 mm",
            &[(
                "place left=\"board\" top=\"board\" right=\"15 mm\" down=\"15 mm\"",
                "place left=\"sheet\" top=\"board\" right=\"25 mm\" down=\"15 mm\"",
            )],
            0,
        ),
        (
            "marks close to the board, and the picture reaching farther on one side",
            &[
                ("gap=\"4 mm\" arm=\"5 mm\"", "gap=\"0.5 mm\" arm=\"5 mm\""),
                (
                    "place left=\"board\" top=\"board\" right=\"15 mm\" down=\"15 mm\"",
                    "place left-of=\"board\" top=\"board\" right=\"15 mm\" down=\"15 mm\"",
                ),
            ],
            0,
        ),
        ("another margin of the picture", &[("margin=\"22 mm\"", "margin=\"30 mm\"")], 0),
        ("from a corner, marks in both", &[PICTURE_FROM, SEPARATE_FROM], 4),
        ("from a corner, marks only in the first", &[PICTURE_FROM, SEPARATE_FROM, SCORE_IN_SEPARATE], 4),
        (
            "the wider marks in one run only",
            &[
                PICTURE_FROM,
                SEPARATE_FROM,
                ("\nrun \"picture\"", "register \"wide\" around=\"board\" gap=\"5 mm\"\nrun \"picture\""),
                ("    score \"marks\"\n    cut", "    score \"wide\"\n    cut"),
            ],
            4,
        ),
    ];
    let mut told = 0;
    for (what, edits, point) in cases {
        let built = edited(edits);
        let (a, b) = (built.burned("01-picture.svg"), built.burned("02-separate.svg"));
        let apart: Vec2 = corners(b)[*point] - corners(a)[*point];
        let warning = built.warning("register/centres-differ");
        assert_eq!(warning.is_some(), apart.hypot() > 0.011, "{what}: {apart:?} {warning:?}");
        if let Some(text) = warning {
            told += 1;
            for (by, back, forth) in [(apart.x, "to the left", "to the right"), (apart.y, "up", "down")] {
                if by.abs() > 0.011 {
                    let way = if by < 0.0 { back } else { forth };
                    let shown = kerfbook::units::number::fixed(by.abs(), 2);
                    assert!(text.contains(&format!("{shown} mm {way}")), "{what}: {apart:?} {text}");
                }
            }
        }
        // The report says where each run starts.
        for (run, file) in [(0, a), (1, b)] {
            let at = &built.report()["runs"][run]["start"]["on_page"];
            let found = Point::new(at["x_mm"].as_f64().unwrap(), at["y_mm"].as_f64().unwrap());
            assert!(found.distance(corners(file)[*point]) <= 2.0 * MICROMETRE, "{what}: {at}");
        }
    }
    assert!((4..cases.len()).contains(&told), "{told}");
}

#[test]
fn runs_that_start_from_different_kinds_of_points_are_told() {
    let built = edited(&[SEPARATE_FROM]);
    let told = built.warning("register/starts-differ").expect("told");
    assert!(told.contains("right bottom corner") && told.contains("mm to the right and"), "{told}");
    assert!(built.warning("register/centres-differ").is_none());
}

#[test]
fn what_is_charred_and_what_the_head_needs_is_in_the_report() {
    let report = edited(&[]).report();
    let number = |v: &Value| v.as_f64().unwrap();
    let picture = &report["runs"][0];
    let (paths, charred, head) =
        (&picture["burned_on_page"], &picture["charred_on_page"], &picture["head_on_page"]);
    // The marks are the outermost: half the spot of 0.08 mm beside them.
    assert!((number(&paths["left_mm"]) - number(&charred["left_mm"]) - 0.04).abs() < 1e-6);
    // Kinematics, v²/2a: 120 mm/s and 3000 mm/s² take 2.4 mm beside the rows, less than the marks lie beside them.
    assert!(number(&head["width_mm"]) >= number(&paths["width_mm"]));
    let separate = &report["runs"][1];
    let beside = number(&separate["burned_on_page"]["left_mm"]) - number(&separate["charred_on_page"]["left_mm"]);
    // The marks, scored, lie 4 mm outside the cut, whose kerf of 0.16 mm does not reach as far.
    assert!((beside - 0.04).abs() < 1e-6, "{beside}");
}

/// A corner cut from scrap: where the beam runs, half a kerf is left to the edges of the page on both sides.
#[test]
fn the_corner_of_scrap_lies_on_the_corner_of_the_page() {
    for (corner, at) in [
        ("left-top", Point::new(0.0, 0.0)),
        ("right-top", Point::new(220.0, 0.0)),
        ("left-bottom", Point::new(0.0, 180.0)),
        ("right-bottom", Point::new(220.0, 180.0)),
    ] {
        let folder = tempfile::tempdir().unwrap();
        copy(Path::new("recipes/hill-path"), &folder.path().join("hill-path"));
        fs::copy("recipes/bench.shop.kdl", folder.path().join("bench.shop.kdl")).unwrap();
        let recipe = folder.path().join("hill-path/hill-path.recipe.kdl");
        let text = fs::read_to_string(&recipe).unwrap();
        assert!(text.contains("corner=\"left-top\""));
        fs::write(&recipe, text.replace("corner=\"left-top\"", &format!("corner=\"{corner}\""))).unwrap();
        let built = made(recipe, folder);
        let kerf = 0.16;
        let cut = built.burned("01-stop.svg").inflate(kerf / 2.0, kerf / 2.0);
        let away = corners(cut)[1..].iter().map(|c| c.distance(at)).fold(f64::INFINITY, f64::min);
        assert!(away <= MICROMETRE, "{corner}: {cut:?}");
        let page = |file: &str| {
            let text = std::str::from_utf8(&built.files[file]).unwrap();
            let document = Document::parse(text).unwrap();
            ["width", "height", "viewBox"].map(|a| document.root_element().attribute(a).map(str::to_owned))
        };
        // The same page as all runs, and every run is started from it.
        for file in ["02-back.svg", "03-front.svg", "04-frame.svg", "05-floor.svg"] {
            assert_eq!(page("01-stop.svg"), page(file));
        }
        for run in built.report()["runs"].as_array().unwrap() {
            assert_eq!(run["start"]["from"], "page");
        }
        assert_eq!(built.report()["runs"][0]["sheet"], Value::Null);
        assert!(built.build.findings.iter().all(|d| d.severity == Severity::Advice), "{corner}");
    }
}
