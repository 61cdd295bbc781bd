//! Lines drawn thinner than they can be burned.

use super::Place;
use crate::geometry::Drawing;
use crate::units::Mm;
use kurbo::PathEl;

/// Draws lines wider that are thinner than `least`. Their middles stay where they are.
pub(super) fn widen(drawing: &mut Drawing, least: Mm) -> Vec<Place> {
    let mut places = Vec::new();
    for line in &mut drawing.lines {
        let Some(width) = line.width.filter(|w| *w < least) else { continue };
        line.width = Some(least);
        let start = line.path.elements().first().and_then(PathEl::end_point);
        places.push(Place { at: start.unwrap_or_default(), size: least - width });
    }
    places
}
