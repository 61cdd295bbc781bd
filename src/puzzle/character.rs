//! What a knob may look like: ranges that chance draws from.
//!
//! Each range is given twice, for calm and for wide variety, and every character stands somewhere between.
//! Lengths are shares of the cell's size, angles are degrees.

use super::PuzzleRequest;
use super::chance::Draws;

/// How knobs look.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Character {
    /// Round heads on calm seams.
    #[default]
    Round,
    /// Round, leaning heads; every seam is one flowing wave.
    Wavy,
    /// Heads with straight sides and small rounded corners.
    Angular,
}

/// A character, and where between calm and wide its ranges stand.
#[derive(Clone, Copy, Debug)]
pub(super) struct Style {
    /// The character.
    pub character: Character,
    /// Where its ranges stand: 0 is calm, 1 is wide.
    pub variety: f64,
}

/// A range of numbers.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Range {
    low: f64,
    high: f64,
}

/// How the lattice itself varies.
#[derive(Clone, Copy, Debug)]
pub(super) struct LatticeStyle {
    /// How far a corner strays, each way.
    pub stray: f64,
    /// How far the cross at a corner turns as a whole, degrees; with `wave` at least this far.
    pub turn: Range,
    /// How far each of its two lines turns besides, degrees each way.
    pub bend: f64,
    /// Whether neighbouring crosses turn against each other, so that seams become waves.
    pub wave: bool,
}

/// What a round head is drawn from.
#[derive(Clone, Copy, Debug)]
pub(super) struct RoundStyle {
    /// Where the knob stands, as a share of the edge.
    pub place: Range,
    /// Diameter of the head.
    pub head: Range,
    /// Neck, as a share of the head.
    pub neck: Range,
    /// Mean radius of the two fillets at the neck.
    pub fillet: Range,
    /// By how much one fillet is larger than the other, as a share of the mean.
    pub unevenness: Range,
    /// How far the foot of the knob is sunk.
    pub sag: Range,
    /// How far the knob is turned, degrees.
    pub tilt: Range,
    /// How far it is sheared.
    pub lean: Range,
    /// By what it is stretched along the edge.
    pub stretch: Range,
    /// By what it is stretched across the edge.
    pub rise: Range,
    /// By how much a shoulder dips before it rises, degrees.
    pub dip: Range,
    /// Handle length of a shoulder, as a share of its length.
    pub reach: Range,
}

/// What an angular head is drawn from.
#[derive(Clone, Copy, Debug)]
pub(super) struct AngularStyle {
    /// Where the knob stands, as a share of the edge.
    pub place: Range,
    /// Width of the head between its lower corners.
    pub head: Range,
    /// Neck, as a share of the head.
    pub neck: Range,
    /// Radius of the fillets at the neck.
    pub fillet: Range,
    /// Radius of the head's lower corners.
    pub corner: Range,
    /// How far the foot of the knob is sunk.
    pub sag: Range,
    /// How far the knob is turned, degrees.
    pub tilt: Range,
    /// Width of the top, as a share of the head.
    pub top: Range,
    /// Height of the lower corners, as a share of the head.
    pub low: Range,
    /// Height of the upper corners, as a share of the head.
    pub high: Range,
    /// How far the top is shifted sideways, as a share of the head.
    pub skew: Range,
    /// How far the top slopes, as a share of the head.
    pub slope: Range,
    /// Where each shoulder bends, as a share of the edge.
    pub bend: Range,
}

impl Range {
    /// From `low` to `high`.
    pub(super) const fn new(low: f64, high: f64) -> Self {
        Self { low, high }
    }

    /// The same number both ways.
    const fn both(size: f64) -> Self {
        Self::new(-size, size)
    }

    /// Between a calm and a wide range.
    fn blend(calm: Self, wide: Self, variety: f64) -> Self {
        let mix = |a: f64, b: f64| a + (b - a) * variety;
        Self::new(mix(calm.low, wide.low), mix(calm.high, wide.high))
    }

    /// The range drawn together to its middle; 1 leaves only the middle.
    pub(super) fn towards_middle(self, share: f64) -> Self {
        let middle = self.low.midpoint(self.high);
        Self::blend(self, Self::new(middle, middle), share)
    }

    /// The range drawn together to its low end.
    pub(super) fn towards_low(self, share: f64) -> Self {
        Self::blend(self, Self::new(self.low, self.low), share)
    }

    /// A number from the range.
    pub(super) fn draw(self, draws: &mut Draws) -> f64 {
        self.low + (self.high - self.low) * draws.share()
    }
}

impl Character {
    /// How far between calm and wide a character stands unless it is said otherwise: a judgement, no source.
    fn variety(self) -> f64 {
        match self {
            Self::Round => 0.25,
            Self::Wavy => 0.1,
            Self::Angular => 0.3,
        }
    }

    /// Least radius of a curve: a sharper bend burns.
    pub(super) fn least_radius(self) -> f64 {
        if self == Self::Angular { 0.02 } else { 0.036 }
    }
}

impl Style {
    /// What a request asks for.
    pub(super) fn of(request: &PuzzleRequest) -> Self {
        let variety = request.variety.map_or(request.knob.variety(), |share| share.get() / 100.0);
        Self { character: request.knob, variety: variety.clamp(0.0, 1.0) }
    }

    /// How its lattice varies.
    pub(super) fn lattice(self) -> LatticeStyle {
        let v = self.variety;
        let blend = |calm: f64, wide: f64| calm + (wide - calm) * v;
        let around = |calm: f64, wide: f64| Range::both(blend(calm, wide));
        let waves = Range::new(12.0 * blend(1.0, 1.25), 27.0 * blend(1.0, 1.25));
        let (stray, turn, bend) = match self.character {
            Character::Round => (blend(0.06, 0.096), around(9.0, 11.0), blend(6.0, 11.0)),
            Character::Wavy => (blend(0.10, 0.16), waves, blend(12.0, 22.0)),
            Character::Angular => (blend(0.09, 0.144), around(10.0, 12.5), blend(8.0, 14.0)),
        };
        LatticeStyle { stray, turn, bend, wave: self.character == Character::Wavy }
    }

    /// What its round heads are drawn from.
    pub(super) fn round(self) -> RoundStyle {
        let v = self.variety;
        let r = Range::new;
        let b = |calm, wide| Range::blend(calm, wide, v);
        let e = |calm, wide| b(Range::both(calm), Range::both(wide));
        if self.character == Character::Wavy {
            return RoundStyle {
                place: b(r(0.36, 0.64), r(0.32, 0.68)),
                head: b(r(0.245, 0.295), r(0.22, 0.31)),
                neck: b(r(0.50, 0.60), r(0.46, 0.62)),
                fillet: b(r(0.07, 0.11), r(0.065, 0.115)),
                unevenness: e(0.4, 0.6),
                sag: b(r(-0.02, 0.03), r(-0.04, 0.06)),
                tilt: e(14.0, 20.0),
                lean: e(0.36, 0.42),
                stretch: b(r(0.98, 1.18), r(0.90, 1.24)),
                rise: b(r(0.84, 1.04), r(0.80, 1.14)),
                dip: b(r(0.0, 24.0), r(-4.0, 28.0)),
                reach: b(r(0.38, 0.55), r(0.34, 0.60)),
            };
        }
        RoundStyle {
            place: b(r(0.38, 0.62), r(0.33, 0.67)),
            head: b(r(0.255, 0.305), r(0.225, 0.32)),
            neck: b(r(0.50, 0.59), r(0.46, 0.62)),
            fillet: b(r(0.066, 0.098), r(0.06, 0.105)),
            unevenness: e(0.3, 0.6),
            sag: b(r(-0.01, 0.03), r(-0.03, 0.06)),
            tilt: e(9.0, 16.0),
            lean: e(0.16, 0.30),
            stretch: b(r(0.95, 1.08), r(0.86, 1.20)),
            rise: b(r(0.94, 1.06), r(0.86, 1.14)),
            dip: b(r(-4.0, 13.0), r(-6.0, 20.0)),
            reach: b(r(0.38, 0.50), r(0.34, 0.56)),
        }
    }

    /// What angular heads are drawn from.
    pub(super) fn angular(self) -> AngularStyle {
        let v = self.variety;
        let r = Range::new;
        let b = |calm, wide| Range::blend(calm, wide, v);
        let e = |calm, wide| b(Range::both(calm), Range::both(wide));
        AngularStyle {
            place: b(r(0.37, 0.63), r(0.33, 0.67)),
            head: b(r(0.27, 0.335), r(0.245, 0.345)),
            neck: b(r(0.46, 0.56), r(0.44, 0.60)),
            fillet: b(r(0.026, 0.040), r(0.022, 0.044)),
            corner: b(r(0.022, 0.034), r(0.020, 0.036)),
            sag: b(r(-0.015, 0.035), r(-0.04, 0.06)),
            tilt: e(9.0, 14.0),
            top: b(r(0.28, 0.76), r(0.20, 0.86)),
            low: b(r(0.44, 0.62), r(0.38, 0.66)),
            high: b(r(0.84, 1.02), r(0.74, 1.12)),
            skew: e(0.22, 0.32),
            slope: e(0.13, 0.20),
            bend: b(r(0.10, 0.24), r(0.08, 0.30)),
        }
    }
}
