//! What a build tells of artwork: the picture of findings, and the numbers of mends in the report.

use kerfbook::driver::{Build, Request, compile};
use kerfbook::figures::Cache;
use kerfbook::outputs::{OutputFile, findings_pictures, report_json};
use kerfbook::source::DiskFiles;
use std::path::{Path, PathBuf};

fn build(case: &str) -> Build {
    let recipe = PathBuf::from(format!("tests/cases/{case}/case.recipe.kdl"));
    let request = Request { recipe, ..Request::default() };
    compile(&request, &DiskFiles::new(Path::new("tests/cases"), &[]), &Cache::default())
}

fn pictures(build: &Build) -> Vec<OutputFile> {
    let findings = build.findings.clone().into_vec();
    findings_pictures(build.plan.as_ref().expect("a plan"), &findings)
}

#[test]
fn a_picture_shows_every_finding_with_its_number() {
    let build = build("artwork/near-ends");
    let [picture] = pictures(&build).try_into().expect("one picture");
    assert_eq!(picture.path, "findings/heron.svg");
    let text = String::from_utf8(picture.bytes).expect("text");
    // An SVG that the reference reader draws; 190 mm wide at 96 pixels an inch.
    let tree = resvg::usvg::Tree::from_str(&text, &resvg::usvg::Options::default()).expect("an SVG");
    assert!((f64::from(tree.size().width()) - 190.0 / 25.4 * 96.0).abs() < 0.1);
    assert!(text.contains("artwork/near-ends") && text.contains("mend gaps=\"0.16 mm\"") && text.contains("#hut"));
    // Two gaps: two rings, each black on white; one row of the list with a close view.
    assert_eq!(text.matches("r=\"1.8\"").count(), 4);
    assert_eq!(text.matches("<clipPath").count(), 1);
}

#[test]
fn findings_of_the_file_reader_are_marked_on_their_element() {
    let build = build("artwork/gradient");
    let [picture] = pictures(&build).try_into().expect("one picture");
    let text = String::from_utf8(picture.bytes).expect("text");
    assert!(text.contains("artwork/gradient") && text.contains("#moon"));
}

#[test]
fn without_findings_in_an_artwork_there_is_no_picture() {
    assert!(pictures(&build("air/not-there")).is_empty());
}

#[test]
fn the_report_holds_what_a_mend_changed() {
    let build = build("mend/closed-gaps");
    let findings = build.findings.clone().into_vec();
    let report = report_json(build.plan.as_ref().expect("a plan"), &findings, &build.sources).expect("a report");
    let report: serde_json::Value = serde_json::from_slice(&report).expect("JSON");
    let figures = report["figures"].as_array().expect("figures");
    let heron = figures.iter().find(|f| f["name"] == "heron").expect("the artwork");
    let mend = &heron["mends"][0];
    assert_eq!((mend["mend"].as_str(), mend["places"].as_u64()), (Some("gaps"), Some(2)));
    assert_eq!((mend["greatest_mm"].as_f64(), mend["length_change_mm"].as_f64()), (Some(0.15), Some(0.25)));
    assert_eq!(mend["up_to_mm"].as_f64(), Some(0.2));
}
