//! A region's border, ready to be asked how deep a point lies.

use super::Region;
use super::chords::{Chord, ChordTree, Hit};
use kurbo::{Point, Vec2};

/// How far a ball that touches the border from inside may be shrunk in one go before it is settled.
const MOST_SHRINKS: usize = 40;

/// A ball counts as free when nothing is nearer to its centre than its radius less this share.
const BALL_SLACK: f64 = 1e-6;

/// The border of a region as a tree of chords.
pub(super) struct Border {
    pub tree: ChordTree,
}

/// The largest disc inside that touches the border in a given place.
#[derive(Clone, Copy, Debug)]
pub(super) struct Ball {
    pub centre: Point,
    pub radius: f64,
    /// Where else it touches; `None` when only its greatest allowed size stopped it.
    pub other: Option<Hit>,
}

impl Border {
    pub fn of(region: &Region) -> Self {
        Self { tree: ChordTree::of_paths(region.contours()) }
    }

    /// The distance to the border: positive inside, negative outside, and without end where there is none.
    pub fn depth(&self, p: Point) -> f64 {
        self.depth_and_nearest(p).map_or(f64::NEG_INFINITY, |(depth, _)| depth)
    }

    /// The depth of a point, and the chord that is nearest to it; `None` when there is no border.
    pub fn depth_and_nearest(&self, p: Point) -> Option<(f64, Chord)> {
        let hit = self.tree.nearest(p, f64::INFINITY)?;
        let inside = self.tree.winding(p) != 0;
        Some((if inside { hit.distance } else { -hit.distance }, hit.chord))
    }

    /// The largest disc of at most `radius` that touches the border at `p` and lies on the side of `inwards`.
    ///
    /// The shrinking ball of J. Ma, S. W. Bae and S. Choi, "3D medial axis point approximation using nearest
    /// neighbors and the normal field" (2012), from memory, with exact nearest points on chords.
    pub fn ball(&self, p: Point, inwards: Vec2, mut radius: f64) -> Ball {
        let mut other = None;
        for _ in 0..MOST_SHRINKS {
            let centre = p + inwards * radius;
            let Some(hit) = self.tree.nearest(centre, radius * (1.0 - BALL_SLACK)) else { break };
            let to = hit.at - p;
            let ahead = to.dot(inwards);
            // The disc through `p` and the hit with its centre on the line inwards.
            let smaller = to.hypot2() / (2.0 * ahead);
            if ahead <= 0.0 || smaller >= radius {
                break;
            }
            radius = smaller;
            other = Some(hit);
        }
        Ball { centre: p + inwards * radius, radius, other }
    }
}
