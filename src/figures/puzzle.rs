//! `puzzle` figures: seams that take a figure apart.

use super::alike_seams;
use super::bench::{Bench, any_length};
use super::placed::{Figures, Made};
use crate::cache::MadeFrom;
use crate::diagnostics::{Diagnostic, Finding, Severity, Sink};
use crate::geometry::{Drawing, Region};
use crate::puzzle::{Character, Lattice, PuzzleError, PuzzleLayout, PuzzleRequest, lay_out};
use crate::recipe::{Figure, PiecesWanted, PuzzleOf};
use crate::source::Span;
use kurbo::{BezPath, ParamCurve, PathEl, Point};
use std::sync::Arc;

pub(super) static NO_KERF: Finding = Finding {
    rule: "puzzle/no-kerf",
    severity: Severity::Error,
    title: "a puzzle is planned on a stock whose kerf was not measured",
    explanation: "Every seam loses the width of the cut. Whether knobs hold and necks stay strong enough can only be said \
        with the measured kerf of this machine on this stock.",
    wrong: "stock \"birch-3\" material=\"birch plywood\" thickness=\"3.1 mm\"",
    right: "stock \"birch-3\" material=\"birch plywood\" thickness=\"3.1 mm\" kerf=\"0.16 mm\"",
};

pub(super) static NO_SUCH_GRID: Finding = Finding {
    rule: "puzzle/no-such-grid",
    severity: Severity::Error,
    title: "a board cannot be cut into that number of pieces",
    explanation: "A puzzle has two pieces or more, besides its whimsies. Pieces more than half as long again as wide look and \
        hold badly, and outlines that are no rectangles are cut into a limited number.",
    wrong: "shape \"disc\" { circle \"60 mm\" }\npuzzle \"pieces\" of=\"board\" pieces=2 seed=\"pond\" { whimsy \"disc\" }",
    right: "shape \"disc\" { circle \"60 mm\" }\npuzzle \"pieces\" of=\"board\" pieces=8 seed=\"pond\" { whimsy \"disc\" }",
};

pub(super) static PIECES_TOO_SMALL: Finding = Finding {
    rule: "puzzle/pieces-too-small",
    severity: Severity::Error,
    title: "pieces would be too small for knobs that hold",
    explanation: "A knob needs a neck that does not break and a head that the kerf does not eat. Below a least size of \
        piece, which depends on thickness and kerf, both cannot be had.",
    wrong: "puzzle \"pieces\" of=\"board\" pieces=4000 seed=\"pond\"",
    right: "puzzle \"pieces\" of=\"board\" pieces=80 seed=\"pond\"",
};

pub(super) static BOARD_SHAPE: Finding = Finding {
    rule: "puzzle/board-shape",
    severity: Severity::Error,
    title: "the figure that is taken apart is not one area, or has a hole too small for seams",
    explanation: "Seams are laid out inside one area, with holes in it or without. Parts that do not hang together are a \
        puzzle each. Seams end on holes, so holes are about as large as a piece.",
    wrong: "shape \"pair\" { circle \"80 mm\"; circle \"80 mm\" right=\"100 mm\" }\npuzzle \"pieces\" of=\"pair\" pieces=15 seed=\"pond\"",
    right: "shape \"disc\" { circle \"160 mm\" }\npuzzle \"pieces\" of=\"disc\" pieces=15 seed=\"pond\"",
};

pub(super) static NO_ROOM: Finding = Finding {
    rule: "puzzle/no-room",
    severity: Severity::Error,
    title: "a knob finds no place",
    explanation: "Every knob has to keep clear of all other seams by the `clearance`. Fewer pieces, a smaller clearance or \
        another seed give it room.",
    wrong: "puzzle \"pieces\" of=\"board\" pieces=15 seed=\"pond\" clearance=\"20 mm\"",
    right: "puzzle \"pieces\" of=\"board\" pieces=15 seed=\"pond\" clearance=\"2 mm\"",
};

pub(super) static OTHER_NUMBER: Finding = Finding {
    rule: "puzzle/other-number",
    severity: Severity::Warning,
    title: "a board is cut into another number of pieces than asked for",
    explanation: "Rows and columns, or a lattice fitted to the outline, do not come out at every number: pieces would become \
        too long, or slivers would be left. The nearest number that comes out sound is cut.",
    wrong: "shape \"sea\" { rectangle \"590 mm\" \"590 mm\" }\npuzzle \"pieces\" of=\"sea\" pieces=1009 seed=\"pond\"",
    right: "shape \"sea\" { rectangle \"590 mm\" \"590 mm\" }\npuzzle \"pieces\" of=\"sea\" pieces=1008 seed=\"pond\"",
};

pub(super) static WHIMSY_SHAPE: Finding = Finding {
    rule: "puzzle/whimsy-shape",
    severity: Severity::Error,
    title: "a whimsy cannot be a piece",
    explanation: "A whimsy becomes a piece as it is. A line encloses no piece, a hole would be another piece inside it, and what \
        is thin all over breaks.",
    wrong: "shape \"ring\" { subtract { circle \"40 mm\"; circle \"20 mm\" } }\npuzzle \"pieces\" of=\"board\" pieces=15 seed=\"pond\" { whimsy \"ring\" }",
    right: "shape \"disc\" { circle \"40 mm\" }\npuzzle \"pieces\" of=\"board\" pieces=15 seed=\"pond\" { whimsy \"disc\" }",
};

pub(super) static WHIMSY_PLACE: Finding = Finding {
    rule: "puzzle/whimsy-place",
    severity: Severity::Error,
    title: "a whimsy leaves no room for the pieces beside it",
    explanation: "A whimsy lies inside the board, half a piece or more from its edge, from holes and from other whimsies: the \
        pieces in between need room for knobs.",
    wrong: "shape \"disc\" { circle \"40 mm\"; place left=\"board\" }\npuzzle \"pieces\" of=\"board\" pieces=15 seed=\"pond\" { whimsy \"disc\" }",
    right: "shape \"disc\" { circle \"40 mm\"; place centre=\"board\" }\npuzzle \"pieces\" of=\"board\" pieces=15 seed=\"pond\" { whimsy \"disc\" }",
};

/// The seams of a puzzle.
pub(super) fn puzzle(
    puzzle: &PuzzleOf,
    figure: &Figure,
    bench: Bench,
    figures: &Figures,
    sink: &mut Sink,
) -> Option<Made> {
    let stock = bench.recipe.chosen_stock()?;
    let Some(kerf) = bench.recipe.kerf_along(&figure.name.value) else {
        sink.push(
            Diagnostic::new(&NO_KERF, format!("the kerf of stock `{}` was not measured", stock.name))
                .at(figure.head, "needs it")
                .also(stock.span, "add `kerf=` here")
                .because("knobs may fall out and necks may break")
                .repair("measure it with a comb of strips and write it down in the shop file"),
        );
        return None;
    };
    let request = PuzzleRequest {
        board: figures.get(&puzzle.of.value)?.drawing.ink.clone(),
        whimsies: whimsies(puzzle, figures)?,
        lattice: match puzzle.wanted {
            PiecesWanted::Pieces(n, _) => Lattice::Pieces(n as usize),
            PiecesWanted::Grid { rows, columns, .. } => {
                Lattice::Grid { rows: rows as usize, columns: columns as usize }
            }
        },
        seed: puzzle.seed.text.clone(),
        knob: match puzzle.knob {
            "wavy" => Character::Wavy,
            "angular" => Character::Angular,
            _ => Character::Round,
        },
        kerf,
        thickness: stock.thickness,
        clearance: any_length(&puzzle.clearance, figures, sink)?,
        variety: puzzle.variety,
        distinct: puzzle.distinct.as_ref().map(|d| d.value),
        faces_alike: puzzle.faces_alike,
    };
    let layout: Arc<Result<Arc<PuzzleLayout>, PuzzleError>> =
        bench.cache.keep(MadeFrom::kind("puzzle").shown(&request), || lay_out(&request).map(Arc::new));
    match layout.as_ref() {
        Ok(layout) => {
            tell_number(layout, puzzle, sink);
            alike_seams::tell(layout, puzzle, figure.head, sink);
            Some(Made { puzzle: Some(Arc::clone(layout)), ..Made::of(seams(layout)) })
        }
        Err(error) => {
            sink.push(puzzle_failure(*error, puzzle, figure.head));
            None
        }
    }
}

/// The areas of the figures that become pieces; `None` when one has not been made.
fn whimsies(puzzle: &PuzzleOf, figures: &Figures) -> Option<Vec<Region>> {
    puzzle.whimsies.iter().map(|w| Some(figures.get(&w.value)?.drawing.ink.clone())).collect()
}

/// Says so when there are more or fewer pieces than asked for.
fn tell_number(layout: &PuzzleLayout, puzzle: &PuzzleOf, sink: &mut Sink) {
    let (PiecesWanted::Pieces(wanted, span), found) = (puzzle.wanted, layout.pieces.len()) else { return };
    if found != wanted as usize {
        sink.push(
            Diagnostic::new(&OTHER_NUMBER, format!("the board is cut into {found} pieces, not into {wanted}"))
                .at(span, format!("no lattice gives {wanted} sound pieces here"))
                .because("the key, the count and the box would say another number than the maker asked for")
                .repair(format!("write `pieces={found}`, or try another seed")),
        );
    }
}

/// Seams go on beyond the line they end on by this (mm). It lies well inside the kerf of that line, so nothing is to be
/// seen of it, but coordinates rounded to micrometres can no longer leave a whisker that holds two pieces together.
const OVERCUT: f64 = 0.01;

/// The seams as lines without a width.
fn seams(layout: &PuzzleLayout) -> Drawing {
    Drawing::of_bare_lines(layout.seams.iter().map(overcut).collect())
}

/// A seam made longer at both ends, straight on; a closed line has none.
fn overcut(seam: &BezPath) -> BezPath {
    if seam.elements().last() == Some(&PathEl::ClosePath) {
        return seam.clone();
    }
    let (Some(first), Some(last)) = (seam.segments().next(), seam.segments().last()) else { return seam.clone() };
    let beyond = |end: Point, inner: Point| {
        let away = end - inner;
        if away.hypot() > 0.0 { end + away * (OVERCUT / away.hypot()) } else { end }
    };
    let mut path = BezPath::new();
    path.move_to(beyond(first.start(), first.eval(END)));
    path.line_to(first.start());
    path.extend(seam.elements().iter().skip(1).copied());
    path.line_to(beyond(last.end(), last.eval(1.0 - END)));
    path
}

/// The direction at an end of a seam is taken from this share of its last curve.
const END: f64 = 1e-3;

fn wanted_pieces(puzzle: &PuzzleOf) -> Option<usize> {
    match puzzle.wanted {
        PiecesWanted::Pieces(n, _) => Some(n as usize),
        PiecesWanted::Grid { .. } => None,
    }
}

fn puzzle_failure(error: PuzzleError, puzzle: &PuzzleOf, head: Span) -> Diagnostic {
    let wanted = match puzzle.wanted {
        PiecesWanted::Pieces(_, span) | PiecesWanted::Grid { span, .. } => span,
    };
    match error {
        PuzzleError::NoSuchGrid { below, above, .. } => {
            let near: Vec<String> =
                [below, above].into_iter().flatten().map(|n| format!("`pieces={n}`")).collect();
            let diagnostic = Diagnostic::new(&NO_SUCH_GRID, error.to_string()).at(wanted, "has no good grid here");
            if near.is_empty() { diagnostic } else { diagnostic.repair(format!("write {}", near.join(" or "))) }
        }
        PuzzleError::PiecesTooSmall { most, .. } => Diagnostic::new(&PIECES_TOO_SMALL, error.to_string())
            .at(wanted, "too many for this board")
            .because("necks would break and knobs would slip out")
            .repair(match wanted_pieces(puzzle) {
                Some(pieces) if most < pieces => format!("ask for {most} pieces or fewer, or a thinner stock"),
                _ => "ask for fewer pieces, or a thinner stock".to_owned(),
            }),
        PuzzleError::NoRoom { .. } => Diagnostic::new(&NO_ROOM, error.to_string())
            .at(puzzle.clearance.span, "clearance asked for")
            .because("two cuts would lie so near that the strip between them burns away")
            .repair("ask for fewer pieces, a smaller clearance or another seed"),
        PuzzleError::BoardNotWhole { .. } => Diagnostic::new(&BOARD_SHAPE, error.to_string())
            .at(puzzle.of.span, "not in one part")
            .because("parts that do not hang together cannot share seams")
            .repair("write one puzzle for each part"),
        PuzzleError::WhimsyNotWhole { index } => Diagnostic::new(&WHIMSY_SHAPE, error.to_string())
            .at(puzzle.whimsies[index].span, "is no area, or has a hole")
            .because("the hole would drop out as a piece of its own")
            .repair("name a shape without holes, or an `offset` of it with `holes=#false`"),
        PuzzleError::WhimsyTooThin { index, .. } => Diagnostic::new(&WHIMSY_SHAPE, error.to_string())
            .at(puzzle.whimsies[index].span, "is thinner than that, or a part of it is")
            .because("the kerf takes its width, and what is left breaks")
            .repair("make it larger, or engrave it instead"),
        PuzzleError::HoleTooSmall { .. } => Diagnostic::new(&BOARD_SHAPE, error.to_string())
            .at(puzzle.of.span, "has that hole")
            .because("the seams round it would leave slivers")
            .repair("take the outline without the hole apart, cut the hole as a shape of its own, and look that no seam runs through it"),
        PuzzleError::WhimsyTooNear { index, .. } => Diagnostic::new(&WHIMSY_PLACE, error.to_string())
            .at(puzzle.whimsies[index].span, "lies here")
            .because("the piece in between would have no knobs, or break")
            .repair("move it, make it smaller, or ask for more pieces, which are smaller"),
        PuzzleError::TooManyForOutline { most, .. } => Diagnostic::new(&NO_SUCH_GRID, error.to_string())
            .at(wanted, "too many for an outline that is no rectangle")
            .repair(format!("ask for {most} pieces or fewer")),
        PuzzleError::NoLatticeForOutline { .. } => Diagnostic::new(&NO_SUCH_GRID, error.to_string())
            .at(wanted, "does not come out in this outline")
            .repair("ask for a piece more or less, or change the seed"),
        PuzzleError::BadMeasure { .. } | PuzzleError::Unproven { .. } => {
            Diagnostic::new(&NO_ROOM, error.to_string()).at(head, "cannot be laid out").repair("try another seed")
        }
    }
}
