//! The proof, read back with a PDF library.

use super::sample;
use kerfbook::geometry::Region;
use kerfbook::outputs::proof::proof;
use kerfbook::plan::Plan;
use kerfbook::shop::Paper;
use kerfbook::units::Mm;
use lopdf::content::Content;
use lopdf::{Document, Object};

/// Points in a millimetre: the PDF's unit is 1/72 in (ISO 32000-1, 8.3.2.3).
const POINTS: f64 = 72.0 / 25.4;

fn numbers(operands: &[Object]) -> Vec<f64> {
    operands.iter().filter_map(|o| o.as_float().ok()).map(f64::from).collect()
}

/// Lengths, in mm, of all single horizontal lines on each page.
fn horizontal_lines(document: &Document) -> Vec<Vec<f64>> {
    let on_page = |id: lopdf::ObjectId| {
        let content = Content::decode(&document.get_page_content(id)).unwrap();
        let pairs =
            content.operations.windows(2).filter(|pair| pair[0].operator == "m" && pair[1].operator == "l");
        let ends = pairs.map(|pair| (numbers(&pair[0].operands), numbers(&pair[1].operands)));
        ends.filter(|(a, b)| (a[1] - b[1]).abs() < 1e-6).map(|(a, b)| (b[0] - a[0]).abs() / POINTS).collect()
    };
    document.get_pages().into_values().map(on_page).collect()
}

fn page_sizes(document: &Document) -> Vec<(f64, f64)> {
    let size = |id| {
        let page = document.get_dictionary(id).unwrap();
        let media = numbers(page.get(b"MediaBox").unwrap().as_array().unwrap());
        (media[2] - media[0], media[3] - media[1])
    };
    document.get_pages().into_values().map(size).collect()
}

#[test]
fn every_page_carries_true_bars() {
    let document = Document::load_mem(&proof(&sample::plan()).unwrap()).unwrap();
    let pages = horizontal_lines(&document);
    // 216 x 279 mm and 3 mm around it on frames of 277 x 164 mm (A4 turned) that share 10 mm: one above the other.
    assert_eq!(pages.len(), 2);
    for lines in pages {
        for bar in [100.0, 4.0 * 25.4] {
            // Coordinates are written to a thousandth of a point.
            assert!(lines.iter().any(|l| (l - bar).abs() < 0.001), "no bar of {bar} mm in {lines:?}");
        }
    }
}

#[test]
fn pages_have_the_size_of_the_paper() {
    // ISO 216 A4 in points: 595.276 by 841.890; US Letter is 612 by 792 exactly.
    for (paper, width, height) in [(Paper::A4, 595.276, 841.890), (Paper::Letter, 612.0, 792.0)] {
        let document = Document::load_mem(&proof(&Plan { paper, ..sample::plan() }).unwrap()).unwrap();
        for (w, h) in page_sizes(&document) {
            let (short, long) = (w.min(h), w.max(h));
            assert!((short - width).abs() < 0.01 && (long - height).abs() < 0.01, "{w} x {h}");
        }
    }
}

#[test]
fn the_drawing_keeps_its_size() {
    // The board's straight upper edge is 215.9 mm less two corners of 5 mm.
    let document = Document::load_mem(&proof(&sample::plan()).unwrap()).unwrap();
    // It stands in forms (ISO 32000-1, 8.10), which the pages place.
    let forms = document.objects.values().filter_map(|object| object.as_stream().ok());
    let forms = forms.filter(|s| s.dict.get(b"Subtype").and_then(Object::as_name).is_ok_and(|n| n == b"Form"));
    let content: Vec<u8> = forms.flat_map(|form| form.decompressed_content().unwrap()).collect();
    let operations = Content::decode(&content).unwrap().operations;
    let edge = operations.windows(2).any(|pair| {
        let ends = (numbers(&pair[0].operands), numbers(&pair[1].operands));
        let [(ax, ay), (bx, by)] = [&ends.0, &ends.1].map(|p| match p.as_slice() {
            [.., x, y] => (*x, *y),
            _ => (0.0, 0.0),
        });
        pair[1].operator == "l" && (ay - by).abs() < 0.002 && ((bx - ax).abs() / POINTS - 205.9).abs() < 0.001
    });
    assert!(edge, "no line of 205.9 mm");
}

#[test]
fn small_jobs_take_one_page_and_endless_ones_say_so() {
    let mut plan = sample::plan();
    plan.board = None;
    plan.runs.clear();
    for (width, height, pages) in [(60.0, 40.0, 1), (240.0, 150.0, 1), (9000.0, 9000.0, 1), (400.0, 200.0, 3)] {
        plan.sheet.width = Mm::new(width);
        plan.sheet.height = Mm::new(height);
        let bytes = proof(&plan).unwrap();
        let count = Document::load_mem(&bytes).unwrap().get_pages().len();
        assert_eq!(count, pages, "{width} x {height}");
    }
    plan.board = Some(Region::empty());
    proof(&plan).unwrap();
}

#[test]
fn the_same_proof_twice() {
    assert!(proof(&sample::plan()).unwrap() == proof(&sample::plan()).unwrap());
}
