//! What lies near a point.

use crate::geometry::chords::ChordTree;
use crate::units::Mm;
use kurbo::{BezPath, Point};

/// Lines that are asked again and again whether they come near a point.
pub struct Surroundings(ChordTree);

impl Surroundings {
    /// Those of some lines.
    pub fn of<'a>(lines: impl IntoIterator<Item = &'a BezPath>) -> Self {
        Self(ChordTree::of_paths(lines))
    }

    /// Whether one of them comes nearer to a point than that.
    pub fn come_within(&self, distance: Mm, point: Point) -> bool {
        self.0.nearest(point, distance.get()).is_some()
    }
}
