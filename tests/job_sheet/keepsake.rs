//! A plausible plan, built by hand: the heron keepsake, engraved, scored and cut into fifteen pieces.

use kerfbook::geometry::{FillRule, Region};
use kerfbook::plan::{
    Accepted, Burn, CleanUp, Cost, DrawnSeams, Estimate, FigureUsed, FileUsed, InputUsed, Lay, Manner, Operation,
    Piece, Plan, Puzzle, ResolvedSetting, Run, Sheet, Version,
};
use kerfbook::shop::{
    LaserKind, Lesson, Machine, Moment, OperationKind, Paper, Price, SpotFrom, StartPoint, Stock,
};
use kerfbook::source::{SourceId, Span};
use kerfbook::units::{Mm, Mm2, MmPerSecond, MmPerSecond2, Percent, Seconds, Watts};
use kurbo::{BezPath, Circle, Point, Rect, RoundedRect, Shape, Vec2};
use std::collections::BTreeMap;

/// Columns, rows and the board, in mm.
const COLUMNS: usize = 3;
const ROWS: usize = 5;
const BOARD: Rect = Rect::new(44.45, 12.7, 260.35, 292.1);

/// A place that no test looks at.
pub fn nowhere() -> Span {
    Span { source: SourceId(0), start: 0, end: 0 }
}

/// An area from any shape.
pub fn area(shape: &impl Shape) -> Region {
    Region::from_path(&shape.to_path(0.01), FillRule::NonZero).expect("the fixture is clean")
}

/// A bench laser with a visible diode.
pub fn machine() -> Machine {
    Machine {
        name: "bench-diode".into(),
        about: "Framed bench laser in a vented case".into(),
        kind: LaserKind::Diode,
        wavelength: Mm::new(450e-6),
        power: Watts::new(10.0),
        bed_width: Mm::new(410.0),
        bed_height: Mm::new(400.0),
        spot: Mm::new(0.1),
        spot_from: SpotFrom::Measured,
        optics: None,
        rayleigh: None,
        focus_depth: Some(Mm::new(2.0)),
        top_speed: MmPerSecond::new(200.0),
        travel_speed: MmPerSecond::new(150.0),
        acceleration: MmPerSecond2::new(800.0),
        corner: None,
        run_up: None,
        skips_gaps: false,
        hourly: None,
        start: StartPoint::LeftTop,
        focus_gauge: Some("The 5 mm brass block goes between stock and nozzle.".into()),
        air_assist: true,
        enclosed: true,
        speed_unit: "in/min".into(),
        colours: BTreeMap::new(),
        span: nowhere(),
    }
}

/// Thin plywood.
pub fn stock() -> Stock {
    Stock {
        name: "birch-3".into(),
        about: "Laser-grade birch, three plies, both faces sanded".into(),
        material: "birch plywood".into(),
        thickness: Mm::new(2.9),
        sheet: Some((Mm::new(304.8), Mm::new(304.8))),
        price: Price::parse("4.20 EUR"),
        kerf: Some(Mm::new(0.15)),
        curl: None,
        tones: None,
        span: nowhere(),
    }
}

/// The setting of an engraved area.
pub fn dark() -> ResolvedSetting {
    ResolvedSetting {
        name: "dark".into(),
        speed: MmPerSecond::new(63.5),
        power: Percent::new(72.5),
        passes: 1,
        interval: Some(Mm::new(0.085)),
        focus: Some(Mm::new(0.0)),
        air: Some(false),
        kerf: None,
        shade: None,
        card: None,
        measured: Some("2027-05-02".into()),
        how: Some("settings grid, square D4 matched the sample board".into()),
        overridden: Vec::new(),
        is_trial: false,
    }
}

fn through() -> ResolvedSetting {
    ResolvedSetting {
        name: "birch-cut".into(),
        speed: MmPerSecond::new(4.233_333_333),
        power: Percent::new(95.0),
        passes: 3,
        interval: None,
        focus: Some(Mm::new(-1.0)),
        air: Some(true),
        kerf: None,
        shade: None,
        card: None,
        measured: Some("2027-05-09".into()),
        how: Some("ladder of passes; the third drops the offcut".into()),
        overridden: vec!["passes"],
        is_trial: false,
    }
}

/// An operation that burns an area.
pub fn engrave(number: usize, name: &str, region: Region, setting: ResolvedSetting, colour: &str) -> Operation {
    let bounds = region.bounds();
    let inked = region.area();
    Operation {
        number,
        kind: OperationKind::Engrave,
        name: name.into(),
        figures: name.split('-').map(str::to_owned).collect(),
        length: Mm::new(inked.get() / 0.085),
        area: inked,
        burn: Burn::Area(region),
        setting: Some(setting),
        colour: colour.into(),
        travel: Mm::new(310.0),
        strokes: 0,
        numbers: Vec::new(),
        finished: None,
        seams: None,
        clean_up: CleanUp::default(),
        manner: Manner::default(),
        time: lasting(inked.get() / 6.4),
        bounds,
        span: nowhere(),
    }
}

fn lines(number: usize, kind: OperationKind, name: &str, lines: Vec<BezPath>, colour: &str) -> Operation {
    let bounds = lines.iter().map(Shape::bounding_box).reduce(|a, b| a.union(b));
    let length: f64 = lines.iter().map(|l| l.perimeter(1e-3)).sum();
    let mut setting = through();
    if kind == OperationKind::Score {
        setting.name = "line".into();
        setting.speed = MmPerSecond::new(25.4);
        setting.power = Percent::new(18.0);
        setting.passes = 1;
        setting.focus = None;
        setting.shade = Some(Percent::new(35.0));
        setting.overridden = vec!["speed", "power"];
        setting.measured = None;
        setting.how = None;
    }
    let passes = f64::from(setting.passes);
    Operation {
        number,
        kind,
        name: name.into(),
        figures: vec![name.into()],
        strokes: lines.len(),
        numbers: Vec::new(),
        finished: None,
        seams: None,
        clean_up: CleanUp::default(),
        length: Mm::new(length),
        area: Mm2::ZERO,
        travel: Mm::new(190.0),
        manner: Manner::default(),
        time: lasting(passes * length / setting.speed.get()),
        burn: Burn::Lines(lines),
        setting: Some(setting),
        colour: colour.into(),
        bounds,
        span: nowhere(),
    }
}

fn heron() -> Region {
    let mut bird = BezPath::new();
    bird.move_to((120.0, 214.0));
    bird.curve_to((128.0, 176.0), (176.0, 150.0), (206.0, 170.0));
    bird.curve_to((186.0, 196.0), (172.0, 212.0), (140.0, 222.0));
    bird.curve_to((136.0, 200.0), (120.0, 170.0), (134.0, 140.0));
    bird.curve_to((142.0, 122.0), (128.0, 112.0), (122.0, 104.0));
    bird.curve_to((116.0, 92.0), (138.0, 84.0), (146.0, 96.0));
    bird.line_to((182.0, 104.0));
    bird.line_to((146.0, 105.0));
    bird.curve_to((154.0, 122.0), (148.0, 134.0), (146.0, 150.0));
    bird.curve_to((142.0, 176.0), (150.0, 190.0), (156.0, 204.0));
    bird.line_to((158.0, 258.0));
    bird.line_to((153.0, 258.0));
    bird.line_to((151.0, 208.0));
    bird.close_path();
    for x in [70.0, 78.0, 84.0, 226.0, 233.0] {
        bird.extend(Rect::new(x, 170.0 + x / 4.0, x + 2.2, 262.0).path_elements(0.1));
        bird.extend(kurbo::Ellipse::new((x + 1.1, 166.0 + x / 4.0), (2.6, 9.0), 0.1).path_elements(0.05));
    }
    Region::from_path(&bird, FillRule::NonZero).expect("the fixture is clean")
}

fn date() -> Region {
    let mut bars = BezPath::new();
    for i in 0..14 {
        let x = 112.0 + 5.8 * f64::from(i);
        bars.extend(Rect::new(x, 271.0, x + if i % 3 == 0 { 1.2 } else { 3.9 }, 280.0).path_elements(0.1));
    }
    Region::from_path(&bars, FillRule::NonZero).expect("the fixture is clean")
}

fn heron_and_date() -> Region {
    let mut both = heron().to_path();
    both.extend(date().to_path());
    Region::from_path(&both, FillRule::NonZero).expect("the fixture is clean")
}

fn corner(column: usize, row: usize) -> Point {
    let step = Vec2::new(BOARD.width() / COLUMNS as f64, BOARD.height() / ROWS as f64);
    BOARD.origin() + Vec2::new(step.x * column as f64, step.y * row as f64)
}

/// A side of a piece with a round knob to the left of its direction, or to the right when `turned`.
fn side(path: &mut BezPath, from: Point, to: Point, knob: Option<bool>) {
    let Some(turned) = knob else {
        path.line_to(to);
        return;
    };
    let along = (to - from).normalize();
    let across = Vec2::new(-along.y, along.x) * if turned { 1.0 } else { -1.0 };
    let middle = from.midpoint(to);
    path.line_to(middle - along * 4.0);
    path.curve_to(
        middle - along * 4.0 + across * 4.0,
        middle - along * 10.0 + across * 13.0,
        middle + across * 13.0,
    );
    path.curve_to(
        middle + along * 10.0 + across * 13.0,
        middle + along * 4.0 + across * 4.0,
        middle + along * 4.0,
    );
    path.line_to(to);
}

fn puzzle() -> Puzzle {
    let mut pieces = Vec::new();
    for row in 0..ROWS {
        for column in 0..COLUMNS {
            let (a, b) = (corner(column, row), corner(column + 1, row));
            let (c, d) = (corner(column + 1, row + 1), corner(column, row + 1));
            let flip = |k: usize| k.is_multiple_of(2);
            let mut outline = BezPath::new();
            outline.move_to(a);
            side(&mut outline, a, b, (0 < row).then(|| flip(row + column)));
            side(&mut outline, b, c, (column + 1 < COLUMNS).then(|| flip(row + column)));
            side(&mut outline, c, d, (row + 1 < ROWS).then(|| !flip(row + 1 + column)));
            side(&mut outline, d, a, (0 < column).then(|| !flip(row + column - 1)));
            outline.close_path();
            pieces.push(Piece {
                number: pieces.len() + 1,
                is_whimsy: false,
                outline: Region::from_path(&outline, FillRule::NonZero).expect("the fixture is clean"),
                middle: a.midpoint(c),
                room: Mm::new(13.0),
                neighbours: Vec::new(),
                knobs: Some(0),
                sockets: Some(0),
                apart: Vec2::ZERO,
            });
        }
    }
    Puzzle {
        name: "pieces".into(),
        pieces,
        seams: seams(),
        drawn: Some(DrawnSeams {
            seed: "heron-2027".into(),
            rows: ROWS,
            columns: COLUMNS,
            proofs: crate::outputs::sample::proofs(),
        }),
    }
}

fn seams() -> Vec<BezPath> {
    let mut seams = Vec::new();
    let mut seam = |from: Point, to: Point, turned: bool| {
        let mut path = BezPath::new();
        path.move_to(from);
        side(&mut path, from, to, Some(turned));
        seams.push(path);
    };
    for row in 1..ROWS {
        for column in 0..COLUMNS {
            seam(corner(column, row), corner(column + 1, row), (row + column) % 2 == 0);
        }
    }
    for column in 1..COLUMNS {
        for row in 0..ROWS {
            seam(corner(column, row), corner(column, row + 1), (row + column - 1) % 2 == 0);
        }
    }
    seams
}

fn run(number: usize, name: &str, operations: Vec<Operation>) -> Run {
    let burned = operations.iter().filter_map(|o| o.bounds).reduce(|a, b| a.union(b));
    let time = operations.iter().map(|o| o.time).sum::<Estimate>() + lasting(9.0);
    Run { number, name: name.into(), lay: Lay::default(), start: None, operations, burned, time, span: nowhere() }
}

/// The whole plan.
pub fn plan() -> Plan {
    let board = RoundedRect::from_rect(BOARD, 5.0);
    let sun = area(&Circle::new((218.0, 52.0), 18.0));
    let halo = Circle::new((218.0, 52.0), 22.0).to_path(0.01);
    let pond = kurbo::Ellipse::new((152.0, 258.0), (76.0, 7.0), 0.0).to_path(0.01);
    let mut light = dark();
    light.shade = Some(Percent::new(35.0));
    light.power = Percent::new(41.25);
    light.name = "dark".into();
    light.measured = None;
    light.how = Some("shade card of 2027-05-02".into());
    let picture = vec![
        engrave(1, "heron-date", heron_and_date(), dark(), "#0072b2"),
        engrave(2, "sun", sun, light, "#e69f00"),
        lines(3, OperationKind::Score, "halo", vec![halo, pond], "#009e73"),
    ];
    let separate = vec![
        lines(1, OperationKind::Cut, "pieces", seams(), "#d55e00"),
        lines(2, OperationKind::Cut, "board", vec![board.to_path(0.01)], "#cc79a7"),
    ];
    Plan {
        title: "Heron pond keepsake".into(),
        about: "A burned picture on thin plywood, then cut into a jigsaw.".into(),
        recipe: "heron.recipe.kdl".into(),
        slug: "heron".into(),
        paper: Paper::A4,
        version: Version { content: "0123456789abcdef".repeat(4), revision: None },
        sheet: Sheet {
            width: Mm::new(304.8),
            height: Mm::new(304.8),
            curl: None,
            is_offcut: false,
            block: None,
            span: nowhere(),
        },
        board: Some(area(&board)),
        machine: machine(),
        stock: stock(),
        inputs: vec![
            InputUsed {
                name: "day".into(),
                value: "2027-08-14".into(),
                about: "Line under the picture".into(),
                is_default: false,
            },
            InputUsed {
                name: "picture".into(),
                value: "art/heron.svg".into(),
                about: "SVG, PNG or JPEG".into(),
                is_default: true,
            },
        ],
        files: [("heron.recipe.kdl", "3f2a"), ("../bench.shop.kdl", "91c0"), ("art/heron.svg", "d7e4")]
            .map(|(path, hash)| FileUsed { path: path.into(), hash: hash.repeat(16) })
            .into(),
        figures: vec![FigureUsed {
            name: "heron".into(),
            kind: "artwork",
            bounds: heron().bounds(),
            area: heron().area(),
            outlines: 11,
            inlay: None,
            trace: None,
            changes: Vec::new(),
            artwork: None,
        }],
        fixtures: Vec::new(),
        runs: vec![run(1, "picture", picture), run(2, "separate", separate)],
        cost: Cost {
            sheets: 1,
            used: None,
            material: Price::parse("4.20 EUR"),
            running: Price::parse("2.10 EUR"),
            total: Price::parse("6.30 EUR"),
        },
        puzzle: Some(puzzle()),
        lessons: vec![
            Lesson {
                text: "The first keepsake lost its corner piece in the tray.".into(),
                moment: Moment::After,
                action: "Count the pieces before the tray is emptied.".into(),
                span: nowhere(),
            },
            Lesson {
                text: "A bowed sheet went out of focus at the left edge.".into(),
                moment: Moment::Before,
                action: "Weigh down all four corners; look at the focus in each.".into(),
                span: nowhere(),
            },
        ],
        reminders: vec![
            (Moment::Before, "Window fan on, door to the hall shut".into()),
            (Moment::Pausing, "Tell the neighbour at the bench why it stands still".into()),
        ],
        last_time: None,
        test_piece: None,
        accepted: vec![accepted()],
        warnings: Vec::new(),
    }
}

fn accepted() -> Accepted {
    Accepted {
        rule: "layout/thin-web",
        message: "the web between `reeds` and the edge of `board` is 1.8 mm wide".into(),
        reason: "The reeds are only engraved there; nothing hangs on the web.".into(),
    }
}

/// A time that may be off by a tenth.
fn lasting(seconds: f64) -> Estimate {
    let of = |share: f64| Seconds::new(share * seconds);
    Estimate { likely: of(1.0), least: of(0.9), most: of(1.1) }
}
