//! What is wrong with a drawing for burning, and how it is put right.
//!
//! In: a [`Drawing`] at the size it is burned at, in mm. Out: `found`: what is wrong with it and where; and
//! `mended`: the drawing put right, with a record of every change. `said.rs` and `done.rs` put both into words.
//!
//! One file a kind of fault, each with what looks and what mends: `gaps`, `doubled`, `loops` (and lines that cross
//! themselves), `specks`, `stray`, `thin`, `nodes`; what looks only: `pixels`.
//!
//! Invariant: only what is asked for in [`Mends`] is changed; nothing moves farther than its tolerance; and of each kind
//! that was mended nothing is left, so that mending twice is mending once.

mod gaps;
mod doubled;
mod loops;
mod specks;
mod stray;
mod thin;
mod nodes;
mod pixels;
mod found;
mod said;
mod done;

pub use done::{tell, tell_of_idle};
pub use found::{Fault, FaultKind, Scale, Site, found, is_dot};
pub use said::report;

use crate::diagnostics::Finding;
use crate::geometry::{Drawing, length};
use crate::units::{Mm, Mm2};
use kurbo::Point;

/// The rules of this floor.
pub static RULES: &[&Finding] = &[
    &found::NEAR_ENDS,
    &found::DOUBLED_LINES,
    &found::SMALL_LOOPS,
    &found::SPECKS,
    &found::STRAY_PARTS,
    &found::NODE_FLOOD,
    &found::PIXEL_STEPS,
    &done::CLOSED_GAPS,
    &done::DROPPED_DOUBLES,
    &done::CUT_LOOPS,
    &done::RESOLVED_CROSSINGS,
    &done::DROPPED_SPECKS,
    &done::DROPPED_STRAYS,
    &done::THICKENED_LINES,
    &done::FEWER_NODES,
    &done::DROPPED_MUCH,
    &done::NOTHING_MENDED,
];

/// A kind of mend, in the order in which they take effect.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum MendKind {
    /// Drops small parts far off all others.
    Stray,
    /// Drops dots and pinholes.
    Specks,
    /// Drops what lies on another line.
    Doubled,
    /// Joins ends that nearly meet.
    Gaps,
    /// Cuts off small loops of a line that crosses itself.
    Loops,
    /// Turns closed lines that cross themselves into the outline of what they enclose.
    Crossings,
    /// Draws thin lines wider.
    Thin,
    /// Draws curves with fewer nodes.
    Nodes,
}

impl MendKind {
    /// All of them, in their order.
    pub const ALL: [Self; 8] = [
        Self::Stray,
        Self::Specks,
        Self::Doubled,
        Self::Gaps,
        Self::Loops,
        Self::Crossings,
        Self::Thin,
        Self::Nodes,
    ];

    /// The recipe word.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Stray => "stray",
            Self::Specks => "specks",
            Self::Doubled => "doubled",
            Self::Gaps => "gaps",
            Self::Loops => "loops",
            Self::Crossings => "crossings",
            Self::Thin => "thin",
            Self::Nodes => "nodes",
        }
    }
}

/// What is to be mended: each kind once, with the length up to which it goes.
///
/// Crossings know no length; theirs says nothing.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Mends {
    /// Kinds and lengths, in the order in which they take effect.
    wanted: Vec<(MendKind, Mm)>,
}

impl Mends {
    /// The mends that change nothing a maker could see, for a machine with this spot: gaps up to two spots, lines that lie
    /// on each other within a quarter of it, loops up to four spots long, specks smaller than a spot, and nodes that can be
    /// spared within 0.01 mm.
    pub fn safe(spot: Mm) -> Self {
        let wanted = [
            (MendKind::Specks, spot),
            (MendKind::Doubled, spot / 4.0),
            (MendKind::Gaps, spot * 2.0),
            (MendKind::Loops, spot * 4.0),
            (MendKind::Nodes, nodes::UNSEEN),
        ];
        wanted.into_iter().collect()
    }

    /// Kinds and lengths, in the order in which they take effect.
    pub fn iter(&self) -> impl Iterator<Item = (MendKind, Mm)> + '_ {
        self.wanted.iter().copied()
    }
}

impl FromIterator<(MendKind, Mm)> for Mends {
    fn from_iter<I: IntoIterator<Item = (MendKind, Mm)>>(wanted: I) -> Self {
        let mut wanted: Vec<(MendKind, Mm)> = wanted.into_iter().collect();
        wanted.sort_by_key(|(kind, _)| *kind);
        Self { wanted }
    }
}

/// A place in a drawing and how bad it is there.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Place {
    /// The place.
    pub at: Point,
    /// A length in mm: how wide, how long, how far.
    pub size: Mm,
}

/// What one mend has changed.
#[derive(Clone, Debug, PartialEq)]
pub struct Change {
    /// Which mend.
    pub kind: MendKind,
    /// Up to which length it went.
    pub up_to: Mm,
    /// The places, the greatest first.
    pub places: Vec<Place>,
    /// By how much outlines and lines together have become longer.
    pub length: Mm,
    /// By how much the inked area has become larger.
    pub area: Mm2,
    /// How many segments there were, and how many there are.
    pub segments: (usize, usize),
    /// Whether nothing would have been left, so that nothing was done.
    pub drops_all: bool,
}

/// A drawing put right.
#[derive(Clone, Debug)]
pub struct Mended {
    /// The drawing.
    pub drawing: Drawing,
    /// What each mend has changed, in the order in which they took effect; also those that found nothing to do.
    pub changes: Vec<Change>,
}

/// Puts a drawing right.
pub fn mended(drawing: &Drawing, wanted: &Mends) -> Mended {
    let mut drawing = drawing.clone();
    let changes = wanted.iter().map(|(kind, up_to)| change(&mut drawing, kind, up_to)).collect();
    Mended { drawing, changes }
}

fn change(drawing: &mut Drawing, kind: MendKind, up_to: Mm) -> Change {
    let before = Extent::of(drawing);
    let drops_all = kind == MendKind::Specks && specks::is_all(drawing, up_to);
    let mut places = match kind {
        MendKind::Stray => stray::drop_from(drawing, up_to),
        MendKind::Specks => specks::drop_from(drawing, up_to),
        MendKind::Doubled => doubled::drop_from(drawing, up_to),
        MendKind::Gaps => gaps::close(drawing, up_to),
        MendKind::Loops => loops::cut_off(drawing, up_to),
        MendKind::Crossings => loops::resolve(drawing),
        MendKind::Thin => thin::widen(drawing, up_to),
        MendKind::Nodes => nodes::spare(drawing, up_to),
    };
    greatest_first(&mut places);
    let after = Extent::of(drawing);
    Change {
        kind,
        up_to,
        places,
        length: after.length - before.length,
        area: after.area - before.area,
        segments: (before.segments, after.segments),
        drops_all,
    }
}

fn greatest_first(places: &mut [Place]) {
    places.sort_by(|a, b| {
        let order = b.size.get().total_cmp(&a.size.get());
        order.then(a.at.x.total_cmp(&b.at.x)).then(a.at.y.total_cmp(&b.at.y))
    });
}

/// How much there is of a drawing.
struct Extent {
    length: Mm,
    area: Mm2,
    segments: usize,
}

impl Extent {
    fn of(drawing: &Drawing) -> Self {
        let lines = || drawing.lines.iter().map(|l| &l.path);
        let paths = || drawing.ink.contours().iter().chain(lines());
        Self {
            length: paths().map(length).sum(),
            area: drawing.ink.area(),
            segments: paths().map(|p| p.segments().count()).sum(),
        }
    }
}
