//! Real outlines and messy drawings: the clean ones are left in peace, the messy ones mended once and for all.

use super::drawings::{Dice, mend, of_ink, of_lines};
use crate::geometry::{Outline, outlines};
use kerfbook::geometry::{Drawing, Region};
use kerfbook::mending::{Change, MendKind, Mends, Scale, found, mended};
use kerfbook::units::Mm;
use kurbo::{BezPath, Point};

const SPOT: Mm = Mm::new(0.08);

fn scale(scored: bool, cut: bool) -> Scale {
    Scale { spot: SPOT, kerf: Some(Mm::new(0.16)), scored, cut }
}

/// The hundred outlines as ink, and as lines.
fn real() -> Vec<(&'static str, Drawing)> {
    let of_one = |o: Outline| {
        let ink = Region::from_path(&o.path, o.rule).expect("ink");
        let lines = of_lines(ink.contours().to_vec());
        [(o.name, of_ink(ink)), (o.name, lines)]
    };
    outlines().into_iter().flat_map(of_one).collect()
}

#[test]
fn clean_artwork_is_left_in_peace() {
    let mut noisy = Vec::new();
    for (name, drawing) in real() {
        for scale in [scale(true, false), scale(false, true)] {
            let faults = found(&drawing, &scale);
            noisy.extend(faults.into_iter().map(|f| format!("{name}: {:?}, {}", f.kind, f.places.len())));
        }
    }
    // 200 drawings, each judged as a score and as a cut.
    assert!(noisy.len() <= MOST_NOISE, "{} findings: {noisy:#?}", noisy.len());
}

/// Findings on 200 real outlines judged twice: measured, so that no change makes them more.
const MOST_NOISE: usize = 10;

#[test]
fn mending_real_outlines_twice_is_mending_them_once() {
    for (name, drawing) in real() {
        let once = mended(&drawing, &Mends::safe(SPOT)).drawing;
        let again = mended(&once, &Mends::safe(SPOT));
        // Two of its edges lie within the tolerance of each other: what is dropped as doubled leaves a gap, which is closed.
        let swings = |change: &Change| {
            name == "filled/exercise/weights" && matches!(change.kind, MendKind::Doubled | MendKind::Gaps)
        };
        for change in again.changes.iter().filter(|c| !swings(c)) {
            assert!(change.places.is_empty(), "{name}: {:?} {:?}", change.kind, change.places);
        }
    }
}

/// Lines that run about at random, with ends near each other and stretches on each other.
fn messy(seed: u64) -> Drawing {
    let mut dice = Dice(seed);
    let mut nodes: Vec<Point> = Vec::new();
    let mut lines = Vec::new();
    for _ in 0..60 {
        let mut line = BezPath::new();
        for i in 0..2 + dice.below(5) {
            let fresh = Point::new(dice.between(0.0, 60.0), dice.between(0.0, 60.0));
            let near = nodes.get(dice.below(nodes.len().max(1))).copied();
            let off = kurbo::Vec2::new(dice.between(-0.2, 0.2), dice.between(-0.2, 0.2));
            let p = near.filter(|_| dice.roll() < 0.5).map_or(fresh, |p| p + off);
            nodes.push(p);
            if i == 0 { line.move_to(p) } else { line.line_to(p) }
        }
        if dice.roll() < 0.3 {
            line.close_path();
        }
        lines.push(line.clone());
        if dice.roll() < 0.1 {
            lines.push(line);
        }
    }
    of_lines(lines)
}

#[test]
fn mending_a_mess_twice_is_mending_it_once() {
    let kinds = [
        (MendKind::Gaps, 0.3),
        (MendKind::Doubled, 0.05),
        (MendKind::Loops, 2.0),
        (MendKind::Crossings, 0.0),
        (MendKind::Specks, 0.5),
        (MendKind::Nodes, 0.01),
    ];
    for seed in 1..=40 {
        let drawing = messy(seed);
        for (kind, up_to) in kinds {
            let (once, change) = mend(&drawing, kind, up_to);
            let (_, again) = mend(&once, kind, up_to);
            assert!(
                again.places.is_empty(),
                "seed {seed}, {kind:?}: {:?} after {}",
                again.places,
                change.places.len()
            );
        }
    }
}
