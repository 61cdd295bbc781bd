//! A vector drawing that stands on several pages and is written once: a form of PDF (ISO 32000-1, 8.10).

use super::file::pack;
use super::fragment::{POINT, Pen};
use super::ink::Ink;
use crate::raster::Plane;
use crate::units::number::push_thousandths;
use kurbo::{BezPath, PathEl, Point, Rect};
use std::fmt::Write;

/// A finished drawing; it keeps the frame it was drawn in, in mm, x right, y down.
#[derive(Debug)]
pub(crate) struct Drawing {
    /// The box around it, lines at their full width.
    pub(super) bounds: Rect,
    /// Its operators, packed.
    pub(super) packed: Vec<u8>,
}

/// A drawing in the making.
#[derive(Default)]
pub(crate) struct Sketch {
    bounds: Option<Rect>,
    /// Operators (ISO 32000-1, tables 57, 59, 60 and 74). Units are points, y up, from the frame's origin.
    operators: String,
}

impl Sketch {
    /// Fills an area, by the non-zero rule.
    pub(crate) fn fill(&mut self, path: &BezPath, ink: Ink) {
        self.colour(ink, "rg");
        self.path(path, 0.0);
        self.operators.push_str("f\n");
    }

    /// Draws lines.
    pub(crate) fn stroke(&mut self, path: &BezPath, pen: &Pen) {
        self.colour(pen.ink, "RG");
        self.length(pen.width);
        self.operators.push_str("w\n[");
        pen.dashes.iter().for_each(|dash| self.length(*dash));
        self.operators.push_str("] 0 d 1 j\n");
        self.path(path, pen.width / 2.0);
        self.operators.push_str("S\n");
    }

    /// Fills the cells of a box with shares of an ink: a picture inside the drawing (ISO 32000-1, 8.9.7).
    pub(crate) fn shade(&mut self, frame: Rect, shares: &Plane, ink: Ink) {
        self.bounds = Some(self.bounds.map_or(frame, |all| all.union(frame)));
        self.operators.push_str("q\n");
        self.length(frame.width());
        self.operators.push_str("0 0 ");
        self.length(frame.height());
        self.length(frame.x0);
        self.length(-frame.y1);
        let (width, height) = (shares.width, shares.height);
        let _ = write!(self.operators, "cm\nBI /W {width} /H {height} /CS /RGB /BPC 8 /F /AHx ID\n");
        for row in shares.values.chunks_exact(width) {
            for share in row {
                for channel in [ink.red, ink.green, ink.blue] {
                    // Steps of 15 can be told apart on no printer and pack far better.
                    let paler = 255.0 - (255.0 - f64::from(channel)) * f64::from(*share);
                    let _ = write!(self.operators, "{:02x}", ((paler / 15.0).round() * 15.0) as u8);
                }
            }
            self.operators.push('\n');
        }
        self.operators.push_str(">\nEI\nQ\n");
    }

    /// The drawing, packed.
    pub(crate) fn finish(self) -> Drawing {
        Drawing { bounds: self.bounds.unwrap_or_default(), packed: pack(self.operators.as_bytes()) }
    }

    fn colour(&mut self, ink: Ink, operator: &str) {
        for channel in [ink.red, ink.green, ink.blue] {
            self.number(f64::from(channel) / 255.0);
        }
        self.operators.push_str(operator);
        self.operators.push('\n');
    }

    fn path(&mut self, path: &BezPath, margin: f64) {
        let bounds = path.control_box().inflate(margin, margin);
        self.bounds = Some(self.bounds.map_or(bounds, |all| all.union(bounds)));
        let mut last = Point::ZERO;
        for element in path.elements() {
            match *element {
                PathEl::MoveTo(p) => self.operator(&[p], "m\n"),
                PathEl::LineTo(p) => self.operator(&[p], "l\n"),
                // A quadratic raised to a cubic is the same curve exactly.
                PathEl::QuadTo(a, p) => {
                    let third = |from: Point| from + (a - from) * (2.0 / 3.0);
                    self.operator(&[third(last), third(p), p], "c\n");
                }
                PathEl::CurveTo(a, b, p) => self.operator(&[a, b, p], "c\n"),
                PathEl::ClosePath => self.operators.push_str("h\n"),
            }
            last = element.end_point().unwrap_or(last);
        }
    }

    fn operator(&mut self, points: &[Point], operator: &str) {
        for p in points {
            self.length(p.x);
            self.length(-p.y);
        }
        self.operators.push_str(operator);
    }

    fn length(&mut self, millimetres: f64) {
        self.number(millimetres / POINT);
    }

    fn number(&mut self, number: f64) {
        push_thousandths(&mut self.operators, number);
        self.operators.push(' ');
    }
}
