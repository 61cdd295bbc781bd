//! The demo, built whole and read back by programs that did not write it.

use super::puzzle::reference::{faces, line, noded};
use geos::Geom;
use kerfbook::driver::{Request, build, project_root};
use kerfbook::figures::Cache;
use kerfbook::outputs::OutputFile;
use kerfbook::source::DiskFiles;
use kurbo::{BezPath, Rect, Shape};
use roxmltree::{Document, Node};
use serde_json::Value;
use std::collections::BTreeMap;
use std::path::{Path, PathBuf};
use std::process::Command;
use std::sync::OnceLock;

/// The demo's files, built once for all tests here.
fn demo() -> &'static BTreeMap<String, Vec<u8>> {
    static FILES: OnceLock<BTreeMap<String, Vec<u8>>> = OnceLock::new();
    FILES.get_or_init(|| {
        let recipe = PathBuf::from("recipes/heron-pond/heron-pond.recipe.kdl");
        let files = DiskFiles::new(&project_root(&recipe), &[]);
        let (_, made) = build(&Request { recipe, ..Request::default() }, &files, &Cache::default());
        let made: Vec<OutputFile> = made.expect("outputs").expect("no errors");
        made.into_iter().map(|f| (f.path, f.bytes)).collect()
    })
}

fn text(path: &str) -> &'static str {
    std::str::from_utf8(&demo()[path]).expect("UTF-8")
}

fn report() -> Value {
    serde_json::from_str(text("report.json")).expect("JSON")
}

/// The paths of a run's groups of one operation.
fn paths(document: &Document, operation: &str) -> Vec<BezPath> {
    let is_wanted = |n: &Node| n.attribute("data-operation") == Some(operation);
    document
        .descendants()
        .filter(is_wanted)
        .flat_map(|g| g.descendants())
        .filter_map(|n| Some(BezPath::from_svg(n.attribute("d")?).expect("path data")))
        .collect()
}

#[test]
fn the_cut_run_falls_into_the_promised_pieces() {
    let svg = Document::parse(text("02-separate.svg")).expect("well-formed");
    let cuts = paths(&svg, "cut");
    let outline = cuts.iter().max_by(|a, b| a.area().abs().total_cmp(&b.area().abs())).expect("an outline");
    // GEOS polygonizes what the file says and nothing else.
    let pieces = faces(&noded(cuts.iter().map(line).collect()));
    assert_eq!(pieces.len(), 15);
    let sum: f64 = pieces.iter().map(|p| p.area().expect("area")).sum();
    // The board: 8.5 x 11 in less what its four corners of 5 mm radius take away, (4 - pi) r².
    let board = 215.9 * 279.4 - (4.0 - std::f64::consts::PI) * 25.0;
    assert!((sum / board - 1.0).abs() < 1e-4, "{sum} {board}");
    assert!((outline.area().abs() / board - 1.0).abs() < 1e-4);
}

#[test]
fn operations_stand_in_the_order_of_the_recipe() {
    for (file, expected) in [
        ("01-picture.svg", ["engrave", "engrave", "score", "score"].as_slice()),
        ("02-separate.svg", ["score", "cut", "cut"].as_slice()),
    ] {
        let svg = Document::parse(text(file)).expect("well-formed");
        let root = svg.root_element();
        assert_eq!((root.attribute("width"), root.attribute("height")), (Some("304.8mm"), Some("304.8mm")));
        assert_eq!(root.attribute("viewBox"), Some("0 0 304.8 304.8"));
        let groups: Vec<Node> = svg.descendants().filter(|n| n.has_tag_name("g")).collect();
        let found: Vec<&str> = groups.iter().filter_map(|g| g.attribute("data-operation")).collect();
        assert_eq!(found, expected);
        let orders: Vec<usize> = groups.iter().filter_map(|g| g.attribute("data-order")?.parse().ok()).collect();
        assert_eq!(orders, (1..=expected.len()).collect::<Vec<_>>());
    }
}

#[test]
fn both_runs_share_their_centre() {
    let centre = |file: &str| {
        let svg = Document::parse(text(file)).expect("well-formed");
        let boxes = ["engrave", "score", "cut"].into_iter().flat_map(|o| paths(&svg, o));
        boxes.map(|p| p.bounding_box()).reduce(|a: Rect, b| a.union(b)).expect("something burned").center()
    };
    let apart = centre("01-picture.svg").distance(centre("02-separate.svg"));
    assert!(apart < 0.001, "{apart} mm");
}

#[test]
fn the_sheet_prints_every_setting_of_the_report() {
    let folder = tempfile::tempdir().expect("a folder");
    let pdf = folder.path().join("job-sheet.pdf");
    std::fs::write(&pdf, &demo()["job-sheet.pdf"]).expect("written");
    let Some(printed) = pdf_text(&pdf) else {
        println!("skipped: pdftotext is not installed");
        return;
    };
    let report = report();
    let operations =
        report["runs"].as_array().expect("runs").iter().flat_map(|r| r["operations"].as_array().expect("list"));
    let mut checked = 0;
    for setting in operations.map(|o| &o["setting"]).filter(|s| s.is_object()) {
        for (key, unit) in [
            ("speed_mm_s", " mm/s"),
            ("power_percent", " %"),
            ("interval_mm", " mm"),
            ("focus_mm", " mm"),
            ("passes", ""),
        ] {
            let Some(number) = setting[key].as_f64() else { continue };
            let wanted = format!("{}{unit}", kerfbook::units::number::fixed(number, 3));
            assert!(printed.contains(&wanted), "`{wanted}` is not on the sheet");
            checked += 1;
        }
        let name = setting["name"].as_str().expect("a name");
        assert!(printed.contains(name), "`{name}` is not on the sheet");
    }
    assert!(checked > 20, "{checked}");
}

/// The text of a PDF as poppler reads it, runs of white space made one space.
fn pdf_text(pdf: &Path) -> Option<String> {
    let output = Command::new("pdftotext").arg("-layout").arg(pdf).arg("-").output().ok()?;
    assert!(output.status.success());
    Some(String::from_utf8_lossy(&output.stdout).split_whitespace().collect::<Vec<_>>().join(" "))
}
