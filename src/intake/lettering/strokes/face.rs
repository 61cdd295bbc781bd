//! The Hershey fonts, read from the text they are handed on in.
//!
//! A line is a letter: its number (5 columns), the count of its pairs (3 columns), then pairs of signs, each a
//! coordinate counted from `R`. The first pair is the left and the right edge; ` R` lifts the pen.

use super::{Letter, StrokeFace};
use kurbo::Point;

const PLAIN: &str = include_str!("hershey/futural.jhf");
const ROMAN: &str = include_str!("hershey/timesr.jhf");
const SCRIPT: &str = include_str!("hershey/scripts.jhf");

/// The baseline lies this far below the middle that coordinates count from.
const BASELINE: f64 = 9.0;

/// The letters of a face, from the space (U+0020) on.
pub(super) fn letters(face: StrokeFace) -> Vec<Letter> {
    let text = match face {
        StrokeFace::Plain => PLAIN,
        StrokeFace::Roman => ROMAN,
        StrokeFace::Script => SCRIPT,
    };
    text.lines().filter_map(letter).collect()
}

fn letter(line: &str) -> Option<Letter> {
    let pairs: Vec<&[u8]> = line.as_bytes().get(8..)?.chunks_exact(2).collect();
    let (edges, points) = pairs.split_first()?;
    let number = |sign: u8| f64::from(i16::from(sign) - i16::from(b'R'));
    let (left, right) = (number(edges[0]), number(edges[1]));
    let mut strokes = Vec::new();
    for stroke in points.split(|pair| *pair == b" R") {
        let mut drawn: Vec<Point> =
            stroke.iter().map(|p| Point::new(number(p[0]) - left, BASELINE - number(p[1]))).collect();
        drawn.dedup();
        if 1 < drawn.len() {
            strokes.push(drawn);
        }
    }
    Some(Letter { advance: right - left, strokes })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn length(letter: &Letter) -> f64 {
        letter.strokes.iter().flat_map(|s| s.windows(2)).map(|w| w[0].distance(w[1])).sum()
    }

    /// Check T8: width, strokes and length of three letters, read by a script from the published file.
    #[test]
    fn letters_are_as_published() {
        let letters = letters(StrokeFace::Plain);
        for (sign, width, strokes, ink) in [('A', 18.0, 3, 54.9444), ('H', 22.0, 3, 56.0), ('I', 8.0, 1, 21.0)] {
            let letter = &letters[sign as usize - 32];
            assert_eq!((letter.advance, letter.strokes.len()), (width, strokes), "{sign}");
            assert!((length(letter) - ink).abs() < 1e-4, "{sign}: {}", length(letter));
        }
    }

    #[test]
    fn faces_are_whole() {
        for face in [StrokeFace::Plain, StrokeFace::Roman, StrokeFace::Script] {
            let letters = letters(face);
            assert!(95 <= letters.len(), "{face:?} holds {}", letters.len());
            let drawn = letters[1..95].iter().filter(|l| l.strokes.is_empty()).count();
            assert_eq!(drawn, 0, "{face:?} has letters without strokes");
            let top = letters['H' as usize - 32].strokes.iter().flatten().map(|p| p.y).fold(0.0, f64::max);
            assert!((top - super::super::CAPITALS).abs() < 1e-9, "{face:?}: {top}");
        }
    }
}
