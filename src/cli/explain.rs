//! `explain`: what a rule or a node means.

use super::say;
use crate::diagnostics::{Finding, near_names};
use crate::recipe::ROOTS;
use crate::rules;
use crate::schema::{CONDITIONS, NodeSpec, all_nodes, node_page};
use crate::units::UNITS;
use std::fmt::Write;
use std::process::ExitCode;

pub(super) fn run(topic: &str) -> ExitCode {
    match page(topic) {
        Ok(page) => {
            say(&mut std::io::stdout(), &page);
            ExitCode::SUCCESS
        }
        Err(message) => {
            say(&mut std::io::stderr(), &message);
            ExitCode::from(2)
        }
    }
}

/// The page of a topic, or what to say where there is none.
fn page(topic: &str) -> Result<String, String> {
    match topic {
        "units" => return Ok(units_page()),
        "rules" => return Ok(rules_list()),
        "nodes" => return Ok(nodes_list()),
        "when" => return Ok(wrapped(CONDITIONS) + "\n"),
        _ => {}
    }
    if let Some(rule) = rules::find(topic) {
        return Ok(rule_page(rule));
    }
    let nodes: Vec<&NodeSpec> = all_nodes(&ROOTS).into_iter().filter(|s| s.name == topic).collect();
    if !nodes.is_empty() {
        return Ok(nodes
            .into_iter()
            .map(|n| format!("{}\n\n{}", n.name, node_page(n)))
            .collect::<Vec<_>>()
            .join("\n"));
    }
    let known = all_nodes(&ROOTS).into_iter().map(|s| s.name).chain(rules::all().into_iter().map(|r| r.rule));
    let near = near_names(topic, known);
    let hint = if near.is_empty() {
        "`explain nodes` and `explain rules` list what there is".to_owned()
    } else {
        format!("there is {}", crate::diagnostics::quoted_list(near, "and"))
    };
    Err(format!("error: there is no rule or node `{topic}`; {hint}\n"))
}

fn rule_page(rule: &Finding) -> String {
    let indent = |text: &str| text.lines().map(|l| format!("    {l}\n")).collect::<String>();
    format!(
        "{} ({})\n{}\n\n{}\n\nRaises it:\n\n{}\nMended:\n\n{}",
        rule.rule,
        rule.severity,
        rule.title,
        wrapped(rule.explanation),
        indent(rule.wrong),
        indent(rule.right),
    )
}

/// Text in lines of at most 80 characters.
fn wrapped(text: &str) -> String {
    let mut out = String::new();
    let mut width = 0;
    for word in text.split_whitespace() {
        let length = word.chars().count();
        if width > 0 && width + 1 + length > 80 {
            out.push('\n');
            width = 0;
        } else if width > 0 {
            out.push(' ');
            width += 1;
        }
        out.push_str(word);
        width += length;
    }
    out
}

fn rules_list() -> String {
    let mut rules = rules::all();
    rules.sort_by_key(|r| r.rule);
    rules.iter().fold(String::new(), |mut list, rule| {
        let _ = writeln!(list, "{:<34} {:<8} {}", rule.rule, rule.severity.word(), rule.title);
        list
    })
}

fn nodes_list() -> String {
    let mut names: Vec<&str> = all_nodes(&ROOTS).iter().map(|s| s.name).filter(|n| !n.contains(' ')).collect();
    names.sort_unstable();
    names.dedup();
    names.join("\n") + "\n"
}

fn units_page() -> String {
    let mut page =
        "A quantity is a number and a unit in quotes: \"8.5 in\", \"1/8 in\", \"1 1/2 in\", \"5 in/min\".\n\n"
            .to_owned();
    let mut last = None;
    for unit in UNITS {
        if last != Some(unit.dimension) {
            let _ = writeln!(page, "{}:", unit.dimension.name());
            last = Some(unit.dimension);
        }
        let _ = writeln!(page, "    {}", unit.symbol);
    }
    page
}
