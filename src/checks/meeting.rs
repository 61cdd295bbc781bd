//! Which contours of an area could meet some lines, told by their boxes alone.
//!
//! Most of a picture lies nowhere near an outline. Boxes show that in no time, and only the few contours that are left
//! have to be measured.

use crate::geometry::Region;
use kurbo::{BezPath, Rect, Shape};

/// More pairs of boxes than this are not worth comparing: then everything could meet.
const MOST_PAIRS: usize = 4_000_000;

/// The contours of an area whose boxes come within `margin` mm of the box of a segment of the lines. No line comes
/// nearer than the margin to any other contour.
pub(super) fn contours_meeting<'a>(area: &'a Region, lines: &[BezPath], margin: f64) -> Vec<&'a BezPath> {
    let segments = lines.iter().flat_map(BezPath::segments);
    let boxes: Vec<Rect> = segments.map(|s| s.bounding_box().inflate(margin, margin)).collect();
    let contours = area.contours().iter();
    if boxes.len().saturating_mul(area.contours().len()) > MOST_PAIRS {
        return contours.collect();
    }
    let meets = |a: &Rect, b: &Rect| a.x0 <= b.x1 && b.x0 <= a.x1 && a.y0 <= b.y1 && b.y0 <= a.y1;
    contours
        .filter(|contour| {
            let bounds = contour.bounding_box();
            boxes.iter().any(|b| meets(b, &bounds))
        })
        .collect()
}

/// Whether an area lies inside a container, as far as boxes can tell: no contour of it comes near the container's outline,
/// and none lies beyond it. `false` says nothing.
pub(super) fn is_clearly_inside(area: &Region, container: &Region) -> bool {
    let start = |contour: &BezPath| contour.segments().next().map(|s| kurbo::ParamCurve::start(&s));
    let is_inside = |contour: &BezPath| start(contour).is_none_or(|p| container.contains(p));
    contours_meeting(area, container.contours(), 0.0).is_empty() && area.contours().iter().all(is_inside)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::FillRule;
    use kurbo::Circle;

    fn disc(x: f64, radius: f64) -> Region {
        Region::from_path(&Circle::new((x, 0.0), radius).to_path(1e-3), FillRule::NonZero).unwrap()
    }

    #[test]
    fn a_small_disc_is_inside_and_one_beside_or_across_is_not() {
        let container = disc(0.0, 50.0);
        assert!(is_clearly_inside(&disc(0.0, 10.0), &container));
        assert!(!is_clearly_inside(&disc(200.0, 10.0), &container));
        assert!(!is_clearly_inside(&disc(50.0, 10.0), &container));
        assert!(is_clearly_inside(&Region::empty(), &container));
    }

    #[test]
    fn a_hole_of_the_container_is_no_inside() {
        let ring = disc(0.0, 50.0).subtract(&disc(0.0, 20.0));
        assert!(!is_clearly_inside(&disc(0.0, 5.0), &ring), "in the hole");
        assert!(!is_clearly_inside(&disc(0.0, 40.0), &ring), "over the hole");
    }

    #[test]
    fn contours_within_the_margin_are_kept() {
        // The rightmost points are 10 mm and 30 mm left of the line x = 60.
        let discs = Region::union(&[&disc(40.0, 10.0), &disc(0.0, 15.0)]);
        let line = [BezPath::from_svg("M 60 -80 L 60 80").unwrap()];
        assert_eq!(contours_meeting(&discs, &line, 9.0).len(), 0);
        assert_eq!(contours_meeting(&discs, &line, 11.0).len(), 1);
        assert_eq!(contours_meeting(&discs, &line, 50.0).len(), 2);
    }
}
