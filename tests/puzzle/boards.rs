//! Boards and requests that several tests cut up.

use kerfbook::geometry::{FillRule, Region};
use kerfbook::puzzle::{Character, Lattice, PuzzleLayout, PuzzleRequest, lay_out};
use kerfbook::units::Mm;
use kurbo::{BezPath, Circle, Ellipse, Rect, RoundedRect, Shape};

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

/// A usual request: 3 mm stock, 0.15 mm kerf, 2 mm clearance.
pub fn request(board: Region, lattice: Lattice, seed: &str) -> PuzzleRequest {
    PuzzleRequest {
        board,
        lattice,
        seed: seed.to_owned(),
        knob: Character::Round,
        kerf: Mm::new(0.15),
        thickness: Mm::new(3.0),
        clearance: Mm::new(2.0),
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
