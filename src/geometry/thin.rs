//! Walls thinner than they should be.

use super::border::{Ball, Border};
use super::chords::{Chord, ChordTree, Subpath, of_paths};
use super::{Region, boolean};
use crate::units::Mm;
use kurbo::{Point, Vec2};
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

/// The way along the border between both sides of a wall, over its width, below which it is a tip or a
/// rounded end and no wall: between the flanks of a tip of 19 degrees.
const TIP: f64 = 6.0;

/// The sine of the turn (to the right) from which on a corner is a notch: at less, the flanks see enough.
const LEAST_NOTCH: f64 = -0.1;

/// A place where material is thin.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Thin {
    /// The middle of the wall there.
    pub at: Point,
    /// How thick it is.
    pub width: Mm,
}

/// Where walls of a region are thinner than `limit`, the thinnest first; at most [`MOST_PLACES`] places.
///
/// A wall that is thin over a stretch counts once, where it is thinnest; walls within a limit or two of each
/// other count as one. A part that is thinner than the limit everywhere counts once. Corners and rounded tips are not walls.
pub fn thin_places(region: &Region, limit: Mm) -> Vec<Thin> {
    let limit = limit.get();
    if limit.is_nan() || limit <= 0.0 {
        return Vec::new();
    }
    let whole = |part: Region| match part.deepest(0.5 * limit) {
        Some((at, clearance)) if 2.0 * clearance.get() < limit => {
            (Some(Thin { at, width: clearance * 2.0 }), None)
        }
        _ => (None, Some(part)),
    };
    let parts: Vec<(Option<Thin>, Option<Region>)> = boolean::shapes(region).into_par_iter().map(whole).collect();
    let mut found: Vec<Thin> = parts.iter().filter_map(|(thin, _)| *thin).collect();
    let large: Vec<&Region> = parts.iter().filter_map(|(_, part)| part.as_ref()).collect();
    let tries: f64 = large.iter().map(|p| p.perimeter().get()).sum();
    let spacing = (SPACING * limit).max(tries / MOST_TRIES);
    let walls: Vec<Vec<Thin>> = large.par_iter().map(|part| Walls::of(part).thin(limit, spacing)).collect();
    found.extend(walls.into_iter().flatten());
    one_of_each_wall(found, limit)
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
    wall.retain(|t| t.width <= least * ALIKE);
    wall.sort_by(by_place);
    Some(Thin { width: least, ..*wall.get(wall.len() / 2)? })
}

fn by_place(a: &Thin, b: &Thin) -> Ordering {
    a.at.x.total_cmp(&b.at.x).then(a.at.y.total_cmp(&b.at.y))
}

/// One part, ready to be measured between its walls.
struct Walls {
    border: Border,
    chords: Vec<Chord>,
    contours: Vec<Subpath>,
}

impl Walls {
    fn of(part: &Region) -> Self {
        let (chords, contours) = of_paths(part.contours());
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
            if self.contours[chord.subpath].way(chord.along + s, there) < TIP * width {
                return None;
            }
        }
        Some(Thin { at: nearest.midpoint(other.at), width: Mm::new(width) })
    }
}

fn left(v: Vec2) -> Vec2 {
    Vec2::new(-v.y, v.x)
}
