//! The beam from widths of lines at several heights: how narrow, where, and how quickly it widens.

use super::ReadingError;
use crate::units::Mm;
use crate::units::number::fixed;

/// Fewer heights than this do not tell a beam from scatter (ISO 11146-1 asks for ten, from memory).
const LEAST_HEIGHTS: usize = 5;

/// What the widest line has to be over the narrowest, so that the widening can be seen.
const LEAST_WIDENING: f64 = 1.25;

/// The share of a number that its standard error may be.
const MOST_ERROR: f64 = 0.3;

/// Steps of the fit; it ends after five or six.
const MOST_STEPS: usize = 50;

/// The width of a line at a height of the focus above the stock.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct FocusReading {
    /// Height of the focus above the stock; negative lies in it.
    pub height: Mm,
    /// Width of the burned line.
    pub width: Mm,
}

impl FocusReading {
    /// Reads `HEIGHT=WIDTH`.
    ///
    /// # Errors
    /// What cannot be read.
    pub fn typed(text: &str) -> Result<Self, String> {
        use super::quantity::{above_zero, any};
        let (height, width) = text.split_once('=').ok_or("expected HEIGHT=WIDTH, such as \"-1.5 mm=0.24 mm\"")?;
        let length = crate::units::Dimension::Length;
        Ok(Self { height: Mm::new(any(height, length)?), width: Mm::new(above_zero(width, length)?) })
    }
}

/// A beam, with the standard error of every number.
#[derive(Clone, Debug)]
pub struct Beam {
    /// Its narrowest width.
    pub spot: (Mm, Mm),
    /// The focus height at which it is narrowest on the stock.
    pub height: (Mm, Mm),
    /// How far from there it is √2 times as wide: the Rayleigh range.
    pub rayleigh: (Mm, Mm),
    /// Root mean square of what the readings lie off the curve.
    pub scatter: Mm,
    /// The share of the readings' variance that the curve explains.
    pub explained: f64,
    /// One line a reading, and the curve.
    pub arithmetic: Vec<String>,
    /// What is unusual about it.
    pub warnings: Vec<String>,
}

/// Fits `d(z) = d0 √(1 + ((z - z0) / zR)²)` to widths by least squares.
///
/// The square of that width is a parabola in z, which is how ISO 11146-1 fits a beam (from memory). The parabola
/// that fits the squares best is where Gauss and Newton's steps start; these then fit the widths themselves.
///
/// # Errors
/// When there are too few heights, and when they do not determine the beam: it does not widen, its narrowest place lies
/// outside the heights, or the readings scatter too far.
pub fn beam(readings: &[FocusReading]) -> Result<Beam, ReadingError> {
    let points: Vec<(f64, f64)> = readings.iter().map(|r| (r.height.get(), r.width.get())).collect();
    let (low, high) = enough(&points)?;
    // Heights between -1 and 1 keep the sums well conditioned.
    let (middle, reach) = (f64::midpoint(low, high), (high - low) / 2.0);
    let scaled: Vec<(f64, f64)> = points.iter().map(|(z, d)| ((z - middle) / reach, *d)).collect();
    let start = parabola_of_squares(&scaled).ok_or_else(undetermined)?;
    let (parabola, inverse) = refined(&scaled, start).ok_or_else(undetermined)?;
    let Parabola([_, b, c]) = parabola;
    if c <= 0.0 || parabola.least_square() <= 0.0 {
        return Err(undetermined());
    }
    let (z0, d0) = (-b / (2.0 * c), parabola.least_square().sqrt());
    let zr = d0 / c.sqrt();
    let left: f64 = scaled.iter().map(|p| libm::pow(p.1 - parabola.width(p.0), 2.0)).sum();
    let variance = left / (scaled.len() - 3) as f64;
    let error = |slope: [f64; 3]| (variance * quadratic(&inverse, slope)).max(0.0).sqrt();
    // How z0, d0 and zR change with a, b and c.
    let of_z0 = [0.0, -1.0 / (2.0 * c), b / (2.0 * c * c)];
    let of_d0 = [1.0, -b / (2.0 * c), b * b / (4.0 * c * c)].map(|s| s / (2.0 * d0));
    let of_zr = [of_d0[0] / c.sqrt(), of_d0[1] / c.sqrt(), of_d0[2] / c.sqrt() - zr / (2.0 * c)];
    let found = Beam {
        spot: (Mm::new(d0), Mm::new(error(of_d0))),
        height: (Mm::new(middle + reach * z0), Mm::new(reach * error(of_z0))),
        rayleigh: (Mm::new(reach * zr), Mm::new(reach * error(of_zr))),
        scatter: Mm::new((left / scaled.len() as f64).sqrt()),
        explained: explained(&scaled, left),
        arithmetic: Vec::new(),
        warnings: Vec::new(),
    };
    determined(&found, (low, high))?;
    Ok(Beam { arithmetic: arithmetic(&found, readings), warnings: warnings(&found, (low, high)), ..found })
}

/// A width whose square is a parabola: `a + b z + c z²`.
#[derive(Clone, Copy)]
struct Parabola([f64; 3]);

impl Parabola {
    fn square(self, z: f64) -> f64 {
        let Self([a, b, c]) = self;
        a + z * (b + z * c)
    }

    fn width(self, z: f64) -> f64 {
        self.square(z).sqrt()
    }

    /// The square of the least width.
    fn least_square(self) -> f64 {
        let Self([a, b, c]) = self;
        a - b * b / (4.0 * c)
    }

    fn is_width(self, points: &[(f64, f64)]) -> bool {
        points.iter().all(|p| self.square(p.0) > 0.0)
    }
}

/// The heights' range, where there are enough of them.
fn enough(points: &[(f64, f64)]) -> Result<(f64, f64), ReadingError> {
    let mut heights: Vec<f64> = points.iter().map(|p| p.0).collect();
    heights.sort_by(f64::total_cmp);
    heights.dedup();
    if heights.len() < LEAST_HEIGHTS {
        return Err(ReadingError::new(
            format!("{} different heights do not tell a beam from scatter", heights.len()),
            format!("measure the lines at {LEAST_HEIGHTS} heights or more, on both sides of the narrowest"),
        ));
    }
    let (least, most) = points.iter().fold((f64::INFINITY, 0.0), |(l, m), p| (f64::min(l, p.1), f64::max(m, p.1)));
    if most < LEAST_WIDENING * least {
        return Err(ReadingError::new(
            format!("the lines are {least} to {most} mm wide, so that the widening cannot be seen"),
            "measure heights farther from the narrowest place: burn a ramp with a higher block",
        ));
    }
    Ok((heights[0], heights[heights.len() - 1]))
}

/// The parabola that fits the squares of the widths, each weighted so that it counts as its width does.
fn parabola_of_squares(points: &[(f64, f64)]) -> Option<Parabola> {
    let rows = points.iter().map(|(z, d)| {
        let weight = 1.0 / (2.0 * d);
        ([weight, weight * z, weight * z * z], weight * d * d)
    });
    let found = Parabola(solved(&sums(rows))?.0);
    if found.is_width(points) {
        return Some(found);
    }
    // Scatter may push the parabola below zero; one that only holds the widest points starts as well.
    let widest = points.iter().map(|p| p.1).fold(0.0, f64::max);
    let narrowest = points.iter().copied().min_by(|p, q| p.1.total_cmp(&q.1))?;
    let c = (widest * widest - narrowest.1 * narrowest.1) / 4.0;
    let z = narrowest.0;
    Some(Parabola([narrowest.1 * narrowest.1 + c * z * z, -2.0 * c * z, c]))
}

/// Gauss and Newton's steps on the widths, halved where one would make the fit worse; and the inverse of the normal
/// matrix where they end.
fn refined(points: &[(f64, f64)], start: Parabola) -> Option<(Parabola, [[f64; 3]; 3])> {
    let left = |p: Parabola| points.iter().map(|(z, d)| libm::pow(d - p.width(*z), 2.0)).sum::<f64>();
    let normal = |p: Parabola| {
        sums(points.iter().map(|(z, d)| {
            let width = p.width(*z);
            let slope = 1.0 / (2.0 * width);
            ([slope, slope * z, slope * z * z], d - width)
        }))
    };
    let mut at = start;
    for _ in 0..MOST_STEPS {
        let (step, _) = solved(&normal(at))?;
        let taken = (0..30).map(|halved| libm::pow(0.5, f64::from(halved))).find_map(|share| {
            let next = Parabola([0, 1, 2].map(|i| at.0[i] + share * step[i]));
            (next.is_width(points) && left(next) <= left(at)).then_some((next, share))
        });
        let Some((next, share)) = taken else { break };
        let moved = step.iter().map(|s| (share * s).abs()).fold(0.0, f64::max);
        at = next;
        if moved < 1e-15 {
            break;
        }
    }
    let (_, inverse) = solved(&normal(at))?;
    Some((at, inverse))
}

/// Normal matrix and right side of rows and their values.
fn sums(rows: impl Iterator<Item = ([f64; 3], f64)>) -> ([[f64; 3]; 3], [f64; 3]) {
    rows.fold(([[0.0; 3]; 3], [0.0; 3]), |(mut matrix, mut right), (row, value)| {
        for i in 0..3 {
            for j in 0..3 {
                matrix[i][j] += row[i] * row[j];
            }
            right[i] += row[i] * value;
        }
        (matrix, right)
    })
}

/// Solution and inverse of three equations (Cramer's rule); `None` where they are not independent.
fn solved((m, right): &([[f64; 3]; 3], [f64; 3])) -> Option<([f64; 3], [[f64; 3]; 3])> {
    // The matrix is symmetric, so its cofactors are those of its transpose.
    let cofactor = |i: usize, j: usize| {
        let (r, s) = ((i + 1) % 3, (i + 2) % 3);
        let (t, u) = ((j + 1) % 3, (j + 2) % 3);
        m[r][t] * m[s][u] - m[r][u] * m[s][t]
    };
    let determinant: f64 = (0..3).map(|j| m[0][j] * cofactor(0, j)).sum();
    let scale: f64 = (0..3).map(|i| m[i][i]).product();
    if determinant.abs() <= 1e-12 * scale.abs() || !determinant.is_finite() {
        return None;
    }
    let inverse = [0, 1, 2].map(|i| [0, 1, 2].map(|j| cofactor(i, j) / determinant));
    let solution = [0, 1, 2].map(|i| (0..3).map(|j| inverse[i][j] * right[j]).sum());
    Some((solution, inverse))
}

fn quadratic(matrix: &[[f64; 3]; 3], v: [f64; 3]) -> f64 {
    (0..3).flat_map(|i| (0..3).map(move |j| v[i] * matrix[i][j] * v[j])).sum()
}

fn explained(points: &[(f64, f64)], left: f64) -> f64 {
    let mean = points.iter().map(|p| p.1).sum::<f64>() / points.len() as f64;
    1.0 - left / points.iter().map(|p| libm::pow(p.1 - mean, 2.0)).sum::<f64>()
}

fn undetermined() -> ReadingError {
    ReadingError::new(
        "the widths do not run through a narrowest place",
        "measure heights on both sides of it, and look whether the heights have the right signs",
    )
}

/// Refuses what the readings do not tell.
fn determined(beam: &Beam, (low, high): (f64, f64)) -> Result<(), ReadingError> {
    let z0 = beam.height.0.get();
    if !(low..=high).contains(&z0) {
        return Err(ReadingError::new(
            format!("the narrowest place would lie at {}, beyond the heights that were measured", beam.height.0),
            "burn a ramp round that height",
        ));
    }
    for (name, (value, error)) in [("spot", beam.spot), ("Rayleigh range", beam.rayleigh)] {
        if error.get() > MOST_ERROR * value.get() {
            return Err(ReadingError::new(
                format!("the readings scatter too far: {name} {value} ± {error}"),
                "measure again, with more lines and on both sides of the narrowest",
            ));
        }
    }
    Ok(())
}

fn arithmetic(beam: &Beam, readings: &[FocusReading]) -> Vec<String> {
    let [d0, z0, zr] = [beam.spot.0, beam.height.0, beam.rayleigh.0].map(Mm::get);
    let mut lines: Vec<String> = readings
        .iter()
        .map(|r| {
            let fitted = d0 * (1.0 + libm::pow((r.height.get() - z0) / zr, 2.0)).sqrt();
            format!("height {}: {} wide, the curve {} mm", r.height, r.width, fixed(fitted, 3))
        })
        .collect();
    let said = |(value, error): (Mm, Mm)| format!("{} ± {} mm", fixed(value.get(), 3), fixed(error.get(), 3));
    lines.push(format!("narrowest width {}, at focus height {}", said(beam.spot), said(beam.height)));
    lines.push(format!("Rayleigh range {}: so far from there it is √2 times as wide", said(beam.rayleigh)));
    lines.push(format!(
        "the readings lie {} off the curve (root mean square), which explains {} % of their variance",
        beam.scatter,
        fixed(100.0 * beam.explained, 1)
    ));
    lines
}

fn warnings(beam: &Beam, (low, high): (f64, f64)) -> Vec<String> {
    let (z0, zr) = (beam.height.0.get(), beam.rayleigh.0.get());
    let mut warnings = Vec::new();
    if (z0 - low).min(high - z0) < zr {
        warnings.push(
            "the heights reach less than a Rayleigh range beyond the narrowest place on one side: burn a wider ramp to \
             be sure of it"
                .to_owned(),
        );
    }
    if beam.explained < 0.9 {
        warnings.push("the readings follow the curve badly: measure again".to_owned());
    }
    warnings
}

#[cfg(test)]
mod tests {
    use super::*;

    fn of(readings: &[(f64, f64)]) -> Result<Beam, ReadingError> {
        let all: Vec<FocusReading> =
            readings.iter().map(|(z, d)| FocusReading { height: Mm::new(*z), width: Mm::new(*d) }).collect();
        beam(&all)
    }

    fn width(z: f64, d0: f64, z0: f64, zr: f64) -> f64 {
        d0 * (1.0 + ((z - z0) / zr).powi(2)).sqrt()
    }

    fn near(value: Mm, expected: f64, tolerance: f64) {
        assert!((value.get() - expected).abs() <= tolerance, "{value} {expected}");
    }

    #[test]
    fn a_known_beam_is_found_again() {
        // A 10.6 µm beam of 7 mm through a lens of 50.8 mm, M² 1: spot 97.945 µm, Rayleigh range 0.71080 mm
        // (Saleh and Teich, section 3.2, from memory; the library laserbeamsize gives the same range).
        for z0 in [-0.9, 0.0, 0.3] {
            let readings: Vec<(f64, f64)> =
                (-5..=5).map(|i| f64::from(i) * 0.5).map(|z| (z, width(z, 0.097_945, z0, 0.710_80))).collect();
            let found = of(&readings).unwrap();
            near(found.spot.0, 0.097_945, 1e-9);
            near(found.height.0, z0, 1e-9);
            near(found.rayleigh.0, 0.710_80, 1e-9);
            assert!(found.scatter.get() < 1e-9 && found.explained > 0.999_999);
        }
    }

    #[test]
    fn scattered_readings_agree_with_a_reference_fit() {
        // scipy.optimize.curve_fit of the same model to these readings, scipy 1.17.1, run once for this test.
        let found = of(&[
            (2.5, 0.331),
            (2.0, 0.246),
            (1.5, 0.197),
            (1.0, 0.142),
            (0.5, 0.096),
            (0.0, 0.109),
            (-0.5, 0.146),
            (-1.0, 0.211),
            (-1.5, 0.257),
            (-2.0, 0.338),
            (-2.5, 0.394),
        ])
        .unwrap();
        near(found.spot.0, 0.097_706_290, 1e-7);
        near(found.height.0, 0.286_291_581, 1e-7);
        near(found.rayleigh.0, 0.704_666_323, 1e-7);
        near(found.spot.1, 0.004_702_500, 1e-7);
        near(found.height.1, 0.020_970_100, 1e-7);
        near(found.rayleigh.1, 0.039_813_519, 1e-7);
        near(found.scatter, 0.006_508_948, 1e-8);
        assert!((found.explained - 0.995_255_827).abs() < 1e-8);
    }

    #[test]
    fn readings_that_determine_no_beam_are_refused() {
        let refused = |readings: &[(f64, f64)], says: &str| {
            let error = of(readings).unwrap_err();
            assert!(error.message.contains(says), "{error}");
        };
        refused(&[(0.0, 0.1), (1.0, 0.2), (2.0, 0.3), (2.0, 0.31), (3.0, 0.4)], "4 different heights");
        refused(&[(-2.0, 0.1), (-1.0, 0.1), (0.0, 0.1), (1.0, 0.1), (2.0, 0.11)], "widening cannot be seen");
        // Only one side: a straight line has no narrowest place.
        let side: Vec<(f64, f64)> =
            (0..8).map(|i| (3.0 + f64::from(i) * 0.5, 0.3 + 0.07 * f64::from(i))).collect();
        assert!(of(&side).is_err());
        // Upside down.
        let hill: Vec<(f64, f64)> = (-4..=4).map(f64::from).map(|z| (z, 0.5 - 0.02 * z * z)).collect();
        refused(&hill, "narrowest place");
        let noise = [(-2.0, 0.3), (-1.0, 0.1), (0.0, 0.3), (1.0, 0.1), (2.0, 0.3), (3.0, 0.1)];
        assert!(of(&noise).is_err());
    }

    #[test]
    fn a_short_reach_is_told() {
        let readings: Vec<(f64, f64)> =
            (-2..=6).map(|i| f64::from(i) * 0.4).map(|z| (z, width(z, 0.1, 0.0, 1.0))).collect();
        assert!(of(&readings).unwrap().warnings[0].contains("one side"));
    }

    #[test]
    fn typed_readings() {
        let reading = FocusReading::typed("-1.5 mm=0.24 mm").unwrap();
        assert_eq!((reading.height.get(), reading.width.get()), (-1.5, 0.24));
        for wrong in ["1.5 mm", "1.5=0.24 mm", "1 mm=0 mm", "a=b"] {
            assert!(FocusReading::typed(wrong).is_err(), "{wrong}");
        }
    }
}
