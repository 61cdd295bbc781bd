//! Seams of drawn puzzles, traced back from pixels.

use super::figures;
use super::lines::{off, overlay};
use super::pictures::{Look, stroked};
use kerfbook::tracing;
use kurbo::{BezPath, ParamCurve, Point};

/// The ends of all paths' segments.
fn vertices(paths: &[BezPath]) -> Vec<Point> {
    paths.iter().flat_map(BezPath::segments).flat_map(|s| [s.start(), s.end()]).collect()
}

#[test]
fn a_puzzle_of_forty_eight_pieces_has_its_seams() {
    for seed in 1..=3 {
        for pen in [3.0, 6.0, 9.0] {
            let puzzle = figures::puzzle(8, 6, seed);
            let picture = stroked(&puzzle.seams, pen, puzzle.size, Look::Scan);
            let ink = tracing::ink(picture, None).unwrap();
            let found = tracing::seams(&ink, 0.0, true);
            let paths: Vec<BezPath> = found.strokes.iter().map(|s| s.path.clone()).collect();
            let off = off(&puzzle.seams, &paths);
            let vertices = vertices(&paths);
            let nearest = |p: &Point| vertices.iter().map(|v| (*v - *p).hypot()).fold(f64::INFINITY, f64::min);
            let far: Vec<f64> = puzzle.junctions.iter().map(nearest).collect();
            let mean = far.iter().sum::<f64>() / far.len() as f64;
            let most = far.iter().copied().fold(0.0, f64::max);
            println!(
                "seed {seed} pen {pen}: faces {} junctions {} edges {} loose {} strokes {} mean {:.3} most {:.2} junction error mean {mean:.2} most {most:.2}",
                found.regions,
                found.junctions,
                found.edges,
                found.loose.len(),
                found.strokes.len(),
                off.mean,
                off.most
            );
            overlay(&format!("puzzle-{seed}-{pen}"), &puzzle.seams, &paths, pen, puzzle.size);
            assert_eq!((found.regions, found.junctions, found.edges, found.loose.len()), (49, 59, 106, 0));
            assert!(off.mean <= 0.2 && most <= 1.0, "seed {seed}, {pen} px: {off:?}, junctions {most}");
        }
    }
}

/// Every end of a seam is a point of another one, to the last bit.
#[test]
fn seams_share_their_ends() {
    let puzzle = figures::puzzle(4, 3, 9);
    let picture = stroked(&puzzle.seams, 5.0, puzzle.size, Look::Scan);
    let ink = tracing::ink(picture, None).unwrap();
    for joined in [true, false] {
        let found = tracing::seams(&ink, 0.0, joined);
        let paths: Vec<BezPath> = found.strokes.iter().map(|s| s.path.clone()).collect();
        for (i, path) in paths.iter().enumerate() {
            let (start, end) = (path.segments().next().unwrap().start(), path.segments().last().unwrap().end());
            let others: Vec<BezPath> =
                paths.iter().enumerate().filter(|(j, _)| *j != i).map(|(_, p)| p.clone()).collect();
            let is_shared = |p: Point| start == end || vertices(&others).contains(&p);
            assert!(is_shared(start) && is_shared(end), "{}", path.to_svg());
        }
        assert_eq!(paths.len() == found.edges, !joined);
    }
}

#[test]
fn what_parts_nothing_is_left_out_and_counted() {
    let svg = "M40 40H200V160H40Z M120 40V160 M60 70V120 M150 100H200";
    let drawing = [BezPath::from_svg(svg).unwrap()];
    let ink = tracing::ink(stroked(&drawing, 5.0, (240, 200), Look::Grey), None).unwrap();
    let found = tracing::seams(&ink, 0.0, true);
    assert_eq!((found.regions, found.junctions, found.edges, found.loose.len()), (3, 2, 3, 2));
    // By hand: a frame of 160 by 120 and a line of 120 in it; two loose lines of 50, one of which ends on the frame.
    let near = |found: f64, wanted: f64, off: f64| assert!((found - wanted).abs() < off, "{found} {wanted}");
    near(found.length, 680.0, 40.0);
    near(found.width, 5.0, 0.5);
    near(found.loose.iter().map(|l| l.length).sum(), 100.0, 25.0);
    let at = |x, y| found.loose.iter().any(|l| (l.at - Point::new(x, y)).hypot() < 10.0);
    assert!(at(60.0, 95.0) && at(175.0, 100.0), "{:?}", found.loose);
}

/// Where strokes cross, the ink is wider than a stroke, by half at most; a solid is as wide as it is drawn.
#[test]
fn solids_among_seams_are_told_by_their_width() {
    let widest = |svg: &str, pen: f64| {
        let drawing = [BezPath::from_svg(svg).unwrap()];
        let ink = tracing::ink(stroked(&drawing, pen, (240, 200), Look::Grey), None).unwrap();
        tracing::seams(&ink, 0.0, true).widest.unwrap()
    };
    let (_, crossing) = widest("M40 40H200V160H40Z M40 60L200 140 M200 60L40 140", 5.0);
    assert!((5.0..7.5).contains(&crossing), "{crossing}");
    let (at, solid) = widest("M120.5 100.5H120.6", 40.0);
    assert!((solid - 40.0).abs() < 2.0 && (at - Point::new(120.5, 100.5)).hypot() < 25.0, "{solid} {at}");
}

/// The rim of the sheet cuts seams off: what lies beyond is an area of its own.
#[test]
fn seams_run_to_the_rim() {
    let drawing = [BezPath::from_svg("M-20 60.3H260 M120.4 -20V220").unwrap()];
    let ink = tracing::ink(stroked(&drawing, 6.0, (240, 200), Look::Grey), None).unwrap();
    let found = tracing::seams(&ink, 0.0, true);
    assert_eq!((found.regions, found.junctions, found.edges, found.loose.len()), (4, 1, 4, 0));
    let paths: Vec<BezPath> = found.strokes.iter().map(|s| s.path.clone()).collect();
    let ends = vertices(&paths);
    for rim in [(0.0, 60.3), (240.0, 60.3), (120.4, 0.0), (120.4, 200.0)] {
        assert!(ends.iter().any(|p| (*p - Point::from(rim)).hypot() < 0.3), "{rim:?} of {ends:?}");
    }
}

/// A ring parts what is in it from what is about it, without meeting anything.
#[test]
fn rings_are_seams() {
    let drawing = [kurbo::Shape::to_path(&kurbo::Circle::new((100.2, 90.7), 60.0), 1e-3)];
    let ink = tracing::ink(stroked(&drawing, 6.0, (200, 180), Look::Grey), None).unwrap();
    let found = tracing::seams(&ink, 0.0, true);
    assert_eq!((found.regions, found.junctions, found.edges, found.loose.len()), (2, 0, 1, 0));
    assert!(off(&drawing, &[found.strokes[0].path.clone()]).most < 0.5);
}
