//! Trays: frame and backing board from the outline of the piece that is kept in them.

use super::bench::{Bench, Sizes, any_length, geometry_failure, positive};
use super::body::area_of;
use super::placed::{Figures, Made};
use crate::cache::MadeFrom;
use crate::diagnostics::{Diagnostic, Finding, Severity, Sink};
use crate::geometry::{Corners, Drawing, Region};
use crate::recipe::{Figure, FigureKind, TrayOf};
use crate::units::Mm;

pub(super) static PARTS_DIFFER: Finding = Finding {
    rule: "tray/parts-differ",
    severity: Severity::Error,
    title: "frame and backing board of one piece are made with different measures",
    explanation: "The backing board is as large as the frame that is glued onto it. Parts made with another wall or another gap \
        do not meet at their edges. An `input` gives both the same measures.",
    wrong: "tray \"frame\" of=\"board\" part=\"frame\" wall=\"12 mm\"\ntray \"floor\" of=\"board\" part=\"back\" wall=\"10 mm\"",
    right: "tray \"frame\" of=\"board\" part=\"frame\" wall=\"12 mm\"\ntray \"floor\" of=\"board\" part=\"back\" wall=\"12 mm\"",
};

/// A part of a tray.
pub(super) fn make(
    tray: &TrayOf,
    figure: &Figure,
    bench: Bench,
    figures: &Figures,
    sink: &mut Sink,
) -> Option<Made> {
    let (wall, gap) = (positive(&tray.wall, figures, sink), any_length(&tray.gap, figures, sink));
    let measures = (wall?, gap?);
    if let Some((other, its)) = other_part(tray, figure, bench)
        && other.head.start < figure.head.start
        && measures_of(its, figures).is_some_and(|m| m != measures)
    {
        sink.push(parts_differ(tray, figure, other));
        return None;
    }
    let piece = area_of(&figures.get(&tray.of.value)?.drawing)
        .map_err(|error| sink.push(geometry_failure(error, figure.head)))
        .ok()?;
    let kind = if tray.is_frame { "tray frame" } else { "tray back" };
    let made_from = MadeFrom::kind(kind).paths(piece.contours()).number(measures.0.get()).number(measures.1.get());
    let part = bench.cache.keep(made_from, || part(&piece, measures, tray.is_frame));
    Some(Made::of(Drawing::of_region(part.as_ref().clone())))
}

/// The frame, or the backing board, for a piece.
fn part(piece: &Region, (wall, gap): (Mm, Mm), is_frame: bool) -> Region {
    let piece = piece.without_holes();
    let back = piece.offset(gap + wall, Corners::Round);
    if is_frame { back.subtract(&piece.offset(gap, Corners::Round)) } else { back }
}

fn measures_of(tray: &TrayOf, figures: &Figures) -> Option<(Mm, Mm)> {
    Some((tray.wall.value.length(&Sizes(figures))?, tray.gap.value.length(&Sizes(figures))?))
}

/// The other part of the same tray, where the recipe has it.
fn other_part<'a>(tray: &TrayOf, figure: &Figure, bench: Bench<'a>) -> Option<(&'a Figure, &'a TrayOf)> {
    bench.recipe.figures.iter().find_map(|other| match &other.kind {
        FigureKind::Tray(of)
            if of.of.value == tray.of.value && of.is_frame != tray.is_frame && other.name != figure.name =>
        {
            Some((other, of))
        }
        _ => None,
    })
}

fn parts_differ(tray: &TrayOf, figure: &Figure, other: &Figure) -> Diagnostic {
    let message = format!("frame and backing board of `{}` are made with different measures", tray.of.value);
    Diagnostic::new(&PARTS_DIFFER, message)
        .at(figure.head, "other wall or other gap")
        .also(other.head, "than here")
        .because("the two parts would not meet at their edges")
        .repair("write the same `wall` and `gap` on both")
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::FillRule;
    use kurbo::{Circle, Rect, Shape};

    fn region(shape: &impl Shape) -> Region {
        Region::from_path(&shape.to_path(1e-4), FillRule::NonZero).unwrap()
    }

    #[test]
    fn frames_and_backs_have_their_closed_forms() {
        let measures = (Mm::new(12.0), Mm::new(0.5));
        let pi = std::f64::consts::PI;
        // A disc of 40 mm radius: a ring from 40.5 to 52.5, a back of 52.5.
        let disc = region(&Circle::new((0.0, 0.0), 40.0));
        let area = |piece: &Region, is_frame| part(piece, measures, is_frame).area().get();
        assert!((area(&disc, true) - pi * (52.5 * 52.5 - 40.5 * 40.5)).abs() < 1.0);
        assert!((area(&disc, false) - pi * 52.5 * 52.5).abs() < 1.0);
        // A rectangle grown by r: area + perimeter r + pi r² (Steiner's formula).
        let (w, h) = (120.0, 90.0);
        let grown = |r: f64| w * h + 2.0 * (w + h) * r + pi * r * r;
        let sheet = region(&Rect::new(0.0, 0.0, w, h));
        assert!((area(&sheet, true) - (grown(12.5) - grown(0.5))).abs() < 1.0);
    }

    #[test]
    fn holes_of_the_piece_are_neither_in_the_frame_nor_in_the_back() {
        let (outer, hole) = (Circle::new((0.0, 0.0), 40.0), Circle::new((0.0, 0.0), 10.0));
        let ring = region(&outer).subtract(&region(&hole));
        let back = part(&ring, (Mm::new(12.0), Mm::ZERO), false);
        assert_eq!(back.contours().len(), 1);
    }
}
