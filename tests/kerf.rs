//! What comes out of the sheet once the beam has taken its kerf: parts, openings, inserts and pockets.
//!
//! Directions and sizes follow the worked example of a 2.0 x 4.0 cutout with a kerf of 0.2: part 1.8 x 3.8, opening 2.2 x
//! 4.2 (read on a public course page; common practice, no standard). What the beam leaves is worked out by GEOS.

use geos::{CapStyle, Geom, Geometry, JoinStyle};
use kerfbook::driver::{Build, Request, compile};
use kerfbook::figures::{Cache, Fit, inlay_path};
use kerfbook::geometry::{DEVIATION, FillRule, Region};
use kerfbook::plan::{Beam, Burn, Operation};
use kerfbook::source::MemoryFiles;
use kerfbook::units::Mm;
use kurbo::{BezPath, Circle, Point, Rect, Shape};
use std::path::PathBuf;

const KERF: f64 = 0.16;

fn built(body: &str) -> Build {
    let mut files = MemoryFiles::default();
    let shop = std::fs::read("tests/cases/shared/bench.shop.kdl").unwrap();
    files.insert("bench.shop.kdl", shop);
    let head = "/- kdl-version 2\nrecipe \"Tray\" language=1\nuse \"bench.shop.kdl\"\nmachine \"bench-diode\"\n\
        stock \"alder-3\"\nsheet \"200 mm\" \"200 mm\"\n";
    files.insert("tray.recipe.kdl", format!("{head}{body}").into_bytes());
    let request = Request { recipe: PathBuf::from("tray.recipe.kdl"), ..Request::default() };
    compile(&request, &files, &Cache::default())
}

fn operations(body: &str) -> Vec<Operation> {
    let build = built(body);
    let said: Vec<String> = build.findings.iter().map(|d| format!("{}: {}", d.finding.rule, d.message)).collect();
    build.plan.unwrap_or_else(|| panic!("{said:#?}")).runs.remove(0).operations
}

fn lines(operation: &Operation) -> &[BezPath] {
    let Burn::Lines(lines) = &operation.burn else { panic!("lines") };
    lines
}

/// Widths of the boxes of an operation's lines, in the order in which they are burned.
fn widths(operation: &Operation) -> Vec<f64> {
    lines(operation).iter().map(|l| l.bounding_box().width()).collect()
}

fn near(found: &[f64], expected: &[f64]) {
    assert_eq!(found.len(), expected.len(), "{found:?}");
    assert!(found.iter().zip(expected).all(|(f, e)| (f - e).abs() < 2e-3), "{found:?}, expected {expected:?}");
}

#[test]
fn on_the_waste_side_parts_go_out_and_openings_in() {
    let body = |beam: &str| {
        format!(
            "board {{ subtract {{ rectangle \"100 mm\" \"60 mm\"; circle \"20 mm\" }} }}\n\
            run \"all\" {{ cut \"board\"{beam} }}"
        )
    };
    // Half the kerf on both sides: an opening of 20 is followed at 20 - 0.16, a part of 100 at 100 + 0.16.
    let waste = operations(&body(" beam=\"waste-side\"")).remove(0);
    near(&widths(&waste), &[20.0 - KERF, 100.0 + KERF]);
    let line = operations(&body("")).remove(0);
    near(&widths(&line), &[20.0, 100.0]);
    // What comes out: as drawn, or a kerf less.
    let (waste, line) = (waste.finished.unwrap(), line.finished.unwrap());
    assert_eq!((waste.beam, line.beam), (Beam::WasteSide, Beam::OnLine));
    near(&[waste.size(waste.beam).0.get(), line.size(line.beam).0.get()], &[100.0, 100.0 - KERF]);
}

#[test]
fn figures_of_one_cut_nest_and_those_of_another_count_by_themselves() {
    // A ring of three circles as figures of their own: part, opening in it, part in that.
    let shapes = "board { rectangle \"150 mm\" \"150 mm\" }\nshape \"large\" { circle \"90 mm\" }\n\
        shape \"hole\" { circle \"60 mm\" }\nshape \"core\" { circle \"30 mm\" }\n";
    let together = operations(&format!(
        "{shapes}run \"all\" {{ cut \"hole\" \"core\" \"large\" beam=\"waste-side\"; cut \"board\" }}"
    ));
    near(&widths(&together[0]), &[30.0 + KERF, 60.0 - KERF, 90.0 + KERF]);
    let apart = operations(&format!(
        "{shapes}run \"all\" {{ cut \"hole\" beam=\"waste-side\"; cut \"large\" beam=\"waste-side\"; cut \"board\" }}"
    ));
    near(&widths(&apart[0]), &[60.0 + KERF]);
}

#[test]
fn what_is_as_narrow_as_the_kerf_is_refused_and_what_is_wider_is_cut() {
    let slot = |width: &str| {
        built(&format!(
            "board {{ subtract {{ rectangle \"100 mm\" \"60 mm\"; rectangle \"40 mm\" \"{width}\" }} }}\n\
            run \"all\" {{ cut \"board\" beam=\"waste-side\" }}"
        ))
    };
    let rules = |b: &Build| b.findings.iter().map(|d| d.finding.rule).collect::<Vec<_>>();
    assert_eq!(rules(&slot("0.15 mm")), ["kerf/feature-lost"]);
    assert!(rules(&slot("0.2 mm")).is_empty(), "{:?}", rules(&slot("0.2 mm")));
    // A dumbbell whose neck is narrower than the kerf falls in two; a notch at the edge closes.
    let opening = "weld { circle \"10 mm\" left=\"15 mm\"; circle \"10 mm\" right=\"15 mm\"; rectangle \"30 mm\" \"0.1 mm\" }";
    let dumbbell = built(&format!(
        "board {{ subtract {{ rectangle \"100 mm\" \"60 mm\"; {opening} }} }}\nrun \"all\" {{ cut \"board\" beam=\"waste-side\" }}"
    ));
    assert_eq!(rules(&dumbbell), ["kerf/feature-lost"]);
    let notch = built(
        "board { subtract { rectangle \"100 mm\" \"60 mm\"; rectangle \"20 mm\" \"0.1 mm\" right=\"45 mm\" } }\n\
        run \"all\" { cut \"board\" beam=\"waste-side\" }",
    );
    assert_eq!(rules(&notch), ["kerf/feature-lost"]);
    // Two parts with less than a kerf between them.
    let parts = |gap: &str| {
        built(&format!(
            "board {{ rectangle \"150 mm\" \"150 mm\" }}\n\
            shape \"two\" {{ rectangle \"20 mm\" \"20 mm\" left=\"10 mm + {gap} / 2\"; rectangle \"20 mm\" \"20 mm\" right=\"10 mm + {gap} / 2\" }}\n\
            run \"all\" {{ cut \"two\" beam=\"waste-side\"; cut \"board\" }}"
        ))
    };
    assert_eq!(rules(&parts("0.1 mm")), ["kerf/feature-lost"]);
    // The thin strip of waste between them is another matter.
    assert_eq!(rules(&parts("0.3 mm")), ["cut/thin-wall"]);
}

fn region(path: &BezPath) -> Region {
    Region::from_path(path, FillRule::EvenOdd).unwrap()
}

/// A region grown or shrunk by GEOS with round corners.
fn burned(path: &Region, by: f64) -> Geometry {
    crate::geometry::oracle_region(path)
        .buffer_with_style(by, 64, CapStyle::Round, JoinStyle::Round, 5.0)
        .expect("a buffer")
}

fn shapes() -> Vec<(&'static str, BezPath)> {
    let slot = kurbo::RoundedRect::new(0.0, 0.0, 40.0, 10.0, 5.0).to_path(1e-4);
    let mut ring = Circle::new((0.0, 0.0), 20.0).to_path(1e-4);
    ring.extend(Circle::new((0.0, 0.0), 12.0).to_path(1e-4).reverse_subpaths().iter());
    vec![
        ("square", Rect::new(0.0, 0.0, 20.0, 20.0).to_path(0.1)),
        ("disc", Circle::new((0.0, 0.0), 10.0).to_path(1e-4)),
        ("slot", slot),
        ("ring", ring),
        ("bracket", BezPath::from_svg("M0 0H30V10H10V30H0Z").unwrap()),
        ("leaf", BezPath::from_svg("M0 0C10 -14 30 -14 44 0C30 14 10 14 0 0Z").unwrap()),
    ]
}

#[test]
fn an_insert_lies_in_its_pocket_with_the_same_gap_all_round() {
    let fits = [(0.05, 0.16, 0.16), (0.0, 0.16, 0.16), (-0.04, 0.16, 0.16), (0.05, 0.12, 0.2), (0.15, 0.16, 0.16)];
    for (name, outline) in shapes() {
        for (gap, insert_kerf, pocket_kerf) in fits {
            let fit =
                Fit { gap: Mm::new(gap), insert_kerf: Mm::new(insert_kerf), pocket_kerf: Mm::new(pocket_kerf) };
            let drawn = region(&outline);
            let path = |is_insert| inlay_path(&drawn, fit, is_insert).unwrap_or_else(|e| panic!("{name}: {e:?}"));
            let (insert, pocket) =
                (burned(&path(true), -insert_kerf / 2.0), burned(&path(false), pocket_kerf / 2.0));
            // The pocket comes out as drawn but for its corners, where the beam leaves (1 - pi/4) r^2 each and less.
            let area = |g: &Geometry| g.area().expect("an area");
            let lost = crate::geometry::oracle_region(&drawn).sym_difference(&pocket).expect("a difference");
            let perimeter = drawn.perimeter().get();
            assert!(
                area(&lost) < 12.0 * 0.05 * pocket_kerf.powi(2) + 0.006 * perimeter,
                "{name} {gap}: {}",
                area(&lost)
            );
            // The insert is the pocket shrunk by the gap: nothing of either is left over.
            let fitting =
                pocket.buffer_with_style(-gap, 64, CapStyle::Round, JoinStyle::Round, 5.0).expect("a buffer");
            let off = area(&fitting.sym_difference(&insert).expect("a difference"));
            assert!(off < 0.006 * perimeter, "{name} {gap}: {off} mm2 off");
            // And the gap is that gap at every place, from both sides.
            let (a, b) = (insert.boundary().expect("a boundary"), pocket.boundary().expect("a boundary"));
            let farthest = a.hausdorff_distance(&b).expect("a distance");
            // A gap wider than the arcs of the pocket leaves the insert sharp corners, and there more room.
            if gap <= pocket_kerf / 2.0 {
                assert!((farthest - gap.abs()).abs() < 0.025, "{name} {gap}: {farthest} mm between the two");
            }
            if gap > 0.0 {
                let least = a.distance(&b).expect("a distance");
                assert!((least - gap).abs() < 0.02, "{name} {gap}: {least} mm at the narrowest");
                assert!(pocket.contains(&insert).expect("an answer"), "{name} {gap}");
            }
        }
    }
}

#[test]
fn sizes_of_inserts_and_pockets_are_those_of_the_formulas() {
    // Square of side a: pocket path a - k, insert path a - 2 g + k. Disc: the same on its diameter.
    let fit = Fit { gap: Mm::new(0.05), insert_kerf: Mm::new(0.12), pocket_kerf: Mm::new(0.2) };
    for (name, outline) in &shapes()[..3] {
        let drawn = region(outline);
        let width = |is_insert| inlay_path(&drawn, fit, is_insert).unwrap().bounds().unwrap().width();
        let a = drawn.bounds().unwrap().width();
        assert!((width(false) - (a - 0.2)).abs() < DEVIATION.get(), "{name}: {}", width(false));
        assert!((width(true) - (a - 0.1 + 0.12)).abs() < DEVIATION.get(), "{name}: {}", width(true));
    }
}

#[test]
fn what_cannot_be_inlaid_is_refused_with_its_place() {
    let fit = Fit { gap: Mm::new(0.05), insert_kerf: Mm::new(0.16), pocket_kerf: Mm::new(0.16) };
    let refused = |d: &str| inlay_path(&region(&BezPath::from_svg(d).unwrap()), fit, true).unwrap_err().at;
    // A bar as narrow as the kerf, beside a square; its middle lies at x = 35.
    let at = refused("M0 0H20V20H0ZM25 10H45V10.1H25Z");
    assert!((at - Point::new(35.0, 10.05)).hypot() < 0.1, "{at:?}");
    // Two squares tied by a neck of 0.1 mm at x = 25.
    let at = refused("M0 0H20V9.95H30V0H50V20H30V10.05H20V20H0Z");
    assert!((at - Point::new(25.0, 10.0)).hypot() < 5.0, "{at:?}");
}

#[test]
fn an_insert_beside_the_board_and_its_pocket_are_planned_and_reported() {
    let build = built(
        "board { rectangle \"80 mm\" \"60 mm\" }\nshape \"leaf\" { circle \"20 mm\" }\n\
        inlay \"leaf-pocket\" of=\"leaf\" piece=\"pocket\" gap=\"0.05 mm\"\n\
        inlay \"leaf-insert\" of=\"leaf\" piece=\"insert\" gap=\"0.05 mm\" insert-kerf=\"0.2 mm\" { place right-of=\"board\" right=\"5 mm\" }\n\
        run \"all\" { cut \"leaf-pocket\"; cut \"leaf-insert\"; cut \"board\" }",
    );
    // One of the pair states another kerf for the insert: that is told at the second.
    let rules: Vec<_> = build.findings.iter().map(|d| d.finding.rule).collect();
    assert_eq!(rules, ["inlay/pair-differs"]);
}
