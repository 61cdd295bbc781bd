//! The printed table: a figure, what was measured, and the bar beside it.

use super::race::Outcome;
use std::ops::RangeInclusive;

/// The least or the greatest of some numbers, and where it was found.
#[derive(Default)]
pub struct Extreme {
    /// The number; 0 before any is taken.
    pub value: f64,
    /// Where.
    pub place: String,
}

impl Extreme {
    /// Takes another number when it `is` the new extreme.
    pub fn take(&mut self, is: bool, value: f64, place: impl FnOnce() -> String) {
        if is {
            *self = Self { value, place: place() };
        }
    }
}

/// Prints rows as they are measured.
pub struct Table {
    words: Vec<String>,
    started: bool,
}

impl Table {
    /// A table of the rows that name one of the words; of all of them without any.
    pub fn new(words: Vec<String>) -> Self {
        Self { words, started: false }
    }

    /// Whether a row is asked for.
    pub fn wants(&self, work: &str) -> bool {
        self.words.is_empty() || self.words.iter().any(|w| work.contains(w.as_str()))
    }

    /// Adds the ratio of a race, if it is asked for, that should be at most `bar`.
    pub fn race(&mut self, figure: u8, work: &str, bar: f64, run: impl FnOnce() -> Outcome) {
        if self.wants(work) {
            let outcome = run();
            self.line(figure, work, outcome.ratio, bar, &format!("{:.1} ms", outcome.ours));
        }
    }

    /// Adds a number that should be at most `bar`.
    pub fn number(&mut self, figure: u8, work: &str, bar: f64, run: impl FnOnce() -> (f64, String)) {
        if self.wants(work) {
            let (value, note) = run();
            self.line(figure, work, value, bar, &note);
        }
    }

    /// Adds the least and the greatest of some numbers, which should lie within `bar`.
    pub fn range(
        &mut self,
        figure: u8,
        work: &str,
        bar: RangeInclusive<f64>,
        run: impl FnOnce() -> (Extreme, Extreme),
    ) {
        if self.wants(work) {
            let (least, greatest) = run();
            self.line(figure, &format!("{work}, too far"), greatest.value, *bar.end(), &greatest.place);
            self.line(figure, &format!("{work}, too near"), -least.value, -*bar.start(), &least.place);
        }
    }

    fn line(&mut self, figure: u8, work: &str, value: f64, bar: f64, note: &str) {
        if !self.started {
            println!("{:>3}  {:<58} {:>10} {:>10}       note", "#", "work", "measured", "at most");
            self.started = true;
        }
        let verdict = if value <= bar { "" } else { "OVER" };
        println!("{figure:>3}  {work:<58} {:>10} {:>10}  {verdict:<4} {note}", short(value), short(bar));
    }
}

/// Three digits.
fn short(value: f64) -> String {
    if value.abs() >= 0.01 || value == 0.0 { format!("{value:.3}") } else { format!("{value:.1e}") }
}
