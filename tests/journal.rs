//! A job is burned, how it went is written down, and the next job sheet tells it.

use crate::job_sheet::printed::{Printed, flat};
use kerfbook::cache::Cache;
use kerfbook::driver::{Build, RecordError, RecordRequest, Request, build, project_root, record, write};
use kerfbook::journal::HowItWent;
use kerfbook::outputs::OutputFile;
use kerfbook::source::DiskFiles;
use std::fs;
use std::path::PathBuf;
use tempfile::TempDir;

const SHOP: &str = concat!(
    include_str!("fixtures/machine.kdl"),
    r#"stock "alder" material="alder plywood" thickness="3.1 mm" kerf="0.16 mm"
setting "light" machine="bench" stock="alder" operation="score" speed="60 mm/s" power="18 %"
setting "through" machine="bench" stock="alder" operation="cut" speed="5 mm/s" power="95 %" passes=2
"#
);

const RECIPE: &str = r#"
recipe "Kite tag" language=1
use "bench.shop.kdl"
input "wide" kind="length" default="60 mm"
machine "bench"
stock "alder"
sheet "90 mm" "70 mm"
board { rectangle "{wide}" "45 mm" corner="5 mm" }
shape "ring" { circle "9 mm"; place left="board" top="board" right="5 mm" down="5 mm" }
register "marks" around="board" gap="3 mm"
run "marks" { score "ring" "marks" }
run "out" { score "marks"; cut "board" }
"#;

/// A project on disk.
struct Project(TempDir);

impl Project {
    fn new() -> Self {
        let project = Self(TempDir::new().unwrap());
        fs::write(project.path("bench.shop.kdl"), SHOP).unwrap();
        fs::write(project.path("kite.recipe.kdl"), RECIPE).unwrap();
        project
    }

    fn path(&self, name: &str) -> PathBuf {
        self.0.path().join(name)
    }

    fn journal(&self) -> String {
        fs::read_to_string(self.path("kite.journal.kdl")).unwrap()
    }

    fn change(&self, file: &str, from: &str, to: &str) {
        let text = fs::read_to_string(self.path(file)).unwrap();
        assert!(text.contains(from), "{from}");
        fs::write(self.path(file), text.replace(from, to)).unwrap();
    }

    fn build(&self) -> (Build, Vec<OutputFile>) {
        let recipe = self.path("kite.recipe.kdl");
        let files = DiskFiles::new(&project_root(&recipe), &[]);
        let (build, made) = build(&Request { recipe, ..Request::default() }, &files, &Cache::default());
        let messages: Vec<String> = build.findings.iter().map(|d| d.message.clone()).collect();
        let made = made.unwrap().unwrap_or_else(|| panic!("{messages:#?}"));
        (build, made)
    }

    /// Builds, and puts the files where `record` looks for them.
    fn burn(&self) {
        write(&self.path("out"), self.build().1).unwrap();
    }

    fn request(&self, went: HowItWent, runs: &[&str]) -> RecordRequest {
        RecordRequest {
            recipe: self.path("kite.recipe.kdl"),
            built: self.path("out"),
            runs: runs.iter().map(|r| (*r).to_owned()).collect(),
            went,
            place: (went != HowItWent::Well).then(|| "left bottom corner".to_owned()),
            notes: vec!["the sheet had \"curled\"".to_owned()],
            day: "2027-08-10".to_owned(),
        }
    }
}

fn file<'a>(made: &'a [OutputFile], name: &str) -> &'a [u8] {
    &made.iter().find(|f| f.path == name).unwrap().bytes
}

fn rules(build: &Build) -> Vec<&'static str> {
    build.findings.iter().map(|d| d.finding.rule).collect()
}

#[test]
fn the_next_sheet_tells_how_it_went_and_what_is_different() {
    let project = Project::new();
    project.burn();
    let recorded = record(&project.request(HowItWent::NotThrough, &["out"])).unwrap();
    assert_eq!(recorded.entry.steps.len(), 2, "the steps of the run that is recorded, and no others");

    let (unchanged, _) = project.build();
    assert!(rules(&unchanged).contains(&"journal/nothing-changed"), "{:?}", rules(&unchanged));

    project.change("bench.shop.kdl", "passes=2", "passes=3");
    project.change("kite.recipe.kdl", "default=\"60 mm\"", "default=\"62 mm\"");
    let (changed, made) = project.build();
    assert!(!rules(&changed).contains(&"journal/nothing-changed"));
    let last = changed.plan.unwrap().last_time.unwrap();
    let told: Vec<(&str, Option<&str>, Option<&str>)> =
        last.changes.iter().map(|c| (c.what.as_str(), c.was.as_deref(), c.is.as_deref())).collect();
    assert!(told.contains(&("passes of cut board", Some("2"), Some("3"))), "{told:?}");
    assert!(told.contains(&("wide", Some("60 mm"), Some("62 mm"))), "{told:?}");
    let files: Vec<&str> = told.iter().map(|t| t.0).filter(|what| what.starts_with("file ")).collect();
    assert_eq!(files, ["file bench.shop.kdl", "file kite.recipe.kdl"], "the journal itself is none of them");

    let report: serde_json::Value = serde_json::from_slice(file(&made, "report.json")).unwrap();
    assert_eq!(report["last_time"]["runs"][0]["went"], "not-through");
    if let Some(text) = Printed::new(file(&made, "job-sheet.pdf")).text() {
        for words in [
            "Last time, 2027-08-10:",
            "out did not go through everywhere: left bottom corner",
            "the sheet had \"curled\"",
            "passes of cut board 3 (was 2)",
            "file bench.shop.kdl has changed",
        ] {
            assert!(text.contains(&flat(words)), "{words} in {text}");
        }
        let version = &report["version"]["sha256"].as_str().unwrap()[..12];
        assert!(text.contains(version), "the version stands at the foot of the pages");
    }
}

#[test]
fn a_journal_grows_and_keeps_what_was_written_by_hand() {
    let project = Project::new();
    project.burn();
    record(&project.request(HowItWent::TooDark, &["marks"])).unwrap();
    let mine = format!("{}// my own remark, without a line break at the end", project.journal());
    fs::write(project.path("kite.journal.kdl"), &mine).unwrap();
    record(&project.request(HowItWent::Well, &[])).unwrap();
    assert!(project.journal().starts_with(&mine));
    let (build, _) = project.build();
    let last = build.plan.unwrap().last_time.unwrap();
    let names: Vec<&str> = last.runs.iter().map(|r| r.name.as_str()).collect();
    assert_eq!(names, ["marks", "out"]);
    assert!(last.changes.is_empty(), "{:?}", last.changes);
}

/// What the journal holds is no part of what a job is made from: recording changes neither version nor run files.
#[test]
fn recording_changes_nothing_that_is_burned() {
    let project = Project::new();
    project.burn();
    let (before, made) = project.build();
    record(&project.request(HowItWent::Well, &[])).unwrap();
    let (after, again) = project.build();
    let version = |build: &Build| build.plan.as_ref().unwrap().version.content.clone();
    assert_eq!(version(&before), version(&after));
    for name in ["01-marks.svg", "02-out.svg", "proof.pdf", "preview.png"] {
        assert!(file(&made, name) == file(&again, name), "{name}");
    }
}

#[test]
fn what_cannot_be_recorded_is_said_and_leaves_the_journal_alone() {
    let project = Project::new();
    let said = |request: &RecordRequest| record(request).unwrap_err().to_string();
    assert!(said(&project.request(HowItWent::Well, &[])).contains("build the recipe"));
    project.burn();
    assert!(said(&project.request(HowItWent::Well, &["cutout"])).contains("it has `marks` and `out`"));
    let other =
        RecordRequest { recipe: project.path("other.recipe.kdl"), ..project.request(HowItWent::Well, &[]) };
    assert!(said(&other).contains("built from `kite.recipe.kdl`"));
    assert!(!project.path("kite.journal.kdl").exists());

    let torn = "burned \"2027-08-10\" version=\"1\" {\n";
    fs::write(project.path("kite.journal.kdl"), torn).unwrap();
    assert!(matches!(record(&project.request(HowItWent::Well, &[])), Err(RecordError::Journal(_))));
    assert_eq!(project.journal(), torn);
}

#[test]
fn a_project_under_version_control_names_its_revision() {
    let project = Project::new();
    fs::create_dir_all(project.path(".git")).unwrap();
    fs::write(project.path(".git/HEAD"), "89abcdef0123456789abcdef0123456789abcdef\n").unwrap();
    let (build, made) = project.build();
    assert_eq!(build.plan.unwrap().version.revision.as_deref(), Some("89abcdef01"));
    if let Some(text) = Printed::new(file(&made, "job-sheet.pdf")).text() {
        assert!(text.contains("revision 89abcdef01"), "{text}");
    }
}
