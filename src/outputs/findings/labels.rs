//! Room for the numbers beside the places they belong to.

use kurbo::{Point, Rect, Vec2};

/// Radius of a ring round a place, in mm of the paper.
pub(super) const RING: f64 = 1.8;

/// Radius of a number's disc.
pub(super) const DISC: f64 = 2.6;

/// Air kept between discs and rings.
const AIR: f64 = 0.8;

/// How far a number may lie from its place, tried in this order.
const DISTANCES: [f64; 5] = [6.5, 9.5, 13.0, 17.0, 22.0];

/// Directions that are tried; the first is away from the middle of the picture.
const DIRECTIONS: usize = 16;

/// Where the disc of each place's number goes, all inside `paper`; two discs share no spot as far as there is room.
pub(super) fn beside(places: &[Point], paper: Rect) -> Vec<Point> {
    let mut taken: Vec<Point> = Vec::new();
    for &place in places {
        let best = candidates(place, paper.center()).find(|c| is_free(*c, places, &taken, paper));
        taken.push(best.unwrap_or(place + Vec2::new(0.0, -DISTANCES[0])));
    }
    taken
}

fn candidates(place: Point, middle: Point) -> impl Iterator<Item = Point> {
    let away = place - middle;
    let first = libm::atan2(away.y, away.x);
    DISTANCES.into_iter().flat_map(move |distance| {
        (0..DIRECTIONS).map(move |i| {
            // To one side and the other by turns.
            let steps = i.div_ceil(2) as f64 * if i % 2 == 0 { 1.0 } else { -1.0 };
            let angle = first + steps * 2.0 * std::f64::consts::PI / DIRECTIONS as f64;
            place + Vec2::new(libm::cos(angle), libm::sin(angle)) * distance
        })
    })
}

fn is_free(disc: Point, rings: &[Point], discs: &[Point], paper: Rect) -> bool {
    paper.inset(-DISC).contains(disc)
        && rings.iter().all(|r| r.distance(disc) >= RING + DISC + AIR)
        && discs.iter().all(|d| d.distance(disc) >= 2.0 * DISC + AIR)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_of_a_crowd_find_room() {
        let places: Vec<Point> =
            (0..12).map(|i| Point::new(50.0 + f64::from(i % 4), 40.0 + f64::from(i / 4))).collect();
        let paper = Rect::new(0.0, 0.0, 100.0, 80.0);
        let discs = beside(&places, paper);
        for (i, a) in discs.iter().enumerate() {
            assert!(paper.contains(*a));
            assert!(discs[..i].iter().all(|b| a.distance(*b) >= 2.0 * DISC), "{discs:?}");
        }
    }
}
