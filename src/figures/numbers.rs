//! Numbers of pieces: set once digit by digit, put together and fitted into every piece.

use super::bench::{Bench, positive};
use super::lettering;
use super::placed::{Behind, Figures, Made};
use super::trace::traced_pieces;
use crate::diagnostics::{Diagnostic, Finding, Severity, Sink};
use crate::geometry::{Drawing, FillRule, Part, Region};
use crate::puzzle::{FoundPiece, PuzzlePiece};
use crate::recipe::{Figure, LetteringFace, MirrorAxis, NumbersOf};
use crate::units::Mm;
use crate::units::number::fixed;
use kurbo::{Affine, BezPath, Point, Rect, Shape, Vec2};
use rayon::prelude::*;
use std::sync::Arc;

pub(super) static NO_PUZZLE: Finding = Finding {
    rule: "numbers/no-puzzle",
    severity: Severity::Error,
    title: "numbers are asked for, and the figure has no pieces",
    explanation: "Pieces come from a `puzzle`, or from seams that were traced and part the board. Other figures have none that \
        could be numbered.",
    wrong: "numbers \"labels\" of=\"board\"",
    right: "puzzle \"pieces\" of=\"board\" pieces=15 seed=\"pond\"\nnumbers \"labels\" of=\"pieces\"",
};

pub(super) static TOO_SMALL: Finding = Finding {
    rule: "numbers/too-small",
    severity: Severity::Warning,
    title: "numbers come out too small to be read",
    explanation: "All numbers have one size, the largest that fits the smallest piece. Burned digits below a millimetre and a \
        half run together; that limit is our judgement.",
    wrong: "puzzle \"pieces\" of=\"board\" pieces=15 seed=\"pond\"\nnumbers \"labels\" of=\"pieces\" height=\"1 mm\"",
    right: "puzzle \"pieces\" of=\"board\" pieces=15 seed=\"pond\"\nnumbers \"labels\" of=\"pieces\" height=\"5 mm\"",
};

/// Digits lower than this can hardly be read. A judgement of this project, no source.
const LEGIBLE: Mm = Mm::new(1.5);

/// The share of the largest circle in a piece that its number may take. A judgement of this project, no source.
const FILLED: f64 = 0.85;

/// The bar under a number, in heights of its digits: how far below their feet it lies, and how thick it is where
/// digits are areas.
const BAR_BELOW: f64 = 0.22;
const BAR_THICK: f64 = 0.09;

/// A digit of the height 1, its foot at y = 0.
struct Digit {
    drawing: Drawing,
    advance: f64,
}

/// The numbers of all pieces.
pub(super) fn make(
    numbers: &NumbersOf,
    figure: &Figure,
    bench: Bench,
    figures: &Figures,
    sink: &mut Sink,
) -> Option<Made> {
    let most = positive(&numbers.height, figures, sink)?;
    let pieces = places(numbers, bench, figures)?;
    if pieces.is_empty() {
        sink.push(no_puzzle(numbers));
        return None;
    }
    let digits = digits(numbers, bench, sink)?;
    let is_area = matches!(numbers.digits.face, LetteringFace::Font(..));
    let set: Vec<Drawing> = pieces.par_iter().map(|p| number(p.number, pieces.len(), &digits, is_area)).collect();
    let fits = |(piece, drawing): (&Place, &Drawing)| FILLED * piece.room.get() / reach(drawing);
    let height = pieces.iter().zip(&set).map(fits).fold(most.get(), f64::min);
    if height < LEGIBLE.get() {
        sink.push(too_small(Mm::new(height), most, numbers, figure));
    }
    let placed = |(piece, drawing): (&Place, &Drawing)| {
        let middle = drawing.bounds().map_or(Vec2::ZERO, |b| b.center().to_vec2());
        let to_place =
            Affine::translate(piece.middle.to_vec2()) * Affine::scale(height) * Affine::translate(-middle);
        drawing.transform(to_place)
    };
    let all: Vec<Drawing> = pieces.iter().zip(&set).map(placed).collect();
    let mirrored = |axis: MirrorAxis| {
        let own = |(piece, drawing): (&Place, &Drawing)| drawing.transform(axis.about(piece.middle));
        Arc::new(together(pieces.iter().zip(&all).map(own)))
    };
    let behind =
        Behind { left_right: mirrored(MirrorAxis::LeftRight), top_bottom: mirrored(MirrorAxis::TopBottom) };
    Some(Made { behind: Some(behind), ..Made::of(together(all.into_iter())) })
}

/// Where the number of a piece has its room.
struct Place {
    number: usize,
    middle: Point,
    room: Mm,
}

/// The places in all pieces of a puzzle or of traced seams; none where there are no pieces, `None` where the figure failed.
fn places(numbers: &NumbersOf, bench: Bench, figures: &Figures) -> Option<Vec<Place>> {
    let name = &numbers.of.value;
    if let Some(layout) = &figures.get(name)?.puzzle {
        let place = |p: &PuzzlePiece| Place { number: p.number, middle: p.middle, room: p.room };
        return Some(layout.pieces.iter().map(place).collect());
    }
    let figure = bench.recipe.figure(name)?;
    let found = traced_pieces(figure, bench.recipe, figures, bench.cache);
    let place = |p: &FoundPiece| Place { number: p.number, middle: p.middle, room: p.room };
    Some(found.iter().flat_map(|found| found.iter()).map(place).collect())
}

/// The ten digits.
fn digits(numbers: &NumbersOf, bench: Bench, sink: &mut Sink) -> Option<Vec<Digit>> {
    let digit = |d: char| {
        let set = lettering::one_line(&numbers.digits, &d.to_string(), bench, sink)?;
        let height = set.cap_height.get();
        let unit = Affine::scale(1.0 / height);
        let advance = set.lines.first().map_or(0.0, |l| l.advance.get()) / height;
        Some(Digit { drawing: set.drawing.transform(unit), advance })
    };
    ('0'..='9').map(digit).collect()
}

/// A number, its digits of the height 1, with a bar where it reads as another number upside down.
fn number(number: usize, count: usize, digits: &[Digit], is_area: bool) -> Drawing {
    let text = number.to_string();
    let mut at = 0.0;
    let moved: Vec<Drawing> = text
        .bytes()
        .filter_map(|b| digits.get(usize::from(b.wrapping_sub(b'0'))))
        .map(|digit| {
            let drawing = digit.drawing.transform(Affine::translate((at, 0.0)));
            at += digit.advance;
            drawing
        })
        .collect();
    let mut drawing = together(moved.into_iter());
    if is_ambiguous(&text, count)
        && let Some(bounds) = drawing.bounds()
    {
        drawing = together([drawing, bar(bounds, is_area)].into_iter());
    }
    drawing
}

/// The bar under a number.
fn bar(number: Rect, is_area: bool) -> Drawing {
    let top = number.y1 + BAR_BELOW;
    if is_area {
        let path = Rect::new(number.x0, top, number.x1, top + BAR_THICK).to_path(0.1);
        let ink = Region::from_path(&path, FillRule::NonZero).unwrap_or_default();
        let part = Part { element: None, path, filled: true, open: Vec::new() };
        return Drawing { parts: vec![part], ..Drawing::of_region(ink) };
    }
    let mut path = BezPath::new();
    path.move_to((number.x0, top));
    path.line_to((number.x1, top));
    Drawing::of_bare_lines(vec![path])
}

/// Whether a number reads as another one of so many when its piece is turned by half a turn.
fn is_ambiguous(text: &str, count: usize) -> bool {
    let turned = |digit: char| match digit {
        '0' | '1' | '8' => Some(digit),
        '6' => Some('9'),
        '9' => Some('6'),
        _ => None,
    };
    let seen: Option<String> = text.chars().rev().map(turned).collect();
    let Some(seen) = seen.filter(|s| s != text && !s.starts_with('0')) else { return false };
    seen.parse().is_ok_and(|other: usize| other <= count)
}

/// From the middle of a drawing to the farthest corner of its box.
fn reach(drawing: &Drawing) -> f64 {
    drawing.bounds().map_or(f64::INFINITY, |b| b.size().to_vec2().hypot() / 2.0)
}

/// Drawings that do not meet, as one.
fn together(drawings: impl Iterator<Item = Drawing>) -> Drawing {
    let mut contours = Vec::new();
    let mut all = Drawing::default();
    for drawing in drawings {
        contours.extend(drawing.ink.contours().iter().cloned());
        all.lines.extend(drawing.lines);
        all.parts.extend(drawing.parts);
    }
    Drawing { ink: Region::from_clean_contours(contours), ..all }
}

fn no_puzzle(numbers: &NumbersOf) -> Diagnostic {
    Diagnostic::new(&NO_PUZZLE, format!("`{}` has no pieces that could be numbered", numbers.of.value))
        .at(numbers.of.span, "expected a puzzle, or traced seams that part the board")
        .because("there would be nothing to burn")
        .repair("name a `puzzle`, or a `trace` read as seams")
}

fn too_small(height: Mm, most: Mm, numbers: &NumbersOf, figure: &Figure) -> Diagnostic {
    let shown = fixed(height.get(), 2);
    let (at, label, repair) = if most < LEGIBLE {
        (numbers.height.span, "the greatest height", "let them be larger")
    } else {
        (figure.head, "as large as the smallest piece allows", "ask for fewer pieces")
    };
    Diagnostic::new(&TOO_SMALL, format!("the digits are only {shown} mm high"))
        .at(at, label)
        .because("burned so small they run together and cannot be read")
        .repair(repair)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_that_read_as_others_upside_down() {
        // By turning a sheet of paper: of 1 to 99 these are 6, 9, 16, 18, 19, 61, 66, 68, 81, 86, 89, 91, 98, 99.
        let found: Vec<usize> = (1..100).filter(|n| is_ambiguous(&n.to_string(), 99)).collect();
        assert_eq!(found, [6, 9, 16, 18, 19, 61, 66, 68, 81, 86, 89, 91, 98, 99]);
        assert!(!is_ambiguous("16", 90) && is_ambiguous("16", 91));
    }
}
