//! Which finding lies where in which artwork.

use crate::diagnostics::{ArtworkPlace, Diagnostic};
use crate::plan::{ArtworkUsed, FigureUsed, Plan};
use kurbo::{PathEl, Point, Rect};

/// A place this far (mm) outside a figure's box still belongs to it.
const ROOM: f64 = 2.0;

/// Places within this (mm) of each other are marked once.
const SAME_PLACE: f64 = 0.1;

/// So many findings are shown of one artwork at most.
const MOST: usize = 40;

/// An artwork and what was found in it.
pub(super) struct Marked<'a> {
    pub figure: &'a FigureUsed,
    pub artwork: &'a ArtworkUsed,
    /// Its box on the sheet.
    pub frame: Rect,
    /// The findings, numbered from 1 in this order.
    pub marks: Vec<Mark<'a>>,
}

/// A finding and its places on the sheet.
pub(super) struct Mark<'a> {
    pub finding: &'a Diagnostic,
    pub at: Vec<Point>,
}

/// The artworks that findings name a place in, with these findings; what the recipe accepts is left out.
pub(super) fn by_artwork<'a>(plan: &'a Plan, diagnostics: &'a [Diagnostic]) -> Vec<Marked<'a>> {
    let marked = plan.figures.iter().filter_map(|figure| {
        let (artwork, frame) = (figure.artwork.as_ref()?, figure.bounds?);
        let of = |finding: &'a Diagnostic| {
            let mut at: Vec<Point> = Vec::new();
            let own = finding.artwork.iter().filter(|p| p.figure.as_ref().is_none_or(|name| *name == figure.name));
            for place in own.filter_map(|place| place_in(place, artwork, frame)) {
                if at.iter().all(|other| other.distance(place) > SAME_PLACE) {
                    at.push(place);
                }
            }
            Mark { finding, at }
        };
        let open = diagnostics.iter().filter(|d| d.accepted.is_none());
        let marks: Vec<Mark> = open.map(of).filter(|m| !m.at.is_empty()).take(MOST).collect();
        (!marks.is_empty()).then_some(Marked { figure, artwork, frame, marks })
    });
    marked.collect()
}

/// Where on the sheet a place in a file lies; that of an element is a point of its outline.
fn place_in(place: &ArtworkPlace, artwork: &ArtworkUsed, frame: Rect) -> Option<Point> {
    if place.file != artwork.file {
        return None;
    }
    if let Some(at) = place.at {
        return frame.inflate(ROOM, ROOM).contains(at).then_some(at);
    }
    let of_element = |p: &&crate::geometry::Part| {
        p.element.as_ref().is_some_and(|e| Some((e.line, e.column)) == place.position)
    };
    let part = artwork.drawing.parts.iter().find(of_element)?;
    part.path.elements().first().and_then(PathEl::end_point).filter(|p| frame.inflate(ROOM, ROOM).contains(*p))
}
