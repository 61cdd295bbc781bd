//! Placed glyphs to one clean area.

use super::error::LetteringError;
use super::placing::PlacedGlyph;
use super::shaping::Glyph;
use crate::geometry::{FillRule, Region};
use kurbo::{BezPath, Point, Rect};
use std::collections::BTreeMap;

/// Letters that share more than this part of the smaller one lie on each other: a twentieth, where they barely touch.
const LEAST_SHARED: f64 = 0.05;

/// Welds the glyphs.
///
/// Each is cleaned alone first, by the rule of font outlines (non-zero winding): a counter of one letter may
/// wind so that it would cancel the stroke of its neighbour. Only glyphs that reach into each other's boxes
/// are joined, so that all others keep their curves, and a page of text costs no more than its letters.
pub(super) fn weld(outlines: &BTreeMap<Glyph, BezPath>, placed: &[PlacedGlyph]) -> Result<Region, LetteringError> {
    let mut clean = BTreeMap::new();
    for (glyph, path) in outlines {
        let area = Region::from_path(path, FillRule::NonZero).map_err(LetteringError::Geometry)?;
        clean.insert(*glyph, area);
    }
    let areas: Vec<Region> = placed.iter().map(|p| clean[&p.glyph].transform(p.affine)).collect();
    let mut contours = Vec::new();
    for group in touching(&areas) {
        let members: Vec<&Region> = group.iter().map(|index| &areas[*index]).collect();
        match members.as_slice() {
            [alone] => contours.extend_from_slice(alone.contours()),
            several => contours.extend_from_slice(Region::union(several).contours()),
        }
    }
    let all = Region::from_clean_contours(contours);
    within_reach(&all)?;
    Ok(all)
}

/// Where neighbours lie on each other along a line that do not on a straight one: the middle of what they share.
///
/// Letters that touch by design (a joined hand) do so in both settings; only what is added by the bend counts.
pub(super) fn collisions(
    outlines: &BTreeMap<Glyph, BezPath>,
    placed: &[PlacedGlyph],
    straight: &[PlacedGlyph],
) -> Result<Vec<Point>, LetteringError> {
    let mut clean = BTreeMap::new();
    for (glyph, path) in outlines {
        let area = Region::from_path(path, FillRule::NonZero).map_err(LetteringError::Geometry)?;
        clean.insert(*glyph, area);
    }
    let shared = |pair: &[PlacedGlyph]| {
        let areas = [0, 1].map(|i| clean[&pair[i].glyph].transform(pair[i].affine));
        let apart = match (areas[0].bounds(), areas[1].bounds()) {
            (Some(a), Some(b)) => a.intersect(b).is_zero_area(),
            _ => true,
        };
        if apart { Region::empty() } else { areas[0].overlap(&areas[1]) }
    };
    let mut found = Vec::new();
    for (bent, level) in placed.windows(2).zip(straight.windows(2)) {
        let on_each_other = shared(bent);
        let grown = on_each_other.area().get() - shared(level).area().get();
        let smaller = bent.iter().map(|p| clean[&p.glyph].area().get()).fold(f64::MAX, f64::min);
        if let (true, Some(bounds)) = (LEAST_SHARED * smaller < grown, on_each_other.bounds()) {
            found.push(bounds.center());
        }
    }
    Ok(found)
}

/// The kernel checks what it is given, and the glyphs were given to it before they were moved.
fn within_reach(area: &Region) -> Result<(), LetteringError> {
    let far = |b: Rect| [b.x0, b.y0, b.x1, b.y1].into_iter().any(|v| v.abs() > super::FARTHEST);
    match area.bounds() {
        Some(bounds) if far(bounds) => Err(LetteringError::Geometry(crate::geometry::GeometryError::TooFar)),
        _ => Ok(()),
    }
}

/// Groups the areas whose boxes meet, directly or through others, each group in the given order.
fn touching(areas: &[Region]) -> Vec<Vec<usize>> {
    let mut boxes: Vec<(usize, Rect)> =
        areas.iter().enumerate().filter_map(|(i, a)| Some((i, a.bounds()?))).collect();
    boxes.sort_by(|a, b| a.1.x0.total_cmp(&b.1.x0));
    let mut leader: Vec<usize> = (0..areas.len()).collect();
    for (place, (index, own)) in boxes.iter().enumerate() {
        let near = boxes[place + 1..].iter().take_while(|(_, other)| other.x0 <= own.x1);
        for (other, _) in near.filter(|(_, other)| other.y0 <= own.y1 && own.y0 <= other.y1) {
            let (a, b) = (lead(&mut leader, *index), lead(&mut leader, *other));
            leader[a.max(b)] = a.min(b);
        }
    }
    let mut groups: BTreeMap<usize, Vec<usize>> = BTreeMap::new();
    for index in 0..areas.len() {
        let first = lead(&mut leader, index);
        groups.entry(first).or_default().push(index);
    }
    groups.into_values().collect()
}

/// The first member of an area's group.
fn lead(leader: &mut [usize], index: usize) -> usize {
    let mut at = index;
    while leader[at] != at {
        leader[at] = leader[leader[at]];
        at = leader[at];
    }
    at
}
