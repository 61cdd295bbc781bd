//! Figures of strokes and seams, drawn by their middles.

use kurbo::{Arc, BezPath, Circle, Point, RoundedRect, Shape, Vec2};
use std::f64::consts::PI;

/// A drawing whose strokes are known.
pub struct Figure {
    pub name: &'static str,
    /// Their middles, in pixels.
    pub strokes: Vec<BezPath>,
    pub size: (u32, u32),
}

fn figure(name: &'static str, strokes: &[&str]) -> Figure {
    let strokes = strokes.iter().map(|s| BezPath::from_svg(s).unwrap()).collect();
    Figure { name, strokes, size: (300, 300) }
}

fn shapes(name: &'static str, strokes: Vec<BezPath>) -> Figure {
    Figure { name, strokes, size: (300, 300) }
}

fn arc(middle: (f64, f64), radius: f64, from: f64, sweep: f64) -> BezPath {
    Arc::new(middle, Vec2::new(radius, radius), from * PI / 180.0, sweep * PI / 180.0, 0.0).to_path(1e-3)
}

fn circle(middle: (f64, f64), radius: f64) -> BezPath {
    Circle::new(middle, radius).to_path(1e-3)
}

/// A spiral of so many turns (Archimedes), as a chain of short curves through its places.
fn spiral(turns: f64, pitch: f64) -> BezPath {
    let steps = (turns * 64.0) as usize;
    let at = |k: usize| {
        let t = k as f64 / 64.0 * 2.0 * PI;
        let r = 10.0 + pitch * t / (2.0 * PI);
        Point::new(150.3 + r * libm::cos(t), 149.6 + r * libm::sin(t))
    };
    let mut path = BezPath::new();
    path.move_to(at(0));
    (1..=steps).for_each(|k| path.line_to(at(k)));
    path
}

/// Strokes of every kind that drawings have.
pub fn strokes() -> Vec<Figure> {
    vec![
        figure("level", &["M40.3 150.4H260.2"]),
        figure("upright", &["M150.7 30.1V270.9"]),
        figure("slant", &["M40.2 60.7L255.1 221.3"]),
        figure("diagonal", &["M50 50L250 250"]),
        figure("flat slant", &["M30.5 140.2L270.3 163.8"]),
        figure("three lines", &["M40 60.5L260 90.2", "M45.5 130L250 130.7", "M60.2 250.3L240.9 180.1"]),
        shapes("arc", vec![arc((150.2, 180.4), 100.3, 200.0, 140.0)]),
        shapes("small arc", vec![arc((150.2, 150.4), 20.0, 30.0, 240.0)]),
        shapes("circle", vec![circle((150.3, 149.2), 90.0)]),
        shapes("small circle", vec![circle((150.3, 149.2), 14.0)]),
        shapes(
            "nested rings",
            vec![circle((150.3, 149.2), 110.0), circle((140.0, 150.5), 60.0), circle((141.5, 150.5), 30.0)],
        ),
        figure("T", &["M50.5 80.2H250.4", "M149.8 80.2V240.6"]),
        figure("slant T", &["M40.2 220.1L260.5 120.7", "M150.35 170.4L110.2 60.3"]),
        figure("Y", &["M150.2 160.1L149.9 270.3", "M150.2 160.1L60.4 60.5", "M150.2 160.1L240.8 61.2"]),
        figure("X", &["M60.3 60.4L240.2 240.8", "M240.6 62.1L58.4 239.3"]),
        figure("plus", &["M150.5 50.2V250.3", "M50.1 149.7H250.4"]),
        figure("flat X", &["M50.2 110.3L250.3 190.1", "M50.4 189.2L250.1 110.8"]),
        figure("corner", &["M60.2 240.1V70.3H240.6"]),
        figure("zigzag", &["M40.2 210.5L90.1 90.3L140.4 210.2L190.3 90.7L240.5 210.9"]),
        figure("triangle", &["M150.4 50.2L250.7 230.1L48.9 229.6Z"]),
        figure("square", &["M70.2 70.4H230.1V229.8H70.2Z"]),
        shapes("round square", vec![RoundedRect::new(60.2, 70.4, 240.1, 229.8, 40.0).to_path(1e-3)]),
        shapes("spiral", vec![spiral(4.0, 26.0)]),
        figure(
            "loop",
            &[
                "M40.3 240.2C120.1 240.4 240.2 170.3 240.1 100.5C240 40.3 60.2 40.1 60.4 100.3C60.3 170.2 180.1 240.3 260.4 240.1",
            ],
        ),
        figure("wave", &["M30.2 150.1C80.3 30.2 120.1 30.4 150.2 150.3C180.1 270.2 220.3 270.1 270.4 150.2"]),
        figure(
            "knob",
            &[
                "M20.1 200.2C80.2 215.1 118.1 205.3 128.3 188.1C138.1 171.2 104.2 150.1 104.4 122.3C104.2 96.2 126.1 80.3 150.2 80.1C174.3 80.2 196.1 96.1 196.2 122.2C196.1 150.3 162.2 171.1 172.1 188.2C182.2 205.1 220.1 215.2 280.3 200.1",
            ],
        ),
        Figure {
            name: "pierced ring",
            strokes: vec![circle((150.3, 149.2), 70.0), BezPath::from_svg("M20.4 150.2H280.1").unwrap()],
            size: (300, 300),
        },
        figure(
            "ladder",
            &[
                "M80.2 40.1V260.3",
                "M220.4 40.2V260.1",
                "M80.2 90.4H220.4",
                "M80.2 150.3H220.4",
                "M80.2 210.2H220.4",
            ],
        ),
    ]
}

/// A drawn puzzle.
pub struct Puzzle {
    /// Its seams and its frame, in pixels.
    pub seams: Vec<BezPath>,
    /// Where seams meet each other or the frame.
    pub junctions: Vec<Point>,
    pub size: (u32, u32),
}

/// Numbers from -1 to 1 that look unrelated.
struct Dice(u64);

impl Dice {
    fn roll(&mut self) -> f64 {
        self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (self.0 >> 33) as f64 / f64::from(1_u32 << 30) - 1.0
    }
}

/// A puzzle of so many pieces across and down, with a knob on every seam; its corners are moved a little.
pub fn puzzle(across: usize, down: usize, seed: u64) -> Puzzle {
    let (cell, margin) = (100.0, 30.0);
    let mut dice = Dice(seed.wrapping_mul(0x9e37_79b9_7f4a_7c15));
    let mut grid = vec![vec![Point::ZERO; across + 1]; down + 1];
    for (row, points) in grid.iter_mut().enumerate() {
        for (column, p) in points.iter_mut().enumerate() {
            let x_free = column > 0 && column < across;
            let y_free = row > 0 && row < down;
            let (dx, dy) = (dice.roll() * 5.0, dice.roll() * 5.0);
            *p = Point::new(
                margin + column as f64 * cell + if x_free { dx } else { 0.0 },
                margin + row as f64 * cell + if y_free { dy } else { 0.0 },
            );
        }
    }
    let mut seams = Vec::new();
    for row in 0..=down {
        for column in 0..=across {
            if row > 0 && row < down && column < across {
                seams.push(knob(grid[row][column], grid[row][column + 1], &mut dice));
            }
            if column > 0 && column < across && row < down {
                seams.push(knob(grid[row][column], grid[row + 1][column], &mut dice));
            }
        }
    }
    let (right, bottom) = (margin + across as f64 * cell, margin + down as f64 * cell);
    seams.push(kurbo::Rect::new(margin, margin, right, bottom).to_path(1e-3));
    let is_corner = |r: usize, c: usize| (r == 0 || r == down) && (c == 0 || c == across);
    let mut junctions = Vec::new();
    for (r, points) in grid.iter().enumerate() {
        junctions.extend(points.iter().enumerate().filter(|(c, _)| !is_corner(r, *c)).map(|(_, p)| *p));
    }
    Puzzle { seams, junctions, size: ((right + margin) as u32, (bottom + margin) as u32) }
}

/// A seam with a knob to one side.
fn knob(from: Point, to: Point, dice: &mut Dice) -> BezPath {
    let along = to - from;
    let side = if dice.roll() > 0.0 { 1.0 } else { -1.0 };
    let across = Vec2::new(-along.y, along.x) * side;
    let (shift, size) = (dice.roll() * 0.04, 1.0 + dice.roll() * 0.12);
    let at = |x: f64, y: f64| {
        from + along * (0.5 + shift * f64::from(u8::from(x != 0.0 && x != 1.0)) + (x - 0.5)) + across * (y * size)
    };
    let mut path = BezPath::new();
    path.move_to(from);
    path.curve_to(at(0.20, -0.02), at(0.44, -0.10), at(0.42, 0.02));
    path.curve_to(at(0.41, 0.08), at(0.33, 0.11), at(0.34, 0.18));
    path.curve_to(at(0.35, 0.30), at(0.65, 0.30), at(0.66, 0.18));
    path.curve_to(at(0.67, 0.11), at(0.59, 0.08), at(0.58, 0.02));
    path.curve_to(at(0.56, -0.10), at(0.80, -0.02), to);
    path
}
