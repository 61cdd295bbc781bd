//! Recipes with random mistakes: no panic, every finding in its place, every rendering whole.
//!
//! A few cases by default; `KERFBOOK_CASES=20000 cargo test mutations` tries many.

use kerfbook::diagnostics::Diagnostic;
use kerfbook::diagnostics::render::{HumanOptions, human, json, sarif};
use kerfbook::driver::{Build, Request, compile};
use kerfbook::figures::Cache;
use kerfbook::source::MemoryFiles;
use proptest::prelude::*;
use std::fs;
use std::path::PathBuf;

const SHOP: &str = include_str!("../../recipes/bench.shop.kdl");
const DRAWING: &str = "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"60mm\" height=\"60mm\" viewBox=\"0 0 60 60\">\
    <g id=\"bird\"><path d=\"M5 5H20V20H5Z\"/></g><path class=\"reeds\" d=\"M30 5C40 5 40 40 30 50\" stroke=\"black\"/></svg>";

/// What is put where something else stood: words of the language, numbers, and what breaks programs.
const STRANGERS: &[&str] = &[
    "",
    " ",
    "\n",
    "{",
    "}",
    "{ }",
    "\"",
    "\"\"\"",
    "\\",
    "/-",
    "/*",
    "*/",
    "//",
    "=",
    ";",
    "(",
    ")",
    "(in)",
    "[",
    "#",
    "#\"",
    "#true",
    "#null",
    "true",
    "0",
    "-1",
    "1e400",
    "9999999999999999999999999999999999",
    "0.0000001",
    "\"0 mm\"",
    "\"-3 mm\"",
    "\"1/0 in\"",
    "\"8,5 mm\"",
    "\"9e99 m\"",
    "\"{board.width}\"",
    "\"{board.width} / ({board.width} - {board.width})\"",
    "\"{day}\"",
    "\"{day:%Q}\"",
    "\"{",
    "\"sheet\"",
    "\"board\"",
    "\"pieces\"",
    "\"sun\"",
    "\"date\"",
    "\"100000 mm\"",
    "\"1 nm\"",
    "board",
    "sheet",
    "shape",
    "run",
    "cut",
    "engrave",
    "score",
    "guide",
    "puzzle",
    "weld",
    "subtract",
    "overlap",
    "exclude",
    "circle",
    "line",
    "point",
    "path",
    "star",
    "polygon",
    "offset",
    "place",
    "size",
    "turn",
    "mirror",
    "allow",
    "setting",
    "use",
    "when=\"{day}\"",
    "when=#false",
    "by=\"3 mm\"",
    "of=\"board\"",
    "pieces=2",
    "pieces=100000",
    "rows=1000",
    "\u{feff}",
    "\u{200e}",
    "é",
    "漢",
    "🐟",
    "\u{0}",
    "\u{301}",
    "\r\n",
    "\u{85}",
    "“",
    "'",
    ",",
    ":",
    "- ",
    "\"\\u{110000}\"",
    "\"a\\\"b\"",
];

/// One mistake: where, as a share of the text's pieces, and what kind.
#[derive(Clone, Debug)]
enum Mistake {
    Leave(f64),
    Double(f64),
    Swap(f64, f64),
    Put(f64, usize),
    Insert(f64, usize),
    Cut(f64),
}

fn mistake() -> impl Strategy<Value = Mistake> {
    let at = || 0.0..1.0_f64;
    let stranger = || 0..STRANGERS.len();
    prop_oneof![
        3 => at().prop_map(Mistake::Leave),
        2 => at().prop_map(Mistake::Double),
        2 => (at(), at()).prop_map(|(a, b)| Mistake::Swap(a, b)),
        4 => (at(), stranger()).prop_map(|(a, s)| Mistake::Put(a, s)),
        3 => (at(), stranger()).prop_map(|(a, s)| Mistake::Insert(a, s)),
        1 => at().prop_map(Mistake::Cut),
    ]
}

/// Splits a text into words, runs of blanks and single marks; together they are the text.
fn pieces(text: &str) -> Vec<String> {
    let kind = |c: char| match c {
        c if c.is_alphanumeric() || c == '-' => 0,
        c if c.is_whitespace() => 1,
        _ => 2,
    };
    let mut all: Vec<String> = Vec::new();
    for c in text.chars() {
        match all.last_mut() {
            Some(last) if kind(c) < 2 && last.chars().next().is_some_and(|l| kind(l) == kind(c)) => last.push(c),
            _ => all.push(c.to_string()),
        }
    }
    all
}

fn with_mistakes(text: &str, mistakes: &[Mistake]) -> String {
    let mut all = pieces(text);
    for mistake in mistakes {
        if all.is_empty() {
            break;
        }
        let index = |share: f64| ((share * all.len() as f64) as usize).min(all.len() - 1);
        match *mistake {
            Mistake::Leave(at) => drop(all.remove(index(at))),
            Mistake::Double(at) => all.insert(index(at), all[index(at)].clone()),
            Mistake::Swap(a, b) => {
                let (a, b) = (index(a), index(b));
                all.swap(a, b);
            }
            Mistake::Put(at, stranger) => {
                let at = index(at);
                STRANGERS[stranger].clone_into(&mut all[at]);
            }
            Mistake::Insert(at, stranger) => all.insert(index(at), STRANGERS[stranger].to_owned()),
            Mistake::Cut(at) => all.truncate(index(at) + 1),
        }
    }
    all.concat()
}

fn compiled(recipe: &str, shop: &str) -> Build {
    let mut files = MemoryFiles::default();
    files.insert("pond/pond.recipe.kdl", recipe.as_bytes().to_vec());
    files.insert("bench.shop.kdl", shop.as_bytes().to_vec());
    files.insert("pond/art/heron.svg", DRAWING.as_bytes().to_vec());
    let font = fs::read("tests/fixtures/lettering/Roboto-subset.ttf").unwrap();
    files.insert("pond/fonts/alegreya-medium.ttf", font);
    let request = Request { recipe: PathBuf::from("pond/pond.recipe.kdl"), ..Request::default() };
    compile(&request, &files, &Cache::default())
}

fn check(build: &Build) {
    build.findings.iter().for_each(|finding| in_place(finding, build));
    for width in [40, 80, 200] {
        let options = HumanOptions {
            width,
            unicode: width == 80,
            colour: width == 200,
            accepted: true,
            brief_advice: width == 80,
        };
        human(build.findings.iter(), &build.sources, options);
    }
    for line in json(build.findings.iter(), &build.sources).lines() {
        serde_json::from_str::<serde_json::Value>(line).expect("a line of JSON");
    }
    let log = sarif(build.findings.iter(), &build.sources);
    serde_json::from_str::<serde_json::Value>(&log).expect("a SARIF log");
    assert_eq!(
        build.plan.is_none(),
        build.findings.has_errors(),
        "a plan is there exactly when there is no error"
    );
}

fn in_place(finding: &Diagnostic, build: &Build) {
    let labels = finding.primary.iter().chain(&finding.others).map(|l| l.span);
    let edit = finding.repair.iter().filter_map(|r| r.edit.as_ref()).map(|(span, _)| *span);
    for span in labels.chain(edit) {
        let text = &build.sources.get(span.source).text;
        assert!(text.get(span.start..span.end).is_some(), "{}: {span:?}", finding.finding.rule);
    }
}

fn config() -> ProptestConfig {
    let cases = std::env::var("KERFBOOK_CASES").ok().and_then(|n| n.parse().ok()).unwrap_or(60);
    ProptestConfig { cases, failure_persistence: None, ..ProptestConfig::default() }
}

proptest! {
    #![proptest_config(config())]

    #[test]
    fn a_recipe_with_random_mistakes_is_told_what_is_wrong(mistakes in prop::collection::vec(mistake(), 1..6)) {
        let recipe = fs::read_to_string("recipes/heron-pond/heron-pond.recipe.kdl").unwrap();
        check(&compiled(&with_mistakes(&recipe, &mistakes), SHOP));
    }

    #[test]
    fn a_shop_file_with_random_mistakes_is_told_what_is_wrong(mistakes in prop::collection::vec(mistake(), 1..6)) {
        let recipe = fs::read_to_string("recipes/heron-pond/heron-pond.recipe.kdl").unwrap();
        check(&compiled(&recipe, &with_mistakes(SHOP, &mistakes)));
    }
}

#[test]
fn the_demo_in_memory_is_right_and_pieces_are_the_text() {
    let recipe = fs::read_to_string("recipes/heron-pond/heron-pond.recipe.kdl").unwrap();
    assert_eq!(pieces(&recipe).concat(), recipe);
    let build = compiled(&recipe, SHOP);
    assert!(build.plan.is_some());
    check(&build);
}
