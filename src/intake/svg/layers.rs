//! Paint laid on paint: dark areas add up, white ones take away what lies beneath them.

use super::cut::{Cut, Keep, cut};
use super::document::NodeId;
use crate::geometry::{Corners, Line, Region};
use crate::units::Mm;
use kurbo::{Rect, Shape};

/// What has been painted so far.
///
/// White areas are collected until something dark follows, and then are taken away at once from the areas and
/// lines they touch and from no others: a picture of a thousand shapes costs a few operations, not a million.
#[derive(Default)]
pub(super) struct Layers {
    dark: Vec<(Rect, Region)>,
    lines: Vec<(Rect, PaintedLine)>,
    white: Vec<(Rect, Region, Option<NodeId>)>,
    /// Elements whose white has taken something away.
    pub(super) covering: Vec<NodeId>,
}

/// A line with what is needed to ink it.
#[derive(Clone, Debug)]
pub(super) struct PaintedLine {
    pub line: Line,
    pub corners: Corners,
    pub caps: crate::geometry::Caps,
}

impl PaintedLine {
    /// The area it inks; nothing when it cannot be worked out.
    pub(super) fn band(&self) -> Region {
        Region::from_strokes(std::slice::from_ref(&self.line), self.corners, self.caps).unwrap_or_default()
    }

    /// A box that its ink stays in.
    pub(super) fn reach(&self) -> Rect {
        let half = self.line.width.unwrap_or(Mm::ZERO).get() / 2.0;
        let factor = match self.corners {
            Corners::Mitre { limit } => limit.max(1.5),
            Corners::Round | Corners::Bevel => 1.5,
        };
        self.line.path.bounding_box().inflate(half * factor, half * factor)
    }
}

fn touch(a: Rect, b: Rect) -> bool {
    a.x0 <= b.x1 && b.x0 <= a.x1 && a.y0 <= b.y1 && b.y0 <= a.y1
}

impl Layers {
    /// Paints a dark area.
    pub(super) fn add_dark(&mut self, region: Region) {
        self.settle();
        if let Some(bounds) = region.bounds() {
            self.dark.push((bounds, region));
        }
    }

    /// Paints a dark line.
    pub(super) fn add_line(&mut self, line: PaintedLine) {
        self.settle();
        self.lines.push((line.reach(), line));
    }

    /// Paints a white area.
    pub(super) fn add_white(&mut self, region: Region, by: Option<NodeId>) {
        let Some(bounds) = region.bounds() else { return };
        let covers =
            self.dark.iter().any(|(b, _)| touch(*b, bounds)) || self.lines.iter().any(|(b, _)| touch(*b, bounds));
        if covers {
            self.white.push((bounds, region, by));
        }
    }

    /// All ink in one area, and the lines.
    pub(super) fn finish(mut self) -> (Region, Vec<Line>, Vec<NodeId>) {
        self.settle();
        let all: Vec<&Region> = self.dark.iter().map(|(_, r)| r).collect();
        let ink = Region::union(&all);
        (ink, self.lines.into_iter().map(|(_, l)| l.line).collect(), self.covering)
    }

    /// Takes the collected white away.
    fn settle(&mut self) {
        let white = std::mem::take(&mut self.white);
        if white.is_empty() {
            return;
        }
        let cover = Region::union(&white.iter().map(|(_, r, _)| r).collect::<Vec<_>>());
        let Some(bounds) = cover.bounds() else { return };
        let changed = self.take_from_dark(&cover, bounds) | self.take_from_lines(&cover, bounds);
        if changed {
            self.covering.extend(white.iter().filter_map(|(_, _, by)| *by));
        }
    }

    fn take_from_dark(&mut self, cover: &Region, bounds: Rect) -> bool {
        let (touched, kept): (Vec<_>, Vec<_>) =
            std::mem::take(&mut self.dark).into_iter().partition(|(b, _)| touch(*b, bounds));
        self.dark = kept;
        if touched.is_empty() {
            return false;
        }
        let before = Region::union(&touched.iter().map(|(_, r)| r).collect::<Vec<_>>());
        let after = before.subtract(cover);
        let changed = (before.area() - after.area()).get() > 1e-6 * before.area().get();
        if let Some(bounds) = after.bounds() {
            self.dark.push((bounds, after));
        }
        changed
    }

    fn take_from_lines(&mut self, cover: &Region, bounds: Rect) -> bool {
        let mut changed = false;
        for (reach, painted) in std::mem::take(&mut self.lines) {
            if !touch(reach, bounds) {
                self.lines.push((reach, painted));
                continue;
            }
            match cut(&painted, cover, Keep::Outside) {
                Cut::Whole => self.lines.push((reach, painted)),
                Cut::Lines(lines) => {
                    changed = true;
                    self.lines.extend(lines.into_iter().map(|l| (l.reach(), l)));
                }
                Cut::Ink(ink) => {
                    changed = true;
                    if let Some(bounds) = ink.bounds() {
                        self.dark.push((bounds, ink));
                    }
                }
            }
        }
        changed
    }
}
