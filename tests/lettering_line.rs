//! Text along a line: closed forms on straight lines and circles.

use crate::lettering::{DEJAVU, bounds, near, request};
use kerfbook::intake::lettering::{Align, Along, LetteringError, LetteringRequest, set};
use kerfbook::units::Mm;
use kurbo::{BezPath, Circle, Point, Rect, Shape};

fn along(path: BezPath, hanging: bool, gap: f64) -> Along {
    Along { path, gap: Mm::new(gap), hanging, shift: Mm::ZERO }
}

fn line(points: &[(f64, f64)]) -> BezPath {
    let mut path = BezPath::new();
    path.move_to(points[0]);
    points[1..].iter().for_each(|p| path.line_to(*p));
    path
}

fn set_along(text: &str, line: &Along, align: Align) -> kerfbook::intake::lettering::Lettering {
    set(&LetteringRequest { along: Some(line), align, ..request(text, DEJAVU) }).unwrap()
}

/// On a level line a text lies as it does without one; an H of `DejaVu` Sans is 1540 units wide, 1493 high.
#[test]
fn on_a_straight_line_nothing_is_bent() {
    let level = line(&[(20.0, 50.0), (120.0, 50.0)]);
    let (advance, side) = (2.0 * 15_400.0 / 1493.0, 2010.0 / 1493.0);
    for (align, start) in
        [(Align::Left, 20.0), (Align::Centre, 70.0 - advance / 2.0), (Align::Right, 120.0 - advance)]
    {
        let over = bounds(&set_along("HH", &along(level.clone(), false, 2.0), align));
        near(over.x0, start + side, 1e-3);
        near(over.y1, 48.0, 1e-3);
        let under = bounds(&set_along("HH", &along(level.clone(), true, 2.0), align));
        near(under.y0, 52.0, 1e-3);
        near(under.x0, over.x0, 1e-3);
    }
}

/// On a circle every bar stands on the tangent at its own place: angles are arc length over radius.
#[test]
fn on_a_circle_letters_stand_on_tangents() {
    let radius = 40.0;
    // kurbo draws circles clockwise (y down) from the rightmost point.
    let circle = Circle::new((0.0, 0.0), radius).to_path(1e-6);
    for (hanging, feet) in [(false, radius), (true, radius - 10.0)] {
        let done = set_along("IIIII", &along(circle.clone(), hanging, 0.0), Align::Centre);
        let advance = 10.0 * 604.0 / 1493.0;
        // The baseline runs at the radius of the feet, and lengths count there.
        for (index, part) in done.drawing.parts.iter().enumerate() {
            let angle = (index as f64 - 2.0) * advance / feet;
            let middle = part.path.bounding_box().center();
            let expected = Point::new((feet + 5.0) * libm::cos(angle), (feet + 5.0) * libm::sin(angle));
            // A letter stands between chord and tangent: half the rise of 4 mm of arc at 30 mm, 0.034 mm.
            near(middle.distance(expected), 0.0, 0.04);
        }
        assert!(done.collisions.is_empty() && done.turns.is_empty());
    }
}

#[test]
fn what_does_not_fit_is_refused_with_both_lengths() {
    let short = along(line(&[(0.0, 0.0), (25.0, 0.0)]), false, 0.0);
    let asked = LetteringRequest { along: Some(&short), ..request("HHH", DEJAVU) };
    let Err(LetteringError::LineTooShort { length, offered }) = set(&asked) else { panic!("it does not fit") };
    near(length.get(), 3.0 * 15_400.0 / 1493.0, 1e-6);
    near(offered.get(), 25.0, 1e-9);
    let pushed = Along { shift: Mm::new(20.0), ..along(line(&[(0.0, 0.0), (40.0, 0.0)]), false, 0.0) };
    let asked = LetteringRequest { along: Some(&pushed), ..request("HH", DEJAVU) };
    assert!(matches!(set(&asked), Err(LetteringError::LineTooShort { .. })));
    let two = LetteringRequest { along: Some(&short), ..request("a\nb", DEJAVU) };
    assert_eq!(set(&two).unwrap_err(), LetteringError::SeveralLinesAlong { lines: 2 });
    let point = along(line(&[(3.0, 3.0), (3.0, 3.0)]), false, 0.0);
    let asked = LetteringRequest { along: Some(&point), ..request("H", DEJAVU) };
    assert_eq!(set(&asked).unwrap_err(), LetteringError::NoLine);
}

#[test]
fn corners_and_tight_bends_are_found() {
    let corner = along(line(&[(0.0, 40.0), (0.0, 0.0), (40.0, 0.0)]), false, 0.0);
    let done = set_along("HHHH", &corner, Align::Centre);
    assert_eq!(done.turns.len(), 1);
    near(done.turns[0].degrees, 90.0, 1.0);
    near(done.turns[0].at.distance(Point::ORIGIN), 0.0, 1.0);
    let bowl = along(Circle::new((0.0, 0.0), 14.0).to_path(1e-6).reverse_subpaths(), false, 0.0);
    assert!(!set_along("HHHH", &bowl, Align::Left).collisions.is_empty());
    let rim = along(Circle::new((0.0, 0.0), 14.0).to_path(1e-6), false, 0.0);
    assert!(set_along("HHHH", &rim, Align::Left).collisions.is_empty());
}

#[test]
fn hostile_lines_never_panic() {
    let spiral: Vec<(f64, f64)> = (0..400).map(|i| (f64::from(i % 7) * 3.0, f64::from(i % 11) * 2.0)).collect();
    for path in [
        BezPath::new(),
        line(&[(0.0, 0.0), (1e-12, 0.0)]),
        line(&[(0.0, 0.0), (60.0, 0.0), (0.0, 0.0), (60.0, 0.0)]),
        line(&spiral),
        Rect::new(0.0, 0.0, 60.0, 0.0).to_path(0.1),
    ] {
        for gap in [-200.0, 0.0, 3.0, 200.0] {
            for hanging in [false, true] {
                let line = along(path.clone(), hanging, gap);
                match set(&LetteringRequest { along: Some(&line), ..request("heron", DEJAVU) }) {
                    Ok(done) => assert!(bounds(&done).is_finite()),
                    Err(error) => assert!(!error.to_string().is_empty()),
                }
            }
        }
    }
}
