//! A whole plan, built by hand: a heron on a pond, burned on thin plywood and cut into a jigsaw.

use kerfbook::geometry::{FillRule, Region};
use kerfbook::plan::{
    Burn, CleanUp, Cost, DrawnSeams, Estimate, FigureUsed, FileUsed, InputUsed, Lay, Manner, Operation, Piece,
    Plan, Proofs, Puzzle, ResolvedSetting, Run, Sheet, Version,
};
use kerfbook::puzzle::{Hold, Measure, Tip};
use kerfbook::shop::{
    LaserKind, Lesson, Machine, Moment, OperationKind, Paper, Price, SpotFrom, StartPoint, Stock,
};
use kerfbook::source::{Source, SourceId, Sources, Span};
use kerfbook::units::{Degrees, Mm, Mm2, MmPerSecond, MmPerSecond2, Percent, Seconds, Watts};
use kurbo::{Affine, BezPath, Circle, Point, Rect, RoundedRect, Shape};
use std::collections::BTreeMap;

/// The board on the sheet, its corners rounded by 5 mm.
pub const BOARD: Rect = Rect::new(44.45, 12.7, 260.35, 292.1);
const CORNER: f64 = 5.0;
const ROWS: usize = 5;
const COLUMNS: usize = 3;

const HERON: &str = "M52 80L78 71C82 65 92 65 96 71L118 82L97 79C104 90 104 98 98 106C93 113 94 119 102 124\
    C124 124 148 142 172 184C160 182 150 182 142 181C128 186 108 180 98 164C88 150 84 136 86 124\
    C88 112 98 104 94 94C92 88 88 83 82 80Z\
    M118 178L121 178L119 205L116 246L113 246L115.5 205ZM128 178L131 178L133 206L137 246L134 246L130 206Z";
const FEATHERS: &str = "M84 74C84 76 87 76 87 74C87 72 84 72 84 74Z\
    M112 136C120 152 134 164 150 172C136 158 126 146 112 136Z\
    M104 138C110 156 122 168 136 175C122 162 114 150 104 138Z\
    M122 134C134 148 146 160 158 172C148 154 138 144 122 134Z";
const REEDS: &str = "M24 262C25 210 24 150 14 96C30 150 30 210 29 262ZM34 262C35 220 40 170 58 128C44 176 40 220 39 262Z\
    M44 262C46 236 54 206 70 186C58 210 50 236 48 262ZM180 262C184 210 184 160 172 112C190 160 190 210 185 262Z\
    M190 262C190 216 194 170 206 134C200 172 196 216 195 262ZM170 262C168 240 162 222 150 206C166 222 173 240 175 262Z\
    M20 92C17 84 17 66 20 60C24 66 25 84 22 92ZM177 108C174 98 174 82 177 76C181 82 182 98 179 108Z";
const RIPPLES: &str = "M86 240C100 236 128 234 160 239C128 244 104 244 86 240ZM60 248C90 244 130 252 166 247C130 256 90 249 60 248Z\
    M96 255C116 252 136 258 156 254C136 261 116 256 96 255Z";

/// Where everything is said to be written.
pub const SPAN: Span = Span::new(SourceId(0), 0, 6);

/// The one text of the sample.
pub fn sources() -> Sources {
    let mut sources = Sources::default();
    sources.add(Source {
        name: "heron.recipe.kdl".into(),
        path: None,
        text: "recipe \"Heron pond keepsake\" language=1\nsheet \"12 in\" \"12 in\"\n".into(),
        imported_at: None,
    });
    sources
}

/// An area drawn in SVG path data, in the board's frame: all of `solid` welded, less the holes.
pub fn region(solid: &str, holes: &str) -> Region {
    let mut path = BezPath::new();
    for (data, sign) in [(solid, 1.0), (holes, -1.0)] {
        for part in data.split_inclusive('Z').filter(|p| !p.trim().is_empty()) {
            let part = BezPath::from_svg(part).expect("path data of the sample");
            path.extend(if part.area() * sign < 0.0 { part.reverse_subpaths() } else { part });
        }
    }
    Region::from_path(&on_sheet(path), FillRule::NonZero).expect("finite")
}

fn on_sheet(path: BezPath) -> BezPath {
    Affine::translate(BOARD.origin().to_vec2()) * path
}

/// The whole job: one run burns the picture, the next cuts it apart.
pub fn plan() -> Plan {
    let (pieces, seams) = jigsaw();
    let board = RoundedRect::from_rect(BOARD, CORNER).to_path(0.01);
    let drawing = format!("{HERON}{REEDS}{RIPPLES}");
    let picture = vec![
        engrave(1, "heron", region(&drawing, FEATHERS), 85.0, "#0072B2"),
        engrave(2, "sun", sun(), 38.0, "#E69F00"),
        lines(3, OperationKind::Score, "frame", vec![frame()], "#009E73"),
        lines(
            4,
            OperationKind::Guide,
            "fold",
            vec![line(Point::new(60.0, 20.0), Point::new(60.0, 280.0))],
            "#999999",
        ),
    ];
    let separate = vec![
        lines(1, OperationKind::Cut, "pieces", seams.clone(), "#D55E00"),
        lines(2, OperationKind::Cut, "board", vec![board.clone()], "#000000"),
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
            span: SPAN,
        },
        board: Some(Region::from_path(&board, FillRule::NonZero).expect("finite")),
        machine: machine(),
        stock: stock("birch plywood"),
        inputs: vec![InputUsed {
            name: "day".into(),
            value: "2027-08-14".into(),
            about: "Line under the picture".into(),
            is_default: true,
        }],
        files: vec![FileUsed {
            path: "art/heron.svg".into(),
            hash: "9f86d081884c7d659a2feaa0c55ad015a3bf4f1b2b0b822cd15d6c15b0f00a08".into(),
        }],
        figures: vec![FigureUsed {
            name: "heron".into(),
            kind: "artwork",
            bounds: region(HERON, FEATHERS).bounds(),
            area: region(HERON, FEATHERS).area(),
            outlines: 8,
            inlay: None,
            trace: None,
            changes: Vec::new(),
            artwork: None,
        }],
        fixtures: Vec::new(),
        runs: vec![run(1, "picture", picture), run(2, "separate", separate)],
        cost: Cost { sheets: 1, material: Price::parse("4.20 EUR"), ..Cost::default() },
        puzzle: Some(Puzzle {
            name: "pieces".into(),
            pieces,
            seams,
            drawn: Some(DrawnSeams { seed: "heron-2027".into(), rows: ROWS, columns: COLUMNS, proofs: proofs() }),
        }),
        lessons: vec![Lesson {
            text: "the sheet lifted at one corner".into(),
            moment: Moment::Before,
            action: "pin all four corners".into(),
            span: SPAN,
        }],
        reminders: vec![(Moment::After, "empty the crumb tray".into())],
        accepted: Vec::new(),
        warnings: Vec::new(),
        last_time: None,
        test_piece: None,
    }
}

/// A run of operations; its bounds are theirs.
pub fn run(number: usize, name: &str, operations: Vec<Operation>) -> Run {
    let burned = operations.iter().filter_map(|o| o.bounds).reduce(|a, b| a.union(b));
    let time = operations.iter().map(|o| o.time).sum();
    Run { number, name: name.into(), lay: Lay::default(), start: None, operations, burned, time, span: SPAN }
}

/// An engraved area.
pub fn engrave(number: usize, name: &str, region: Region, power: f64, colour: &str) -> Operation {
    let mut setting = setting(power, 1);
    setting.interval = Some(Mm::new(0.1));
    Operation {
        kind: OperationKind::Engrave,
        area: region.area(),
        length: Mm::new(region.area().get() / 0.1),
        bounds: region.bounds(),
        strokes: 0,
        burn: Burn::Area(region),
        ..operation(number, name, setting, colour)
    }
}

/// Scored, cut or guide lines.
pub fn lines(number: usize, kind: OperationKind, name: &str, lines: Vec<BezPath>, colour: &str) -> Operation {
    let mut made = operation(number, name, setting(95.0, 2), colour);
    made.kind = kind;
    made.length = Mm::new(lines.iter().map(|l| l.perimeter(1e-3)).sum());
    made.bounds = lines.iter().map(Shape::bounding_box).reduce(|a, b| a.union(b));
    made.strokes = lines.len();
    made.burn = Burn::Lines(lines);
    if kind == OperationKind::Guide {
        made.setting = None;
    }
    made
}

/// A straight line.
pub fn line(from: Point, to: Point) -> BezPath {
    kurbo::Line::new(from, to).to_path(0.1)
}

fn operation(number: usize, name: &str, setting: ResolvedSetting, colour: &str) -> Operation {
    Operation {
        number,
        kind: OperationKind::Engrave,
        name: name.into(),
        figures: vec![name.into()],
        burn: Burn::Lines(Vec::new()),
        setting: Some(setting),
        colour: colour.into(),
        length: Mm::ZERO,
        area: Mm2::ZERO,
        travel: Mm::new(12.5),
        strokes: 0,
        numbers: Vec::new(),
        finished: None,
        seams: None,
        clean_up: CleanUp::default(),
        manner: Manner::default(),
        time: lasting(754.2),
        bounds: None,
        span: SPAN,
    }
}

/// A time that may be off by a tenth.
fn lasting(seconds: f64) -> Estimate {
    let of = |share: f64| Seconds::new(share * seconds);
    Estimate { likely: of(1.0), least: of(0.9), most: of(1.1) }
}

fn setting(power: f64, passes: u32) -> ResolvedSetting {
    ResolvedSetting {
        name: "dark".into(),
        speed: MmPerSecond::new(60.0),
        power: Percent::new(power),
        passes,
        interval: None,
        focus: Some(Mm::ZERO),
        air: Some(true),
        kerf: None,
        shade: None,
        card: None,
        measured: Some("2027-05-02".into()),
        how: Some("settings grid, third row".into()),
        overridden: vec!["power"],
        is_trial: false,
    }
}

fn machine() -> Machine {
    Machine {
        name: "bench-diode".into(),
        about: "10 W diode on the bench".into(),
        kind: LaserKind::Diode,
        wavelength: Mm::new(0.00045),
        power: Watts::new(10.0),
        bed_width: Mm::new(400.0),
        bed_height: Mm::new(400.0),
        spot: Mm::new(0.08),
        spot_from: SpotFrom::Measured,
        optics: None,
        rayleigh: None,
        focus_depth: Some(Mm::new(2.0)),
        top_speed: MmPerSecond::new(400.0),
        travel_speed: MmPerSecond::new(200.0),
        acceleration: MmPerSecond2::new(2000.0),
        corner: None,
        run_up: None,
        skips_gaps: false,
        hourly: None,
        start: StartPoint::LeftTop,
        focus_gauge: Some("20 mm block".into()),
        air_assist: true,
        enclosed: false,
        speed_unit: "mm/s".into(),
        colours: BTreeMap::new(),
        span: SPAN,
    }
}

/// A stock of some material, 3.1 mm thick.
pub fn stock(material: &str) -> Stock {
    Stock {
        name: "birch-3".into(),
        about: "three-ply, one good face".into(),
        material: material.into(),
        thickness: Mm::new(3.1),
        sheet: Some((Mm::new(304.8), Mm::new(304.8))),
        price: Price::parse("4.20 EUR"),
        kerf: Some(Mm::new(0.2)),
        curl: None,
        tones: None,
        span: SPAN,
    }
}

fn sun() -> Region {
    let mut path = Circle::new((158.0, 46.0), 15.0).to_path(0.01);
    for ray in 0..12 {
        let turned = Affine::rotate_about(f64::from(ray) * 30.0_f64.to_radians(), (158.0, 46.0));
        path.extend(turned * BezPath::from_svg("M156.6 26L158 16L159.4 26Z").expect("a ray"));
    }
    Region::from_path(&on_sheet(path), FillRule::NonZero).expect("finite")
}

fn frame() -> BezPath {
    RoundedRect::from_rect(BOARD.inset(-7.0), 3.0).to_path(0.01)
}

/// Every seam once, and the pieces that they enclose together with the board's edge.
fn jigsaw() -> (Vec<Piece>, Vec<BezPath>) {
    let mut seams = Vec::new();
    for row in 0..=ROWS {
        for column in 0..COLUMNS {
            seams.extend((0 < row && row < ROWS).then(|| across(row, column)));
        }
    }
    for row in 0..ROWS {
        seams.extend((1..COLUMNS).map(|column| down(row, column)));
    }
    let pieces = (0..ROWS * COLUMNS).map(|i| piece(i / COLUMNS, i % COLUMNS, i + 1)).collect();
    (pieces, seams)
}

fn node(row: usize, column: usize) -> Point {
    Point::new(
        BOARD.x0 + BOARD.width() * column as f64 / COLUMNS as f64,
        BOARD.y0 + BOARD.height() * row as f64 / ROWS as f64,
    )
}

fn across(row: usize, column: usize) -> BezPath {
    let sign = if (row + column).is_multiple_of(2) { 1.0 } else { -1.0 };
    side(node(row, column), node(row, column + 1), if row == 0 || row == ROWS { 0.0 } else { sign })
}

fn down(row: usize, column: usize) -> BezPath {
    let sign = if (row + column).is_multiple_of(2) { -1.0 } else { 1.0 };
    side(node(row, column), node(row + 1, column), if column == 0 || column == COLUMNS { 0.0 } else { sign })
}

/// One side of a piece: a knob towards `sign`, or straight and clear of the board's corners.
fn side(from: Point, to: Point, sign: f64) -> BezPath {
    if sign == 0.0 {
        let along = (to - from).normalize() * CORNER;
        let rounded = RoundedRect::from_rect(BOARD, CORNER);
        let start = if rounded.winding(from + along * 0.01) == 0 && corner(from) { from + along } else { from };
        let end = if corner(to) { to - along } else { to };
        return line(start, end);
    }
    let length = from.distance(to);
    let place =
        Affine::new([(to - from).x, (to - from).y, -(to - from).y * sign, (to - from).x * sign, from.x, from.y]);
    let knob = if length > 65.0 { 0.9 } else { 1.0 };
    let outline = BezPath::from_svg(
        "M0 0C.15 .03 .42 .08 .43 .02C.44 -.03 .36 -.05 .36 -.12C.36 -.24 .64 -.24 .64 -.12\
         C.64 -.05 .56 -.03 .57 .02C.58 .08 .85 .03 1 0",
    )
    .expect("a knob");
    place * Affine::scale_non_uniform(1.0, knob) * outline
}

fn corner(p: Point) -> bool {
    (p.x == node(0, 0).x || p.x == node(0, COLUMNS).x) && (p.y == node(0, 0).y || p.y == node(ROWS, 0).y)
}

/// The numbers of the pieces above, to the left, to the right and below.
fn beside(row: usize, column: usize) -> Vec<usize> {
    let number = |r: usize, c: usize| r * COLUMNS + c + 1;
    let above = (row > 0).then(|| number(row - 1, column));
    let left = (column > 0).then(|| number(row, column - 1));
    let right = (column + 1 < COLUMNS).then(|| number(row, column + 1));
    let below = (row + 1 < ROWS).then(|| number(row + 1, column));
    [above, left, right, below].into_iter().flatten().collect()
}

/// Proofs as a sound puzzle has them.
pub fn proofs() -> Proofs {
    let measure = |value: f64| Measure { value: Mm::new(value), at: Point::new(100.0, 100.0) };
    Proofs {
        narrowest_neck: measure(6.5),
        least_undercut: measure(1.25),
        nearest_lines: measure(4.5),
        sharpest_tip: Tip { angle: Degrees::new(62.0), at: Point::new(100.0, 100.0) },
        least_misfit: None,
        weakest_hold: Hold { piece: 1, value: Mm::new(3.0), way: Degrees::new(40.0) },
        loose: Vec::new(),
        smallest_piece: Mm2::new(3_800.0),
        largest_piece: Mm2::new(4_300.0),
        area_error: Mm2::ZERO,
        longest_seam: Mm::new(400.0),
        seam_length: Mm::new(2_000.0),
    }
}

fn piece(row: usize, column: usize, number: usize) -> Piece {
    let sides = [
        across(row, column),
        down(row, column + 1),
        across(row + 1, column).reverse_subpaths(),
        down(row, column).reverse_subpaths(),
    ];
    let corners = [node(row, column + 1), node(row + 1, column + 1), node(row + 1, column), node(row, column)];
    let mut outline = sides[0].clone();
    for (index, corner) in corners.into_iter().enumerate() {
        let next = &sides[(index + 1) % 4];
        let (kurbo::PathEl::MoveTo(start), Some(end)) = (next.elements()[0], outline.elements().last()) else {
            unreachable!("sides start with a move")
        };
        let end = end.end_point().expect("an open side");
        if end.distance(start) > 1.0 {
            // The usual cubic for a quarter of a circle.
            let reach = 0.552_284_75;
            outline.curve_to(end.lerp(corner, reach), start.lerp(corner, reach), start);
        }
        if index < 3 {
            outline.extend(next.iter().skip(1));
        }
    }
    outline.close_path();
    let middle = node(row, column).midpoint(node(row + 1, column + 1));
    Piece {
        number,
        is_whimsy: false,
        outline: Region::from_path(&outline, FillRule::NonZero).expect("finite"),
        middle,
        room: Mm::new(12.0),
        neighbours: beside(row, column),
        knobs: Some(2),
        sockets: Some(2),
        apart: (middle - BOARD.center()) * 0.4,
    }
}
