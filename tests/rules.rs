//! The examples of every rule do what they are shown for: `wrong` raises it, and `right` does not.

mod framed;

use framed::compile;
use kerfbook::diagnostics::Finding;
use std::collections::BTreeSet;

/// Rules whose `wrong` cannot be tried as it stands, each with the reason.
const NOT_TRIED: &[(&str, &str)] = &[("artwork/too-slow", "the file is not shown")];

fn raised(snippet: &str) -> Option<BTreeSet<&'static str>> {
    Some(compile(snippet)?.findings.iter().map(|d| d.finding.rule).collect())
}

fn rules() -> Vec<&'static Finding> {
    kerfbook::rules::all()
}

#[test]
fn a_mended_example_does_not_raise_its_rule() {
    for rule in rules() {
        let found = raised(rule.right).unwrap_or_default();
        assert!(!found.contains(rule.rule), "{}: {found:?}\n{}", rule.rule, rule.right);
    }
}

#[test]
fn a_wrong_example_raises_its_rule() {
    let mut faults = Vec::new();
    for rule in rules() {
        let is_excused = NOT_TRIED.iter().any(|(name, _)| *name == rule.rule);
        let found = raised(rule.wrong).unwrap_or_default();
        if found.contains(rule.rule) == is_excused {
            faults.push(format!("{}: {found:?}\n    {}", rule.rule, rule.wrong.replace('\n', "\n    ")));
        }
    }
    assert!(faults.is_empty(), "{}", faults.join("\n"));
}
