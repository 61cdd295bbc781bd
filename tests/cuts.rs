//! Cuts with bridges, lead-ins, overcuts and spread strokes: what the beam leaves is worked out by GEOS.

use geos::{Geom, Geometry};
use kerfbook::driver::{Request, compile};
use kerfbook::figures::Cache;
use kerfbook::geometry::{length, subpaths};
use kerfbook::plan::{Burn, Operation};
use kerfbook::source::MemoryFiles;
use kurbo::{BezPath, ParamCurve, PathEl, Point, Rect, Shape};
use std::path::PathBuf;

const KERF: f64 = 0.16;

/// The last operation of a recipe for a sheet of 200 x 200 mm, whose findings are advice at most.
fn cut(body: &str) -> Operation {
    let mut files = MemoryFiles::default();
    files.insert("bench.shop.kdl", std::fs::read("tests/cases/shared/bench.shop.kdl").unwrap());
    let head = "/- kdl-version 2\nrecipe \"Cuts\" language=1\nuse \"bench.shop.kdl\"\nmachine \"bench-diode\"\n\
        stock \"alder-3\"\nsheet \"200 mm\" \"200 mm\"\n";
    files.insert("cuts.recipe.kdl", format!("{head}{body}").into_bytes());
    let request = Request { recipe: PathBuf::from("cuts.recipe.kdl"), ..Request::default() };
    let build = compile(&request, &files, &Cache::default());
    let said: Vec<String> = build.findings.iter().map(|d| format!("{}: {}", d.finding.rule, d.message)).collect();
    let plan = build.plan.unwrap_or_else(|| panic!("{said:#?}"));
    plan.runs.into_iter().flat_map(|run| run.operations).next_back().expect("an operation")
}

fn lines(operation: &Operation) -> &[BezPath] {
    let Burn::Lines(lines) = &operation.burn else { panic!("lines") };
    assert!(lines.iter().all(|l| subpaths(l).len() == 1), "each stroke is one line");
    lines
}

fn points(line: &BezPath) -> Vec<Point> {
    let mut points = Vec::new();
    kurbo::flatten(line.elements().iter().copied(), 1e-3, |element| match element {
        PathEl::MoveTo(p) | PathEl::LineTo(p) => points.push(p),
        PathEl::ClosePath => points.push(points[0]),
        _ => {}
    });
    points
}

/// What of the sheet the beam leaves when it follows lines.
fn left_by(lines: &[BezPath]) -> Geometry {
    let sheet = Geometry::new_from_wkt("POLYGON((0 0,200 0,200 200,0 200,0 0))").unwrap();
    lines.iter().fold(sheet, |sheet, line| {
        let list: Vec<String> = points(line).iter().map(|p| format!("{:.6} {:.6}", p.x, p.y)).collect();
        let line = Geometry::new_from_wkt(&format!("LINESTRING({})", list.join(","))).unwrap();
        sheet.difference(&line.buffer(KERF / 2.0, 24).unwrap()).unwrap()
    })
}

fn parts(left: &Geometry) -> usize {
    left.get_num_geometries().unwrap()
}

#[test]
fn bridges_hold_the_part_and_not_what_falls_out_of_it() {
    let body = |tabs: &str| {
        format!(
            "board {{ subtract {{ rectangle \"100 mm\" \"60 mm\" corner=\"5 mm\"; circle \"20 mm\" }} }}\n\
            run \"out\" {{ cut \"board\"{tabs} beam=\"waste-side\" }}"
        )
    };
    // Sheet, board, and the slug of the hole.
    assert_eq!(parts(&left_by(lines(&cut(&body(""))))), 3);
    let held = cut(&body(" tabs=3 tab=\"0.4 mm\""));
    assert_eq!(parts(&left_by(lines(&held))), 2);
    let tabs = held.manner.tabs.as_ref().expect("bridges");
    assert_eq!((tabs.places.len(), tabs.outlines, tabs.without), (3, 1, 0));
    // Each bridge is as wide as asked: a beam that widens the cut by a little less still leaves it, by a little more not.
    let ends = |l: &BezPath| (points(l)[0], *points(l).last().unwrap());
    for at in &tabs.places {
        let mut near: Vec<Point> = lines(&held).iter().flat_map(|l| [ends(l).0, ends(l).1]).collect();
        near.sort_by(|a, b| a.distance(*at).total_cmp(&b.distance(*at)));
        assert!((near[0].distance(near[1]) - KERF - 0.4).abs() < 2e-3, "{at:?}");
        // On straight stretches: 5 mm round the corners are not.
        let board = Rect::new(50.0, 70.0, 150.0, 130.0);
        let corner = (at.x - board.x0).min(board.x1 - at.x) < 5.5 && (at.y - board.y0).min(board.y1 - at.y) < 5.5;
        assert!(!corner, "{at:?}");
    }
}

#[test]
fn closed_cuts_are_begun_in_the_waste_and_run_past_their_end() {
    let led = cut("board { subtract { rectangle \"100 mm\" \"60 mm\"; circle \"20 mm\" } }\n\
        run \"out\" { cut \"board\" lead-in=\"2 mm\" overcut=\"0.5 mm\" }");
    let leads = led.manner.lead_ins.expect("lead-ins");
    assert_eq!((leads.begun, leads.without), (2, 0));
    let board = Rect::new(50.0, 70.0, 150.0, 130.0);
    let [hole, outline] = lines(&led) else { panic!("two lines") };
    let (in_hole, beside) = (points(hole)[0], points(outline)[0]);
    assert!(in_hole.distance((100.0, 100.0).into()) < 9.0, "{in_hole:?}");
    assert!(!board.contains(beside), "{beside:?}");
    for (line, round) in [(hole, 20.0 * std::f64::consts::PI), (outline, 320.0)] {
        let whole = length(line).get();
        assert!((whole - round - 2.5).abs() < 0.02, "{whole}");
        let start = line.segments().nth(1).unwrap().start();
        assert!((points(line)[0].distance(start) - 2.0).abs() < 1e-6);
    }
    // The part keeps its size: what is left is what is left without them, but for the cuts in the waste.
    let plain = cut(
        "board { subtract { rectangle \"100 mm\" \"60 mm\"; circle \"20 mm\" } }\nrun \"out\" { cut \"board\" }",
    );
    let (with, without) = (left_by(lines(&led)), left_by(lines(&plain)));
    let lost = without.difference(&with).unwrap();
    assert!((lost.area().unwrap() - 2.0 * 2.0 * KERF).abs() < 0.1, "{}", lost.area().unwrap());
    let middle =
        Geometry::new_from_wkt("POLYGON((51 71,149 71,149 129,51 129,51 71),(88 88,112 88,112 112,88 112,88 88))")
            .unwrap();
    assert!(lost.intersection(&middle).unwrap().is_empty().unwrap());
}

#[test]
fn what_bridges_leave_is_begun_in_the_waste_and_still_held() {
    let body = |how: &str| {
        format!(
            "board {{ rectangle \"100 mm\" \"60 mm\" corner=\"5 mm\" }}\nrun \"out\" {{ cut \"board\" tabs=3 tab=\"0.4 mm\"{how} }}"
        )
    };
    let (led, plain) = (cut(&body(" lead-in=\"2 mm\"")), cut(&body("")));
    let leads = led.manner.lead_ins.expect("lead-ins");
    assert_eq!((leads.begun, leads.without), (3, 0));
    let board = Rect::new(50.0, 70.0, 150.0, 130.0);
    for line in lines(&led) {
        let (from, to) = (points(line)[0], points(line)[1]);
        assert!(!board.contains(from) && (from.distance(to) - 2.0).abs() < 1e-6, "{from:?} {to:?}");
        // Straight beside the outline: each foot of a bridge in the waste is as wide as the bridge.
        assert!((from.x - to.x).abs() < 1e-6 || (from.y - to.y).abs() < 1e-6, "{from:?} {to:?}");
    }
    let (with, without) = (left_by(lines(&led)), left_by(lines(&plain)));
    assert_eq!(parts(&with), 1, "the board hangs in the sheet");
    let lost = without.difference(&with).unwrap();
    assert!((lost.area().unwrap() - 3.0 * 2.0 * KERF).abs() < 0.1, "{}", lost.area().unwrap());
}

#[test]
fn ribs_are_spread_and_the_longer_way_is_told() {
    let slots: String =
        (0..20).map(|i| format!("rectangle \"1 mm\" \"30 mm\" right=\"{} mm\"; ", 3 * i)).collect();
    let body = |spread: &str| format!("shape \"ribs\" {{ {slots} }}\nrun \"out\" {{ cut \"ribs\"{spread} }}");
    let (spread, plain) = (cut(&body(" spread=\"5 mm\"")), cut(&body("")));
    let middles = |o: &Operation| lines(o).iter().map(|l| l.bounding_box().center().x).collect::<Vec<f64>>();
    let beside = |o: &Operation| middles(o).windows(2).filter(|w| (w[0] - w[1]).abs() < 5.0).count();
    let told = spread.manner.spread.expect("spread");
    assert!(
        beside(&spread) <= told.near && told.near < 4 && 10 < beside(&plain),
        "{} {}",
        told.near,
        beside(&plain)
    );
    assert_eq!(told.travel_without, plain.travel);
    assert!(told.travel_without < spread.travel);
}

#[test]
fn no_cut_is_begun_in_a_part_that_another_operation_cuts() {
    // By itself the window would be a part, begun outside, in the board.
    let led = cut("board { rectangle \"100 mm\" \"60 mm\" }\nshape \"window\" { circle \"30 mm\" }\n\
        run \"out\" { cut \"board\" }\nrun \"in\" sheet=\"same\" { cut \"window\" lead-in=\"2 mm\" }");
    assert_eq!(led.manner.lead_ins.map(|l| (l.begun, l.without)), Some((1, 0)));
    let from = points(&lines(&led)[0])[0];
    assert!(from.distance((100.0, 100.0).into()) < 14.0, "{from:?}");
}
