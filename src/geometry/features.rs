//! What of an area a distance is too much for.
//!
//! Growing an area shrinks what lies between its parts: its openings, its slots, the gaps between two parts. So both ways
//! are one question, asked of the area or of what it leaves free.

use super::{Corners, FillRule, Region};
use crate::units::Mm;
use kurbo::{Point, Shape};

/// What is lost of a limb (a slot, a bar) counts from this many times the distance in length; sharp corners lose less.
const LIMB: f64 = 12.0;

/// What is lost counts from twice this width (mm): slivers that offsets and their curves leave along an outline are
/// thinner.
const SLIVER: Mm = Mm::new(0.012);

/// What becomes of a feature that is too narrow for a distance.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Loss {
    /// Nothing is left of it.
    Vanishes,
    /// It falls apart, or loses its tie with the rest.
    Splits,
    /// The strip between it and its neighbour breaks through.
    BreaksThrough,
    /// One of its limbs is gone.
    LosesLimb,
}

/// A feature that is too narrow, and where.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Lost {
    /// What becomes of it.
    pub loss: Loss,
    /// The middle of what is too narrow.
    pub at: Point,
}

impl Region {
    /// What would be lost if the area were shrunk by `by` on all sides: a part that vanishes, splits, opens one of its
    /// holes or loses a limb. The first that is found; `None` when everything survives.
    pub fn lost_when_shrunk(&self, by: Mm) -> Option<Lost> {
        self.parts().iter().find_map(|part| lost_of(part, by))
    }

    /// What would be lost if the area were grown by `by` on all sides: a hole or notch that vanishes, splits or loses a
    /// limb, or a gap between two parts that closes.
    pub fn lost_when_grown(&self, by: Mm) -> Option<Lost> {
        let margin = 4.0 * by.get() + 1.0;
        let around = self.bounds()?.inflate(margin, margin).to_path(0.1);
        Self::from_path(&around, FillRule::NonZero).ok()?.subtract(self).lost_when_shrunk(by)
    }
}

fn lost_of(part: &Region, by: Mm) -> Option<Lost> {
    let shrunk = part.offset(-by, Corners::Round);
    // A bar is as deep everywhere: its middle says best which one is meant.
    let middle = |r: &Region| {
        let centre = r.bounds().map(|b| b.center()).filter(|c| r.contains(*c));
        r.interior_point().map(|(at, room)| (room.get(), centre.unwrap_or(at)))
    };
    let loss = match shrunk.parts().len() {
        0 => return Some(Lost { loss: Loss::Vanishes, at: middle(part)?.1 }),
        1 if shrunk.contours().len() == part.contours().len() => Loss::LosesLimb,
        1 => Loss::BreaksThrough,
        _ => Loss::Splits,
    };
    // What does not come back when it is grown again is too narrow. Corners are, too, but only a little.
    let lost = part.subtract(&shrunk.offset(by, Corners::Round));
    let narrow = lost.offset(-SLIVER, Corners::Round).parts();
    let length = |r: &Region| r.bounds().map_or(0.0, |b| b.width().max(b.height()));
    if loss == Loss::LosesLimb {
        let limb = narrow
            .iter()
            .filter(|n| length(n) > LIMB * by.get())
            .max_by(|a, b| length(a).total_cmp(&length(b)))?;
        return Some(Lost { loss, at: middle(limb)?.1 });
    }
    let widest = narrow.iter().filter_map(middle).max_by(|a, b| a.0.total_cmp(&b.0));
    Some(Lost { loss, at: widest.or_else(|| middle(part))?.1 })
}
