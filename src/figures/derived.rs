//! `offset`, `puzzle` and `register` figures: made from figures that already lie on the sheet.

use super::bench::{Bench, any_length, geometry_failure, positive};
use super::body::area_of;
use super::offset_parts;
use super::placed::{Figures, Made};
use crate::diagnostics::{Diagnostic, Finding, Severity, Sink};
use crate::geometry::{Caps, Drawing, GeometryError, Line, Part, Pen, Region};
use crate::layout::Frames;
use crate::puzzle::{Character, Lattice, PuzzleError, PuzzleLayout, PuzzleRequest, lay_out};
use crate::recipe::{Figure, OffsetOf, PiecesWanted, PuzzleOf, RegisterMarks};
use crate::source::Span;
use crate::units::Mm;
use kurbo::{BezPath, ParamCurve, Point};
use std::sync::Arc;

pub(super) static VANISHED: Finding = Finding {
    rule: "offset/vanished",
    severity: Severity::Error,
    title: "an inside offset leaves nothing",
    explanation: "Everything of the figure is narrower than twice the distance, so nothing of it lies that far inside.",
    wrong: "offset \"inline\" of=\"date\" by=\"6 mm\" side=\"inside\"",
    right: "offset \"inline\" of=\"date\" by=\"0.3 mm\" side=\"inside\"",
};

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
    title: "no rows and columns give that number of pieces",
    explanation: "A grid gives rows times columns pieces, and pieces more than half as long again as wide look and hold \
        badly. Some numbers have no such grid on some boards; the message names the nearest that do.",
    wrong: "puzzle \"pieces\" of=\"board\" pieces=13 seed=\"pond\"",
    right: "puzzle \"pieces\" of=\"board\" pieces=15 seed=\"pond\"",
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
    title: "the figure that is taken apart is not one outline without holes",
    explanation: "Seams are laid out inside one closed outline without holes.",
    wrong: "shape \"ring\" { subtract { circle \"200 mm\"; circle \"80 mm\" } }\npuzzle \"pieces\" of=\"ring\" pieces=15 seed=\"pond\"",
    right: "shape \"disc\" { circle \"200 mm\" }\npuzzle \"pieces\" of=\"disc\" pieces=15 seed=\"pond\"",
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

/// The outline beside another figure.
pub(super) fn offset(
    offset: &OffsetOf,
    figure: &Figure,
    bench: Bench,
    figures: &Figures,
    sink: &mut Sink,
) -> Option<Made> {
    let by = positive(&offset.by, figures, sink)?;
    let source = &figures.get(&offset.of.value)?.drawing;
    let made_from = (&source.ink, &source.lines, by, offset.inside, offset.corners, offset.holes);
    let region = bench.cache.get(&made_from, figure.head, &mut Sink::new(), |_| offset_region(source, by, offset));
    let region = match region.as_ref() {
        Ok(region) => region,
        Err(error) => {
            sink.push(geometry_failure(*error, figure.head));
            return None;
        }
    };
    if region.is_empty() {
        sink.push(
            Diagnostic::new(&VANISHED, format!("nothing of `{}` lies {by} inside", offset.of.value))
                .at(offset.by.span, "leaves nothing")
                .because("there would be nothing to burn")
                .repair("make the distance smaller"),
        );
        return None;
    }
    // Findings point at the recipe's text, so where that stands counts too.
    let told_of = (
        "offset parts",
        made_from,
        &offset.of,
        offset.by.span,
        offset_parts::is_of_lettering(offset, bench.recipe),
    );
    bench.cache.get(&told_of, figure.head, sink, |sink| {
        offset_parts::tell(offset, by, region, bench.recipe, figures, sink);
    });
    Some(Made::of(Drawing::of_region(region.clone())))
}

/// The area that an offset follows.
pub(super) fn source_area(source: &Drawing, offset: &OffsetOf) -> Result<Region, GeometryError> {
    let area = area_of(source)?;
    Ok(if offset.holes { area } else { area.without_holes() })
}

fn offset_region(source: &Drawing, by: Mm, offset: &OffsetOf) -> Result<Region, GeometryError> {
    let area = source_area(source, offset)?;
    if offset.inside {
        return Ok(area.offset(-by, offset.corners));
    }
    // A line without a drawn width has an outside too: everything within the distance of it.
    let bare: Vec<Line> = source.lines.iter().filter(|l| l.width.is_none()).cloned().collect();
    let pen = Pen { caps: Caps::Round, corners: offset.corners };
    let about = |l: &Line| Line { width: Some(by * 2.0), pen, ..l.clone() };
    let beside = Region::from_strokes(&bare.iter().map(about).collect::<Vec<_>>())?;
    Ok(Region::union(&[&area.offset(by, offset.corners), &beside]))
}

/// The seams of a puzzle.
pub(super) fn puzzle(
    puzzle: &PuzzleOf,
    figure: &Figure,
    bench: Bench,
    figures: &Figures,
    sink: &mut Sink,
) -> Option<Made> {
    let wanted = bench.recipe.stock.as_ref()?;
    let stock = bench.recipe.shop.stocks.iter().find(|s| s.name == wanted.value)?;
    let Some(kerf) = stock.kerf else {
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
    };
    let layout: Arc<Result<Arc<PuzzleLayout>, PuzzleError>> =
        bench.cache.get(&request, figure.head, &mut Sink::new(), |_| lay_out(&request).map(Arc::new));
    match layout.as_ref() {
        Ok(layout) => Some(Made { puzzle: Some(Arc::clone(layout)), ..Made::of(seams(layout)) }),
        Err(error) => {
            sink.push(puzzle_failure(*error, puzzle, figure.head));
            None
        }
    }
}

/// Seams go on beyond the line they end on by this (mm). It lies well inside the kerf of that line, so nothing is to be
/// seen of it, but coordinates rounded to micrometres can no longer leave a whisker that holds two pieces together.
const OVERCUT: f64 = 0.01;

/// The seams as lines without a width.
fn seams(layout: &PuzzleLayout) -> Drawing {
    lines_only(layout.seams.iter().map(overcut).collect())
}

/// A seam made longer at both ends, straight on.
fn overcut(seam: &BezPath) -> BezPath {
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

fn lines_only(paths: Vec<BezPath>) -> Drawing {
    let part = |path: &BezPath| Part { element: None, path: path.clone(), filled: false, open: Vec::new() };
    let parts = paths.iter().map(part).collect();
    Drawing {
        ink: Region::empty(),
        lines: paths.into_iter().map(|path| Line { path, width: None, pen: Pen::default() }).collect(),
        parts,
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
            .repair(format!("ask for {most} pieces or fewer, or a thinner stock")),
        PuzzleError::NoRoom { .. } => Diagnostic::new(&NO_ROOM, error.to_string())
            .at(puzzle.clearance.span, "clearance asked for")
            .because("two cuts would lie so near that the strip between them burns away")
            .repair("ask for fewer pieces, a smaller clearance or another seed"),
        PuzzleError::BoardNotWhole { .. } => Diagnostic::new(&BOARD_SHAPE, error.to_string())
            .at(puzzle.of.span, "not one outline without holes")
            .repair("cut holes as a shape of their own, and take the outline without them apart"),
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

/// Four corner marks round the box of a figure.
pub(super) fn register(marks: &RegisterMarks, figures: &Figures, sink: &mut Sink) -> Option<Drawing> {
    let frame = figures.frame(&marks.around.value)?;
    let (gap, arm) = (positive(&marks.gap, figures, sink), positive(&marks.arm, figures, sink));
    let (gap, arm) = (gap?.get(), arm?.get());
    let outer = frame.inflate(gap, gap);
    let corner = |x: f64, y: f64, right: f64, down: f64| {
        let mut path = BezPath::new();
        path.move_to(Point::new(x + right * arm, y));
        path.line_to(Point::new(x, y));
        path.line_to(Point::new(x, y + down * arm));
        path
    };
    Some(lines_only(vec![
        corner(outer.x0, outer.y0, 1.0, 1.0),
        corner(outer.x1, outer.y0, -1.0, 1.0),
        corner(outer.x1, outer.y1, -1.0, -1.0),
        corner(outer.x0, outer.y1, 1.0, -1.0),
    ]))
}
