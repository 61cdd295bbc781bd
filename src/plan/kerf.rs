//! On which side of the drawn lines a cut is made, and how large what it cuts out comes out.
//!
//! The beam takes away half the kerf to either side of the line it follows. On the line, a part comes out a kerf smaller
//! than drawn, and an opening a kerf larger. On the waste side, the outlines of parts are followed half a kerf outside
//! and those of openings half a kerf inside, so that both come out as drawn.
//!
//! All closed outlines of one operation count together: one that lies in no other is a part, one in a part an opening,
//! one in an opening a part again. An outline cut in an operation of its own is a part, wherever it lies.

use super::model::{Beam, Finished, SeamCut};
use super::strokes::lines_of;
use crate::diagnostics::{Diagnostic, Finding, Severity, Sink};
use crate::figures::{Placed, not_measured};
use crate::geometry::{Corners, FillRule, Loss, Region, is_closed, length, nearest};
use crate::recipe::{Figure, FigureKind, OperationNode, Recipe};
use crate::shop::{OperationKind, Stock};
use crate::source::Spanned;
use crate::units::Mm;
use crate::units::number::fixed;
use kurbo::{BezPath, Point, Rect, Shape};

pub(super) static FEATURE_LOST: Finding = Finding {
    rule: "kerf/feature-lost",
    severity: Severity::Error,
    title: "an opening, slot or gap is too narrow for the beam",
    explanation: "With the beam on the waste side, the waste has to be wider than the kerf everywhere. An opening or slot \
        that is narrower cannot be cut to its size, and of two parts with less than a kerf between them each would be cut \
        into by the cut of the other. A line that two parts share, such as the seam of a puzzle, cannot keep both to \
        their size: cut it on the line.",
    wrong: "board { subtract { circle \"95 mm\"; rectangle \"40 mm\" \"0.1 mm\" } }\nrun \"all\" { cut \"board\" beam=\"waste-side\" }",
    right: "board { subtract { circle \"95 mm\"; rectangle \"40 mm\" \"3 mm\" } }\nrun \"all\" { cut \"board\" beam=\"waste-side\" }",
};

pub(super) static NO_WASTE_SIDE: Finding = Finding {
    rule: "kerf/no-waste-side",
    severity: Severity::Warning,
    title: "a line has no waste side",
    explanation: "An open line and the seam of a puzzle have material on both sides that is kept. The beam stays on such a \
        line, and what lies beside it loses half a kerf.",
    wrong: "shape \"rule\" { line { point; point right=\"20 mm\" } }\nrun \"all\" { cut \"rule\" \"board\" beam=\"waste-side\" }",
    right: "shape \"rule\" { line { point; point right=\"20 mm\" } }\nrun \"all\" { cut \"rule\"; cut \"board\" beam=\"waste-side\" }",
};

pub(super) static OUTLINES_CROSS: Finding = Finding {
    rule: "kerf/outlines-cross",
    severity: Severity::Error,
    title: "outlines cross or touch, so that none has a waste side",
    explanation: "Which side of an outline is waste follows from how the outlines of an operation lie in each other. \
        Where two of them cross or share a line, there is no such side.",
    wrong: "shape \"rings\" { circle \"30 mm\" }\nshape \"more\" { circle \"30 mm\" right=\"20 mm\" }\nrun \"out\" { cut \"rings\" \"more\" beam=\"waste-side\" }",
    right: "shape \"rings\" { circle \"30 mm\"; circle \"30 mm\" right=\"20 mm\" }\nrun \"out\" { cut \"rings\" beam=\"waste-side\" }",
};

pub(super) static TWICE: Finding = Finding {
    rule: "kerf/taken-twice",
    severity: Severity::Error,
    title: "the kerf is taken into account twice",
    explanation: "An `inlay` is the path of the beam: half the kerf is in it already. On the waste side of it, the insert would \
        come out larger than the pocket by as much again. So it is with pieces that are cut one by one.",
    wrong: "inlay \"sun-in\" of=\"sun\" piece=\"insert\" gap=\"0.05 mm\"\nrun \"out\" { cut \"sun-in\" beam=\"waste-side\" }",
    right: "inlay \"sun-in\" of=\"sun\" piece=\"insert\" gap=\"0.05 mm\"\nrun \"out\" { cut \"sun-in\" }",
};

/// Outlines smaller than this (mm²) enclose nothing that could be a part or an opening.
const SPECK: f64 = 0.05;

/// More pairs of outlines than this are not searched for the place where two meet.
const MOST_PAIRS: usize = 2_000;

/// The lines of a cut and what comes out.
#[derive(Default)]
pub(super) struct CutLines {
    pub lines: Vec<BezPath>,
    pub finished: Option<Finished>,
    pub seams: Option<SeamCut>,
}

/// A figure that a cut names.
struct Named<'a> {
    name: &'a Spanned<String>,
    placed: &'a Placed,
    figure: Option<&'a Figure>,
}

/// The lines that a cut of that kerf follows. Reports what cannot be cut as asked for.
pub(super) fn cut_lines(
    node: &OperationNode,
    placed: &[&Placed],
    recipe: &Recipe,
    (stock, kerf): (&Stock, Option<Mm>),
    sink: &mut Sink,
) -> CutLines {
    let named: Vec<Named> = node
        .figures
        .iter()
        .zip(placed)
        .map(|(name, placed)| Named { name, placed, figure: recipe.figure(&name.value) })
        .collect();
    let (closed, open): (Vec<BezPath>, Vec<BezPath>) =
        lines_of(placed.iter().map(|p| p.drawing.as_ref())).into_iter().partition(is_closed);
    let size = drawn_size(&closed).filter(|_| !named.iter().any(is_inlay));
    let finished = |beam, size: Rect| {
        kerf.map(|kerf| Finished { beam, kerf, width: Mm::new(size.width()), height: Mm::new(size.height()) })
    };
    let has_seams = named.iter().any(|n| n.figure.is_some_and(Figure::is_seams));
    let seams = has_seams.then_some(SeamCut::Shared { kerf });
    let as_drawn = || CutLines {
        lines: closed.iter().chain(&open).cloned().collect(),
        finished: size.and_then(|s| finished(Beam::OnLine, s)),
        seams,
    };
    let Some(asked) = node.waste_side.filter(|_| node.kind == OperationKind::Cut) else { return as_drawn() };
    let Some(kerf) = kerf else {
        sink.push(not_measured(stock, asked));
        return as_drawn();
    };
    if let Some(inlay) = named.iter().find(|n| is_inlay(n)) {
        sink.push(twice(inlay.name, asked));
        return as_drawn();
    }
    let of_seams = named.iter().filter(|n| n.figure.is_some_and(Figure::is_seams));
    for open in of_seams.chain(named.iter().filter(|n| has_open_line(n))) {
        sink.push(no_waste_side(open.name, asked));
    }
    let Some(beside) = beside(&closed, kerf, node, sink) else { return as_drawn() };
    let lines = beside.contours().iter().cloned().chain(open).collect();
    CutLines { lines, finished: size.and_then(|s| finished(Beam::WasteSide, s)), seams }
}

fn is_inlay(named: &Named) -> bool {
    matches!(named.figure.map(|f| &f.kind), Some(FigureKind::Inlay(_)))
}

fn has_open_line(named: &Named) -> bool {
    !named.figure.is_some_and(Figure::is_seams) && named.placed.drawing.lines.iter().any(|l| !is_closed(&l.path))
}

/// The box of the largest outline, which is that of a part: it lies in no other.
fn drawn_size(closed: &[BezPath]) -> Option<Rect> {
    let area = |p: &&BezPath| p.area().abs();
    let largest = closed.iter().max_by(|a, b| area(a).total_cmp(&area(b)))?;
    (area(&largest) > SPECK).then(|| largest.bounding_box())
}

/// The outlines half a kerf into the waste.
fn beside(closed: &[BezPath], kerf: Mm, node: &OperationNode, sink: &mut Sink) -> Option<Region> {
    let outlines: Vec<&BezPath> = closed.iter().filter(|c| c.area().abs() > SPECK).collect();
    let all = BezPath::from_vec(outlines.iter().flat_map(|c| c.elements().iter().copied()).collect());
    // By the even-odd rule, what lies in an outline is its opening, and what lies in that a part again.
    let parts = Region::from_path(&all, FillRule::EvenOdd).ok()?;
    if !is_made_of(&parts, &outlines) {
        sink.push(outlines_cross(&outlines, node));
        return None;
    }
    let half = kerf / 2.0;
    if let Some(lost) = parts.lost_when_grown(half) {
        sink.push(feature_lost(lost.loss, lost.at, kerf, node));
        return None;
    }
    Some(parts.offset(half, Corners::Round))
}

fn twice(inlay: &Spanned<String>, asked: crate::source::Span) -> Diagnostic {
    Diagnostic::new(&TWICE, format!("`{}` is an inlay, which has its kerf already", inlay.value))
        .at(asked, "takes it into account again")
        .also(inlay.span, "this inlay")
        .because("insert and pocket would be off by half a kerf on every side")
        .repair("leave out `beam=`, or cut the inlay in an operation of its own")
}

fn no_waste_side(name: &Spanned<String>, asked: crate::source::Span) -> Diagnostic {
    Diagnostic::new(&NO_WASTE_SIDE, format!("lines of `{}` have material on both sides", name.value))
        .at(name.span, "stays on the line")
        .also(asked, "asked for here")
        .because("what lies beside these lines comes out half a kerf smaller than drawn on that side")
        .repair("cut them in an operation of their own, without `beam=`")
}

fn outlines_cross(outlines: &[&BezPath], node: &OperationNode) -> Diagnostic {
    let place = meeting(outlines).map_or_else(String::new, |at| format!(": they meet {}", place(at)));
    Diagnostic::new(&OUTLINES_CROSS, "outlines of this cut cross or touch each other".to_owned())
        .at(node.waste_side.unwrap_or(node.head), format!("neither side is waste{place}"))
        .because("what is cut out would lose half a kerf on one side and keep it on the other")
        .repair("weld the figures into one shape, cut them in operations of their own, or leave out `beam=`")
}

/// Whether the contours of the parts are those outlines: as many, and as large together. Where two cross, the even-odd
/// rule leaves crescents, which are smaller; where they share a line, fewer.
fn is_made_of(parts: &Region, outlines: &[&BezPath]) -> bool {
    let found: Vec<f64> = parts.contours().iter().map(|c| c.area().abs()).filter(|a| *a > SPECK).collect();
    let drawn: f64 = outlines.iter().map(|o| o.area().abs()).sum();
    let perimeter: f64 = outlines.iter().map(|o| length(o).get()).sum();
    // Flattening moves an outline by thousandths of a millimetre, and so the areas by that times their outline.
    found.len() == outlines.len() && (found.iter().sum::<f64>() - drawn).abs() <= 0.004 * perimeter
}

/// Where two outlines meet.
fn meeting(outlines: &[&BezPath]) -> Option<Point> {
    let boxes: Vec<Rect> = outlines.iter().map(Shape::bounding_box).collect();
    let pairs = (0..outlines.len()).flat_map(|i| (i + 1..outlines.len()).map(move |j| (i, j)));
    pairs.filter(|&(i, j)| boxes[i].inflate(0.01, 0.01).overlaps(boxes[j])).take(MOST_PAIRS).find_map(|(i, j)| {
        let found = nearest(std::slice::from_ref(outlines[i]), std::slice::from_ref(outlines[j]))?;
        (found.distance.get() < 1e-3).then_some(found.on_a)
    })
}

fn feature_lost(loss: Loss, at: Point, kerf: Mm, node: &OperationNode) -> Diagnostic {
    let what = match loss {
        Loss::Vanishes => "an opening is narrower than the kerf",
        Loss::Splits => "an opening or gap is narrower than the kerf at a neck, and would close there",
        Loss::BreaksThrough => "two parts lie less than a kerf apart",
        Loss::LosesLimb => "a slot is narrower than the kerf",
    };
    Diagnostic::new(&FEATURE_LOST, what.to_owned())
        .at(node.waste_side.unwrap_or(node.head), format!("no room for a cut of {kerf}, {}", place(at)))
        .because("the beam cannot keep to the waste there: it would cut into what is to keep its size")
        .repair("make it wider, or move the parts apart; or leave out `beam=` and let the beam follow the line")
}

/// Where a point lies on the sheet.
fn place(at: Point) -> String {
    format!("{} mm from the sheet's left and {} mm from its top edge", fixed(at.x, 1), fixed(at.y, 1))
}
