//! The width of a cut, from a comb or from holes and their parts.

use super::ReadingError;
use crate::units::Mm;
use crate::units::number::fixed;

/// Narrower and wider cuts than this are most likely a slip (common practice, no source).
const USUAL: (f64, f64) = (0.05, 0.5);

/// Readings that differ by more than this many times their mean give none (our judgement).
const MOST_SPREAD: f64 = 1.0;

/// A wider cut is no cut of a workshop laser.
const MOST: f64 = 1.0;

/// What the strips of a comb were cut from.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Comb {
    /// Between drawn lines: there is a cut at either end, so that every strip loses a whole kerf.
    Drawn,
    /// From a whole strip that was measured before: there is one cut fewer than there are strips.
    Whole,
}

/// One reading.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum KerfReading {
    /// Strips of a comb, pushed together.
    Comb {
        /// What they were cut from.
        from: Comb,
        /// How long that is.
        long: Mm,
        /// How many strips.
        strips: u32,
        /// The length of all of them together.
        sum: Mm,
    },
    /// A hole and the part that fell out of it.
    Hole {
        /// Inside width of the hole.
        hole: Mm,
        /// Outside width of the part.
        part: Mm,
    },
}

/// A width of cut, and the arithmetic.
#[derive(Clone, Debug)]
pub struct Kerf {
    /// Full width of the cut: the mean of the readings.
    pub kerf: Mm,
    /// The widest reading less the narrowest.
    pub spread: Mm,
    /// One line a reading.
    pub arithmetic: Vec<String>,
    /// What is unusual about it.
    pub warnings: Vec<String>,
}

/// The mean of some readings.
///
/// A comb of N strips between N + 1 drawn lines is N kerfs shorter than drawn, `(drawn - sum) / N`; N strips from a
/// measured strip are N - 1 kerfs shorter, `(whole - sum) / (N - 1)`; a hole is two half kerfs wider and its part two half
/// kerfs narrower than drawn, `(hole - part) / 2`. Common shop practice.
///
/// # Errors
/// When there is no reading, a comb has too few strips, a cut comes out with no width or over a millimetre, or the readings
/// differ by more than their mean.
pub fn kerf(readings: &[KerfReading]) -> Result<Kerf, ReadingError> {
    let mut arithmetic = Vec::new();
    let mut widths = Vec::new();
    for reading in readings {
        let (width, line) = one(*reading)?;
        widths.push(width);
        arithmetic.push(line);
    }
    let (Some(least), Some(most)) =
        (widths.iter().copied().reduce(f64::min), widths.iter().copied().reduce(f64::max))
    else {
        return Err(ReadingError::new(
            "there is no reading",
            "give `--drawn`, `--strips` and `--sum`, or `--hole` and `--part`",
        ));
    };
    let mean = widths.iter().sum::<f64>() / widths.len() as f64;
    let spread = most - least;
    if spread > MOST_SPREAD * mean {
        return Err(ReadingError::new(
            format!(
                "the readings lie from {} to {} mm: their mean of {} mm would say nothing",
                fixed(least, 3),
                fixed(most, 3),
                fixed(mean, 3)
            ),
            "leave out the reading that slipped, or cut another comb",
        ));
    }
    if widths.len() > 1 {
        arithmetic.push(format!(
            "mean of {} readings: {} mm, from {} to {} mm",
            widths.len(),
            fixed(mean, 4),
            fixed(least, 4),
            fixed(most, 4)
        ));
    }
    let mut warnings = Vec::new();
    if !(USUAL.0..=USUAL.1).contains(&mean) {
        warnings.push(format!(
            "a kerf of {} mm is unusual: workshop lasers cut {} to {} mm wide (common practice); look for a slip",
            fixed(mean, 3),
            fixed(USUAL.0, 2),
            fixed(USUAL.1, 2)
        ));
    }
    if spread > 0.25 * mean {
        warnings.push(format!(
            "the readings differ by {} mm, more than a quarter of the kerf: measure again, or cut another comb",
            fixed(spread, 3)
        ));
    }
    Ok(Kerf { kerf: Mm::new(mean), spread: Mm::new(spread), arithmetic, warnings })
}

fn one(reading: KerfReading) -> Result<(f64, String), ReadingError> {
    let (width, line) = match reading {
        KerfReading::Comb { from, long, strips, sum } => {
            let (cuts, what) = match from {
                Comb::Drawn => (strips, "drawn"),
                Comb::Whole => (strips.saturating_sub(1), "whole"),
            };
            if cuts == 0 {
                return Err(ReadingError::new(
                    format!("a comb of {strips} strips has no cut to measure"),
                    "count the strips, and cut ten or so",
                ));
            }
            let width = (long - sum).get() / f64::from(cuts);
            (width, format!("({what} {long} - sum {sum}) / {cuts} cuts = {} mm", fixed(width, 4)))
        }
        KerfReading::Hole { hole, part } => {
            let width = (hole - part).get() / 2.0;
            (width, format!("(hole {hole} - part {part}) / 2 = {} mm", fixed(width, 4)))
        }
    };
    if width <= 0.0 {
        return Err(ReadingError::new(
            format!("{line}: a cut takes something away, so this cannot be"),
            "look whether the two lengths are exchanged",
        ));
    }
    if width > MOST {
        return Err(ReadingError::new(
            format!("{line}: no workshop laser cuts so wide"),
            "look at the number of strips and at the decimal points",
        ));
    }
    Ok((width, line))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn comb(from: Comb, long: f64, strips: u32, sum: f64) -> KerfReading {
        KerfReading::Comb { from, long: Mm::new(long), strips, sum: Mm::new(sum) }
    }

    fn hole(hole: f64, part: f64) -> KerfReading {
        KerfReading::Hole { hole: Mm::new(hole), part: Mm::new(part) }
    }

    fn width(reading: KerfReading) -> f64 {
        kerf(&[reading]).unwrap().kerf.get()
    }

    #[test]
    fn worked_examples() {
        // Common shop practice, no source: 100 mm drawn, ten strips of 98.0 mm together.
        assert!((width(comb(Comb::Drawn, 100.0, 10, 98.0)) - 0.20).abs() < 1e-12);
        // The trap of the missing cut: a measured strip of 100 mm cut into ten has nine cuts (counting).
        assert!((width(comb(Comb::Whole, 100.0, 10, 98.2)) - 0.20).abs() < 1e-12);
        // Readings of a course page, archive.fabacademy.org 2017, vigyanashram, student 53; it prints 0.19 and 0.12.
        assert!((width(hole(20.14, 19.76)) - 0.19).abs() < 1e-12);
        assert!((width(hole(20.09, 19.86)) - 0.115).abs() < 1e-12);
    }

    #[test]
    fn several_readings_are_averaged_and_their_spread_told() {
        let found = kerf(&[comb(Comb::Drawn, 60.0, 10, 58.4), hole(20.09, 19.75)]).unwrap();
        assert!((found.kerf.get() - 0.165).abs() < 1e-12);
        assert!((found.spread.get() - 0.01).abs() < 1e-12);
        assert_eq!(found.arithmetic[0], "(drawn 60 mm - sum 58.4 mm) / 10 cuts = 0.16 mm");
        assert_eq!(found.arithmetic[2], "mean of 2 readings: 0.165 mm, from 0.16 to 0.17 mm");
        assert!(found.warnings.is_empty());
        assert!(kerf(&[hole(20.1, 19.9), hole(20.2, 19.8)]).unwrap().warnings[0].contains("differ by 0.1 mm"));
    }

    #[test]
    fn what_cannot_be_is_refused_and_what_is_unusual_told() {
        assert!(kerf(&[]).is_err());
        // 0.05 and 0.35 mm: they differ by 0.3, and their mean is 0.2.
        assert!(
            kerf(&[hole(20.05, 19.95), hole(20.35, 19.65)]).unwrap_err().message.contains("from 0.05 to 0.35 mm")
        );
        assert!(kerf(&[comb(Comb::Whole, 100.0, 1, 99.0)]).is_err());
        assert!(kerf(&[hole(19.8, 20.1)]).unwrap_err().repair.contains("exchanged"));
        assert!(kerf(&[comb(Comb::Drawn, 100.0, 1, 98.0)]).is_err());
        assert!(kerf(&[hole(20.0, 19.96)]).unwrap().warnings[0].contains("unusual"));
        assert!(kerf(&[hole(20.6, 19.4)]).unwrap().warnings[0].contains("unusual"));
    }
}
