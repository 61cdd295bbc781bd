//! Parts of one file as figures of their own: they lie on the sheet as they lie in the file, if the recipe says so.

use kerfbook::driver::{Build, Request, compile};
use kerfbook::figures::Cache;
use kerfbook::source::MemoryFiles;
use kurbo::Rect;
use std::path::PathBuf;

const PARTS: &str = "<svg xmlns='http://www.w3.org/2000/svg' width='100mm' height='80mm' viewBox='0 0 100 80'>\
    <rect id='dark' x='10' y='10' width='20' height='10'/><rect id='light' x='60' y='50' width='30' height='20' fill='tan'/>\
    <path id='seam' d='M10 40H90' fill='none' stroke='black' stroke-width='4'/></svg>";

fn built(body: &str) -> Build {
    let mut files = MemoryFiles::default();
    files.insert("bench.shop.kdl", std::fs::read("tests/cases/shared/bench.shop.kdl").unwrap());
    files.insert("parts.svg", PARTS.as_bytes().to_vec());
    let head = "/- kdl-version 2\nrecipe \"Tray\" language=1\nuse \"bench.shop.kdl\"\nmachine \"bench-diode\"\n\
        stock \"alder-3\"\nsheet \"200 mm\" \"200 mm\"\nboard { rectangle \"160 mm\" \"160 mm\" }\n";
    files.insert("tray.recipe.kdl", format!("{head}{body}\nrun \"all\" {{ cut \"board\" }}\n").into_bytes());
    compile(&Request { recipe: PathBuf::from("tray.recipe.kdl"), ..Request::default() }, &files, &Cache::default())
}

fn boxes(body: &str, names: &[&str]) -> Vec<Rect> {
    let build = built(body);
    let said: Vec<String> = build.findings.iter().map(|d| format!("{}: {}", d.finding.rule, d.message)).collect();
    let plan = build.plan.unwrap_or_else(|| panic!("{said:#?}"));
    let find = |name: &&str| plan.figures.iter().find(|f| f.name == **name).and_then(|f| f.bounds);
    names.iter().map(|n| find(n).unwrap_or_else(|| panic!("{n} {said:#?}"))).collect()
}

fn near(found: Rect, x0: f64, y0: f64, x1: f64, y1: f64) {
    let off = [found.x0 - x0, found.y0 - y0, found.x1 - x1, found.y1 - y1];
    assert!(off.iter().all(|d| d.abs() < 1e-3), "{found:?} is not {x0} {y0} {x1} {y1}");
}

fn artwork(name: &str, properties: &str, body: &str) -> String {
    format!(
        "artwork \"{name}\" file=\"parts.svg\" {properties} {{\n {body}\n size width=\"50 mm\"\n place left=\"board\" top=\"board\"\n}}\n"
    )
}

/// The board starts at 20, 20. Half the size of the file by its page; 50 mm for 80 by its drawing.
#[test]
fn parts_stay_in_register_by_page_or_drawing() {
    let two = |frame: &str| {
        let properties = format!("frame=\"{frame}\"");
        artwork("a", &properties, "take \"#dark\"") + &artwork("b", &properties, "take \"#light\"")
    };
    let by_page = boxes(&two("page"), &["a", "b"]);
    near(by_page[0], 25.0, 25.0, 35.0, 30.0);
    near(by_page[1], 50.0, 45.0, 65.0, 55.0);
    let by_drawing = boxes(&two("drawing"), &["a", "b"]);
    near(by_drawing[0], 20.0, 20.0, 32.5, 26.25);
    near(by_drawing[1], 51.25, 45.0, 70.0, 57.5);
    let by_taken = boxes(&two("taken"), &["a", "b"]);
    near(by_taken[0], 20.0, 20.0, 70.0, 45.0);
}

#[test]
fn parts_stay_in_register_when_they_are_turned_and_mirrored() {
    let turned = "mirror \"left-right\"\n turn left=\"30 deg\"";
    for frame in ["page", "drawing"] {
        let properties = format!("frame=\"{frame}\"");
        let body = ["#dark", "#light", "#seam"]
            .iter()
            .map(|part| artwork(&part[1..], &properties, &format!("take \"{part}\"\n {turned}")))
            .collect::<String>()
            + &artwork("whole", &properties, turned);
        let found = boxes(&body, &["dark", "light", "seam", "whole"]);
        let parts = found[0].union(found[1]).union(found[2]);
        near(parts, found[3].x0, found[3].y0, found[3].x1, found[3].y1);
    }
}

/// A stroke of 4 mm as an area is followed along its edges.
#[test]
fn strokes_are_lines_or_areas_by_choice() {
    let of = |strokes: &str| {
        let body = format!("artwork \"seam\" file=\"parts.svg\" strokes=\"{strokes}\" {{ take \"#seam\" }}\n");
        boxes(&body, &["seam"])[0]
    };
    assert!(of("centre-lines").height() < 1e-6);
    let area = of("areas");
    assert!((area.height() - 4.0).abs() < 1e-3 && (area.width() - 80.0).abs() < 1e-3, "{area:?}");
}
