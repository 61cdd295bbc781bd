//! Every node's example is read against its description, and so is everything in it.

use jiff::civil::Date;
use kerfbook::diagnostics::Sink;
use kerfbook::recipe::ROOTS;
use kerfbook::schema::{InputValue, NodeSpec, Reader, Scope, ScopeEntry, all_nodes};
use kerfbook::source::{SourceId, Span, Spanned};
use kerfbook::syntax::{Node, parse};

/// The inputs that examples name.
fn scope() -> Scope {
    let span = Span::new(SourceId(0), 0, 0);
    let mut scope = Scope::default();
    let mut add = |name: &str, value| scope.declare(name, ScopeEntry { value: Some(value), span });
    add("day", InputValue::Date(Date::constant(2027, 8, 14)));
    add("picture", InputValue::File { path: "art/heron.svg".to_owned(), from: SourceId(0) });
    add("name", InputValue::Text("Ada".to_owned()));
    scope
}

/// Reads a node and everything in it; tells how many nodes that were.
fn read(node: &Node, spec: &'static NodeSpec, reader: &mut Reader) -> usize {
    let children: Vec<(&'static NodeSpec, &Node)> = reader.read(node, spec).children().collect();
    1 + children.into_iter().map(|(spec, node)| read(node, spec, reader)).sum::<usize>()
}

/// The one node of a text, or for the description of a file a node that holds them all.
fn node_of(text: &str, spec: &NodeSpec, sink: &mut Sink) -> Node {
    let mut document = parse(SourceId(0), text, sink).unwrap_or_else(|| panic!("{text}"));
    if spec.name.contains(' ') {
        let head = Span::new(SourceId(0), 0, 0);
        return Node {
            name: Spanned::new(spec.name.to_owned(), head),
            arguments: Vec::new(),
            properties: Vec::new(),
            children: Some(document.nodes),
            span: document.span,
            head,
        };
    }
    assert_eq!(document.nodes.len(), 1, "the example of `{}` shows one node", spec.name);
    document.nodes.remove(0)
}

#[test]
fn every_example_is_right() {
    let specs = all_nodes(&ROOTS);
    assert!(specs.len() > 50, "{}", specs.len());
    for spec in specs {
        let mut sink = Sink::new();
        let node = node_of(spec.example, spec, &mut sink);
        if !spec.name.contains(' ') {
            assert_eq!(node.name.value, spec.name, "the example of `{}` shows another node", spec.name);
        }
        let count = read(&node, spec, &mut Reader { scope: &scope(), sink: &mut sink });
        let said: Vec<String> = sink.iter().map(|d| format!("{}: {}", d.finding.rule, d.message)).collect();
        assert!(said.is_empty(), "`{}`, {count} nodes: {said:#?}\n{}", spec.name, spec.example);
    }
}

#[test]
fn a_wrong_example_would_be_noticed() {
    let mut sink = Sink::new();
    let sheet = all_nodes(&ROOTS).into_iter().find(|s| s.name == "sheet").unwrap();
    let node = node_of("sheet \"12 in\" 12 colour=\"red\"", sheet, &mut sink);
    read(&node, sheet, &mut Reader { scope: &scope(), sink: &mut sink });
    let rules: Vec<&str> = sink.iter().map(|d| d.finding.rule).collect();
    assert_eq!(rules, ["schema/no-unit", "schema/unknown-property"]);
}
