//! What an offset did to the parts and holes of its figure: lost, joined, closed.

use super::derived::source_area;
use super::placed::Figures;
use crate::diagnostics::{Diagnostic, Finding, Severity, Sink};
use crate::geometry::{Drawing, Region, nearest};
use crate::recipe::{FigureKind, OffsetOf, Recipe};
use crate::units::Mm;
use crate::units::number::fixed;
use kurbo::{ParamCurve, Point, Shape};

pub(super) static PARTS_VANISHED: Finding = Finding {
    rule: "offset/parts-vanished",
    severity: Severity::Advice,
    title: "an inside offset leaves nothing of some parts",
    explanation: "Parts of the figure that are narrower than twice the distance have nothing that far inside. The offset \
        is there for the others only.",
    wrong: "shape \"dots\" { circle \"18 mm\"; circle \"3 mm\" right=\"15 mm\" }\noffset \"inline\" of=\"dots\" by=\"2 mm\" side=\"inside\"",
    right: "shape \"dots\" { circle \"18 mm\"; circle \"3 mm\" right=\"15 mm\" }\noffset \"inline\" of=\"dots\" by=\"0.5 mm\" side=\"inside\"",
};

pub(super) static PARTS_MERGED: Finding = Finding {
    rule: "offset/parts-merged",
    severity: Severity::Advice,
    title: "an outside offset joins parts that lie apart",
    explanation: "Parts nearer to each other than twice the distance get one outline together. Round a word or a picture \
        that is what a halo is for, and nothing is said when all of it gets one outline; it is when only some parts join, \
        or when two or three single things become one.",
    wrong: "shape \"pair\" { circle \"20 mm\"; circle \"20 mm\" right=\"23 mm\" }\noffset \"rim\" of=\"pair\" by=\"2 mm\"",
    right: "shape \"pair\" { circle \"20 mm\"; circle \"20 mm\" right=\"30 mm\" }\noffset \"rim\" of=\"pair\" by=\"2 mm\"",
};

pub(super) static HOLES_CLOSED: Finding = Finding {
    rule: "offset/holes-closed",
    severity: Severity::Advice,
    title: "an outside offset closes holes",
    explanation: "What grows outwards grows into its holes too, and those narrower than twice the distance close. With \
        `holes=#false` all of them are left out on purpose.",
    wrong: "shape \"ring\" { subtract { circle \"30 mm\"; circle \"3 mm\" } }\noffset \"rim\" of=\"ring\" by=\"2 mm\"",
    right: "shape \"ring\" { subtract { circle \"30 mm\"; circle \"3 mm\" } }\noffset \"rim\" of=\"ring\" by=\"2 mm\" holes=#false",
};

/// Up to so many parts are taken for single things, which nobody wants to become one unasked.
const FEW: usize = 3;

/// Parts of a figure are told apart up to this number.
const MOST_PARTS: usize = 2_000;

/// Says what an offset by a distance did to the parts and holes of its figure.
pub(super) fn tell(offset: &OffsetOf, by: Mm, made: &Region, recipe: &Recipe, figures: &Figures, sink: &mut Sink) {
    let Some(source) = figures.get(&offset.of.value) else { return };
    let Some((before, after)) = before_and_after(&source.drawing, offset, made) else { return };
    if offset.inside {
        vanished(offset, by, &before, &after, sink);
        return;
    }
    let is_lettering = is_of_lettering(offset, recipe);
    merged(offset, is_lettering, &before, &after, sink);
    if offset.holes {
        closed(offset, by, is_lettering, &before, &after, sink);
    }
}

/// Whether an offset follows lettering, whose letters are one thing.
pub(super) fn is_of_lettering(offset: &OffsetOf, recipe: &Recipe) -> bool {
    matches!(recipe.figure(&offset.of.value).map(|f| &f.kind), Some(FigureKind::Lettering(_)))
}

fn before_and_after(source: &Drawing, offset: &OffsetOf, made: &Region) -> Option<(Vec<Region>, Vec<Region>)> {
    let (before, after) = (source_area(source, offset).ok()?.parts(), made.parts());
    (before.len().max(after.len()) <= MOST_PARTS).then_some((before, after))
}

/// A point on the outline of a part.
fn on_outline(part: &Region) -> Option<Point> {
    Some(part.contours().first()?.segments().next()?.start())
}

/// Which of the parts holds each point.
fn holders(points: impl Iterator<Item = Option<Point>>, parts: &[Region]) -> Vec<Option<usize>> {
    let boxes: Vec<_> = parts.iter().map(Region::bounds).collect();
    let holds = |i: usize, p: Point| boxes[i].is_some_and(|b| b.contains(p)) && parts[i].contains(p);
    points.map(|p| p.and_then(|p| (0..parts.len()).find(|&i| holds(i, p)))).collect()
}

fn vanished(offset: &OffsetOf, by: Mm, before: &[Region], after: &[Region], sink: &mut Sink) {
    let living = holders(after.iter().map(on_outline), before);
    let lost = (0..before.len()).filter(|i| !living.contains(&Some(*i))).map(|i| &before[i]);
    let lost: Vec<&Region> = lost.collect();
    let Some(largest) = largest(&lost) else { return };
    let (count, of, all) = (lost.len(), &offset.of.value, before.len());
    let vanish = if count == 1 { "vanishes" } else { "vanish" };
    let label = format!("nothing is left of the one {}", place(largest));
    let narrower = if count == 1 { "it is" } else { "they are" };
    sink.push(
        Diagnostic::new(&PARTS_VANISHED, format!("{count} of {all} parts of `{of}` {vanish} {by} inside"))
            .at(offset.by.span, label)
            .because(format!("{narrower} narrower than {}, and nothing is burned there", by * 2.0))
            .repair("make the distance smaller, or accept it with `allow` if they may go"),
    );
}

fn merged(offset: &OffsetOf, is_lettering: bool, before: &[Region], after: &[Region], sink: &mut Sink) {
    let is_whole = after.len() == 1 && (is_lettering || before.len() > FEW);
    if after.len() >= before.len() || is_whole {
        return;
    }
    let holders = holders(before.iter().map(on_outline), after);
    let group = |i: usize| (0..before.len()).filter(|&k| holders[k] == Some(i)).collect::<Vec<_>>();
    let groups = (0..after.len()).map(group).filter(|g| g.len() > 1).collect::<Vec<_>>();
    let joined: usize = groups.iter().map(Vec::len).sum();
    let Some(at) = groups.iter().find_map(|g| bridge(g, before)) else { return };
    let (all, of) = (before.len(), &offset.of.value);
    let outlines = if groups.len() == 1 { "one outline".to_owned() } else { format!("{} outlines", groups.len()) };
    sink.push(
        Diagnostic::new(&PARTS_MERGED, format!("{joined} of {all} parts of `{of}` join to {outlines}"))
            .at(offset.by.span, format!("two of them join {}", place(at)))
            .because("they come out, or come loose, as one piece")
            .repair(
                "make the distance smaller or put them farther apart; accept it with `allow` if they are to join",
            ),
    );
}

/// The middle between the first of some parts and the one that is nearest to it.
fn bridge(group: &[usize], parts: &[Region]) -> Option<Point> {
    let others: Vec<_> = group[1..].iter().flat_map(|&i| parts[i].contours().iter().cloned()).collect();
    let near = nearest(parts[group[0]].contours(), &others)?;
    Some(near.on_a.midpoint(near.on_b))
}

fn closed(offset: &OffsetOf, by: Mm, is_lettering: bool, before: &[Region], after: &[Region], sink: &mut Sink) {
    let holes = |parts: &[Region]| parts.iter().flat_map(holes_of).collect::<Vec<Region>>();
    let (before, after) = (holes(before), holes(after));
    let living = holders(after.iter().map(on_outline), &before);
    let lost: Vec<&Region> =
        (0..before.len()).filter(|i| !living.contains(&Some(*i))).map(|i| &before[i]).collect();
    let Some(largest) = largest(&lost) else { return };
    if is_lettering && lost.len() == before.len() {
        return;
    }
    let (count, of, all) = (lost.len(), &offset.of.value, before.len());
    let close = if count == 1 { "closes" } else { "close" };
    sink.push(
        Diagnostic::new(&HOLES_CLOSED, format!("{count} of {all} holes of `{of}` {close}"))
            .at(offset.by.span, format!("the largest of them lies {}", place(largest)))
            .because(format!("no disc of {} fits in, so that no outline of the offset is left there", by * 2.0))
            .repair(
                "make the distance smaller, or write `holes=#false` if the offset is to go round the outside only",
            ),
    );
}

/// The holes of a part, each as an area.
fn holes_of(part: &Region) -> Vec<Region> {
    let hole = |c: &kurbo::BezPath| Region::from_clean_contours(vec![c.reverse_subpaths()]);
    let outer = part.contours().iter().map(Shape::area).max_by(|a, b| a.abs().total_cmp(&b.abs())).unwrap_or(0.0);
    part.contours().iter().filter(|c| c.area().signum() != outer.signum()).map(hole).collect()
}

/// The middle of the largest of some areas.
fn largest(areas: &[&Region]) -> Option<Point> {
    let largest = areas.iter().max_by(|a, b| a.area().get().total_cmp(&b.area().get()))?;
    Some(largest.interior_point()?.0)
}

/// A point of the sheet in words.
fn place(at: Point) -> String {
    format!("{} mm from the sheet's left and {} mm from its top edge", fixed(at.x, 1), fixed(at.y, 1))
}
