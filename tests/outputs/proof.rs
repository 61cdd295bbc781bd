//! The proof, read back with a PDF library and measured on its pages.

use super::paper::{self, Sheet};
use super::sample::{self, line, lines, run};
use kerfbook::geometry::Region;
use kerfbook::outputs::proof::proof;
use kerfbook::outputs::run_svg;
use kerfbook::plan::{Laid, Lay, MirrorAxis, Plan, Turned};
use kerfbook::shop::{OperationKind, Paper};
use kerfbook::units::Mm;
use kurbo::{BezPath, ParamCurve, Point, Rect, Shape};
use lopdf::{Document, Object};
use std::process::Command;

/// How true a length on paper has to be, in mm.
const TRUE: f64 = 0.01;

fn numbers(operands: &[Object]) -> Vec<f64> {
    operands.iter().filter_map(|o| o.as_float().ok()).map(f64::from).collect()
}

fn page_sizes(document: &Document) -> Vec<(f64, f64)> {
    let size = |id| {
        let page = document.get_dictionary(id).unwrap();
        let media = numbers(page.get(b"MediaBox").unwrap().as_array().unwrap());
        (media[2] - media[0], media[3] - media[1])
    };
    document.get_pages().into_values().map(size).collect()
}

#[test]
fn pages_have_the_size_of_the_paper() {
    // ISO 216 A4 in points: 595.276 by 841.890; US Letter is 612 by 792 exactly.
    for (paper, width, height) in [(Paper::A4, 595.276, 841.890), (Paper::Letter, 612.0, 792.0)] {
        let document = Document::load_mem(&proof(&Plan { paper, ..sample::plan() }).unwrap()).unwrap();
        for (w, h) in page_sizes(&document) {
            let (short, long) = (w.min(h), w.max(h));
            assert!((short - width).abs() < 0.01 && (long - height).abs() < 0.01, "{w} x {h}");
        }
    }
}

#[test]
fn small_jobs_take_one_page_and_endless_ones_say_so() {
    let mut plan = sample::plan();
    plan.board = None;
    plan.runs.clear();
    for (width, height, pages) in [(60.0, 40.0, 1), (240.0, 150.0, 1), (9000.0, 9000.0, 1), (400.0, 200.0, 3)] {
        plan.sheet.width = Mm::new(width);
        plan.sheet.height = Mm::new(height);
        let bytes = proof(&plan).unwrap();
        let count = Document::load_mem(&bytes).unwrap().get_pages().len();
        assert_eq!(count, pages, "{width} x {height}");
    }
    plan.board = Some(Region::empty());
    proof(&plan).unwrap();
}

#[test]
fn the_same_proof_twice() {
    assert!(proof(&sample::plan()).unwrap() == proof(&sample::plan()).unwrap());
}

/// The pages of a proof as they are printed.
fn printed(plan: &Plan) -> Vec<Sheet> {
    paper::sheets(&proof(plan).unwrap())
}

/// Single level lines on a page that are as long as that, in mm.
fn level_lines(sheet: &Sheet, length: f64) -> usize {
    let is_so_long = |path: &&BezPath| {
        let ends: Vec<Point> = path.elements().iter().filter_map(kurbo::PathEl::end_point).collect();
        let [a, b] = ends[..] else { return false };
        (a.y - b.y).abs() < TRUE && ((b.x - a.x).abs() - length).abs() < TRUE
    };
    sheet.strokes.iter().filter(is_so_long).count()
}

/// The part of a page that shows the job, in mm: the margins are covered with white before anything else is drawn on it.
fn frame(sheet: &Sheet) -> Rect {
    let inner = sheet.covers.iter().fold(Rect::from_origin_size((0.0, 0.0), sheet.size), |left, cover| {
        // Each cover takes one side off.
        Rect {
            x0: if cover.x0 < 0.0 && cover.x1 < sheet.size.width { left.x0.max(cover.x1) } else { left.x0 },
            y0: if cover.y0 < 0.0 && cover.y1 < sheet.size.height { left.y0.max(cover.y1) } else { left.y0 },
            x1: if cover.x1 > sheet.size.width && cover.x0 > 0.0 { left.x1.min(cover.x0) } else { left.x1 },
            y1: if cover.y1 > sheet.size.height && cover.y0 > 0.0 { left.y1.min(cover.y0) } else { left.y1 },
        }
    });
    assert_eq!(sheet.covers.len(), 4);
    inner
}

#[test]
fn both_bars_are_true_on_every_page_and_both_papers() {
    for paper in [Paper::A4, Paper::Letter] {
        let sheets = printed(&Plan { paper, ..sample::plan() });
        assert_eq!(sheets.len(), 2);
        for sheet in &sheets {
            // One inch is 25.4 mm exactly (the international yard and pound agreement, 1959).
            for bar in [100.0, 4.0 * 25.4] {
                assert_eq!(level_lines(sheet, bar), 1, "a bar of {bar} mm");
            }
        }
    }
}

#[test]
fn the_pages_show_the_outlines_of_the_run_where_they_are_burned() {
    let plan = sample::plan();
    let sheets = printed(&plan);
    let cuts = cut_lines(&String::from_utf8(run_svg(&plan, &plan.runs[1])).unwrap());
    assert_eq!(cuts.len(), 4 * 3 + 5 * 2 + 1);
    let (mut shown, mut twice) = (0, 0);
    for at in cuts.iter().flat_map(places) {
        let mut pages = 0;
        for sheet in &sheets {
            let on_page = at + sheet.origin;
            if frame(sheet).contains(on_page) {
                let off = sheet.drawn.iter().map(|path| distance(path, on_page)).fold(f64::INFINITY, f64::min);
                assert!(off < TRUE, "{at} is {off} mm off");
                pages += 1;
            }
        }
        shown += usize::from(pages > 0);
        twice += usize::from(pages > 1);
        assert!(pages > 0, "{at} is on no page");
    }
    // The two pages share a strip of 10 mm.
    assert!(shown > 1000 && twice > 20, "{shown} {twice}");
}

#[test]
fn crop_marks_stand_where_the_pages_meet() {
    let sheets = printed(&sample::plan());
    // One page above the other: the lower edge of the first is the upper edge of the second, seen on the job.
    let marks = |sheet: &Sheet| -> Vec<f64> {
        let frame = frame(sheet);
        let is_mark = |path: &&BezPath| {
            let bounds = path.bounding_box();
            bounds.height() < TRUE && (bounds.width() - 6.0).abs() < TRUE && bounds.x1 < frame.x0
        };
        sheet.strokes.iter().filter(is_mark).map(|path| path.bounding_box().y0 - sheet.origin.y).collect()
    };
    let [above, below] = [&sheets[0], &sheets[1]].map(marks);
    let (last, first) =
        (above.iter().copied().fold(f64::MIN, f64::max), below.iter().copied().fold(f64::MAX, f64::min));
    assert!((above.len(), below.len()) == (2, 2) && (last - first).abs() < TRUE, "{above:?} {below:?}");
    // Half the strip that both show is trimmed off each.
    for (sheet, edge) in [(&sheets[0], frame(&sheets[0]).y1 - 5.0), (&sheets[1], frame(&sheets[1]).y0 + 5.0)] {
        assert!((edge - sheet.origin.y - last).abs() < TRUE);
    }
}

/// Four runs: on scrap, on both sides of a sheet, and on a fresh one.
fn many_sides() -> Plan {
    let mut plan = sample::plan();
    let turned = Turned { over: MirrorAxis::LeftRight, about: sample::BOARD.center() };
    let laid = |number, name: &str, on, turned, x: f64| {
        let across = line(Point::new(x, 60.0), Point::new(x, 90.0));
        let mut run = run(number, name, vec![lines(1, OperationKind::Score, name, vec![across], "#000000")]);
        run.lay = Lay { on, turned };
        run
    };
    plan.runs = vec![
        laid(1, "stop", Laid::Scrap, None, 50.0),
        laid(2, "back", Laid::Sheet(1), Some(turned), 60.0),
        laid(3, "front", Laid::Sheet(1), None, 70.0),
        laid(4, "floor", Laid::Sheet(2), None, 80.0),
    ];
    plan
}

#[test]
fn every_side_that_is_burned_has_its_pages() {
    let plan = many_sides();
    let sheets = printed(&plan);
    // Scrap and the further sheet take a page each; sides of the piece show its outline and take two.
    assert_eq!(sheets.len(), 1 + 2 + 2 + 1);
    let back = 2.0 * sample::BOARD.center().x - 60.0;
    for (pages, x) in [(0..1, 50.0), (1..3, back), (3..5, 70.0), (5..6, 80.0)] {
        for sheet in &sheets[pages] {
            let middle = Point::new(x, 75.0) + sheet.origin;
            if frame(sheet).contains(middle) {
                let off = sheet.drawn.iter().map(|path| distance(path, middle)).fold(f64::INFINITY, f64::min);
                assert!(off < TRUE, "the line at {x} is {off} mm off");
            }
        }
    }
    let bookmarks = paper::bookmarks(&proof(&plan).unwrap());
    for name in [
        "Scrap",
        "Sheet 1 of 2, back up, turned left-right – row 1, column 1",
        "Sheet 1 of 2, face up – row 2, column 1",
        "Sheet 2 of 2",
    ] {
        assert!(bookmarks.iter().any(|b| b == name), "{name} in {bookmarks:?}");
    }
}

#[test]
fn pages_with_nothing_on_them_are_left_out() {
    let mut plan = sample::plan();
    plan.sheet.width = Mm::new(390.0);
    plan.sheet.height = Mm::new(390.0);
    plan.board = None;
    let corner = |at: Point| Rect::from_center_size(at, (20.0, 20.0)).to_path(0.1);
    let both = vec![corner(Point::new(20.0, 20.0)), corner(Point::new(370.0, 370.0))];
    plan.runs = vec![run(1, "corners", vec![lines(1, OperationKind::Cut, "corners", both, "#000000")])];
    let sheets = printed(&plan);
    assert_eq!(sheets.len(), 2, "two of the grid");
    let bookmarks = paper::bookmarks(&proof(&plan).unwrap());
    assert_eq!(bookmarks[0], "Sheet – row 1, column 1");
    assert!(
        bookmarks[1] != "Sheet – row 1, column 2" && bookmarks[1] != "Sheet – row 2, column 1",
        "{bookmarks:?}"
    );
}

#[test]
fn a_renderer_draws_both_bars_as_long_as_they_are() {
    let Some((width, grey)) = rendered(&proof(&sample::plan()).unwrap()) else { return };
    let rows: Vec<&[u8]> = grey.chunks_exact(width).collect();
    // At 600 dots an inch 100 mm are 2362.2 dots and 4 in are 2400.
    for length in [100.0 / 25.4 * 600.0, 2400.0] {
        let found = rows.iter().any(|row| {
            let ticks = dark_middles(row);
            ticks.len() >= 2 && (ticks[1] - ticks[0] - length).abs() < 1.0
        });
        assert!(found, "no two ticks {length} dots apart");
    }
}

/// The middles of what is dark in the left half of a row, in dots.
fn dark_middles(row: &[u8]) -> Vec<f64> {
    let mut middles = Vec::new();
    let mut from = None;
    for (x, &grey) in row[..row.len() / 2].iter().enumerate() {
        match (from, grey < 128) {
            (None, true) => from = Some(x),
            (Some(first), false) => {
                middles.push(f64::midpoint(first as f64, x as f64));
                from = None;
            }
            _ => {}
        }
    }
    middles
}

/// Width in dots and greys of the first page at 600 dots an inch, by poppler; `None` (and a note) without it.
fn rendered(pdf: &[u8]) -> Option<(usize, Vec<u8>)> {
    let folder = tempfile::tempdir().unwrap();
    let (file, page) = (folder.path().join("proof.pdf"), folder.path().join("page"));
    std::fs::write(&file, pdf).unwrap();
    let asked = ["-r", "600", "-gray", "-f", "1", "-l", "1", "-singlefile"];
    let Ok(done) = Command::new("pdftoppm").args(asked).arg(&file).arg(&page).output() else {
        println!("skipped: pdftoppm is not installed");
        return None;
    };
    assert!(done.status.success(), "{done:?}");
    let bytes = std::fs::read(page.with_extension("pgm")).unwrap();
    // Netpbm's PGM: "P5", width, height, the greatest grey, one white space, then the greys.
    let head: Vec<&[u8]> = bytes.splitn(4, u8::is_ascii_whitespace).collect();
    let width: usize = std::str::from_utf8(head[1]).unwrap().parse().unwrap();
    let height: usize = std::str::from_utf8(head[2]).unwrap().parse().unwrap();
    Some((width, bytes[bytes.len() - width * height..].to_vec()))
}

/// The lines of a run's file that are cut.
fn cut_lines(svg: &str) -> Vec<BezPath> {
    let document = roxmltree::Document::parse(svg).unwrap();
    let groups = document.descendants().filter(|n| n.attribute("data-operation") == Some("cut"));
    let paths = groups.flat_map(|g| g.descendants().filter_map(|n| n.attribute("d")).collect::<Vec<_>>());
    paths.map(|d| BezPath::from_svg(d).unwrap()).collect()
}

/// Places along a path, not only where its curves end.
fn places(path: &BezPath) -> impl Iterator<Item = Point> + '_ {
    let along = |segment: kurbo::PathSeg| (0..12).map(move |i| segment.eval(f64::from(i) / 11.0));
    path.segments().flat_map(along)
}

fn distance(path: &BezPath, at: Point) -> f64 {
    use kurbo::ParamCurveNearest;
    if !path.control_box().inflate(1.0, 1.0).contains(at) {
        return f64::INFINITY;
    }
    path.segments().map(|segment| segment.nearest(at, 1e-6).distance_sq).fold(f64::INFINITY, f64::min).sqrt()
}
