//! An area taken apart where nothing is lost by it.

use crate::geometry::Region;
use kurbo::{BezPath, Rect, Shape};

/// The contours of an area, in groups whose boxes lie apart.
///
/// A file holds one path a group: a hole can never part from its outline, because their boxes overlap,
/// so every reader fills the same area whatever it does between paths; and the paths stay small enough
/// for readers that refuse very long attributes. No test of which contour lies in which is needed, hence
/// none can go wrong where contours touch.
pub(super) fn clusters(region: &Region) -> Vec<Vec<&BezPath>> {
    let contours = region.contours();
    let boxes: Vec<Rect> = contours.iter().map(Shape::bounding_box).collect();
    let mut by_left: Vec<usize> = (0..boxes.len()).collect();
    by_left.sort_by(|&a, &b| boxes[a].x0.total_cmp(&boxes[b].x0));

    let mut done: Vec<Cluster> = Vec::new();
    let mut active: Vec<Cluster> = Vec::new();
    for index in by_left {
        let mut cluster = Cluster { bounds: boxes[index], members: vec![index] };
        let mut still = Vec::with_capacity(active.len() + 1);
        for other in active {
            if other.bounds.x1 < boxes[index].x0 {
                done.push(other);
            } else if other.bounds.y1 < boxes[index].y0 || boxes[index].y1 < other.bounds.y0 {
                still.push(other);
            } else {
                cluster = cluster.with(other);
            }
        }
        still.push(cluster);
        active = still;
    }
    done.append(&mut active);
    for cluster in &mut done {
        cluster.members.sort_unstable();
    }
    done.sort_by_key(|cluster| cluster.members[0]);
    done.into_iter().map(|cluster| cluster.members.into_iter().map(|i| &contours[i]).collect()).collect()
}

/// Contours that stay together.
struct Cluster {
    bounds: Rect,
    members: Vec<usize>,
}

impl Cluster {
    /// Both in one, the smaller list poured into the larger.
    fn with(mut self, mut other: Self) -> Self {
        other.bounds = other.bounds.union(self.bounds);
        if other.members.len() < self.members.len() {
            std::mem::swap(&mut other.members, &mut self.members);
        }
        other.members.append(&mut self.members);
        other
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use kurbo::Rect;

    fn region(boxes: &[(f64, f64, f64)]) -> Region {
        let square = |&(x, y, size): &(f64, f64, f64)| Rect::new(x, y, x + size, y + size).to_path(0.1);
        Region::from_clean_contours(boxes.iter().map(square).collect())
    }

    #[test]
    fn a_hole_stays_with_its_outline_and_strangers_part_ways() {
        let region = region(&[(50.0, 0.0, 10.0), (0.0, 0.0, 10.0), (2.0, 2.0, 3.0), (50.0, 30.0, 1.0)]);
        let sizes: Vec<usize> = clusters(&region).iter().map(Vec::len).collect();
        assert_eq!(sizes, [1, 2, 1]);
    }

    #[test]
    fn a_contour_can_join_clusters_that_were_apart() {
        let region = region(&[(0.0, 0.0, 5.0), (1.0, 20.0, 5.0), (2.0, 3.0, 20.0)]);
        assert_eq!(clusters(&region).len(), 1);
    }

    #[test]
    fn nothing_has_no_clusters() {
        assert!(clusters(&Region::empty()).is_empty());
    }
}
