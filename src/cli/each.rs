//! `build --each`: one job for each row of a table, each in a folder of its own.

use super::{BuildArguments, Outcome, human_options, print_findings_of, say, write_made};
use crate::diagnostics::render::{HumanOptions, human};
use crate::diagnostics::{Diagnostic, Sink};
use crate::driver::{self, Build, Request, each};
use crate::figures::Cache;
use crate::source::DiskFiles;
use std::collections::BTreeSet;
use std::path::Path;

/// Builds every row, those after one with errors too: each is written for itself.
pub(super) fn run(arguments: &BuildArguments, table: &Path) -> Outcome {
    let files = arguments.compile.files();
    let mut sink = Sink::new();
    let (sources, rows) = each::rows(table, &files, &mut sink);
    if sink.has_errors() {
        print_findings_of(&sink, &sources, arguments.compile.message_format);
        return Outcome::RecipeErrors;
    }
    let cache = Cache::default();
    let mut told = Told::default();
    let outcomes: Vec<Outcome> = rows.iter().map(|row| one(arguments, row, &files, &cache, &mut told)).collect();
    let failed: Vec<String> = rows
        .iter()
        .zip(&outcomes)
        .filter(|(_, outcome)| **outcome != Outcome::Done)
        .map(|(row, _)| row.number.to_string())
        .collect();
    if !failed.is_empty() {
        let (count, all) = (failed.len(), rows.len());
        say(&mut std::io::stderr(), &format!("not built: {count} of {all} rows ({})\n", failed.join(", ")));
    }
    let worst = [Outcome::OutsideFailed, Outcome::RecipeErrors];
    worst.into_iter().find(|w| outcomes.contains(w)).unwrap_or(Outcome::Done)
}

fn one(
    arguments: &BuildArguments,
    row: &each::RowJob,
    files: &DiskFiles,
    cache: &Cache,
    told: &mut Told,
) -> Outcome {
    let request = Request { given: row.given.clone(), ..arguments.compile.request() };
    let (build, made) = driver::build(&request, files, cache);
    let outcome = arguments.compile.outcome(&build);
    let (fresh, again) = told.part(&build);
    if outcome != Outcome::Done || fresh.iter().next().is_some() {
        say(&mut std::io::stderr(), &format!("row {}, {}\n", row.number, row.title));
    }
    let options = HumanOptions { brief_advice: true, ..human_options() };
    say(&mut std::io::stderr(), &human(fresh.iter(), &build.sources, options));
    if again > 0 && outcome != Outcome::Done {
        say(&mut std::io::stderr(), &format!("{again} of what was told of rows before holds here too\n"));
    }
    let folder = arguments.folder(&build).join(&row.folder);
    write_made(&folder, made, outcome, arguments.compile.quiet)
}

/// What was told of rows before: a mistake of the recipe is one of every row.
#[derive(Default)]
struct Told(BTreeSet<String>);

impl Told {
    /// The findings of a build that were not told yet, and how many were.
    fn part(&mut self, build: &Build) -> (Sink, usize) {
        let (mut fresh, mut again) = (Sink::new(), 0);
        for finding in build.findings.iter() {
            if self.0.insert(key(finding, build)) {
                fresh.push(finding.clone());
            } else {
                again += 1;
            }
        }
        (fresh, again)
    }
}

/// What makes two findings one: rule, message, and the place where it lies in a file.
fn key(finding: &Diagnostic, build: &Build) -> String {
    let place = finding.primary.as_ref().filter(|l| build.sources.get(l.span.source).path.is_some());
    let place = place.map(|l| build.sources.place(l.span)).unwrap_or_default();
    format!("{}\n{}\n{place}", finding.finding.rule, finding.message)
}
