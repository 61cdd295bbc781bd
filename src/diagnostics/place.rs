//! How places, counts and sides are said in messages.

use crate::units::number::fixed;
use kurbo::{Point, Vec2};

/// At most so many places are named in one message; the first ones are enough to see what it is about.
pub const MOST_NAMED: usize = 3;

/// A point of the sheet in words.
pub fn place(at: Point) -> String {
    format!("{} mm from the sheet's left and {} mm from its top edge", fixed(at.x, 1), fixed(at.y, 1))
}

/// The first of several points in words.
pub fn places(all: &[Point]) -> String {
    if let [only] = all {
        return place(*only);
    }
    let pair = |p: &Point| format!("({}, {})", fixed(p.x, 1), fixed(p.y, 1));
    let named: Vec<String> = all.iter().take(MOST_NAMED).map(pair).collect();
    let more = if all.len() > MOST_NAMED { ", …" } else { "" };
    format!("{}{more} mm from the sheet's left and top edge", named.join(", "))
}

/// `1 line`, `3 lines`.
pub fn counted(number: usize, one: &str, many: &str) -> String {
    format!("{number} {}", if number == 1 { one } else { many })
}

/// A way across the sheet in words: `0.4 mm to the left and 2 mm up`. Ways below a hundredth of a millimetre are none.
pub fn way(by: Vec2) -> String {
    let part = |length: f64, back: &str, forth: &str| {
        let shown = fixed(length.abs(), 2);
        (shown != "0").then(|| format!("{shown} mm {}", if length < 0.0 { back } else { forth }))
    };
    let parts = [part(by.x, "to the left", "to the right"), part(by.y, "up", "down")];
    parts.into_iter().flatten().collect::<Vec<_>>().join(" and ")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn ways_are_words_and_never_signs() {
        // y runs down, as in SVG 2, chapter 8 (initial coordinate system).
        assert_eq!(way(Vec2::new(-0.4, 2.0)), "0.4 mm to the left and 2 mm down");
        assert_eq!(way(Vec2::new(0.0, -12.345)), "12.35 mm up");
    }

    #[test]
    fn only_the_first_places_are_named() {
        let all: Vec<Point> = (0..5).map(|i| Point::new(f64::from(i), 2.0)).collect();
        assert_eq!(places(&all[..1]), "0 mm from the sheet's left and 2 mm from its top edge");
        assert_eq!(places(&all), "(0, 2), (1, 2), (2, 2), … mm from the sheet's left and top edge");
    }
}
