//! What is wrong with an artwork as it arrived: the rules, and what looks for all of it.
//!
//! Only what belongs to the drawing is told here. What an operation makes of it (ink finer than the spot, walls that do
//! not hold, cuts that end short of each other by more than the kerf) is told by the checks of the plan.

use super::{Place, doubled, gaps, greatest_first, loops, nodes, pixels, specks, stray};
use crate::diagnostics::{Finding, Severity};
use crate::geometry::{Drawing, Once};
use crate::source::Span;
use crate::units::Mm;
use kurbo::Rect;

/// Ends of lines lie within a gap of each other.
pub static NEAR_ENDS: Finding = Finding {
    rule: "artwork/near-ends",
    severity: Severity::Advice,
    title: "ends of lines in an artwork nearly meet",
    explanation: "Ends that were meant to meet but lie a little apart leave an outline open. It looks closed on screen, but \
        it cannot be cut on its waste side, offset or inlaid, and where the gap is wider than the spot it shows in a score. \
        Gaps in cuts that are wider than the kerf are another finding.",
    wrong: "artwork \"window\" file=\"art/window.svg\"",
    right: "artwork \"window\" file=\"art/window.svg\" { mend gaps=\"0.2 mm\" }",
};

/// Lines lie on each other.
pub static DOUBLED_LINES: Finding = Finding {
    rule: "artwork/doubled-lines",
    severity: Severity::Advice,
    title: "lines of an artwork lie on each other",
    explanation: "An outline that was pasted twice, or the shared side of two neighbours, looks like one line. Within one \
        operation it is burned once; where the parts go to different operations it is burned twice, and counts of lines \
        and lengths are wrong before that.",
    wrong: "artwork \"tiles\" file=\"art/tiles.svg\"",
    right: "artwork \"tiles\" file=\"art/tiles.svg\" { mend doubled=\"0.02 mm\" }",
};

/// A line crosses itself in a small loop.
pub static SMALL_LOOPS: Finding = Finding {
    rule: "artwork/small-loops",
    severity: Severity::Advice,
    title: "lines of an artwork cross themselves in small loops",
    explanation: "A loop of a few spots round is a slip of the pen or what an editor left of an offset: the beam goes round \
        it on one spot, which chars, and in a cut a crumb falls out. Larger loops are taken for drawn on purpose.",
    wrong: "artwork \"leaf\" file=\"art/leaf.svg\"",
    right: "artwork \"leaf\" file=\"art/leaf.svg\" { mend loops=\"0.5 mm\" }",
};

/// Ink or holes smaller than the spot.
pub static SPECKS: Finding = Finding {
    rule: "artwork/specks",
    severity: Severity::Advice,
    title: "an artwork holds specks smaller than the spot",
    explanation: "Dots and pinholes smaller than the spot are dust of a scan or a trace. A dot comes out as large as the \
        spot or is missed between two rows, a pinhole is burned over; cut along its outline, either chars.",
    wrong: "artwork \"scan\" file=\"art/scan.svg\"",
    right: "artwork \"scan\" file=\"art/scan.svg\" { mend specks=\"0.1 mm\" }",
};

/// Something small lies far off.
pub static STRAY_PARTS: Finding = Finding {
    rule: "artwork/stray-parts",
    severity: Severity::Warning,
    title: "small parts of an artwork lie far off the rest",
    explanation: "A forgotten dot beside the drawing counts to its box: the drawing is sized smaller and placed to one side, \
        and the dot is burned somewhere on the piece.",
    wrong: "artwork \"fern\" file=\"art/fern.svg\" { size width=\"80 mm\" }",
    right: "artwork \"fern\" file=\"art/fern.svg\" {\n    mend stray=\"20 mm\"\n    size width=\"80 mm\"\n}",
};

/// Far more nodes than the shape needs.
pub static NODE_FLOOD: Finding = Finding {
    rule: "artwork/node-flood",
    severity: Severity::Advice,
    title: "an artwork has far more nodes than its shape needs",
    explanation: "Traces and exports of other programs make hundreds of tiny steps of one curve. Many controllers slow down or \
        stutter on them, so that the line gets darker, and files grow large. Fewer nodes draw the same curve.",
    wrong: "artwork \"map\" file=\"art/map.svg\"",
    right: "artwork \"map\" file=\"art/map.svg\" { mend nodes=\"0.01 mm\" }",
};

/// The edges of pixels, drawn as outlines.
pub static PIXEL_STEPS: Finding = Finding {
    rule: "artwork/pixel-steps",
    severity: Severity::Warning,
    title: "an artwork is a picture of pixels in the dress of a drawing",
    explanation: "All its edges are level or upright steps of one length: somebody turned pixels into little squares instead of \
        tracing their outline. Edges come out as stairs, and a cut along them shakes the machine at every step.",
    wrong: "artwork \"owl\" file=\"art/owl-squares.svg\"",
    right: "trace \"owl\" file=\"art/owl.png\"",
};

/// Against what a drawing is judged.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Scale {
    /// Diameter of the beam.
    pub spot: Mm,
    /// Full width of a cut, where it was measured.
    pub kerf: Option<Mm>,
    /// Whether its outlines and lines are scored.
    pub scored: bool,
    /// Whether they are cut, or other figures are made from them.
    pub cut: bool,
}

/// Where findings point, and how the artwork is called.
#[derive(Clone, Copy, Debug)]
pub struct Site<'a> {
    /// The figure's name.
    pub name: &'a str,
    /// The file, as the recipe names it.
    pub file: &'a str,
    /// The artwork node.
    pub head: Span,
    /// Whether it has a `mend` already.
    pub mends: bool,
}

/// What kind of thing is wrong.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum FaultKind {
    /// Ends nearly meet; the size is the gap.
    NearEnds,
    /// Lines lie on each other; the size is the length of the stretch.
    Doubled,
    /// Small loops; the size is their length.
    Loops,
    /// Specks; the size is their larger side.
    Specks,
    /// Stray parts; the size is how far off they are.
    Stray,
    /// A flood of nodes; the size is the length of the worst path.
    Nodes {
        /// How many segments there are.
        segments: usize,
        /// How many would do.
        enough: usize,
    },
    /// Stairs of pixels; the size is the step.
    Pixels {
        /// How many edges.
        edges: usize,
    },
}

/// Something that is wrong with a drawing.
#[derive(Clone, Debug, PartialEq)]
pub struct Fault {
    /// What.
    pub kind: FaultKind,
    /// Where, the greatest first.
    pub places: Vec<Place>,
}

/// Loops up to so many spots round are slips of the pen; those shorter than the spot do not show.
const SMALL_LOOP: f64 = 6.0;

/// Gaps of a score that are wider than so many spots are drawn on purpose.
const WIDEST_GAP: f64 = 4.0;

/// Lines that lie on each other for less than this are not worth a word.
const LEAST_DOUBLED: Mm = Mm::new(1.0);

/// Parts farther off than this share of the whole drawing are strays.
const FAR: f64 = 0.25;

/// What is smaller than so many spots both ways comes out as a dot.
const DOT: f64 = 2.0;

/// Whether what fills a box is so small that it comes out as a dot, whatever it shows.
pub fn is_dot(bounds: Rect, spot: Mm) -> bool {
    bounds.width().max(bounds.height()) < DOT * spot.get()
}

/// What is wrong with a drawing, in the order of the rules. Real artwork that is clean has nothing.
pub fn found(drawing: &Drawing, scale: &Scale) -> Vec<Fault> {
    if drawing.bounds().is_none_or(|bounds| is_dot(bounds, scale.spot)) {
        return Vec::new(); // That it is too small is what has to be told of it.
    }
    let lines_burned = scale.scored || scale.cut;
    let mut all = Vec::new();
    let mut add = |kind: FaultKind, mut places: Vec<Place>| {
        if !places.is_empty() {
            greatest_first(&mut places);
            all.push(Fault { kind, places });
        }
    };
    if lines_burned {
        add(FaultKind::NearEnds, near_ends(drawing, scale));
        add(FaultKind::Doubled, doubled_stretches(drawing, scale));
        let mut small = loops::look(drawing, scale.spot * SMALL_LOOP);
        small.retain(|place| place.size >= scale.spot);
        add(FaultKind::Loops, small);
    }
    add(FaultKind::Specks, specks::look(drawing, scale.spot));
    let across = drawing.bounds().map_or(0.0, |b| b.width().max(b.height()));
    add(FaultKind::Stray, stray::look(drawing, Mm::new(FAR * across)));
    if let Some((edges, step)) = pixels::look(drawing, scale.spot * WIDEST_GAP) {
        add(FaultKind::Pixels { edges }, vec![step]);
    } else if let Some(flood) = nodes::look(drawing, scale.spot) {
        add(FaultKind::Nodes { segments: flood.segments, enough: flood.enough }, vec![flood.worst]);
    }
    all
}

/// Gaps that nothing else tells of: of cuts those within the kerf, of scores those that can be seen.
fn near_ends(drawing: &Drawing, scale: &Scale) -> Vec<Place> {
    let (least, most) = match scale.kerf.filter(|_| scale.cut) {
        Some(kerf) => (Mm::ZERO, kerf),
        None => (scale.spot / 2.0, scale.spot * WIDEST_GAP),
    };
    let found = gaps::look(drawing, most).into_iter().filter(|end| least < end.gap);
    found.map(|end| Place { at: end.at.midpoint(end.to), size: end.gap }).collect()
}

fn doubled_stretches(drawing: &Drawing, scale: &Scale) -> Vec<Place> {
    let long = |once: &Once| once.length >= LEAST_DOUBLED;
    let found = doubled::look(drawing, scale.spot / 4.0).into_iter().filter(long);
    found.map(|once| Place { at: once.at, size: once.length }).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn long_thin_things_are_no_dots() {
        let of = |w, h| is_dot(Rect::new(0.0, 0.0, w, h), Mm::new(0.08));
        assert!(of(0.1, 0.1) && of(0.0, 0.15) && !of(0.17, 0.05) && !of(0.05, 8.0));
    }
}
