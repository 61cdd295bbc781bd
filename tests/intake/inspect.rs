//! What `inspect` lists of an artwork file, and its JSON against the schema.

use super::svg::HERON;
use kerfbook::cli::artwork_json::{artwork_json, artwork_schema, picture_json};
use kerfbook::diagnostics::Sink;
use kerfbook::intake::svg::{Inventory, SvgRequest, embedded_pictures, inventory};
use kerfbook::source::{Source, Sources, Span};
use std::path::Path;

const HEAD: &str = "<svg xmlns='http://www.w3.org/2000/svg' width='100mm' height='80mm' viewBox='0 0 100 80'>";

fn listed(svg: &str) -> (Inventory, Sink, Sources) {
    let mut sources = Sources::default();
    let source =
        Source { name: "the command".into(), path: None, text: "inspect a.svg".into(), imported_at: None };
    let node = Span::new(sources.add(source), 8, 13);
    let mut sink = Sink::new();
    let held = inventory(&SvgRequest::new("a.svg", svg.as_bytes(), node), &mut sink).expect("an inventory");
    (held, sink, sources)
}

#[test]
fn parts_colours_texts_and_counts_are_listed() {
    let body = "<g id='bird' label='The bird'><path class='wing far' d='M0 0H10V10H0Z' fill='red'/>\
        <path d='M20 0H30V10H20Z' fill='#f00'/><path d='M0 40H50' stroke='navy'/></g>\
        <text id='words' font-family=\"'Gentium', serif\">Heron <tspan>pond</tspan></text><g display='none'><rect/></g>";
    let (held, _, _) = listed(&format!("{HEAD}{body}</svg>"));
    let parts: Vec<(&str, usize, usize)> =
        held.parts.iter().map(|p| (p.selector.as_str(), p.depth, p.shapes)).collect();
    assert_eq!(parts, [("#bird", 0, 3), (".wing", 1, 1), ("#words", 0, 1)]);
    assert_eq!(held.parts[0].label.as_deref(), Some("The bird"));
    assert_eq!((held.counts["path"], held.counts["text"], held.counts.len()), (3, 1, 2));
    assert_eq!(
        (held.texts[0].text.as_str(), held.texts[0].family.as_deref()),
        ("Heron pond", Some("Gentium, serif"))
    );
    let colours = &held.artwork.as_ref().unwrap().colours;
    let red = colours.iter().find(|c| c.colour == [255, 0, 0]).unwrap();
    assert!(!red.is_stroke && red.shapes == 2 && (red.extent - 200.0).abs() < 1e-3, "{red:?}");
    let navy = colours.iter().find(|c| c.is_stroke).unwrap();
    assert!(navy.colour == [0, 0, 128] && (navy.extent - 50.0).abs() < 1e-3, "{navy:?}");
}

/// RFC 2397 addresses; the place worked out by hand.
#[test]
fn embedded_pictures_come_with_their_place() {
    let body = "<g transform='translate(10 5) scale(2)'><image id='pond' x='5' y='5' width='20' height='10' href='data:image/png;base64,Zm9vYmFy'/></g>\
        <image href='data:;base64,Zm9v*'/><image href='pond.png' width='5' height='5'/><image id='off' display='none' href='data:,a'/>";
    let svg = format!("{HEAD}{body}</svg>");
    let node = Span::new(kerfbook::source::SourceId(0), 0, 0);
    let found = embedded_pictures(&SvgRequest::new("a.svg", svg.as_bytes(), node));
    assert_eq!(found.len(), 2, "{found:?}");
    assert_eq!((found[0].element.as_str(), found[0].bytes.as_deref()), ("#pond", Ok(b"foobar".as_slice())));
    let frame = found[0].frame.unwrap();
    let off = [frame.x0 - 20.0, frame.y0 - 15.0, frame.x1 - 60.0, frame.y1 - 35.0];
    assert!(off.iter().all(|d| d.abs() < 1e-4), "{frame:?}");
    let [a, b, c, d, ..] = found[0].movement.unwrap().as_coeffs();
    assert!((a - d).abs() < 1e-6 && a > 0.0 && b.abs() < 1e-6 && c.abs() < 1e-6, "scaled alike, and nothing else");
    assert!(found[1].bytes.as_ref().unwrap_err().contains("base64") && found[1].frame.is_none(), "{:?}", found[1]);
    let take = [kerfbook::intake::parse_selector("#pond").unwrap()];
    let taken = SvgRequest { take: &take, ..SvgRequest::new("a.svg", svg.as_bytes(), node) };
    assert_eq!(embedded_pictures(&taken).len(), 1);
}

#[test]
fn the_json_fits_its_schema_and_the_schema_is_fresh() {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("schema/artwork.schema.json");
    if std::env::var_os("UPDATE").is_some() {
        std::fs::write(&path, artwork_schema()).unwrap();
    }
    let kept = std::fs::read_to_string(&path).unwrap_or_default();
    assert!(kept == artwork_schema(), "`schema/artwork.schema.json` is out of date: run the tests with UPDATE=1");
    let schema: serde_json::Value = serde_json::from_str(&kept).unwrap();
    jsonschema::meta::validate(&schema).expect("a valid schema");
    let validator = jsonschema::draft202012::new(&schema).expect("a schema that compiles");
    let picture = "<image href='data:,a' width='9' height='9'/><text>a</text></svg>";
    for svg in [HERON.to_owned(), HERON.replace("</svg>", picture), format!("{HEAD}</svg>")] {
        let (held, sink, sources) = listed(&svg);
        let value = serde_json::from_str(&artwork_json("a.svg", &held, sink.iter(), &sources)).unwrap();
        let errors: Vec<String> = validator.iter_errors(&value).map(|e| e.to_string()).collect();
        assert!(errors.is_empty(), "{errors:#?}");
    }
    let value = picture_json("a.png", "PNG", (30, 20), [].iter(), &Sources::default());
    assert!(validator.is_valid(&serde_json::from_str(&value).unwrap()));
}
