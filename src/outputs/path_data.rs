//! Paths as SVG path data: absolute `M`, `L`, `C` and `Z` only, micrometre steps.

use crate::units::number::push_thousandths;
use kurbo::{BezPath, PathEl, Point};

/// Writes the `d` of a path. Every segment carries its own letter and every number stands alone between
/// spaces, so that even the plainest reader understands it.
pub(super) fn path_data<'a>(paths: impl IntoIterator<Item = &'a BezPath>) -> String {
    let mut data = Data::default();
    for path in paths {
        path.iter().for_each(|element| data.element(element));
    }
    data.end_subpath();
    data.text
}

/// Path data in the making.
#[derive(Default)]
struct Data {
    text: String,
    /// Where the subpath started, exactly and as written.
    start: (Point, String),
    /// Where the pen is, exactly and as written.
    pen: (Point, String),
    /// Whether the subpath has a segment already.
    drawn: bool,
    /// Whether a subpath has been started and not ended.
    open: bool,
}

impl Data {
    fn element(&mut self, element: PathEl) {
        match element {
            PathEl::MoveTo(p) => self.move_to(p),
            PathEl::LineTo(p) => self.line_to(p),
            PathEl::CurveTo(a, b, p) => self.curve_to(a, b, p),
            // A quadratic raised to a cubic is the same curve exactly.
            PathEl::QuadTo(q, p) => {
                let from = self.pen.0;
                self.curve_to(from + (q - from) * (2.0 / 3.0), p + (q - p) * (2.0 / 3.0), p);
            }
            PathEl::ClosePath => self.close(),
        }
    }

    fn move_to(&mut self, p: Point) {
        self.end_subpath();
        self.start = (p, pair(p));
        self.pen = self.start.clone();
        self.segment('M', &self.start.1.clone());
        self.drawn = false;
        self.open = true;
    }

    /// A step too short to be written would make readers see a corner with no direction: it is left out.
    fn line_to(&mut self, p: Point) {
        self.reopen();
        let written = pair(p);
        if written != self.pen.1 {
            self.segment('L', &written);
            self.drawn = true;
        }
        self.pen = (p, written);
    }

    fn curve_to(&mut self, a: Point, b: Point, p: Point) {
        self.reopen();
        let written = pair(p);
        let handles = [pair(a), pair(b)];
        if handles.iter().any(|h| *h != written) || written != self.pen.1 {
            self.segment('C', &[handles[0].as_str(), &handles[1], &written].join(" "));
            self.drawn = true;
        }
        self.pen = (p, written);
    }

    fn close(&mut self) {
        self.end_subpath();
        self.text.push_str(" Z");
        self.pen = self.start.clone();
    }

    /// After `Z` drawing may go on from the start of the closed subpath.
    fn reopen(&mut self) {
        if !self.open {
            self.move_to(self.start.0);
        }
    }

    /// A subpath of no length is still burned, as a dot: it keeps one segment to say so.
    fn end_subpath(&mut self) {
        if self.open && !self.drawn {
            self.segment('L', &self.pen.1.clone());
        }
        self.open = false;
    }

    fn segment(&mut self, letter: char, numbers: &str) {
        if !self.text.is_empty() {
            self.text.push(' ');
        }
        self.text.push(letter);
        self.text.push(' ');
        self.text.push_str(numbers);
    }
}

fn pair(p: Point) -> String {
    let mut text = String::with_capacity(20);
    push_thousandths(&mut text, p.x);
    text.push(' ');
    push_thousandths(&mut text, p.y);
    text
}

#[cfg(test)]
mod tests {
    use super::*;

    fn written(svg: &str) -> String {
        path_data([&BezPath::from_svg(svg).expect(svg)])
    }

    #[test]
    fn every_segment_is_absolute_and_carries_its_letter() {
        // SVG 2, "The grammar for path data": implicit lines, relative moves, run-together numbers.
        assert_eq!(written("M10 10 20 20"), "M 10 10 L 20 20");
        assert_eq!(written("m1 2 3 4z"), "M 1 2 L 4 6 Z");
        assert_eq!(written("M.12345-1e-9h7"), "M 0.123 0 L 7.123 0");
    }

    #[test]
    fn a_quadratic_becomes_the_same_cubic() {
        // Degree elevation: c1 = p0 + 2/3 (q - p0), c2 = p1 + 2/3 (q - p1).
        assert_eq!(written("M0 0Q3 3 6 0"), "M 0 0 C 2 2 4 2 6 0");
    }

    #[test]
    fn steps_below_a_micrometre_vanish_but_dots_stay() {
        assert_eq!(written("M0 0L0.0001 0L5 0"), "M 0 0 L 5 0");
        assert_eq!(written("M1 1L1 1"), "M 1 1 L 1 1");
        assert_eq!(written("M1 1M2 2L3 3"), "M 1 1 L 1 1 M 2 2 L 3 3");
    }

    #[test]
    fn drawing_goes_on_after_a_closed_subpath() {
        assert_eq!(written("M0 0L1 0L1 1ZL5 5"), "M 0 0 L 1 0 L 1 1 Z M 0 0 L 5 5");
    }
}
