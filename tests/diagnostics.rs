//! Tests of `diagnostics` from outside: what is printed, compared with files under `tests/fixtures/diagnostics`.
//!
//! `UPDATE=1 cargo test` rewrites them; look at what changed before it is committed.

use kerfbook::diagnostics::render::{HumanOptions, human, json, sarif};
use kerfbook::diagnostics::{ArtworkPlace, Diagnostic, Finding, Severity, Sink};
use kerfbook::source::{Source, SourceId, Sources, Span};
use kerfbook::syntax;
use kurbo::Point;
use proptest::prelude::*;
use std::path::Path;

static OUTSIDE: Finding = Finding {
    rule: "layout/outside-board",
    severity: Severity::Error,
    title: "a figure reaches over the edge of the board",
    explanation: "What lies outside the board is cut off with it.",
    wrong: "place right=\"board\" right=\"-4 mm\"",
    right: "place right=\"board\"",
};

static NARROW: Finding = Finding {
    rule: "checks/narrow-bridge",
    severity: Severity::Warning,
    title: "a bridge is narrower than the stock is thick",
    explanation: "A narrow bridge burns through or breaks.",
    wrong: "star points=40",
    right: "star points=12",
};

static HINT: Finding = Finding {
    rule: "plan/no-lesson",
    severity: Severity::Advice,
    title: "nothing was noted down",
    explanation: "What went wrong once is worth a line.",
    wrong: "",
    right: "",
};

const RECIPE: &str = "/- kdl-version 2\nrecipe \"Heron pond keepsake\" language=1\nuse \"bench.shop.kdl\"\n\n\
    board { rectangle \"8.5 in\" \"11 in\" }\nartwork \"heron\" file=\"art/heron.svg\" {\n\tplace right=\"board\" up=\"14 mm\"\n}\n\
    shape \"sun\" {\n    star points=40 outer=\"26 mm\" inner=\"25 mm\" // café, and a remark that makes this line far longer than the terminal is wide\n}\n";
const SHOP: &str = "stock \"birch-3\" thickness=\"3 mm\"\nsetting \"dark\"\n";

/// A recipe and the shop file that it brings in.
fn sources() -> Sources {
    let mut sources = Sources::default();
    let at = RECIPE.find("use").unwrap();
    let add = |sources: &mut Sources, name: &str, text: &str, imported_at| {
        sources.add(Source { name: name.into(), path: None, text: text.into(), imported_at })
    };
    let recipe = add(&mut sources, "recipes/heron pond.recipe.kdl", RECIPE, None);
    add(&mut sources, "recipes/bench.shop.kdl", SHOP, Some(Span::new(recipe, at, at + 20)));
    add(&mut sources, "--set day", "", None);
    sources
}

fn span(source: u32, needle: &str) -> Span {
    let text = [RECIPE, SHOP][source as usize];
    let start = text.find(needle).unwrap();
    Span::new(SourceId(source), start, start + needle.len())
}

fn findings() -> Vec<Diagnostic> {
    let end = Span::new(SourceId(0), RECIPE.len(), RECIPE.len());
    let mut accepted = Diagnostic::new(&NARROW, "`sun` has 3 bridges narrower than `birch-3` is thick")
        .at(span(0, "shape \"sun\" {\n    star points=40"), "this shape");
    accepted.accepted = Some("the points are meant to break".to_owned());
    vec![
        Diagnostic::new(&OUTSIDE, "`heron` reaches 3.2 mm over the right edge of the board")
            .at(span(0, "up=\"14 mm\""), "moves it there")
            .also(span(0, "rectangle \"8.5 in\" \"11 in\""), "the board ends here")
            .in_artwork(ArtworkPlace {
                figure: None,
                file: "recipes/art/heron.svg".into(),
                element: Some("#bird".into()),
                position: Some((14, 3)),
                at: Some(Point::new(219.1, 33.0)),
            })
            .because(
                "the tip of the beak is cut off with the waste, and the outline of the board has a notch there",
            )
            .repair_with("write `up=\"11 mm\"`", span(0, "14 mm"), "11 mm"),
        Diagnostic::new(&NARROW, "the points of `sun` are 1.1 mm wide, but `birch-3` is 3 mm thick")
            .at(
                span(0, "outer=\"26 mm\""),
                "with these two sizes the points are narrower than the wood is thick, so they break",
            )
            .also(span(0, "inner=\"25 mm\""), "")
            .also(span(1, "thickness=\"3 mm\""), "the thickness of the stock"),
        accepted,
        Diagnostic::new(&OUTSIDE, "the setting `dark` has no speed")
            .at(span(1, "setting \"dark\""), "measured nowhere")
            .repair("burn a test card and enter what it shows"),
        Diagnostic::new(&OUTSIDE, "no run cuts the board").at(end, "expected a `run` before the end"),
        Diagnostic::new(&OUTSIDE, "the value of `--set day` is empty")
            .at(Span::new(SourceId(2), 0, 0), "expected a date"),
        Diagnostic::new(&HINT, "no lesson was noted after the last three builds"),
    ]
}

fn expect(name: &str, text: &str) {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/fixtures/diagnostics").join(name);
    if std::env::var_os("UPDATE").is_some() {
        std::fs::create_dir_all(path.parent().unwrap()).unwrap();
        std::fs::write(&path, text).unwrap();
    }
    let expected = std::fs::read_to_string(&path).unwrap_or_default();
    assert_eq!(text, expected, "{name} differs; UPDATE=1 rewrites it");
}

#[test]
fn people_read_findings() {
    let (findings, sources) = (findings(), sources());
    let print = |options| human(&findings, &sources, options);
    expect("plain.txt", &print(HumanOptions::default()));
    expect("narrow.txt", &print(HumanOptions { width: 50, accepted: true, ..HumanOptions::default() }));
    expect("ascii.txt", &print(HumanOptions { unicode: false, ..HumanOptions::default() }));
    expect("colour.txt", &print(HumanOptions { colour: true, ..HumanOptions::default() }));
}

#[test]
fn programs_read_findings() {
    let (findings, sources) = (findings(), sources());
    let text = json(&findings, &sources);
    expect("findings.jsonl", &text);
    let lines: Vec<serde_json::Value> = text.lines().map(|l| serde_json::from_str(l).unwrap()).collect();
    let (summary, objects) = lines.split_last().unwrap();
    assert_eq!(summary["kind"], "summary");
    assert_eq!(summary["errors"], 4);
    for (object, finding) in objects.iter().zip(&findings) {
        let Some(label) = &finding.primary else { continue };
        // Line and column lead to the same byte as the offset, counted here in another way.
        let text = &sources.get(label.span.source).text;
        let [line, column] = ["line", "column"].map(|k| object["start"][k].as_u64().unwrap() as usize);
        let before: usize = text.split_inclusive('\n').take(line - 1).map(str::len).sum();
        let within: usize = text[before..].chars().take(column - 1).map(char::len_utf8).sum();
        assert_eq!(before + within, object["start"]["offset"].as_u64().unwrap() as usize);
    }
    let edit = &objects[0]["repair"]["edits"][0];
    let [from, to] = ["start", "end"].map(|k| edit[k]["offset"].as_u64().unwrap() as usize);
    assert_eq!(&RECIPE[from..to], "14 mm");
}

#[test]
fn services_read_findings() {
    let (findings, sources) = (findings(), sources());
    let text = sarif(&findings, &sources);
    expect("findings.sarif", &text);
    let log: serde_json::Value = serde_json::from_str(&text).unwrap();
    let run = &log["runs"][0];
    for result in run["results"].as_array().unwrap() {
        let index = result["ruleIndex"].as_u64().unwrap() as usize;
        assert_eq!(run["tool"]["driver"]["rules"][index]["id"], result["ruleId"]);
    }
    assert_eq!(run["results"][2]["suppressions"][0]["justification"], "the points are meant to break");
    let place = &run["results"][0]["locations"][0]["physicalLocation"];
    assert_eq!(place["artifactLocation"]["uri"], "recipes/heron%20pond.recipe.kdl");
}

#[test]
fn nothing_is_said_when_there_is_nothing_to_say() {
    assert_eq!(human(&[], &sources(), HumanOptions::default()), "");
}

#[test]
fn a_terminal_shows_control_characters_and_never_obeys_them() {
    let mut sources = Sources::default();
    let text = "a \"\u{1b}]0;title\u{7}\u{1b}[2J\" \u{202E}\n";
    let id =
        sources.add(Source { name: "x\u{1b}[1m.kdl".into(), path: None, text: text.into(), imported_at: None });
    let mut sink = Sink::new();
    syntax::parse(id, text, &mut sink);
    sink.push(Diagnostic::new(&NARROW, format!("`{text}` is odd")).at(Span::new(id, 0, 9), text).repair(text));
    let shown = human(sink.iter(), &sources, HumanOptions::default());
    assert!(shown.contains('\u{241B}'));
    assert!(shown.chars().all(|c| c == '\n' || !c.is_control()), "{shown:?}");
    assert!(!shown.contains('\u{202E}'));
}

#[test]
fn a_line_of_a_megabyte_is_shown_in_part() {
    let text = format!("sheet {}8.5in {}", "\"x\" ".repeat(250_000), "\"y\" ".repeat(10_000));
    let mut sources = Sources::default();
    let id = sources.add(Source {
        name: "long.recipe.kdl".into(),
        path: None,
        text: text.as_str().into(),
        imported_at: None,
    });
    let span = Span::new(id, text.find("8.5in").unwrap(), text.find("8.5in").unwrap() + 5);
    let finding = Diagnostic::new(&NARROW, "too long").at(span, "here");
    let shown = human(&[finding], &sources, HumanOptions::default());
    assert!(shown.contains("8.5in") && shown.contains("long.recipe.kdl:1:1000007"), "{shown}");
    assert!(shown.lines().all(|l| l.chars().count() <= 80), "{shown}");
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::default() })]

    /// Whatever the places, nothing panics and every label is printed.
    #[test]
    fn any_places_can_be_shown(
        text in "[a-zé\u{4E00}\t\r\n \"{}]{0,200}",
        places in proptest::collection::vec((0_usize..220, 0_usize..60), 1..5),
        width in 40_usize..120,
    ) {
        let mut sources = Sources::default();
        let id = sources.add(Source { name: "a.kdl".into(), path: None, text: text.as_str().into(), imported_at: None });
        let floor = |at: usize| (0..=at.min(text.len())).rev().find(|i| text.is_char_boundary(*i)).unwrap();
        let spans: Vec<Span> =
            places.iter().map(|(at, length)| Span::new(id, floor(*at), floor(at + length))).collect();
        let mut finding = Diagnostic::new(&NARROW, "odd").at(spans[0], "first place");
        for span in &spans[1..] {
            finding = finding.also(*span, "another place");
        }
        for colour in [false, true] {
            let shown = human([&finding], &sources, HumanOptions { width, colour, ..HumanOptions::default() });
            prop_assert_eq!(shown.matches("first place").count(), 1, "{}", shown);
            if !text.is_empty() {
                prop_assert_eq!(shown.matches("another place").count(), spans.len() - 1, "{}", shown);
            }
        }
        json([&finding], &sources);
        sarif([&finding], &sources);
    }
}
