//! Figures and inputs that nothing comes of.

use super::Job;
use crate::diagnostics::{Diagnostic, Finding, Severity, Sink};
use crate::recipe::OperationNode;
use crate::syntax::{self, Node, Value};
use std::collections::BTreeSet;

pub(super) static UNUSED_FIGURE: Finding = Finding {
    rule: "recipe/unused-figure",
    severity: Severity::Advice,
    title: "a figure is neither burned nor used by another",
    explanation: "Only figures that a run names are burned. One that no run and no other figure names may have been forgotten.",
    wrong: "shape \"sun\" { circle \"18 mm\" }\nrun \"picture\" { engrave \"heron\" }",
    right: "shape \"sun\" { circle \"18 mm\" }\nrun \"picture\" { engrave \"heron\" \"sun\" }",
};

pub(super) static UNUSED_INPUT: Finding = Finding {
    rule: "recipe/unused-input",
    severity: Severity::Advice,
    title: "an input is named nowhere",
    explanation: "An input takes effect where it is named in braces. Setting one that is named nowhere changes nothing, and \
        whoever sets it would not notice.",
    wrong: "input \"day\" kind=\"date\" default=\"2027-08-14\"\nlettering \"date\" \"14 August 2027\" font=\"fonts/a.ttf\" height=\"9 mm\"",
    right: "input \"day\" kind=\"date\" default=\"2027-08-14\"\nlettering \"date\" \"{day:%-d %B %Y}\" font=\"fonts/a.ttf\" height=\"9 mm\"",
};

/// Looks for figures and inputs that are named nowhere.
pub(super) fn check(job: &Job, sink: &mut Sink) {
    figures(job, sink);
    inputs(job, sink);
}

fn figures(job: &Job, sink: &mut Sink) {
    let recipe = job.recipe;
    let in_runs = recipe.runs.iter().flat_map(|r| &r.operations).flat_map(OperationNode::references);
    let in_figures = recipe.figures.iter().flat_map(crate::recipe::Figure::references);
    let named: BTreeSet<String> = in_runs.chain(in_figures).map(|n| n.value).collect();
    // Everything is placed against the board, named or not. What is drawn for each row of a table is written once.
    let mut told = BTreeSet::new();
    let unused = recipe.figures.iter().filter(|f| !f.is_board() && !named.contains(&f.name.value));
    for figure in unused.filter(|f| told.insert((f.head.source, f.head.start))) {
        let name = &figure.name.value;
        sink.push(
            Diagnostic::new(&UNUSED_FIGURE, format!("`{name}` is not used"))
                .at(figure.head, "no run and no other figure names it")
                .because("it will not be on the piece")
                .repair(format!("name `{name}` in a run, or remove it")),
        );
    }
}

fn inputs(job: &Job, sink: &mut Sink) {
    if job.recipe.inputs.is_empty() {
        return;
    }
    let source = job.recipe.span.source;
    // The text has been read without errors, so reading it again says nothing new.
    let Some(document) = syntax::parse(source, &job.sources.get(source).text, &mut Sink::new()) else { return };
    let mut named = BTreeSet::new();
    document.nodes.iter().for_each(|node| names_in(node, &mut named));
    for input in job.recipe.inputs.iter().filter(|i| !named.contains(i.name.value.as_str())) {
        let name = &input.name.value;
        sink.push(
            Diagnostic::new(&UNUSED_INPUT, format!("input `{name}` is named nowhere"))
                .at(input.name.span, "has no effect")
                .because("setting it changes nothing on the piece")
                .repair(format!("write `{{{name}}}` where its value belongs, or remove it")),
        );
    }
}

/// Adds every name that stands in braces in the values of a node and of what is in it.
fn names_in<'a>(node: &'a Node, named: &mut BTreeSet<&'a str>) {
    let values = node.arguments.iter().chain(node.properties.iter().map(|p| &p.value));
    for text in values.filter_map(Value::text) {
        named.extend(in_braces(text));
    }
    for child in node.children.iter().flatten() {
        names_in(child, named);
    }
}

/// The names that follow an opening brace.
fn in_braces(text: &str) -> impl Iterator<Item = &str> {
    text.split('{').skip(1).map(|rest| {
        let rest = rest.trim_start();
        let end = rest.find(|c: char| !(c.is_alphanumeric() || c == '-' || c == '_')).unwrap_or(rest.len());
        &rest[..end]
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_are_found_with_patterns_sides_and_conditions_behind_them() {
        let found = |text| in_braces(text).collect::<Vec<_>>();
        assert_eq!(found("{day:%-d %B %Y} for {guest-name}"), ["day", "guest-name"]);
        assert_eq!(found("{board.width} - 2 * { edge }"), ["board", "edge"]);
        assert_eq!(found("{level} == hard"), ["level"]);
        assert!(found("no braces").is_empty());
    }
}
