//! Stencil letters: the insides of letters stay tied to the sheet by bridges.
//!
//! In: the ink of a lettering and the width of the bridges. Out: the ink with the bridges taken out of it. What is not
//! ink is then one piece: after cutting nothing falls out but the letters' own strokes.
//!
//! A bridge is a straight strip across the stroke between a counter and what lies beyond it. It is put where the stroke
//! is thin and goes on to both sides, rather at the top or bottom than at the side, rather in the middle than at an
//! end, so that it crosses a stroke and never runs along one.

use crate::geometry::{FLATTEN_TOLERANCE, FillRule, Region, winding};
use crate::units::Mm;
use kurbo::{BezPath, PathEl, Point, Rect, Shape, Vec2};

/// Places along a counter at which a bridge is tried.
const TRIES: usize = 96;

/// A counter whose box is narrower than this many bridges gets one of them, a wider one two.
const LARGE: f64 = 3.0;

/// What is smaller than this to all sides (mm) burns away with the outline: it is no counter but a speck.
const SPECK: f64 = 0.3;

/// A strip is longer at its ends than the stroke by this (mm), so that the lattice leaves no film.
const BEYOND: f64 = 0.01;

/// Counters may open into each other before one opens outwards; more rounds than any letter has counters in a row.
const ROUNDS: usize = 6;

/// A lettering with bridges.
#[derive(Clone, Debug)]
#[must_use]
pub struct Bridged {
    /// The ink that is left to cut.
    pub ink: Region,
    /// How many bridges there are.
    pub bridges: usize,
    /// Counters that could not be bridged: they would fall out.
    pub narrow: Vec<NarrowCounter>,
}

/// A counter that a bridge does not fit.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct NarrowCounter {
    /// Its middle.
    pub at: Point,
    /// The smaller side of its box.
    pub across: Mm,
}

/// Ties every counter of `ink` to the outside by bridges of the given width.
pub fn bridge(ink: &Region, width: Mm) -> Bridged {
    let mut left = without_specks(ink);
    let mut bridges = 0;
    for round in 0..ROUNDS {
        let letters = letters(&left);
        let mut strips = Vec::new();
        for letter in letters.iter().filter(|l| !l.counters.is_empty()) {
            for counter in &letter.counters {
                // Only in the first round: what is still shut then lacks its first bridge only.
                let wanted = if round == 0 && is_large(counter, width) { 2 } else { 1 };
                strips.extend(strips_of(letter, counter, width.get(), wanted));
            }
        }
        if strips.is_empty() {
            break;
        }
        bridges += strips.len();
        let strips: Vec<Region> =
            strips.iter().filter_map(|s| Region::from_path(s, FillRule::NonZero).ok()).collect();
        left = left.subtract(&Region::union(&strips.iter().collect::<Vec<_>>()));
    }
    let shut = letters(&left);
    let narrow = shut.iter().flat_map(|l| &l.counters).map(|c| NarrowCounter {
        at: c.bounds.center(),
        across: Mm::new(c.bounds.width().min(c.bounds.height())),
    });
    Bridged { narrow: narrow.collect(), ink: left, bridges }
}

fn is_large(counter: &Ring, width: Mm) -> bool {
    LARGE * width.get() <= counter.bounds.width().min(counter.bounds.height())
}

fn without_specks(ink: &Region) -> Region {
    let whole = ink.contours().iter().map(Shape::area).sum::<f64>();
    let is_speck = |c: &BezPath| {
        let bounds = c.bounding_box();
        c.area() * whole < 0.0 && bounds.width().max(bounds.height()) < SPECK
    };
    Region::from_clean_contours(ink.contours().iter().filter(|c| !is_speck(c)).cloned().collect())
}

/// A contour as chords.
struct Ring {
    points: Vec<Point>,
    bounds: Rect,
}

impl Ring {
    fn of(contour: &BezPath) -> Self {
        let mut points = Vec::new();
        kurbo::flatten(contour.iter(), FLATTEN_TOLERANCE.get(), |element| {
            if let PathEl::MoveTo(p) | PathEl::LineTo(p) = element {
                points.push(p);
            }
        });
        points.dedup();
        if points.first() != points.last()
            && let Some(first) = points.first().copied()
        {
            points.push(first);
        }
        Self { points, bounds: contour.bounding_box() }
    }

    fn length(&self) -> f64 {
        self.points.windows(2).map(|w| w[0].distance(w[1])).sum()
    }
}

/// An outer contour and the counters in it.
struct Letter {
    outer: Ring,
    counters: Vec<Ring>,
}

impl Letter {
    /// How far along a line, from `from` in `direction`, the contours are crossed; in order.
    fn crossings(&self, from: Point, direction: Vec2) -> Vec<f64> {
        let across = Vec2::new(-direction.y, direction.x);
        let mut found = Vec::new();
        for ring in std::iter::once(&self.outer).chain(&self.counters) {
            for side in ring.points.windows(2) {
                let (a, b) = ((side[0] - from).dot(across), (side[1] - from).dot(across));
                // Half-open, so that a corner on the line counts once.
                if (a <= 0.0) != (b <= 0.0) {
                    found.push((side[0].lerp(side[1], a / (a - b)) - from).dot(direction));
                }
            }
        }
        found.sort_by(f64::total_cmp);
        found
    }
}

/// Sorts the contours of an area: counters to the smallest outer contour around them.
fn letters(ink: &Region) -> Vec<Letter> {
    let whole = ink.contours().iter().map(Shape::area).sum::<f64>();
    let (outer, inner): (Vec<&BezPath>, Vec<&BezPath>) =
        ink.contours().iter().partition(|c| 0.0 < c.area() * whole);
    let mut letters: Vec<Letter> =
        outer.iter().map(|c| Letter { outer: Ring::of(c), counters: Vec::new() }).collect();
    for counter in inner {
        let ring = Ring::of(counter);
        let Some(at) = ring.points.first().copied() else { continue };
        let around = outer.iter().enumerate().filter(|(_, o)| winding(o, at) != 0);
        let nearest = around.min_by(|a, b| a.1.area().abs().total_cmp(&b.1.area().abs()));
        if let Some((index, _)) = nearest {
            letters[index].counters.push(ring);
        }
    }
    letters
}

/// A place for a bridge.
#[derive(Clone, Copy)]
struct Site {
    /// On the edge of the counter, in the middle of the bridge.
    at: Point,
    /// Out of the counter.
    out: Vec2,
    /// Where the strip starts and ends, from `at` along `out`.
    reach: (f64, f64),
    /// The lower the better.
    cost: f64,
}

impl Site {
    fn strip(&self, width: f64) -> BezPath {
        let side = Vec2::new(-self.out.y, self.out.x) * (width / 2.0);
        let (start, end) =
            (self.at + self.out * (self.reach.0 - BEYOND), self.at + self.out * (self.reach.1 + BEYOND));
        let mut path = BezPath::new();
        path.move_to(start - side);
        path.line_to(end - side);
        path.line_to(end + side);
        path.line_to(start + side);
        path.close_path();
        path
    }
}

/// The bridges of one counter: the best, and where two are wanted the best one opposite to it.
fn strips_of(letter: &Letter, counter: &Ring, width: f64, wanted: usize) -> Vec<BezPath> {
    let sites = sites(letter, counter, width);
    let best = |sites: &mut dyn Iterator<Item = &Site>| sites.min_by(|a, b| a.cost.total_cmp(&b.cost)).copied();
    let Some(first) = best(&mut sites.iter()) else { return Vec::new() };
    let mut strips = vec![first.strip(width)];
    if 1 < wanted
        && let Some(second) = best(&mut sites.iter().filter(|s| s.out.dot(first.out) < -0.5))
    {
        strips.push(second.strip(width));
    }
    strips
}

/// The places round a counter at which a bridge fits.
fn sites(letter: &Letter, counter: &Ring, width: f64) -> Vec<Site> {
    let step = counter.length() / TRIES as f64;
    let (mut sites, mut passed, mut next) = (Vec::new(), 0.0, step / 2.0);
    for side in counter.points.windows(2) {
        let long = side[0].distance(side[1]);
        while next < passed + long {
            let at = side[0].lerp(side[1], (next - passed) / long);
            next += step;
            let along = (side[1] - side[0]) / long;
            for out in directions(Vec2::new(along.y, -along.x)) {
                sites.extend(site(letter, counter, at, out, width));
            }
        }
        passed += long;
    }
    sites
}

/// Straight across the edge, and straight up and down or to the sides where that is nearly the same.
fn directions(normal: Vec2) -> Vec<Vec2> {
    let mut all = vec![normal, -normal];
    for upright in [Vec2::new(0.0, 1.0), Vec2::new(1.0, 0.0)] {
        // Within 30 degrees.
        if 0.866 < normal.dot(upright).abs() {
            all.extend([upright, -upright]);
        }
    }
    all
}

/// Where the line through a place enters the stroke and leaves it, and how far it is free before and after.
struct Cut {
    enters: f64,
    leaves: f64,
    free_from: f64,
    free_to: f64,
}

fn cut(letter: &Letter, from: Point, out: Vec2, width: f64) -> Option<Cut> {
    let crossed = letter.crossings(from, out);
    // From inside the counter: the crossing nearest to the place, with an even count beyond it outside and an odd
    // one inside the stroke.
    let near = |v: &f64| v.abs() <= 1.5 * width;
    let nearest = (0..crossed.len())
        .filter(|i| near(&crossed[*i]))
        .min_by(|a, b| crossed[*a].abs().total_cmp(&crossed[*b].abs()))?;
    // Counting from the far end, every second stretch is ink.
    let enters_ink = (crossed.len() - nearest).is_multiple_of(2);
    if !enters_ink {
        return None;
    }
    Some(Cut {
        enters: crossed[nearest],
        leaves: *crossed.get(nearest + 1)?,
        free_from: nearest.checked_sub(1).map_or(f64::MIN, |i| crossed[i]),
        free_to: crossed.get(nearest + 2).copied().unwrap_or(f64::MAX),
    })
}

fn site(letter: &Letter, counter: &Ring, at: Point, out: Vec2, width: f64) -> Option<Site> {
    let side = Vec2::new(-out.y, out.x);
    let cuts: Vec<Cut> = [-0.5, -0.25, 0.0, 0.25, 0.5]
        .iter()
        .map(|share| cut(letter, at + side * (share * width), out, width))
        .collect::<Option<_>>()?;
    let over = |value: fn(&Cut) -> f64| {
        cuts.iter().map(value).fold((f64::MAX, f64::MIN), |(low, high), v| (low.min(v), high.max(v)))
    };
    let (enters, leaves) = (over(|c| c.enters), over(|c| c.leaves));
    let thickness = cuts.iter().map(|c| c.leaves - c.enters).sum::<f64>() / cuts.len() as f64;
    // Slanting ends, or a strip that would touch the next stroke, are no place for a bridge.
    let is_square = enters.1 - enters.0 <= width && leaves.1 - leaves.0 <= width;
    let (freed_from, freed_to) = (over(|c| c.free_from).1, over(|c| c.free_to).0);
    if !is_square || enters.0 - BEYOND <= freed_from || freed_to <= leaves.1 + BEYOND {
        return None;
    }
    // The stroke has to go on to both sides, or the bridge takes the stroke away.
    let goes_on = |share: f64| {
        cut(letter, at + side * (share * width), out, width).is_some_and(|c| c.leaves - c.enters < 3.0 * thickness)
    };
    let ends = [-1.0, 1.0].iter().filter(|share| !goes_on(**share)).count() as f64;
    let middle = counter.bounds.center();
    let off = (at - middle).dot(side).abs() / counter.bounds.width().max(counter.bounds.height());
    // Where the stroke swells or its edges slant, the bridge would leave splinters.
    let slant = (enters.1 - enters.0 + leaves.1 - leaves.0) / width;
    let cost =
        thickness * (1.0 + 0.8 * out.x.abs()) * (1.0 + 2.0 * off) * (1.0 + 4.0 * ends) * (1.0 + 3.0 * slant);
    Some(Site { at, out, reach: (enters.0, leaves.1), cost })
}
