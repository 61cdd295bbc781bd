//! What holds for the words and places of every finding of every case.

use super::project::{Case, folders};
use kerfbook::diagnostics::Diagnostic;
use kerfbook::driver::Build;
use kerfbook::source::Span;
use rayon::prelude::*;

/// Words that are written with a capital wherever they stand.
const CAPITALS: &[&str] = &["KDL", "CSS", "SVG", "U+", "A0"];

/// Findings that quote the sentences of the job sheet.
const SENTENCES: &[&str] = &["material/with-care"];

#[test]
fn findings_speak_alike_and_point_into_their_texts() {
    let cases: Vec<Case> = folders().into_iter().map(Case::at).collect();
    let wrong: Vec<String> = cases
        .par_iter()
        .flat_map_iter(|case| {
            let build = case.compile();
            let faults: Vec<String> = build.findings.iter().flat_map(|d| faults(d, &build)).collect();
            faults.into_iter().map(|f| format!("{}: {f}", case.name)).collect::<Vec<_>>()
        })
        .collect();
    assert!(wrong.is_empty(), "{wrong:#?}");
}

fn faults(finding: &Diagnostic, build: &Build) -> Vec<String> {
    let quotes = SENTENCES.contains(&finding.finding.rule);
    let mut faults: Vec<String> = texts(finding).into_iter().filter(|_| !quotes).filter_map(wording).collect();
    faults.extend(spans(finding).into_iter().filter_map(|s| misplaced(s, build)));
    if finding.primary.is_none() && finding.finding.rule != "recipe/file-name" {
        faults.push("points at no place".to_owned());
    }
    faults
}

fn texts(finding: &Diagnostic) -> Vec<&str> {
    let labels = finding.primary.iter().chain(&finding.others).map(|l| l.text.as_str());
    let repair = finding.repair.iter().map(|r| r.text.as_str());
    std::iter::once(finding.message.as_str())
        .chain(labels)
        .chain(finding.consequence.as_deref())
        .chain(repair)
        .collect()
}

/// Lower case, no full stop, backticks in pairs.
fn wording(text: &str) -> Option<String> {
    let starts_small =
        !text.starts_with(|c: char| c.is_uppercase()) || CAPITALS.iter().any(|c| text.starts_with(c));
    let fault = if text.trim() != text || text.is_empty() {
        "is empty or has blanks round it"
    } else if !starts_small {
        "starts with a capital"
    } else if text.ends_with('.') {
        "ends with a full stop"
    } else if !text.matches('`').count().is_multiple_of(2) {
        "has a backtick without its second one"
    } else {
        return None;
    };
    Some(format!("`{text}` {fault}"))
}

fn spans(finding: &Diagnostic) -> Vec<Span> {
    let labels = finding.primary.iter().chain(&finding.others).map(|l| l.span);
    let edit = finding.repair.iter().filter_map(|r| r.edit.as_ref()).map(|(span, _)| *span);
    labels.chain(edit).collect()
}

fn misplaced(span: Span, build: &Build) -> Option<String> {
    let text = &build.sources.get(span.source).text;
    (span.start > span.end || text.get(span.start..span.end).is_none()).then(|| format!("{span:?} is no place"))
}
