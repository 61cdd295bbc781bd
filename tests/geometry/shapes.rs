//! Generated shapes: the kinds that trip up geometry kernels, and what random choice makes of them.

use kerfbook::geometry::FillRule;
use kurbo::{Affine, BezPath, Point, Vec2};
use proptest::prelude::*;
use proptest::test_runner::RngSeed;
use std::f64::consts::TAU;

/// A path and its fill rule.
#[derive(Clone)]
pub struct Shape {
    pub kind: &'static str,
    pub path: BezPath,
    pub rule: FillRule,
}

impl std::fmt::Debug for Shape {
    /// In a form that can be pasted into a test of its own.
    fn fmt(&self, f: &mut std::fmt::Formatter) -> std::fmt::Result {
        write!(f, "{} {:?} {}", self.kind, self.rule, self.path.to_svg())
    }
}

/// The same cases on every run; `PROPTEST_CASES` asks for more of them and `PROPTEST_RNG_SEED` for others.
pub fn config(few: u32) -> ProptestConfig {
    let asked = std::env::var("PROPTEST_CASES").ok().and_then(|count| count.parse().ok());
    let seed = std::env::var("PROPTEST_RNG_SEED").ok().and_then(|seed| seed.parse().ok());
    ProptestConfig {
        cases: asked.unwrap_or(few),
        rng_seed: RngSeed::Fixed(seed.unwrap_or(2_026)),
        failure_persistence: None,
        max_shrink_iters: 200,
        ..ProptestConfig::default()
    }
}

/// A closed path of lines.
pub fn polygon(points: &[Point]) -> BezPath {
    let mut path = BezPath::new();
    for (i, &p) in points.iter().enumerate() {
        if i == 0 { path.move_to(p) } else { path.line_to(p) }
    }
    if !points.is_empty() {
        path.close_path();
    }
    path
}

/// An open path of lines.
pub fn chain(points: &[Point]) -> BezPath {
    let mut path = polygon(points);
    path.pop();
    path
}

fn polar(turn: f64, away: f64) -> Point {
    Point::new(away * libm::cos(turn), away * libm::sin(turn))
}

/// A ring about the origin whose distances are given in turn.
fn round(count: usize, away: impl Fn(usize) -> f64) -> BezPath {
    let points: Vec<Point> = (0..count).map(|i| polar(TAU * i as f64 / count as f64, away(i))).collect();
    polygon(&points)
}

fn rect(x: f64, y: f64, w: f64, h: f64) -> BezPath {
    polygon(&[(x, y), (x + w, y), (x + w, y + h), (x, y + h)].map(Point::from))
}

fn joined(paths: impl IntoIterator<Item = BezPath>) -> BezPath {
    BezPath::from_vec(paths.into_iter().flatten().collect())
}

fn star() -> impl Strategy<Value = BezPath> {
    (3..14_usize, 2.0..20.0_f64, 0.05..0.95_f64)
        .prop_map(|(tips, r, waist)| round(2 * tips, |i| if i % 2 == 0 { r } else { waist * r }))
}

/// Teeth of one width and gaps of another, down to hairlines.
fn comb() -> impl Strategy<Value = BezPath> {
    (2..9_usize, 0.05..3.0_f64, 0.05..3.0_f64, 0.5..20.0_f64).prop_map(|(teeth, tooth, gap, length)| {
        let mut points = Vec::new();
        for i in 0..teeth {
            let x = i as f64 * (tooth + gap);
            points.extend([(x, 3.0), (x, 3.0 + length), (x + tooth, 3.0 + length), (x + tooth, 3.0)]);
        }
        let width = teeth as f64 * (tooth + gap) - gap;
        points.extend([(width, 0.0), (0.0, 0.0)]);
        polygon(&points.into_iter().map(Point::from).collect::<Vec<_>>())
    })
}

/// A round plate with a round hole, curved or of chords, wound either way.
fn ring() -> impl Strategy<Value = BezPath> {
    (2.0..20.0_f64, 0.1..0.99_f64, any::<bool>(), any::<bool>()).prop_map(|(r, share, curved, turned)| {
        let circle = |r: f64| {
            use kurbo::Shape;
            if curved { kurbo::Circle::new((0.0, 0.0), r).to_path(1e-3) } else { round(60, |_| r) }
        };
        let hole = circle(share * r);
        joined([circle(r), if turned { hole.reverse_subpaths() } else { hole }])
    })
}

/// One outline several times over, its corners shaken by next to nothing.
fn near_copies() -> impl Strategy<Value = BezPath> {
    let shakes = prop::collection::vec((-1.0..1.0_f64, -1.0..1.0_f64), 40);
    (2..5_usize, prop_oneof![Just(1e-6), Just(1e-5), Just(1e-4), Just(1e-3)], shakes).prop_map(
        |(copies, by, shakes)| {
            let shaken = |copy: usize| {
                let at = |i: usize| {
                    let (x, y) = shakes[(7 * copy + i) % shakes.len()];
                    polar(TAU * i as f64 / 11.0, 10.0 + (i % 3) as f64) + Vec2::new(x, y) * by
                };
                polygon(&(0..11).map(at).collect::<Vec<_>>())
            };
            joined((0..copies).map(shaken))
        },
    )
}

/// Two triangles that meet in a crossing, and a figure of eight of curves.
fn eight() -> impl Strategy<Value = BezPath> {
    (1.0..20.0_f64, 1.0..20.0_f64, any::<bool>()).prop_map(|(w, h, curved)| {
        if curved {
            let mut path = BezPath::new();
            path.move_to((0.0, 0.0));
            path.curve_to((w, h), (w, -h), (0.0, 0.0));
            path.curve_to((-w, h), (-w, -h), (0.0, 0.0));
            path.close_path();
            return path;
        }
        polygon(&[(0.0, 0.0), (w, h), (w, 0.0), (0.0, h)].map(Point::from))
    })
}

/// Squares one in the other.
fn nested() -> impl Strategy<Value = BezPath> {
    (2..6_usize, 0.02..4.0_f64)
        .prop_map(|(depth, step)| joined((0..depth).map(|i| square(2.0 + step * (depth - i) as f64))))
}

fn square(half: f64) -> BezPath {
    rect(-half, -half, 2.0 * half, 2.0 * half)
}

/// Two squares that share an edge, a part of one, or a corner, or miss that by next to nothing.
fn touching() -> impl Strategy<Value = BezPath> {
    let miss = prop_oneof![Just(0.0), Just(1e-5), Just(-1e-5), Just(1e-4), Just(-1e-4), Just(0.002), Just(-0.002)];
    (1.0..10.0_f64, prop_oneof![Just(0.0), Just(0.5), Just(1.0)], miss).prop_map(|(side, slid, miss)| {
        joined([rect(0.0, 0.0, side, side), rect(side + miss, slid * side + miss, side, side)])
    })
}

/// Spikes far longer than wide.
fn needles() -> impl Strategy<Value = BezPath> {
    let needle = (0.0..TAU, 1.0..40.0_f64, 0.0005..0.5_f64);
    prop::collection::vec(needle, 1..5).prop_map(|all| {
        joined(all.into_iter().map(|(turn, length, width)| {
            let (tip, foot) = (polar(turn, length), polar(turn + TAU / 4.0, 0.5 * width).to_vec2());
            polygon(&[Point::ORIGIN + foot, Point::ORIGIN - foot, tip])
        }))
    })
}

/// A dense outline with noise, as a scan makes it.
fn noisy() -> impl Strategy<Value = BezPath> {
    (100..700_usize, prop_oneof![Just(0.0003), Just(0.005), Just(0.05)], any::<u64>()).prop_map(
        |(count, noise, seed)| {
            let mut state = seed;
            let draws: Vec<f64> = (0..count)
                .map(|_| {
                    state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
                    (state >> 11) as f64 / (1_u64 << 53) as f64 - 0.5
                })
                .collect();
            round(count, |i| 10.0 + 2.0 * libm::sin(TAU * 3.0 * i as f64 / count as f64) + noise * draws[i])
        },
    )
}

/// Corners anywhere: loops, crossings and slivers.
fn tangled() -> impl Strategy<Value = BezPath> {
    prop::collection::vec((0.0..30.0_f64, 0.0..30.0_f64), 3..12)
        .prop_map(|points| polygon(&points.into_iter().map(Point::from).collect::<Vec<_>>()))
}

/// Corners on a coarse grid: shared corners, overlapping edges and points on edges are the rule.
fn coarse() -> impl Strategy<Value = BezPath> {
    let ring = prop::collection::vec((0..12_i32, 0..12_i32), 3..9);
    prop::collection::vec(ring, 1..4).prop_map(|rings| {
        joined(rings.into_iter().map(|ring| {
            let at = |(x, y): (i32, i32)| Point::new(f64::from(x), f64::from(y));
            polygon(&ring.into_iter().map(at).collect::<Vec<_>>())
        }))
    })
}

/// Cubic curves anywhere, loops and cusps among them.
pub fn cubics() -> impl Strategy<Value = BezPath> {
    let point = || (0.0..30.0_f64, 0.0..30.0_f64);
    (point(), prop::collection::vec((point(), point(), point()), 1..5)).prop_map(|(start, curves)| {
        let mut path = BezPath::new();
        path.move_to(start);
        for (a, b, c) in curves {
            path.curve_to(a, b, c);
        }
        path.close_path();
        path
    })
}

/// Smooth closed outlines of cubic curves: rounded blobs, as drawn artwork has them.
fn blobs() -> impl Strategy<Value = BezPath> {
    (3..10_usize, prop::collection::vec(0.3..1.0_f64, 10), 2.0..20.0_f64).prop_map(|(count, shares, r)| {
        let at = |i: usize| polar(TAU * (i % count) as f64 / count as f64, r * shares[i % count]);
        let handle = |i: usize| (at(i + 1) - at(i + count - 1)) / 6.0;
        let mut path = BezPath::new();
        path.move_to(at(0));
        for i in 0..count {
            path.curve_to(at(i) + handle(i), at(i + 1) - handle(i + 1), at(i + 1));
        }
        path.close_path();
        path
    })
}

/// Some shape of any kind, at any angle.
pub fn shapes() -> impl Strategy<Value = Shape> {
    let kinds: Vec<BoxedStrategy<(&'static str, BezPath)>> = vec![
        star().prop_map(|p| ("star", p)).boxed(),
        comb().prop_map(|p| ("comb", p)).boxed(),
        ring().prop_map(|p| ("ring", p)).boxed(),
        near_copies().prop_map(|p| ("near copies", p)).boxed(),
        eight().prop_map(|p| ("eight", p)).boxed(),
        nested().prop_map(|p| ("nested", p)).boxed(),
        touching().prop_map(|p| ("touching", p)).boxed(),
        needles().prop_map(|p| ("needles", p)).boxed(),
        noisy().prop_map(|p| ("noisy", p)).boxed(),
        tangled().prop_map(|p| ("tangled", p)).boxed(),
        coarse().prop_map(|p| ("coarse", p)).boxed(),
        cubics().prop_map(|p| ("cubics", p)).boxed(),
        blobs().prop_map(|p| ("blobs", p)).boxed(),
    ];
    let angle = prop_oneof![Just(0.0), Just(TAU / 4.0), 0.0..TAU];
    let rule = prop_oneof![Just(FillRule::NonZero), Just(FillRule::EvenOdd)];
    (proptest::strategy::Union::new(kinds), angle, rule).prop_map(|((kind, path), angle, rule)| Shape {
        kind,
        path: Affine::rotate(angle) * path,
        rule,
    })
}

/// A shape whose curves are flattened to chords.
pub fn flat_shapes() -> impl Strategy<Value = Shape> {
    shapes().prop_map(|s| Shape { path: super::oracle::chords(&s.path, 0.002), ..s })
}

/// An open line: straight, bent, closed in itself, going back over itself.
pub fn open_lines() -> impl Strategy<Value = BezPath> {
    let points = prop::collection::vec((0.0..30.0_f64, 0.0..30.0_f64), 2..8);
    let coarse = prop::collection::vec((0..6_i32, 0..6_i32), 2..8)
        .prop_map(|all| all.into_iter().map(|(x, y)| (f64::from(x), f64::from(y))).collect());
    prop_oneof![points, coarse].prop_map(|mut points: Vec<(f64, f64)>| {
        points.dedup();
        // A line that ends where it starts is closed, and has no caps.
        while points.len() > 1 && points.first() == points.last() {
            points.pop();
        }
        if points.len() < 2 {
            points.push((points[0].0 + 1.0, points[0].1));
        }
        chain(&points.into_iter().map(Point::from).collect::<Vec<_>>())
    })
}
