//! Run files and layers, read back by parsers that did not write them.

use super::sample::{self, engrave, line, lines, run};
use kerfbook::cache::Cache;
use kerfbook::geometry::{FillRule, Region};
use kerfbook::outputs::{layer_svg, run_file, run_svg, write_all};
use kerfbook::plan::{Burn, Plan};
use kerfbook::shop::OperationKind;
use kerfbook::units::Mm;
use kurbo::{Affine, BezPath, Point, Rect};
use resvg::{tiny_skia, usvg};
use roxmltree::{Document, Node};
use std::collections::BTreeSet;
use svgtypes::PathSegment;

/// Everything an output may hold besides the page itself.
const ELEMENTS: [&str; 5] = ["svg", "title", "desc", "g", "path"];

fn text(bytes: Vec<u8>) -> String {
    String::from_utf8(bytes).expect("UTF-8")
}

fn groups<'a>(document: &'a Document) -> Vec<Node<'a, 'a>> {
    document.descendants().filter(|n| n.has_tag_name("g")).collect()
}

fn paths<'a>(node: Node<'a, 'a>) -> impl Iterator<Item = Node<'a, 'a>> {
    node.descendants().filter(|n| n.tag_name().name() == "path")
}

/// Reads a file strictly: known elements, absolute plain segments, no attribute that changes geometry.
fn check_promises(svg: &str) {
    let document = Document::parse(svg).expect("well-formed");
    let mut ids = BTreeSet::new();
    for node in document.descendants().filter(Node::is_element) {
        assert!(ELEMENTS.contains(&node.tag_name().name()), "{:?}", node.tag_name());
        assert_eq!(node.tag_name().namespace(), Some("http://www.w3.org/2000/svg"));
        for attribute in ["transform", "style", "class", "clip-path", "mask", "filter", "opacity", "href"] {
            assert!(!node.has_attribute(attribute), "{attribute}");
        }
        if let Some(id) = node.attribute("id") {
            assert!(ids.insert(id.to_owned()), "`{id}` twice");
        }
    }
    for path in paths(document.root()) {
        for segment in svgtypes::PathParser::from(path.attribute("d").expect("d")) {
            let plain = match segment.expect("path data") {
                PathSegment::MoveTo { abs, .. }
                | PathSegment::LineTo { abs, .. }
                | PathSegment::CurveTo { abs, .. } => abs,
                PathSegment::ClosePath { .. } => true,
                _ => false,
            };
            assert!(plain, "{:?}", path.attribute("d"));
        }
    }
}

#[test]
fn a_run_keeps_its_promises() {
    let plan = sample::plan();
    for run in &plan.runs {
        check_promises(&text(run_svg(&plan, run)));
    }
}

#[test]
fn the_page_is_the_sheet_in_millimetres() {
    // SVG 2, chapter 8 (viewBox): with both in the same numbers one user unit is one millimetre, which CSS
    // Values 3 makes 96/25.4 px.
    let plan = sample::plan();
    let svg = text(run_svg(&plan, &plan.runs[0]));
    let document = Document::parse(&svg).unwrap();
    let root = document.root_element();
    assert_eq!(root.attribute("width"), Some("304.8mm"));
    assert_eq!(root.attribute("height"), Some("304.8mm"));
    assert_eq!(root.attribute("viewBox"), Some("0 0 304.8 304.8"));
    let tree = usvg::Tree::from_str(&svg, &usvg::Options::default()).unwrap();
    assert!((tree.size().width() - 304.8 * 96.0 / 25.4).abs() < 1e-3);
}

#[test]
fn operations_stand_in_their_order_with_their_numbers() {
    let plan = sample::plan();
    let svg = text(run_svg(&plan, &plan.runs[0]));
    let document = Document::parse(&svg).unwrap();
    let groups = groups(&document);
    let read = |g: &Node, name: &str| g.attribute(name).unwrap_or("").to_owned();
    let kinds: Vec<_> = groups.iter().map(|g| (read(g, "data-order"), read(g, "data-operation"))).collect();
    let expected = [("1", "engrave"), ("2", "engrave"), ("3", "score")].map(|(n, k)| (n.into(), k.into()));
    assert_eq!(kinds, expected);
    assert_eq!(read(&groups[0], "id"), "engrave-01-heron");
    assert_eq!(read(&groups[0], "data-setting"), "dark");
    assert_eq!(read(&groups[0], "data-speed"), "60 mm/s");
    assert_eq!(read(&groups[0], "data-power"), "85 %");
    assert_eq!(read(&groups[2], "data-passes"), "2");
}

#[test]
fn areas_are_filled_and_lines_are_drawn_in_the_colour_of_the_operation() {
    let plan = sample::plan();
    let svg = text(run_svg(&plan, &plan.runs[0]));
    let document = Document::parse(&svg).unwrap();
    let groups = groups(&document);
    for path in paths(groups[0]) {
        assert_eq!(path.attribute("fill"), Some("#0072B2"));
        assert_eq!((path.attribute("stroke"), path.attribute("fill-rule")), (Some("none"), Some("evenodd")));
    }
    for path in paths(groups[2]) {
        assert_eq!((path.attribute("fill"), path.attribute("stroke")), (Some("none"), Some("#009E73")));
    }
}

#[test]
fn guides_are_never_in_a_run_but_have_a_layer() {
    let plan = sample::plan();
    assert!(!text(run_svg(&plan, &plan.runs[0])).contains("\"guide\""));
    let layer = layer_svg(&plan, &plan.runs[0], &plan.runs[0].operations[3]);
    assert_eq!(layer.path, "layers/01-04-guide-fold.svg");
    assert!(text(layer.bytes).contains("data-operation=\"guide\""));
}

#[test]
fn a_layer_is_its_operation_on_the_same_page() {
    let plan = sample::plan();
    let run = &plan.runs[1];
    let whole = text(run_svg(&plan, run));
    let whole = Document::parse(&whole).unwrap();
    for (index, operation) in run.operations.iter().enumerate() {
        let layer = text(layer_svg(&plan, run, operation).bytes);
        check_promises(&layer);
        let layer = Document::parse(&layer).unwrap();
        assert_eq!(layer.root_element().attribute("viewBox"), whole.root_element().attribute("viewBox"));
        let data = |g: Node| paths(g).map(|p| p.attribute("d").unwrap().to_owned()).collect::<Vec<_>>();
        assert_eq!(data(groups(&layer)[0]), data(groups(&whole)[index]));
    }
}

#[test]
fn lines_keep_the_order_in_which_they_are_burned() {
    let plan = sample::plan();
    let svg = text(run_svg(&plan, &plan.runs[1]));
    let document = Document::parse(&svg).unwrap();
    let Burn::Lines(seams) = &plan.runs[1].operations[0].burn else { unreachable!() };
    let starts: Vec<Point> = paths(groups(&document)[0])
        .map(|p| match svgtypes::PathParser::from(p.attribute("d").unwrap()).next() {
            Some(Ok(PathSegment::MoveTo { x, y, .. })) => Point::new(x, y),
            other => panic!("{other:?}"),
        })
        .collect();
    assert_eq!(starts.len(), seams.len());
    for (start, seam) in starts.iter().zip(seams) {
        let kurbo::PathEl::MoveTo(drawn) = seam.elements()[0] else { panic!() };
        // Three decimals: half a micrometre on each axis.
        assert!(start.distance(drawn) < 0.000_75);
    }
}

/// The area that an independent renderer blackens at 254 dpi, where a pixel is 0.01 mm². Summing coverage
/// instead of counting pixels leaves only the renderer's anti-aliasing error.
fn blackened(svg: &[u8], side: u32) -> f64 {
    let tree = usvg::Tree::from_data(svg, &usvg::Options::default()).unwrap();
    let mut pixels = tiny_skia::Pixmap::new(side, side).unwrap();
    let scale = side as f32 / tree.size().width();
    resvg::render(&tree, tiny_skia::Transform::from_scale(scale, scale), &mut pixels.as_mut());
    pixels.pixels().iter().map(|p| f64::from(p.alpha()) / 255.0).sum::<f64>() / 100.0
}

#[test]
fn the_blackened_area_is_the_plans() {
    // An independent pixel area: librsvg and resvg agree on it.
    let plan = sample::plan();
    let Burn::Area(region) = &plan.runs[0].operations[0].burn else { unreachable!() };
    let layer = layer_svg(&plan, &plan.runs[0], &plan.runs[0].operations[0]);
    let (measured, drawn) = (blackened(&layer.bytes, 3048), region.area().get());
    assert!((measured - drawn).abs() < 0.0005 * drawn, "{measured} mm² burned, {drawn} mm² planned");
}

#[test]
fn real_outlines_blacken_their_area() {
    // Emblems with counters, islands and outlines that are left open.
    let Some(root) = std::env::var_os("KERFBOOK_CORPORA") else {
        println!("skipped: set not fetched");
        return;
    };
    let mut files = Vec::new();
    collect(&std::path::Path::new(&root).join("svg/emblems"), &mut files);
    files.sort();
    assert!(files.len() > 1000, "the set is incomplete");
    let mut compared = 0;
    for file in files.iter().step_by(files.len() / 40) {
        let text = std::fs::read_to_string(file).unwrap();
        let Some(region) = emblem(&text) else { continue };
        let mut plan = sample::plan();
        (plan.sheet.width, plan.sheet.height) = (Mm::new(102.4), Mm::new(102.4));
        let drawn = region.area().get();
        plan.runs = vec![run(1, "emblem", vec![engrave(1, "emblem", region, 50.0, "#000000")])];
        let svg = run_svg(&plan, &plan.runs[0]);
        check_promises(std::str::from_utf8(&svg).unwrap());
        let measured = blackened(&svg, 1024);
        assert!((measured - drawn).abs() < 0.002 * drawn + 0.05, "{}: {measured} of {drawn}", file.display());
        compared += 1;
    }
    assert!(30 < compared, "only {compared} could be compared");
}

fn collect(folder: &std::path::Path, files: &mut Vec<std::path::PathBuf>) {
    for entry in std::fs::read_dir(folder).into_iter().flatten().flatten() {
        let path = entry.path();
        if path.is_dir() {
            collect(&path, files);
        } else if path.extension().is_some_and(|e| e == "svg") {
            files.push(path);
        }
    }
}

/// All paths of an emblem drawn on 512 units, as one area on 102.4 mm.
fn emblem(text: &str) -> Option<Region> {
    let document = Document::parse(text).ok()?;
    let mut path = BezPath::new();
    for drawn in paths(document.root()).filter_map(|p| p.attribute("d")) {
        path.extend(BezPath::from_svg(drawn).ok()?);
    }
    let region = Region::from_path(&(Affine::scale(0.2) * path), FillRule::NonZero).ok()?;
    let page = Rect::new(0.0, 0.0, 102.4, 102.4);
    region.bounds().is_some_and(|b| page.contains_rect(b)).then_some(region)
}

#[test]
fn the_same_plan_gives_the_same_bytes() {
    let make = || write_all(&on_a_scrap(sample::plan()), &[], &sample::sources(), &Cache::default()).unwrap();
    let first = make();
    assert_eq!(first, make());
    let paths: BTreeSet<&str> = first.iter().map(|f| f.path.as_str()).collect();
    assert_eq!(paths.len(), first.len(), "two files of one name");
    assert!(first.iter().any(|f| f.path == "01-picture.svg"));
}

#[test]
fn hostile_names_stay_inside_their_attributes() {
    let mut plan = sample::plan();
    let name = "a\"b'c<d>&e\u{0}\u{1b}\u{ffff}]]>--><g id=\"x\"/>\u{202e}鷺🪿";
    plan.title = name.into();
    plan.stock.material = name.into();
    plan.runs[0].name = format!("../{name}");
    for operation in &mut plan.runs[0].operations {
        operation.name = name.into();
        operation.figures = vec![name.into(), name.into()];
        operation.colour = "#000\"/><path d=\"M0 0L9 9".into();
        if let Some(setting) = &mut operation.setting {
            setting.name = name.into();
        }
    }
    let svg = text(run_svg(&plan, &plan.runs[0]));
    check_promises(&svg);
    let document = Document::parse(&svg).unwrap();
    assert_eq!(groups(&document).len(), 3);
    let kept = name.replace(['\0', '\u{1b}', '\u{ffff}'], "\u{fffd}");
    assert_eq!(groups(&document)[0].attribute("data-name"), Some(kept.as_str()));
    let file = run_file(&plan, &plan.runs[0]);
    assert!(file.chars().all(|c| c.is_alphanumeric() || "-.".contains(c)), "{file}");
}

/// The plan on a sheet so small that its preview takes no time.
fn on_a_scrap(mut plan: Plan) -> Plan {
    plan.sheet.width = Mm::new(12.0);
    plan.sheet.height = Mm::new(8.0);
    plan.board = None;
    plan
}

fn with_operations(count: usize) -> Plan {
    let mut plan = sample::plan();
    let mark = |i: usize| vec![line(Point::new(i as f64, 0.0), Point::new(i as f64, 5.0))];
    let many = (1..=count).map(|n| lines(n, OperationKind::Score, "tick", mark(n % 300), "#000000")).collect();
    plan.runs = vec![run(1, "ticks", many)];
    on_a_scrap(plan)
}

#[test]
fn thousands_of_operations_keep_unique_names_that_sort() {
    let plan = with_operations(3000);
    check_promises(&text(run_svg(&plan, &plan.runs[0])));
    let files = write_all(&plan, &[], &sample::sources(), &Cache::default()).unwrap();
    let layers: Vec<&str> = files.iter().map(|f| f.path.as_str()).filter(|p| p.starts_with("layers/")).collect();
    assert_eq!(layers.len(), 3000);
    assert!(layers.is_sorted());
}

#[test]
fn empty_runs_and_empty_operations_are_still_files() {
    let mut plan = with_operations(0);
    plan.runs.push(run(2, "", vec![engrave(1, "", Region::empty(), 10.0, "#000000")]));
    plan.puzzle = None;
    for run in &plan.runs {
        let svg = text(run_svg(&plan, run));
        check_promises(&svg);
        assert!(!svg.contains("<path"));
    }
    assert_eq!(run_file(&plan, &plan.runs[1]), "02-unnamed.svg");
    write_all(&plan, &[], &sample::sources(), &Cache::default()).unwrap();
}
