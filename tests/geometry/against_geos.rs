//! Real outlines through the kernel and through GEOS (libgeos, the reference library for planar geometry).
//!
//! Inputs are flattened first, so that both see the same polygons: what differs is the overlay alone. The
//! bound is a ten-thousandth of the area.

use super::oracle::{self, Outline, chords, difference, moved};
use geos::{CapStyle, Geom, Geometry, JoinStyle};
use kerfbook::geometry::{Corners, FillRule, Region};
use kerfbook::units::Mm;
use kurbo::BezPath;

/// The largest share of the area that may differ.
const BOUND: f64 = 1e-4;

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
    for outline in flat_outlines() {
        // Both start from the cleaned region: a sliver thinner than the lattice, which only GEOS keeps,
        // would become a bar twice the offset wide.
        let a = region(&outline);
        let ga = oracle::of_region(&a);
        for by in [1.778, 0.25, -0.05, -0.5] {
            let found = a.offset(Mm::new(by), Corners::Round);
            let expected =
                ga.buffer_with_style(by, 128, CapStyle::Round, JoinStyle::Round, 5.0).expect("a buffer");
            // As a share of what was offset: of the last crumb before it vanishes it would say nothing.
            let whole = a.area().get().max(expected.area().expect("an area"));
            let share = difference(&found, &expected) / whole;
            worst.take(share, &format!("{} by {by}", outline.name));
        }
    }
    worst.say("offsets");
}
