//! Plans that nobody would write: the sheet must still print, in bounded size, and stay on its pages.

use super::keepsake::{self, area, engrave};
use super::printed::Printed;
use kerfbook::outputs::job_sheet::job_sheet;
use kerfbook::plan::{Burn, InputUsed, Plan};
use kerfbook::shop::{OperationKind, StartPoint};
use kerfbook::units::{Mm, Percent};
use kurbo::{BezPath, Circle, Rect, Shape};

fn sound(plan: &Plan) -> Printed {
    let bytes = job_sheet(plan, None).expect("the plan prints");
    assert!(bytes.len() < 4_000_000, "{} bytes", bytes.len());
    let printed = Printed::new(&bytes);
    if let Some((code, said)) = printed.run("qpdf", &["--check"], &[]) {
        assert_eq!(code, 0, "{said}");
    }
    for page in printed.words().unwrap_or_default() {
        page.assert_inside(15.9);
    }
    printed
}

#[test]
fn a_plan_without_runs_or_anything_else_prints() {
    let mut plan = keepsake::plan();
    plan.runs.clear();
    sound(&plan);
    plan.board = None;
    plan.puzzle = None;
    plan.title.clear();
    plan.about.clear();
    plan.inputs.clear();
    plan.files.clear();
    plan.figures.clear();
    plan.lessons.clear();
    plan.reminders.clear();
    plan.accepted.clear();
    plan.stock.name.clear();
    plan.machine.name.clear();
    plan.machine.speed_unit.clear();
    plan.sheet.width = Mm::ZERO;
    plan.sheet.height = Mm::ZERO;
    plan.machine.bed_width = Mm::ZERO;
    sound(&plan);
}

#[test]
fn a_run_that_burns_nothing_prints() {
    let mut plan = keepsake::plan();
    plan.runs[0].operations.clear();
    plan.runs[0].burned = None;
    if let Some(text) = sound(&plan).text() {
        assert!(text.contains("burns nothing"));
    }
}

#[test]
fn names_without_end_are_cut_off_and_stay_on_the_page() {
    let mut plan = keepsake::plan();
    let endless = "Reiher".repeat(400);
    let wordy = "a heron at the pond, ".repeat(900);
    plan.title.clone_from(&endless);
    plan.about.clone_from(&wordy);
    plan.recipe.clone_from(&endless);
    plan.stock.name.clone_from(&endless);
    plan.stock.material = format!("birch plywood {wordy}");
    plan.stock.about.clone_from(&wordy);
    plan.machine.name.clone_from(&endless);
    plan.machine.about.clone_from(&wordy);
    plan.machine.focus_gauge = Some(wordy.clone());
    plan.inputs[0].name.clone_from(&endless);
    plan.inputs[0].value.clone_from(&wordy);
    plan.files[0].path.clone_from(&endless);
    plan.accepted[0].message.clone_from(&endless);
    plan.accepted[0].reason.clone_from(&wordy);
    plan.lessons[0].text.clone_from(&wordy);
    plan.lessons[1].action.clone_from(&endless);
    plan.reminders[0].1.clone_from(&wordy);
    let puzzle = plan.puzzle.as_mut().expect("there is one");
    puzzle.drawn.as_mut().expect("it was drawn").seed.clone_from(&endless);
    for run in &mut plan.runs {
        run.name.clone_from(&endless);
        for operation in &mut run.operations {
            operation.name.clone_from(&endless);
            operation.figures = vec![endless.clone(); 30];
            let setting = operation.setting.as_mut().expect("there is one");
            setting.name.clone_from(&endless);
            setting.how = Some(wordy.clone());
            setting.measured = Some(endless.clone());
        }
    }
    sound(&plan);
}

#[test]
fn scripts_that_the_face_lacks_become_boxes() {
    let mut plan = keepsake::plan();
    plan.title = "池のほとりの鷺 🦩 مالك الحزين".into();
    plan.about = "\u{202e}reversed\u{202c} \u{200b}\u{feff}\u{301}\u{301}\u{301} tab\tline\nbreak \u{0}".into();
    plan.inputs[0].value = "\u{1f468}\u{200d}\u{1f469}\u{200d}\u{1f467} नमस्ते".into();
    plan.runs[0].operations[0].figures = vec!["鷺".into()];
    sound(&plan);
}

#[test]
fn sixty_operations_repeat_the_head_of_their_table() {
    let mut plan = keepsake::plan();
    let operations = (1..=60).map(|number| {
        let x = 60.0 + f64::from(number) * 2.0;
        let mut operation =
            engrave(number as usize, "dot", area(&Circle::new((x, 100.0), 0.6)), keepsake::dark(), "#56b4e9");
        operation.setting.as_mut().expect("set").power = Percent::new(f64::from(number) + 0.25);
        operation
    });
    plan.runs[0].operations = operations.collect();
    let printed = sound(&plan);
    let Some(pages) = printed.pages() else { return };
    let text = pages.join(" ");
    for number in 1..=60 {
        assert!(text.contains(&format!("{number}.25 %")), "operation {number} is missing");
    }
    let tables: Vec<&String> = pages.iter().filter(|page| page.contains(".25 %")).collect();
    assert!(5 < tables.len());
    assert!(tables.iter().all(|page| page.contains("burns, setting")), "the head is repeated");
}

#[test]
fn a_thousand_inputs_and_files_go_over_several_pages() {
    let mut plan = keepsake::plan();
    let one = plan.inputs[0].clone();
    plan.inputs = (0..300).map(|i| InputUsed { name: format!("guest-{i}"), ..one.clone() }).collect();
    plan.files = (0..700).map(|_| plan.files[0].clone()).collect();
    if let Some(text) = sound(&plan).text() {
        assert!(text.contains("guest-299"));
    }
}

#[test]
fn drawings_too_fine_to_print_stay_small() {
    let mut plan = keepsake::plan();
    let mut dots = BezPath::new();
    let mut lines = Vec::new();
    for i in 0..60_000 {
        let (x, y) = (50.0 + f64::from(i % 300) * 0.6, 20.0 + f64::from(i / 300) * 1.2);
        dots.extend(Rect::new(x, y, x + 0.5, y + 1.0).path_elements(0.1));
        lines.push(kurbo::Line::new((x, y), (x + 3.0, y + 3.0)).to_path(0.1));
    }
    let region =
        kerfbook::geometry::Region::from_path(&dots, kerfbook::geometry::FillRule::NonZero).expect("clean");
    plan.runs[0].operations[0].burn = Burn::Area(region);
    plan.runs[1].operations[0].burn = Burn::Lines(lines);
    sound(&plan);
}

#[test]
fn odd_numbers_print() {
    let mut plan = keepsake::plan();
    for start in [StartPoint::Centre, StartPoint::RightBottom, StartPoint::RightTop, StartPoint::LeftBottom] {
        plan.machine.start = start;
        sound(&plan);
    }
    plan.machine.start = StartPoint::Page;
    plan.sheet.width = Mm::new(2400.0);
    plan.sheet.height = Mm::new(30.0);
    plan.machine.bed_width = Mm::new(100.0);
    let operation = &mut plan.runs[0].operations[0];
    operation.colour = "red".into();
    operation.number = 123_456;
    operation.time = operation.time * 1e12;
    let setting = operation.setting.as_mut().expect("set");
    setting.speed = kerfbook::units::MmPerSecond::new(123_456.789);
    setting.power = Percent::new(99.99);
    setting.passes = u32::MAX;
    setting.focus = Some(Mm::new(-123.456));
    plan.runs[1].operations[0].kind = OperationKind::Guide;
    plan.runs[1].operations[0].setting = None;
    plan.runs[1].operations[1].setting = None;
    plan.puzzle.as_mut().expect("there is one").pieces[0].room = Mm::ZERO;
    if let Some(text) = sound(&plan).text() {
        assert!(text.contains("123456.789 mm/s") && text.contains("no setting: do not burn"));
        assert!(text.contains("drawn for people, not burned"));
    }
}

#[test]
fn what_is_no_picture_is_refused_in_words() {
    let plan = keepsake::plan();
    for bytes in
        [&b""[..], b"not a picture", b"\x89PNG\r\n\x1a\n\0\0\0\rIHDR\xff\xff\xff\xff\xff\xff\xff\xff\x08\x06"]
    {
        let error = job_sheet(&plan, Some(bytes)).expect_err("it is no picture");
        assert!(error.to_string().contains("the picture cannot be read"), "{error}");
    }
}

/// Names in scripts that the face of the house lacks: no box, and whoever searches the file finds them. What is written from
/// right to left is read back as a person reads it.
#[test]
fn every_script_prints_and_can_be_searched() {
    let mut plan = keepsake::plan();
    plan.title = "مالك الحزين عند البركة".to_owned();
    plan.about = "池塘边的苍鹭 · 연못가의 왜가리 · תקציר ארוך יותר".to_owned();
    plan.inputs[0].value = "तालाब के किनारे".to_owned();
    plan.lessons[0].action = "แผ่นไม้โก่ง".to_owned();
    if let Ok(path) = std::env::var("KERFBOOK_SHOW_SCRIPTS") {
        std::fs::write(path, job_sheet(&plan, None).expect("prints")).expect("room for it");
    }
    let printed = sound(&plan);
    if let Some(text) = printed.text() {
        for words in ["池塘边的苍鹭", "연못가의 왜가리", "तालाब", "แผ่นไม้โก่ง"]
        {
            assert!(text.contains(words), "{words}: {text}");
        }
        let letters =
            |text: &str| text.chars().filter(|c| c.is_alphabetic()).collect::<std::collections::BTreeSet<_>>();
        assert!(letters(&text).is_superset(&letters("الحزين")), "{text}");
        assert!(!text.contains('\u{fffd}'), "{text}");
    }
}
