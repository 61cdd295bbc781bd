//! Real outlines through the kernel and through GEOS (libgeos, the reference library for planar geometry).
//!
//! Inputs are flattened first, so that both see the same polygons: what differs is the overlay alone. The
//! bound is a ten-thousandth of the area.

use super::oracle::{self, Outline, chords, difference, moved};
use geos::{CapStyle, Geom, Geometry, JoinStyle};
use kerfbook::geometry::{Corners, DEVIATION, FillRule, Region};
use kerfbook::units::Mm;
use kurbo::BezPath;

/// The largest share of the area that may differ; half of it comes of curves that are drawn anew.
const BOUND: f64 = 2e-4;

struct Flat {
    name: &'static str,
    rule: FillRule,
    path: BezPath,
}

fn flat_outlines() -> Vec<Flat> {
    let flat = |o: Outline| Flat { name: o.name, rule: o.rule, path: chords(&o.path, 0.002) };
    oracle::outlines().into_iter().map(flat).collect()
}

fn region(flat: &Flat) -> Region {
    Region::from_path(&flat.path, flat.rule).expect("a clean outline")
}

/// Follows the worst difference of a test and says it at the end.
#[derive(Default)]
struct Worst(f64, String);

impl Worst {
    #[track_caller]
    fn take(&mut self, share: f64, what: &str) {
        assert!(share <= BOUND, "{what}: {share:.2e} of the area differs");
        if self.0 <= share {
            *self = Self(share, what.to_owned());
        }
    }

    fn say(&self, title: &str) {
        println!("{title}: worst difference {:.2e} of the area ({})", self.0, self.1);
    }
}

#[test]
fn clean_up_encloses_what_the_fill_rule_says() {
    let mut worst = Worst::default();
    for outline in flat_outlines() {
        let expected = oracle::of_path(&outline.path, outline.rule);
        let share = difference(&region(&outline), &expected) / expected.area().expect("an area");
        worst.take(share, outline.name);
    }
    worst.say("clean-up");
}

type Operation = (&'static str, Region, geos::GResult<Geometry>);

#[test]
fn booleans_agree() {
    let outlines = flat_outlines();
    let mut worst = Worst::default();
    for (first, second) in outlines.iter().zip(outlines.iter().skip(1)) {
        let second = Flat { name: second.name, rule: second.rule, path: moved(&second.path, 3.7, -2.3) };
        let (a, b) = (region(first), region(&second));
        let (ga, gb) = (oracle::of_path(&first.path, first.rule), oracle::of_path(&second.path, second.rule));
        let operations: [Operation; 4] = [
            ("union", Region::union(&[&a, &b]), ga.union(&gb)),
            ("subtract", a.subtract(&b), ga.difference(&gb)),
            ("overlap", a.overlap(&b), ga.intersection(&gb)),
            ("exclude", a.exclude(&b), ga.sym_difference(&gb)),
        ];
        for (name, found, expected) in operations {
            let expected = expected.expect("an answer");
            let whole = expected.area().expect("an area").max(1.0);
            let share = difference(&found, &expected) / whole;
            worst.take(share, &format!("{name} {} {}", first.name, second.name));
        }
    }
    worst.say("booleans");
}

#[test]
fn offsets_agree() {
    let mut worst = Worst::default();
    let distances = [[1.778, -0.05], [0.25, -0.5]];
    for (outline, distances) in flat_outlines().into_iter().zip(distances.into_iter().cycle()) {
        // Both start from the cleaned region: a sliver thinner than the lattice, which only GEOS keeps,
        // would become a bar twice the offset wide.
        let a = region(&outline);
        let ga = oracle::of_region(&a);
        for by in distances {
            let found = a.offset(Mm::new(by), Corners::Round);
            let expected = ga.buffer_with_style(by, 48, CapStyle::Round, JoinStyle::Round, 5.0).expect("a buffer");
            // As a share of what was offset: of the last crumb before it vanishes it would say nothing.
            let whole = a.area().get().max(expected.area().expect("an area"));
            // The curves are drawn anew, within the deviation all along.
            let drawn = 0.25 * DEVIATION.get() * found.perimeter().get();
            let share = (difference(&found, &expected) - drawn).max(0.0) / whole;
            worst.take(share, &format!("{} by {by}", outline.name));
        }
    }
    worst.say("offsets");
}

#[test]
fn offsets_lie_at_their_distance() {
    // The nodes of an offset and the middles between them lie at the distance, by the reference library's measure.
    let mut worst: f64 = 0.0;
    for outline in oracle::outlines().into_iter().step_by(4) {
        let flat = oracle::chords(&outline.path, 0.002);
        let region = Region::from_path(&flat, outline.rule).expect("finite");
        let border = oracle::lines(&region.to_path());
        for by in [1.778, 0.1, -0.05, -0.5] {
            let moved = region.offset(Mm::new(by), Corners::Round).to_path();
            let moved = chords(&moved, 1e-4);
            for ring in if moved.is_empty() { Vec::new() } else { oracle::rings(&moved) } {
                for pair in ring.windows(2).step_by(7) {
                    for at in [pair[0], pair[0].midpoint(pair[1])] {
                        let distance = border.distance(&oracle::point(at)).expect("a distance");
                        worst = worst.max((distance - f64::abs(by)).abs());
                    }
                }
            }
        }
    }
    println!("offset: worst distance from where it should be {worst:.5} mm");
    assert!(worst <= DEVIATION.get());
}

#[test]
fn clean_artwork_keeps_its_nodes() {
    let count = |path: &BezPath| path.segments().count();
    let (mut given, mut kept, mut same, mut moved) = (0, 0, 0, Vec::new());
    for outline in oracle::outlines() {
        let region = Region::from_path(&outline.path, outline.rule).expect("finite");
        let nodes = (count(&outline.path), count(&region.to_path()));
        given += nodes.0;
        kept += nodes.1;
        same += usize::from(nodes.0 == nodes.1);
        moved.extend([0.1, 1.778, -0.05].map(|by| {
            count(&region.offset(Mm::new(by), Corners::Round).to_path()) as f64 / count(&outline.path) as f64
        }));
    }
    println!("nodes: {given} given, {kept} after clean-up; {same} of 100 outlines unchanged");
    assert!(same >= 75, "{same}");
    moved.sort_by(f64::total_cmp);
    let median = moved[moved.len() / 2];
    println!("offset outlines: {median:.2} times the nodes of the drawn ones in the median");
    assert!(median <= 1.5, "{median}");
}
