//! A repair that gives the exact replacement is carried out: the finding has to be gone then.

use super::project::{Case, Edited, folders};
use kerfbook::diagnostics::Diagnostic;
use kerfbook::driver::Build;
use kerfbook::source::Span;
use rayon::prelude::*;

#[test]
fn an_exact_repair_mends_what_it_is_offered_for() {
    let cases: Vec<Case> = folders().into_iter().map(Case::at).collect();
    let results: Vec<(usize, Vec<String>)> = cases.par_iter().map(tried).collect();
    let wrong: Vec<&String> = results.iter().flat_map(|(_, wrong)| wrong).collect();
    assert!(wrong.is_empty(), "{wrong:#?}");
    // Should the cases ever lose their exact repairs, this test would pass by trying nothing.
    let tried: usize = results.iter().map(|(count, _)| count).sum();
    assert!(tried >= 30, "{tried}");
}

/// How many exact repairs a case offers, and those that do not help.
fn tried(case: &Case) -> (usize, Vec<String>) {
    let build = case.compile();
    let offered = build.findings.iter().filter_map(|d| Some((d, d.repair.as_ref()?.edit.as_ref()?)));
    let results: Vec<Option<String>> =
        offered.map(|(finding, (span, text))| fault(case, &build, finding, *span, text)).collect();
    (results.len(), results.into_iter().flatten().collect())
}

fn fault(case: &Case, build: &Build, finding: &Diagnostic, span: Span, replacement: &str) -> Option<String> {
    let source = build.sources.get(span.source);
    let mut text = source.text.to_string();
    text.replace_range(span.start..span.end, replacement);
    let again = case.compile_from(&Edited::new(source.path.clone()?, text.clone()));
    let rule = finding.finding.rule;
    let count = |b: &Build| b.findings.iter().filter(|d| d.finding.rule == rule).count();
    let fresh: Vec<&str> = again
        .findings
        .iter()
        .map(|d| d.finding.rule)
        .filter(|r| r.starts_with("syntax/") && build.findings.iter().all(|d| d.finding.rule != *r))
        .collect();
    if count(&again) < count(build) && fresh.is_empty() {
        return None;
    }
    Some(format!("{}: after `{replacement}` it says {rule} {} times, and {fresh:?}", case.name, count(&again)))
}
