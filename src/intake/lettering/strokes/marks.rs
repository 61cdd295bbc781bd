//! The marks that letters carry, as strokes: in Hershey's units, y up from the baseline.

use kurbo::{Point, Vec2};

/// A mark.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Mark {
    Grave,
    Acute,
    Circumflex,
    Tilde,
    Macron,
    Breve,
    Dot,
    Diaeresis,
    Hook,
    Ring,
    DoubleAcute,
    Caron,
    /// A caron beside a letter with an ascender, where it looks like an apostrophe.
    Apostrophe,
    DoubleGrave,
    InvertedBreve,
    /// A comma upside down, as on a small g with a cedilla.
    TurnedComma,
    Horn,
    DotBelow,
    DiaeresisBelow,
    RingBelow,
    Comma,
    Cedilla,
    Ogonek,
    CircumflexBelow,
    BreveBelow,
    TildeBelow,
    LineBelow,
    /// A stroke through the letter, rising.
    Slash,
    /// A level stroke through the stem.
    Bar,
}

impl Mark {
    /// The mark of a combining character (Unicode, Combining Diacritical Marks) on a letter; `None` for those that are not
    /// drawn here.
    pub fn of(combining: char, base: char) -> Option<Self> {
        Some(match combining {
            '\u{300}' => Self::Grave,
            '\u{301}' => Self::Acute,
            '\u{302}' => Self::Circumflex,
            '\u{303}' => Self::Tilde,
            '\u{304}' => Self::Macron,
            '\u{306}' => Self::Breve,
            '\u{307}' => Self::Dot,
            '\u{308}' => Self::Diaeresis,
            '\u{309}' => Self::Hook,
            '\u{30a}' => Self::Ring,
            '\u{30b}' => Self::DoubleAcute,
            // As type foundries draw these: the caron of Czech and Slovak ascenders, the cedilla of Latvian.
            '\u{30c}' if matches!(base, 'd' | 't' | 'l' | 'L') => Self::Apostrophe,
            '\u{30c}' => Self::Caron,
            '\u{30f}' => Self::DoubleGrave,
            '\u{311}' => Self::InvertedBreve,
            '\u{31b}' => Self::Horn,
            '\u{323}' => Self::DotBelow,
            '\u{324}' => Self::DiaeresisBelow,
            '\u{325}' => Self::RingBelow,
            '\u{326}' => Self::Comma,
            '\u{327}' if base == 'g' => Self::TurnedComma,
            '\u{327}' if matches!(base, 'G' | 'K' | 'L' | 'N' | 'R' | 'k' | 'l' | 'n' | 'r') => Self::Comma,
            '\u{327}' => Self::Cedilla,
            '\u{328}' => Self::Ogonek,
            '\u{32d}' => Self::CircumflexBelow,
            '\u{32e}' => Self::BreveBelow,
            '\u{330}' => Self::TildeBelow,
            '\u{331}' => Self::LineBelow,
            _ => return None,
        })
    }

    /// Whether it stands where the dot of an i does.
    pub const fn is_above(self) -> bool {
        (self as u8) < (Self::Horn as u8)
    }

    /// By how much it makes a letter wider.
    pub const fn room(self, base: char) -> f64 {
        match self {
            Self::Apostrophe if base != 'L' => 3.0,
            Self::Horn => 2.0,
            _ => 0.0,
        }
    }
}

const ACUTE: &[(f64, f64)] = &[(2.0, 4.5), (-1.5, 0.0)];
const GRAVE: &[(f64, f64)] = &[(-2.0, 4.5), (1.5, 0.0)];
const CIRCUMFLEX: &[(f64, f64)] = &[(-4.0, 0.0), (0.0, 4.0), (4.0, 0.0)];
const CARON: &[(f64, f64)] = &[(-4.0, 4.0), (0.0, 0.0), (4.0, 4.0)];
const TILDE: &[(f64, f64)] =
    &[(-5.0, 0.5), (-3.5, 2.0), (-2.0, 2.2), (0.0, 1.5), (2.0, 0.8), (3.5, 1.0), (5.0, 2.5)];
const LEVEL: &[(f64, f64)] = &[(-4.0, 1.0), (4.0, 1.0)];
const BREVE: &[(f64, f64)] = &[(-4.0, 4.0), (-3.0, 1.5), (0.0, 0.5), (3.0, 1.5), (4.0, 4.0)];
const INVERTED_BREVE: &[(f64, f64)] = &[(-4.0, 0.5), (-3.0, 3.0), (0.0, 4.0), (3.0, 3.0), (4.0, 0.5)];
const HOOK: &[(f64, f64)] =
    &[(-1.8, 3.8), (-0.8, 5.0), (0.9, 5.0), (1.8, 4.0), (1.5, 2.8), (0.3, 1.9), (0.0, 0.3)];
const RING: &[(f64, f64)] = &[
    (0.0, 0.0),
    (1.8, 0.8),
    (2.5, 2.5),
    (1.8, 4.2),
    (0.0, 5.0),
    (-1.8, 4.2),
    (-2.5, 2.5),
    (-1.8, 0.8),
    (0.0, 0.0),
];
const COMMA: &[(f64, f64)] = &[(0.5, -2.5), (0.8, -4.5), (-1.2, -7.0)];
const TURNED_COMMA: &[(f64, f64)] = &[(-0.5, 0.0), (-0.8, 2.0), (1.2, 4.5)];
const CEDILLA: &[(f64, f64)] = &[(0.5, 0.0), (0.0, -2.0), (1.8, -2.8), (2.2, -4.3), (1.0, -5.6), (-2.0, -5.6)];
const OGONEK: &[(f64, f64)] = &[(1.5, 0.0), (-0.5, -2.0), (-0.8, -4.3), (0.8, -5.6), (3.0, -5.0)];
const HORN: &[(f64, f64)] = &[(-2.0, -1.6), (0.6, -1.2), (2.2, 0.4), (2.2, 2.6)];
const APOSTROPHE: &[(f64, f64)] = &[(0.6, 0.0), (0.6, -2.0), (-0.8, -4.6)];

/// The box of strokes: left, right, bottom, top.
pub(super) fn extent(strokes: &[Vec<Point>]) -> (f64, f64, f64, f64) {
    strokes.iter().flatten().fold((f64::MAX, f64::MIN, f64::MAX, f64::MIN), |(left, right, bottom, top), p| {
        (left.min(p.x), right.max(p.x), bottom.min(p.y), top.max(p.y))
    })
}

/// A mark at its letter, which may carry others; `dot` are the strokes of a full stop.
pub(super) fn strokes_of(mark: Mark, base: char, letter: &[Vec<Point>], dot: &[Vec<Point>]) -> Vec<Vec<Point>> {
    let (left, right, bottom, top) = extent(letter);
    let middle = f64::midpoint(left, right);
    // A slanted letter leans: its top stands to the right of its middle.
    let high: Vec<f64> = letter.iter().flatten().filter(|p| top - 2.0 <= p.y).map(|p| p.x).collect();
    let crown = high.iter().sum::<f64>() / high.len().max(1) as f64;
    let above = Vec2::new(f64::midpoint(middle, crown), top + 2.5);
    let below = Vec2::new(middle, bottom.min(0.0));
    // Marks that stand below as they do above.
    let under = below - Vec2::new(0.0, 7.0);
    let line = |at: Vec2, points: &[(f64, f64)]| points.iter().map(|p| Point::from(*p) + at).collect::<Vec<_>>();
    let one = |at: Vec2, points: &[(f64, f64)]| vec![line(at, points)];
    let dot_at = |at: Vec2| {
        let (left, right, bottom, _) = extent(dot);
        let by = at - Vec2::new(f64::midpoint(left, right), bottom);
        dot.iter().map(|s| s.iter().map(|p| *p + by).collect()).collect::<Vec<Vec<Point>>>()
    };
    let dots_at = |at: Vec2| [dot_at(at - Vec2::new(3.5, 0.0)), dot_at(at + Vec2::new(3.5, 0.0))].concat();
    let beside =
        |by: f64, points| vec![line(above - Vec2::new(by, 0.0), points), line(above + Vec2::new(by, 0.0), points)];
    match mark {
        Mark::Grave => one(above, GRAVE),
        Mark::Acute => one(above, ACUTE),
        Mark::DoubleAcute => beside(2.5, ACUTE),
        Mark::DoubleGrave => beside(2.5, GRAVE),
        Mark::Circumflex => one(above, CIRCUMFLEX),
        Mark::Caron => one(above, CARON),
        Mark::Tilde => one(above, TILDE),
        Mark::Macron => one(above, LEVEL),
        Mark::Breve => one(above, BREVE),
        Mark::InvertedBreve => one(above, INVERTED_BREVE),
        Mark::Hook => one(above, HOOK),
        Mark::Ring => one(above, RING),
        Mark::TurnedComma => one(above, TURNED_COMMA),
        Mark::Diaeresis => dots_at(above + Vec2::new(0.0, 1.0)),
        Mark::Dot => dot_at(above + Vec2::new(0.0, 1.0)),
        Mark::Apostrophe if base == 'L' => one(Vec2::new(left + 6.0, top), APOSTROPHE),
        Mark::Apostrophe => one(Vec2::new(right + 3.0, top), APOSTROPHE),
        Mark::Horn => one(Vec2::new(right, top), HORN),
        Mark::Cedilla => one(below, CEDILLA),
        Mark::Comma => one(below, COMMA),
        Mark::Ogonek => one(Vec2::new(right - 2.0, below.y), OGONEK),
        Mark::DotBelow => dot_at(below - Vec2::new(0.0, 5.0)),
        Mark::DiaeresisBelow => dots_at(below - Vec2::new(0.0, 5.0)),
        Mark::RingBelow => one(below - Vec2::new(0.0, 7.5), RING),
        Mark::CircumflexBelow => one(under, CIRCUMFLEX),
        Mark::BreveBelow => one(under, BREVE),
        Mark::TildeBelow => one(under + Vec2::new(0.0, 1.5), TILDE),
        Mark::LineBelow => one(below - Vec2::new(0.0, 4.5), LEVEL),
        Mark::Slash if matches!(base, 'O' | 'o') => {
            vec![vec![Point::new(left, bottom - 1.0), Point::new(right, top + 1.0)]]
        }
        // Through the stem: the left one of a capital L, the only one of a small l.
        Mark::Slash => {
            let half = letter.iter().flatten().filter(|p| (7.0..14.0).contains(&p.y)).map(|p| p.x);
            let stem = if base == 'L' { half.reduce(f64::max).unwrap_or(left) } else { middle };
            one(Vec2::new(stem, f64::midpoint(bottom, top)), &[(-3.5, -2.5), (4.5, 3.0)])
        }
        Mark::Bar => match base {
            'D' => one(Vec2::new(left, 10.5), &[(-3.0, 0.0), (5.0, 0.0)]),
            'H' => vec![vec![Point::new(left - 2.0, 16.0), Point::new(right + 2.0, 16.0)]],
            'T' | 't' => one(Vec2::new(middle, if base == 'T' { 10.5 } else { 8.0 }), &[(-3.5, 0.0), (3.5, 0.0)]),
            'd' => one(Vec2::new(right, 17.5), &[(-5.5, 0.0), (2.5, 0.0)]),
            _ => one(Vec2::new(left, 17.5), &[(-2.5, 0.0), (5.5, 0.0)]),
        },
    }
}
