//! The order of strokes against tours that a solver outside found for the same strokes.

// `real` is only for benches.
#[allow(dead_code, reason = "artwork is only raced, not tested")]
#[path = "../benches/plan/sets.rs"]
mod sets;

use kerfbook::geometry::{Stroke, length};
use kerfbook::plan::{Order, ordered, travel};
use kurbo::BezPath;

const REFERENCES: &str = include_str!("../benches/plan/references.txt");

/// No order is farther from the reference than this.
const WORST: f64 = 1.05;

fn reference(name: &str) -> f64 {
    let of_line = |line: &str| line.split_once('\t').filter(|(n, _)| *n == name)?.1.trim().parse().ok();
    let mut lines = REFERENCES.lines().filter(|l| !l.starts_with('#'));
    lines.find_map(of_line).unwrap_or_else(|| panic!("no reference for {name}"))
}

fn lengths(strokes: &[BezPath]) -> Vec<i64> {
    let mut all: Vec<i64> = strokes.iter().map(|s| (length(s).get() * 1e4).round() as i64).collect();
    all.sort_unstable();
    all
}

#[test]
fn orders_come_near_the_tours_of_a_solver_outside() {
    // What the references are, and by what they were found, stands at the head of their file.
    for sets::Set { name, strokes } in sets::drawn().into_iter().filter(|set| set.strokes.len() <= 500) {
        let free = strokes.iter().map(|path| Stroke { path: path.clone(), depth: 0 }).collect();
        let found = ordered(free, Order::Free);
        assert_eq!(lengths(&found), lengths(&strokes), "{name}: strokes are lost or changed");
        let ratio = travel(&found).get() / reference(&name);
        println!("{name}: {ratio:.4}");
        assert!(ratio < WORST, "{name}: {ratio}");
        // A tour much shorter than the reference would be one that was measured wrong.
        assert!(0.98 < ratio, "{name}: {ratio}");
    }
}
