//! The smallest parts and holes.

use super::thin::background;
use crate::geometry::Region;
use crate::units::{Mm, Mm2};
use kurbo::{Point, Rect};

/// So far (mm) round a region the box reaches in which its holes are looked for.
const ROOM: f64 = 1.0;

/// A part of a region, or a hole in it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Island {
    /// The middle of the largest disc in it.
    pub at: Point,
    /// How wide that disc is, to a fiftieth.
    pub across: Mm,
    /// Its area; of a hole, without the parts that lie in it.
    pub area: Mm2,
}

/// The part with the least room in it; `None` of an empty region.
pub fn smallest_part(region: &Region) -> Option<Island> {
    smallest(&region.parts())
}

/// The hole with the least room in it; `None` where there is none.
pub fn smallest_hole(region: &Region) -> Option<Island> {
    let (around, bounds) = (background(region, ROOM)?, region.bounds()?);
    let is_hole = |part: &Region| part.bounds().is_some_and(|b| b.width() < bounds.width() + ROOM);
    let holes: Vec<Region> = around.parts().into_iter().filter(is_hole).collect();
    smallest(&holes)
}

fn smallest(parts: &[Region]) -> Option<Island> {
    let most_room = |b: Rect| 0.5 * b.width().min(b.height());
    let mut bounded: Vec<(f64, &Region)> =
        parts.iter().filter_map(|p| Some((most_room(p.bounds()?), p))).collect();
    // Those that can only be small come first: the rest then have to show but that they are larger.
    bounded.sort_by(|a, b| a.0.total_cmp(&b.0));
    let mut best: Option<(f64, Island)> = None;
    for (_, part) in bounded {
        let least = best.as_ref().map_or(f64::INFINITY, |b| b.0);
        let Some((at, room)) = part.deepest(least) else { continue };
        if room.get() < least {
            best = Some((room.get(), Island { at, across: room * 2.0, area: part.area() }));
        }
    }
    best.map(|b| b.1)
}
