//! A job whose names are written in Arabic, Hebrew, Chinese and Devanagari.

use super::{read_aloud, tagged};
use crate::job_sheet::keepsake;
use crate::job_sheet::printed::Printed;
use kerfbook::outputs::job_sheet::job_sheet;
use kerfbook::outputs::proof::proof;
use kerfbook::plan::Plan;

/// "Grey heron at the pond, 2027" and the like: translations from memory; what counts is that they come back as typed.
const TITLE: &str = "مالك الحزين عند البركة 2027";
const ABOUT: &str = "מזכרת מעץ דק, 2.9 מ״מ, בשם Heron, שנחתכת אחר כך לפאזל של חמש עשרה חתיכות ונשמרת בקופסה קטנה \
    על המדף ליד החלון";
const RUN: &str = "池塘边的苍鹭";
const FIGURE: &str = "तालाब के किनारे";

fn plan() -> Plan {
    let mut plan = keepsake::plan();
    plan.title = TITLE.into();
    plan.about = ABOUT.into();
    plan.runs[0].name = RUN.into();
    plan.runs[0].operations[0].figures = vec![FIGURE.to_owned()];
    plan.inputs[0].value = "خشب رقيق".into();
    plan.lessons[0].action = "عدّ القطع".into();
    plan
}

fn sheet() -> Vec<u8> {
    job_sheet(&plan(), None).expect("it prints")
}

#[test]
fn papers_in_every_script_are_tagged() {
    if let Ok(folder) = std::env::var("KERFBOOK_SHOW_TAGGED") {
        std::fs::write(format!("{folder}/scripts.pdf"), sheet()).expect("room for it");
    }
    tagged::read("job sheet", &sheet());
    tagged::read("proof", &proof(&plan()).expect("it prints"));
    for bytes in [sheet(), proof(&plan()).expect("it prints")] {
        if let Some((code, said)) = Printed::new(&bytes).run("qpdf", &["--check"], &[]) {
            assert_eq!(code, 0, "{said}");
        }
    }
}

/// What the structure says of a line that runs leftwards is its text in the order in which it is typed.
#[test]
fn the_structure_tells_what_was_typed() {
    let document = tagged::read("job sheet", &sheet());
    let told: String = document.all().iter().filter_map(|one| one.actual.as_deref()).collect();
    assert!(told.contains("مالك الحزين عند البركة"), "{told}");
    for words in ["מזכרת מעץ דק", "שנחתכת אחר כך לפאזל", "ונשמרת בקופסה קטנה"]
    {
        assert!(told.contains(words), "{words}: {told}");
    }
}

/// Whoever searches the file finds what was typed, in whatever direction it is read.
#[test]
fn every_line_is_found_as_it_was_typed() {
    let Some((_, text)) = Printed::new(&sheet()).run("pdftotext", &["-enc", "UTF-8"], &["-"]) else { return };
    // Poppler sets marks around what it turns round (U+202A to U+202E), which no search looks at.
    let text: String = text.chars().filter(|c| !('\u{202a}'..='\u{202e}').contains(c)).collect();
    let text = text.split_whitespace().collect::<Vec<_>>().join(" ");
    for words in
        ["مالك الحزين عند البركة", "מזכרת מעץ דק", "שנחתכת אחר כך לפאזל", "Heron", RUN, FIGURE, "خشب رقيق"]
    {
        assert!(text.contains(words), "{words}: {text}");
    }
}

/// A paragraph that begins in Hebrew stands at the right of its column, on every line; one in English at the left.
#[test]
fn what_runs_leftwards_stands_at_the_right() {
    let Some(pages) = Printed::new(&sheet()).words() else { return };
    // Poppler hands out boxes with their words as they are seen.
    let edges = |word: &str| {
        let seen: String = if word.is_ascii() { word.to_owned() } else { word.chars().rev().collect() };
        pages[0].boxes(&seen).first().copied().unwrap_or_else(|| panic!("{word} is on the page"))
    };
    // A4 with a margin of 16 mm at either side.
    let (left, right) = (16.0 / 25.4 * 72.0, 194.0 / 25.4 * 72.0);
    for first_of_line in ["מזכרת", "مالك"] {
        assert!((edges(first_of_line)[2] - right).abs() < 1.5, "{first_of_line}: {:?}", edges(first_of_line));
    }
    assert!((edges("Times")[0] - left).abs() < 1.5, "{:?}", edges("Times"));
    let last = edges("החלון");
    assert!(left + 20.0 < last[0], "the last line does not reach the left edge: {last:?}");
    let (first, number) = (edges("مالك"), edges("2027"));
    assert!(number[2] < first[0], "the number is read last and stands at the left: {number:?}");
}

/// Letters that have one weight only look stronger in a heading: they are filled and drawn round (ISO 32000-1, table 106,
/// mode 2), and nothing else is.
#[test]
fn headings_in_other_scripts_look_stronger() {
    let file = lopdf::Document::load_mem(&sheet()).expect("it loads");
    let page = file.page_iter().next().expect("there is a page");
    let content = lopdf::content::Content::decode(&file.get_page_content(page)).expect("it can be read");
    let (mut mode, mut font) = (0, Vec::new());
    let mut shown = std::collections::BTreeSet::new();
    for operation in content.operations {
        match operation.operator.as_str() {
            "Tr" => mode = operation.operands[0].as_i64().expect("a mode"),
            "Tf" => font = operation.operands[0].as_name().expect("a font").to_vec(),
            "TJ" | "Tj" => {
                shown.insert((String::from_utf8_lossy(&font).into_owned(), mode));
            }
            _ => {}
        }
    }
    let has = |font: &str, mode| shown.contains(&(font.to_owned(), mode));
    assert!(has("NotoSansArabic-Regular", 2), "the title: {shown:?}");
    assert!(has("NotoSansHebrew-Regular", 0) && !has("NotoSansHebrew-Regular", 2), "the line under it: {shown:?}");
    assert!(!has("SourceSansPro-Semibold", 2) && !has("SourceSansPro-Regular", 2), "{shown:?}");
}

/// The order in which the parts are read, by poppler.
#[test]
fn parts_are_read_in_their_order() {
    let Some(text) = read_aloud(&job_sheet(&keepsake::plan(), None).expect("it prints")) else { return };
    let mut from = 0;
    for part in [
        "Where two disagree",
        "Heron pond keepsake",
        "burning, estimated",
        "visits to the machine",
        "Stock",
        "Runs, in this order",
        "Times are estimates",
        "Set-up",
        "Setting up",
        "Run 1 · picture",
        "burns, setting",
        "Engrave",
        "heron, date",
        "150 in/min",
        "Between run 1 and run 2",
        "Run 2 · separate",
        "Puzzle key",
        "Safety",
        "Before the start",
        "While it burns",
        "Pausing and resuming",
        "After",
        "Sources.",
        "Accepted findings",
        "Record",
        "Notes",
        "Responsible person",
    ] {
        let at =
            text[from..].find(part).unwrap_or_else(|| panic!("`{part}` comes too early or not at all: {text}"));
        from += at + part.len();
    }
    assert!(!text.contains("page 2 of"), "heads and feet of pages are not read");
}
