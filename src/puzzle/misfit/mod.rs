//! Seams so alike that a piece seems to fit where it does not belong.
//!
//! Two seams are compared by their [`form::Form`]s: knob to one side, only moved and turned, and turned over as well where
//! both faces of the pieces look alike. Their misfit ([`fit`]) is what is left between them when one is laid onto the
//! other as well as can be. Not every pair is laid so: [`basis`] tells each form by a few numbers which are near each other
//! where the misfit is small, and [`index`] finds those.
//!
//! What is alike is drawn anew ([`apart`]): as few seams as will do, each until it is unlike all others, and never nearer
//! to its neighbours than before.

mod apart;
mod basis;
mod fit;
mod form;
mod index;
mod minimax;

use super::PuzzleRequest;
use super::character::Style;
use super::dress::Dresser;
use crate::units::Mm;
use kurbo::Point;

/// What a hand tells from a fit, mm. A judgement of this project, no source.
const TOLD_BY_HAND: f64 = 0.6;
/// It takes at least so many widths of the cut: pieces have play on both sides. A judgement of this project, no source.
const KERFS: f64 = 3.0;
/// The misfit that 1000 pieces can keep with calm and with wide variety, in cells: measured with all characters.
const KEPT_BY_THOUSAND: [f64; 2] = [0.0155, 0.024];
/// How that falls with the number of pieces: alike pairs grow as the square of it, and about as the eighth power of the misfit
/// that counts as alike.
const FALL: f64 = 1.0 / 8.0;
/// More pieces than this are only kept apart when it is asked for.
const MOST_UNASKED: usize = 5_000;
/// More pieces than this are only compared when it is asked for.
const MOST_COMPARED: usize = 10_000;
/// Nothing keeps seams apart by more than this many times what was measured: it is not tried for.
const OUT_OF_REACH: f64 = 2.0;
/// What is tried for is this much more, mm, so that another way of laying two seams onto each other does not come below.
const MARGIN: f64 = 0.02;

/// The two seams of a puzzle that are most alike.
///
/// Their misfit is what is left between them when one is laid onto the other as well as can be, knob on knob: the largest
/// distance of any point of one line from the other, or of its ends from the other's ends. At 0 a piece of the one seam
/// fits into the other.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct LeastMisfit {
    /// Their misfit, known to 0.03 mm.
    pub value: Mm,
    /// What was wanted; zero when nothing was.
    pub wanted: Mm,
    /// The necks of the two knobs; one and the same for a knob that fits its own socket turned over.
    pub at: [Point; 2],
    /// Whether a piece has to be turned over to fit so.
    pub turned_over: bool,
    /// In how many rounds seams were drawn anew because they were too much alike.
    pub rounds: usize,
}

/// What is wanted of the seams of one puzzle.
#[derive(Clone, Copy, Debug)]
pub(super) struct Wish {
    /// The least misfit wanted, mm; 0 for none.
    wanted: f64,
    /// What is tried for, mm.
    goal: f64,
    /// Whether all pairs are compared at all.
    compared: bool,
    faces_alike: bool,
}

impl Wish {
    /// What a request asks for with so many pieces of this size (mm).
    pub(super) fn of(request: &PuzzleRequest, pieces: usize, size: f64) -> Self {
        let [calm, wide] = KEPT_BY_THOUSAND;
        let cells = calm + (wide - calm) * Style::of(request).variety;
        let kept = cells * size * libm::pow(1000.0 / pieces.max(1) as f64, FALL);
        let wanted = match request.distinct {
            Some(wanted) => wanted.get(),
            None if pieces > MOST_UNASKED => 0.0,
            None => TOLD_BY_HAND.max(KERFS * request.kerf.get()).min(kept),
        };
        Self {
            wanted,
            goal: if wanted > 0.0 { (wanted + MARGIN).min(OUT_OF_REACH * kept) } else { 0.0 },
            compared: pieces <= MOST_COMPARED || wanted > 0.0,
            faces_alike: request.faces_alike,
        }
    }
}

/// Draws seams anew that are too much alike, where that is wanted, and tells which two of all seams are most alike in
/// the end; `None` when they were not compared, or are not two.
pub(super) fn keep_apart(dresser: &mut Dresser, wish: Wish) -> Option<LeastMisfit> {
    if !wish.compared {
        return None;
    }
    let (rounds, pair) = apart::keep_apart(dresser, wish);
    let pair = pair?;
    let edges = dresser.seams();
    let neck = |seam: usize| dresser.drawn(edges[seam]).map(|(_, lock)| lock.neck.at);
    Some(LeastMisfit {
        value: Mm::new(pair.misfit),
        wanted: Mm::new(wish.wanted),
        at: [neck(pair.seams[0])?, neck(pair.seams[1])?],
        turned_over: pair.turned_over,
        rounds,
    })
}
