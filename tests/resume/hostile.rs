//! What cannot be resumed is said, and nothing is written.

use super::{BODY, asked, plan};
use kerfbook::diagnostics::Sink;
use kerfbook::driver::{Earlier, Request, ResumeFailure, ResumeRequest, build, marked_area, resume};
use kerfbook::figures::Cache;
use kerfbook::geometry::{FillRule, Region};
use kerfbook::plan::{Part, ResumeError, remainder};
use kerfbook::source::{MemoryFiles, Sources};
use kerfbook::units::Mm;
use kurbo::{Rect, Shape};
use std::path::{Path, PathBuf};

#[test]
fn what_is_not_there_is_told_with_what_is() {
    let plan = plan(BODY);
    let told = |run: &str, part: Part| remainder(&plan, run, &asked(part)).unwrap_err().to_string();
    assert_eq!(told("seperate", Part::After(3)), "there is no run `seperate`; there is `separate`");
    assert!(told("picture", Part::After(0)).contains("strokes are 1 to 6"));
    assert!(told("picture", Part::After(7)).contains("strokes are 1 to 6"));
    assert!(told("picture", Part::After(usize::MAX)).contains("strokes are 1 to 6"));
    assert!(told("picture", Part::After(6)).contains("its last"));
    assert!(told("separate", Part::AfterPiece(13)).contains("1 to 12"));
    assert!(told("separate", Part::Pieces(vec![3, 0])).contains("1 to 12"));
    assert!(told("picture", Part::AfterPiece(3)).contains("does not come free"));
    assert!(told("separate", Part::AfterRow { from_top: Mm::new(40.0) }).contains("engraves nothing"));
    for from_top in [0.0, 1.0, 150.0, 9999.0, f64::NAN] {
        assert!(matches!(
            remainder(&plan, "picture", &asked(Part::AfterRow { from_top: Mm::new(from_top) })),
            Err(ResumeError::NoRow { .. })
        ));
    }
    let far =
        Region::from_path(&Rect::new(-900.0, -900.0, -800.0, -800.0).to_path(0.1), FillRule::NonZero).unwrap();
    assert!(told("separate", Part::Within(far)).contains("nothing of run"));
    // Without an operation named, only cuts are meant.
    let all = Region::from_path(&Rect::new(0.0, 0.0, 200.0, 200.0).to_path(0.1), FillRule::NonZero).unwrap();
    assert!(told("picture", Part::Within(all.clone())).contains("--operation"));
    let mut other = asked(Part::Within(all));
    other.operation = Some(9);
    assert!(remainder(&plan, "picture", &other).unwrap_err().to_string().contains("1, 2, 3"));
}

fn files(text: &str) -> MemoryFiles {
    let mut files = MemoryFiles::default();
    files.insert("bench.shop.kdl", super::SHOP.as_bytes());
    files.insert("reed.recipe.kdl", text.as_bytes());
    files
}

#[test]
fn a_recipe_that_has_changed_since_is_told_of() {
    let request = Request { recipe: PathBuf::from("reed.recipe.kdl"), ..Request::default() };
    let (_, made) = build(&request, &files(&super::recipe(BODY)), &Cache::default());
    let report = made.unwrap().unwrap().into_iter().find(|f| f.path == "report.json").unwrap().bytes;
    let asked = ResumeRequest {
        build: request,
        run: "separate".into(),
        asked: asked(Part::After(6)),
        marked_on: None,
        built: None,
    };
    let again = |text: &str, report: Option<&[u8]>| {
        let mut files = files(text);
        if let Some(report) = report {
            files.insert("out/reed/report.json", report);
        }
        let (_, made) = resume(&asked, &files, &Cache::default());
        made.unwrap().unwrap()
    };
    let same = super::recipe(BODY);
    assert_eq!(again(&same, Some(&report)).earlier, Earlier::Same);
    assert!(matches!(again(&same, None).earlier, Earlier::Unknown(_)));
    let other = same.replace("seed=\"reed\"", "seed=\"rush\"");
    let resumed = again(&other, Some(&report));
    let Earlier::Changed(why) = &resumed.earlier else { panic!("{:?}", resumed.earlier) };
    assert!(why.contains("reed.recipe.kdl`") && !why.contains("bench.shop.kdl"), "{why}");
    assert!(matches!(again(&same, Some(b"{]")).earlier, Earlier::Changed(_)));
    // What is written is what is told of, under names that no build writes.
    let names: Vec<&str> = resumed.files.iter().map(|f| f.path.as_str()).collect();
    assert_eq!(names, ["put-back.pdf", "02-separate-left.svg", "report.json"]);
    assert_eq!(resumed.folder, "reed-02-separate-left");
}

#[test]
fn the_report_fits_its_schema() {
    let plan = plan(BODY);
    let left = super::left(&plan, "separate", Part::After(6));
    let files = kerfbook::outputs::write_remainder(&plan, &left, None).unwrap();
    let report = files.iter().find(|f| f.path == "report.json").unwrap();
    let report: serde_json::Value = serde_json::from_slice(&report.bytes).unwrap();
    let path = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("schema/remainder.schema.json");
    let made = kerfbook::outputs::report::remainder_schema();
    if std::env::var_os("UPDATE").is_some() {
        std::fs::write(&path, &made).unwrap();
    }
    assert_eq!(std::fs::read_to_string(&path).unwrap(), made, "run again with UPDATE=1");
    let schema: serde_json::Value = serde_json::from_str(&made).unwrap();
    let validator = jsonschema::draft202012::new(&schema).unwrap();
    let faults: Vec<String> = validator.iter_errors(&report).map(|e| e.to_string()).collect();
    assert!(faults.is_empty(), "{faults:?}");
    assert_eq!(report["after_stroke"], 6);
}

#[test]
fn an_area_is_marked_on_the_page_of_the_sheet() {
    let svg = |head: &str, body: &str| format!("<svg xmlns=\"http://www.w3.org/2000/svg\" {head}>{body}</svg>");
    let sheet = "width=\"180mm\" height=\"150mm\" viewBox=\"0 0 180 150\"";
    let read = |text: &str| {
        let mut files = MemoryFiles::default();
        files.insert("marked.svg", text.as_bytes());
        marked_area(Path::new("marked.svg"), &files, &mut Sources::default(), &mut Sink::new())
    };
    // A stroked outline and a filled one mark the same area: 30 x 20 mm.
    for body in [
        "<rect x=\"20\" y=\"30\" width=\"30\" height=\"20\" fill=\"none\" stroke=\"red\" stroke-width=\"0.2\"/>",
        "<rect x=\"20\" y=\"30\" width=\"30\" height=\"20\" fill=\"red\"/>",
    ] {
        let marked = read(&svg(sheet, body)).unwrap();
        let bounds = marked.area.bounds().unwrap();
        assert!((marked.area.area().get() - 600.0).abs() < 11.0, "{:?}", marked.area.area());
        assert!((bounds.center().x - 35.0).abs() < 1e-6 && (bounds.center().y - 40.0).abs() < 1e-6);
        assert_eq!(marked.page, (Mm::new(180.0), Mm::new(150.0)));
    }
    let square = "<rect width=\"9\" height=\"9\"/>";
    assert!(read(&svg("viewBox=\"0 0 9 9\"", square)).unwrap_err().contains("how large"));
    assert!(read("no drawing").unwrap_err().contains("marks nothing"));
    let bar = "<path d=\"M0 0H9\" fill=\"none\" stroke=\"red\"/>";
    assert!(read(&svg(sheet, bar)).is_ok_and(|m| m.area.area().get() < 10.0), "a bar marks what it covers");
    // On another page it would lie elsewhere.
    let request = Request { recipe: PathBuf::from("reed.recipe.kdl"), ..Request::default() };
    let on = |page: (f64, f64)| ResumeRequest {
        build: request.clone(),
        run: "separate".into(),
        asked: asked(Part::Within(read(&svg(sheet, square)).unwrap().area)),
        marked_on: Some((Mm::new(page.0), Mm::new(page.1))),
        built: None,
    };
    let text = super::recipe(BODY);
    let (_, made) = resume(&on((200.0, 150.0)), &files(&text), &Cache::default());
    assert!(matches!(made, Err(ResumeFailure::OtherPage { .. })));
}
