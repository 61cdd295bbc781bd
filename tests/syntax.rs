//! Tests of `syntax` from outside.

use kerfbook::diagnostics::Sink;
use kerfbook::source::{SourceId, Span};
use kerfbook::syntax::{Document, ValueData, parse};

fn read(text: &str) -> (Option<Document>, Sink) {
    let mut sink = Sink::new();
    let document = parse(SourceId(0), text, &mut sink);
    (document, sink)
}

fn tree(text: &str) -> Document {
    let (document, sink) = read(text);
    assert_eq!(sink.iter().count(), 0, "{text}: {:?}", sink.iter().collect::<Vec<_>>());
    document.expect(text)
}

fn slice(text: &str, span: Span) -> &str {
    text.get(span.start..span.end).expect("a span inside the text, on character boundaries")
}

#[test]
fn spans_slice_to_what_they_name() {
    let text = "\u{FEFF}// café\r\nsheet \"12 in\" (in)8.5 corner = 0x1F /-gone=1 wide=#true {\r\n  é \"a\\n\" ; /- b\r\n  c {}\r\n}\r\n";
    let document = tree(text);
    let sheet = &document.nodes[0];
    assert_eq!(slice(text, sheet.name.span), "sheet");
    assert_eq!(slice(text, sheet.head), "sheet \"12 in\" (in)8.5 corner = 0x1F /-gone=1 wide=#true");
    assert!(slice(text, sheet.span).starts_with("sheet ") && slice(text, sheet.span).ends_with("c {}\r\n}"));
    assert_eq!(slice(text, sheet.arguments[0].span), "\"12 in\"");
    assert_eq!(slice(text, sheet.arguments[0].inside(3, 5)), "in");
    assert_eq!(slice(text, sheet.arguments[1].annotation.as_ref().unwrap().span), "in");
    assert_eq!(sheet.arguments[1].data, ValueData::Number("8.5".to_owned()));
    assert_eq!(slice(text, sheet.properties[0].span), "corner = 0x1F");
    assert_eq!(sheet.properties[0].value.data, ValueData::Number("0x1F".to_owned()));
    assert_eq!(sheet.properties[1].value.data, ValueData::Flag(true));
    let children = sheet.children.as_ref().unwrap();
    assert_eq!(children.iter().map(|n| n.name.value.as_str()).collect::<Vec<_>>(), ["é", "c"]);
    assert_eq!(children[0].arguments[0].inner, None, "an escape: the text does not stand there byte for byte");
    assert_eq!(children[1].children.as_ref().map(Vec::len), Some(0));
}

#[test]
fn doubled_properties_are_kept() {
    let document = tree("cut \"a\" power=1 power=2");
    assert_eq!(document.nodes[0].properties.len(), 2);
}

#[test]
fn hostile_texts_are_refused() {
    for (text, rule) in [
        ("a {".repeat(100_000), "syntax/nested-too-deep"),
        ("x ".repeat(3_000_000), "syntax/text-too-large"),
        ("PK\u{3}\u{4}\0\0".to_owned(), "syntax/not-a-text"),
    ] {
        let (document, sink) = read(&text);
        assert!(document.is_none());
        assert_eq!(sink.iter().map(|d| d.finding.rule).collect::<Vec<_>>(), [rule]);
    }
}

#[test]
fn a_banner_of_stars_does_not_exhaust_the_stack() {
    let text = format!("/*{}*/ sheet 1", "*".repeat(200_000));
    assert_eq!(tree(&text).nodes.len(), 1);
}
