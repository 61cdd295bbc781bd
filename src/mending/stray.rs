//! Small parts far off all others.

use super::Place;
use crate::geometry::{Drawing, Region};
use crate::units::Mm;
use kurbo::{Point, Rect, Shape};
use rstar::{AABB, RTree, RTreeObject};

/// What is larger than this share of the largest cluster is no stray part but half of the drawing.
const LARGEST: f64 = 0.1;

/// Pairs of boxes that are looked at; with more, everything lies close together.
const MOST_PAIRS: usize = 4_000_000;

/// The box of a contour or line, and which it is.
struct Piece(Rect, usize);

impl RTreeObject for Piece {
    type Envelope = AABB<[f64; 2]>;
    fn envelope(&self) -> Self::Envelope {
        AABB::from_corners([self.0.x0, self.0.y0], [self.0.x1, self.0.y1])
    }
}

/// Parts that lie together, farther than a distance from all others.
struct Cluster {
    bounds: Rect,
    pieces: Vec<usize>,
}

/// The clusters of boxes that lie within `reach` of each other; none when they are too many to tell.
fn clusters(boxes: &[Rect], reach: f64) -> Vec<Cluster> {
    let tree = RTree::bulk_load(boxes.iter().enumerate().map(|(i, b)| Piece(*b, i)).collect());
    let mut cluster_of: Vec<Option<usize>> = vec![None; boxes.len()];
    let mut found: Vec<Cluster> = Vec::new();
    let mut pairs = 0;
    for first in 0..boxes.len() {
        if cluster_of[first].is_some() {
            continue;
        }
        let number = found.len();
        let (mut pieces, mut next) = (vec![first], 0);
        cluster_of[first] = Some(number);
        while let Some(&piece) = pieces.get(next) {
            next += 1;
            let around = boxes[piece].inflate(reach, reach);
            let around = AABB::from_corners([around.x0, around.y0], [around.x1, around.y1]);
            for Piece(_, other) in tree.locate_in_envelope_intersecting(&around) {
                pairs += 1;
                if cluster_of[*other].is_none() {
                    cluster_of[*other] = Some(number);
                    pieces.push(*other);
                }
            }
            if pairs > MOST_PAIRS {
                return Vec::new();
            }
        }
        pieces.sort_unstable();
        let bounds = pieces.iter().map(|i| boxes[*i]).reduce(|a, b| a.union(b)).unwrap_or_default();
        found.push(Cluster { bounds, pieces });
    }
    found
}

fn boxes(drawing: &Drawing) -> Vec<Rect> {
    let contours = drawing.ink.contours().iter().map(Shape::bounding_box);
    contours.chain(drawing.lines.iter().map(|l| l.path.bounding_box())).collect()
}

fn diagonal(bounds: Rect) -> f64 {
    Point::new(bounds.x0, bounds.y0).distance(Point::new(bounds.x1, bounds.y1))
}

/// How far two boxes are apart.
fn apart(a: Rect, b: Rect) -> f64 {
    let (dx, dy) = ((b.x0 - a.x1).max(a.x0 - b.x1).max(0.0), (b.y0 - a.y1).max(a.y0 - b.y1).max(0.0));
    (dx * dx + dy * dy).sqrt()
}

/// The small clusters farther than `reach` from all else: their boxes, how far each is from the main one, and the
/// contours and lines they are made of.
fn strays(drawing: &Drawing, reach: Mm) -> Vec<(Rect, f64, Vec<usize>)> {
    let clusters = clusters(&boxes(drawing), reach.get());
    let largest = clusters.iter().map(|c| c.bounds).max_by(|a, b| diagonal(*a).total_cmp(&diagonal(*b)));
    let Some(main) = largest else { return Vec::new() };
    let small = clusters.into_iter().filter(|c| diagonal(c.bounds) <= LARGEST * diagonal(main));
    small.map(|c| (c.bounds, apart(c.bounds, main), c.pieces)).collect()
}

/// The small parts farther than `reach` from all others, with their distance from the main part.
pub(super) fn look(drawing: &Drawing, reach: Mm) -> Vec<Place> {
    let place = |(bounds, far, _): (Rect, f64, Vec<usize>)| Place { at: bounds.center(), size: Mm::new(far) };
    strays(drawing, reach).into_iter().map(place).collect()
}

/// Drops them.
pub(super) fn drop_from(drawing: &mut Drawing, reach: Mm) -> Vec<Place> {
    let strays = strays(drawing, reach);
    let mut dropped = vec![false; drawing.ink.contours().len() + drawing.lines.len()];
    strays.iter().flat_map(|s| &s.2).for_each(|i| dropped[*i] = true);
    let mut dropped = dropped.into_iter();
    let kept = drawing.ink.contours().iter().filter(|_| dropped.next() != Some(true)).cloned().collect();
    drawing.ink = Region::from_clean_contours(kept);
    drawing.lines.retain(|_| dropped.next() != Some(true));
    let is_within = |b: Rect| strays.iter().any(|s| s.0.inflate(1e-6, 1e-6).contains_rect(b));
    drawing.parts.retain(|part| strays.is_empty() || !is_within(part.path.bounding_box()));
    strays.into_iter().map(|(bounds, far, _)| Place { at: bounds.center(), size: Mm::new(far) }).collect()
}
