//! Where a remainder is started, it lies where the run lay: read back from the files.

use super::{BODY, asked, left, lines, plan};
use kerfbook::geometry::{FillRule, Region};
use kerfbook::outputs::{remainder_file, run_svg, write_remainder};
use kerfbook::plan::{BackTo, Part, Plan, Remainder, remainder};
use kurbo::{BezPath, Point, Rect, Shape};
use roxmltree::Document;

/// What files round to (mm), twice.
const MICROMETRE: f64 = 0.001;

fn svg(plan: &Plan, left: &Remainder) -> String {
    let name = remainder_file(plan, left);
    let file = write_remainder(plan, left, None).unwrap().into_iter().find(|f| f.path == name).unwrap();
    String::from_utf8(file.bytes).unwrap()
}

/// The box around all paths of a file, as a machine finds it.
fn burned(svg: &str) -> Rect {
    let document = Document::parse(svg).unwrap();
    let paths = document.descendants().filter_map(|n| BezPath::from_svg(n.attribute("d")?).ok());
    paths.map(|p| p.bounding_box()).reduce(|a, b| a.union(b)).unwrap()
}

fn whole(plan: &Plan, name: &str) -> Rect {
    let run = plan.runs.iter().find(|r| r.name == name).unwrap();
    burned(&String::from_utf8(run_svg(plan, run)).unwrap())
}

fn from(start: &str) -> String {
    BODY.replace("run \"picture\"", &format!("run \"picture\" start=\"{start}\""))
        .replace("run \"separate\"", &format!("run \"separate\" start=\"{start}\""))
}

/// That point of a box, by its recipe word.
fn point(start: &str, b: Rect) -> Point {
    match start {
        "centre" => b.center(),
        "left-top" => Point::new(b.x0, b.y0),
        "right-top" => Point::new(b.x1, b.y0),
        "left-bottom" => Point::new(b.x0, b.y1),
        _ => Point::new(b.x1, b.y1),
    }
}

#[test]
fn marks_give_the_remainder_the_box_of_the_run() {
    for start in ["left-top", "right-top", "left-bottom", "right-bottom"] {
        let plan = plan(&from(start));
        let left = left(&plan, "separate", Part::After(5));
        assert_eq!((left.back_to, left.marks_again), (BackTo::SamePoint, Some(1)), "{start}");
        let svg = svg(&plan, &left);
        let (was, is) = (whole(&plan, "separate"), burned(&svg));
        assert!(point(start, was).distance(point(start, is)) <= MICROMETRE, "{start}");
        // The marks come first, so that a wrong place shows before anything is cut.
        let document = Document::parse(&svg).unwrap();
        let first = document.descendants().find_map(|n| n.attribute("data-figures")).unwrap();
        assert_eq!(first, "marks");
    }
}

#[test]
fn what_keeps_its_middle_needs_no_marks() {
    let plan = plan(BODY);
    let last = plan.runs[1].operations[2].numbers[0];
    // Only the outline is left, and it lies about the middle of the marks.
    let left = left(&plan, "separate", Part::After(last - 1));
    assert_eq!((left.back_to, left.marks_again), (BackTo::SamePoint, None));
    assert!(whole(&plan, "separate").center().distance(burned(&svg(&plan, &left)).center()) <= MICROMETRE);
}

#[test]
fn without_marks_the_way_that_is_told_leads_to_the_start_point() {
    let without = BODY
        .replace("    score \"marks\"\n", "")
        .replace("register \"marks\" around=\"board\" gap=\"4 mm\" arm=\"5 mm\"\n", "");
    let without = without
        .replace("run \"picture\" {", "run \"picture\" { allow \"register/centres-differ\" because=\"test\"")
        .replace("run \"separate\" {", "run \"separate\" { allow \"register/centres-differ\" because=\"test\"");
    let build = super::compiled(&super::recipe(&without));
    let plan = build.plan.expect("a plan");
    let area = Region::from_path(&Rect::new(20.0, 20.0, 70.0, 60.0).to_path(0.1), FillRule::NonZero).unwrap();
    let left = remainder(&plan, "separate", &asked(Part::Within(area))).unwrap();
    let BackTo::Moved(by) = left.back_to else { panic!("{:?}", left.back_to) };
    let (was, is) = (whole(&plan, "separate").center(), burned(&svg(&plan, &left)).center());
    assert!((was + by).distance(is) <= 2.0 * MICROMETRE, "{by:?}");
    assert!(by.hypot() > 10.0);
    // The paper says the same way, and the place on the sheet.
    let paper = write_remainder(&plan, &left, None).unwrap();
    let pdf = &paper.iter().find(|f| f.path == "put-back.pdf").unwrap().bytes;
    crate::pdf::tagged::read("put-back.pdf", pdf);
    if let Some(printed) = printed(pdf) {
        let shown = |v: f64| kerfbook::units::number::fixed(v.abs(), 2);
        assert!(printed.contains(&format!("{} mm to the left", shown(by.x))), "{printed}");
        assert!(printed.contains(&format!("{} mm up", shown(by.y))), "{printed}");
        assert!(printed.contains("do not resume"));
    }
}

/// The text of a PDF as poppler reads it; nothing where it is not installed.
fn printed(pdf: &[u8]) -> Option<String> {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("put-back.pdf");
    std::fs::write(&path, pdf).unwrap();
    let output = std::process::Command::new("pdftotext").arg(&path).arg("-").output().ok()?;
    assert!(output.status.success());
    Some(String::from_utf8_lossy(&output.stdout).split_whitespace().collect::<Vec<_>>().join(" "))
}

#[test]
fn from_the_page_nothing_moves() {
    let plan = plan(&from("page"));
    let left = left(&plan, "separate", Part::After(6));
    assert_eq!((left.back_to, left.marks_again), (BackTo::Page, None));
}

#[test]
fn a_box_on_the_back_counts_on_the_page_of_that_run() {
    let turned = BODY.replace("run \"picture\" {", "run \"picture\" turned=\"left-right\" {");
    let plan = plan(&turned);
    // The middle of the engraving lies 10 mm right of that of the board, so 10 mm left on the page of the back.
    let area = Region::from_path(&Rect::new(50.0, 55.0, 60.0, 95.0).to_path(0.1), FillRule::NonZero).unwrap();
    let mut asked = asked(Part::Within(area));
    asked.operation = Some(1);
    let left = remainder(&plan, "picture", &asked).unwrap();
    let engraving = left.run.operations.iter().find(|o| o.number == 1).unwrap();
    let on_page = left.run.on_page(engraving).bounds.unwrap();
    assert!((on_page.x0 - 50.0).abs() < 0.01 && (on_page.x1 - 60.0).abs() < 0.01, "{on_page:?}");
    let ring = plan.runs[0].operations.iter().find(|o| o.number == 2).unwrap();
    assert_eq!(lines(ring).len(), 1);
}
