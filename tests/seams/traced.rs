//! A jigsaw that was drawn by hand and scanned: its seams are traced, and its pieces counted, numbered and pulled apart.

use super::KERF;
use crate::puzzle::reference::{area, faces, line, noded};
use crate::tracing::figures;
use crate::tracing::pictures::{Look, stroked};
use geos::Geom;
use kerfbook::driver::{Request, build, compile};
use kerfbook::figures::Cache;
use kerfbook::plan::{Burn, Plan};
use kerfbook::shop::OperationKind;
use kerfbook::source::MemoryFiles;
use kurbo::Vec2;
use std::collections::BTreeSet;
use std::path::PathBuf;

const ACROSS: usize = 5;
const DOWN: usize = 3;

/// A recipe that traces the seams of fifteen pieces, 33 mm each way, inside a frame that was drawn with them.
fn files(more: &str) -> (MemoryFiles, Request) {
    let drawn = figures::puzzle(ACROSS, DOWN, 7);
    let grey = stroked(&drawn.seams, 3.0, drawn.size, Look::Scan);
    let pixels: Vec<u8> = grey.values.iter().map(|v| (v * 255.0).round() as u8).collect();
    let mut png = Vec::new();
    let mut encoder = png::Encoder::new(&mut png, drawn.size.0, drawn.size.1);
    encoder.set_color(png::ColorType::Grayscale);
    encoder.set_depth(png::BitDepth::Eight);
    encoder.write_header().unwrap().write_image_data(&pixels).unwrap();
    let mut files = MemoryFiles::default();
    files.insert("bench.shop.kdl", std::fs::read("tests/cases/shared/bench.shop.kdl").unwrap());
    files.insert("seams.png", png);
    let recipe = format!(
        "/- kdl-version 2\nrecipe \"Scanned\" language=1\nuse \"bench.shop.kdl\"\nmachine \"bench-diode\"\n\
        stock \"alder-3\"\nsheet \"200 mm\" \"150 mm\"\nboard {{ rectangle \"165 mm\" \"99 mm\" }}\n\
        trace \"pieces\" file=\"seams.png\" as=\"seams\" {{ size within=\"board\" }}\n{more}"
    );
    files.insert("scanned.recipe.kdl", recipe.into_bytes());
    (files, Request { recipe: PathBuf::from("scanned.recipe.kdl"), ..Request::default() })
}

fn plan(more: &str) -> Plan {
    let (files, request) = files(more);
    let build = compile(&request, &files, &Cache::default());
    let said: Vec<String> = build.findings.iter().map(|d| format!("{}: {}", d.finding.rule, d.message)).collect();
    build.plan.unwrap_or_else(|| panic!("{said:#?}"))
}

#[test]
fn its_pieces_are_counted_and_know_each_other() {
    let plan = plan("run \"out\" { cut \"pieces\" }");
    let puzzle = plan.puzzle.as_ref().expect("pieces");
    assert!(puzzle.drawn.is_none());
    assert_eq!(puzzle.pieces.len(), ACROSS * DOWN);
    for (index, piece) in puzzle.pieces.iter().enumerate() {
        let (row, column) = (index / ACROSS, index % ACROSS);
        assert_eq!(piece.number, index + 1);
        // As it was drawn: a grid, each piece about where its cell is.
        let cell = 33.0 * Vec2::new(column as f64 + 0.5, row as f64 + 0.5);
        let corner = plan.board.as_ref().unwrap().bounds().unwrap().origin();
        assert!((piece.middle - (corner + cell)).hypot() < 10.0, "{}", piece.number);
        let near = |a: usize, b: usize| a.abs_diff(b);
        let beside: BTreeSet<usize> = (0..ACROSS * DOWN)
            .filter(|other| near(other / ACROSS, row) + near(other % ACROSS, column) == 1)
            .map(|other| other + 1)
            .collect();
        assert_eq!(piece.neighbours.iter().copied().collect::<BTreeSet<_>>(), beside, "beside {}", piece.number);
    }
}

#[test]
fn its_pieces_are_the_faces_that_another_library_finds() {
    let plan = plan("run \"out\" { cut \"pieces\" }");
    let Burn::Lines(burned) = &plan.runs[0].operations[0].burn else { panic!("lines") };
    // GEOS nodes what is burned and polygonizes it; what is narrower than the kerf burns away.
    let found: Vec<f64> = faces(&noded(burned.iter().map(line).collect()))
        .iter()
        .filter(|face| !face.buffer(-KERF / 2.0, 8).unwrap().is_empty().unwrap())
        .map(|face| face.area().unwrap())
        .collect();
    let pieces = &plan.puzzle.as_ref().unwrap().pieces;
    assert_eq!(found.len(), pieces.len());
    let own: f64 = pieces.iter().map(|p| area(&p.outline).area().unwrap()).sum();
    // The strip between drawn frame and board is burned along twice at most: a hair along 528 mm.
    assert!((found.iter().sum::<f64>() - own).abs() < 0.1 * 528.0, "{found:?} {own}");
}

#[test]
fn numbers_stand_in_them_and_they_are_pulled_apart() {
    let more = "numbers \"labels\" of=\"pieces\" height=\"5 mm\"\n\
        run \"back\" turned=\"left-right\" { score \"labels\" }\nrun \"out\" { cut \"pieces\" }";
    let plan = plan(more);
    let pieces = &plan.puzzle.as_ref().unwrap().pieces;
    let labels = plan.runs[0].operations.iter().find(|o| o.kind == OperationKind::Score).unwrap();
    let Burn::Lines(digits) = &labels.burn else { panic!("lines") };
    let begins = || digits.iter().filter_map(|line| line.elements()[0].end_point());
    for piece in pieces {
        let inside = begins().filter(|&at| piece.outline.contains(at)).count();
        assert!(inside >= piece.number.to_string().len(), "no number in {}", piece.number);
    }
    for (i, a) in pieces.iter().enumerate() {
        for b in &pieces[i + 1..] {
            let [a, b] = [a, b].map(|p| crate::puzzle::reference::moved(&area(&p.outline), p.apart.x, p.apart.y));
            assert!(a.distance(&b).unwrap() > 2.0);
        }
    }
    let (files, request) = files(more);
    let made = build(&request, &files, &Cache::default()).1.unwrap().unwrap();
    let names: Vec<&str> = made.iter().map(|f| f.path.as_str()).collect();
    assert!(names.contains(&"pieces.png"), "{names:?}");
    let report = made.iter().find(|f| f.path == "report.json").unwrap();
    let report: serde_json::Value = serde_json::from_slice(&report.bytes).unwrap();
    assert_eq!(report["puzzle"]["pieces"].as_array().unwrap().len(), ACROSS * DOWN);
    assert!(report["puzzle"]["seed"].is_null());
}
