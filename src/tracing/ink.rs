//! What is ink and what is paper.
//!
//! A scan is darker at its rim, a phone's picture in a corner, and a drawing saved as JPEG has a haze of noise about its
//! lines. `light` divides the paper's brightness away, `threshold` parts ink from paper, and the picture tells by its pixels how
//! much they can be trusted.

use super::light::over_even_paper;
use super::samples::Settings;
use super::threshold::threshold_near_edges;
use crate::raster::Plane;

/// Ink and paper whose grey values lie closer than this cannot be told apart.
const LEAST_CONTRAST: f32 = 0.15;

/// Crisp pictures are softened by a bell of this deviation (px): the grey value of a pixel that an edge runs through does not
/// grow evenly with the way to the edge, and from pixel to pixel it then does, nearly.
const SOFTENED: f32 = 0.6;

/// Whether a picture is crisp is read from this many of its rows: more say no more.
const ROWS_READ: usize = 256;

/// Rows that its noise is read from.
const NOISE_READ: usize = 64;

/// What kind of picture a drawing is: how much its pixels say about where an edge runs.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Paper {
    /// Only black and white: an edge is known to a pixel.
    BlackAndWhite,
    /// Clean grey values at the edges: an edge is known to a small part of a pixel.
    Grey,
    /// Grey values with noise, as from a scanner or a camera.
    Scan,
}

impl Paper {
    /// In words, for people.
    pub const fn word(self) -> &'static str {
        match self {
            Self::BlackAndWhite => "black and white",
            Self::Grey => "clean grey",
            Self::Scan => "scan",
        }
    }

    /// What is taken for what in such a picture.
    pub(super) const fn settings(self) -> Settings {
        match self {
            Self::Grey => Settings {
                tolerance: 0.20,
                corner: 32.0,
                skip: 1.0,
                reach: 5.0,
                half: 6,
                line: 0.15,
                bow: 0.075,
                stroke: 0.0,
            },
            Self::Scan => Settings {
                tolerance: 0.30,
                corner: 34.0,
                skip: 1.5,
                reach: 8.0,
                half: 8,
                line: 0.15,
                bow: 0.075,
                stroke: 0.0,
            },
            Self::BlackAndWhite => Settings {
                tolerance: 0.45,
                corner: 38.0,
                skip: 1.0,
                reach: 6.0,
                half: 10,
                line: 0.45,
                bow: 0.15,
                stroke: 0.0,
            },
        }
    }
}

/// What is drawn on a picture.
#[derive(Clone, Debug)]
pub struct Ink {
    /// How much ink lies on each pixel: 0 paper, 1 full ink.
    pub plane: Plane,
    /// What counts as ink, from 0 to 1.
    pub threshold: f32,
    /// The kind of picture.
    pub paper: Paper,
}

/// Ink and paper hardly differ.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct NoContrast {
    /// The difference of their grey values, 0 to 1.
    pub difference: f32,
}

/// Tells ink from paper. `coded` holds grey values as coded (0 black to 1 white), and becomes the ink: pictures are large, and
/// each copy costs. The threshold is found when it is not given.
pub fn ink(coded: Plane, threshold: Option<f32>) -> Result<Ink, NoContrast> {
    if coded.width == 0 || coded.height == 0 {
        return Err(NoContrast { difference: 0.0 });
    }
    let mut plane = coded;
    over_even_paper(&mut plane);
    let (found, difference) = threshold_near_edges(&plane);
    if difference < LEAST_CONTRAST && threshold.is_none() {
        return Err(NoContrast { difference });
    }
    let threshold = threshold.unwrap_or(found);
    let paper = paper(&plane, threshold);
    if paper != Paper::Scan {
        plane.blur(SOFTENED);
    }
    Ok(Ink { plane, threshold, paper })
}

/// The kind of picture: black and white where few pixels lie between, a scan where what should be even is not.
fn paper(plane: &Plane, threshold: f32) -> Paper {
    let (mut between, mut crossings) = (0, 0);
    for y in rows(plane, ROWS_READ).skip(1) {
        let (upper, lower) = (plane.row(y - 1), plane.row(y));
        between += lower.iter().filter(|v| (0.12..0.88).contains(*v)).count();
        crossings += upper.iter().zip(lower).filter(|(a, b)| (**a > threshold) != (**b > threshold)).count();
        crossings += lower.windows(2).filter(|w| (w[0] > threshold) != (w[1] > threshold)).count();
    }
    if (between as f64) < 0.3 * crossings as f64 {
        return Paper::BlackAndWhite;
    }
    if unevenness(plane) > 0.01 { Paper::Scan } else { Paper::Grey }
}

/// About so many rows, evenly spread.
fn rows(plane: &Plane, count: usize) -> impl Iterator<Item = usize> {
    (0..plane.height).step_by((plane.height / count).max(1))
}

/// The deviation of pixels from the mean of their neighbours where the picture is even; what noise of that deviation gives.
fn unevenness(plane: &Plane) -> f64 {
    let (mut sum, mut count) = (0.0, 0_u64);
    for y in rows(plane, NOISE_READ).filter(|y| (1..plane.height - 1).contains(y)) {
        for x in 1..plane.width.saturating_sub(1) {
            let here = plane.at(x, y);
            let around = [plane.at(x - 1, y), plane.at(x + 1, y), plane.at(x, y - 1), plane.at(x, y + 1)];
            // Paper that is as white as can be shows no noise.
            let even = here > 0.004 && around.iter().all(|v| (v - here).abs() < 0.12);
            if even {
                let off = f64::from(here - around.iter().sum::<f32>() / 4.0);
                sum += off * off;
                count += 1;
            }
        }
    }
    if count < 64 { 0.0 } else { (sum / count as f64 / 1.25).sqrt() }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_empty_sheet_has_no_ink() {
        let sheet = Plane { width: 40, height: 40, values: vec![0.9; 1600] };
        assert!(ink(sheet, None).is_err());
        assert!(ink(Plane::new(0, 0), None).is_err());
    }

    /// A disc of ink on paper that darkens from 1.0 to 0.55 across the sheet.
    #[test]
    fn uneven_light_is_taken_away() {
        let (width, height) = (240, 160);
        let mut sheet = Plane::new(width, height);
        for y in 0..height {
            for x in 0..width {
                let light = 1.0 - 0.45 * x as f32 / width as f32;
                let (dx, dy) = (x as f32 - 170.0, y as f32 - 80.0);
                let inside = (30.5 - (dx * dx + dy * dy).sqrt()).clamp(0.0, 1.0);
                sheet.values[y * width + x] = light * (1.0 - 0.8 * inside);
            }
        }
        let found = ink(sheet, None).unwrap();
        let inked = found.plane.values.iter().filter(|v| **v > found.threshold).count() as f64;
        let truth = std::f64::consts::PI * 30.0 * 30.0;
        assert!((inked / truth - 1.0).abs() < 0.03, "{inked} pixels for {truth}");
        assert_eq!(found.paper, Paper::Grey);
    }
}
