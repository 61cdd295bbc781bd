//! Boards and requests that several tests cut up.

use kerfbook::geometry::{FillRule, Region};
use kerfbook::puzzle::{Character, Lattice, PuzzleLayout, PuzzleRequest, lay_out};
use kerfbook::units::Mm;
use kurbo::{BezPath, Circle, Ellipse, Point, Rect, RoundedRect, Shape, Vec2};

/// A rectangle with its left top corner off the origin, so that no test leans on the origin.
pub fn rectangle(width: f64, height: f64) -> Region {
    region(&Rect::new(10.0, 20.0, 10.0 + width, 20.0 + height))
}

/// A rectangle with rounded corners.
pub fn rounded(width: f64, height: f64, radius: f64) -> Region {
    region(&RoundedRect::new(10.0, 20.0, 10.0 + width, 20.0 + height, radius))
}

/// Any shape as a board.
pub fn region(shape: &impl Shape) -> Region {
    Region::from_path(&shape.to_path(1e-4), FillRule::NonZero).unwrap()
}

/// A star with five points about a middle.
pub fn star(x: f64, y: f64, radius: f64) -> Region {
    let corner = |k: i32| {
        let (sine, cosine) = libm::sincos(f64::from(k) * std::f64::consts::PI / 5.0);
        let length = if k % 2 == 0 { radius } else { 0.45 * radius };
        Point::new(x + length * sine, y - length * cosine)
    };
    let mut path = BezPath::new();
    path.move_to(corner(0));
    (1..10).for_each(|k| path.line_to(corner(k)));
    path.close_path();
    region(&path)
}

/// A disc about a middle.
pub fn disc(x: f64, y: f64, radius: f64) -> Region {
    region(&Circle::new((x, y), radius))
}

/// Boards with holes, with their names.
pub fn holed() -> Vec<(&'static str, Region)> {
    let window = rectangle(240.0, 180.0).subtract(&region(&Rect::new(85.0, 85.0, 175.0, 135.0)));
    let ring = disc(100.0, 100.0, 100.0).subtract(&disc(100.0, 100.0, 35.0));
    vec![("window", window), ("ring", ring)]
}

/// Boards that are no rectangles, with their names.
pub fn shapes() -> Vec<(&'static str, Region)> {
    let path = |d: &str| region(&BezPath::from_svg(d).unwrap());
    vec![
        ("circle", region(&Circle::new((100.0, 100.0), 80.0))),
        ("oval", region(&Ellipse::new((100.0, 100.0), (110.0, 70.0), 0.3))),
        (
            "heart",
            path("M100 190C-20 110 0 20 55 20C85 20 100 45 100 60C100 45 115 20 145 20C200 20 220 110 100 190Z"),
        ),
        ("hexagon", path("M40 20L140 20L190 106.6L140 193.2L40 193.2L-10 106.6Z")),
        ("stadium", region(&RoundedRect::new(0.0, 0.0, 240.0, 100.0, 50.0))),
        ("angle", path("M0 0H200V90H100V180H0Z")),
    ]
}

/// A ragged or, for odd numbers, a bulging outline, the same for the same number.
pub fn random_outline(number: u32) -> Region {
    let mut state = u64::from(number) + 12_345;
    let mut share = || {
        // Knuth's linear congruential generator (MMIX), from memory; any spread of numbers would do.
        state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (state >> 40) as f64 / f64::from(1 << 24)
    };
    let count = 4 + (share() * 9.0) as usize;
    let mut corner = |k: usize| {
        let (sine, cosine) = libm::sincos((k as f64 + 0.5 * share()) / count as f64 * std::f64::consts::TAU);
        Point::new(cosine, sine).to_vec2() * (150.0 * (1.0 - 0.5 * share()))
    };
    let corners: Vec<Point> = (0..count).map(&mut corner).map(Vec2::to_point).collect();
    let middle = |k: usize| corners[k % count].midpoint(corners[(k + 1) % count]);
    let mut path = BezPath::new();
    path.move_to(middle(0));
    for k in 1..=count {
        if number % 2 == 1 {
            path.quad_to(corners[k % count], middle(k));
        } else {
            path.line_to(corners[k % count]);
        }
    }
    path.close_path();
    region(&path)
}

/// A usual request: 3 mm stock, 0.15 mm kerf, 2 mm clearance, seams as they are first drawn.
pub fn request(board: Region, lattice: Lattice, seed: &str) -> PuzzleRequest {
    PuzzleRequest {
        board,
        whimsies: Vec::new(),
        lattice,
        seed: seed.to_owned(),
        knob: Character::Round,
        kerf: Mm::new(0.15),
        thickness: Mm::new(3.0),
        clearance: Mm::new(2.0),
        variety: None,
        distinct: Some(Mm::ZERO),
        faces_alike: false,
    }
}

/// The layout of a usual request that must work.
pub fn cut_up(board: Region, lattice: Lattice, seed: &str) -> PuzzleLayout {
    cut_up_as(Character::Round, board, lattice, seed)
}

/// The same with other knobs.
pub fn cut_up_as(knob: Character, board: Region, lattice: Lattice, seed: &str) -> PuzzleLayout {
    let request = PuzzleRequest { knob, ..request(board, lattice, seed) };
    lay_out(&request).unwrap_or_else(|e| panic!("{knob:?}, {seed}: {e}"))
}
