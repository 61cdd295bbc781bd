//! How the strokes of a cut are burned beyond their order: bridges that hold parts, a beginning in the waste, an end past
//! the beginning, and strokes spread so that the stock between them can cool.
//!
//! In: strokes as they were cleaned up, and what the recipe asks for. Out: lines, each still one subpath, and a record of
//! what became of the request ([`Manner`]).
//!
//! Only closed strokes have a waste side, and can be held or run past their end; what bridges leave of one still has the
//! waste side and is begun there, straight beside its bridge, whose foot in the waste stays whole. Of the closed lines of one cut, those in
//! no other go round parts, those in a part round its openings, and so on inwards, as for `beam="waste-side"`; bridges hold
//! parts only, for what falls out of an opening is waste. Where a cut is begun, all cuts of the sheet count together.

mod along;
mod tabs;
mod lead_in;
mod findings;
mod manner;

pub(super) use findings::{NO_ROOM_FOR_LEAD_IN, NO_ROOM_FOR_TABS, NOTHING_CLOSED, OVERCUT_LONG};
pub use manner::{LeadIns, Manner, Spread, Tabs};

use super::strokes::lines_of;
use super::travel::{self, Order};
use crate::diagnostics::{Diagnostic, Sink};
use crate::figures::{Figures, Sizes};
use crate::geometry::{self, FillRule, Region, Stroke, is_closed};
use crate::recipe::{OperationNode, Written};
use crate::shop::OperationKind;
use crate::units::Mm;
use kurbo::{BezPath, Vec2};
use lead_in::Waste;
use std::collections::BTreeSet;

/// What a bridge measures where the recipe does not say.
const USUAL_TAB: Mm = Mm::new(0.5);

/// An overcut that is longer than this share of its line is told (our judgement).
const LONG_OVERCUT: f64 = 0.25;

/// What cuts are burned on.
#[derive(Clone, Copy)]
pub(super) struct On<'a> {
    pub figures: &'a Figures,
    /// Width of a cut.
    pub kerf: Mm,
    /// Everything that is burned on the same sheet.
    pub same_sheet: &'a [&'a OperationNode],
}

impl On<'_> {
    fn length(&self, written: Option<&Written>) -> Option<Mm> {
        written?.value.length(&Sizes(self.figures))
    }
}

/// Puts the strokes of a cut in order, and burns them as the recipe asks.
pub(super) fn burned(
    node: &OperationNode,
    strokes: Vec<Stroke>,
    order: Order,
    on: On,
    sink: &mut Sink,
) -> (Vec<BezPath>, Manner) {
    let closed: Vec<BezPath> = strokes.iter().map(|s| &s.path).filter(|p| is_closed(p)).cloned().collect();
    let asked = node.tabs.as_ref().map(|t| t.span);
    let asked = asked.or_else(|| Some(node.lead_in.as_ref().or(node.overcut.as_ref())?.span));
    if let (Some(asked), true) = (asked, closed.is_empty()) {
        sink.push(findings::nothing_closed(node, asked));
    }
    let mut manner = Manner::default();
    let lines: Vec<BezPath> = strokes.iter().map(|s| s.path.clone()).collect();
    let strokes = held(node, strokes, &closed, on, &mut manner, sink);
    let ordered = in_order(node, strokes, order, on, &mut manner);
    (begun(node, ordered, &closed, &lines, on, &mut manner, sink), manner)
}

/// Strokes with the outlines of parts held by bridges, where they are asked for.
fn held(
    node: &OperationNode,
    strokes: Vec<Stroke>,
    closed: &[BezPath],
    on: On,
    manner: &mut Manner,
    sink: &mut Sink,
) -> Vec<Stroke> {
    let Some(count) = &node.tabs else { return strokes };
    let width = on.length(node.tab.as_ref()).unwrap_or(USUAL_TAB);
    let waste = Waste::of(inside(closed), &[], on.figures.sheet());
    let (strokes, tabs) = with_tabs(strokes, count.value as usize, width, on.kerf, &waste);
    if 0 < tabs.without {
        sink.push(findings::no_room_for_tabs(&tabs, count, node));
    }
    manner.tabs = Some(tabs);
    strokes
}

/// Strokes in their order, spread where that is asked for.
fn in_order(
    node: &OperationNode,
    strokes: Vec<Stroke>,
    order: Order,
    on: On,
    manner: &mut Manner,
) -> Vec<BezPath> {
    let Some(distance) = on.length(node.spread.as_ref()) else { return travel::ordered(strokes, order) };
    let travel_without = travel::travel(&travel::ordered(strokes.clone(), order));
    let (lines, near) = travel::spread_out(strokes, order, distance);
    manner.spread = Some(Spread { distance, near, travel_without });
    lines
}

/// Lines with the closed ones begun in the waste and run past their end, where that is asked for.
fn begun(
    node: &OperationNode,
    ordered: Vec<BezPath>,
    closed: &[BezPath],
    lines: &[BezPath],
    on: On,
    manner: &mut Manner,
    sink: &mut Sink,
) -> Vec<BezPath> {
    // One that no line can run past is told, and is no part of how the cut is burned.
    let asked = on.length(node.overcut.as_ref());
    manner.overcut = asked.filter(|_| ordered.iter().any(is_closed));
    let past = asked.unwrap_or(Mm::ZERO);
    let is_held = manner.tabs.as_ref().is_some_and(|tabs| 0 < tabs.outlines);
    if let Some(finding) = overcut_without_use(node, &ordered, past, is_held) {
        sink.push(finding);
    }
    let Some((written, length)) = node.lead_in.as_ref().and_then(|w| Some((w, on.length(Some(w))?))) else {
        let over = |line: BezPath| {
            if past > Mm::ZERO && is_closed(&line) { lead_in::round(&line, None, past) } else { line }
        };
        return ordered.into_iter().map(over).collect();
    };
    let others = Others::of(node, on);
    let outlines: Vec<BezPath> = closed.iter().chain(&others.outlines).cloned().collect();
    let all: Vec<BezPath> = lines.iter().chain(&others.lines).cloned().collect();
    let waste = Waste::of(inside(&outlines), &all, on.figures.sheet());
    let (lines, leads) = from_the_waste(ordered, length, past, is_held, &waste);
    if 0 < leads.without {
        sink.push(findings::no_room_for_lead_in(&leads, written));
    }
    manner.lead_ins = Some(leads);
    lines
}

/// What is wrong with an overcut: no line that closes, or one that is hardly longer.
fn overcut_without_use(node: &OperationNode, lines: &[BezPath], past: Mm, is_held: bool) -> Option<Diagnostic> {
    let written = node.overcut.as_ref()?;
    let round: Vec<Mm> = lines.iter().filter(|l| is_closed(l)).map(geometry::length).collect();
    let Some(shortest) = round.iter().copied().reduce(Mm::min) else {
        return is_held.then(|| findings::overcut_of_held(node, written));
    };
    let short = round.iter().filter(|r| **r * LONG_OVERCUT < past).count();
    (0 < short).then(|| findings::overcut_long((short, round.len()), shortest, past, written))
}

/// What else is burned on the sheet: no beginning may come near it, and what lies in an outline that another operation
/// cuts is no waste.
#[derive(Default)]
struct Others {
    outlines: Vec<BezPath>,
    lines: Vec<BezPath>,
}

impl Others {
    fn of(node: &OperationNode, on: On) -> Self {
        let mut others = Self::default();
        let own: BTreeSet<&str> = node.figures.iter().map(|f| f.value.as_str()).collect();
        let (mut cut, mut burned) = (own.clone(), own);
        for operation in on.same_sheet.iter().filter(|o| o.kind != OperationKind::Guide) {
            for name in operation.figures.iter().map(|f| f.value.as_str()) {
                let Some(placed) = on.figures.get(name) else { continue };
                let lines = lines_of([placed.drawing.as_ref()]);
                if operation.kind == OperationKind::Cut && cut.insert(name) {
                    others.outlines.extend(lines.iter().filter(|l| is_closed(l)).cloned());
                }
                if burned.insert(name) {
                    others.lines.extend(lines);
                }
            }
        }
        others
    }
}

/// What lies inside closed lines by the even-odd rule.
fn inside(closed: &[BezPath]) -> Region {
    let all = BezPath::from_vec(closed.iter().flat_map(|c| c.elements().iter().copied()).collect());
    Region::from_path(&all, FillRule::EvenOdd).unwrap_or_default()
}

/// Strokes with the outlines of parts held by bridges.
fn with_tabs(strokes: Vec<Stroke>, count: usize, width: Mm, kerf: Mm, waste: &Waste) -> (Vec<Stroke>, Tabs) {
    let mut tabs = Tabs { width, ..Tabs::default() };
    let mut all = Vec::with_capacity(strokes.len());
    for stroke in strokes {
        if !is_closed(&stroke.path) || !is_part(&stroke.path, waste) {
            all.push(stroke);
            continue;
        }
        // The beam takes half a kerf from both sides of a bridge.
        if let Some(held) = tabs::held(&stroke.path, count, (width + kerf).get()) {
            tabs.outlines += 1;
            tabs.places.extend(held.bridges);
            all.extend(held.cut.into_iter().map(|path| Stroke { path, depth: stroke.depth }));
        } else {
            tabs.without += 1;
            all.push(stroke);
        }
    }
    (all, tabs)
}

/// Whether a closed line goes round a part: the waste lies outside.
fn is_part(outline: &BezPath, waste: &Waste) -> bool {
    let along = along::Along::new(outline);
    let step = (along.length() / 8.0).min(0.1);
    let at = along.point(step);
    let forth: Vec2 = along.point(2.0 * step) - at;
    // With y down, the inside of a line with positive area lies at the end of its tangent turned from x towards y.
    let inwards = Vec2::new(-forth.y, forth.x) * kurbo::Shape::area(outline).signum();
    waste.side(at, forth).is_some_and(|side| side.dot(inwards) < 0.0)
}

/// Lines with the closed ones, and what bridges left of some, begun in the waste, the closed ones run past their end.
fn from_the_waste(
    lines: Vec<BezPath>,
    length: Mm,
    past: Mm,
    is_held: bool,
    waste: &Waste,
) -> (Vec<BezPath>, LeadIns) {
    let mut leads = LeadIns { length, ..LeadIns::default() };
    let one = |line: BezPath| {
        let is_closed = is_closed(&line);
        let has_a_side = is_closed || (is_held && lead_in::is_beside_waste(&line, waste));
        if !has_a_side {
            return line;
        }
        let found = if is_closed {
            lead_in::with_way_in(&line, length, waste)
        } else {
            lead_in::with_way_beside(&line, length, waste)
        };
        match &found {
            Some(_) => leads.begun += 1,
            None => leads.without += 1,
        }
        let past = if is_closed { past } else { Mm::ZERO };
        match found {
            Some((line, from)) => lead_in::round(&line, Some(from), past),
            None if past > Mm::ZERO => lead_in::round(&line, None, past),
            None => line,
        }
    };
    (lines.into_iter().map(one).collect(), leads)
}
