//! What is done and what is left make up the run.

use super::{BODY, asked, asked_for, left, length, length_asked_for, lines, plan, strokes};
use crate::puzzle::reference::{faces, line, noded};
use geos::{CoordSeq, Geom, Geometry};
use kerfbook::geometry::{FillRule, Region};
use kerfbook::outputs::{remainder_file, run_svg, write_remainder};
use kerfbook::plan::{Burn, Part, Plan, Remainder, ResumeError, Run, remainder};
use kerfbook::shop::OperationKind;
use kerfbook::units::Mm;
use kurbo::{BezPath, ParamCurve, ParamCurveNearest, Rect, Shape};
use roxmltree::Document;
use std::collections::BTreeMap;

fn svg(plan: &Plan, left: &Remainder) -> String {
    let files = write_remainder(plan, left, None).expect("files");
    let name = remainder_file(plan, left);
    let file = files.into_iter().find(|f| f.path == name).expect("the file");
    String::from_utf8(file.bytes).expect("UTF-8")
}

/// The path data of a run's file by stroke numbers, and the page.
fn drawn(svg: &str) -> (BTreeMap<usize, Vec<String>>, [Option<String>; 3]) {
    let document = Document::parse(svg).expect("well-formed");
    let mut all: BTreeMap<usize, Vec<String>> = BTreeMap::new();
    for node in document.descendants() {
        if let (Some(number), Some(data)) = (node.attribute("data-stroke"), node.attribute("d")) {
            all.entry(number.parse().expect("a number")).or_default().push(data.to_owned());
        }
    }
    let root = document.root_element();
    (all, ["width", "height", "viewBox"].map(|a| root.attribute(a).map(str::to_owned)))
}

fn run<'a>(plan: &'a Plan, name: &str) -> &'a Run {
    plan.runs.iter().find(|r| r.name == name).expect("a run")
}

#[test]
fn strokes_are_counted_through_a_run_and_stand_in_its_file() {
    let plan = plan(BODY);
    let picture = run(&plan, "picture");
    let numbers: Vec<usize> = picture.operations.iter().flat_map(|o| o.numbers.clone()).collect();
    // The engraving is one, the ring one, the marks four.
    assert_eq!(numbers, (1..=6).collect::<Vec<_>>());
    let separate = run(&plan, "separate");
    let (drawn, _) = drawn(&String::from_utf8(run_svg(&plan, separate)).unwrap());
    assert_eq!(
        drawn.keys().copied().collect::<Vec<_>>(),
        strokes(separate).iter().map(|s| s.0).collect::<Vec<_>>()
    );
    assert!(drawn.values().all(|paths| paths.len() == 1));
}

#[test]
fn after_any_stroke_what_is_left_is_the_rest_as_it_stands_in_the_file_of_the_run() {
    let plan = plan(BODY);
    let whole = run(&plan, "separate");
    let (all, page) = drawn(&String::from_utf8(run_svg(&plan, whole)).unwrap());
    let last = strokes(whole).len();
    for done in 1..last {
        let left = left(&plan, "separate", Part::After(done));
        let (found, its_page) = drawn(&svg(&plan, &left));
        assert_eq!(its_page, page, "one page");
        let wanted: Vec<usize> = (done + 1..=last).collect();
        // Marks that are burned once more come besides.
        let again = left.marks_again.map_or(0, |n| whole.operations[n - 1].numbers.len());
        let kept: Vec<usize> = found.keys().copied().filter(|n| *n > done).collect();
        assert_eq!(kept, wanted);
        assert!(again > 0 || found.len() == wanted.len());
        for (number, data) in &found {
            assert_eq!(data, &all[number], "stroke {number} lies where it lay, burned once");
        }
        let burned = length(&left.run)
            - if again > 0 {
                found
                    .keys()
                    .filter(|n| **n <= done)
                    .map(|n| all[n].iter().map(|d| BezPath::from_svg(d).unwrap().perimeter(1e-6)).sum::<f64>())
                    .sum::<f64>()
            } else {
                0.0
            };
        let done_before: f64 = strokes(whole).iter().filter(|s| s.0 <= done).map(|s| s.1.perimeter(1e-6)).sum();
        assert!((burned + done_before - length(whole)).abs() < 0.01, "{done}");
        assert!(left.run.time.likely <= whole.time.likely && left.whole_time.likely == whole.time.likely);
    }
}

/// GEOS: the face about a point among lines.
fn face_about(lines: &[&BezPath], x: f64, y: f64) -> Option<f64> {
    let point = Geometry::create_point(CoordSeq::new_from_vec(&[[x, y]]).unwrap()).unwrap();
    let all = faces(&noded(lines.iter().map(|l| line(l)).collect()));
    all.iter().find(|f| f.contains(&point).unwrap()).map(|f| f.area().unwrap())
}

#[test]
fn a_piece_is_free_after_the_stroke_that_is_told_and_not_before() {
    let plan = plan(BODY);
    let whole = run(&plan, "separate");
    let cuts: Vec<(usize, &BezPath)> = whole
        .operations
        .iter()
        .filter(|o| o.kind == OperationKind::Cut)
        .flat_map(|o| o.numbers.iter().copied().zip(lines(o)))
        .collect();
    let mut told = Vec::new();
    for piece in &plan.puzzle.as_ref().unwrap().pieces {
        // The last piece leaves nothing to burn: then that is said.
        let left = match remainder(&plan, "separate", &asked(Part::AfterPiece(piece.number))) {
            Ok(left) => left,
            Err(error) => {
                let last = cuts.last().unwrap().0;
                let freed = ResumeError::FreedLast { run: "separate".into(), piece: piece.number, last };
                assert_eq!(error, freed, "{error}");
                told.push(last);
                continue;
            }
        };
        let after = left.after.unwrap();
        told.push(after);
        let area = piece.outline.area().get();
        let about = |last: usize| {
            let cut: Vec<&BezPath> = cuts.iter().filter(|c| c.0 <= last).map(|c| c.1).collect();
            face_about(&cut, piece.middle.x, piece.middle.y)
        };
        let now = about(after).expect("a face");
        assert!((now / area - 1.0).abs() < 2e-3, "piece {}: {now} {area}", piece.number);
        assert!(about(after - 1).is_none_or(|before| before > 1.01 * area), "piece {}", piece.number);
    }
    assert!(told.iter().collect::<std::collections::BTreeSet<_>>().len() > 1, "{told:?}");
}

fn region(x0: f64, y0: f64, x1: f64, y1: f64) -> Region {
    Region::from_path(&Rect::new(x0, y0, x1, y1).to_path(0.1), FillRule::NonZero).unwrap()
}

#[test]
fn what_lies_in_a_box_and_what_lies_beside_it_is_the_whole() {
    let plan = plan(BODY);
    let whole = run(&plan, "separate");
    let (inside, everything) = (region(55.0, 40.0, 121.0, 93.0), region(-10.0, -10.0, 300.0, 300.0));
    let outside = everything.subtract(&inside);
    let cut = |area: &Region| length_asked_for(&left(&plan, "separate", Part::Within(area.clone())));
    let cuts: f64 = whole
        .operations
        .iter()
        .filter(|o| o.kind == OperationKind::Cut)
        .flat_map(lines)
        .map(|l| l.perimeter(1e-6))
        .sum();
    let (a, b) = (cut(&inside), cut(&outside));
    assert!(a > 100.0 && b > 100.0 && (a + b - cuts).abs() < 0.02, "{a} {b} {cuts}");
    // With an overlap of a millimetre, every stretch is longer by one or two of them, and none leaves the line it lies on.
    let mut longer = asked(Part::Within(inside.clone()));
    longer.overlap = Mm::new(1.0);
    let with = remainder(&plan, "separate", &longer).unwrap();
    let stretches = asked_for(&with).len() as f64;
    let more = length_asked_for(&with) - a;
    assert!(more > 0.9 * stretches && more < 2.0 * stretches + 0.01, "{more} {stretches}");
    for (number, part) in strokes(&with.run) {
        let of = strokes(whole).into_iter().find(|s| s.0 == number).unwrap().1;
        for segment in part.segments() {
            let at = segment.eval(0.5);
            let away = of.segments().map(|s| s.nearest(at, 1e-6).distance_sq).fold(f64::INFINITY, f64::min).sqrt();
            assert!(away < 0.001, "{number}: {away}");
        }
    }
    // Whole lines stay whole.
    longer.whole = true;
    for (number, line) in strokes(&remainder(&plan, "separate", &longer).unwrap().run) {
        assert_eq!(line, strokes(whole).into_iter().find(|s| s.0 == number).unwrap().1);
    }
    // An engraving is asked for by its number.
    let area = |part: &Region| {
        let mut asked = asked(Part::Within(part.clone()));
        asked.operation = Some(1);
        let left = remainder(&plan, "picture", &asked).unwrap();
        left.run.operations.iter().find(|o| o.number == 1).unwrap().area.get()
    };
    assert!((area(&inside) + area(&outside) - 60.0 * 40.0).abs() < 0.1);
}

#[test]
fn the_lines_round_a_piece_are_as_long_as_its_outline() {
    let plan = plan(BODY);
    let pieces = &plan.puzzle.as_ref().unwrap().pieces;
    for piece in pieces {
        let left = left(&plan, "separate", Part::Pieces(vec![piece.number]));
        let (found, wanted) = (length_asked_for(&left), piece.outline.perimeter().get());
        assert!((found / wanted - 1.0).abs() < 0.01, "piece {}: {found} {wanted}", piece.number);
        assert!(left.again && left.after.is_none());
        for (_, part) in asked_for(&left) {
            for segment in part.segments() {
                let at = segment.eval(0.5);
                let border = piece.outline.contours().iter().flat_map(BezPath::segments);
                let away = border.map(|s| s.nearest(at, 1e-6).distance_sq).fold(f64::INFINITY, f64::min).sqrt();
                // A line that goes on past the corner of a piece ends at the border of the band: half the kerf and 0.05 mm.
                assert!(away < 0.14, "piece {}: {away}", piece.number);
            }
        }
    }
    // Two neighbours share a seam, which is cut once.
    let first = &pieces[0];
    let second = pieces.iter().find(|p| first.neighbours.contains(&p.number)).unwrap();
    let both = length_asked_for(&left(&plan, "separate", Part::Pieces(vec![first.number, second.number])));
    let apart = first.outline.perimeter().get() + second.outline.perimeter().get();
    assert!(both < 0.95 * apart, "{both} {apart}");
}

#[test]
fn rows_are_left_whole_and_nothing_of_the_engraving_is_lost() {
    let plan = plan(BODY);
    let whole = run(&plan, "picture");
    let top = whole.operations[0].bounds.unwrap().y0;
    for below in [0.35, 10.0, 39.95] {
        let left = left(&plan, "picture", Part::AfterRow { from_top: Mm::new(top + below) });
        let engraving = &left.run.operations[usize::from(left.marks_again.is_some())];
        let bounds = engraving.bounds.unwrap();
        // Rows are 0.1 mm apart and begin at the top of the engraving: a whole number of them is done.
        let done = (bounds.y0 - top) / 0.1;
        assert!((done - done.round()).abs() < 1e-3 && bounds.y0 <= top + below + 1e-6, "{done}");
        assert!(top + below - bounds.y0 < 0.1 + 1e-6);
        assert!((engraving.area.get() - 60.0 * (40.0 - done * 0.1)).abs() < 0.01);
        assert_eq!(left.after, Some(0));
        assert!((left.rows_below.unwrap().get() - bounds.y0).abs() < 1e-3);
        // Ring and marks come after it.
        let kinds: Vec<usize> = left.run.operations.iter().map(|o| o.number).collect();
        assert!([1, 2, 3].iter().all(|n| kinds.iter().filter(|k| *k == n).count() == 1), "{kinds:?}");
    }
}

#[test]
fn a_photo_keeps_its_grid_and_loses_the_rows_that_are_done() {
    let plan = plan(BODY);
    let Burn::Area(_) = &run(&plan, "picture").operations[0].burn else { panic!("an area") };
    let recipe = std::path::PathBuf::from("recipes/coffee-tag/coffee-tag.recipe.kdl");
    let files = kerfbook::source::DiskFiles::new(&kerfbook::driver::project_root(&recipe), &[]);
    let request = kerfbook::driver::Request { recipe, ..kerfbook::driver::Request::default() };
    let plan = kerfbook::driver::compile(&request, &files, &kerfbook::figures::Cache::default()).plan.unwrap();
    let photos = plan.runs.iter().flat_map(|r| r.operations.iter().map(move |o| (r, o)));
    let mut checked = 0;
    for (run, operation) in photos {
        let Burn::Dots(dots) = &operation.burn else { continue };
        let middle = dots.bounds.center().y;
        let mut asked = asked(Part::AfterRow { from_top: Mm::new(middle) });
        asked.operation = Some(operation.number);
        let left = remainder(&plan, &run.name, &asked).unwrap();
        let of = left.run.operations.iter().find(|o| o.number == operation.number).unwrap();
        let Burn::Dots(kept) = &of.burn else { panic!("dots") };
        assert_eq!(kept.bounds, dots.bounds);
        let done = ((middle - dots.bounds.y0) / dots.interval.get()).floor() as usize;
        for y in 0..dots.bitmap.height {
            for x in 0..dots.bitmap.width {
                assert_eq!(kept.bitmap.get(x, y), done <= y && dots.bitmap.get(x, y));
            }
        }
        checked += 1;
    }
    assert!(checked > 0, "the recipe has a photo");
}

#[test]
fn passes_are_said_anew_and_take_their_time() {
    let plan = plan(BODY);
    let mut once = asked(Part::Pieces(vec![3]));
    once.passes = Some(1);
    let (one, two) =
        (remainder(&plan, "separate", &once).unwrap(), left(&plan, "separate", Part::Pieces(vec![3])));
    let cut =
        |left: &Remainder| left.run.operations.iter().find(|o| o.kind == OperationKind::Cut).unwrap().clone();
    assert_eq!(cut(&one).setting.unwrap().passes, 1);
    // The shop's setting has two passes.
    // Between two passes the head goes back to the start.
    let ratio = cut(&two).time.likely.get() / cut(&one).time.likely.get();
    assert!((2.0..2.2).contains(&ratio), "{ratio}");
}

#[test]
fn the_same_is_left_byte_for_byte() {
    let make =
        || write_remainder(&plan(BODY), &left(&plan(BODY), "separate", Part::After(6)), Some("look")).unwrap();
    assert_eq!(make(), make());
}
