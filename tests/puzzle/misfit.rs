//! No false fits: all pairs of seams laid onto each other by a slow search that shares nothing with the program's.

use super::boards::{rectangle, request, shapes};
use super::reference::line;
use geos::Geom;
use kerfbook::puzzle::{Character, Lattice, LeastMisfit, PuzzleLayout, PuzzleRequest, lay_out};
use kerfbook::units::{Mm, Percent};
use kurbo::{Affine, BezPath, CubicBez, ParamCurve, Point};
use std::collections::BTreeMap;

/// How nearly both searches have to agree, mm.
const AGREE: f64 = 0.04;

/// The seam between every two corners, from the strokes: corners are where strokes meet.
fn seams(layout: &PuzzleLayout) -> Vec<Vec<CubicBez>> {
    let cubics = |s: &BezPath| s.segments().map(|c| c.to_cubic()).collect::<Vec<_>>();
    let strokes: Vec<_> = layout.seams.iter().map(cubics).collect();
    let name = |p: Point| (p.x.to_bits(), p.y.to_bits());
    let mut met: BTreeMap<(u64, u64), usize> = BTreeMap::new();
    for stroke in &strokes {
        for joint in std::iter::once(stroke[0].p0).chain(stroke.iter().map(|c| c.p3)) {
            *met.entry(name(joint)).or_default() += 1;
        }
    }
    strokes.iter().flat_map(|s| s.split_inclusive(|c| met[&name(c.p3)] > 1).map(<[CubicBez]>::to_vec)).collect()
}

/// A seam as points with its chord on the x axis about 0 and its highest point above.
fn laid(seam: &[CubicBez]) -> Vec<Point> {
    let mut points: Vec<Point> = seam
        .iter()
        .flat_map(|c| (0..6).map(|k| c.eval(f64::from(k) / 6.0)))
        .chain(seam.last().map(|c| c.p3))
        .collect();
    let (first, last) = (points[0], points[points.len() - 1]);
    let turn = Affine::rotate(-libm::atan2(last.y - first.y, last.x - first.x));
    let place = turn * Affine::translate(-first.midpoint(last).to_vec2());
    for point in &mut points {
        *point = place * *point;
    }
    let farthest = points.iter().copied().max_by(|a, b| a.y.abs().total_cmp(&b.y.abs())).unwrap();
    if farthest.y < 0.0 {
        for point in &mut points {
            *point = Point::new(-point.x, -point.y);
        }
        points.reverse();
    }
    points
}

fn mirrored(points: &[Point]) -> Vec<Point> {
    points.iter().rev().map(|p| Point::new(-p.x, p.y)).collect()
}

/// The largest distance of any point of one line from the other line, or infinity once it is beyond `limit`.
fn one_way(from: &[Point], to: &[Point], limit: f64) -> f64 {
    let mut most = 0.0_f64;
    for p in from {
        let foot = |c: &[Point]| {
            let along = c[1] - c[0];
            let share = ((*p - c[0]).dot(along) / along.hypot2()).clamp(0.0, 1.0);
            p.distance_squared(c[0] + along * share)
        };
        most = most.max(to.windows(2).map(foot).fold(f64::INFINITY, f64::min));
        if most > limit * limit {
            return f64::INFINITY;
        }
    }
    most.sqrt()
}

fn apart(a: &[Point], b: &[Point], limit: f64) -> f64 {
    let ends = a[0].distance(b[0]).max(a[a.len() - 1].distance(b[b.len() - 1]));
    if ends > limit { f64::INFINITY } else { ends.max(one_way(a, b, limit)).max(one_way(b, a, limit)) }
}

/// The misfit by trying motions, finer and finer, as long as any is better.
fn misfit(a: &[Point], b: &[Point], limit: f64) -> f64 {
    if (a[0].x - b[0].x).abs() > limit || !apart(a, b, 3.3 * limit).is_finite() {
        return f64::INFINITY;
    }
    let place = |[x, y, turn]: [f64; 3]| {
        let motion = Affine::translate((x, y)) * Affine::rotate(turn / 12.0);
        a.iter().map(|p| motion * *p).collect::<Vec<_>>()
    };
    let (mut at, mut best, mut step) = ([0.0; 3], apart(a, b, 3.3 * limit), limit / 2.0);
    while step > 0.005 {
        let mut moved = false;
        for (x, y, turn) in (0..27).map(|k| (k % 3 - 1, k / 3 % 3 - 1, k / 9 - 1)) {
            let next = [at[0] + step * f64::from(x), at[1] + step * f64::from(y), at[2] + step * f64::from(turn)];
            let worst = apart(&place(next), b, best);
            if worst < best - 1e-6 {
                (at, best, moved) = (next, worst, true);
            }
        }
        // Most pairs are far apart, and steps that no longer gain will not bring them together.
        if step < limit / 6.0 && best > 2.0 * limit {
            break;
        }
        if !moved {
            step /= 2.0;
        }
    }
    best
}

/// The least misfit of all pairs, and which pair it is; nothing above `limit` is looked for.
fn least_of_all(seams: &[Vec<Point>], faces_alike: bool, limit: f64) -> f64 {
    let mut least = limit;
    for (i, a) in seams.iter().enumerate() {
        for b in &seams[..i] {
            least = least.min(misfit(a, b, least));
        }
        if faces_alike {
            for b in &seams[..=i] {
                least = least.min(misfit(&mirrored(a), b, least));
            }
        }
    }
    least
}

fn asked(knob: Character, faces_alike: bool) -> PuzzleRequest {
    let ask = request(rectangle(250.0, 250.0), Lattice::Grid { rows: 10, columns: 10 }, "unlike");
    PuzzleRequest { knob, faces_alike, distinct: Some(Mm::new(0.5)), ..ask }
}

fn proved(layout: &PuzzleLayout) -> LeastMisfit {
    layout.proofs.least_misfit.expect("two seams")
}

#[test]
fn no_pair_of_a_hundred_pieces_is_more_alike_than_is_said() {
    for (knob, faces_alike) in [(Character::Round, false), (Character::Wavy, true), (Character::Angular, false)] {
        let layout = lay_out(&asked(knob, faces_alike)).unwrap();
        let said = proved(&layout);
        assert!(said.value >= Mm::new(0.5) && said.wanted == Mm::new(0.5), "{knob:?}: {said:?}");
        let all: Vec<Vec<Point>> = seams(&layout).iter().map(|s| laid(s)).collect();
        assert_eq!(all.len(), 180);
        let found = least_of_all(&all, faces_alike, said.value.get() + 2.0 * AGREE);
        assert!((found - said.value.get()).abs() < AGREE, "{knob:?}: {found}, said {said:?}");
    }
}

#[test]
fn seams_are_drawn_anew_only_where_they_are_too_much_alike() {
    let plain = PuzzleRequest { distinct: Some(Mm::ZERO), ..asked(Character::Round, false) };
    let (first, apart) = (lay_out(&plain).unwrap(), lay_out(&asked(Character::Round, false)).unwrap());
    // Calm knobs, a hundred pieces: some seams are alike at first. The measure agrees with the slow search there too.
    let said = proved(&first);
    assert!(said.value < Mm::new(0.45) && said.rounds == 0, "{said:?}");
    let all: Vec<Vec<Point>> = seams(&first).iter().map(|s| laid(s)).collect();
    let found = least_of_all(&all, false, 0.5);
    assert!((found - said.value.get()).abs() < AGREE, "{found}, said {said:?}");
    let names = |layout: &PuzzleLayout| seams(layout).iter().map(|s| format!("{s:?}")).collect::<Vec<_>>();
    let (before, after) = (names(&first), names(&apart));
    let kept = before.iter().filter(|s| after.contains(s)).count();
    assert!((120..180).contains(&kept), "{kept}");
    assert!(apart.proofs.nearest_lines.value.get() >= 2.0 - 0.05, "{:?}", apart.proofs.nearest_lines);
}

#[test]
fn a_seam_and_its_copy_do_not_differ_and_geos_agrees() {
    let layout = lay_out(&asked(Character::Wavy, false)).unwrap();
    let all: Vec<Vec<Point>> = seams(&layout).iter().map(|s| laid(s)).collect();
    assert!(misfit(&all[3], &all[3], 0.5) < 1e-9);
    // The slow search itself is judged by GEOS: where two seams lie, its Hausdorff distance is between ours and what the
    // points of the chords leave open.
    let path = |points: &[Point]| {
        let mut path = BezPath::new();
        path.move_to(points[0]);
        points[1..].iter().for_each(|p| path.line_to(*p));
        line(&path)
    };
    for (a, b) in all.iter().zip(&all[1..]).take(20) {
        let ours = one_way(a, b, f64::INFINITY).max(one_way(b, a, f64::INFINITY));
        let theirs = path(a).hausdorff_distance(&path(b)).unwrap();
        assert!((ours - theirs).abs() < 1e-6, "{ours} {theirs}");
    }
}

#[test]
fn what_cannot_be_kept_apart_is_said_and_still_a_puzzle() {
    let ask = PuzzleRequest { distinct: Some(Mm::new(50.0)), ..asked(Character::Round, true) };
    let layout = lay_out(&ask).unwrap();
    let said = proved(&layout);
    assert!(said.wanted == Mm::new(50.0) && said.value < Mm::new(3.0), "{said:?}");
    assert_eq!(layout.pieces.len(), 100);
    // The same again gives the same.
    assert_eq!(proved(&lay_out(&ask).unwrap()), said);
}

#[test]
fn wide_variety_keeps_more_apart() {
    let of = |variety: f64| {
        let ask = PuzzleRequest {
            distinct: None,
            variety: Some(Percent::new(variety)),
            ..asked(Character::Round, false)
        };
        proved(&lay_out(&ask).unwrap())
    };
    let (calm, wide) = (of(0.0), of(100.0));
    assert!(
        calm.wanted < wide.wanted && calm.value >= calm.wanted && wide.value >= wide.wanted,
        "{calm:?} {wide:?}"
    );
}

#[test]
fn outlines_of_any_shape_are_kept_apart_too() {
    for (name, board) in shapes() {
        let ask =
            PuzzleRequest { distinct: None, faces_alike: true, ..request(board, Lattice::Pieces(20), "apart") };
        let said = proved(&lay_out(&ask).unwrap());
        assert!(said.value >= said.wanted && said.wanted > Mm::new(0.3), "{name}: {said:?}");
    }
}
