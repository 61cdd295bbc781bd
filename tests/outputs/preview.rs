//! The preview, decoded again: scale, what shows and what does not.

use super::sample::{self, engrave, lines, run};
use kerfbook::geometry::{FillRule, Region};
use kerfbook::outputs::preview;
use kerfbook::plan::Plan;
use kerfbook::shop::OperationKind;
use kerfbook::units::Mm;
use kurbo::{Rect, Shape};

/// A small board, so that its picture is small too.
const TAG: Rect = Rect::new(5.0, 5.0, 15.0, 11.0);
/// What is engraved on it.
const SQUARE: Rect = Rect::new(8.0, 6.5, 11.0, 9.5);

fn rectangle(rect: Rect) -> Region {
    Region::from_path(&rect.to_path(0.1), FillRule::NonZero).unwrap()
}

fn tag(material: &str, power: f64) -> Plan {
    let mut plan = sample::plan();
    plan.stock = sample::stock(material);
    plan.board = Some(rectangle(TAG));
    plan.puzzle = None;
    plan.runs = vec![run(1, "tag", vec![engrave(1, "square", rectangle(SQUARE), power, "#000000")])];
    plan
}

/// A decoded picture.
struct Picture {
    width: usize,
    height: usize,
    /// Pixels a millimetre, from the file.
    scale: f64,
    bytes: Vec<u8>,
}

fn decoded(plan: &Plan) -> Picture {
    let file = preview(plan).unwrap();
    let mut reader = png::Decoder::new(std::io::Cursor::new(file)).read_info().unwrap();
    let mut bytes = vec![0; reader.output_buffer_size().unwrap()];
    reader.next_frame(&mut bytes).unwrap();
    let info = reader.info();
    let dots = info.pixel_dims.expect("pHYs");
    // W3C PNG 3rd edition, 11.3.4.3: unit 1 is the metre.
    assert_eq!((dots.unit, dots.xppu), (png::Unit::Meter, dots.yppu));
    let (width, height) = (info.width as usize, info.height as usize);
    Picture { width, height, scale: f64::from(dots.xppu) / 1000.0, bytes }
}

impl Picture {
    /// Mean code over a box, in mm from the middle of the picture.
    fn mean(&self, rect: Rect) -> f64 {
        let span = |from: f64, to: f64, size: usize| {
            let at = |mm: f64| (size as f64 / 2.0 + mm * self.scale).round() as usize;
            at(from)..at(to)
        };
        let columns = span(rect.x0, rect.x1, self.width);
        let values: Vec<f64> = span(rect.y0, rect.y1, self.height)
            .flat_map(|y| columns.clone().map(move |x| (y * self.width + x) * 3))
            .map(|i| self.bytes[i..i + 3].iter().map(|&b| f64::from(b)).sum::<f64>() / 3.0)
            .collect();
        values.iter().sum::<f64>() / values.len() as f64
    }

    /// Mean of something about the pixels of a part of the sample's board, given in mm on the sheet.
    fn on_tag_by(&self, rect: Rect, of: impl Fn(&[u8]) -> f64) -> f64 {
        let rect = rect - TAG.center().to_vec2();
        let at = |mm: f64, size: usize| (size as f64 / 2.0 + mm * self.scale).round() as usize;
        let pixels = (at(rect.y0, self.height)..at(rect.y1, self.height)).flat_map(|y| {
            (at(rect.x0, self.width)..at(rect.x1, self.width)).map(move |x| (y * self.width + x) * 3)
        });
        let values: Vec<f64> = pixels.map(|i| of(&self.bytes[i..i + 3])).collect();
        values.iter().sum::<f64>() / values.len() as f64
    }

    /// Mean code of a part of the sample's board, given in mm on the sheet.
    fn on_tag(&self, rect: Rect) -> f64 {
        self.mean(rect - TAG.center().to_vec2())
    }
}

/// The engraved square and bare board beside it, both clear of the edges.
fn burned_and_bare(plan: &Plan) -> (f64, f64) {
    let picture = decoded(plan);
    (picture.on_tag(SQUARE.inset(-0.5)), picture.on_tag(Rect::new(12.5, 6.5, 14.0, 9.5)))
}

#[test]
fn more_energy_is_darker_on_wood() {
    let [pale, dark] = [12.0, 90.0].map(|power| burned_and_bare(&tag("birch plywood", power)));
    assert!(pale.0 < pale.1 - 10.0, "{pale:?}");
    assert!(dark.0 < pale.0 - 40.0, "{dark:?} after {pale:?}");
    assert!((dark.1 - pale.1).abs() < 2.0, "bare wood stays as it is");
}

#[test]
fn slate_becomes_paler() {
    let (burned, bare) = burned_and_bare(&tag("slate", 90.0));
    assert!(burned > bare + 40.0, "{burned} on {bare}");
}

#[test]
fn the_scale_in_the_file_is_true() {
    // Slate is far darker than the table: its area in pixels is that of the board and its visible side.
    let picture = decoded(&tag("slate", 0.0));
    let dark = |x: usize, y: usize| picture.bytes[(y * picture.width + x) * 3] < 90;
    let middle = picture.height / 2;
    let first = (0..picture.width).position(|x| dark(x, middle)).unwrap();
    assert!(
        (first as f64 / picture.scale - (picture.width as f64 / picture.scale - TAG.width()) / 2.0).abs() < 0.1
    );
    // 10 mm and a side of 0.22 of the thickness, which is 3.1 mm.
    let last = (0..picture.width).rposition(|x| dark(x, middle)).unwrap();
    let wide = (last + 1 - first) as f64 / picture.scale;
    assert!((10.0..10.9).contains(&wide), "{wide} mm");
}

#[test]
fn guides_do_not_show_and_cuts_do() {
    let plain = tag("birch plywood", 50.0);
    let with = |kind| {
        let mut plan = plain.clone();
        let across = sample::line((5.0, 10.5).into(), (15.0, 10.5).into());
        plan.runs[0].operations.push(lines(2, kind, "line", vec![across], "#000000"));
        preview(&plan).unwrap()
    };
    let bare = preview(&plain).unwrap();
    assert!(with(OperationKind::Guide) == bare);
    assert!(with(OperationKind::Cut) != bare);
    assert!(with(OperationKind::Score) != bare);
}

/// The tag with something cut out of it.
fn cut_out(outlines: &[Rect]) -> Plan {
    let mut plan = tag("birch plywood", 50.0);
    let paths: Vec<_> = outlines.iter().map(|rect| rect.to_path(0.1)).collect();
    let mut cut = lines(1, OperationKind::Cut, "opening", paths.clone(), "#000000");
    cut.clean_up.outlines = paths;
    plan.runs = vec![run(1, "tag", vec![cut])];
    plan
}

#[test]
fn the_table_is_seen_through_an_opening_and_pieces_beside_each_other_stay() {
    // The table is grey; birch is far redder than blue.
    let redness = |plan: &Plan| {
        let picture = decoded(plan);
        picture.on_tag_by(SQUARE.inset(-0.8), |p| f64::from(p[0]) - f64::from(p[2]))
    };
    assert!(redness(&tag("birch plywood", 0.0)) > 25.0);
    assert!(redness(&cut_out(&[SQUARE])).abs() < 12.0, "{}", redness(&cut_out(&[SQUARE])));
    // Two that share an edge are a jigsaw: both stay where they are.
    let beside = Rect { x0: SQUARE.x1, x1: SQUARE.x1 + 2.0, ..SQUARE };
    assert!(redness(&cut_out(&[SQUARE, beside])) > 25.0);
    // What bears a mark is wanted, not waste.
    let mut marked = cut_out(&[SQUARE]);
    let score = sample::line(SQUARE.origin() + kurbo::Vec2::new(0.2, 0.2), (8.4, 6.7).into());
    marked.runs[0].operations.push(lines(2, OperationKind::Score, "mark", vec![score], "#000000"));
    assert!(redness(&marked) > 25.0);
}

#[test]
fn without_a_board_the_parts_are_seen_that_are_cut_out() {
    let mut plan = cut_out(&[TAG]);
    plan.board = None;
    // As large as that of the board cut from the same sheet, and not as the sheet.
    let (with, without) = (decoded(&cut_out(&[])), decoded(&plan));
    assert_eq!((with.width, with.height), (without.width, without.height));
}

#[test]
fn the_same_bytes_however_many_threads() {
    let with = |threads: usize| {
        let pool = rayon::ThreadPoolBuilder::new().num_threads(threads).build().unwrap();
        pool.install(|| preview(&tag("oak", 60.0)).unwrap())
    };
    assert!(with(1) == with(5));
}

#[test]
fn odd_sizes_stay_small_pictures() {
    let mut plan = tag("mdf", 50.0);
    for (width, height) in [(0.0, 0.0), (1.0, 5000.0), (9000.0, 20.0)] {
        plan.board = None;
        plan.sheet.width = Mm::new(width);
        plan.sheet.height = Mm::new(height);
        let picture = decoded(&plan);
        assert!((1..=1800).contains(&picture.width) && (1..=1800).contains(&picture.height));
    }
    plan.board = Some(Region::empty());
    decoded(&plan);
}
