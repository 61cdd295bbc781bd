//! Letters beyond ASCII, composed of an ASCII letter and strokes.
//!
//! Which letter and accent a character is made of is its canonical decomposition in the Unicode Character Database.

use super::Letter;
use kurbo::{Point, Vec2};

/// An accent.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Accent {
    Grave,
    Acute,
    Circumflex,
    Tilde,
    Diaeresis,
    Ring,
    Cedilla,
    Macron,
    Breve,
    Ogonek,
    Dot,
    Caron,
    DoubleAcute,
    Comma,
    /// A stroke through the letter, rising.
    Slash,
    /// A level stroke through the stem.
    Bar,
}

/// Pairs of a letter and the one it is made from, by accent.
const COMPOSED: [(Accent, &str); 16] = [
    (Accent::Grave, "ÀAÈEÌIÒOÙUàaèeìiòoùu"),
    (Accent::Acute, "ÁAÉEÍIÓOÚUÝYáaéeíióoúuýyĆCćcĹLĺlŃNńnŔRŕrŚSśsŹZźz"),
    (Accent::Circumflex, "ÂAÊEÎIÔOÛUâaêeîiôoûuĈCĉcĜGĝgĤHĥhĴJĵjŜSŝsŴWŵwŶYŷy"),
    (Accent::Tilde, "ÃAÑNÕOãañnõoĨIĩiŨUũu"),
    (Accent::Diaeresis, "ÄAËEÏIÖOÜUäaëeïiöoüuÿyŸY"),
    (Accent::Ring, "ÅAåaŮUůu"),
    (Accent::Cedilla, "ÇCçcĢGĶKķkĻLļlŅNņnŖRŗrŞSşsŢTţt"),
    (Accent::Macron, "ĀAāaĒEēeĪIīiŌOōoŪUūu"),
    (Accent::Breve, "ĂAăaĔEĕeĞGğgĬIĭiŎOŏoŬUŭu"),
    (Accent::Ogonek, "ĄAąaĘEęeĮIįiŲUųu"),
    (Accent::Dot, "ĊCċcĖEėeĠGġgİIŻZżz"),
    (Accent::Caron, "ČCčcĎDěeĚEŇNňnŘRřrŠSšsŤTŽZžzǍAǎa"),
    (Accent::DoubleAcute, "ŐOőoŰUűu"),
    (Accent::Comma, "ȘSșsȚTțt"),
    // These three have no decomposition; they are drawn as every type foundry draws them.
    (Accent::Slash, "ŁLłlØOøo"),
    (Accent::Bar, "ĐDđdĦHħhÐD"),
];

/// Signs that stand for one that a single stroke draws in the same way, and whether it is turned upside down.
const ALIKE: [(char, char, bool); 14] = [
    ('\u{a0}', ' ', false),
    ('\u{2018}', '\'', false),
    ('\u{2019}', '\'', false),
    ('\u{201c}', '"', false),
    ('\u{201d}', '"', false),
    ('\u{201e}', '"', false),
    ('\u{2010}', '-', false),
    ('\u{2011}', '-', false),
    ('\u{2013}', '-', false),
    ('\u{2014}', '-', false),
    ('\u{2212}', '-', false),
    ('\u{a1}', '!', true),
    ('\u{bf}', '?', true),
    ('\u{131}', 'i', false),
];

/// Accents that follow their letter as characters of their own, put together with it.
pub(super) fn composed(line: &str) -> Vec<char> {
    let mut characters: Vec<char> = Vec::new();
    for character in line.chars() {
        let joined = characters.last().and_then(|base| join(*base, character));
        match joined {
            Some(whole) => *characters.last_mut().unwrap_or(&mut ' ') = whole,
            None => characters.push(character),
        }
    }
    characters
}

fn join(base: char, mark: char) -> Option<char> {
    let accent = match mark {
        '\u{300}' => Accent::Grave,
        '\u{301}' => Accent::Acute,
        '\u{302}' => Accent::Circumflex,
        '\u{303}' => Accent::Tilde,
        '\u{304}' => Accent::Macron,
        '\u{306}' => Accent::Breve,
        '\u{307}' => Accent::Dot,
        '\u{308}' => Accent::Diaeresis,
        '\u{30a}' => Accent::Ring,
        '\u{30b}' => Accent::DoubleAcute,
        '\u{30c}' => Accent::Caron,
        '\u{326}' => Accent::Comma,
        '\u{327}' => Accent::Cedilla,
        '\u{328}' => Accent::Ogonek,
        _ => return None,
    };
    pairs().find(|(a, _, own)| *a == accent && *own == base).map(|(_, whole, _)| whole)
}

/// Every composed letter: its accent, itself, its base.
fn pairs() -> impl Iterator<Item = (Accent, char, char)> {
    COMPOSED.iter().flat_map(|(accent, pairs)| {
        let letters: Vec<char> = pairs.chars().collect();
        letters.chunks_exact(2).map(|pair| (*accent, pair[0], pair[1])).collect::<Vec<_>>()
    })
}

/// A character's letter; `None` when it can neither be found nor composed.
pub(super) fn letter(letters: &[Letter], character: char) -> Option<Letter> {
    let plain = |c: char| letters.get((c as usize).checked_sub(32)?).filter(|_| (' '..='~').contains(&c));
    if let Some(found) = plain(character) {
        return Some(Letter { advance: found.advance, strokes: found.strokes.clone() });
    }
    if character == 'ß' {
        return Some(sharp_s());
    }
    if let Some((_, base, turned)) = ALIKE.iter().find(|(c, ..)| *c == character) {
        let found = plain(*base)?;
        let mut strokes = found.strokes.clone();
        if *turned {
            strokes.iter_mut().flatten().for_each(|p| *p = Point::new(found.advance - p.x, 14.0 - p.y));
        }
        if character == '\u{131}' {
            without_dot(&mut strokes);
        }
        return Some(Letter { advance: found.advance, strokes });
    }
    let (accent, _, base) = pairs().find(|(_, whole, _)| *whole == character)?;
    let (found, dot) = (plain(base)?, plain('.')?);
    let mut strokes = found.strokes.clone();
    if matches!(base, 'i' | 'j') && !matches!(accent, Accent::Ogonek) {
        without_dot(&mut strokes);
    }
    let marks = accent_strokes(accent, base, &strokes, &dot.strokes);
    strokes.extend(marks);
    Some(Letter { advance: found.advance, strokes })
}

/// Takes the dot off an `i` or `j`: what lies wholly above the small letters.
fn without_dot(strokes: &mut Vec<Vec<Point>>) {
    strokes.retain(|stroke| stroke.iter().any(|p| p.y <= 14.5));
}

/// The box of strokes: left, right, bottom, top.
fn extent(strokes: &[Vec<Point>]) -> (f64, f64, f64, f64) {
    strokes.iter().flatten().fold((f64::MAX, f64::MIN, f64::MAX, f64::MIN), |(left, right, bottom, top), p| {
        (left.min(p.x), right.max(p.x), bottom.min(p.y), top.max(p.y))
    })
}

/// An accent at its letter.
fn accent_strokes(accent: Accent, base: char, letter: &[Vec<Point>], dot: &[Vec<Point>]) -> Vec<Vec<Point>> {
    let (left, right, bottom, top) = extent(letter);
    let middle = f64::midpoint(left, right);
    // A slanted letter leans: its top stands to the right of its middle.
    let high: Vec<f64> = letter.iter().flatten().filter(|p| top - 2.0 <= p.y).map(|p| p.x).collect();
    let crown = high.iter().sum::<f64>() / high.len().max(1) as f64;
    let above = Vec2::new(f64::midpoint(middle, crown), top + 2.5);
    let below = Vec2::new(middle, bottom.min(0.0));
    let line = |at: Vec2, points: &[(f64, f64)]| points.iter().map(|p| Point::from(*p) + at).collect::<Vec<_>>();
    let dot_at = |at: Vec2| {
        let (left, right, bottom, _) = extent(dot);
        let by = at - Vec2::new(f64::midpoint(left, right), bottom);
        dot.iter().map(|s| s.iter().map(|p| *p + by).collect()).collect::<Vec<Vec<Point>>>()
    };
    match accent {
        Accent::Grave => vec![line(above, &[(-2.0, 4.5), (1.5, 0.0)])],
        Accent::Acute => vec![line(above, &[(2.0, 4.5), (-1.5, 0.0)])],
        Accent::DoubleAcute => {
            vec![line(above, &[(-0.5, 4.5), (-3.5, 0.0)]), line(above, &[(4.5, 4.5), (1.5, 0.0)])]
        }
        Accent::Circumflex => vec![line(above, &[(-4.0, 0.0), (0.0, 4.0), (4.0, 0.0)])],
        Accent::Caron => vec![line(above, &[(-4.0, 4.0), (0.0, 0.0), (4.0, 4.0)])],
        Accent::Tilde => vec![line(
            above,
            &[(-5.0, 0.5), (-3.5, 2.0), (-2.0, 2.2), (0.0, 1.5), (2.0, 0.8), (3.5, 1.0), (5.0, 2.5)],
        )],
        Accent::Macron => vec![line(above, &[(-4.0, 1.0), (4.0, 1.0)])],
        Accent::Breve => vec![line(above, &[(-4.0, 4.0), (-3.0, 1.5), (0.0, 0.5), (3.0, 1.5), (4.0, 4.0)])],
        Accent::Ring => vec![line(
            above,
            &[
                (0.0, 0.0),
                (1.8, 0.8),
                (2.5, 2.5),
                (1.8, 4.2),
                (0.0, 5.0),
                (-1.8, 4.2),
                (-2.5, 2.5),
                (-1.8, 0.8),
                (0.0, 0.0),
            ],
        )],
        Accent::Diaeresis => [dot_at(above + Vec2::new(-3.5, 1.0)), dot_at(above + Vec2::new(3.5, 1.0))].concat(),
        Accent::Dot => dot_at(above + Vec2::new(0.0, 1.0)),
        Accent::Cedilla => {
            vec![line(below, &[(0.5, 0.0), (0.0, -2.0), (1.8, -2.8), (2.2, -4.3), (1.0, -5.6), (-2.0, -5.6)])]
        }
        Accent::Ogonek => {
            let foot = Vec2::new(right - 2.0, below.y);
            vec![line(foot, &[(1.5, 0.0), (-0.5, -2.0), (-0.8, -4.3), (0.8, -5.6), (3.0, -5.0)])]
        }
        Accent::Comma => vec![line(below, &[(0.5, -2.5), (0.8, -4.5), (-1.2, -7.0)])],
        Accent::Slash if matches!(base, 'O' | 'o') => {
            vec![vec![Point::new(left, bottom - 1.0), Point::new(right, top + 1.0)]]
        }
        // Through the stem: the left one of a capital L, the only one of a small l.
        Accent::Slash => {
            let half = letter.iter().flatten().filter(|p| (7.0..14.0).contains(&p.y)).map(|p| p.x);
            let stem = if base == 'L' { half.reduce(f64::max).unwrap_or(left) } else { middle };
            let at = Vec2::new(stem, f64::midpoint(bottom, top));
            vec![line(at, &[(-3.5, -2.5), (4.5, 3.0)])]
        }
        Accent::Bar => match base {
            'D' => vec![line(Vec2::new(left, 10.5), &[(-3.0, 0.0), (5.0, 0.0)])],
            'H' => vec![vec![Point::new(left - 2.0, 16.0), Point::new(right + 2.0, 16.0)]],
            'd' => vec![line(Vec2::new(right, 17.5), &[(-5.5, 0.0), (2.5, 0.0)])],
            _ => vec![line(Vec2::new(left, 17.5), &[(-2.5, 0.0), (5.5, 0.0)])],
        },
    }
}

/// The German sharp s, which has no ASCII letter in it.
fn sharp_s() -> Letter {
    let stem = [
        (4.0, 0.0),
        (4.0, 16.0),
        (4.7, 19.0),
        (7.0, 21.0),
        (10.0, 21.0),
        (12.3, 19.5),
        (13.0, 17.0),
        (12.3, 14.8),
        (9.5, 12.5),
    ];
    let bow = [(9.5, 12.5), (12.8, 11.0), (14.5, 8.5), (14.5, 4.5), (13.2, 1.5), (10.5, 0.0), (8.0, 0.4)];
    let line = |points: &[(f64, f64)]| points.iter().map(|p| Point::from(*p)).collect();
    Letter { advance: 18.0, strokes: vec![line(&stem), line(&bow)] }
}
