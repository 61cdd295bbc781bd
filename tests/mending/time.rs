//! Large drawings are judged and mended in bounded time.

use super::drawings::{of_lines, path};
use kerfbook::mending::{Mends, Scale, found, mended};
use kerfbook::units::Mm;
use std::fmt::Write;
use std::time::Instant;

/// Meanders of so many segments in all, their ends nearly meeting, every tenth drawn twice.
fn meanders(segments: usize) -> kerfbook::geometry::Drawing {
    let lines = (0..segments / 100).flat_map(|row| {
        let mut d = format!("M0 {}", 2 * row);
        (0..100).for_each(|i| write!(d, "l0.5 {}", if i % 2 == 0 { 0.7 } else { -0.7 }).expect("a text"));
        let line = path(&d);
        if row % 10 == 0 { vec![line.clone(), line] } else { vec![line] }
    });
    of_lines(lines.collect())
}

#[test]
fn a_hundred_thousand_segments_take_seconds() {
    let time = |segments: usize| {
        let (drawing, start) = (meanders(segments), Instant::now());
        let spot = Mm::new(0.08);
        let faults = found(&drawing, &Scale { spot, kerf: None, scored: true, cut: false });
        let judged = start.elapsed();
        let changes = mended(&drawing, &Mends::safe(spot)).changes;
        assert!(!faults.is_empty() && changes.iter().any(|c| !c.places.is_empty()));
        let all = start.elapsed();
        println!("{segments} segments: judged in {judged:?}, judged and mended in {all:?}");
        all.as_secs_f64()
    };
    // Four times as much: n log n is 4.6 times as long. Other tests run beside this one, so the best of a few counts.
    let grows = || time(100_000) / time(25_000);
    let best = (0..4).map(|_| grows()).fold(f64::INFINITY, f64::min);
    assert!(best < 12.0, "{best} times as long for four times as much");
}
