//! Tips that run out to less than a beam is wide.

use super::outline::{Outline, is_taper, outlines_of};
use super::thin::MOST_PLACES;
use crate::geometry::Region;
use crate::geometry::chords::of_paths;
use crate::units::{Degrees, Mm};
use kurbo::{Point, Shape};
use rayon::prelude::*;

/// From one place to the next that is tried, the way from the tip grows by this factor.
const STRIDE: f64 = 1.1;

/// So many halvings find the way to a hundred-millionth of a stride.
const HALVINGS: usize = 27;

/// A tip is at most this share as wide at a quarter of its length as at three quarters; a pointed one a third.
const LEAST_TAPER: f64 = 0.6;

/// A tip: where a region runs out to nothing.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Tip {
    /// Its very end.
    pub at: Point,
    /// The angle between its flanks, taken where they are as far apart as was asked for. Of straight flanks it is
    /// the angle of the corner; a tip of curves gets sharper the finer it is looked at.
    pub angle: Degrees,
    /// How far along its flanks it is narrower than was asked for: a round beam of that width loses as much of it.
    pub length: Mm,
}

/// The tips of a region that are sharper than `below`, seen at the scale of `width`; the sharpest first, at most
/// [`MOST_PLACES`] of them.
///
/// An end that was rounded, or cut off, by less than the width is still a tip. Parts that are thinner than the
/// width everywhere have none: [`thin_places`](super::thin_places) finds them.
pub fn sharp_tips(region: &Region, width: Mm, below: Degrees) -> Vec<Tip> {
    let (width, sine) = (width.get(), libm::sin(0.5 * below.radians()));
    if !(width > 0.0 && sine > 0.0) {
        return Vec::new();
    }
    let (chords, _) = of_paths(region.contours());
    let inside_out = region.contours().iter().map(Shape::area).sum::<f64>() < 0.0;
    let scale = Scale { width, shortest: 0.5 * width / sine, side: if inside_out { -1.0 } else { 1.0 } };
    let mut found: Vec<Tip> = outlines_of(&chords).par_iter().flat_map_iter(|o| scale.tips(o)).collect();
    found.sort_by(|a, b| {
        let key = |t: &Tip| (t.angle.get(), t.at.x, t.at.y);
        let (a, b) = (key(a), key(b));
        a.0.total_cmp(&b.0).then(a.1.total_cmp(&b.1)).then(a.2.total_cmp(&b.2))
    });
    found.truncate(MOST_PLACES);
    found
}

/// At which scale tips are looked for.
struct Scale {
    width: f64,
    /// Flanks of a tip are less than `width` apart at least for so long.
    shortest: f64,
    /// -1 where outlines run the other way round.
    side: f64,
}

impl Scale {
    fn tips(&self, outline: &Outline) -> Vec<Tip> {
        let corners: Vec<(Point, f64)> = outline.corners().collect();
        let tip = |&(at, along): &(Point, f64)| Some((along, at, self.reach(outline, along)?));
        let candidates: Vec<(f64, Point, f64)> = corners.par_iter().filter_map(tip).collect();
        let sharpest = longest_of_neighbours(candidates, outline.length());
        let tip = |(_, at, length): (f64, Point, f64)| {
            let angle = 2.0 * libm::asin((0.5 * self.width / length).min(1.0));
            Tip { at, angle: Degrees::new(angle.to_degrees()), length: Mm::new(length) }
        };
        sharpest.into_iter().map(tip).collect()
    }

    /// How far from a corner the flanks stay nearer to each other than the width, where it is a tip.
    fn reach(&self, outline: &Outline, along: f64) -> Option<f64> {
        let apart = |s: f64| Some(outline.at(along - s)?.distance(outline.at(along + s)?));
        let longest = 0.5 * outline.length();
        let mut near = self.shortest;
        if near >= longest || apart(near)? >= self.width {
            return None;
        }
        let mut far = near * STRIDE;
        while apart(far)? < self.width {
            (near, far) = (far, far * STRIDE);
            if far >= longest {
                return None;
            }
        }
        for _ in 0..HALVINGS {
            let middle = 0.5 * (near + far);
            if apart(middle)? < self.width { near = middle } else { far = middle }
        }
        // Walked with the material on the left, what is cut off lies on the left of a tip and on the right of a notch.
        let fullness = self.side * outline.fullness(along - far, along + far, self.width);
        // A finger that is thinner than the width all along does not run out: it is a wall.
        let runs_out = apart(0.25 * far)? <= LEAST_TAPER * apart(0.75 * far)?;
        (is_taper(fullness) && runs_out).then_some(far)
    }
}

/// Of corners that lie within each other's reach, the one that reaches farthest: the others are its flanks.
fn longest_of_neighbours(candidates: Vec<(f64, Point, f64)>, length: f64) -> Vec<(f64, Point, f64)> {
    let mut kept: Vec<(f64, Point, f64)> = Vec::new();
    for next in candidates {
        match kept.last_mut() {
            Some(last) if next.0 - last.0 < next.2.max(last.2) => {
                if next.2 > last.2 {
                    *last = next;
                }
            }
            _ => kept.push(next),
        }
    }
    if let [first, .., last] = kept[..]
        && first.0 + length - last.0 < first.2.max(last.2)
    {
        if first.2 < last.2 {
            kept.remove(0);
        } else {
            kept.pop();
        }
    }
    kept
}
