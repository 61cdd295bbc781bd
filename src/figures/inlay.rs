//! Inlays: the paths of the beam for an insert and its pocket, from one outline.
//!
//! The pocket is cut along the drawn outline moved half a kerf inwards, so it comes out as drawn, but for its corners:
//! the round beam leaves arcs of half a kerf there. The insert is cut outside, and leaves arcs in the corners that point
//! inwards. Both are taken from one outline `F` that has such arcs already: the drawn one, shrunk by half the
//! pocket's kerf `p` and grown again, and filled in at inner corners with the radius that the insert needs. With half
//! the insert's kerf `i` and the gap `g` (negative for a press), the insert's path lies `i - g` outside of `F` and the
//! pocket's `p` inside of it. After burning, `p` and `i` are gone from the two sides, and `g` is left between
//! them all round.

use super::bench::{Bench, Sizes, geometry_failure};
use super::body::area_of;
use super::placed::{Figures, Made};
use crate::cache::MadeFrom;
use crate::diagnostics::{Diagnostic, Finding, Severity, Sink};
use crate::geometry::{Corners, Drawing, Loss, Lost, Region};
use crate::recipe::{Figure, FigureKind, InlayOf, Recipe, Written};
use crate::shop::Stock;
use crate::source::Span;
use crate::units::Mm;
use crate::units::number::fixed;

pub(super) static NOT_MEASURED: Finding = Finding {
    rule: "kerf/not-measured",
    severity: Severity::Error,
    title: "a size is to be kept and the kerf was not measured",
    explanation: "To bring out a part, an opening or an inlay as it is drawn, the beam has to run half a kerf beside the \
        line. How wide the cut is on this stock is measured, not guessed: cut a comb of ten strips, push them together, \
        and divide what is missing by their number.",
    wrong: "stock \"birch-3\" material=\"birch plywood\" thickness=\"3.1 mm\"",
    right: "stock \"birch-3\" material=\"birch plywood\" thickness=\"3.1 mm\" kerf=\"0.16 mm\"",
};

pub(super) static FEATURE_LOST: Finding = Finding {
    rule: "inlay/feature-lost",
    severity: Severity::Error,
    title: "a part of an inlay is too narrow for the beam",
    explanation: "A pocket is cut from inside its outline and an insert from outside. What is narrower than the kerf, or an \
        island that is narrower than kerf and gap leave of it, vanishes or breaks off on one of the two pieces, and they \
        no longer fit.",
    wrong: "shape \"leaf\" { rectangle \"20 mm\" \"0.1 mm\" }\ninlay \"leaf-in\" of=\"leaf\" piece=\"insert\" gap=\"0.05 mm\"",
    right: "shape \"leaf\" { rectangle \"20 mm\" \"5 mm\" }\ninlay \"leaf-in\" of=\"leaf\" piece=\"insert\" gap=\"0.05 mm\"",
};

pub(super) static PAIR_DIFFERS: Finding = Finding {
    rule: "inlay/pair-differs",
    severity: Severity::Error,
    title: "insert and pocket of one figure are made for different fits",
    explanation: "Both paths depend on the fit and on both kerfs. A pair made from different numbers does not fit as either \
        of them says. An `input` gives both the same number.",
    wrong: "inlay \"sun-in\" of=\"sun\" piece=\"insert\" gap=\"0.05 mm\"\ninlay \"sun-pocket\" of=\"sun\" piece=\"pocket\" gap=\"0.1 mm\"",
    right: "inlay \"sun-in\" of=\"sun\" piece=\"insert\" gap=\"0.05 mm\"\ninlay \"sun-pocket\" of=\"sun\" piece=\"pocket\" gap=\"0.05 mm\"",
};

/// The numbers of an inlay.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Fit {
    /// The gap on each side; negative where the insert is pressed in.
    pub gap: Mm,
    /// Kerf of the insert's stock.
    pub insert_kerf: Mm,
    /// Kerf of the pocket's stock.
    pub pocket_kerf: Mm,
}

/// The path of an insert or a pocket.
pub(super) fn make(
    inlay: &InlayOf,
    figure: &Figure,
    bench: Bench,
    figures: &Figures,
    sink: &mut Sink,
) -> Option<Made> {
    let fit = fit_or_report(inlay, figure, bench, figures, sink)?;
    if let Some((other, differs)) = other_of_pair(inlay, &figure.name.value, bench.recipe) {
        let others = fit_of(&other.name.value, differs, bench.recipe, figures);
        if others.is_some_and(|o| o != fit) && other.head.start < figure.head.start {
            sink.push(pair_differs(inlay, figure, other));
            return None;
        }
    }
    let drawn = area_of(&figures.get(&inlay.of.value)?.drawing)
        .map_err(|error| sink.push(geometry_failure(error, figure.head)))
        .ok()?;
    let made_from = MadeFrom::kind("inlay").paths(drawn.contours()).shown(&(fit, inlay.is_insert));
    let path = bench.cache.keep(made_from, || path(&drawn, fit, inlay.is_insert));
    match path.as_ref() {
        Ok(path) => Some(Made::of(Drawing::of_region(path.clone()))),
        Err(lost) => {
            sink.push(feature_lost(*lost, inlay, figure));
            None
        }
    }
}

/// The numbers of the inlay of a name; `None` when a kerf is needed that was not measured, or a length cannot be worked out.
pub fn fit_of(name: &str, inlay: &InlayOf, recipe: &Recipe, figures: &Figures) -> Option<Fit> {
    let length = |w: &Written| w.value.length(&Sizes(figures));
    // Each piece is cut with a setting of its own, which may have its own kerf.
    let other = other_of_pair(inlay, name, recipe).map_or(name, |(other, _)| &other.name.value);
    let kerf = |w: &Option<Written>, is_own: bool| match w {
        Some(written) => length(written),
        None => recipe.kerf_along(if is_own { name } else { other }),
    };
    let fit = length(&inlay.fit)?;
    Some(Fit {
        gap: if inlay.is_press { -fit } else { fit },
        insert_kerf: kerf(&inlay.insert_kerf, inlay.is_insert)?,
        pocket_kerf: kerf(&inlay.pocket_kerf, !inlay.is_insert)?,
    })
}

fn fit_or_report(
    inlay: &InlayOf,
    figure: &Figure,
    bench: Bench,
    figures: &Figures,
    sink: &mut Sink,
) -> Option<Fit> {
    for written in inlay.lengths().filter(|w| w.span != inlay.fit.span) {
        super::bench::positive(written, figures, sink)?;
    }
    super::bench::any_length(&inlay.fit, figures, sink)?;
    let fit = fit_of(&figure.name.value, inlay, bench.recipe, figures);
    if fit.is_none() {
        sink.push(not_measured(bench.recipe.chosen_stock()?, figure.head));
    }
    fit
}

/// The other piece of the pair, where the recipe has it.
fn other_of_pair<'a>(inlay: &InlayOf, name: &str, recipe: &'a Recipe) -> Option<(&'a Figure, &'a InlayOf)> {
    recipe.figures.iter().find_map(|other| match &other.kind {
        FigureKind::Inlay(of)
            if of.of.value == inlay.of.value && of.is_insert != inlay.is_insert && other.name.value != name =>
        {
            Some((other, of))
        }
        _ => None,
    })
}

/// The path of the beam for one of the two pieces of what is drawn.
///
/// # Errors
/// Says what is too narrow, and where.
pub fn path(drawn: &Region, fit: Fit, is_insert: bool) -> Result<Region, Lost> {
    let refused = |lost: Option<Lost>| lost.map_or(Ok(()), Err);
    let pocket = fit.pocket_kerf / 2.0;
    // How far outside of the common outline the insert is cut.
    let outside = fit.insert_kerf / 2.0 - fit.gap;
    let filled = outside.max(Mm::ZERO);
    if drawn.is_empty() {
        return Err(Lost { loss: Loss::Vanishes, at: kurbo::Point::ZERO });
    }
    refused(drawn.lost_when_shrunk(pocket))?;
    let inner = drawn.offset(-pocket, Corners::Round);
    refused(inner.lost_when_grown(pocket + filled))?;
    let outer = inner.offset(pocket + filled, Corners::Round);
    let (insert, to_pocket) = if outside.get() < 0.0 {
        refused(outer.lost_when_shrunk(-outside))?;
        (outer.offset(outside, Corners::Round), outer.offset(-pocket, Corners::Round))
    } else {
        refused(outer.lost_when_shrunk(pocket + outside))?;
        let to_pocket = outer.offset(-(pocket + outside), Corners::Round);
        (outer, to_pocket)
    };
    Ok(if is_insert { insert } else { to_pocket })
}

/// The finding for a kerf that is needed at a place and was not measured.
pub fn not_measured(stock: &Stock, needed: Span) -> Diagnostic {
    Diagnostic::new(&NOT_MEASURED, format!("the kerf of stock `{}` was not measured", stock.name))
        .at(needed, "needs it")
        .also(stock.span, "add `kerf=` here")
        .because("the piece would come out too small, or the opening too large, by a width that nobody knows")
        .repair("measure it with a comb of strips and write it down in the shop file")
}

fn pair_differs(inlay: &InlayOf, figure: &Figure, other: &Figure) -> Diagnostic {
    let piece = |is_insert: bool| if is_insert { "insert" } else { "pocket" };
    let message = format!(
        "{} and {} of `{}` are made for different fits",
        piece(!inlay.is_insert),
        piece(inlay.is_insert),
        inlay.of.value
    );
    Diagnostic::new(&PAIR_DIFFERS, message)
        .at(figure.head, "other fit or other kerfs")
        .also(other.head, "than here")
        .because("the two pieces would not fit as either of them says")
        .repair("write the same `gap` or `press`, `insert-kerf` and `pocket-kerf` on both")
}

fn feature_lost(lost: Lost, inlay: &InlayOf, figure: &Figure) -> Diagnostic {
    let what = match lost.loss {
        Loss::Vanishes => "a part of it vanishes",
        Loss::Splits => "it falls apart at a neck",
        Loss::BreaksThrough => "a strip of it breaks through",
        Loss::LosesLimb => "a limb of it vanishes",
    };
    let (x, y) = (fixed(lost.at.x, 1), fixed(lost.at.y, 1));
    let at = format!("{x} mm from the sheet's left and {y} mm from its top edge");
    Diagnostic::new(&FEATURE_LOST, format!("`{}` is too narrow to be inlaid: {what}", inlay.of.value))
        .at(figure.head, format!("no room for the beam, {at}"))
        .because("insert and pocket would have different shapes and not fit into each other")
        .repair("make the figure wider there, or inlay it without its finest parts")
}
