//! One knob for one seam: its measures drawn by chance, strengthened to the floors, built and measured.

use super::angular::AngularKnob;
use super::chance::Draws;
use super::character::{Character, Range, Style};
use super::floors::Floors;
use super::knob::{Dressed, Span, Stand};
use super::lock::{Lock, least_radius};
use super::round::RoundKnob;

/// By how much the knob has shrunk when it is wholly tame.
const SHRINK: f64 = 0.22;
/// Seams at least this long, in cells, carry a full knob; on shorter ones it shrinks with them.
const FULL_LENGTH: f64 = 0.92;
/// The least share of its full size that a knob shrinks to on a short seam.
const LEAST_SCALE: f64 = 0.6;

/// What makes the knobs.
#[derive(Clone, Copy, Debug)]
pub(super) struct KnobMaker {
    /// How they look.
    pub style: Style,
    /// What none may fall below.
    pub floors: Floors,
    /// The length that they are measured by, mm.
    pub size: f64,
}

/// Draws from ranges that close towards their middles as a knob has to become tame.
struct Picker<'a> {
    draws: &'a mut Draws,
    tame: f64,
}

impl Picker<'_> {
    fn pick(&mut self, range: Range) -> f64 {
        range.towards_middle(self.tame).draw(self.draws)
    }

    fn pick_small(&mut self, range: Range) -> f64 {
        range.towards_low(self.tame).draw(self.draws)
    }

    fn degrees(&mut self, range: Range) -> f64 {
        self.pick(range).to_radians()
    }

    fn stand(&mut self, [place, sag, tilt]: [Range; 3], unit: f64, side: f64) -> Stand {
        Stand { place: self.pick(place), sag: self.pick(sag) * unit, tilt: self.degrees(tilt), side }
    }
}

impl KnobMaker {
    /// Draws a knob and measures it; `None` when it breaks a rule.
    ///
    /// `tame` goes from 0, free, to 1; `room` is the share of its size that the pieces beside it leave.
    pub(super) fn make(
        &self,
        draws: &mut Draws,
        tame: f64,
        room: f64,
        span: Span,
        side: f64,
    ) -> Option<(Dressed, Lock)> {
        let scale = (span.ends[0].distance(span.ends[1]) / (FULL_LENGTH * self.size)).clamp(LEAST_SCALE, 1.0);
        let unit = self.size * scale * room * (1.0 - SHRINK * tame);
        let picker = Picker { draws, tame };
        let dressed = match self.style.character {
            Character::Angular => self.angular(picker, unit, side).dress(span),
            Character::Round | Character::Wavy => self.round(picker, unit, side).dress(span),
        }?;
        let lock = self.holds(&dressed)?;
        Some((dressed, lock))
    }

    fn round(&self, mut from: Picker, unit: f64, side: f64) -> RoundKnob {
        let style = self.style.round();
        let stand = from.stand([style.place, style.sag, style.tilt], unit, side);
        let head = from.pick_small(style.head) * unit;
        let fillet = from.pick(style.fillet) * unit;
        let uneven = from.pick(style.unevenness) / 2.0;
        let mut knob = RoundKnob {
            stand,
            head,
            neck: from.pick(style.neck) * head,
            fillets: [fillet * (1.0 + uneven), fillet * (1.0 - uneven)],
            lean: from.pick(style.lean),
            stretch: from.pick(style.stretch),
            rise: from.pick(style.rise),
            dips: [from.degrees(style.dip), from.degrees(style.dip)],
            reaches: [from.pick(style.reach), from.pick(style.reach)],
        };
        // Widen neck, head and fillets to what the floors ask for, as far as a formula can tell.
        let [most, least] = knob.stretches();
        let Floors { neck, undercut, .. } = self.floors;
        let widest = (knob.head * least - undercut) / knob.stretch;
        knob.neck = knob.neck.min(widest).max(neck / least);
        knob.head = knob.head.max((knob.neck * knob.stretch + undercut) / least);
        let bend = self.style.character.least_radius() * self.size * most / (least * least);
        knob.fillets = knob.fillets.map(|f| f.max(bend));
        knob
    }

    fn angular(&self, mut from: Picker, unit: f64, side: f64) -> AngularKnob {
        let style = self.style.angular();
        let stand = from.stand([style.place, style.sag, style.tilt], unit, side);
        let Floors { neck, undercut, .. } = self.floors;
        let drawn = from.pick_small(style.head) * unit;
        let neck = (from.pick(style.neck) * drawn).min(drawn - undercut).max(neck);
        let head = drawn.max(neck + undercut);
        let least = self.style.character.least_radius() * self.size;
        AngularKnob {
            stand,
            head,
            neck,
            fillet: (from.pick(style.fillet) * unit).max(least),
            corner: (from.pick(style.corner) * unit).max(least),
            top: from.pick(style.top) * head,
            low: from.pick(style.low) * head,
            high: from.pick(style.high) * head,
            skew: from.pick(style.skew) * head,
            slope: from.pick(style.slope) * head,
            bends: [from.pick(style.bend), from.pick(style.bend)],
        }
    }

    /// Measures a knob; `None` when it is below a floor, too sharply bent, or its head sits on its shoulders.
    fn holds(&self, dressed: &Dressed) -> Option<Lock> {
        let bend = self.style.character.least_radius() * self.size;
        if dressed.shoulders().into_iter().flatten().any(|&c| least_radius(c) < bend) {
            return None;
        }
        let lock = Lock::of(dressed)?;
        let good = lock.neck.value.get() >= self.floors.neck
            && lock.undercut.value.get() >= self.floors.undercut
            && lock.under_head >= dressed.least_gap;
        good.then_some(lock)
    }
}
