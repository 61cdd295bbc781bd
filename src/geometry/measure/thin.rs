//! Walls and gaps narrower than they should be.

use super::outline::{Outline, outlines_of};
use crate::geometry::Region;
use crate::geometry::border::{Ball, Border};
use crate::geometry::chords::{Chord, ChordTree, of_paths};
use crate::units::Mm;
use kurbo::{BezPath, Point, Rect, Shape, Vec2};
use rayon::prelude::*;
use std::cmp::Ordering;
use std::collections::BTreeMap;

/// Border points are tried at this share of the limit from each other.
const SPACING: f64 = 0.125;

/// At most about this many border points are tried; the spacing grows for longer borders.
const MOST_TRIES: f64 = 100_000.0;

/// Places told by [`thin_places`] at most, the thinnest first.
pub const MOST_PLACES: usize = 48;

/// Widths within this factor are alike.
const ALIKE: f64 = 1.02;

/// The cosine of 150 degrees: a disc between two walls touches them at least that far apart, one in a corner
/// of 30 degrees and more does not.
const FACING: f64 = -0.866_025_403_784_438_6;

/// The sine of the turn (to the right) from which on a corner is a notch: at less, the flanks see enough.
const LEAST_NOTCH: f64 = -0.1;

/// A gap is looked for inside a frame round the region, this many limits away from it.
const ROOM: f64 = 3.0;

/// A place where material, or a gap in it, is thin.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Thin {
    /// The middle of the wall or gap there.
    pub at: Point,
    /// How thick or wide it is.
    pub width: Mm,
    /// How far it is thinner than the limit: the diagonal of the box round the stretch. Of a part that is thinner
    /// everywhere, the box round the part.
    pub over: Mm,
}

/// Where walls of a region are thinner than `limit`, the thinnest first; at most [`MOST_PLACES`] places.
///
/// A wall that is thin over a stretch counts once, where it is thinnest; walls within a limit or two of each
/// other count as one. A part that is thinner than the limit everywhere counts once. Corners, rounded ends and what
/// tapers to a tip are not walls: [`sharp_tips`](super::sharp_tips) finds the tips.
pub fn thin_places(region: &Region, limit: Mm) -> Vec<Thin> {
    let limit = limit.get();
    if limit.is_nan() || limit <= 0.0 {
        return Vec::new();
    }
    let whole = |part: Region| match part.deepest(0.5 * limit) {
        Some((at, clearance)) if 2.0 * clearance.get() < limit => {
            (Some(Thin { at, width: clearance * 2.0, over: Mm::new(part.bounds().map_or(0.0, diagonal)) }), None)
        }
        _ => (None, Some(part)),
    };
    let parts: Vec<(Option<Thin>, Option<Region>)> = region.parts().into_par_iter().map(whole).collect();
    let mut found: Vec<Thin> = parts.iter().filter_map(|(thin, _)| *thin).collect();
    let large: Vec<&Region> = parts.iter().filter_map(|(_, part)| part.as_ref()).collect();
    let tries: f64 = large.iter().map(|p| p.perimeter().get()).sum();
    let spacing = (SPACING * limit).max(tries / MOST_TRIES);
    let walls: Vec<Vec<Thin>> = large.par_iter().map(|part| Walls::of(part).thin(limit, spacing)).collect();
    found.extend(walls.into_iter().flatten());
    one_of_each_wall(found, limit)
}

/// Where gaps of a region are narrower than `limit`: between its parts, across its bays, and holes that are narrower
/// everywhere. The narrowest first; at most [`MOST_PLACES`] places, each gap counted as [`thin_places`] counts walls.
///
/// The inner corner of a notch is no gap, however sharp it is.
pub fn thin_gaps(region: &Region, limit: Mm) -> Vec<Thin> {
    match background(region, ROOM * limit.get()) {
        Some(around) if limit.get() > 0.0 => thin_places(&around, limit),
        _ => Vec::new(),
    }
}

/// What a region leaves of the box around it, made larger by `room` on all sides; `None` round an empty one.
pub(super) fn background(region: &Region, room: f64) -> Option<Region> {
    let frame = region.bounds()?.inflate(room, room).to_path(1.0);
    let contours = region.contours().iter();
    let turned: Vec<BezPath> = if contours.clone().map(Shape::area).sum::<f64>() > 0.0 {
        contours.map(BezPath::reverse_subpaths).collect()
    } else {
        contours.cloned().collect()
    };
    Some(Region::from_clean_contours(std::iter::once(frame).chain(turned).collect()))
}

/// One place for each wall: measures of one wall lie close together, in the same or adjoining cells.
fn one_of_each_wall(found: Vec<Thin>, cell: f64) -> Vec<Thin> {
    let mut cells: BTreeMap<(i64, i64), Vec<Thin>> = BTreeMap::new();
    for thin in found {
        let index = |v: f64| (v / cell).floor() as i64;
        cells.entry((index(thin.at.x), index(thin.at.y))).or_default().push(thin);
    }
    let mut walls = Vec::new();
    while let Some((start, mut wall)) = cells.pop_first() {
        let mut open = vec![start];
        while let Some((x, y)) = open.pop() {
            for next in (-1..=1).flat_map(|dx| (-1..=1).map(move |dy| (x + dx, y + dy))) {
                if let Some(more) = cells.remove(&next) {
                    wall.extend(more);
                    open.push(next);
                }
            }
        }
        walls.extend(middle_of_thinnest(wall));
    }
    walls.sort_by(|a, b| a.width.get().total_cmp(&b.width.get()).then(by_place(a, b)));
    walls.truncate(MOST_PLACES);
    walls
}

/// Of a wall as thin all along, the middle rather than an end.
fn middle_of_thinnest(mut wall: Vec<Thin>) -> Option<Thin> {
    let least = wall.iter().map(|t| t.width).reduce(Mm::min)?;
    let point = |t: &Thin| Rect::from_points(t.at, t.at);
    let stretch = wall.iter().map(point).reduce(|a, b| a.union(b)).map_or(0.0, diagonal);
    let over = wall.iter().map(|t| t.over).fold(Mm::new(stretch), Mm::max);
    wall.retain(|t| t.width <= least * ALIKE);
    wall.sort_by(by_place);
    Some(Thin { width: least, over, ..*wall.get(wall.len() / 2)? })
}

fn diagonal(bounds: Rect) -> f64 {
    (bounds.width() * bounds.width() + bounds.height() * bounds.height()).sqrt()
}

fn by_place(a: &Thin, b: &Thin) -> Ordering {
    a.at.x.total_cmp(&b.at.x).then(a.at.y.total_cmp(&b.at.y))
}

/// One part, ready to be measured between its walls.
struct Walls {
    border: Border,
    chords: Vec<Chord>,
    contours: Vec<Outline>,
}

impl Walls {
    fn of(part: &Region) -> Self {
        let (chords, _) = of_paths(part.contours());
        let contours = outlines_of(&chords);
        Self { border: Border { tree: ChordTree::new(chords.clone()) }, chords, contours }
    }

    fn thin(&self, limit: f64, spacing: f64) -> Vec<Thin> {
        let chords = (0..self.chords.len()).into_par_iter();
        chords.flat_map_iter(|i| self.beside_chord(i, limit, spacing)).collect()
    }

    /// The thin places that are seen from a chord.
    fn beside_chord(&self, i: usize, limit: f64, spacing: f64) -> Vec<Thin> {
        let (mut found, chord) = (Vec::new(), &self.chords[i]);
        let length = chord.length();
        if length == 0.0 {
            return found;
        }
        let along = (chord.to - chord.from) / length;
        let count = (length / spacing).ceil().max(1.0) as usize;
        for k in 0..count {
            let s = length * (k as f64 + 0.5) / count as f64;
            found.extend(self.across(chord, s, left(along), limit));
        }
        for inwards in self.notch_directions(i, along) {
            found.extend(self.across(chord, length, inwards, limit));
        }
        found
    }

    /// Directions into the material from the end of a chord, where that is a notch: its flanks look past
    /// what is straight ahead of it.
    fn notch_directions(&self, i: usize, along: Vec2) -> Vec<Vec2> {
        let chord = &self.chords[i];
        let follows = |c: &&Chord| c.subpath == chord.subpath && c.from == chord.to;
        let next = self.chords.get(i + 1).filter(follows);
        let next = next.or_else(|| self.chords.iter().find(|c| c.subpath == chord.subpath).filter(follows));
        let Some(next) = next.filter(|n| n.length() > 0.0) else { return Vec::new() };
        let after = (next.to - next.from) / next.length();
        // The material is on the left, so a turn to the right is a notch.
        let turn = along.cross(after);
        if turn >= 0.0 || (turn > LEAST_NOTCH && along.dot(after) > 0.0) {
            return Vec::new();
        }
        let (a, b) = (left(along), left(after));
        (0..=8)
            .map(|k| a * f64::from(8 - k) + b * f64::from(k))
            .filter(|v| v.hypot() > 1e-9)
            .map(|v| v / v.hypot())
            .collect()
    }

    /// The wall that starts `s` along a chord, if it is one and thinner than the limit.
    fn across(&self, chord: &Chord, s: f64, inwards: Vec2, limit: f64) -> Option<Thin> {
        let here = chord.from + (chord.to - chord.from) * (s / chord.length());
        let Ball { centre, other, .. } = self.border.ball(here, inwards, 0.5 * limit);
        let other = other?;
        let (a, b) = (here - centre, other.at - centre);
        if a.dot(b) > FACING * a.hypot() * b.hypot() {
            return None;
        }
        // The tangent disc lies askew where the walls do; straight across it is a little thinner.
        let nearest = chord.nearest(other.at);
        let width = nearest.distance(other.at);
        if chord.subpath == other.chord.subpath {
            let there = other.chord.along + other.chord.from.distance(other.at);
            if self.contours[chord.subpath].is_end(chord.along + s, there, width) {
                return None;
            }
        }
        Some(Thin { at: nearest.midpoint(other.at), width: Mm::new(width), over: Mm::ZERO })
    }
}

fn left(v: Vec2) -> Vec2 {
    Vec2::new(-v.y, v.x)
}
