//! [`Manner`]: what became of what a recipe asks of a cut.

use crate::units::Mm;
use kurbo::Point;

/// How a cut is made beyond following its lines.
#[derive(Clone, Debug, Default)]
pub struct Manner {
    /// Bridges that hold the parts.
    pub tabs: Option<Tabs>,
    /// Where closed lines are begun.
    pub lead_ins: Option<LeadIns>,
    /// How far closed lines run past the point where they close.
    pub overcut: Option<Mm>,
    /// How strokes are spread so that the stock can cool.
    pub spread: Option<Spread>,
}

/// Bridges left uncut, which hold parts until a knife frees them.
#[derive(Clone, Debug, Default)]
pub struct Tabs {
    /// What stays of the stock in each, along the outline.
    pub width: Mm,
    /// Their middles.
    pub places: Vec<Point>,
    /// How many outlines they hold.
    pub outlines: usize,
    /// How many outlines of parts are too short for them and are cut all round.
    pub without: usize,
}

/// Cuts begun in the waste.
#[derive(Clone, Copy, Debug, Default)]
pub struct LeadIns {
    /// How far from the outline.
    pub length: Mm,
    /// How many lines are begun so: closed ones, and what bridges leave of them.
    pub begun: usize,
    /// How many have no room beside them and are begun on the line.
    pub without: usize,
}

/// Strokes spread so that none is burned beside one that is still warm.
#[derive(Clone, Copy, Debug)]
pub struct Spread {
    /// None is begun nearer than this to the strokes burned just before.
    pub distance: Mm,
    /// How many had to be, because nothing else was left.
    pub near: usize,
    /// Length of the moves with the beam off if they were not spread, one pass.
    pub travel_without: Mm,
}
