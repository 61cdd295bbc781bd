//! What is ink and what is paper.
//!
//! A scan is darker at its rim, a phone's picture in a corner, and a drawing saved as JPEG has a haze of noise about its
//! lines. The paper's brightness is worked out and divided away; the threshold is the one that parts the pixels near edges
//! best (Otsu 1979), because on a nearly empty page the noise of the paper outweighs the ink by numbers.

use super::samples::Settings;
use crate::geometry::LeastSquares;
use crate::raster::Plane;

/// The paper is looked at in blocks of this share of the longer side.
const BLOCKS: usize = 16;

/// A block whose brightness is less than this share of the paper's is all ink, and says nothing of the paper.
const INKED: f64 = 0.85;

/// The first guess of the paper: blocks of at least this share of the brightness that three in five blocks have.
const FIRST_GUESS: f64 = 0.8;

/// Rounds in which blocks of ink are left out and the paper is worked out anew.
const ROUNDS: usize = 5;

/// Ink and paper whose grey values lie closer than this cannot be told apart.
const LEAST_CONTRAST: f32 = 0.15;

/// Pixels with more than this share of the strongest edge lie near an edge.
const EDGE: f32 = 0.4;

/// Crisp pictures are softened by a bell of this deviation (px): the grey value of a pixel that an edge runs through does not
/// grow evenly with the way to the edge, and from pixel to pixel it then does, nearly.
const SOFTENED: f32 = 0.6;

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

/// Tells ink from paper. `coded` holds grey values as coded (0 black to 1 white); the threshold is found when it is not
/// given.
pub fn ink(coded: &Plane, threshold: Option<f32>) -> Result<Ink, NoContrast> {
    if coded.width == 0 || coded.height == 0 {
        return Err(NoContrast { difference: 0.0 });
    }
    let flat = flattened(coded);
    let plane = flat.map(|v| (1.0 - v).clamp(0.0, 1.0));
    let (found, difference) = threshold_near_edges(&plane);
    if difference < LEAST_CONTRAST && threshold.is_none() {
        return Err(NoContrast { difference });
    }
    let threshold = threshold.unwrap_or(found);
    let paper = paper(&plane, threshold);
    let plane = if paper == Paper::Scan { plane } else { plane.blurred(SOFTENED) };
    Ok(Ink { plane, threshold, paper })
}

/// The picture over paper of an even brightness of 1.
fn flattened(coded: &Plane) -> Plane {
    let size = coded.width.max(coded.height).div_ceil(BLOCKS).max(8);
    let (across, down) = (coded.width.div_ceil(size), coded.height.div_ceil(size));
    let bright: Vec<f64> = (0..across * down).map(|i| brightness(coded, size, i % across, i / across)).collect();
    let mut blocks = Plane { width: across, height: down, values: paper_of_blocks(&bright, across, down) };
    if across > 2 && down > 2 {
        blocks = blocks.blurred(0.8);
    }
    let mut flat = coded.clone();
    for (y, row) in flat.values.chunks_exact_mut(coded.width).enumerate() {
        let v = (y as f64 + 0.5) / size as f64;
        for (x, value) in row.iter_mut().enumerate() {
            let paper = blocks.between((x as f64 + 0.5) / size as f64, v);
            *value = (*value / paper.max(0.05)).min(1.0);
        }
    }
    flat
}

/// The brightness that one pixel in ten of a block exceeds.
fn brightness(coded: &Plane, size: usize, column: usize, row: usize) -> f64 {
    let (x, y) = (column * size, row * size);
    let rows = (y..(y + size).min(coded.height)).step_by(2);
    let mut values: Vec<f32> = rows
        .flat_map(|y| (x..(x + size).min(coded.width)).step_by(2).map(move |x| (x, y)))
        .map(|(x, y)| coded.at(x, y))
        .collect();
    let at = values.len() * 9 / 10;
    let (_, value, _) = values.select_nth_unstable_by(at, f32::total_cmp);
    f64::from(*value)
}

/// The paper's brightness in each block: as it is seen, or where a block is all ink, that of a surface of the second degree
/// through the others. Without the surface, a drawing with a large black area would lose it.
fn paper_of_blocks(bright: &[f64], across: usize, down: usize) -> Vec<f32> {
    let mut sorted = bright.to_vec();
    sorted.sort_by(f64::total_cmp);
    let usual = sorted[sorted.len() * 3 / 5];
    let mut kept: Vec<bool> = bright.iter().map(|&b| b >= FIRST_GUESS * usual).collect();
    let terms = |i: usize| {
        let x = (i % across) as f64 / across as f64 - 0.5;
        let y = (i / across) as f64 / down as f64 - 0.5;
        [1.0, x, y, x * x, x * y, y * y]
    };
    let mut surface = vec![usual; bright.len()];
    for _ in 0..ROUNDS {
        let mut system = LeastSquares::<6>::new();
        (0..bright.len()).filter(|&i| kept[i]).for_each(|i| system.add(terms(i), bright[i]));
        let found = system.solve();
        for (i, level) in surface.iter_mut().enumerate() {
            *level = terms(i).iter().zip(found).map(|(t, f)| t * f).sum::<f64>().clamp(0.3 * usual, 1.0);
        }
        kept = (0..bright.len()).map(|i| bright[i] >= INKED * surface[i]).collect();
    }
    (0..bright.len()).map(|i| if kept[i] { bright[i] } else { surface[i] } as f32).collect()
}

/// The strength of the edge at a pixel, from its neighbours.
fn slope(plane: &Plane, x: usize, y: usize) -> f32 {
    let (x, y) = (x.cast_signed(), y.cast_signed());
    let across = plane.near(x + 1, y) - plane.near(x - 1, y);
    let down = plane.near(x, y + 1) - plane.near(x, y - 1);
    (across * across + down * down).sqrt()
}

/// The threshold that parts the pixels near edges best, and how far apart the two parts are.
fn threshold_near_edges(plane: &Plane) -> (f32, f32) {
    let soft = plane.blurred(0.8);
    let (width, height) = (plane.width, plane.height);
    let slopes: Vec<f32> = (0..width * height).map(|i| slope(&soft, i % width, i / width)).collect();
    let least = EDGE * slopes.iter().copied().fold(0.0, f32::max);
    if least <= 0.0 {
        return (0.5, 0.0);
    }
    let mut near = vec![false; width * height];
    for (i, _) in slopes.iter().enumerate().filter(|(_, s)| **s > least) {
        let (x, y) = (i % width, i / width);
        for row in y.saturating_sub(2)..(y + 3).min(height) {
            near[row * width + x.saturating_sub(2)..row * width + (x + 3).min(width)].fill(true);
        }
    }
    let mut counts = [0_u64; 256];
    for (value, _) in plane.values.iter().zip(&near).filter(|(_, near)| **near) {
        counts[(value * 255.0 + 0.5) as usize] += 1;
    }
    otsu(&counts)
}

/// The level between two classes of grey values, from 0 to 1, and how far apart they are.
///
/// The classes are those with the greatest variance between them (Otsu 1979). The level lies half way between their
/// medians: a pixel that is half inked lies on the edge, and the many pixels that the edge itself runs through would pull
/// their means.
fn otsu(counts: &[u64; 256]) -> (f32, f32) {
    let total: f64 = counts.iter().map(|&c| c as f64).sum();
    let all: f64 = counts.iter().enumerate().map(|(i, &c)| i as f64 * c as f64).sum();
    let (mut below, mut sum, mut best) = (0.0, 0.0, (0.0, 127));
    for (i, &count) in counts.iter().enumerate().take(255) {
        below += count as f64;
        sum += i as f64 * count as f64;
        let above = total - below;
        if below == 0.0 || above == 0.0 {
            continue;
        }
        let apart = (all - sum) / above - sum / below;
        let variance = below * above * apart * apart;
        if variance > best.0 {
            best = (variance, i);
        }
    }
    let (low, high) = (median(&counts[..=best.1]), (best.1 + 1) as f32 + median(&counts[best.1 + 1..]));
    (f32::midpoint(low, high) / 255.0, (high - low) / 255.0)
}

/// The value that half of those counted do not exceed.
fn median(counts: &[u64]) -> f32 {
    let half = counts.iter().sum::<u64>().div_ceil(2);
    let mut passed = 0;
    let found = counts.iter().position(|&c| {
        passed += c;
        passed >= half
    });
    found.unwrap_or(0) as f32
}

/// The kind of picture: black and white where few pixels lie between, a scan where what should be even is not.
fn paper(plane: &Plane, threshold: f32) -> Paper {
    let between = plane.values.iter().filter(|v| (0.12..0.88).contains(*v)).count();
    let mut crossings = 0_usize;
    for y in 1..plane.height {
        let (upper, lower) = (plane.row(y - 1), plane.row(y));
        crossings += upper.iter().zip(lower).filter(|(a, b)| (**a > threshold) != (**b > threshold)).count();
        crossings += lower.windows(2).filter(|w| (w[0] > threshold) != (w[1] > threshold)).count();
    }
    if (between as f64) < 0.3 * crossings as f64 {
        return Paper::BlackAndWhite;
    }
    if unevenness(plane) > 0.01 { Paper::Scan } else { Paper::Grey }
}

/// The deviation of pixels from the mean of their neighbours where the picture is even; what noise of that deviation gives.
fn unevenness(plane: &Plane) -> f64 {
    let (mut sum, mut count) = (0.0, 0_u64);
    for y in 1..plane.height.saturating_sub(1) {
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
    fn two_levels_are_parted_half_way() {
        let mut counts = [0; 256];
        counts[20] = 900;
        counts[220] = 100;
        assert_eq!(otsu(&counts), (120.0 / 255.0, 200.0 / 255.0));
    }

    #[test]
    fn an_empty_sheet_has_no_ink() {
        let sheet = Plane { width: 40, height: 40, values: vec![0.9; 1600] };
        assert!(ink(&sheet, None).is_err());
        assert!(ink(&Plane::new(0, 0), None).is_err());
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
        let found = ink(&sheet, None).unwrap();
        let inked = found.plane.values.iter().filter(|v| **v > found.threshold).count() as f64;
        let truth = std::f64::consts::PI * 30.0 * 30.0;
        assert!((inked / truth - 1.0).abs() < 0.03, "{inked} pixels for {truth}");
        assert_eq!(found.paper, Paper::Grey);
    }
}
