//! Clip paths resolved to areas.

use super::painter::{Painter, affine, held_near, rule_of};
use crate::geometry::{FillRule, Region};
use kurbo::{Affine, Rect, Shape};
use usvg::{ClipPath, Group, Node};

/// An area to stay inside, and whether it is a plain rectangle.
#[derive(Clone)]
pub(super) struct Sheet {
    pub(super) region: Region,
    pub(super) rectangle: Option<Rect>,
}

impl Sheet {
    pub(super) fn new(rectangle: Rect) -> Self {
        let region = Region::from_path(&rectangle.to_path(0.1), FillRule::NonZero).unwrap_or_default();
        Self { region, rectangle: Some(rectangle) }
    }

    pub(super) fn of(region: Region) -> Self {
        let rectangle = region.bounds().filter(|b| {
            let full = b.area();
            (region.area().get() - full).abs() <= 1e-9 * full
        });
        Self { region, rectangle }
    }
}

impl Painter<'_, '_> {
    /// The area of a clip path for a group that `at` puts into the working frame.
    pub(super) fn clip_region(&mut self, clip: &ClipPath, at: Affine) -> Region {
        let key = (clip.id().to_owned(), at.as_coeffs().map(f64::to_bits));
        if let Some(known) = self.clips.get(&key) {
            return known.clone();
        }
        let mut region = self.clip_group(clip.root(), at * affine(clip.transform()));
        if let Some(outer) = clip.clip_path() {
            region = region.overlap(&self.clip_region(outer, at));
        }
        self.clips.insert(key, region.clone());
        region
    }

    fn clip_group(&mut self, group: &Group, to_frame: Affine) -> Region {
        let mut areas = Vec::new();
        for child in group.children() {
            match child {
                Node::Group(inner) => areas.push(self.clip_group(inner, to_frame)),
                Node::Path(path) if path.is_visible() => {
                    let rule = path.fill().map_or(FillRule::NonZero, |fill| rule_of(fill.rule()));
                    let placed = to_frame * affine(path.abs_transform()) * self.outline_of(path);
                    match Region::from_path(&held_near(placed), rule) {
                        Ok(area) => areas.push(area),
                        Err(error) => self.refused(error),
                    }
                }
                _ => {}
            }
        }
        let mut region = match areas.len() {
            1 => areas.remove(0),
            _ => Region::union(&areas.iter().collect::<Vec<_>>()),
        };
        if let Some(clip) = group.clip_path() {
            // Inside a clip path the resolver's transforms start anew, so what stands around comes on top.
            let to_group = to_frame * affine(group.abs_transform()) * affine(clip.transform());
            region = region.overlap(&self.clip_group(clip.root(), to_group));
        }
        region
    }
}
