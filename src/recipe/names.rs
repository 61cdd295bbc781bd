//! Names: each stands for one thing, and each reference finds it.

use super::document::Recipe;
use super::figure::BOARD_NAME;
use crate::diagnostics::{Diagnostic, Finding, Severity, Sink, near_names, quoted_list};
use crate::source::Spanned;
use std::collections::{BTreeMap, BTreeSet};

pub(super) static DOUBLED_NAME: Finding = Finding {
    rule: "recipe/doubled-name",
    severity: Severity::Error,
    title: "two figures or two runs have one name",
    explanation: "A name decides what is burned, so it stands for one thing. `board` and `sheet` are names already.",
    wrong: "shape \"sun\" { circle \"18 mm\" }\nshape \"sun\" { circle \"20 mm\" }",
    right: "shape \"sun\" { circle \"18 mm\" }\nshape \"sun-glow\" { circle \"20 mm\" }",
};

pub(super) static UNKNOWN_FIGURE: Finding = Finding {
    rule: "recipe/unknown-figure",
    severity: Severity::Error,
    title: "a name belongs to no figure",
    explanation: "Operations, offsets and placing name figures. A name that belongs to none would leave something out in \
        silence.",
    wrong: "run \"picture\" { engrave \"hreon\" }",
    right: "run \"picture\" { engrave \"heron\" }",
};

pub(super) static FIGURE_CIRCLE: Finding = Finding {
    rule: "recipe/figure-circle",
    severity: Severity::Error,
    title: "figures depend on each other in a circle",
    explanation: "A figure's size or place may depend on other figures, but not in the end on itself.",
    wrong: "offset \"a\" of=\"b\" by=\"2 mm\"\noffset \"b\" of=\"a\" by=\"2 mm\"",
    right: "offset \"a\" of=\"sun\" by=\"2 mm\"\noffset \"b\" of=\"a\" by=\"2 mm\"",
};

pub(super) static UNKNOWN_SHOP_NAME: Finding = Finding {
    rule: "recipe/unknown-in-shop",
    severity: Severity::Error,
    title: "the shop files hold no machine or stock of this name",
    explanation: "Machines, stocks and settings come from shop files, brought in by `use`. Nothing is made up where one is \
        missing.",
    wrong: "stock \"brich-3\"",
    right: "stock \"birch-3\"",
};

pub(super) static NO_BOARD: Finding = Finding {
    rule: "recipe/no-board",
    severity: Severity::Error,
    title: "something refers to the board, and there is none",
    explanation: "`board` is the finished outline of the piece. Placing and puzzles count from it.",
    wrong: "puzzle \"pieces\" of=\"board\" pieces=15 seed=\"pond\"",
    right: "board { rectangle \"8.5 in\" \"11 in\" }\npuzzle \"pieces\" of=\"board\" pieces=15 seed=\"pond\"",
};

/// The name under which the raw piece can be referred to.
pub const SHEET_NAME: &str = "sheet";

/// Checks every name of a recipe.
pub(super) fn check(recipe: &Recipe, broken: &BTreeSet<String>, sink: &mut Sink) {
    doubled(recipe.figures.iter().map(|f| &f.name), "figure", sink);
    doubled(recipe.runs.iter().map(|r| &r.name), "run", sink);
    let in_figures = recipe.figures.iter().flat_map(super::Figure::references);
    let in_runs = recipe.runs.iter().flat_map(|r| &r.operations).flat_map(super::OperationNode::references);
    for name in in_figures.chain(in_runs) {
        known_figure(recipe, &name, broken, sink);
    }
    circles(recipe, sink);
    if recipe.shop.is_torn {
        return;
    }
    known_in_shop(recipe.machine.as_ref(), "machine", recipe.shop.machines.iter().map(|m| m.name.as_str()), sink);
    known_in_shop(recipe.stock.as_ref(), "stock", recipe.shop.stocks.iter().map(|s| s.name.as_str()), sink);
}

fn doubled<'a>(names: impl Iterator<Item = &'a Spanned<String>>, what: &str, sink: &mut Sink) {
    let mut seen: BTreeMap<&str, &Spanned<String>> = BTreeMap::new();
    for name in names {
        let is_reserved = what == "figure" && name.value == SHEET_NAME;
        if let Some(first) = seen.get(name.value.as_str()) {
            sink.push(
                Diagnostic::new(&DOUBLED_NAME, format!("there are two {what}s named `{}`", name.value))
                    .at(name.span, "second")
                    .also(first.span, "first")
                    .because("which of them is meant would be a guess")
                    .repair("give one of them another name"),
            );
        } else if is_reserved {
            sink.push(
                Diagnostic::new(&DOUBLED_NAME, format!("`{SHEET_NAME}` is the name of the raw piece"))
                    .at(name.span, "taken")
                    .repair("give the figure another name"),
            );
        } else {
            seen.insert(&name.value, name);
        }
    }
}

fn known_figure(recipe: &Recipe, name: &Spanned<String>, broken: &BTreeSet<String>, sink: &mut Sink) {
    let wanted = name.value.as_str();
    if recipe.figure(wanted).is_some()
        || recipe.cell(wanted).is_some()
        || wanted == SHEET_NAME
        || broken.contains(wanted)
    {
        return;
    }
    if wanted == BOARD_NAME {
        sink.push(
            Diagnostic::new(&NO_BOARD, "there is no board".to_owned())
                .at(name.span, "refers to the finished outline")
                .repair("add `board { rectangle \"100 mm\" \"60 mm\" }` with the finished size"),
        );
        return;
    }
    let known = || recipe.figures.iter().map(|f| f.name.value.as_str()).chain(broken.iter().map(String::as_str));
    let near = near_names(wanted, known());
    let diagnostic =
        Diagnostic::new(&UNKNOWN_FIGURE, format!("there is no figure `{wanted}`")).at(name.span, "not a figure");
    sink.push(match near.as_slice() {
        [only] => {
            // A plain word and a name in a calculation have no quotes.
            let is_bare = name.span.end - name.span.start == wanted.len();
            let written = if is_bare { (*only).to_owned() } else { format!("\"{only}\"") };
            diagnostic.repair_with(format!("there is a figure with a similar name: `{only}`"), name.span, written)
        }
        [] => diagnostic.repair(format!("the figures are {}", quoted_list(known(), "and"))),
        _ => {
            diagnostic.repair(format!("figures with similar names: {}", quoted_list(near.iter().copied(), "and")))
        }
    });
}

fn known_in_shop<'a>(
    name: Option<&Spanned<String>>,
    what: &str,
    known: impl Iterator<Item = &'a str> + Clone,
    sink: &mut Sink,
) {
    let Some(name) = name else { return };
    if known.clone().any(|k| k == name.value) {
        return;
    }
    let near = near_names(&name.value, known.clone());
    let diagnostic = Diagnostic::new(&UNKNOWN_SHOP_NAME, format!("the shop has no {what} `{}`", name.value))
        .at(name.span, "not in the shop files")
        .because("settings are measured for one machine and stock; without it nothing can be planned");
    let all = quoted_list(known, "and");
    sink.push(match near.first() {
        Some(near) => {
            let written = format!("there is a {what} with a similar name: `{near}`");
            // On the command line it has no quotes.
            let is_bare = name.span.end - name.span.start == name.value.len();
            let edit = if is_bare { (*near).to_owned() } else { format!("\"{near}\"") };
            diagnostic.repair_with(written, name.span, edit)
        }
        None if all.is_empty() => diagnostic.repair("bring in a shop file: `use \"bench.shop.kdl\"`"),
        None => diagnostic.repair(format!("the shop has {all}")),
    });
}

/// Reports each circle of figures once, at the reference that closes it.
fn circles(recipe: &Recipe, sink: &mut Sink) {
    let mut done: BTreeSet<&str> = BTreeSet::new();
    let references: BTreeMap<&str, Vec<Spanned<String>>> =
        recipe.figures.iter().map(|f| (f.name.value.as_str(), f.references())).collect();
    for figure in &recipe.figures {
        let mut trail = Vec::new();
        walk(&figure.name.value, &references, &mut trail, &mut done, sink);
    }
}

fn walk<'a>(
    name: &'a str,
    references: &'a BTreeMap<&str, Vec<Spanned<String>>>,
    trail: &mut Vec<&'a str>,
    done: &mut BTreeSet<&'a str>,
    sink: &mut Sink,
) {
    // Deeper chains than this are refused by the circle check of nobody's recipe; the bound keeps the stack small.
    if done.contains(name) || trail.len() > 500 {
        return;
    }
    trail.push(name);
    for reference in references.get(name).into_iter().flatten() {
        if let Some(start) = trail.iter().position(|n| *n == reference.value) {
            let names: Vec<String> =
                trail[start..].iter().chain(&[reference.value.as_str()]).map(|n| format!("`{n}`")).collect();
            sink.push(
                Diagnostic::new(&FIGURE_CIRCLE, "these figures depend on each other in a circle".to_owned())
                    .at(reference.span, format!("{} again", names.join(" needs ")))
                    .because("none of them could be drawn first")
                    .repair("let one of them stand on its own"),
            );
        } else {
            walk(&reference.value, references, trail, done, sink);
        }
    }
    trail.pop();
    done.insert(name);
}
