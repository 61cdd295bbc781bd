//! What to write instead of a selector that finds nothing.

use super::document::Document;
use crate::diagnostics::{Diagnostic, near_names, quoted_list};
use crate::intake::select::Selector;

/// The finding with the names that the file has, and with the exact repair where only one can be meant.
pub(super) fn other_name(diagnostic: Diagnostic, document: &Document, selector: &Selector) -> Diagnostic {
    let (known, near) = names_like(document, selector);
    if near.is_empty() {
        return diagnostic.repair(format!("the file has {known}"));
    }
    let text = format!("write {}", quoted_list(near.iter().map(String::as_str), "or"));
    match (near.as_slice(), selector.span()) {
        ([only], Some(span)) if selector.is_one_name() && !only.contains('"') => {
            diagnostic.repair_with(text, span, format!("\"{only}\""))
        }
        _ => diagnostic.repair(text),
    }
}

/// What the file has to offer to selectors, in words, and the names in it that come close.
fn names_like(document: &Document, selector: &Selector) -> (String, Vec<String>) {
    let (mut ids, mut classes, mut labels) = (Vec::new(), Vec::new(), Vec::new());
    for node in document.xml.descendants().filter(roxmltree::Node::is_element) {
        ids.extend(node.attribute("id").map(|id| format!("#{id}")));
        for class in node.attribute("class").unwrap_or_default().split_ascii_whitespace() {
            classes.push(format!(".{class}"));
        }
        let label = node.attributes().find(|a| a.name() == "label");
        labels.extend(label.map(|a| format!("[label=\"{}\"]", a.value())));
    }
    for list in [&mut ids, &mut classes, &mut labels] {
        list.sort();
        list.dedup();
    }
    let all: Vec<&str> = ids.iter().chain(&classes).chain(&labels).map(String::as_str).collect();
    let bare = |name: &str| {
        name.trim_start_matches(['#', '.']).trim_start_matches("[label=\"").trim_end_matches("\"]").to_owned()
    };
    let bare_names: Vec<String> = all.iter().map(|n| bare(n)).collect();
    let mut near: Vec<String> = Vec::new();
    for wanted in selector.wanted_names() {
        // The right name with the wrong sign before it, then names that are spelt alike.
        let alike = near_names(&wanted, bare_names.iter().map(String::as_str));
        let same = |bare: &String| *bare == wanted || alike.contains(&bare.as_str());
        near.extend(all.iter().zip(&bare_names).filter(|(_, b)| same(b)).map(|(full, _)| (*full).to_owned()));
    }
    near.dedup();
    near.truncate(3);
    let some = |what: &str, list: &[String]| {
        let shown = quoted_list(list.iter().take(4).map(String::as_str), "and");
        let more = if list.len() > 4 { format!(" (and {} more)", list.len() - 4) } else { String::new() };
        (!list.is_empty()).then(|| format!("{what} {shown}{more}"))
    };
    let known: Vec<String> = [some("the ids", &ids), some("the classes", &classes), some("the layers", &labels)]
        .into_iter()
        .flatten()
        .collect();
    let known = if known.is_empty() {
        "no ids, classes or layers; select by tag or `[fill=\"…\"]`".to_owned()
    } else {
        known.join("; ")
    };
    (known, near)
}
