//! Path data in full precision, and where it breaks.

use kurbo::{Arc, BezPath, Point, SvgArc, Vec2};
use svgtypes::{PathParser, PathSegment};

/// How far a cubic may leave the arc it stands for, as a share of the larger radius: an eighth of a circle each
/// (a quarter each would be off by 2.7e-4, a tenth of a millimetre on a board).
pub(super) const ARC_ACCURACY: f64 = 4.4e-6;

/// Where and why path data stop being readable.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct PathFault {
    /// Bytes from the start of the attribute's value.
    pub offset: Option<usize>,
    pub why: String,
}

/// Reads path data. What stands before a fault is kept, as SVG asks (SVG 2, 9.5.4 "Path data error handling").
pub(super) fn parse(text: &str) -> (BezPath, Option<PathFault>) {
    let mut pen = Pen::default();
    for segment in PathParser::from(text) {
        match segment {
            Ok(segment) => {
                let before = pen.path.elements().len();
                pen.draw(segment);
                let new = &pen.path.elements()[before..];
                if new.iter().any(|e| !e.is_finite()) {
                    pen.path = BezPath::from_vec(pen.path.elements()[..before].to_vec());
                    let fault =
                        PathFault { offset: None, why: "a coordinate in it is not a finite number".into() };
                    return (pen.path, Some(fault));
                }
            }
            Err(error) => return (pen.path, Some(fault(&error))),
        }
    }
    (pen.path, None)
}

fn fault(error: &svgtypes::Error) -> PathFault {
    use svgtypes::Error as E;
    // Positions are counted from 1.
    let at = |position: &usize| Some(position.saturating_sub(1));
    let (offset, why) = match error {
        E::UnexpectedEndOfStream => (None, "it stops in the middle of a command".to_owned()),
        E::UnexpectedData(p) => (at(p), format!("something unexpected stands at position {p}")),
        E::InvalidNumber(p) => (at(p), format!("a number is expected at position {p}")),
        E::InvalidChar(_, p) | E::InvalidString(_, p) => (at(p), error_text(error, *p)),
        other => (None, other.to_string()),
    };
    PathFault { offset, why }
}

fn error_text(error: &svgtypes::Error, position: usize) -> String {
    let text = error.to_string();
    if text.is_empty() { format!("something unexpected stands at position {position}") } else { text }
}

/// Draws segments one after the other, as their commands mean them.
#[derive(Default)]
struct Pen {
    path: BezPath,
    start: Point,
    at: Point,
    /// The last control point, for smooth cubics and quadratics.
    cubic: Option<Point>,
    quadratic: Option<Point>,
    /// Whether the next command has to start a subpath: nothing drawn yet, or just closed.
    lifted: bool,
}

impl Pen {
    fn draw(&mut self, segment: PathSegment) {
        let (cubic, quadratic) = (self.cubic.take(), self.quadratic.take());
        let from = |abs: bool| if abs { Vec2::ZERO } else { self.at.to_vec2() };
        match segment {
            PathSegment::MoveTo { abs, x, y } => {
                self.at = Point::new(x, y) + from(abs);
                self.start = self.at;
                self.path.move_to(self.at);
                self.lifted = false;
            }
            PathSegment::LineTo { abs, x, y } => self.line(Point::new(x, y) + from(abs)),
            PathSegment::HorizontalLineTo { abs, x } => self.line(Point::new(x + from(abs).x, self.at.y)),
            PathSegment::VerticalLineTo { abs, y } => self.line(Point::new(self.at.x, y + from(abs).y)),
            PathSegment::CurveTo { abs, x1, y1, x2, y2, x, y } => {
                let o = from(abs);
                self.curve(Point::new(x1, y1) + o, Point::new(x2, y2) + o, Point::new(x, y) + o);
            }
            PathSegment::SmoothCurveTo { abs, x2, y2, x, y } => {
                let o = from(abs);
                let first = cubic.map_or(self.at, |c| self.at + (self.at - c));
                self.curve(first, Point::new(x2, y2) + o, Point::new(x, y) + o);
            }
            PathSegment::Quadratic { abs, x1, y1, x, y } => {
                let o = from(abs);
                self.quad(Point::new(x1, y1) + o, Point::new(x, y) + o);
            }
            PathSegment::SmoothQuadratic { abs, x, y } => {
                let o = from(abs);
                let control = quadratic.map_or(self.at, |c| self.at + (self.at - c));
                self.quad(control, Point::new(x, y) + o);
            }
            PathSegment::EllipticalArc { abs, rx, ry, x_axis_rotation, large_arc, sweep, x, y } => {
                let to = Point::new(x, y) + from(abs);
                self.arc(Vec2::new(rx, ry), x_axis_rotation, large_arc, sweep, to);
            }
            PathSegment::ClosePath { .. } => {
                if !self.lifted {
                    self.path.close_path();
                }
                self.at = self.start;
                self.lifted = true;
            }
        }
    }

    /// Drawing on after a closed subpath starts a new one where that one started (SVG 2, 9.3.4).
    fn put_down(&mut self) {
        if self.lifted {
            self.path.move_to(self.start);
            self.lifted = false;
        }
    }

    fn line(&mut self, to: Point) {
        self.put_down();
        self.path.line_to(to);
        self.at = to;
    }

    fn curve(&mut self, a: Point, b: Point, to: Point) {
        self.put_down();
        self.path.curve_to(a, b, to);
        self.cubic = Some(b);
        self.at = to;
    }

    fn quad(&mut self, control: Point, to: Point) {
        self.put_down();
        self.path.quad_to(control, to);
        self.quadratic = Some(control);
        self.at = to;
    }

    /// An arc with a radius of zero is a straight line, and one to where it starts is nothing (SVG 2, 9.5.1).
    fn arc(&mut self, radii: Vec2, rotation: f64, large_arc: bool, sweep: bool, to: Point) {
        if to == self.at {
            return;
        }
        let arc = SvgArc { from: self.at, to, radii, x_rotation: rotation.to_radians(), large_arc, sweep };
        let Some(arc) = Arc::from_svg_arc(&arc) else { return self.line(to) };
        self.put_down();
        let accuracy = ARC_ACCURACY * arc.radii.x.abs().max(arc.radii.y.abs());
        let mut curves: Vec<(Point, Point, Point)> = Vec::new();
        arc.to_cubic_beziers(accuracy, |a, b, c| curves.push((a, b, c)));
        let last = curves.len().saturating_sub(1);
        for (index, (a, b, c)) in curves.into_iter().enumerate() {
            // The end is where the data say, not where the sine of an angle leads.
            self.path.curve_to(a, b, if index == last { to } else { c });
        }
        self.at = to;
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use kurbo::Shape;

    fn good(text: &str) -> BezPath {
        let (path, fault) = parse(text);
        assert_eq!(fault, None, "{text}");
        path
    }

    /// SVG 2 chapter 9, the text after the grammar.
    #[test]
    fn numbers_are_taken_greedily() {
        assert_eq!(good("M 100-200").to_svg(), good("M 100 -200").to_svg());
        assert_eq!(good("M 0.6.5").to_svg(), good("M 0.6 0.5").to_svg());
        assert_eq!(good("M1e2,2E-1L.5.5-3-4").to_svg(), good("M100 .2 L.5 .5 L-3 -4").to_svg());
        assert_eq!(good("m1 2 3 4z").to_svg(), good("M1 2 L4 6 Z").to_svg());
        assert_eq!(good("M10 10 20 20").to_svg(), good("M10 10 L20 20").to_svg());
    }

    /// W3C SVG 1.1 suite, paths-data-20-f: arc flags need no separators (P3).
    #[test]
    fn arc_flags_may_run_together() {
        assert_eq!(good("M0 0a25 25 0 0150 0").to_svg(), good("M0 0a25 25 0 0 1 50 0").to_svg());
    }

    /// SVG 2 implementation notes, out-of-range parameters (G29): radii of 10 for a chord of 50 become 25.
    #[test]
    fn arcs_have_their_published_length() {
        let half_turn = 25.0 * std::f64::consts::PI;
        for text in ["M0 0A25 25 0 0 1 50 0", "M0 0A10 10 0 0 1 50 0"] {
            let path = good(text);
            // Eight cubics a circle leave 4e-6 of the radius.
            assert!(
                (path.perimeter(1e-9) - half_turn).abs() < 5e-6 * half_turn,
                "{text}: {}",
                path.perimeter(1e-9)
            );
            assert!((path.bounding_box().y0 + 25.0).abs() < 2e-4);
        }
    }

    /// SVG 2 implementation notes F.6.5 (G30): the two centres of the small arcs are (0, 20) and (30, 0).
    #[test]
    fn sweep_chooses_the_centre() {
        for (sweep, centre) in [(1, Point::new(0.0, 20.0)), (0, Point::new(30.0, 0.0))] {
            let path = good(&format!("M0 0A30 20 0 0 {sweep} 30 20"));
            for segment in path.segments() {
                let p = kurbo::ParamCurve::eval(&segment, 0.37);
                let d = ((p.x - centre.x) / 30.0).hypot((p.y - centre.y) / 20.0);
                assert!((d - 1.0).abs() < 1e-5, "{sweep}: {p:?} is {d}");
            }
        }
    }

    /// SVG implementation notes, error handling (P4).
    #[test]
    fn what_stands_before_a_fault_is_kept() {
        let (path, fault) = parse("M10,10K5");
        assert_eq!((path.elements().len(), fault.unwrap().offset), (1, Some(6)));
        let (path, fault) = parse("L5 5");
        assert!(path.elements().is_empty() && fault.is_some());
        let (path, fault) = parse("M 10,10 L 20,20,30");
        assert_eq!(path.to_svg(), good("M10 10 L20 20").to_svg());
        assert!(fault.is_some());
        let (path, fault) = parse("M0 0 L1 1 L1e309 5 L2 2");
        assert_eq!(path.to_svg(), good("M0 0L1 1").to_svg());
        assert!(fault.unwrap().why.contains("finite") || path.elements().len() == 2);
        assert!(parse("M0 0 L NaN 5").1.is_some());
    }

    #[test]
    fn a_closed_subpath_is_left_from_its_start() {
        assert_eq!(good("M5 5h4v4zl1 1").to_svg(), good("M5 5h4v4zM5 5l1 1").to_svg());
        assert_eq!(good("M5 5h4zz").to_svg(), good("M5 5h4z").to_svg());
        assert_eq!(good("M0 0C1 1 2 1 3 0S5 -1 6 0").to_svg(), good("M0 0C1 1 2 1 3 0C4 -1 5 -1 6 0").to_svg());
        assert_eq!(good("M0 0Q1 1 2 0T4 0").to_svg(), good("M0 0Q1 1 2 0Q3 -1 4 0").to_svg());
    }
}
