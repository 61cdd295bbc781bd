//! What is left of a run that stopped: nothing is lost or burned twice, and it falls into register.

mod hostile;
mod typed;
mod register;
mod whole;

use kerfbook::diagnostics::Severity;
use kerfbook::driver::{Build, Request, compile};
use kerfbook::figures::Cache;
use kerfbook::plan::{Asked, Burn, Operation, Part, Plan, Remainder, Run, remainder};
use kerfbook::source::MemoryFiles;
use kerfbook::units::Mm;
use kurbo::{BezPath, Shape};
use std::path::PathBuf;

const SHOP: &str = include_str!("../recipes/bench.shop.kdl");

/// A board in the middle of its sheet, engraved, scored, and cut into twelve pieces.
fn recipe(body: &str) -> String {
    format!(
        "/- kdl-version 2\nrecipe \"Reed\" language=1\nuse \"bench.shop.kdl\"\nmachine \"bench-diode\"\nstock \"birch-3\"\n{body}"
    )
}

const BODY: &str = r#"
sheet "180 mm" "150 mm"
board { rectangle "140 mm" "110 mm" corner="6 mm" }
shape "reed" { rectangle "60 mm" "40 mm"; place centre="board" right="10 mm" }
shape "ring" { circle "80 mm"; place centre="board" }
puzzle "pieces" of="board" pieces=12 seed="reed" { knob "round" }
register "marks" around="board" gap="4 mm" arm="5 mm"
run "picture" {
    engrave "reed" setting="dark"
    score "ring"
    score "marks"
}
run "separate" {
    score "marks"
    cut "pieces"
    cut "board"
}
"#;

fn compiled(text: &str) -> Build {
    let mut files = MemoryFiles::default();
    files.insert("bench.shop.kdl", SHOP.as_bytes());
    files.insert("reed.recipe.kdl", text.as_bytes());
    compile(&Request { recipe: PathBuf::from("reed.recipe.kdl"), ..Request::default() }, &files, &Cache::default())
}

/// The plan of a recipe without errors or warnings.
fn plan(body: &str) -> Plan {
    let build = compiled(&recipe(body));
    let told: Vec<&str> =
        build.findings.iter().filter(|d| d.severity != Severity::Advice).map(|d| d.message.as_str()).collect();
    assert!(told.is_empty(), "{told:?}");
    build.plan.expect("a plan")
}

fn asked(part: Part) -> Asked {
    Asked { part, operation: None, overlap: Mm::ZERO, whole: false, passes: None }
}

fn left(plan: &Plan, run: &str, part: Part) -> Remainder {
    remainder(plan, run, &asked(part)).expect("something is left")
}

fn lines(operation: &Operation) -> &[BezPath] {
    if let Burn::Lines(lines) = &operation.burn { lines } else { &[] }
}

/// The numbers and the lines of all strokes of a run.
fn strokes(run: &Run) -> Vec<(usize, &BezPath)> {
    run.operations.iter().flat_map(|o| o.numbers.iter().copied().zip(lines(o))).collect()
}

fn length(run: &Run) -> f64 {
    strokes(run).iter().map(|(_, line)| line.perimeter(1e-6)).sum()
}

/// What is left, without marks that are burned once more for the box.
fn asked_for(left: &Remainder) -> Vec<(usize, &BezPath)> {
    let operations = left.run.operations.iter().filter(|o| left.marks_again != Some(o.number));
    operations.flat_map(|o| o.numbers.iter().copied().zip(lines(o))).collect()
}

fn length_asked_for(left: &Remainder) -> f64 {
    asked_for(left).iter().map(|(_, line)| line.perimeter(1e-6)).sum()
}
