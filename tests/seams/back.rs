//! The back: what a turned run burns lies behind its place on the front, and can be read from there.

use super::{compiled, made, plan};
use kerfbook::geometry::Region;
use kerfbook::plan::{Laid, Plan};
use kurbo::{BezPath, ParamCurve, Point, Rect, Shape};
use roxmltree::{Document, Node};

/// A board off the middle of the sheet, and marks of which the four arms differ from their mirror images.
const BODY: &str = "sheet \"200 mm\" \"150 mm\"\nboard { rectangle \"120 mm\" \"90 mm\"; place left=\"sheet\" right=\"30 mm\" top=\"sheet\" down=\"20 mm\" }\n\
    puzzle \"pieces\" of=\"board\" pieces=12 seed=\"leaf\" clearance=\"1 mm\"\n\
    shape \"flag\" { polygon { point; point right=\"20 mm\" down=\"6 mm\"; point down=\"9 mm\" }; place left=\"board\" top=\"board\" right=\"7 mm\" down=\"5 mm\" }\n\
    register \"marks\" around=\"board\"\nnumbers \"labels\" of=\"pieces\"\n";
/// The middle of that board.
const MIDDLE: Point = Point::new(90.0, 65.0);

fn body(turned: &str) -> String {
    let allow = "allow \"register/turned-off-centre\" because=\"laid in by the marks\"";
    format!(
        "{BODY}run \"back\" turned=\"{turned}\" {{ score \"marks\"; score \"labels\"; score \"flag\"; {allow} }}\n\
        run \"front\" {{ score \"marks\"; score \"labels\"; score \"flag\"; cut \"pieces\"; cut \"board\" }}"
    )
}

/// The paths of the group of a figure in a run's file.
fn paths(svg: &str, figure: &str) -> Vec<BezPath> {
    let document = Document::parse(svg).expect("well-formed");
    let is_wanted = |n: &Node| n.attribute("data-figures") == Some(figure);
    let groups = document.descendants().filter(is_wanted);
    let data = groups.flat_map(|g| g.descendants()).filter_map(|n| n.attribute("d").map(str::to_owned));
    data.map(|d| BezPath::from_svg(&d).expect("path data")).collect()
}

fn bounds(paths: &[BezPath]) -> Rect {
    paths.iter().map(Shape::bounding_box).reduce(|a, b| a.union(b)).expect("something burned")
}

/// A micrometre: what the files round to.
const MICROMETRE: f64 = 0.001_5;

fn files(turned: &str) -> (String, String) {
    let (files, request) = super::files(&body(turned));
    let (_, made) = kerfbook::driver::build(&request, &files, &kerfbook::figures::Cache::default());
    let made = made.unwrap().expect("no errors");
    let text = |name: &str| {
        let file = made.iter().find(|f| f.path == name).unwrap_or_else(|| panic!("{name}"));
        String::from_utf8(file.bytes.clone()).unwrap()
    };
    (text("01-back.svg"), text("02-front.svg"))
}

#[test]
fn the_back_lies_behind_the_front_to_a_micrometre() {
    for (turned, mirror) in [
        ("left-right", (|p: Point| Point::new(2.0 * MIDDLE.x - p.x, p.y)) as fn(Point) -> Point),
        ("top-bottom", |p: Point| Point::new(p.x, 2.0 * MIDDLE.y - p.y)),
    ] {
        let (back, front) = files(turned);
        let page = |svg: &str| {
            let document = Document::parse(svg).unwrap();
            let root = document.root_element();
            ["width", "height", "viewBox"].map(|a| root.attribute(a).map(str::to_owned))
        };
        assert_eq!(page(&back), page(&front), "both sides share one page");
        // The flag is no mirror image of itself: each of its corners lies behind its own.
        let corners = |svg: &str| -> Vec<Point> {
            paths(svg, "flag").iter().flat_map(|p| p.segments().map(|s| s.start()).collect::<Vec<_>>()).collect()
        };
        let behind = corners(&back);
        assert_eq!(behind.len(), 3);
        for corner in corners(&front) {
            let away = behind.iter().map(|p| p.distance(mirror(corner))).fold(f64::INFINITY, f64::min);
            assert!(away < MICROMETRE, "{turned}: {corner} {away}");
        }
        // Marks round the board have the same box on both sides, so both runs start from the same point.
        let (a, b) = (bounds(&paths(&back, "marks")), bounds(&paths(&front, "marks")));
        assert!(a.center().distance(b.center()) < MICROMETRE && a.center().distance(MIDDLE) < MICROMETRE);
    }
}

#[test]
fn numbers_lie_behind_their_pieces_and_are_not_mirrored() {
    for turned in ["left-right", "top-bottom"] {
        let (back, front) = files(turned);
        let plan = plan(&body(turned));
        let pieces = &plan.puzzle.as_ref().unwrap().pieces;
        let movement = plan.runs[0].movement();
        let (back, front) = (paths(&back, "labels"), paths(&front, "labels"));
        for piece in pieces {
            // The strokes within the piece's circle, seen from its middle: the same on both sides.
            let about = |all: &[BezPath], middle: Point| -> Vec<Rect> {
                let room = piece.room.get();
                let near = all.iter().map(Shape::bounding_box).filter(|b| b.center().distance(middle) < room);
                let mut found: Vec<Rect> = near.map(|b| b - middle.to_vec2()).collect();
                found.sort_by(|a, b| (a.x0, a.y0, a.x1).partial_cmp(&(b.x0, b.y0, b.x1)).unwrap());
                found
            };
            let (there, here) = (about(&back, movement * piece.middle), about(&front, piece.middle));
            assert_eq!(there.len(), here.len(), "{}", piece.number);
            let same = |(a, b): (&Rect, &Rect)| {
                [a.x0 - b.x0, a.y0 - b.y0, a.x1 - b.x1, a.y1 - b.y1].iter().all(|d| d.abs() < 2.0 * MICROMETRE)
            };
            assert!(there.iter().zip(&here).all(same), "{turned}, {}: {there:?} {here:?}", piece.number);
        }
    }
}

#[test]
fn numbers_are_of_one_size_and_stay_in_their_pieces() {
    let plan = plan(&body("left-right"));
    let labels = &plan.runs[1].operations[1];
    let kerfbook::plan::Burn::Lines(lines) = &labels.burn else { panic!("lines") };
    let pieces = &plan.puzzle.as_ref().unwrap().pieces;
    let holds = |region: &Region, path: &BezPath| path.segments().all(|s| region.contains(s.eval(0.5)));
    for line in lines {
        assert_eq!(pieces.iter().filter(|p| holds(&p.outline, line)).count(), 1);
    }
    // Hershey's 1 is as high as his capitals, so the highest stroke of 1 and 11 is that high. His 0 and 2 are drawn as high,
    // and their rounded tops reach a little beyond.
    let height = |n: usize| {
        let own = lines.iter().filter(|l| holds(&pieces[n - 1].outline, l)).map(|l| l.bounding_box().height());
        own.fold(0.0, f64::max)
    };
    let heights = [1, 10, 11, 12].map(height);
    assert!((heights[2] - heights[0]).abs() < 1e-6, "{heights:?}");
    assert!(heights.iter().all(|h| (1.0..1.03).contains(&(h / heights[0]))), "{heights:?}");
    assert!(heights[0] <= 6.0 + 1e-6 && 1.5 < heights[0], "{heights:?}");
}

#[test]
fn a_photo_on_the_back_is_mirrored_dot_by_dot() {
    let photo = |run: &str| {
        let body = format!(
            "sheet \"100 mm\" \"80 mm\"\nboard {{ rectangle \"60 mm\" \"40 mm\" }}\n\
            photo \"cup\" file=\"cup.png\" {{ fit \"12 mm\" \"10 mm\"; place left=\"board\" right=\"6 mm\" }}\n{run}"
        );
        let (mut files, request) = super::files(&body);
        let picture = std::fs::read("recipes/tide-pool/art/starfish.png").unwrap();
        files.insert("cup.png", picture);
        let build = kerfbook::driver::compile(&request, &files, &kerfbook::figures::Cache::default());
        let said: Vec<&str> = build.findings.iter().map(|d| d.finding.rule).collect();
        build.plan.unwrap_or_else(|| panic!("{said:?}"))
    };
    let dots = |plan: &Plan| {
        let on_page = plan.runs[0].on_page(&plan.runs[0].operations[0]).into_owned();
        let kerfbook::plan::Burn::Dots(dots) = on_page.burn else { panic!("dots") };
        dots
    };
    let front = dots(&photo("run \"one\" { engrave \"cup\" }"));
    let back = dots(&photo("run \"one\" turned=\"left-right\" { engrave \"cup\" }"));
    let (width, height) = (front.bitmap.width, front.bitmap.height);
    assert_eq!((back.bitmap.width, back.bitmap.height), (width, height));
    let all = (0..height).flat_map(|y| (0..width).map(move |x| (x, y)));
    assert!(all.clone().all(|(x, y)| front.bitmap.get(x, y) == back.bitmap.get(width - 1 - x, y)));
    assert!(all.clone().any(|(x, y)| front.bitmap.get(x, y)));
    // About the middle of the board, 50 mm.
    assert!((back.bounds.x0 - (100.0 - front.bounds.x1)).abs() < 1e-9);
}

#[test]
fn a_fresh_sheet_knows_nothing_of_the_others() {
    let runs = |sheet: &str| {
        format!(
            "sheet \"200 mm\" \"150 mm\"\nboard {{ rectangle \"120 mm\" \"90 mm\" }}\n\
            tray \"frame\" of=\"board\" part=\"frame\" wall=\"12 mm\"\n\
            run \"piece\" {{ cut \"board\" }}\nrun \"frame\" {sheet} {{ cut \"frame\"; cut \"board\" }}"
        )
    };
    let fresh = compiled(&runs("sheet=\"fresh\""));
    let rules = |build: &kerfbook::driver::Build| -> Vec<&str> {
        build
            .findings
            .iter()
            .map(|d| d.finding.rule)
            .filter(|r| r.starts_with("burn/") || r.starts_with("order/"))
            .collect()
    };
    assert_eq!(rules(&fresh), ["order/outer-before-inner"], "only within its own run");
    let same = compiled(&runs(""));
    assert!(rules(&same).contains(&"burn/doubled-lines"), "{:?}", rules(&same));
    assert_eq!(
        fresh.plan.unwrap().runs.iter().map(|r| r.lay.on).collect::<Vec<_>>(),
        [Laid::Sheet(1), Laid::Sheet(2)]
    );
}

#[test]
fn pictures_of_back_and_pieces_are_made_where_there_is_something_to_see() {
    let plain = made("sheet \"100 mm\" \"80 mm\"\nboard { circle \"60 mm\" }\nrun \"out\" { cut \"board\" }");
    assert!(!plain.contains_key("preview-back.png") && !plain.contains_key("pieces.png"));
    let body = "sheet \"200 mm\" \"150 mm\"\nboard { rectangle \"120 mm\" \"90 mm\" }\n\
        puzzle \"pieces\" of=\"board\" pieces=6 seed=\"leaf\"\nnumbers \"labels\" of=\"pieces\"\n\
        run \"back\" turned=\"left-right\" { score \"labels\" }\nrun \"out\" { cut \"pieces\"; cut \"board\" }";
    let both = made(body);
    for name in ["preview-back.png", "pieces.png", "preview.png"] {
        assert!(both[name].starts_with(b"\x89PNG"), "{name}");
    }
    assert_ne!(both["preview-back.png"], both["preview.png"]);
}
