//! Letters and signs that are no letter with a mark: put together from parts of others, in the hand of each face.

use super::Letter;
use super::marks::extent;
use kurbo::{Point, Vec2};

/// Pieces of strokes shorter than this are what cutting leaves at its edge.
const LEAST: f64 = 0.7;

/// A letter drawn from those of its face; `None` for characters that are not drawn here.
pub(super) fn letter(face: &dyn Fn(char) -> Option<Letter>, character: char) -> Option<Letter> {
    match character {
        'Æ' => capital_ae(face),
        'Œ' => capital_oe(face),
        'æ' => side_by_side(face, 'a', 'e'),
        'œ' => side_by_side(face, 'o', 'e'),
        'Þ' => capital_thorn(face),
        'þ' => thorn(face),
        'ð' => eth(face),
        'ß' | 'ẞ' => Some(sharp_s()),
        '€' => euro(face),
        '£' => Some(pound()),
        '¡' => turned(face, '!'),
        '¿' => turned(face, '?'),
        '«' => twice(face, '<'),
        '»' => twice(face, '>'),
        '°' => Some(Letter { advance: 9.0, strokes: vec![line(DEGREE)] }),
        '×' => Some(Letter {
            advance: 22.0,
            strokes: vec![line(&[(5.0, 3.0), (17.0, 15.0)]), line(&[(5.0, 15.0), (17.0, 3.0)])],
        }),
        '·' | '•' => lifted(face, '.', 7.0),
        '…' => dots(face),
        _ => None,
    }
}

const DEGREE: &[(f64, f64)] = &[
    (4.5, 15.0),
    (6.6, 15.9),
    (7.5, 18.0),
    (6.6, 20.1),
    (4.5, 21.0),
    (2.4, 20.1),
    (1.5, 18.0),
    (2.4, 15.9),
    (4.5, 15.0),
];

fn line(points: &[(f64, f64)]) -> Vec<Point> {
    points.iter().map(|p| Point::from(*p)).collect()
}

/// Strokes moved.
fn moved(strokes: &[Vec<Point>], by: Vec2) -> Vec<Vec<Point>> {
    strokes.iter().map(|s| s.iter().map(|p| *p + by).collect()).collect()
}

/// What of strokes lies where `beyond` is not above zero; it is a distance from a straight line.
fn cut(strokes: &[Vec<Point>], beyond: impl Fn(Point) -> f64) -> Vec<Vec<Point>> {
    let mut kept: Vec<Vec<Point>> = Vec::new();
    for stroke in strokes {
        let mut run: Vec<Point> = Vec::new();
        for (i, &p) in stroke.iter().enumerate() {
            let (before, here) = (i.checked_sub(1).map(|b| stroke[b]), beyond(p));
            if let Some(q) = before {
                let there = beyond(q);
                if (there <= 0.0) != (here <= 0.0) {
                    run.push(q.lerp(p, there / (there - here)));
                    if here > 0.0 {
                        kept.push(std::mem::take(&mut run));
                    }
                }
            }
            if here <= 0.0 {
                run.push(p);
            }
        }
        kept.push(run);
    }
    // Where a stroke has a point on the line itself, it is cut at that point.
    for stroke in &mut kept {
        stroke.dedup();
    }
    kept.retain(|s| s.windows(2).map(|w| w[0].distance(w[1])).sum::<f64>() > LEAST);
    kept
}

/// The least x at which strokes cross a height.
fn leftmost_at(strokes: &[Vec<Point>], y: f64) -> Option<f64> {
    let sides = strokes.iter().flat_map(|s| s.windows(2)).filter(|w| (w[0].y <= y) != (w[1].y <= y));
    sides.map(|w| w[0].lerp(w[1], (y - w[0].y) / (w[1].y - w[0].y)).x).reduce(f64::min)
}

/// A left leg and a bar on the stem of an E.
fn capital_ae(face: &dyn Fn(char) -> Option<Letter>) -> Option<Letter> {
    const WIDTH: f64 = 10.0;
    let e = face('E')?;
    let stem = 1.0 + WIDTH;
    let by = stem - extent(&e.strokes).0;
    let leg = line(&[(1.0, 0.0), (stem, 21.0)]);
    let bar = line(&[(1.0 + WIDTH / 3.0, 7.0), (stem, 7.0)]);
    let strokes = [vec![leg, bar], moved(&e.strokes, Vec2::new(by, 0.0))].concat();
    Some(Letter { advance: by + e.advance, strokes })
}

/// The left half of an O on the stem of an E.
fn capital_oe(face: &dyn Fn(char) -> Option<Letter>) -> Option<Letter> {
    let (o, e) = (face('O')?, face('E')?);
    let (left, right, ..) = extent(&o.strokes);
    let middle = f64::midpoint(left, right) + 1.0;
    let by = middle - extent(&e.strokes).0;
    let strokes = [cut(&o.strokes, |p| p.x - middle), moved(&e.strokes, Vec2::new(by, 0.0))].concat();
    Some(Letter { advance: by + e.advance, strokes })
}

/// Two letters that share an edge.
fn side_by_side(face: &dyn Fn(char) -> Option<Letter>, first: char, second: char) -> Option<Letter> {
    let (first, second) = (face(first)?, face(second)?);
    let by = extent(&first.strokes).1 - extent(&second.strokes).0;
    let strokes = [first.strokes, moved(&second.strokes, Vec2::new(by, 0.0))].concat();
    Some(Letter { advance: by + second.advance, strokes })
}

/// A P whose bow sits lower; where stem and bow are one stroke, with a stem of its own.
fn capital_thorn(face: &dyn Fn(char) -> Option<Letter>) -> Option<Letter> {
    let mut p = face('P')?;
    let (left, right, bottom, _) = extent(&p.strokes);
    let is_bow = |s: &Vec<Point>| s.iter().any(|p| p.x > right - 3.0);
    let has_stem = p.strokes.iter().any(|s| !is_bow(s));
    for stroke in p.strokes.iter_mut().filter(|s| is_bow(s)) {
        for point in stroke {
            point.y -= 4.5;
        }
    }
    if !has_stem {
        p.strokes.push(vec![Point::new(left + 2.0, bottom), Point::new(left + 9.0, 21.0)]);
    }
    Some(p)
}

/// A b on the descender of a p.
fn thorn(face: &dyn Fn(char) -> Option<Letter>) -> Option<Letter> {
    let (b, p) = (face('b')?, face('p')?);
    let by = leftmost_at(&b.strokes, 2.0)? - leftmost_at(&p.strokes, 2.0)?;
    let descender = cut(&moved(&p.strokes, Vec2::new(by, 0.0)), |p| p.y);
    Some(Letter { advance: b.advance, strokes: [b.strokes, descender].concat() })
}

/// An o with a bent, crossed ascender.
fn eth(face: &dyn Fn(char) -> Option<Letter>) -> Option<Letter> {
    let mut o = face('o')?;
    let right = extent(&o.strokes).1;
    let at = |points: &[(f64, f64)]| points.iter().map(|(x, y)| Point::new(right + x, *y)).collect();
    o.strokes.push(at(&[(0.0, 7.5), (-0.3, 11.0), (-2.0, 15.5), (-5.0, 19.0), (-9.0, 21.0)]));
    o.strokes.push(at(&[(-9.5, 15.5), (-1.0, 20.0)]));
    Some(o)
}

/// The German sharp s.
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
    Letter { advance: 18.0, strokes: vec![line(&stem), line(&bow)] }
}

/// A C with two bars.
fn euro(face: &dyn Fn(char) -> Option<Letter>) -> Option<Letter> {
    let mut c = face('C')?;
    let left = extent(&c.strokes).0;
    for y in [12.3, 8.7] {
        c.strokes.push(line(&[(left - 2.5, y), (left + 9.0, y)]));
    }
    Some(c)
}

fn pound() -> Letter {
    let stem = [
        (17.0, 17.0),
        (16.0, 19.5),
        (13.5, 21.0),
        (10.5, 21.0),
        (8.0, 19.5),
        (7.0, 17.0),
        (7.0, 14.0),
        (8.3, 9.0),
        (8.3, 5.0),
        (7.0, 2.0),
        (4.0, 0.0),
        (17.5, 0.0),
    ];
    Letter { advance: 20.0, strokes: vec![line(&stem), line(&[(3.5, 10.5), (13.0, 10.5)])] }
}

/// A sign upside down, hanging below the height of small letters.
fn turned(face: &dyn Fn(char) -> Option<Letter>, sign: char) -> Option<Letter> {
    let mut letter = face(sign)?;
    letter.strokes.iter_mut().flatten().for_each(|p| *p = Point::new(letter.advance - p.x, 14.0 - p.y));
    Some(letter)
}

/// A sign two times, at half its size.
fn twice(face: &dyn Fn(char) -> Option<Letter>, sign: char) -> Option<Letter> {
    let mut letter = face(sign)?;
    letter.strokes.iter_mut().flatten().for_each(|p| *p = Point::new(0.5 * p.x, 0.5 * p.y + 2.5));
    let second = moved(&letter.strokes, Vec2::new(6.0, 0.0));
    letter.strokes.extend(second);
    letter.advance = 0.5 * letter.advance + 6.0;
    Some(letter)
}

fn lifted(face: &dyn Fn(char) -> Option<Letter>, sign: char, by: f64) -> Option<Letter> {
    let letter = face(sign)?;
    Some(Letter { strokes: moved(&letter.strokes, Vec2::new(0.0, by)), ..letter })
}

/// Three full stops.
fn dots(face: &dyn Fn(char) -> Option<Letter>) -> Option<Letter> {
    let dot = face('.')?;
    let at = |i: f64| moved(&dot.strokes, Vec2::new(i * dot.advance, 0.0));
    Some(Letter { advance: 3.0 * dot.advance, strokes: [at(0.0), at(1.0), at(2.0)].concat() })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn strokes_are_cut_where_they_cross_a_line() {
        // A square's outline cut by x = 1: an open run round the left half, and nothing of what only touches.
        let square = line(&[(0.0, 0.0), (2.0, 0.0), (2.0, 2.0), (0.0, 2.0), (0.0, 0.0)]);
        let kept = cut(&[square], |p| p.x - 1.0);
        let lengths: Vec<f64> = kept.iter().map(|s| s.windows(2).map(|w| w[0].distance(w[1])).sum()).collect();
        assert_eq!(lengths, [1.0, 3.0]);
        // Of a stroke with a point on the line, that point is the end.
        let stem = line(&[(4.0, 14.0), (4.0, 0.0), (4.0, -7.0)]);
        assert_eq!(cut(&[stem], |p| p.y), [line(&[(4.0, 0.0), (4.0, -7.0)])]);
        assert!(cut(&[line(&[(1.0, 0.0), (2.0, 1.0), (1.0, 2.0)])], |p| p.x - 1.0).is_empty());
    }
}
