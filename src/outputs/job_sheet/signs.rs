//! The signs that belong at a laser, in drawings of our own after their meanings in ISO 7010.
//!
//! A sign is drawn in a square of 100 units, y down, and scaled. Shape and colour follow ISO 3864-1 and -4 (values from
//! secondary tables); in black and white the shapes still tell the kinds apart.

use super::alternatives;
use super::style::{INK, LABEL};
use super::text::fit_line;
use crate::outputs::pdf::{Align, Fragment, Ink, Pen};
use crate::safety::{SIGNS, Sign, SignKind};
use kurbo::{Affine, BezPath, Point};

/// Side of a sign, in mm.
const SIDE: f64 = 13.0;
/// Height of the two lines under it, in mm.
const WORDS: f64 = 7.5;

const YELLOW: Ink = Ink::hex(0xf9_a800);
const RED: Ink = Ink::hex(0x9b_2423);
const BLUE: Ink = Ink::hex(0x00_5387);

/// One stroke of the brush.
enum Part {
    /// An area in the colour of the figure.
    Fill(&'static str),
    /// A line in the colour of the figure, so many units wide.
    Line(&'static str, f64),
    /// An area in the colour of the ground.
    Gap(&'static str),
}
use Part::{Fill, Gap, Line};

/// All of them in a row.
pub(super) fn row(width: f64) -> Fragment {
    let step = width / SIGNS.len() as f64;
    let mut row = Fragment::new(width, SIDE + WORDS);
    for (i, sign) in SIGNS.iter().enumerate() {
        let middle = step / 2.0;
        let mut one = Fragment::new(step, row.size.height);
        draw(&mut one, sign, Point::new(middle - SIDE / 2.0, 0.0));
        let under = |one: &mut Fragment, y, text| {
            fit_line(one, Point::new(middle, SIDE + y), Align::Centre, text, LABEL.size(6.5), step - 1.0);
        };
        under(&mut one, 3.4, sign.number);
        under(&mut one, 6.2, sign.name);
        row.place((step * i as f64, 0.0), &one.figure(alternatives::sign(sign)));
    }
    row
}

fn draw(on: &mut Fragment, sign: &Sign, at: Point) {
    let movement = Affine::translate(at.to_vec2()) * Affine::scale(SIDE / 100.0);
    let path = |d: &str| movement * BezPath::from_svg(d).unwrap_or_default();
    let pen = |units: f64, ink| Pen::new(units * SIDE / 100.0, ink);
    let (ground, figure) = match sign.kind {
        SignKind::Warning => (YELLOW, INK),
        SignKind::Duty => (BLUE, Ink::WHITE),
        SignKind::Ban => (Ink::WHITE, INK),
        SignKind::FireFighting => (RED, Ink::WHITE),
    };
    match sign.kind {
        SignKind::Warning => {
            on.fill(&path(TRIANGLE), ground);
            on.stroke(&path(TRIANGLE), pen(6.0, INK));
        }
        SignKind::Duty => on.fill(&path(DISC), ground),
        SignKind::FireFighting => on.fill(&path(SQUARE), ground),
        SignKind::Ban => {}
    }
    for part in motif(sign.number) {
        match part {
            Fill(d) => on.fill(&path(d), figure),
            Gap(d) => on.fill(&path(d), ground),
            Line(d, width) => on.stroke(&path(d), pen(*width, figure)),
        }
    }
    if sign.kind == SignKind::Ban {
        on.stroke(&path(RING), pen(9.0, RED));
        on.stroke(&path(BAR), pen(9.0, RED));
    }
}

const TRIANGLE: &str = "M50 7 L96 88 H4 Z";
const DISC: &str = "M50 3 A47 47 0 0 1 50 97 A47 47 0 0 1 50 3 Z";
const SQUARE: &str = "M4 4 H96 V96 H4 Z";
const RING: &str = "M50 7 A43 43 0 0 1 50 93 A43 43 0 0 1 50 7 Z";
const BAR: &str = "M19.6 19.6 L80.4 80.4";

/// What is drawn on a sign.
fn motif(number: &str) -> &'static [Part] {
    match number {
        "W004" => &[
            Line("M16 66 H50", 3.5),
            Line(
                "M50 66 L50 47 M50 66 L50 85 M50 66 L69 66 M50 66 L63.4 52.6 M50 66 L36.6 52.6 M50 66 L63.4 79.4 M50 66 L36.6 79.4",
                3.0,
            ),
            Line("M50 66 L57 49 M50 66 L43 49 M50 66 L57 83 M50 66 L43 83 M50 66 L67 59 M50 66 L67 73", 1.6),
            Fill("M50 60 A6 6 0 0 1 50 72 A6 6 0 0 1 50 60 Z"),
        ],
        "W017" => &[
            Line("M24 79 H76", 6.0),
            Line("M36 71 C30 64 42 60 36 52 M50 71 C44 63 56 55 50 44 M64 71 C58 64 70 60 64 52", 5.0),
        ],
        "W021" => &[
            Line("M28 80 H72", 6.0),
            Fill(
                "M50 33 C52 46 68 50 66 63 C65 71 58 75 50 75 C42 75 34 71 34 62 C34 54 40 52 41 44 C46 48 46 51 46 54 C50 49 51 41 50 33 Z",
            ),
            Gap("M50 56 C52 61 57 62 57 67 C57 71 54 72 50 72 C46 72 43 70 43 66 C43 62 48 61 50 56 Z"),
        ],
        "W016" => &[
            Line("M29 68 L71 83 M71 68 L29 83", 5.0),
            Fill(
                "M50 35 C61 35 68 43 68 52 C68 58 65 61 61 63 V70 H39 V63 C35 61 32 58 32 52 C32 43 39 35 50 35 Z",
            ),
            Gap(
                "M43 48 A5 5 0 0 1 43 58 A5 5 0 0 1 43 48 Z M57 48 A5 5 0 0 1 57 58 A5 5 0 0 1 57 48 Z M50 58 L53 64 H47 Z",
            ),
            Gap("M44 66 H46 V70 H44 Z M49 66 H51 V70 H49 Z M54 66 H56 V70 H54 Z"),
        ],
        "M002" => &[
            Fill("M50 16 A10 10 0 0 1 50 36 A10 10 0 0 1 50 16 Z"),
            Fill("M32 62 V50 C32 42 40 39 50 39 C60 39 68 42 68 50 V62 L50 55 Z"),
            Fill("M20 62 L48 59 V82 L20 79 Z M80 62 L52 59 V82 L80 79 Z"),
            Line("M26 86 L50 88 L74 86", 3.0),
        ],
        "M004" => &[
            Fill("M50 14 C68 14 78 28 78 48 C78 70 66 88 50 88 C34 88 22 70 22 48 C22 28 32 14 50 14 Z"),
            Gap(
                "M16 40 H84 V46 H80 C80 58 74 62 66 62 C58 62 53 57 53 50 H47 C47 57 42 62 34 62 C26 62 20 58 20 46 H16 Z",
            ),
            Fill(
                "M26 46 H44 C44 53 40 57 35 57 C29 57 26 53 26 46 Z M56 46 H74 C74 53 71 57 65 57 C60 57 56 53 56 46 Z",
            ),
            Gap("M40 75 H60 V78 H40 Z"),
        ],
        "P002" => &[
            Fill("M20 54 H62 V64 H20 Z M65 54 H71 V64 H65 Z M74 54 H80 V64 H74 Z"),
            Line("M68 49 C68 42 60 44 60 37 C60 31 66 31 66 25 M77 49 C77 41 69 42 69 35", 3.5),
        ],
        "P003" => &[
            Line("M50 88 V56", 7.0),
            Fill(
                "M50 16 C52 28 66 34 65 46 C64 54 58 58 50 58 C42 58 35 54 35 46 C35 38 41 36 42 28 C46 32 46 35 46 38 C50 32 51 24 50 16 Z",
            ),
            Gap("M50 40 C52 44 56 46 56 50 C56 54 53 55 50 55 C47 55 44 53 44 49 C44 46 48 45 50 40 Z"),
        ],
        _ => &[
            Fill("M30 36 C30 29 36 27 40 27 C44 27 50 29 50 36 V86 H30 Z"),
            Fill("M36 18 H44 V26 H36 Z"),
            Line("M30 20 L50 16 M44 22 C58 22 60 34 58 56", 4.0),
            Fill(
                "M74 44 C76 56 88 60 87 72 C86 80 81 84 74 84 C67 84 61 80 61 72 C61 65 66 62 67 55 C71 58 71 61 71 64 C74 59 75 52 74 44 Z",
            ),
        ],
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// ISO 3864-4 in RAL colours, from a secondary table: 1003 yellow, 3001 red, 5005 blue.
    #[test]
    fn every_sign_is_drawn_from_paths_that_can_be_read() {
        for sign in SIGNS {
            for part in motif(sign.number) {
                let (Fill(d) | Gap(d) | Line(d, _)) = part;
                let bounds = kurbo::Shape::bounding_box(&BezPath::from_svg(d).unwrap());
                assert!(0.0 <= bounds.x0 && bounds.x1 <= 100.0 && 0.0 <= bounds.y0 && bounds.y1 <= 100.0, "{d}");
            }
        }
    }
}
