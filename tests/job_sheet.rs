//! The job sheet: complete, true to the plan, inside its page, and the same bytes every time.
//!
//! The text is read back with poppler (`pdftotext`, `pdfinfo`) and the structure with qpdf; where they are
//! not installed, the test says so and passes.

mod hard;
mod hostile;
pub mod keepsake;
mod put_back;
mod recipes;
mod reminders;
mod test_piece;
mod truth;
pub mod printed;

use kerfbook::outputs::job_sheet::{circumstances, job_sheet};
use kerfbook::outputs::run_file;
use kerfbook::plan::Plan;
use kerfbook::safety::{self, Judgement};
use kerfbook::shop::{LaserKind, Moment, Paper, StartPoint};
use kerfbook::units::Mm;
use printed::{Printed, flat};

fn sheet(plan: &Plan) -> Vec<u8> {
    job_sheet(plan, None).expect("the plan prints")
}

/// Writes the sheet of the fixture where `KERFBOOK_SHOW` says, to be looked at.
#[test]
fn show() {
    let Ok(path) = std::env::var("KERFBOOK_SHOW") else { return };
    let plan = keepsake::plan();
    let picture = kerfbook::outputs::preview(&plan).expect("it can be painted");
    std::fs::write(path, job_sheet(&plan, Some(&picture)).expect("prints")).expect("room for it");
}

/// A picture of a few pixels, with transparency.
fn png() -> Vec<u8> {
    let image = image::RgbaImage::from_fn(120, 80, |x, y| image::Rgba([x as u8, y as u8, 90, (x * 2) as u8]));
    let mut bytes = std::io::Cursor::new(Vec::new());
    image.write_to(&mut bytes, image::ImageFormat::Png).expect("a small picture encodes");
    bytes.into_inner()
}

/// Conformance: qpdf exits 0 for a clean file.
#[test]
fn the_file_is_sound() {
    let plan = keepsake::plan();
    for (bytes, name) in [(sheet(&plan), "plain"), (job_sheet(&plan, Some(&png())).expect("prints"), "picture")] {
        let printed = Printed::new(&bytes);
        if let Some((code, said)) = printed.run("qpdf", &["--check"], &[]) {
            assert_eq!(code, 0, "{name}: {said}");
        }
    }
}

/// ISO 216: A4 is 210 × 297 mm; 1 point is 25.4/72 mm (595.27559 × 841.88976; Letter 612 × 792).
#[test]
fn pages_have_the_size_of_the_paper() {
    let plan = keepsake::plan();
    for (paper, width, height) in [(Paper::A4, 595.275_59, 841.889_76), (Paper::Letter, 612.0, 792.0)] {
        let bytes = job_sheet(&Plan { paper, ..plan.clone() }, None).expect("prints");
        let sizes = Printed::new(&bytes).page_sizes();
        assert!(4 < sizes.len());
        for (w, h) in sizes {
            assert!((w - width).abs() < 1e-3 && (h - height).abs() < 1e-3, "{paper:?}: {w} × {h}");
        }
    }
}

/// Every number of every setting, as its `Display` writes it.
#[test]
fn every_setting_stands_on_the_sheet() {
    let plan = keepsake::plan();
    let Some(text) = Printed::new(&sheet(&plan)).text() else { return };
    for operation in plan.runs.iter().flat_map(|r| &r.operations) {
        let setting = operation.setting.as_ref().expect("the fixture burns everything");
        let mut wanted = vec![setting.name.clone(), setting.speed.to_string(), setting.power.to_string()];
        wanted.extend(setting.interval.map(|i| i.to_string()));
        wanted.extend(setting.focus.map(|f| format!("focus {f}")));
        wanted.extend(setting.air.map(|on| format!("air {}", if on { "on" } else { "off" })));
        wanted.extend(setting.shade.map(|s| format!("shade {s}")));
        wanted.extend(setting.measured.iter().chain(&setting.how).cloned());
        wanted.extend(operation.figures.iter().cloned());
        wanted.push(operation.colour.clone());
        for value in wanted {
            assert!(text.contains(&value), "`{value}` of {} is missing", operation.name);
        }
    }
    // The shop says its speeds in inches a minute: 63.5, 25.4 and 4.2333 mm/s (NIST SP 811: 1 in = 25.4 mm).
    for value in ["150 in/min", "60 in/min †", "10 in/min", "3 †", "† changed in the recipe: speed, power"] {
        assert!(text.contains(value), "`{value}` is missing");
    }
}

#[test]
fn the_first_page_answers_the_first_questions() {
    let plan = keepsake::plan();
    let printed = Printed::new(&sheet(&plan));
    let Some(text) = printed.page_text(1) else { return };
    assert!(text.starts_with("Where two disagree"), "the order of authority comes first: {}", &text[..80]);
    for wanted in [
        "Heron pond keepsake",
        "A burned picture on thin plywood, then cut into a jigsaw.",
        "2.9 mm",
        "304.8 × 304.8 mm (12 × 12 in)",
        "215.9 × 279.4 mm (8.5 × 11 in)",
        "diode laser, 450 nm, 10 W, enclosed",
        "2 runs",
        "15 pieces",
        "2027-08-14",
        "heron.recipe.kdl",
        "3f2a3f2a3f2a",
        "d7e4d7e4d7e4",
        "page 1 of",
    ] {
        assert!(text.contains(wanted), "`{wanted}` is missing");
    }
    for run in &plan.runs {
        assert!(text.contains(&run_file(&plan, run)));
    }
}

/// The start points, which are the corners of the runs' boxes, in both units.
#[test]
fn the_set_up_tells_where_each_run_starts() {
    let plan = keepsake::plan();
    let Some(text) = Printed::new(&sheet(&plan)).text() else { return };
    for run in &plan.runs {
        let corner = run.burned.expect("the fixture burns").origin();
        for (axis, at) in [("x", Mm::new(corner.x)), ("y", Mm::new(corner.y))] {
            let inches = kerfbook::units::number::fixed(at.inches(), 3);
            let wanted = format!("{axis} {at} ({inches} in)");
            assert!(text.contains(&wanted), "`{wanted}` is missing");
        }
        assert!(text.contains(&format!("start of run {}", run.number)));
    }
    assert!(text.contains("Bed 410 × 400 mm"));
    assert!(text.contains("different start points"), "runs that start elsewhere are pointed out");
    assert!(text.contains("The 5 mm brass block goes between stock and nozzle."));
}

/// Every list in full, on every sheet, whatever the machine; and the line that defers to the manual.
#[test]
fn every_sheet_carries_the_whole_lists() {
    for (kind, nanometres, enclosed) in [
        (LaserKind::Diode, 450.0, true),
        (LaserKind::CarbonDioxide, 10_600.0, false),
        (LaserKind::Fibre, 1064.0, true),
    ] {
        let mut plan = keepsake::plan();
        plan.machine.kind = kind;
        plan.machine.wavelength = Mm::new(nanometres * 1e-6);
        plan.machine.enclosed = enclosed;
        let Some(text) = Printed::new(&sheet(&plan)).text() else { return };
        let of = circumstances(&plan);
        for (moment, least) in
            [(Moment::Before, 14), (Moment::During, 6), (Moment::Pausing, 7), (Moment::After, 5)]
        {
            let lines = safety::checklist(moment, &of);
            assert!(least <= lines.len(), "{moment:?} has {} lines", lines.len());
            for line in lines {
                assert!(text.contains(&flat(&line.text)), "`{}` is missing", line.text);
            }
        }
        for hazard in safety::hazards(&of) {
            assert!(text.contains(&flat(&hazard.text)), "`{}` is missing", hazard.text);
        }
        for line in safety::between_runs(&of, Vec::new()) {
            assert!(text.contains(&flat(&line.text)), "`{}` is missing", line.text);
        }
        for wanted in ["The machine’s manual and local codes come before this sheet.", "not a risk assessment"] {
            assert!(text.contains(wanted), "`{wanted}` is missing");
        }
        assert!(text.contains(&flat(safety::LIMITS)));
        for authority in safety::AUTHORITY {
            assert!(text.contains(authority));
        }
    }
}

#[test]
fn the_shops_own_lines_stand_in_their_list() {
    let plan = keepsake::plan();
    let Some(text) = Printed::new(&sheet(&plan)).text() else { return };
    let place = |wanted: &str| text.find(wanted).unwrap_or_else(|| panic!("`{wanted}` is missing"));
    let (before, during) = (place("Before the start"), place("While it burns"));
    let (pausing, after) =
        (place("Pausing and resuming"), text.rfind("After Lesson:").expect("the list begins so"));
    assert!((before..during).contains(&place("Lesson: Weigh down all four corners")));
    assert!((before..during).contains(&place("Window fan on, door to the hall shut")));
    assert!((pausing..after).contains(&place("Tell the neighbour")));
    assert!(after < place("Count the pieces before the tray is emptied."));
    assert!(text.contains("layout/thin-web") && text.contains("nothing hangs on the web"));
}

/// The verdict on the material stands on page 1: its conditions, or that it must not be burned.
#[test]
fn the_material_is_judged_on_the_first_page() {
    for (material, wanted) in [
        ("birch plywood", "ask for laser-grade, low-emission board"),
        ("cast acrylic", "methyl methacrylate"),
        ("vinyl", "Do not burn: PVC"),
        ("moon cheese", "Do not burn: unknown material."),
    ] {
        let mut plan = keepsake::plan();
        plan.stock.material = material.into();
        let Some(text) = Printed::new(&sheet(&plan)).page_text(1) else { return };
        assert!(text.contains(wanted), "{material}: `{wanted}` is missing");
        if let Judgement::Caution { conditions, .. } = safety::judge(material) {
            assert!(conditions.iter().all(|c| text.contains(c)), "{material}: {conditions:?}");
        }
    }
}

#[test]
fn the_key_numbers_every_piece() {
    let plan = keepsake::plan();
    let printed = Printed::new(&sheet(&plan));
    let Some(pages) = printed.pages() else { return };
    let key = pages.iter().find(|page| page.contains("Puzzle key")).expect("there is a key");
    for piece in &plan.puzzle.as_ref().expect("the fixture has one").pieces {
        assert!(key.split(' ').any(|word| word == piece.number.to_string()), "piece {} is missing", piece.number);
    }
    for wanted in ["heron-2027", "5 × 3", "6.5 mm", "1.25 mm"] {
        assert!(key.contains(wanted), "`{wanted}` is missing");
    }
}

/// No word leaves the page's margins and no two words lie on each other, on both papers.
#[test]
fn words_keep_to_the_page_and_apart() {
    for paper in [Paper::A4, Paper::Letter] {
        let bytes = job_sheet(&Plan { paper, ..keepsake::plan() }, Some(&png())).expect("prints");
        let Some(pages) = Printed::new(&bytes).words() else { return };
        for (number, page) in pages.iter().enumerate() {
            assert!(!page.is_empty());
            page.assert_inside(15.9);
            page.assert_apart(&format!("{paper:?}, page {}", number + 1));
        }
    }
}

/// Start points that almost coincide, in the middle of the drawing and at its corners.
#[test]
fn labels_of_neighbouring_start_points_keep_apart() {
    for start in [StartPoint::Centre, StartPoint::RightBottom, StartPoint::LeftBottom, StartPoint::RightTop] {
        for nudge in [0.0, 0.001, 0.6, 5.0] {
            let mut plan = keepsake::plan();
            plan.machine.start = start;
            plan.runs[0].burned = plan.runs[1].burned.map(|b| b + kurbo::Vec2::new(nudge, nudge));
            let Some(pages) = Printed::new(&sheet(&plan)).words() else { return };
            pages[1].assert_inside(15.9);
            pages[1].assert_apart(&format!("{start:?} moved by {nudge}"));
        }
    }
}

#[test]
fn the_same_plan_gives_the_same_bytes() {
    let plan = keepsake::plan();
    let first = job_sheet(&plan, Some(&png())).expect("prints");
    // The library numbers what it makes in each process: numbers handed out in between must not show.
    let _ = (printpdf::FontId::new(), printpdf::XObjectId::new(), printpdf::PageAnnotId::new());
    let second = job_sheet(&plan, Some(&png())).expect("prints");
    assert!(first == second);
    let mut other = keepsake::plan();
    other.title.push('!');
    assert!(first != job_sheet(&other, Some(&png())).expect("prints"));
}

/// What the file says of itself: a title, a language, no date, no claim of a standard it does not keep.
#[test]
fn the_file_says_what_it_is_and_no_more() {
    let bytes = sheet(&keepsake::plan());
    let file = lopdf::Document::load_mem(&bytes).expect("it loads");
    let catalog = file.catalog().expect("there is one");
    assert_eq!(catalog.get(b"Lang").and_then(lopdf::Object::as_str).expect("set"), b"en-GB");
    let info = file.trailer.get(b"Info").and_then(lopdf::Object::as_reference).expect("set");
    let info = file.get_dictionary(info).expect("there");
    for key in ["CreationDate", "ModDate", "GTS_PDFXVersion"] {
        assert!(!info.has(key.as_bytes()), "{key}");
    }
    assert!(file.trailer.has(b"ID"));
    assert!(bytes.len() < 150_000, "fonts are cut down: {} bytes", bytes.len());
    if let Some((_, said)) = Printed::new(&bytes).run("pdfinfo", &[], &[]) {
        assert!(said.contains("Heron pond keepsake – job sheet") && said.contains("(A4)"), "{said}");
    }
    if let Some((_, said)) = Printed::new(&bytes).run("pdffonts", &[], &[]) {
        let fonts: Vec<&str> = said.lines().skip(2).collect();
        assert_eq!(fonts.len(), 2, "{said}");
        assert!(fonts.iter().all(|f| f.contains("+SourceSansPro") && f.contains("yes yes yes")), "{said}");
    }
}
