//! The test piece: each setting of a job once, where the file, the report and the sheet say it is.

use super::recipes::Job;
use kerfbook::geometry::{FillRule, Region};
use kerfbook::outputs::TEST_PIECE_FILE;
use kerfbook::plan::{Burn, PATCH, TestPiece};
use kerfbook::shop::OperationKind;
use kurbo::{BezPath, Rect, Shape};
use std::collections::BTreeSet;

/// Marks in two runs, the same numbers twice; cuts of a kerf that is known.
const SIGN: &str = r#"
machine "shut-tube"
stock "lime-3"
sheet "120 mm" "90 mm"
board { rectangle "80 mm" "60 mm" corner="4 mm" }
shape "bar" { rectangle "30 mm" "10 mm"; place centre="board" }
shape "ring" { circle "40 mm"; place centre="board" }
run "marks" { engrave "bar" setting="mark"; score "ring" setting="line" }
run "out" { score "bar" setting="line"; score "ring" setting="line" power="14 %"; cut "board" setting="through" beam="waste-side" }
"#;

fn piece(job: &Job) -> &TestPiece {
    job.plan.test_piece.as_ref().expect("the job has a test piece")
}

fn bounds(burn: &Burn) -> Rect {
    match burn {
        Burn::Area(area) => area.bounds().expect("it is not empty"),
        Burn::Lines(lines) => lines.iter().map(Shape::bounding_box).reduce(|a, b| a.union(b)).expect("some"),
        Burn::Dots(_) => panic!("no dots are tried"),
    }
}

#[test]
fn every_set_of_numbers_is_tried_once_and_names_all_its_steps() {
    let job = Job::of(SIGN);
    let piece = piece(&job);
    let steps: Vec<Vec<String>> =
        piece.tries.iter().map(|t| t.steps.iter().map(ToString::to_string).collect()).collect();
    assert_eq!(steps, [vec!["1.1"], vec!["1.2", "2.1"], vec!["2.2"], vec!["2.3"]]);
    for tried in &piece.tries {
        for step in &tried.steps {
            let of = &job.plan.runs[step.run - 1].operations[step.operation - 1];
            let (a, b) = (of.setting.as_ref().expect("set"), tried.operation.setting.as_ref().expect("set"));
            assert_eq!(of.kind, tried.operation.kind);
            assert_eq!(
                (a.speed, a.power, a.passes, a.interval, a.focus, a.air),
                (b.speed, b.power, b.passes, b.interval, b.focus, b.air)
            );
        }
        let first = tried.steps[0];
        assert_eq!(job.plan.runs[first.run - 1].operations[first.operation - 1].colour, tried.operation.colour);
    }
}

/// Everything lies on the page, patches keep apart, cuts come last and run along the edge of their patch.
#[test]
fn patches_lie_apart_and_what_is_cut_comes_last() {
    for job in [Job::of(SIGN), super::hard::sixty()] {
        let piece = piece(&job);
        let page = Rect::new(0.0, 0.0, piece.width.get(), piece.height.get());
        for (i, tried) in piece.tries.iter().enumerate() {
            let burned = bounds(&tried.operation.burn);
            assert!(
                page.contains(burned.origin()) && page.contains((burned.x1, burned.y1)),
                "{burned:?} of {page:?}"
            );
            let apart =
                piece.tries[i + 1..].iter().all(|other| !tried.patch.inflate(3.9, 3.9).overlaps(other.patch));
            assert!(apart, "{:?}", tried.patch);
            if tried.operation.kind == OperationKind::Cut {
                assert_eq!(burned, tried.patch);
                assert!((burned.width() - PATCH).abs() < 1e-9 && (burned.height() - PATCH).abs() < 1e-9);
            }
        }
        let kinds: Vec<bool> = piece.tries.iter().map(|t| t.operation.kind == OperationKind::Cut).collect();
        assert!(kinds.is_sorted());
    }
}

/// Burned by a beam as wide as the kerf, by areas: what is left of the square inside the cut, and what is missing outside it,
/// are what sheet and report expect by caliper. Side − kerf and side + kerf: the beam takes half the kerf to each side of the
/// line it runs on (public course page, archive.fabacademy.org 2017; arithmetic).
#[test]
fn a_square_comes_out_as_large_as_is_said() {
    let job = Job::of(SIGN);
    let cut = piece(&job).tries.last().expect("there is a cut");
    let Burn::Lines(lines) = &cut.operation.burn else { panic!("a cut") };
    let kerf = cut.operation.finished.expect("the kerf is known").kerf;
    assert_eq!(kerf.get(), 0.2);
    let mut cutter = BezPath::new();
    cutter.extend(&lines[0]);
    let charred = Region::from_stroke(
        &cutter,
        kerf,
        kerfbook::geometry::Corners::Mitre { limit: 4.0 },
        kerfbook::geometry::Caps::Butt,
    )
    .expect("a square");
    let edges: BTreeSet<String> =
        charred.contours().iter().map(|c| format!("{:.3}", c.bounding_box().width())).collect();
    let of_report = &job.report["test_piece"]["tries"][3];
    assert_eq!(edges, BTreeSet::from(["10.200".to_owned(), "9.800".to_owned()]));
    assert_eq!((of_report["square_mm"].as_f64(), of_report["opening_mm"].as_f64()), (Some(9.8), Some(10.2)));
    let outer =
        Region::from_path(&Rect::new(0.0, 0.0, 10.2, 10.2).to_path(0.1), FillRule::NonZero).expect("a square");
    let inner = 9.8 * 9.8;
    assert!((charred.area().get() - (outer.area().get() - inner)).abs() < 1e-3);
    let Some(text) = job.text() else { return };
    assert!(text.contains("the square is 9.8 mm wide and its opening 10.2 mm, at a kerf of 0.2 mm"), "{text}");
}

/// The file holds what the plan does, in its order, with the numbers on each group, on a page as large as the piece.
#[test]
fn the_file_burns_what_the_plan_says() {
    let job = Job::of(SIGN);
    let files = job.files();
    let file = files.iter().find(|f| f.path == TEST_PIECE_FILE).expect("it is among them");
    let text = String::from_utf8(file.bytes.clone()).expect("text");
    let svg = roxmltree::Document::parse(&text).expect("XML");
    let piece = piece(&job);
    assert_eq!(svg.root_element().attribute("width"), Some(format!("{}mm", piece.width.get()).as_str()));
    assert_eq!(svg.root_element().attribute("height"), Some(format!("{}mm", piece.height.get()).as_str()));
    let groups: Vec<_> = svg.descendants().filter(|n| n.has_tag_name("g")).collect();
    assert_eq!(groups.len(), piece.tries.len());
    for (group, tried) in groups.iter().zip(&piece.tries) {
        let setting = tried.operation.setting.as_ref().expect("set");
        assert_eq!(group.attribute("data-power"), Some(setting.power.to_string().as_str()));
        assert_eq!(group.attribute("data-speed"), Some(setting.speed.to_string().as_str()));
        assert_eq!(group.attribute("data-passes"), Some(setting.passes.to_string().as_str()));
        let paths = group.children().filter(|n| n.has_tag_name("path"));
        let drawn =
            paths.map(|p| BezPath::from_svg(p.attribute("d").expect("a path")).expect("a path").bounding_box());
        let drawn = drawn.reduce(|a, b| a.union(b)).expect("something is burned");
        let planned = bounds(&tried.operation.burn);
        assert!(
            (drawn.x0 - planned.x0).abs() < 1e-3 && (drawn.y1 - planned.y1).abs() < 1e-3,
            "{drawn:?} {planned:?}"
        );
    }
    let report = &job.report["test_piece"];
    assert_eq!(report["file"], TEST_PIECE_FILE);
    assert_eq!(report["tries"].as_array().map(Vec::len), Some(groups.len()));
    assert!(job.text().is_none_or(|text| text.contains("Test piece (test-piece.svg) burned on an offcut")));
}

/// Figures stand over the patches as strokes of the first score; a job that only cuts has nothing to write with.
#[test]
fn figures_are_scored_where_something_is() {
    let job = Job::of(SIGN);
    let Burn::Lines(lines) = &piece(&job).tries[1].operation.burn else { panic!("a score") };
    // Three lines of its own, and over each of four patches at least a digit, a stop and a digit.
    assert!(15 <= lines.len(), "{}", lines.len());
    for tried in &piece(&job).tries {
        let over = Rect::new(tried.patch.x0, tried.patch.y0 - 4.1, tried.patch.x1, tried.patch.y0 - 1.3);
        let inside = lines.iter().filter(|l| over.contains(l.bounding_box().center())).count();
        assert!(3 <= inside, "{over:?}");
    }
    let only = Job::of(
        "machine \"shut-tube\"\nstock \"lime-4\"\nsheet \"60 mm\" \"60 mm\"\nboard { circle \"40 mm\" }\nrun \"out\" { cut \"board\" setting=\"through\" }\n",
    );
    assert!(!piece(&only).is_labelled());
    assert!(only.report["test_piece"]["tries"][0]["square_mm"].is_null());
    let Some(text) = only.text() else { return };
    assert!(text.contains("10 mm less the width of the square is the kerf"), "{text}");
}
