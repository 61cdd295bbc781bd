//! Pieces of a puzzle cut one by one, each along a line of its own.
//!
//! On a shared seam the beam takes half a kerf from the pieces on both sides, so a kerf lies between them. To fit as
//! asked, each piece is followed from outside: with kerf `k` and gap `g`, at `(k - g) / 2` beside its drawn outline. Two
//! such lines along one seam would burn away twice the kerf in place, so the pieces are pulled apart first.

use super::kerf::{CutLines, TWICE};
use super::model::SeamCut;
use crate::cache::{Cache, MadeFrom};
use crate::diagnostics::{Diagnostic, Finding, Severity, Sink};
use crate::figures::{Figures, Placed, Sizes};
use crate::geometry::{Corners, Region};
use crate::puzzle::{self, LEAST_UNDERCUT, PuzzleLayout};
use crate::recipe::{FigureKind, OperationNode, Recipe};
use crate::source::Span;
use crate::units::Mm;
use crate::units::number::fixed;
use kurbo::{Affine, BezPath, Rect, Vec2};
use rayon::prelude::*;
use std::sync::Arc;

pub(super) static NO_PIECES: Finding = Finding {
    rule: "cut/no-pieces",
    severity: Severity::Error,
    title: "pieces are to be cut one by one, and there are none or other things besides",
    explanation: "`seams=\"per-piece\"` pulls the pieces of one puzzle apart on the sheet. The board, shapes and traced seams \
        have no pieces, and what stays in its place would lie across them.",
    wrong: "cut \"board\" seams=\"per-piece\"",
    right: "cut \"board\" seams=\"shared\"",
};

pub(super) static FIT_BEYOND_HOLD: Finding = Finding {
    rule: "puzzle/fit-beyond-hold",
    severity: Severity::Error,
    title: "a fit with which pieces fall apart, or do not go together",
    explanation: "Half the gap is taken from every knob and given to every socket, so a wide gap lets knobs slip out. Knobs \
        that are much larger than their sockets split the piece instead of going in. How far below zero wood can be \
        pressed is tried on an offcut; the limit of 0.3 mm is our judgement.",
    wrong: "puzzle \"pieces\" of=\"board\" pieces=15 seed=\"pond\"\nrun \"out\" { cut \"pieces\" seams=\"per-piece\" fit=\"-1 mm\" }",
    right: "puzzle \"pieces\" of=\"board\" pieces=15 seed=\"pond\"\nrun \"out\" { cut \"pieces\" seams=\"per-piece\" fit=\"-0.05 mm\" }",
};

pub(super) static SHEET_TOO_SMALL: Finding = Finding {
    rule: "puzzle/sheet-too-small",
    severity: Severity::Error,
    title: "pieces that are cut one by one do not fit on the sheet",
    explanation: "Pieces that are cut one by one are pulled apart from the middle of the board, until their knobs are out of \
        their sockets and a strip of the sheet stays between any two. That takes a sheet about a third larger each way.",
    wrong: "sheet \"220 mm\" \"160 mm\"\nboard { rectangle \"200 mm\" \"140 mm\" }\npuzzle \"pieces\" of=\"board\" pieces=12 seed=\"pond\"\nrun \"out\" { cut \"pieces\" seams=\"per-piece\" }",
    right: "sheet \"320 mm\" \"230 mm\"\nboard { rectangle \"200 mm\" \"140 mm\" }\npuzzle \"pieces\" of=\"board\" pieces=12 seed=\"pond\"\nrun \"out\" { cut \"pieces\" seams=\"per-piece\" }",
};

/// The strip of the sheet that stays between two pieces: narrower ones char through and let go. A judgement of this
/// project, no source.
const STRIP: Mm = Mm::new(2.5);

/// The tightest press that is let through. A judgement of this project, no source.
const TIGHTEST: Mm = Mm::new(-0.3);

/// What pieces are cut from.
#[derive(Clone, Copy)]
pub(super) struct On<'a> {
    pub recipe: &'a Recipe,
    pub figures: &'a Figures,
    pub kerf: Option<Mm>,
    pub cache: &'a Cache,
}

/// How far each piece is moved so that it lies free of the others; `None` where they cannot be pulled apart.
pub(super) fn apart(outlines: &[&Region], kerf: Mm, cache: &Cache) -> Arc<Option<Vec<Vec2>>> {
    let gap = STRIP + kerf * 2.0;
    cache.keep(made_from("pieces apart", outlines, gap), || puzzle::apart(outlines, gap))
}

/// The start of a key for what is made from all pieces and a length.
fn made_from(what: &str, outlines: &[&Region], length: Mm) -> MadeFrom {
    let contours = outlines.iter().flat_map(|outline| outline.contours());
    contours.fold(MadeFrom::kind(what).number(length.get()), MadeFrom::path)
}

/// The line of each piece; nothing where they cannot be cut as asked for, which is reported.
pub(super) fn lines(node: &OperationNode, asked: Span, placed: &[&Placed], on: On, sink: &mut Sink) -> CutLines {
    made(node, asked, placed, on, sink).unwrap_or_default()
}

fn made(node: &OperationNode, asked: Span, placed: &[&Placed], on: On, sink: &mut Sink) -> Option<CutLines> {
    let is_puzzle = |name: &str| matches!(on.recipe.figure(name).map(|f| &f.kind), Some(FigureKind::Puzzle(_)));
    let stranger = node.figures.iter().find(|n| !is_puzzle(&n.value)).or_else(|| node.figures.get(1));
    if let Some(stranger) = stranger {
        sink.push(no_pieces(&stranger.value, stranger.span, asked));
        return None;
    }
    if let Some(beam) = node.waste_side {
        sink.push(twice(beam, asked));
        return None;
    }
    let (layout, kerf) = (placed.first()?.puzzle.as_ref()?, on.kerf?);
    let fit = match &node.fit {
        Some(written) => written.value.length(&Sizes(on.figures))?,
        None => Mm::ZERO,
    };
    let spare = layout.proofs.least_undercut.value - LEAST_UNDERCUT;
    if fit < TIGHTEST || spare < fit * 2.0 {
        let span = node.fit.as_ref().map_or(asked, |w| w.span);
        sink.push(beyond_hold(fit, spare / 2.0, span));
        return None;
    }
    let outlines: Vec<&Region> = layout.pieces.iter().map(|piece| &piece.outline).collect();
    let (apart, beside) = (apart(&outlines, kerf, on.cache), (kerf - fit) / 2.0);
    let apart = apart.as_ref().as_ref()?;
    let key = made_from("pieces one by one", &outlines, beside).number(kerf.get());
    let moved = on.cache.keep(key, || moved(layout, beside, apart));
    // A strip stays at the edges of the sheet too.
    let reach = (kerf / 2.0 + STRIP).get();
    let taken = moved.iter().filter_map(Region::bounds).reduce(|a, b| a.union(b))?.inflate(reach, reach);
    let Some(shift) = into(taken, on.figures.sheet()) else {
        sink.push(too_small(taken, on, asked));
        return None;
    };
    let movement = Affine::translate(shift);
    let lines: Vec<BezPath> = moved.iter().flat_map(Region::contours).map(|c| movement * c.clone()).collect();
    Some(CutLines { lines, finished: None, seams: Some(SeamCut::PerPiece { fit }) })
}

/// The outlines followed from outside, pulled apart.
fn moved(layout: &PuzzleLayout, beside: Mm, apart: &[Vec2]) -> Vec<Region> {
    let pieces: Vec<_> = layout.pieces.iter().zip(apart).collect();
    let of_one = |(piece, by): &(&crate::puzzle::PuzzlePiece, &Vec2)| {
        piece.outline.offset(beside, Corners::Round).transform(Affine::translate(**by))
    };
    pieces.par_iter().map(of_one).collect()
}

/// A movement that keeps a box within a larger one, as short as it can be; `None` where it does not fit.
fn into(inner: Rect, outer: Rect) -> Option<Vec2> {
    let along = |low: f64, high: f64, least: f64, most: f64| {
        (high - low <= most - least).then(|| (least - low).max(0.0) + (most - high).min(0.0))
    };
    Some(Vec2::new(along(inner.x0, inner.x1, outer.x0, outer.x1)?, along(inner.y0, inner.y1, outer.y0, outer.y1)?))
}

fn no_pieces(name: &str, at: Span, asked: Span) -> Diagnostic {
    Diagnostic::new(&NO_PIECES, format!("`{name}` has no pieces to be cut one by one here"))
        .at(at, "expected one puzzle and nothing else")
        .also(asked, "asked for here")
        .because("what stays in its place would lie across pieces that are pulled apart")
        .repair("leave out `seams=`, or name one puzzle alone")
}

fn twice(beam: Span, asked: Span) -> Diagnostic {
    Diagnostic::new(&TWICE, "pieces that are cut one by one have their kerf already".to_owned())
        .at(beam, "takes it into account again")
        .also(asked, "each piece is followed from outside")
        .because("every piece would be too large by half a kerf on every side")
        .repair("leave out `beam=` and say how close they fit with `fit=`")
}

fn beyond_hold(fit: Mm, loosest: Mm, at: Span) -> Diagnostic {
    let loosest = fixed((loosest.get().max(0.0) * 100.0).floor() / 100.0, 2);
    let (label, because) = if fit < TIGHTEST {
        (format!("tighter than {}", -TIGHTEST), "knobs would split the pieces instead of going in")
    } else {
        (format!("these knobs hold up to {loosest} mm"), "knobs would slip out of their sockets")
    };
    Diagnostic::new(&FIT_BEYOND_HOLD, format!("pieces do not hold together with a fit of {fit}"))
        .at(at, label)
        .because(because)
        .repair(format!("keep between {TIGHTEST} and {loosest} mm, and try it on an offcut"))
}

fn too_small(taken: Rect, on: On, asked: Span) -> Diagnostic {
    let sheet = on.figures.sheet();
    // Whole millimetres, rounded up, are what a sheet is sawn to.
    let needed = |length: f64| fixed(length.ceil(), 0);
    let (width, height) = (needed(taken.width()), needed(taken.height()));
    let have = (fixed(sheet.width(), 1), fixed(sheet.height(), 1));
    let written = on.recipe.sheet.as_ref().map_or(asked, |s| s.span);
    Diagnostic::new(&SHEET_TOO_SMALL, format!("the pieces, pulled apart, take {width} x {height} mm"))
        .at(asked, "each piece is cut for itself")
        .also(written, format!("the sheet is {} x {} mm", have.0, have.1))
        .because("pieces at the edge would be cut off, or the bed burned")
        .repair(format!(
            "take a sheet of {width} x {height} mm or more, a smaller board, more pieces, or `seams=\"shared\"`"
        ))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn boxes_are_moved_no_farther_than_they_have_to() {
        let sheet = Rect::new(0.0, 0.0, 100.0, 50.0);
        assert_eq!(into(Rect::new(-5.0, 10.0, 60.0, 40.0), sheet), Some(Vec2::new(5.0, 0.0)));
        assert_eq!(into(Rect::new(50.0, 30.0, 120.0, 70.0), sheet), Some(Vec2::new(-20.0, -20.0)));
        assert_eq!(into(Rect::new(0.0, 0.0, 101.0, 40.0), sheet), None);
    }
}
