//! The descriptions as pages for people and as JSON for programs.

use super::spec::{Kind, Need, NodeSpec, Often, Slot};
use serde_json::{Value, json};
use std::fmt::Write;

/// The page of one node, as `explain NODE` prints it.
pub fn node_page(spec: &NodeSpec) -> String {
    let mut page = format!("{}\n\n", spec.about);
    for slot in spec.arguments {
        let _ = writeln!(page, "  {:<18} {}", format!("({})", slot.name), slot_words(slot));
    }
    for slot in spec.properties {
        let _ = writeln!(page, "  {:<18} {}", format!("{}=", slot.name), slot_words(slot));
    }
    if !spec.children.is_empty() {
        let _ = writeln!(page, "\nInside it:");
        for (child, often) in spec.children {
            let _ = writeln!(page, "  {:<18} {} ({})", child.name, first_sentence(child.about), often.words());
        }
    }
    let _ = write!(page, "\nExample:\n\n    {}\n", spec.example.replace('\n', "\n    "));
    page
}

fn slot_words(slot: &Slot) -> String {
    let need = match slot.need {
        Need::Required => "has to be written".to_owned(),
        Need::Optional => "may be left out".to_owned(),
        Need::Default(value) => format!("{value} if left out"),
        Need::Repeated => "one or more".to_owned(),
    };
    format!("{}: {}; {need}", slot.about, slot.expects())
}

fn first_sentence(text: &str) -> &str {
    text.split_inclusive(['.', ';']).next().unwrap_or(text).trim_end_matches(['.', ';'])
}

/// What holds for every node, and so stands in none of the descriptions.
pub const CONDITIONS: &str = "Every node takes `when=`, which switches it on: `when=\"{tray}\"` for a switch, `when=\"{level} == hard\"` or \
    `when=\"{level} != hard\"` for a choice or text. A node that is switched off counts as not written.";

/// A Markdown page over all nodes reachable from `roots`, each once, in reading order.
pub fn reference_page(title: &str, roots: &[&'static NodeSpec]) -> String {
    let mut page =
        format!("# {title}\n\nMade from the descriptions in the source; do not edit.\n\n{CONDITIONS}\n");
    for spec in all_nodes(roots) {
        let _ = write!(page, "\n## {}\n\n{}\n", spec.name, spec.about);
        let slots = spec.arguments.iter().map(|s| (s, false)).chain(spec.properties.iter().map(|s| (s, true)));
        if !spec.arguments.is_empty() || !spec.properties.is_empty() {
            page.push_str("\n| written as | takes | need | meaning |\n|---|---|---|---|\n");
        }
        for (slot, is_property) in slots {
            let written =
                if is_property { format!("`{}=`", slot.name) } else { format!("argument: {}", slot.name) };
            let need = match slot.need {
                Need::Required => "required".to_owned(),
                Need::Optional => "optional".to_owned(),
                Need::Default(value) => format!("default `{value}`"),
                Need::Repeated => "one or more".to_owned(),
            };
            let takes = slot.expects().replace('|', "\\|");
            let _ = writeln!(page, "| {written} | {takes} | {need} | {} |", slot.about);
        }
        if !spec.children.is_empty() {
            let inside: Vec<String> =
                spec.children.iter().map(|(c, o)| format!("`{}` ({})", c.name, o.words())).collect();
            let _ = write!(page, "\nInside it: {}.\n", inside.join(", "));
        }
        let _ = write!(page, "\n```kdl\n{}\n```\n", spec.example);
    }
    page
}

/// Every node reachable from `roots`, each description once, parents before children.
pub fn all_nodes(roots: &[&'static NodeSpec]) -> Vec<&'static NodeSpec> {
    let mut found: Vec<&'static NodeSpec> = Vec::new();
    let mut waiting: Vec<&'static NodeSpec> = roots.iter().rev().copied().collect();
    while let Some(spec) = waiting.pop() {
        if found.iter().any(|s| std::ptr::eq(*s, spec)) {
            continue;
        }
        found.push(spec);
        waiting.extend(spec.children.iter().rev().map(|(c, _)| *c));
    }
    found
}

/// The same as JSON: what an editor or another program needs to know of the language.
pub fn language_json(title: &str, roots: &[&'static NodeSpec]) -> String {
    let nodes: Vec<Value> = all_nodes(roots).into_iter().map(node_json).collect();
    let page = json!({ "title": title, "language": 1, "nodes": nodes });
    serde_json::to_string_pretty(&page).unwrap_or_default() + "\n"
}

fn node_json(spec: &NodeSpec) -> Value {
    let children: Vec<Value> = spec
        .children
        .iter()
        .map(|(child, often)| {
            let (least, most) = match often {
                Often::Once => (1, json!(1)),
                Often::AtMostOnce => (0, json!(1)),
                Often::Any => (0, Value::Null),
            };
            json!({ "node": child.name, "at_least": least, "at_most": most })
        })
        .collect();
    json!({
        "node": spec.name,
        "about": spec.about,
        "arguments": spec.arguments.iter().map(slot_json).collect::<Vec<_>>(),
        "properties": spec.properties.iter().map(slot_json).collect::<Vec<_>>(),
        "children": children,
        "example": spec.example,
    })
}

fn slot_json(slot: &Slot) -> Value {
    let (kind, detail) = match slot.kind {
        Kind::Text => ("text", Value::Null),
        Kind::Verbatim => ("verbatim", Value::Null),
        Kind::Path => ("path", Value::Null),
        Kind::NewName => ("new-name", Value::Null),
        Kind::NameOf(what) => ("name-of", json!(what)),
        Kind::Quantity { dimension, zero } => {
            ("quantity", json!({ "dimension": format!("{dimension:?}").to_lowercase(), "zero": zero }))
        }
        Kind::Signed(dimension) => {
            ("signed-quantity", json!({ "dimension": format!("{dimension:?}").to_lowercase() }))
        }
        Kind::NameOrLength(what) => ("name-or-length", json!(what)),
        Kind::Count(low, high) => ("count", json!([low, high])),
        Kind::Flag => ("flag", Value::Null),
        Kind::Word(words) => ("word", words.iter().map(|w| json!({ "word": w.word, "about": w.about })).collect()),
        Kind::Colour => ("colour", Value::Null),
        Kind::Any => ("any", Value::Null),
    };
    let (need, default) = match slot.need {
        Need::Required => ("required", Value::Null),
        Need::Optional => ("optional", Value::Null),
        Need::Default(value) => ("optional", json!(value)),
        Need::Repeated => ("repeated", Value::Null),
    };
    let mut all = json!({ "name": slot.name, "kind": kind, "of": detail, "need": need, "default": default, "about": slot.about });
    if let Some((least, most)) = slot.range {
        all["range"] = json!([least, most]);
    }
    all
}
