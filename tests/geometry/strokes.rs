//! Line clean-up: burned once, joined, nothing lost; against closed forms and GEOS.

use super::oracle;
use geos::{Geom, Geometry};
use kerfbook::geometry::{begun_at, clean_up, is_closed, length, starts};
use kerfbook::units::Mm;
use kurbo::{Affine, BezPath, Circle, ParamCurve, ParamCurveNearest, Point, Rect, Shape};

const TOLERANCE: Mm = Mm::new(0.04);

fn path(d: &str) -> BezPath {
    BezPath::from_svg(d).expect(d)
}

fn cleaned(lines: &[BezPath]) -> Vec<BezPath> {
    clean_up(lines, TOLERANCE).strokes.into_iter().map(|s| s.path).collect()
}

fn total(lines: &[BezPath]) -> f64 {
    lines.iter().map(|l| length(l).get()).sum()
}

/// The square of a grid with its left top corner at a place.
fn cell(x: f64, y: f64, side: f64) -> BezPath {
    Rect::new(x, y, x + side, y + side).to_path(0.1)
}

/// A small generator of numbers in 0..1 (Lehmer 1951, with the multiplier of Park and Miller 1988, from memory).
struct Dice(u64);

impl Dice {
    fn roll(&mut self) -> f64 {
        self.0 = self.0 * 48_271 % 2_147_483_647;
        self.0 as f64 / 2_147_483_647.0
    }

    fn shuffled<T>(&mut self, mut all: Vec<T>) -> Vec<T> {
        for i in (1..all.len()).rev() {
            let other = (self.roll() * (i + 1) as f64) as usize;
            all.swap(i, other.min(i));
        }
        all
    }
}

/// How far a point of one drawing lies from the other at most, sampled along every segment.
fn farthest(from: &[BezPath], to: &[BezPath]) -> (f64, Point) {
    let segments: Vec<(Rect, kurbo::PathSeg)> =
        to.iter().flat_map(BezPath::segments).map(|s| (s.bounding_box(), s)).collect();
    let away = |r: &Rect, p: Point| {
        let (dx, dy) = ((r.x0 - p.x).max(p.x - r.x1).max(0.0), (r.y0 - p.y).max(p.y - r.y1).max(0.0));
        dx.hypot(dy)
    };
    let distance = |p: Point| {
        segments.iter().fold(f64::INFINITY, |best, (bounds, segment)| {
            if away(bounds, p) >= best { best } else { best.min(segment.nearest(p, 1e-6).distance_sq.sqrt()) }
        })
    };
    let samples =
        from.iter().flat_map(BezPath::segments).flat_map(|s| (0..=16).map(move |i| s.eval(f64::from(i) / 16.0)));
    samples.map(|p| (distance(p), p)).fold((0.0, Point::ZERO), |a, b| if b.0 > a.0 { b } else { a })
}

/// Nothing is lost, nothing is added, and a second clean-up finds nothing to do.
fn holds(name: &str, lines: &[BezPath]) -> Vec<BezPath> {
    let strokes = keeps_all(name, lines);
    assert!(cleaned(&strokes) == strokes, "{name}: a second clean-up changes something");
    strokes
}

/// Nothing is lost and nothing is added, not by a second clean-up either.
fn keeps_all(name: &str, lines: &[BezPath]) -> Vec<BezPath> {
    let strokes = cleaned(lines);
    let (lost, at) = farthest(lines, &strokes);
    assert!(lost <= 1.5 * TOLERANCE.get(), "{name}: {lost} mm lost at {at:?}");
    let (added, at) = farthest(&strokes, lines);
    assert!(added <= 1.5 * TOLERANCE.get(), "{name}: {added} mm added at {at:?}");
    let (before, after) = (total(lines), total(&strokes));
    assert!(after <= before + 0.05 * lines.len() as f64, "{name}: {before} mm became {after} mm");
    let again = total(&cleaned(&strokes));
    assert!((again - after).abs() < 1e-6 + 1e-6 * after, "{name}: {after} mm became {again} mm");
    strokes
}

fn sorted(strokes: &[BezPath]) -> Vec<String> {
    let mut all: Vec<String> = strokes.iter().map(BezPath::to_svg).collect();
    all.sort();
    all
}

#[test]
fn the_shared_edge_of_two_squares_is_burned_once() {
    // By counting: two squares of 20 mm have 160 mm of sides, of which 20 mm lie on each other.
    let squares = [cell(0.0, 0.0, 20.0), cell(20.0, 0.0, 20.0)];
    let found = clean_up(&squares, TOLERANCE);
    assert!((found.saved.get() - 20.0).abs() < 1e-9, "{}", found.saved);
    assert_eq!(found.once.len(), 1);
    assert!((found.once[0].at - Point::new(20.0, 10.0)).hypot() < 1e-9);
    let strokes = holds("two squares", &squares);
    assert!((total(&strokes) - 140.0).abs() < 1e-9);
    // The way round both in one stroke, and the side between them.
    assert_eq!(strokes.len(), 2);
    // What parts them is burned before what cuts both out of the sheet.
    let (seam, outline) = (&found.strokes[1], &found.strokes[0]);
    assert!(is_closed(&outline.path) && !is_closed(&seam.path));
    assert!(seam.depth > outline.depth);
}

#[test]
fn outlining_every_piece_of_a_grid_burns_each_line_once() {
    // By counting: 300 x 200 in squares of 20 mm; inner lines 14 x 200 + 9 x 300 = 5500 mm and the border 1000 mm.
    let grid: Vec<BezPath> =
        (0..150).map(|i| cell(f64::from(i % 15) * 20.0, f64::from(i / 15) * 20.0, 20.0)).collect();
    let strokes = holds("grid", &grid);
    assert!((total(&strokes) - 6500.0).abs() < 1e-6, "{}", total(&strokes));
    // 14 + 9 lines go straight through; at each corner of the border two of its sides meet.
    assert_eq!(strokes.len(), 14 + 9 + 1, "{:#?}", sorted(&strokes));
    let shuffled = Dice(7).shuffled(grid);
    assert_eq!(sorted(&cleaned(&shuffled)), sorted(&strokes));
}

#[test]
fn a_line_broken_elsewhere_or_run_backwards_is_the_same_line() {
    let whole = path("M 0 0 L 100 0");
    let broken = path("M 100 0 L 71.5 0 L 33 0 L 0 0");
    let strokes = holds("broken", &[broken.clone(), whole.clone()]);
    assert_eq!(strokes.len(), 1);
    assert!((total(&strokes) - 100.0).abs() < 1e-9);
    // Two that overlap by a half: 0 to 100 and 50 to 150 are 150 mm.
    let strokes = holds("overlap", &[whole, path("M 150 0 L 50 0")]);
    assert_eq!(strokes.len(), 1);
    assert!((total(&strokes) - 150.0).abs() < 1e-9, "{}", total(&strokes));
}

#[test]
fn a_curve_broken_elsewhere_is_the_same_curve_and_stays_one() {
    let circle = Circle::new((40.0, 40.0), 30.0).to_path(1e-4);
    let halves: Vec<BezPath> = circle
        .segments()
        .flat_map(|s| [s.subsegment(0.0..0.37), s.subsegment(0.37..1.0).reverse()])
        .map(|s| BezPath::from_path_segments(std::iter::once(s)))
        .collect();
    let mut lines = halves;
    lines.push(circle.clone());
    let strokes = holds("circle", &lines);
    assert_eq!(strokes, [circle]);
}

#[test]
fn part_of_a_circle_is_burned_once_and_the_rest_keeps_its_curves() {
    // A whole circle and two of its cubics: their length is saved, and the whole one is burned untouched.
    let circle = Circle::new((40.0, 40.0), 30.0).to_path(1e-4);
    let half: Vec<kurbo::PathSeg> = circle.segments().skip(1).take(2).collect();
    let half = BezPath::from_path_segments(half.into_iter());
    let share = length(&half).get();
    let found = clean_up(&[half, circle.clone()], TOLERANCE);
    assert!((found.saved.get() - share).abs() < 0.02, "{} {share}", found.saved);
    assert_eq!(found.strokes[0].path, circle);
    // Two arcs of one circle that overlap: what is kept of the second lies on the circle within what flattening loses.
    let arc = |from: f64, to: f64| kurbo::Arc::new((0.0, 0.0), (30.0, 30.0), from, to - from, 0.0).to_path(1e-5);
    let strokes = holds("arcs", &[arc(0.0, 2.0), arc(1.2, 3.0)]);
    assert_eq!(strokes.len(), 1);
    assert!((total(&strokes) - 90.0).abs() < 0.01, "{}", total(&strokes));
    for p in strokes[0].segments().flat_map(|s| (0..=8).map(move |i| s.eval(f64::from(i) / 8.0))) {
        assert!((p.to_vec2().hypot() - 30.0).abs() < 0.001, "{p:?}");
    }
}

#[test]
fn what_only_crosses_or_touches_is_left_whole() {
    let circle = |x: f64| Circle::new((x, 0.0), 50.0).to_path(1e-4);
    let lines = [circle(0.0), circle(100.0), path("M 50 -60 L 50 60"), path("M -60 -1 L 160 1")];
    let strokes = holds("touching", &lines);
    assert_eq!(sorted(&strokes), sorted(&lines));
    // Two degrees: within 0.04 mm of each other for more than 2 mm.
    let lines = [path("M 0 0 L 100 0"), path("M 20 -1.047 L 80 1.047")];
    assert_eq!(sorted(&holds("small angle", &lines)), sorted(&lines));
}

#[test]
fn a_copy_a_little_off_is_burned_once_and_one_farther_off_twice() {
    let circle = |x: f64| Circle::new((x, 0.0), 30.0).to_path(1e-4);
    let strokes = holds("near", &[circle(0.0), circle(0.03)]);
    assert!((total(&strokes) - 188.496).abs() < 0.01, "{}", total(&strokes));
    let bar = |y: f64| path(&format!("M 0 {y} L 50 {y}"));
    assert_eq!(holds("bars", &[bar(0.0), bar(0.03)]).len(), 1);
    assert_eq!(holds("bars apart", &[bar(0.0), bar(0.05)]).len(), 2);
    // Each within the tolerance of the next, but the last is far from the first: nothing is lost by going from one to
    // the other.
    let ladder: Vec<BezPath> = (0..20).map(|i| bar(f64::from(i) * 0.03)).collect();
    let strokes = holds("ladder", &ladder);
    assert!((8..=11).contains(&strokes.len()), "{}", strokes.len());
}

#[test]
fn a_line_that_goes_back_over_itself_is_burned_once() {
    let strokes = holds("forth and back", &[path("M 0 0 L 50 0 L 0 0 L 50 0")]);
    assert!((total(&strokes) - 50.0).abs() < 1e-9, "{:?}", sorted(&strokes));
    let spike = path("M 0 0 L 50 0 L 50 30 L 50 0 L 80 0");
    let strokes = holds("spike", &[spike]);
    assert!((total(&strokes) - 110.0).abs() < 1e-9, "{:?}", sorted(&strokes));
}

#[test]
fn the_straightest_go_on_where_several_meet() {
    // A star of four arms, drawn from its middle: two straight lines.
    let arms = ["M 0 0 L 30 0", "M 0 0 L 0 30", "M 0 0 L -30 0", "M 0 0 L 0 -30"].map(path);
    let strokes = holds("star", &arms);
    assert_eq!(strokes.len(), 2);
    for stroke in &strokes {
        let (a, b) = (stroke.segments().next().unwrap().start(), stroke.segments().last().unwrap().end());
        assert!((a.distance(b) - 60.0).abs() < 1e-9);
    }
    // Ends that nearly meet, too; a gap wider than the tolerance stays one.
    assert_eq!(holds("near ends", &[path("M 0 0 L 30 0"), path("M 30.03 0.01 L 60 5")]).len(), 1);
    assert_eq!(holds("apart", &[path("M 0 0 L 30 0"), path("M 30.06 0 L 60 5")]).len(), 2);
}

#[test]
fn closed_strokes_are_begun_at_corners_or_where_they_bend_most() {
    let drop = path("M 0 0 C 0 -6 10 -8 16 0 L 30 20 L 14 12 C 6 10 0 6 0 0 Z");
    let corners: Vec<usize> = starts(&drop);
    assert!(!corners.contains(&0), "the start that was drawn lies on a smooth stretch");
    let first = corners[0];
    let begun = begun_at(&drop, first);
    assert!(is_closed(&begun) && (length(&begun) - length(&drop)).get().abs() < 1e-6);
    assert_eq!(starts(&begun)[0], 0);
    // An ellipse of 30 by 20 bends most at the ends of its longer axis: a / b^2 = 0.075 against b / a^2 = 0.0222.
    let ellipse = Affine::scale_non_uniform(30.0, 20.0) * Circle::new((0.0, 0.0), 1.0).to_path(1e-6);
    let at: Vec<Point> = starts(&ellipse).iter().map(|&i| ellipse.segments().nth(i).unwrap().start()).collect();
    assert!(!at.is_empty() && at.iter().all(|p| (p.x.abs() - 30.0).abs() < 1e-6), "{at:?}");
}

/// The length of what is left of lines once GEOS has noded them and dropped what lies on each other.
fn noded_length(lines: &[BezPath]) -> f64 {
    let lines: Vec<Geometry> = lines.iter().map(oracle::open_lines).collect();
    Geometry::create_geometry_collection(lines)
        .and_then(|l| l.unary_union())
        .and_then(|u| u.length())
        .expect("length")
}

#[test]
fn as_much_is_burned_as_geos_keeps_of_the_noded_lines() {
    let mut dice = Dice(20_270_814);
    for round in 0..40 {
        // Level and upright lines and rectangles on a lattice of 5 mm: they overlap all the time, and exactly.
        let lines: Vec<BezPath> = (0..60)
            .map(|_| {
                let mut at = || (dice.roll() * 12.0).floor() * 5.0;
                let (x, y, u, v) = (at(), at(), at(), at());
                match (dice.roll() * 4.0) as usize {
                    0 if x != u => path(&format!("M {x} {y} L {u} {y}")),
                    1 if y != v => path(&format!("M {x} {y} L {x} {v}")),
                    _ => Rect::new(x, y, x + 5.0 + u, y + 5.0 + v).to_path(0.1),
                }
            })
            .collect();
        // Outlines that cross nest otherwise once they are joined, so only lengths have to stay.
        let strokes = keeps_all(&format!("lattice {round}"), &lines);
        let (ours, theirs) = (total(&strokes), noded_length(&lines));
        assert!((ours - theirs).abs() < 1e-6, "round {round}: {ours} mm, GEOS {theirs} mm");
        let shuffled = dice.shuffled(lines);
        assert_eq!(sorted(&cleaned(&shuffled)), sorted(&strokes), "round {round}");
    }
}

#[test]
fn real_outlines_twice_over_are_burned_once() {
    for outline in oracle::outlines() {
        let lines: Vec<BezPath> = kerfbook::geometry::subpaths(&outline.path)
            .into_iter()
            .filter(|p| p.segments().next().is_some())
            .collect();
        let once = holds(outline.name, &lines);
        let mut twice = lines.clone();
        twice.extend(lines.iter().map(BezPath::reverse_subpaths));
        let strokes = cleaned(&twice);
        assert!((total(&strokes) - total(&once)).abs() < 1e-3 * total(&once), "{}", outline.name);
        let flat: Vec<BezPath> = lines.iter().map(|l| oracle::chords(l, 0.002)).collect();
        let theirs = noded_length(&flat);
        let ours = total(&once);
        assert!(ours <= theirs + 0.01 + 1e-3 * theirs, "{}: {ours} mm, GEOS {theirs} mm", outline.name);
    }
}

#[test]
fn a_hundred_thousand_segments_and_hostile_drawings_end_in_time() {
    let mut dice = Dice(3);
    let grid = |n: u32| -> Vec<BezPath> {
        (0..n * n).map(|i| cell(f64::from(i % n) * 2.0, f64::from(i / n) * 2.0, 2.0)).collect()
    };
    let time = |lines: &[BezPath]| {
        let start = std::time::Instant::now();
        let strokes = clean_up(lines, TOLERANCE);
        (start.elapsed().as_secs_f64(), strokes.strokes.len())
    };
    // 160 x 160 squares are 102 400 segments; every fourth as many. The exponent of n stays far below two.
    let (large, small) = (time(&dice.shuffled(grid(160))), time(&dice.shuffled(grid(80))));
    println!("{} s for 102 400 segments, {} s for 25 600", large.0, small.0);
    assert_eq!(large.1, 2 * 159 + 1);
    assert!(large.0 < 12.0 * small.0.max(0.02), "{large:?} {small:?}");
    // The same figure a thousand times, a thousand lines through one point, and a thousand copies a nanometre off.
    let copies = vec![Circle::new((40.0, 40.0), 30.0).to_path(1e-4); 1000];
    assert_eq!(time(&copies).1, 1);
    let star: Vec<BezPath> = (0..1000)
        .map(|i| {
            let (s, c) = libm::sincos(f64::from(i) * 0.003);
            path(&format!("M {} {} L 0 0 L {} {}", -50.0 * c, -50.0 * s, 50.0 * s, -50.0 * c))
        })
        .collect();
    assert!(time(&star).0 < 20.0);
    let noise: Vec<BezPath> = (0..1000)
        .map(|_| Affine::translate((dice.roll() * 1e-6, 0.0)) * Circle::new((40.0, 40.0), 30.0).to_path(1e-4))
        .collect();
    let found = time(&noise);
    assert!(found.0 < 30.0, "{found:?}");
    // Nothing, dots and lines of no length.
    let dots = [path("M 1 1 L 1 1"), path("M 1 1 L 1 1"), path("M 2 2 Z"), BezPath::new(), path("M 5 5")];
    assert_eq!(cleaned(&dots).len(), 1);
    assert!(cleaned(&[]).is_empty());
}
