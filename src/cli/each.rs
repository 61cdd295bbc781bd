//! `build --each`: one job for each row of a table, each in a folder of its own.

use super::{
    BuildArguments, MessageFormat, Outcome, cannot_write, human_options, print_findings_of, say, write_made,
};
use crate::diagnostics::render::{HumanOptions, human, json_of_all, sarif_of_all};
use crate::diagnostics::{Diagnostic, Sink};
use crate::driver::{self, Build, Request, each};
use crate::figures::Cache;
use crate::source::{DiskFiles, Sources};
use std::collections::BTreeSet;
use std::path::{Path, PathBuf};

/// Builds every row, those after one with errors too: each is written for itself.
pub(super) fn run(arguments: &BuildArguments, table: &Path) -> Outcome {
    let files = arguments.compile.files();
    let mut sink = Sink::new();
    let (sources, rows) = each::rows(table, &files, &mut sink);
    if sink.has_errors() {
        print_findings_of(&sink, &sources, arguments.compile.message_format);
        return Outcome::RecipeErrors;
    }
    let folders: Vec<String> = rows.iter().map(|row| row.folder.clone()).collect();
    let mut round = Round { arguments, folders, cache: Cache::default(), told: Told::default(), out: None };
    let outcomes: Vec<Outcome> = rows.iter().map(|row| round.row(row, &files)).collect();
    let cleared = round.finish();
    print_for_programs(&round.told, arguments.compile.message_format);
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
    worst.into_iter().find(|w| outcomes.contains(w) || cleared == *w).unwrap_or(Outcome::Done)
}

/// Findings for programs are one text, whatever the number of rows.
fn print_for_programs(told: &Told, format: MessageFormat) {
    let all = told.kept.iter().flat_map(|(sink, sources)| sink.iter().map(move |finding| (finding, sources)));
    match format {
        MessageFormat::Human => {}
        MessageFormat::Json => say(&mut std::io::stdout(), &json_of_all(all)),
        MessageFormat::Sarif => say(&mut std::io::stdout(), &sarif_of_all(all)),
    }
}

/// One round through the rows of a table.
struct Round<'a> {
    arguments: &'a BuildArguments,
    /// The names of their folders.
    folders: Vec<String>,
    cache: Cache,
    told: Told,
    /// The folder that theirs are written into, once the first of them is.
    out: Option<PathBuf>,
}

impl Round<'_> {
    fn row(&mut self, row: &each::RowJob, files: &DiskFiles) -> Outcome {
        let compile = &self.arguments.compile;
        let request = Request { given: row.given.clone(), ..compile.request() };
        let (build, made) = driver::build(&request, files, &self.cache);
        let outcome = compile.outcome(&build);
        let (fresh, again) = self.told.part(&build);
        let is_human = compile.message_format == MessageFormat::Human;
        if is_human {
            tell(row, &fresh, again, outcome, &build);
        }
        let folder = self.arguments.folder(&build);
        self.told.keep(fresh, build);
        if outcome == Outcome::Done && self.out.is_none() {
            if let Err(error) = driver::rows::begin(&folder, &self.folders) {
                return cannot_write(&folder, &error);
            }
            self.out = Some(folder.clone());
        }
        write_made(&folder.join(&row.folder), made, outcome, compile.quiet || !is_human)
    }

    /// Clears away what belongs to no row, where any was written.
    fn finish(&self) -> Outcome {
        let Some(out) = &self.out else { return Outcome::Done };
        match driver::rows::finish(out, &self.folders) {
            Ok(()) => Outcome::Done,
            Err(error) => cannot_write(out, &error),
        }
    }
}

/// Says for people what was found in a row and in none before.
fn tell(row: &each::RowJob, fresh: &Sink, again: usize, outcome: Outcome, build: &Build) {
    if outcome != Outcome::Done || fresh.iter().next().is_some() {
        say(&mut std::io::stderr(), &format!("row {}, {}\n", row.number, row.title));
    }
    let options = HumanOptions { brief_advice: true, ..human_options() };
    say(&mut std::io::stderr(), &human(fresh.iter(), &build.sources, options));
    if again > 0 && outcome != Outcome::Done {
        say(&mut std::io::stderr(), &format!("{again} of what was told of rows before holds here too\n"));
    }
}

/// What was told of rows before: a mistake of the recipe is one of every row.
#[derive(Default)]
struct Told {
    keys: BTreeSet<String>,
    /// The findings with their texts.
    kept: Vec<(Sink, Sources)>,
}

impl Told {
    /// The findings of a build that were not told yet, and how many were.
    fn part(&mut self, build: &Build) -> (Sink, usize) {
        let (mut fresh, mut again) = (Sink::new(), 0);
        for finding in build.findings.iter() {
            if self.keys.insert(key(finding, build)) {
                fresh.push(finding.clone());
            } else {
                again += 1;
            }
        }
        (fresh, again)
    }

    fn keep(&mut self, fresh: Sink, build: Build) {
        if fresh.iter().next().is_some() {
            self.kept.push((fresh, build.sources));
        }
    }
}

/// What makes two findings one: rule, message, and the place where it lies in a file.
fn key(finding: &Diagnostic, build: &Build) -> String {
    let place = finding.primary.as_ref().filter(|l| build.sources.get(l.span.source).path.is_some());
    let place = place.map(|l| build.sources.place(l.span)).unwrap_or_default();
    format!("{}\n{}\n{place}", finding.finding.rule, finding.message)
}
