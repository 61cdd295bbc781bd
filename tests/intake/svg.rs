//! What an SVG becomes: sizes and places worked out by hand, and areas as an independent renderer shows them.

use kerfbook::diagnostics::Sink;
use kerfbook::geometry::Region;
use kerfbook::intake::{Selector, SvgArtwork, SvgRequest, parse_selector, read_svg};
use kerfbook::source::{SourceId, Span};
use kurbo::{Point, Rect};
use resvg::{tiny_skia, usvg};

/// The demo's drawing.
pub(super) const HERON: &str = include_str!("../fixtures/intake/heron.svg");

/// Reads `bytes` with selectors; the findings come as `severity rule: message`.
pub(super) fn read(bytes: &[u8], take: &[&str], drop: &[&str]) -> (Option<SvgArtwork>, Vec<String>) {
    let parse = |list: &[&str]| -> Vec<Selector> { list.iter().map(|t| parse_selector(t).expect(t)).collect() };
    let (take, drop) = (parse(take), parse(drop));
    let node = Span::new(SourceId(0), 0, 0);
    let mut sink = Sink::new();
    let artwork = read_svg(
        &SvgRequest { take: &take, drop: &drop, ..SvgRequest::new("art/test.svg", bytes, node) },
        &mut sink,
    );
    assert!(artwork.is_some() || sink.has_errors(), "nothing came and nothing was said");
    let said = sink.iter().map(|d| format!("{} {}: {}", d.severity, d.finding.rule, d.message)).collect();
    (artwork, said)
}

/// Reads a drawing that has nothing worth more than advice.
fn clean(svg: &str) -> SvgArtwork {
    let (artwork, said) = read(svg.as_bytes(), &[], &[]);
    let loud: Vec<&String> = said.iter().filter(|s| !s.starts_with("advice")).collect();
    assert!(loud.is_empty(), "{svg}\n{loud:#?}");
    artwork.expect(svg)
}

fn svg(attributes: &str, body: &str) -> String {
    format!("<svg xmlns=\"http://www.w3.org/2000/svg\" {attributes}>{body}</svg>")
}

fn ink_box(svg: &str) -> Rect {
    clean(svg).drawing.ink.bounds().expect("ink")
}

fn assert_box(found: Rect, x0: f64, y0: f64, x1: f64, y1: f64) {
    let off = [found.x0 - x0, found.y0 - y0, found.x1 - x1, found.y1 - y1];
    assert!(off.iter().all(|d| d.abs() < 1e-4), "{found:?} is not {x0} {y0} {x1} {y1}");
}

/// 100 mm for 100 units; a box of 20 by 10 units is 200.00 mm², as librsvg 2.54 drew it.
#[test]
fn a_unit_is_as_long_as_size_and_view_box_say() {
    let artwork = clean(&svg(
        "width='100mm' height='50mm' viewBox='0 0 100 50'",
        "<rect x='5' y='7' width='20' height='10'/>",
    ));
    assert!((artwork.drawing.ink.area().get() - 200.0).abs() < 1e-3);
    assert_box(artwork.drawing.ink.bounds().unwrap(), 5.0, 7.0, 25.0, 17.0);
    let (w, h) = artwork.physical_size.unwrap();
    assert_eq!((w.get(), h.get()), (100.0, 50.0));
}

/// W3C CSS Values and Units 3, absolute lengths: the same 10 mm in every unit.
#[test]
fn absolute_units_agree() {
    for side in ["10mm", "1cm", "0.3937007874in", "28.3464566929pt", "2.3622047244pc", "40Q"] {
        let attributes = format!("width='{side}' height='{side}' viewBox='0 0 1 1'");
        assert_box(ink_box(&svg(&attributes, "<rect width='1' height='1'/>")), 0.0, 0.0, 10.0, 10.0);
    }
    let px = clean(&svg("width='96' height='96px'", "<rect width='96' height='48'/>"));
    assert_eq!(px.physical_size, None, "pixels are a guess");
    assert_box(px.drawing.ink.bounds().unwrap(), 0.0, 0.0, 25.4, 12.7);
    // Lengths inside the drawing have units of their own: 1 in of a drawing in which a unit is 2 px.
    assert_box(
        ink_box(&svg("width='192px' height='192px' viewBox='0 0 96 96'", "<rect width='0.5in' height='12pt'/>")),
        0.0,
        0.0,
        25.4,
        2.0 * 12.0 * 25.4 / 72.0,
    );
}

/// SVG 2, 8.6: alignment and meet or slice, worked out by hand for a view box of 10 by 10 on 40 by 20 mm.
#[test]
fn the_view_box_is_fitted_as_asked() {
    let fitted = |aspect: &str| {
        let attributes = format!("width='40mm' height='20mm' viewBox='0 0 10 10' preserveAspectRatio='{aspect}'");
        read(svg(&attributes, "<rect width='10' height='10'/>").as_bytes(), &[], &[])
            .0
            .unwrap()
            .drawing
            .ink
            .bounds()
            .unwrap()
    };
    assert_box(fitted("xMidYMid meet"), 10.0, 0.0, 30.0, 20.0);
    assert_box(fitted("xMinYMid"), 0.0, 0.0, 20.0, 20.0);
    assert_box(fitted("xMaxYMax meet"), 20.0, 0.0, 40.0, 20.0);
    assert_box(fitted("none"), 0.0, 0.0, 40.0, 20.0);
    assert_box(fitted("xMidYMid slice"), 0.0, 0.0, 40.0, 20.0);
    // A view box that does not start at zero moves the drawing.
    assert_box(
        ink_box(&svg("width='20mm' height='10mm' viewBox='-5 5 20 10'", "<rect y='6' width='4' height='3'/>")),
        5.0,
        1.0,
        9.0,
        4.0,
    );
}

/// SVG 2 implementation notes: arcs whose radii are too small grow; the flags choose the centre.
#[test]
fn arcs_are_those_of_the_standard() {
    let page = "width='100mm' height='100mm' viewBox='0 0 100 100'";
    for d in ["M20 50A25 25 0 0 1 70 50Z", "M20 50A10 10 0 0 1 70 50Z", "M20 50a25 25 0 0150 0z"] {
        let artwork = clean(&svg(page, &format!("<path d='{d}'/>")));
        let half_disc = std::f64::consts::PI * 25.0 * 25.0 / 2.0;
        assert!((artwork.drawing.ink.area().get() - half_disc).abs() < 0.01, "{d}");
        assert_box(artwork.drawing.ink.bounds().unwrap(), 20.0, 25.0, 70.0, 50.0);
    }
    for (flags, centre) in [("0 1", Point::new(20.0, 40.0)), ("0 0", Point::new(50.0, 20.0))] {
        let artwork =
            clean(&svg(page, &format!("<path d='M20 20A30 20 0 {flags} 50 40' fill='none' stroke='black'/>")));
        let line = &artwork.drawing.lines[0].path;
        for segment in line.segments() {
            let p = kurbo::ParamCurve::eval(&segment, 0.5);
            let radius = ((p.x - centre.x) / 30.0).hypot((p.y - centre.y) / 20.0);
            assert!((radius - 1.0).abs() < 1e-5, "{flags}: {p:?}");
        }
    }
}

/// Circles of 200 mm are round to a hundredth of what a laser can resolve (four cubics would be off by 0.027 mm).
#[test]
fn large_circles_are_round() {
    let artwork =
        clean(&svg("width='210mm' height='210mm' viewBox='0 0 210 210'", "<circle cx='105' cy='105' r='100'/>"));
    let area = artwork.drawing.ink.area().get();
    assert!((area - std::f64::consts::PI * 1e4).abs() < 0.3, "{area}");
}

#[test]
fn strokes_are_centre_lines_with_their_width() {
    let page = "width='100mm' height='100mm' viewBox='0 0 200 200'";
    let artwork = clean(&svg(
        page,
        "<g transform='scale(3)'><path d='M10 10H30V20' stroke='black' stroke-width='2' fill='none'/></g>",
    ));
    let [line] = artwork.drawing.lines.as_slice() else { panic!("one line") };
    assert!((line.width.unwrap().get() - 3.0).abs() < 1e-6);
    assert_box(kurbo::Shape::bounding_box(&line.path), 15.0, 15.0, 45.0, 30.0);
    // Squeezed by 4 and 1: the width that inks the same area is the square root.
    let squeezed = clean(&svg(page, "<line x1='5' y1='5' x2='20' y2='5' stroke='black' transform='scale(4 1)'/>"));
    assert!((squeezed.drawing.lines[0].width.unwrap().get() - 1.0).abs() < 1e-6);
    // Filled and stroked is both.
    let both = clean(&svg(page, "<rect x='20' y='20' width='20' height='20' stroke='black'/>"));
    assert!(!both.drawing.ink.is_empty() && both.drawing.lines.len() == 1);
    assert_eq!(both.drawing.parts.len(), 2);
}

#[test]
fn dashes_are_cut() {
    let page = "width='100mm' height='10mm' viewBox='0 0 100 10'";
    let artwork =
        clean(&svg(page, "<path d='M0 5H100' stroke='black' stroke-dasharray='6 4' stroke-dashoffset='2'/>"));
    let mut spans: Vec<(f64, f64)> =
        artwork.drawing.lines.iter().map(|l| kurbo::Shape::bounding_box(&l.path)).map(|b| (b.x0, b.x1)).collect();
    spans.sort_by(|a, b| a.0.total_cmp(&b.0));
    assert_eq!(spans.len(), 11, "{spans:?}");
    assert!(
        (spans[0].1 - 4.0).abs() < 1e-4 && (spans[1].0 - 8.0).abs() < 1e-4 && (spans[1].1 - 14.0).abs() < 1e-4,
        "{spans:?}"
    );
    // A dotted line is dots: discs of the line's width.
    let dots = clean(&svg(
        page,
        "<path d='M5 5H95' stroke='black' stroke-width='2' stroke-linecap='round' stroke-dasharray='.01 10'/>",
    ));
    assert!(dots.drawing.lines.is_empty());
    assert!((dots.drawing.ink.area().get() - 9.0 * std::f64::consts::PI).abs() < 0.3);
}

#[test]
fn paint_covers_paint() {
    let page = "width='100mm' height='100mm' viewBox='0 0 100 100'";
    let area = |body: &str| clean(&svg(page, body)).drawing.ink.area().get();
    let disc = |r: f64| std::f64::consts::PI * r * r;
    let close = |a: f64, b: f64| assert!((a - b).abs() < 0.05, "{a} is not {b}");
    close(
        area("<circle cx='50' cy='50' r='40'/><circle cx='50' cy='50' r='20' fill='#fff'/>"),
        disc(40.0) - disc(20.0),
    );
    close(area("<circle cx='50' cy='50' r='20' fill='#fff'/><circle cx='50' cy='50' r='40'/>"), disc(40.0));
    let rings = "<circle cx='50' cy='50' r='40'/><circle cx='50' cy='50' r='30' fill='#fefefe'/><circle cx='50' cy='50' r='20' fill='navy'/>";
    close(area(rings), disc(40.0) - disc(30.0) + disc(20.0));
    // A white stroke takes a band away.
    close(
        area("<rect x='10' y='10' width='80' height='80'/><path d='M0 50H100' stroke='white' stroke-width='4'/>"),
        6400.0 - 320.0,
    );
    // White lies over lines too.
    let lines = clean(&svg(
        page,
        "<path d='M0 50H100' stroke='black'/><rect x='40' y='40' width='20' height='20' fill='white'/>",
    ))
    .drawing;
    let spans: Vec<f64> = lines.lines.iter().map(|l| kurbo::Shape::bounding_box(&l.path).width()).collect();
    assert_eq!(lines.lines.len(), 2);
    assert!(spans.iter().all(|s| (s - 40.0).abs() < 1e-3), "{spans:?}");
}

#[test]
fn clip_paths_are_applied() {
    let page = "width='100mm' height='100mm' viewBox='0 0 100 100'";
    let clip = "<clipPath id='c'><circle cx='50' cy='50' r='20'/></clipPath>";
    let drawing = clean(&svg(page, &format!("{clip}<g clip-path='url(#c)'><rect width='50' height='100'/><path d='M0 50H100' stroke='black' transform='translate(0 -5)'/></g>"))).drawing;
    assert!((drawing.ink.area().get() - std::f64::consts::PI * 200.0).abs() < 0.05, "{}", drawing.ink.area());
    let chord = 2.0 * (400.0_f64 - 25.0).sqrt();
    assert!((kurbo::Shape::bounding_box(&drawing.lines[0].path).width() - chord).abs() < 0.01);
    // objectBoundingBox units, a clipped clip path, and a copy inside one.
    let nested = "<clipPath id='half' clipPathUnits='objectBoundingBox'><rect width='.5' height='1'/></clipPath>\
        <path id='band' d='M0 40H100V60H0Z'/><clipPath id='both' clip-path='url(#half2)'><use href='#band'/></clipPath>\
        <clipPath id='half2'><rect width='30' height='100'/></clipPath>";
    let drawing = clean(&svg(
        page,
        &format!("<defs>{nested}</defs><rect x='10' y='10' width='80' height='80' clip-path='url(#half)'/>"),
    ))
    .drawing;
    assert_box(drawing.ink.bounds().unwrap(), 10.0, 10.0, 50.0, 90.0);
    let drawing = clean(&svg(
        page,
        &format!("<defs>{nested}</defs><rect x='10' y='10' width='80' height='80' clip-path='url(#both)'/>"),
    ))
    .drawing;
    assert_box(drawing.ink.bounds().unwrap(), 10.0, 40.0, 30.0, 60.0);
}

#[test]
fn copies_are_drawn_where_the_standard_says() {
    let page = "width='100mm' height='100mm' viewBox='0 0 100 100'";
    let at = |body: &str| ink_box(&svg(page, body));
    let defs = "<defs><rect id='r' x='1' y='2' width='10' height='5'/><symbol id='s' viewBox='0 0 10 10'><rect width='10' height='10'/></symbol>\
        <svg id='n' width='10' height='10' viewBox='0 0 2 2'><rect width='2' height='2'/></svg></defs>";
    assert_box(at(&format!("{defs}<use href='#r' x='20' y='30'/>")), 21.0, 32.0, 31.0, 37.0);
    assert_box(
        at(&format!("{defs}<use href='#r' x='10%' y='5mm' transform='scale(2)'/>")),
        22.0,
        4.0 + 2.0 * 5.0 * 96.0 / 25.4,
        42.0,
        14.0 + 2.0 * 5.0 * 96.0 / 25.4,
    );
    assert_box(
        at(&format!("{defs}<use href='#s' x='20' y='30' width='40' height='20'/>")),
        30.0,
        30.0,
        50.0,
        50.0,
    );
    assert_box(at(&format!("{defs}<use href='#n' x='20' y='30'/>")), 20.0, 30.0, 30.0, 40.0);
    assert_box(
        at(&format!("{defs}<use href='#n' x='20' y='30' width='40' height='40'/>")),
        20.0,
        30.0,
        60.0,
        70.0,
    );
    assert_box(at(&format!("{defs}<g id='g'><use href='#r'/></g><use href='#g' y='50'/>")), 1.0, 2.0, 11.0, 57.0);
}

#[test]
fn elements_of_parts_are_named_through_copies() {
    let artwork = clean(HERON);
    let names: Vec<(String, usize)> = artwork
        .drawing
        .parts
        .iter()
        .filter_map(|p| p.element.as_ref())
        .map(|e| (e.name.clone(), e.line))
        .collect();
    assert_eq!(names.iter().filter(|n| **n == ("#blade".to_owned(), 11)).count(), 3);
    assert!(names.contains(&("#leg".to_owned(), 34)), "{names:?}");
    assert!(!names.iter().any(|n| n.0 == "#eye"), "white is not part of the ink");
}

#[test]
fn open_outlines_are_told_with_their_gap() {
    let body = "<path d='M10 10H60V60'/><path d='M70 10H90V30H70.005V10.005'/><path d='M70 50h20v20z'/>";
    let artwork = clean(&svg("width='100mm' height='100mm' viewBox='0 0 100 100'", body));
    let gaps: Vec<f64> = artwork.drawing.parts.iter().flat_map(|p| &p.open).map(|o| o.gap().get()).collect();
    assert_eq!(gaps.len(), 1, "{gaps:?}");
    assert!((gaps[0] - 50.0_f64.hypot(50.0)).abs() < 1e-4);
}

/// the area as resvg draws it at 254 dpi, a hundred pixels to the mm². Each pixel counts by how much of
/// it is covered, so that the bound is a tenth of the one for counting whole pixels (half a pixel along the edge).
#[test]
fn ink_is_what_a_renderer_shows_dark() {
    let dark = ["#1a3d1a", "#333", "#024", "#ffb000", "#222", "#d40000", "#248", "#246"];
    let black = dark.iter().fold(HERON.to_owned(), |svg, colour| svg.replace(colour, "#000"));
    let shown = covered_pixels(&black) / 100.0;
    let drawing = clean(HERON).drawing;
    let strokes = Region::from_strokes(&drawing.lines).unwrap();
    let all = Region::union(&[&drawing.ink, &strokes]);
    let (area, slack) = (all.area().get(), all.perimeter().get() * 0.005);
    assert!((area - shown).abs() < slack, "{area} mm² against {shown} mm² (slack {slack})");
}

fn covered_pixels(svg: &str) -> f64 {
    let tree = usvg::Tree::from_str(svg, &usvg::Options::default()).unwrap();
    let scale = 254.0 / 96.0;
    let (w, h) = ((tree.size().width() * scale).round() as u32, (tree.size().height() * scale).round() as u32);
    let mut pixmap = tiny_skia::Pixmap::new(w, h).unwrap();
    pixmap.fill(tiny_skia::Color::WHITE);
    resvg::render(&tree, tiny_skia::Transform::from_scale(scale, scale), &mut pixmap.as_mut());
    pixmap.pixels().iter().map(|p| 1.0 - f64::from(p.red()) / 255.0).sum()
}

#[test]
fn the_same_bytes_give_the_same_drawing() {
    let one = format!("{:?}", clean(HERON).drawing);
    assert_eq!(one, format!("{:?}", clean(HERON).drawing));
}

#[test]
fn selectors_take_and_drop() {
    let bounds = |take: &[&str], drop: &[&str]| {
        let (artwork, said) = read(HERON.as_bytes(), take, drop);
        artwork.unwrap_or_else(|| panic!("{take:?} {drop:?} {said:#?}")).drawing.bounds().unwrap()
    };
    let whole = bounds(&[], &[]);
    // The same part by id, class, layer label, colour in any spelling, attribute and place in the tree.
    let beak = bounds(&[".beak"], &[]);
    assert_box(beak, 75.0, 23.0, 92.0, 28.0);
    for same in ["[fill=\"#d40000\"]", "[fill='rgb(212,0,0)']", "#bird > .beak", "svg [class=beak]", "g path.beak"]
    {
        assert_eq!(bounds(&[same], &[]), beak, "{same}");
    }
    let reeds = bounds(&["#reeds"], &[]);
    assert!(reeds.x1 < 40.0 && whole.x1 > 100.0);
    for same in ["[label=\"Reeds\"]", ".reed", "#blade", "[label='Reeds'] use", "#reeds > use"] {
        assert_eq!(bounds(&[same], &[]), reeds, "{same}");
    }
    // The colour that counts is the painted one: the sheet beats the attribute `fill="red"` of the wing.
    let (none, said) = read(HERON.as_bytes(), &["[fill=\"red\"]"], &[]);
    assert!(none.is_none() && said[0].contains("selector-matches-nothing"), "{said:?}");
    assert_eq!(bounds(&["[fill=\"#333\"]"], &[]), bounds(&[".wing"], &[]));
    // What is dropped is gone, also from what is taken.
    let (bird, legless) = (bounds(&["#bird"], &[]), bounds(&["#bird"], &["#leg"]));
    assert!(legless.y1 < bird.y1);
    assert_eq!(bounds(&["#bird"], &["[stroke]"]), legless);
    // Several are added up.
    assert_eq!(bounds(&[".beak", ".reed"], &[]), beak.union(reeds));
}

#[test]
fn a_part_taken_alone_keeps_its_place_and_clip() {
    let page = "width='100mm' height='100mm' viewBox='0 0 100 100'";
    let body = "<clipPath id='c' clipPathUnits='objectBoundingBox'><rect width='.5' height='1'/></clipPath>\
        <g clip-path='url(#c)'><rect id='a' width='20' height='10'/><rect id='b' x='60' width='20' height='10'/></g>";
    let whole = svg(page, body);
    // The box of the group is that of both, so its left half is 40 wide: `a` is whole and `b` is hidden.
    let (artwork, _) = read(whole.as_bytes(), &["#a"], &[]);
    assert_box(artwork.unwrap().drawing.ink.bounds().unwrap(), 0.0, 0.0, 20.0, 10.0);
    let (none, said) = read(whole.as_bytes(), &["#b"], &[]);
    assert!(none.is_none() && said.iter().any(|s| s.contains("clipped-away")), "{said:?}");
}

#[test]
fn a_selector_that_matches_nothing_shows_what_there_is() {
    let node = Span::new(SourceId(0), 0, 0);
    for (wrong, near) in
        [("#brid", "#bird"), (".reeds", ".reed"), ("[label=\"Reed\"]", "[label=\"Reeds\"]"), ("#beak", ".beak")]
    {
        let take = [parse_selector(wrong).unwrap()];
        let mut sink = Sink::new();
        read_svg(&SvgRequest { take: &take, ..SvgRequest::new("heron.svg", HERON.as_bytes(), node) }, &mut sink);
        let found = sink.iter().find(|d| d.finding.rule == "artwork/selector-matches-nothing").expect(wrong);
        let repair = &found.repair.as_ref().unwrap().text;
        assert!(repair.contains(near), "{wrong}: {repair}");
    }
}
