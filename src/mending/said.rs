//! Faults in words.

use super::found::{
    DOUBLED_LINES, Fault, FaultKind, NEAR_ENDS, NODE_FLOOD, PIXEL_STEPS, SMALL_LOOPS, SPECKS, STRAY_PARTS, Scale,
    Site,
};
use super::{MendKind, nodes};
use crate::diagnostics::{ArtworkPlace, Diagnostic, Finding, counted, places};
use crate::geometry::Drawing;
use crate::units::Mm;
use crate::units::number::fixed;
use kurbo::Point;

/// How far (mm) an element may lie from a place that it is named for.
const REACH: f64 = 0.5;

/// At most so many elements are named in a finding.
const MOST_NAMED: usize = 3;

/// Puts a fault into words.
pub fn report(fault: &Fault, drawing: &Drawing, scale: &Scale, site: Site) -> Diagnostic {
    let at: Vec<Point> = fault.places.iter().map(|p| p.at).collect();
    let diagnostic = Diagnostic::new(finding(fault.kind), message(fault, scale, site.name))
        .at(site.head, label(fault, &at))
        .because(consequence(fault.kind, scale))
        .repair(repair(fault, scale, site));
    elements(drawing, &at, site).into_iter().fold(diagnostic, Diagnostic::in_artwork)
}

/// The elements at the first of some places, each once.
pub(super) fn elements(drawing: &Drawing, at: &[Point], site: Site) -> Vec<ArtworkPlace> {
    let mut named: Vec<ArtworkPlace> = Vec::new();
    for &place in at.iter().take(2 * MOST_NAMED) {
        for element in drawing.elements_at(place, Mm::new(REACH)) {
            let position = Some((element.line, element.column));
            if named.len() < MOST_NAMED && !named.iter().any(|n| n.position == position) {
                named.push(ArtworkPlace {
                    file: site.file.to_owned(),
                    figure: Some(site.name.to_owned()),
                    element: Some(element.name.clone()),
                    position,
                    at: Some(place),
                });
            }
        }
    }
    named
}

const fn finding(kind: FaultKind) -> &'static Finding {
    match kind {
        FaultKind::NearEnds => &NEAR_ENDS,
        FaultKind::Doubled => &DOUBLED_LINES,
        FaultKind::Loops => &SMALL_LOOPS,
        FaultKind::Specks => &SPECKS,
        FaultKind::Stray => &STRAY_PARTS,
        FaultKind::Nodes { .. } => &NODE_FLOOD,
        FaultKind::Pixels { .. } => &PIXEL_STEPS,
    }
}

fn message(fault: &Fault, scale: &Scale, name: &str) -> String {
    let worst = shown(fault.places[0].size);
    let count = |one: &str, many: &str| counted(fault.places.len(), one, many);
    let worst_of = |superlative: &str| match fault.places.len() {
        1 => worst.clone(),
        _ => format!("the {superlative} {worst}"),
    };
    match fault.kind {
        FaultKind::NearEnds => format!(
            "the lines of `{name}` have {} between ends that nearly meet, {}",
            count("gap", "gaps"),
            worst_of("widest")
        ),
        FaultKind::Doubled => {
            let total: Mm = fault.places.iter().map(|p| p.size).sum();
            format!("{} mm of the lines of `{name}` lie on other lines of it", fixed(total.get(), 1))
        }
        FaultKind::Loops => format!(
            "lines of `{name}` cross themselves in {}, {} round",
            count("small loop", "small loops"),
            worst_of("longest")
        ),
        FaultKind::Specks => {
            format!("`{name}` has {} smaller than the spot of {}", count("speck", "specks"), scale.spot)
        }
        FaultKind::Stray => format!(
            "`{name}` has {} far off the rest, {} away",
            count("small part", "small parts"),
            worst_of("farthest")
        ),
        FaultKind::Nodes { segments, enough } => {
            format!("`{name}` has {segments} segments where {enough} would do within {}", nodes::UNSEEN)
        }
        FaultKind::Pixels { edges } => {
            format!("`{name}` is made of pixels: {edges} edges, all level or upright, in steps of {worst}")
        }
    }
}

fn label(fault: &Fault, at: &[Point]) -> String {
    let places = places(at);
    match fault.kind {
        FaultKind::Doubled => format!("{}, {places}", counted(at.len(), "stretch", "stretches")),
        FaultKind::Specks if at.len() == 1 => format!("{} across: {places}", shown(fault.places[0].size)),
        FaultKind::Specks => format!("{} across: {places}", sizes(fault)),
        FaultKind::Nodes { .. } => format!("the worst outline begins {places}"),
        _ => places,
    }
}

/// The sizes of the places that are named, in their order.
fn sizes(fault: &Fault) -> String {
    let named: Vec<String> = fault.places.iter().take(MOST_NAMED).map(|p| shown(p.size)).collect();
    let more = if fault.places.len() > MOST_NAMED { ", …" } else { "" };
    format!("{}{more}", named.join(", "))
}

fn consequence(kind: FaultKind, scale: &Scale) -> String {
    let spot = scale.spot;
    match kind {
        FaultKind::NearEnds if scale.cut => {
            "an outline with a gap is open: it cannot be cut on its waste side, offset or inlaid".to_owned()
        }
        FaultKind::NearEnds => format!("a gap of more than half the spot of {spot} shows in the line"),
        FaultKind::Doubled => {
            "parts that go to different operations are burned twice there; in one operation the line is \
                               burned once"
                .to_owned()
        }
        FaultKind::Loops => format!("the beam goes round within a few spots of {spot}, and the place chars"),
        FaultKind::Specks => {
            "a dot comes out as large as the spot or is missed between two rows; a pinhole is burned over"
                .to_owned()
        }
        FaultKind::Stray => {
            "it counts to the box of the figure, which comes out smaller and off its middle, and is burned \
                             there"
                .to_owned()
        }
        FaultKind::Nodes { .. } => {
            "many controllers stutter on steps shorter than the spot, and the line gets darker".to_owned()
        }
        FaultKind::Pixels { .. } => {
            "edges come out as stairs, and a cut along them shakes the machine at every step".to_owned()
        }
    }
}

fn repair(fault: &Fault, scale: &Scale, site: Site) -> String {
    let (worst, least) = (fault.places[0].size, fault.places[fault.places.len() - 1].size);
    let (kind, up_to) = match fault.kind {
        FaultKind::NearEnds => (MendKind::Gaps, above(worst)),
        FaultKind::Doubled => (MendKind::Doubled, scale.spot / 4.0),
        FaultKind::Loops => (MendKind::Loops, above(worst)),
        FaultKind::Specks => (MendKind::Specks, above(scale.spot)),
        FaultKind::Stray => (MendKind::Stray, below(least)),
        FaultKind::Nodes { .. } => (MendKind::Nodes, nodes::UNSEEN),
        FaultKind::Pixels { .. } => return "take the picture it was made from and `trace` it".to_owned(),
    };
    let property = format!("{}=\"{} mm\"", kind.word(), fixed(up_to.get(), 3));
    if site.mends {
        format!("write `{property}` in its `mend`")
    } else {
        format!("write `mend {property}` inside it")
    }
}

/// A length in words; one that rounds to nothing is still one.
pub(super) fn shown(length: Mm) -> String {
    match fixed(length.get(), 2).as_str() {
        "0" => "under 0.01 mm".to_owned(),
        text => format!("{text} mm"),
    }
}

/// A length of few digits that is a little greater.
fn above(size: Mm) -> Mm {
    let mut step = 0.01;
    while size.get() > 50.0 * step {
        step *= 10.0;
    }
    Mm::new((size.get() * 1.001 / step).ceil() * step)
}

/// A length of few digits that is a little less.
fn below(size: Mm) -> Mm {
    let mut step = 0.1;
    while size.get() > 20.0 * step {
        step *= 10.0;
    }
    Mm::new(((size.get() / step).ceil() - 1.0) * step)
}
