//! One folder for each rule: `cases/AREA/WHAT/` holds the recipe that raises `AREA/WHAT`, and `expected.txt` the
//! findings as a maker reads them.
//!
//! A folder holds `case.recipe.kdl` (another name where the name is the mistake), the files that it brings in, and
//! `set.txt` with lines `NAME=VALUE` where the mistake is on the command line. What the cases share lies in
//! `cases/shared/`. `UPDATE=1 cargo test cases` writes `expected.txt` anew: read what it says before it is kept.

mod every;
mod project;
mod repairs;
mod whole;

use kerfbook::diagnostics::render::{HumanOptions, human};
use kerfbook::driver::Build;
use project::{Case, folders};
use rayon::prelude::*;
use std::collections::BTreeSet;

/// Rules without a folder, each with the reason.
const NO_FOLDER: &[(&str, &str)] = &[
    ("artwork/reader-failed", "a fault of the program: no file is known that brings it about"),
    ("artwork/too-slow", "it takes thirty seconds to come about"),
    ("picture/reader-failed", "a fault of the program: no file is known that brings it about"),
    ("picture/too-slow", "it takes thirty seconds to come about"),
    ("syntax/text-too-large", "takes a file of more than 4 MB; raised in `whole.rs`"),
];

/// Rules that come with another one by their nature, and why that is no cascade.
const TOGETHER: &[(&str, &str, &str)] = &[
    (
        "allow/unknown-rule",
        "layout/outside-board",
        "the warning stands until the rule that accepts it is spelt right",
    ),
    ("layout/rows-outside-bed", "setting/far-from-measured", "so fast a row burns much less than measured"),
    (
        "material/only-marked",
        "material/with-care",
        "slate is burned on conditions, and one of them is that it is only marked",
    ),
    ("photo/two-intervals", "burn/engraved-twice", "it is engraved twice, and with two intervals besides"),
    ("speed/over-machine", "setting/far-from-measured", "so fast a row burns much less than measured"),
];

#[test]
fn every_rule_has_its_findings() {
    let cases: Vec<Case> = folders().into_iter().map(Case::at).collect();
    let wrong: Vec<String> = cases.par_iter().flat_map_iter(|case| faults_of(case, &case.compile())).collect();
    assert!(wrong.is_empty(), "{}\nlook at the changes, and run again with UPDATE=1", wrong.join("\n"));
}

/// What is wrong with a case: its own rule is not raised, others are, or the text is not the expected one.
fn faults_of(case: &Case, build: &Build) -> Vec<String> {
    let raised: BTreeSet<&str> = build.findings.iter().map(|d| d.finding.rule).collect();
    let mut faults = Vec::new();
    if case.is_rule() {
        if !raised.contains(case.name.as_str()) {
            faults.push(format!("{}: not raised, but {raised:?}", case.name));
        }
        let may_come_along =
            |rule: &str| TOGETHER.iter().any(|(one, other, _)| *one == case.name && *other == rule);
        let strangers: Vec<&str> =
            raised.iter().copied().filter(|r| *r != case.name && !may_come_along(r)).collect();
        if !strangers.is_empty() {
            faults.push(format!("{}: comes with {strangers:?}", case.name));
        }
    }
    if build.plan.is_some() == build.findings.has_errors() {
        faults.push(format!("{}: a plan is there exactly when there is no error", case.name));
    }
    let text = human(build.findings.iter(), &build.sources, HumanOptions::default());
    faults.extend(case.compare(&text));
    faults
}

#[test]
fn every_rule_has_a_folder_and_every_folder_a_rule() {
    let with_folder: BTreeSet<String> =
        folders().into_iter().map(Case::at).filter(Case::is_rule).map(|c| c.name).collect();
    for rule in kerfbook::rules::all() {
        let excused = NO_FOLDER.iter().any(|(name, _)| *name == rule.rule);
        assert!(
            with_folder.contains(rule.rule) != excused,
            "{}: {}",
            rule.rule,
            if excused { "has a folder and needs no excuse" } else { "add tests/cases/AREA/WHAT/case.recipe.kdl" }
        );
    }
    for name in &with_folder {
        assert!(kerfbook::rules::find(name).is_some(), "tests/cases/{name} belongs to no rule");
    }
}
