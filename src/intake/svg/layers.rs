//! Paint laid on paint: dark areas add up, white ones take away what lies beneath them.

use super::cut::{Cut, Keep, PaintedLine, cut};
use super::document::NodeId;
use crate::geometry::{Line, Region};
use kurbo::{BezPath, Rect, Shape};
use std::collections::BTreeMap;

/// Fewer groups of areas than this are not worth a thread of their own.
const FEWEST_GROUPS: usize = 8;

/// A white area with the box around it and the element that it came from.
type White = (Rect, Region, Option<NodeId>);

/// What has been painted so far.
///
/// White areas are collected until something dark follows, and then are taken away at once from the areas and
/// lines they touch and from no others: a picture of a thousand shapes costs a few operations, not a million.
#[derive(Default)]
pub(super) struct Layers {
    dark: Vec<(Rect, Region)>,
    lines: Vec<(Rect, PaintedLine)>,
    white: Vec<White>,
    /// Elements whose white has taken something away.
    pub(super) covering: Vec<NodeId>,
}

fn touch(a: Rect, b: Rect) -> bool {
    a.x0 <= b.x1 && b.x0 <= a.x1 && a.y0 <= b.y1 && b.y0 <= a.y1
}

impl Layers {
    /// Paints a dark area.
    pub(super) fn add_dark(&mut self, region: Region) {
        self.settle();
        if let Some(bounds) = region.bounds() {
            self.dark.push((bounds, region));
        }
    }

    /// Paints a dark line.
    pub(super) fn add_line(&mut self, line: PaintedLine) {
        self.settle();
        self.lines.push((line.reach(), line));
    }

    /// Paints a white area.
    pub(super) fn add_white(&mut self, region: Region, by: Option<NodeId>) {
        let Some(bounds) = region.bounds() else { return };
        let covers =
            self.dark.iter().any(|(b, _)| touch(*b, bounds)) || self.lines.iter().any(|(b, _)| touch(*b, bounds));
        if covers {
            self.white.push((bounds, region, by));
        }
    }

    /// All ink in one area, and the lines.
    pub(super) fn finish(mut self) -> (Region, Vec<Line>, Vec<NodeId>) {
        self.settle();
        let ink = welded(&self.dark);
        (ink, self.lines.into_iter().map(|(_, l)| l.line).collect(), self.covering)
    }

    /// Takes the collected white away from what it touches.
    fn settle(&mut self) {
        let cover = Cover(std::mem::take(&mut self.white));
        if cover.0.is_empty() {
            return;
        }
        let changed = self.take_from_dark(&cover) | self.take_from_lines(&cover);
        if changed {
            self.covering.extend(cover.0.iter().filter_map(|(_, _, by)| *by));
        }
    }

    fn take_from_dark(&mut self, cover: &Cover) -> bool {
        let mut changed = false;
        for (bounds, region) in std::mem::take(&mut self.dark) {
            let Some(white) = cover.over(bounds) else {
                self.dark.push((bounds, region));
                continue;
            };
            let left = subtracted(&region, &white);
            changed |= (region.area() - left.area()).get() > 1e-6 * region.area().get();
            if let Some(bounds) = left.bounds() {
                self.dark.push((bounds, left));
            }
        }
        changed
    }

    fn take_from_lines(&mut self, cover: &Cover) -> bool {
        let mut changed = false;
        for (reach, painted) in std::mem::take(&mut self.lines) {
            let Some(white) = cover.over(reach) else {
                self.lines.push((reach, painted));
                continue;
            };
            match cut(&painted, &white, Keep::Outside) {
                Cut::Whole => self.lines.push((reach, painted)),
                Cut::Lines(lines) => {
                    changed = true;
                    self.lines.extend(lines.into_iter().map(|l| (l.reach(), l)));
                }
                Cut::Ink(ink) => {
                    changed = true;
                    self.dark.extend(ink.bounds().map(|bounds| (bounds, ink)));
                }
            }
        }
        changed
    }
}

/// White areas that are taken away together.
struct Cover(Vec<White>);

impl Cover {
    /// The part of it that may lie over something inside a box.
    fn over(&self, bounds: Rect) -> Option<Region> {
        let touching = self.0.iter().filter(|(b, ..)| touch(*b, bounds));
        let near: Vec<Region> =
            touching.map(|(_, r, _)| contours_near(r, bounds)).filter(|r| !r.is_empty()).collect();
        match near.as_slice() {
            [] => None,
            [one] => Some(one.clone()),
            many => Some(Region::union(&many.iter().collect::<Vec<_>>())),
        }
    }
}

/// The region without a white area. Contours clear of the white stay as they are, which is what makes small
/// white details on a large area cheap.
fn subtracted(region: &Region, white: &Region) -> Region {
    let Some(bounds) = white.bounds() else { return region.clone() };
    let is_near = |c: &&BezPath| touch(c.bounding_box(), bounds);
    let (near, far): (Vec<&BezPath>, Vec<&BezPath>) = region.contours().iter().partition(is_near);
    let near = Region::from_clean_contours(near.into_iter().cloned().collect());
    let left = near.subtract(white);
    Region::from_clean_contours(left.contours().iter().chain(far).cloned().collect())
}

/// The region without contours that lie clear of a box. Inside the box it is the same: a contour that does not
/// reach the box encloses nothing of it, and the holes of such a contour do not reach the box either.
fn contours_near(region: &Region, bounds: Rect) -> Region {
    let near = region.contours().iter().filter(|c| touch(c.bounding_box(), bounds));
    Region::from_clean_contours(near.cloned().collect())
}

/// All areas in one. Areas whose boxes touch are welded together, group by group: a sheet of many small drawings
/// is a job of many small unions, for as many cores as there are.
///
/// The threads are its own: those of the pool that reads the figures may all be waiting for drawings like this one.
fn welded(areas: &[(Rect, Region)]) -> Region {
    let groups = groups(areas);
    let weld = |group: &Vec<usize>| Region::union(&group.iter().map(|i| &areas[*i].1).collect::<Vec<_>>());
    let cores = std::thread::available_parallelism().map_or(1, usize::from);
    let share = groups.len().div_ceil(cores).max(FEWEST_GROUPS);
    let contours = |share: &[Vec<usize>]| -> Vec<BezPath> {
        share.iter().map(weld).flat_map(|region| region.contours().to_vec()).collect()
    };
    let all: Vec<BezPath> = std::thread::scope(|scope| {
        let mut shares = groups.chunks(share);
        let own = shares.next().unwrap_or_default();
        let others: Vec<_> = shares.map(|share| scope.spawn(move || contours(share))).collect();
        let mut all = contours(own);
        for other in others {
            match other.join() {
                Ok(welded) => all.extend(welded),
                Err(panic) => std::panic::resume_unwind(panic),
            }
        }
        all
    });
    Region::from_clean_contours(all)
}

/// The areas whose boxes hang together, each group and the groups in the order of the areas.
fn groups(areas: &[(Rect, Region)]) -> Vec<Vec<usize>> {
    let mut order: Vec<usize> = (0..areas.len()).collect();
    order.sort_by(|a, b| areas[*a].0.x0.total_cmp(&areas[*b].0.x0));
    let mut leader: Vec<usize> = (0..areas.len()).collect();
    let mut reaching: Vec<usize> = Vec::new();
    for &next in &order {
        reaching.retain(|&other| areas[other].0.x1 >= areas[next].0.x0);
        for &other in reaching.iter().filter(|o| touch(areas[**o].0, areas[next].0)) {
            let (a, b) = (lead(&mut leader, other), lead(&mut leader, next));
            leader[a.max(b)] = a.min(b);
        }
        reaching.push(next);
    }
    let mut found: BTreeMap<usize, Vec<usize>> = BTreeMap::new();
    for index in 0..areas.len() {
        found.entry(lead(&mut leader, index)).or_default().push(index);
    }
    found.into_values().collect()
}

/// The first of the group that an area belongs to, with the way there shortened.
fn lead(leader: &mut [usize], mut index: usize) -> usize {
    while leader[index] != index {
        leader[index] = leader[leader[index]];
        index = leader[index];
    }
    index
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::FillRule;

    fn square(x: f64, y: f64, side: f64) -> (Rect, Region) {
        let rect = Rect::new(x, y, x + side, y + side);
        (rect, Region::from_path(&rect.to_path(0.1), FillRule::NonZero).unwrap())
    }

    #[test]
    fn areas_are_grouped_by_what_touches() {
        let areas = [square(0.0, 0.0, 2.0), square(9.0, 0.0, 2.0), square(4.0, 0.0, 2.0), square(1.0, 0.0, 4.0)];
        assert_eq!(groups(&areas), [vec![0, 2, 3], vec![1]]);
        assert!((welded(&areas).area().get() - 24.0).abs() < 1e-6);
    }

    #[test]
    fn white_in_the_middle_of_holes_leaves_the_holes_alone() {
        let mut layers = Layers::default();
        layers.add_dark(square(0.0, 0.0, 100.0).1);
        for x in [10.0, 30.0, 50.0] {
            layers.add_white(square(x, 10.0, 5.0).1, None);
            layers.add_dark(square(x + 1.0, 11.0, 3.0).1);
        }
        layers.add_white(square(12.0, 12.0, 1.0).1, None);
        let (ink, _, _) = layers.finish();
        assert!((ink.area().get() - (10_000.0 - 3.0 * 25.0 + 3.0 * 9.0 - 1.0)).abs() < 1e-6);
    }
}
