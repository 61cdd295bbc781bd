//! The comb as the machine gets it: its lines read from the file of the run, its strips cut out by GEOS.

use super::bench::{Bench, files_of};
use super::comb as wish;
use geos::{CapStyle, CoordSeq, Geom, Geometry, JoinStyle};
use kerfbook::readings::{Comb, KerfReading, kerf};
use kerfbook::units::Mm;
use kurbo::{BezPath, PathEl, Point};

/// The lines of the groups that cut, from the bytes of the file.
fn cut_lines(svg: &str) -> Vec<Vec<Point>> {
    let document = roxmltree::Document::parse(svg).unwrap();
    let cuts = document.descendants().filter(|n| n.attribute("data-operation") == Some("cut"));
    let paths = cuts.flat_map(|g| g.descendants()).filter_map(|n| n.attribute("d"));
    paths.flat_map(|d| BezPath::from_svg(d).unwrap().elements().to_vec()).fold(Vec::new(), |mut lines, element| {
        match element {
            PathEl::MoveTo(p) => lines.push(vec![p]),
            PathEl::LineTo(p) => lines.last_mut().unwrap().push(p),
            PathEl::ClosePath => {
                let first = lines.last().unwrap()[0];
                lines.last_mut().unwrap().push(first);
            }
            other => panic!("a comb is straight: {other:?}"),
        }
        lines
    })
}

fn geometry(points: &[Point]) -> Geometry {
    let rows: Vec<[f64; 2]> = points.iter().map(|p| [p.x, p.y]).collect();
    Geometry::create_line_string(CoordSeq::new_from_vec(&rows).unwrap()).unwrap()
}

/// What falls out of a large sheet when a beam of some width has followed the lines: areas and boxes, largest last.
fn pieces(lines: &[Vec<Point>], width: f64) -> Vec<(f64, f64, f64)> {
    let corners = [(-100.0, -100.0), (900.0, -100.0), (900.0, 900.0), (-100.0, 900.0), (-100.0, -100.0)];
    let ring = corners.map(|(x, y)| Point::new(x, y));
    let rows: Vec<[f64; 2]> = ring.iter().map(|p| [p.x, p.y]).collect();
    let ring = Geometry::create_linear_ring(CoordSeq::new_from_vec(&rows).unwrap()).unwrap();
    let mut left = Geometry::create_polygon(ring, vec![]).unwrap();
    for line in lines {
        let burned =
            geometry(line).buffer_with_style(width / 2.0, 16, CapStyle::Square, JoinStyle::Mitre, 5.0).unwrap();
        left = left.difference(&burned).unwrap();
    }
    let count = left.get_num_geometries().unwrap();
    let mut all: Vec<(f64, f64, f64)> = (0..count)
        .map(|i| {
            let piece = left.get_geometry_n(i).unwrap();
            let (x0, x1) = (piece.get_x_min().unwrap(), piece.get_x_max().unwrap());
            let (y0, y1) = (piece.get_y_min().unwrap(), piece.get_y_max().unwrap());
            (piece.area().unwrap(), x1 - x0, y1 - y0)
        })
        .collect();
    all.sort_by(|a, b| a.0.total_cmp(&b.0));
    all
}

#[test]
fn n_strips_lie_between_n_and_one_lines_as_far_apart_as_drawn() {
    for strips in [2, 10, 20] {
        let (made, _) = files_of(&Bench::demo(), &wish(strips));
        let svg = String::from_utf8(made["01-card.svg"].clone()).unwrap();
        let mut upright: Vec<f64> = cut_lines(&svg)
            .iter()
            .filter(|l| l.len() == 2 && (l[0].x - l[1].x).abs() < 1e-9)
            .map(|l| l[0].x)
            .collect();
        upright.sort_by(f64::total_cmp);
        assert_eq!(upright.len(), strips as usize + 1);
        assert!(upright.windows(2).all(|w| (w[1] - w[0] - 6.0).abs() < 1e-9), "{upright:?}");
        assert!((upright[strips as usize] - upright[0] - 6.0 * f64::from(strips)).abs() < 1e-9);
    }
}

#[test]
fn strips_cut_by_a_known_beam_give_its_width_again() {
    let (made, _) = files_of(&Bench::demo(), &wish(10));
    let svg = String::from_utf8(made["01-card.svg"].clone()).unwrap();
    let lines = cut_lines(&svg);
    for width in [0.08, 0.163, 0.31] {
        let pieces = pieces(&lines, width);
        // Ten strips, the square, and the sheet with its holes.
        assert_eq!(pieces.len(), 12, "{pieces:?}");
        let sum: f64 = pieces[..10].iter().map(|p| p.1).sum();
        let part = pieces[10].1;
        assert!((part - (20.0 - width)).abs() < 1e-6, "{part}");
        let reading = KerfReading::Comb { from: Comb::Drawn, long: Mm::new(60.0), strips: 10, sum: Mm::new(sum) };
        let found =
            kerf(&[reading, KerfReading::Hole { hole: Mm::new(20.0 + width), part: Mm::new(part) }]).unwrap();
        assert!((found.kerf.get() - width).abs() < 1e-6, "{width}: {:?}", found.arithmetic);
    }
}
