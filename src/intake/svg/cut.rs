//! Lines cut by areas: by clip paths, by the page, and by white shapes that lie over them.

use crate::geometry::{Caps, Corners, FLATTEN_TOLERANCE, Line, Region};
use crate::units::Mm;
use i_overlay::core::fill_rule::FillRule;
use i_overlay::float::clip::FloatClip;
use i_overlay::string::clip::ClipRule;
use kurbo::{Affine, BezPath, Point, Rect, Shape};

/// Steps of the lattice in a millimetre, as in the geometry kernel.
const STEPS_PER_MM: f64 = 10_000.0;

/// How much of its ink a cut line may show wrongly and still be a line: a share of the ink.
const TOLERATED: f64 = 0.1;

/// Capped lines of less than this share of their width are dots.
const DOT: f64 = 0.5;

/// A line with what is needed to ink it.
#[derive(Clone, Debug)]
pub(super) struct PaintedLine {
    pub line: Line,
}

impl PaintedLine {
    /// The area it inks; nothing when it cannot be worked out.
    pub(super) fn band(&self) -> Region {
        Region::from_strokes(std::slice::from_ref(&self.line)).unwrap_or_default()
    }

    /// The area it inks under a transform that may squeeze: `to_frame` led to where the line is now.
    pub(super) fn band_through(&self, to_frame: Affine) -> Region {
        let even = to_frame.determinant().abs().sqrt();
        let squeeze = to_frame * Affine::scale(1.0 / even);
        if !(even > 0.0 && even.is_finite()) || squeeze.determinant() == 0.0 {
            return Region::empty();
        }
        let unsqueezed = Line { path: squeeze.inverse() * self.line.path.clone(), ..self.line.clone() };
        Self { line: unsqueezed }.band().transform(squeeze)
    }

    /// Whether it is shorter than it is wide, with caps: a dot of a dotted line, which has no middle to follow.
    pub(super) fn is_dot(&self) -> bool {
        let width = self.line.width.unwrap_or(Mm::ZERO).get();
        self.line.pen.caps != Caps::Butt && self.line.path.perimeter(0.1 * width.max(1e-3)) < DOT * width
    }

    /// A box that its ink stays in.
    pub(super) fn reach(&self) -> Rect {
        let half = self.line.width.unwrap_or(Mm::ZERO).get() / 2.0;
        let factor = match self.line.pen.corners {
            Corners::Mitre { limit } => limit.max(1.5),
            Corners::Round | Corners::Bevel => 1.5,
        };
        self.line.path.bounding_box().inflate(half * factor, half * factor)
    }
}

/// Which side of an area is kept.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Keep {
    Inside,
    Outside,
}

/// What is left of a line.
#[derive(Debug)]
pub(super) enum Cut {
    /// All of it.
    Whole,
    /// Pieces of its middle, each as wide as before.
    Lines(Vec<PaintedLine>),
    /// The line was cut lengthwise, so only the inked area tells what is seen.
    Ink(Region),
}

/// Cuts a line, and decides whether what is left still is one.
pub(super) fn cut(painted: &PaintedLine, area: &Region, keep: Keep) -> Cut {
    let band = painted.band();
    let seen = match keep {
        Keep::Inside => band.overlap(area),
        Keep::Outside => band.subtract(area),
    };
    let whole = band.area().get();
    if (whole - seen.area().get()).abs() <= 1e-6 * whole && whole > 0.0 {
        return Cut::Whole;
    }
    let Some(pieces) = pieces(&painted.line.path, area, keep) else { return Cut::Ink(seen) };
    let lines: Vec<PaintedLine> =
        pieces.into_iter().map(|path| PaintedLine { line: Line { path, ..painted.line.clone() } }).collect();
    let drawn = Region::union(&lines.iter().map(PaintedLine::band).collect::<Vec<_>>().iter().collect::<Vec<_>>());
    let wrong = drawn.exclude(&seen).area().get();
    if wrong <= TOLERATED * seen.area().get() || seen.is_empty() && lines.is_empty() {
        Cut::Lines(lines)
    } else {
        Cut::Ink(seen)
    }
}

/// The pieces of a line's middle on one side of an area; a line along the border counts as inside and outside.
pub(super) fn pieces(path: &BezPath, area: &Region, keep: Keep) -> Option<Vec<BezPath>> {
    let resource: Vec<Vec<[f64; 2]>> = area.contours().iter().map(flattened).collect();
    let line = flattened(path);
    if line.len() < 2 {
        return Some(Vec::new());
    }
    let rule = ClipRule { invert: keep == Keep::Outside, boundary_included: true };
    let parts = vec![line].clip_by_fixed_scale_as::<i64>(&resource, FillRule::NonZero, rule, STEPS_PER_MM).ok()?;
    Some(joined(parts).into_iter().map(|points| polyline(&points)).collect())
}

/// The corners of a path's chords; a closed path ends where it starts.
fn flattened(path: &BezPath) -> Vec<[f64; 2]> {
    let mut points: Vec<[f64; 2]> = Vec::new();
    let mut start = None;
    kurbo::flatten(path, FLATTEN_TOLERANCE.get(), |element| match element {
        kurbo::PathEl::MoveTo(p) => {
            start = Some(p);
            points.push([p.x, p.y]);
        }
        kurbo::PathEl::LineTo(p) => points.push([p.x, p.y]),
        kurbo::PathEl::ClosePath => points.extend(start.map(|p| [p.x, p.y])),
        _ => {}
    });
    points
}

/// Joins pieces that end where another starts: a closed line that was cut has a seam where it was begun.
fn joined(parts: Vec<Vec<[f64; 2]>>) -> Vec<Vec<[f64; 2]>> {
    let mut out: Vec<Vec<[f64; 2]>> = Vec::new();
    for part in parts.into_iter().filter(|p| p.len() > 1) {
        match out.last_mut() {
            Some(last) if last.last() == part.first() => last.extend_from_slice(&part[1..]),
            _ => out.push(part),
        }
    }
    if out.len() > 1 && out[out.len() - 1].last() == out[0].first() {
        let first = out.remove(0);
        if let Some(last) = out.last_mut() {
            last.extend_from_slice(&first[1..]);
        }
    }
    out
}

fn polyline(points: &[[f64; 2]]) -> BezPath {
    let closed = points.len() > 3 && points.first() == points.last();
    let mut path = BezPath::new();
    for (index, p) in points[..points.len() - usize::from(closed)].iter().enumerate() {
        let p = Point::new(p[0], p[1]);
        if index == 0 { path.move_to(p) } else { path.line_to(p) }
    }
    if closed {
        path.close_path();
    }
    path
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::Pen;

    fn square(x0: f64, y0: f64, x1: f64, y1: f64) -> Region {
        Region::from_path(&Rect::new(x0, y0, x1, y1).to_path(0.1), crate::geometry::FillRule::NonZero).unwrap()
    }

    fn line(svg: &str, width: f64) -> PaintedLine {
        let pen = Pen { corners: Corners::Mitre { limit: 4.0 }, caps: Caps::Butt };
        PaintedLine { line: Line { path: BezPath::from_svg(svg).unwrap(), width: Some(Mm::new(width)), pen } }
    }

    fn length(cut: &Cut) -> f64 {
        let Cut::Lines(lines) = cut else { panic!("{cut:?}") };
        lines.iter().map(|l| l.line.path.perimeter(1e-6)).sum()
    }

    #[test]
    fn a_line_across_is_shortened() {
        let cut_line = cut(&line("M-10 5H30", 1.0), &square(0.0, 0.0, 20.0, 10.0), Keep::Inside);
        assert!((length(&cut_line) - 20.0).abs() < 1e-3);
        let outside = cut(&line("M-10 5H30", 1.0), &square(0.0, 0.0, 20.0, 10.0), Keep::Outside);
        assert!((length(&outside) - 20.0).abs() < 1e-3);
        assert!(matches!(&outside, Cut::Lines(l) if l.len() == 2));
    }

    #[test]
    fn a_line_cut_lengthwise_becomes_ink() {
        let cut_line = cut(&line("M0 0H20", 6.0), &square(0.0, 0.0, 20.0, 10.0), Keep::Inside);
        let Cut::Ink(ink) = cut_line else { panic!("{cut_line:?}") };
        assert!((ink.area().get() - 60.0).abs() < 1e-6);
    }

    #[test]
    fn a_line_clear_of_the_edge_is_whole_and_one_outside_is_gone() {
        assert!(matches!(cut(&line("M2 5H8", 1.0), &square(0.0, 0.0, 20.0, 10.0), Keep::Inside), Cut::Whole));
        let gone = cut(&line("M2 50H8", 1.0), &square(0.0, 0.0, 20.0, 10.0), Keep::Inside);
        assert!(matches!(gone, Cut::Lines(l) if l.is_empty()));
    }

    #[test]
    fn a_ring_cut_once_stays_one_piece() {
        let cut_line = cut(&line("M0 0H10V10H0Z", 0.5), &square(4.0, -2.0, 6.0, 2.0), Keep::Outside);
        assert!(matches!(&cut_line, Cut::Lines(l) if l.len() == 1), "{cut_line:?}");
        assert!((length(&cut_line) - 38.0).abs() < 1e-3);
    }
}
