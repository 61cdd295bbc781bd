//! Masks and patterns resolved to areas.

use super::kinds::Kind;
use super::painter::{Painter, affine};
use super::stencil::Reading;
use crate::geometry::Region;
use kurbo::{Affine, Rect, Shape, Vec2};
use usvg::{Mask, Pattern};

/// Tiles of one pattern on one shape, at most.
const MOST_TILES: f64 = 4_000.0;
/// Path segments of all tiles on one shape, at most.
const MOST_TILED: f64 = 300_000.0;

fn rect(r: usvg::NonZeroRect) -> Rect {
    Rect::new(r.left().into(), r.top().into(), r.right().into(), r.bottom().into())
}

impl Painter<'_, '_> {
    /// What a mask shows of a group that stands at `at`: where it is more than half bright.
    pub(super) fn mask_region(&mut self, mask: &Mask, at: Affine) -> Region {
        let key = (mask.id().to_owned(), at.as_coeffs().map(f64::to_bits));
        if let Some(known) = self.clips.get(&key) {
            return known.clone();
        }
        let stencil = self.stencil(mask.root(), rect(mask.rect()), at, Reading::Mask(mask.kind()));
        if stencil.is_rough {
            self.note(Kind::Mask);
        }
        let mut region = stencil.on;
        if let Some(outer) = mask.mask() {
            region = region.overlap(&self.mask_region(outer, at));
        }
        self.clips.insert(key, region.clone());
        region
    }

    /// The ink of a pattern inside an area, and the white that hides what lies beneath; `None` when its tiles are
    /// more than can be drawn.
    pub(super) fn pattern_areas(
        &mut self,
        pattern: &Pattern,
        area: &Region,
        to_frame: Affine,
    ) -> Option<(Region, Region)> {
        let tile = rect(pattern.rect());
        let first = to_frame * affine(pattern.transform()) * Affine::translate(tile.origin().to_vec2());
        let covered = area.bounds()?;
        if first.determinant().abs() < 1e-12 {
            return None;
        }
        let reach = (first.inverse() * covered.to_path(0.1)).bounding_box();
        let (width, height) = (tile.width(), tile.height());
        let columns = ((reach.x0 / width).floor(), (reach.x1 / width).ceil());
        let rows = ((reach.y0 / height).floor(), (reach.y1 / height).ceil());
        let count = (columns.1 - columns.0) * (rows.1 - rows.0);
        if !(count.is_finite() && count <= MOST_TILES) {
            return None;
        }
        let own = Rect::new(0.0, 0.0, width, height);
        let stencil = self.stencil(pattern.root(), own, first, Reading::Ink);
        let segments = |r: &Region| r.contours().iter().map(|c| c.elements().len()).sum::<usize>() as f64;
        if stencil.is_rough || count * (segments(&stencil.on) + segments(&stencil.off)) > MOST_TILED {
            return None;
        }
        let linear = first.with_translation(Vec2::ZERO);
        let mut steps = Vec::new();
        for row in rows.0 as i64..rows.1 as i64 {
            for column in columns.0 as i64..columns.1 as i64 {
                let step = linear * kurbo::Point::new(column as f64 * width, row as f64 * height);
                steps.push(Affine::translate(step.to_vec2()));
            }
        }
        let tiled = |one: &Region| {
            if one.is_empty() {
                return Region::empty();
            }
            let all: Vec<Region> = steps.iter().map(|step| one.transform(*step)).collect();
            Region::union(&all.iter().collect::<Vec<_>>()).overlap(area)
        };
        Some((tiled(&stencil.on), tiled(&stencil.off)))
    }
}
