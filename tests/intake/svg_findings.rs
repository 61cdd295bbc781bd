//! Every rule about SVG has a case that raises it, and hostile files are refused with a place.

use super::svg::read;
use kerfbook::diagnostics::{Severity, Sink};
use kerfbook::intake::svg::RULES;
use kerfbook::intake::{SvgRequest, read_svg};
use kerfbook::source::{SourceId, Span};
use std::time::{Duration, Instant};

const HEAD: &str =
    "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"50mm\" height=\"50mm\" viewBox=\"0 0 50 50\">";
const INK: &str = "<rect id='ink' x='5' y='5' width='9' height='9'/>";

/// Bodies, each with the rules it has to raise and no other.
const BODIES: &[(&str, &[&str])] = &[
    ("", &[]),
    ("<text id='t' x='5' y='5'>words</text>", &["artwork/text-not-outlined"]),
    ("<image id='i' width='5' height='5' href='data:image/png;base64,AAAA'/>", &["artwork/embedded-picture"]),
    ("<image width='5' height='5' href='data:;base64,AAAA'/>", &["artwork/embedded-picture"]),
    ("<image width='5' height='5' href='../../etc/hostname'/>", &["artwork/linked-file"]),
    ("<image width='5' height='5' href='http://192.0.2.1/a.png'/>", &["artwork/linked-file"]),
    ("<use href='other.svg#a'/>", &["artwork/linked-file"]),
    ("<script>1</script>", &["artwork/not-a-drawing"]),
    ("<foreignObject width='5' height='5'/>", &["artwork/not-a-drawing"]),
    ("<rect width='5' height='5'><animate attributeName='x' to='9'/></rect>", &["artwork/not-a-drawing"]),
    ("<rect width='5' height='5' fill='url(#gone)'/>", &["artwork/dangling-reference"]),
    ("<rect width='5' height='5' clip-path='url(#gone)'/>", &["artwork/dangling-reference"]),
    ("<use href='#gone'/>", &["artwork/dangling-reference"]),
    ("<rect id='ink' width='5' height='5'/>", &["artwork/same-id"]),
    ("<style>@media print { rect { fill: none } }</style>", &["artwork/style-not-understood"]),
    ("<style>@import url(http://192.0.2.1/a.css);</style>", &["artwork/style-not-understood"]),
    ("<style>rect:nth-child(2) { fill: none }</style>", &["artwork/style-not-understood"]),
    (
        "<linearGradient id='g'><stop/><stop offset='1' stop-color='#333'/></linearGradient><rect width='5' height='5' fill='url(#g)'/>",
        &["artwork/gradient"],
    ),
    (
        "<pattern id='p' width='1' height='1'><rect width='1' height='1'/></pattern><rect width='5' height='5' fill='url(#p)'/>",
        &[],
    ),
    (
        "<pattern id='p' width='.001' height='.001'><rect width='1' height='1'/></pattern><rect width='5' height='5' fill='url(#p)'/>",
        &["artwork/pattern"],
    ),
    (
        "<mask id='m'><rect width='5' height='5' fill='#fff'/></mask><rect width='5' height='5' mask='url(#m)'/>",
        &[],
    ),
    (
        "<mask id='m'><rect width='5' height='5' fill='#aaa'/></mask><rect width='5' height='5' mask='url(#m)'/>",
        &["artwork/mask"],
    ),
    (
        "<filter id='f'><feGaussianBlur/></filter><g filter='url(#f)'><rect width='5' height='5'/></g>",
        &["artwork/filter"],
    ),
    ("<g filter='url(#gone)'><rect width='5' height='5'/></g>", &["artwork/filter"]),
    ("<g opacity='.6'><rect width='5' height='5'/></g>", &["artwork/translucent"]),
    ("<rect width='5' height='5' fill='rgba(0,0,0,.5)'/>", &["artwork/translucent"]),
    ("<g style='mix-blend-mode:multiply'><rect width='5' height='5'/></g>", &["artwork/translucent"]),
    ("<path d='M0 5H50' stroke='black' stroke-dasharray='.00001'/>", &["artwork/too-many-dashes"]),
    ("<circle cx='1e30' r='2'/>", &["artwork/far-away"]),
    ("<circle r='2' transform='scale(1e20)'/>", &["artwork/far-away"]),
    ("<circle cx='50' cy='25' r='5'/>", &["artwork/outside-page"]),
    ("<path d='M10 10H90' stroke='black'/>", &["artwork/outside-page"]),
    ("<path d='M0 0H50V50H0Z' stroke='black' fill='none'/>", &[]),
    (
        "<clipPath id='c'><rect x='40' width='5' height='5'/></clipPath><circle r='5' cx='9' cy='9' clip-path='url(#c)'/>",
        &["artwork/clipped-away"],
    ),
    ("<circle r='0'/>", &["artwork/shape-lost"]),
    ("<rect width='-5' height='5'/>", &["artwork/shape-lost"]),
    ("<path d='M20 20L30 30'/>", &["artwork/no-area"]),
    ("<circle cx='9' cy='9' r='2' fill='white'/>", &["artwork/white-covers"]),
    ("<circle cx='30' cy='30' r='2' fill='white'/>", &[]),
    ("<circle cx='30' cy='30' r='2' fill='navy'/>", &["artwork/colours-merged"]),
    ("<circle cx='30' cy='30' r='2' display='none'/>", &["artwork/hidden"]),
    ("<g visibility='hidden'><circle cx='30' cy='30' r='2'/></g>", &["artwork/hidden"]),
    ("<circle cx='30' cy='30' r='2' opacity='0'/>", &["artwork/hidden"]),
    ("<circle cx='30' cy='30' r='2' fill='none'/>", &["artwork/hidden"]),
    ("<path d='M20 20H30V30L'/>", &["artwork/bad-path-data"]),
    ("<path d='M20 20H30V30L1e999 5'/>", &["artwork/bad-path-data"]),
    ("<path d='M20 20H30V30LNaN 5'/>", &["artwork/bad-path-data"]),
    ("<path d='L20 20H30V30Z'/>", &["artwork/bad-path-data"]),
    ("<g id='a'><use href='#a'/></g>", &["artwork/reference-cycle"]),
    ("<g id='a'><use href='#b'/></g><g id='b'><use href='#a'/></g>", &["artwork/reference-cycle"]),
    (
        "<clipPath id='a' clip-path='url(#b)'><rect width='9' height='9'/></clipPath><clipPath id='b' clip-path='url(#a)'><rect width='9' height='9'/></clipPath><rect width='5' height='5' clip-path='url(#a)'/>",
        &["artwork/reference-cycle"],
    ),
];

fn rules_of(said: &[String]) -> Vec<&str> {
    let mut rules: Vec<&str> =
        said.iter().filter_map(|s| s.split(' ').nth(1)).map(|r| r.trim_end_matches(':')).collect();
    rules.sort_unstable();
    rules.dedup();
    rules
}

#[test]
fn each_body_raises_its_rules_and_no_other() {
    for (body, rules) in BODIES {
        let (_, said) = read(format!("{HEAD}{INK}{body}</svg>").as_bytes(), &[], &[]);
        assert_eq!(rules_of(&said), *rules, "{body}\n{said:#?}");
    }
}

/// Whole files, each with the one error it has to raise and what its message has to say.
fn files() -> Vec<(Vec<u8>, &'static str, &'static str)> {
    let text = |t: &str| t.as_bytes().to_vec();
    let deep = format!("{HEAD}{}{INK}{}</svg>", "<g>".repeat(100_000), "</g>".repeat(100_000));
    let many = format!("{HEAD}{}</svg>", "<g/>".repeat(1_000_001));
    let laughs: String = (1..=7)
        .map(|i| format!("<g id='l{i}'>{}</g>", format!("<use href='#l{}'/>", i - 1).repeat(10)))
        .collect::<Vec<String>>()
        .concat();
    let entities: String = (1..12)
        .map(|i| format!("<!ENTITY e{i} \"{}\">", format!("&e{};", i - 1).repeat(10)))
        .collect::<Vec<String>>()
        .concat();
    vec![
        (text(""), "artwork/not-svg", "empty"),
        (text("<!DOCTYPE html><html><body>not found</body></html>"), "artwork/not-svg", "HTML"),
        (text("<kml xmlns='a'/>"), "artwork/not-svg", "`kml`"),
        (vec![0x1f, 0x8b, 8, 0, 0, 0, 0, 0, 0, 3, 1], "artwork/not-svg", "unpacked"),
        (format!("{HEAD}\u{0}</svg>").into_bytes(), "artwork/malformed", "U+0000"),
        (text("<svg><g></svg>"), "artwork/malformed", "closes `svg` where `g`"),
        (text("<svg><!-- & --><title>a & b</title></svg>"), "artwork/malformed", "`&`"),
        (
            text("<!DOCTYPE svg [<!ENTITY x SYSTEM 'file:///etc/hostname'>]><svg><title>&x;</title></svg>"),
            "artwork/malformed",
            "never read",
        ),
        (
            format!("<!DOCTYPE svg [<!ENTITY e0 'ha'>{entities}]>{HEAD}<title>&e11;</title></svg>").into_bytes(),
            "artwork/malformed",
            "without end",
        ),
        (deep.into_bytes(), "artwork/too-deep", "400"),
        (many.into_bytes(), "artwork/too-large", "1000000"),
        (
            format!(
                "{HEAD}<defs><rect id='l0' width='1' height='1'/>{laughs}</defs><use id='joke' href='#l7'/></svg>"
            )
            .into_bytes(),
            "artwork/too-large",
            "200000",
        ),
        (
            text(
                "<svg xmlns='http://www.w3.org/2000/svg' width='10,5mm' height='8mm'><path d='M0 0h9v9z'/></svg>",
            ),
            "artwork/bad-size",
            "`10,5mm`",
        ),
        (
            text("<svg xmlns='http://www.w3.org/2000/svg' viewBox='0 0 0 0'><path d='M0 0h9v9z'/></svg>"),
            "artwork/bad-view-box",
            "`0 0 0 0`",
        ),
        (format!("{HEAD}<text>a</text></svg>").into_bytes(), "artwork/nothing-drawn", "text"),
        (format!("{HEAD}<path d='M0 0h9v9z' fill='white'/></svg>").into_bytes(), "artwork/nothing-drawn", "dark"),
    ]
}

#[test]
fn hostile_files_are_refused_in_time_with_a_place() {
    for (bytes, rule, words) in files() {
        let start = Instant::now();
        let mut sink = Sink::new();
        let node = Span::new(SourceId(0), 0, 0);
        read_svg(&SvgRequest::new("art/test.svg", &bytes, node), &mut sink);
        let found = sink.iter().find(|d| d.severity == Severity::Error && d.finding.rule == rule);
        let all: Vec<String> = sink.iter().map(|d| format!("{} {}", d.finding.rule, d.message)).collect();
        let found = found.unwrap_or_else(|| panic!("no {rule}: {all:?}"));
        assert!(found.message.contains("`art/test.svg`") && found.message.contains(words), "{}", found.message);
        assert!(found.repair.is_some(), "{rule} has no repair");
        assert!(!found.artwork.is_empty(), "{rule} has no place");
        assert!(start.elapsed() < Duration::from_secs(8), "{rule} took {:?}", start.elapsed());
    }
}

#[test]
fn every_rule_is_explained_and_has_a_case() {
    let mut raised: Vec<String> = files().into_iter().map(|f| f.1.to_owned()).collect();
    raised.extend(BODIES.iter().flat_map(|b| b.1).map(|r| (*r).to_owned()));
    // Raised by the cases beside the code, by selectors, or by what no test should wait for or bring about.
    let elsewhere = [
        "artwork/font-not-named",
        "artwork/glyph-missing",
        "artwork/font-style",
        "artwork/bad-font",
        "artwork/namespace-missing",
        "artwork/aspect-differs",
        "artwork/selector-matches-nothing",
        "artwork/too-slow",
        "artwork/reader-failed",
    ];
    for finding in RULES {
        assert!(finding.rule.starts_with("artwork/"));
        assert!(
            finding.explanation.len() > 80 && !finding.wrong.is_empty() && finding.wrong != finding.right,
            "{}",
            finding.rule
        );
        assert!(
            elsewhere.contains(&finding.rule) || raised.iter().any(|r| r == finding.rule),
            "{} has no case",
            finding.rule
        );
    }
    let mut names: Vec<&str> = RULES.iter().map(|f| f.rule).collect();
    names.sort_unstable();
    names.dedup();
    assert_eq!(names.len(), RULES.len());
}

/// A pattern in a pattern in a pattern: nine kilobytes that kept a resolver busy for half a minute.
#[test]
fn a_pattern_bomb_costs_nothing() {
    let patterns: String = (0..60)
        .map(|i| format!("<pattern id='p{i}' width='.01' height='.01'><rect width='9' height='9' fill='url(#p{})'/></pattern>", i + 1))
        .collect::<Vec<String>>().concat();
    let start = Instant::now();
    let (artwork, said) =
        read(format!("{HEAD}{patterns}<rect width='40' height='40' fill='url(#p0)'/></svg>").as_bytes(), &[], &[]);
    assert_eq!(rules_of(&said), ["artwork/pattern"]);
    assert!((artwork.unwrap().drawing.ink.area().get() - 1600.0).abs() < 1e-3);
    assert!(start.elapsed() < Duration::from_secs(2));
}

/// Files of other systems and editors: the same drawing comes of them.
#[test]
fn encodings_line_ends_and_lost_namespaces_make_no_difference() {
    let plain = format!("{HEAD}\n\t{INK}\n</svg>");
    let wanted = read(plain.as_bytes(), &[], &[]).0.unwrap().drawing.ink;
    let utf16: Vec<u8> = [0xfe, 0xff].into_iter().chain(plain.encode_utf16().flat_map(u16::to_be_bytes)).collect();
    let latin =
        [b"<?xml version='1.0' encoding='iso-8859-1'?><!-- Gr\xe4ser -->".as_slice(), plain.as_bytes()].concat();
    let crlf = format!("\u{feff}{}", plain.replace('\n', "\r\n"));
    let late = format!("\n\n<?xml version='1.0'?>{plain}");
    for bytes in [utf16, latin, crlf.into_bytes(), late.into_bytes()] {
        let (artwork, said) = read(&bytes, &[], &[]);
        assert!(said.is_empty(), "{said:?}");
        assert_eq!(artwork.unwrap().drawing.ink, wanted);
    }
    let bare = plain.replace(" xmlns=\"http://www.w3.org/2000/svg\"", "");
    let prefixed = plain.replace("<rect", "<rect pen:mode='3' xlink:title='a'");
    for text in [bare, prefixed] {
        let (artwork, said) = read(text.as_bytes(), &[], &[]);
        assert_eq!(rules_of(&said), ["artwork/namespace-missing"]);
        assert_eq!(artwork.unwrap().drawing.ink, wanted);
    }
}

#[test]
fn findings_name_five_elements_and_count_the_rest() {
    let texts: String = (0..9).map(|i| format!("<text id='t{i}'>a</text>\n")).collect::<Vec<String>>().concat();
    let (artwork, said) = read(format!("{HEAD}{INK}{texts}</svg>").as_bytes(), &[], &[]);
    assert_eq!(artwork.unwrap().holds_text, 9);
    assert!(said[0].starts_with("warning artwork/text-not-outlined: `art/test.svg` holds 9 texts (`#t0`, `#t1`, `#t2`, `#t3`, `#t4`, …: no font named), left out"), "{said:?}");
}

#[test]
fn text_is_an_error_when_nothing_else_is_left() {
    let (artwork, said) = read(format!("{HEAD}<text>a</text></svg>").as_bytes(), &[], &[]);
    assert!(artwork.is_none() && said[0].starts_with("error artwork/text-not-outlined"), "{said:?}");
}

/// The deepest nesting that is allowed, plain and through copies, does not exhaust the stack.
#[test]
fn the_deepest_drawing_allowed_is_drawn() {
    let plain = format!("{HEAD}{}{INK}{}</svg>", "<g opacity='.999'>".repeat(396), "</g>".repeat(396));
    let chain: Vec<String> = (1..190).map(|i| format!("<g id='c{i}'><use href='#c{}'/></g>", i - 1)).collect();
    let copies = format!("{HEAD}<defs><g id='c0'>{INK}</g>{}</defs><use href='#c189'/></svg>", chain.concat());
    for svg in [plain, copies] {
        let (artwork, said) = read(svg.as_bytes(), &[], &[]);
        let artwork = artwork.unwrap_or_else(|| panic!("{said:?}"));
        assert!((artwork.drawing.ink.area().get() - 81.0).abs() < 1e-3);
    }
}
