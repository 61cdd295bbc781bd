//! The test piece: every setting of a job tried on an offcut, before the sheet itself is burned.
//!
//! One patch for each set of numbers that the job burns with: a filled square for areas and photos, three lines for
//! scores, a square for cuts. Cuts come last and run on the drawn line, so that a square comes out smaller, and its opening
//! larger, by the kerf: that is what is measured.

use super::Manner;
use super::measure::{Ends, count_strokes, measure, run_time};
use super::model::{Beam, Burn, CleanUp, Finished, Operation, ResolvedSetting, Run};
use super::time::Estimate;
use crate::geometry::{Caps, Corners, FillRule, Line, Pen, Region};
use crate::intake::lettering::{self, Align, LetteringRequest, LetteringSize, StrokeFace, Typeface};
use crate::shop::{Machine, OperationKind};
use crate::units::{Mm, Mm2, Percent};
use kurbo::{Affine, BezPath, Point, Rect, Shape, Vec2};

/// Side of a patch, in mm: wide enough for a caliper, and for an eye that compares shades.
pub const PATCH: f64 = 10.0;
/// Between two patches, and around them, in mm: cut squares keep a wall that holds.
const APART: f64 = 4.0;
/// Height of the figures over a patch, in mm, and what is free below them.
const LABEL: f64 = 2.6;
const UNDER_LABEL: f64 = 1.4;
/// Width at which figures are engraved where the job scores nothing, in mm.
const LABEL_WIDTH: Mm = Mm::new(0.4);
/// As many patches side by side as an offcut a hand wide has room for.
const MOST_IN_A_ROW: usize = 8;

/// A small piece on which each setting of a job is tried. Coordinates count from the left top corner of its own page.
#[derive(Clone, Debug)]
pub struct TestPiece {
    /// Width of its page.
    pub width: Mm,
    /// Height of its page.
    pub height: Mm,
    /// What is tried, in the order in which it is burned.
    pub tries: Vec<Try>,
    /// Time for it, moves with the beam off included.
    pub time: Estimate,
}

/// One set of numbers, tried on a patch.
#[derive(Clone, Debug)]
pub struct Try {
    /// The operations of the job that burn with these numbers.
    pub steps: Vec<Step>,
    /// Where the patch lies; cuts run along its edge.
    pub patch: Rect,
    /// What is burned, with the numbers and the colour of the first step. The first score, or else the first engraving, burns
    /// the figures over all patches too.
    pub operation: Operation,
    /// Whether it stands for a photo: the patch is burned full, as dark as any of its dots.
    pub of_photo: bool,
}

/// An operation of a job, by its numbers. It is written `2.3`: the third of run 2.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Step {
    /// The number of the run.
    pub run: usize,
    /// The number of the operation in it.
    pub operation: usize,
}

impl std::fmt::Display for Step {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "{}.{}", self.run, self.operation)
    }
}

impl TestPiece {
    /// Whether figures over the patches are burned: a job that only cuts has nothing to write them with.
    pub fn is_labelled(&self) -> bool {
        self.tries.first().is_some_and(|first| first.operation.kind != OperationKind::Cut)
    }
}

impl Try {
    /// What stands over its patch: the first step that it is for.
    pub fn label(&self) -> String {
        self.steps.first().map_or_else(String::new, Step::to_string)
    }
}

/// Makes the test piece of a job. `None` where nothing is burned, where the job is itself a test, and where the piece would
/// not fit on the bed.
pub(super) fn test_piece(runs: &[Run], machine: &Machine) -> Option<TestPiece> {
    let mut found = settings(runs);
    if found.is_empty() || found.iter().any(|f| f.operation.is_trial()) {
        return None;
    }
    // Marks come before cuts, or they would be burned on loose squares.
    found.sort_by_key(|f| f.operation.kind == OperationKind::Cut);
    let grid = Grid::of(found.len(), machine)?;
    let labels: Vec<Vec<BezPath>> =
        found.iter().enumerate().map(|(i, f)| label(&f.steps[0].to_string(), grid.label(i))).collect();
    let writes = writer(&found);
    let mut operations: Vec<Operation> = Vec::with_capacity(found.len());
    let mut ends: Vec<Ends> = Vec::new();
    for (i, tried) in found.iter().enumerate() {
        let written = if writes == Some(i) { labels.concat() } else { Vec::new() };
        let mut operation = tried_on(i + 1, tried, grid.patch(i), written);
        ends.extend(measure(&mut operation, machine));
        operations.push(operation);
    }
    count_strokes(&mut operations);
    let time = run_time(&operations, &ends, machine);
    let tries = found.into_iter().zip(operations).enumerate().map(|(i, (found, operation))| Try {
        steps: found.steps,
        patch: grid.patch(i),
        operation,
        of_photo: found.of_photo,
    });
    Some(TestPiece { width: grid.width(), height: grid.height(), tries: tries.collect(), time })
}

/// One set of numbers and where it is used.
struct Found<'a> {
    steps: Vec<Step>,
    operation: &'a Operation,
    setting: &'a ResolvedSetting,
    of_photo: bool,
}

/// Each set of numbers of the job once, in the order in which they are first burned.
fn settings(runs: &[Run]) -> Vec<Found<'_>> {
    let mut all: Vec<Found> = Vec::new();
    for run in runs {
        for operation in &run.operations {
            let Some(setting) = &operation.setting else { continue };
            let step = Step { run: run.number, operation: operation.number };
            let of_photo = matches!(operation.burn, Burn::Dots(_));
            let like = |f: &&mut Found| f.operation.kind == operation.kind && is_same(f.setting, setting);
            match all.iter_mut().find(like) {
                Some(known) => {
                    known.steps.push(step);
                    known.of_photo &= of_photo;
                }
                None => all.push(Found { steps: vec![step], operation, setting, of_photo }),
            }
        }
    }
    all
}

/// Whether two settings give the machine the same numbers.
fn is_same(a: &ResolvedSetting, b: &ResolvedSetting) -> bool {
    let numbers = |s: &ResolvedSetting| (s.speed, s.power, s.passes, s.interval, s.focus, s.air);
    numbers(a) == numbers(b)
}

/// Which of them burns the figures: the first score, which is done soonest, or else the first engraving.
fn writer(found: &[Found]) -> Option<usize> {
    let first = |kind| found.iter().position(|f| f.operation.kind == kind);
    first(OperationKind::Score).or_else(|| first(OperationKind::Engrave))
}

/// Where patches and figures lie.
#[derive(Clone, Copy)]
struct Grid {
    columns: usize,
    rows: usize,
}

impl Grid {
    const STEP: Vec2 = Vec2::new(PATCH + APART, LABEL + UNDER_LABEL + PATCH + APART);

    /// `None` where it would not fit on the bed.
    fn of(count: usize, machine: &Machine) -> Option<Self> {
        let room = (machine.bed_width.get() - APART) / Self::STEP.x;
        let columns = count.min(MOST_IN_A_ROW).min(room.max(0.0) as usize);
        if columns == 0 {
            return None;
        }
        let grid = Self { columns, rows: count.div_ceil(columns) };
        (grid.height() <= machine.bed_height).then_some(grid)
    }

    fn width(self) -> Mm {
        Mm::new(APART + self.columns as f64 * Self::STEP.x)
    }

    fn height(self) -> Mm {
        Mm::new(APART + self.rows as f64 * Self::STEP.y)
    }

    fn patch(self, index: usize) -> Rect {
        let (row, column) = (index / self.columns, index % self.columns);
        let corner = Point::new(APART, APART + LABEL + UNDER_LABEL)
            + Vec2::new(Self::STEP.x * column as f64, Self::STEP.y * row as f64);
        Rect::from_origin_size(corner, (PATCH, PATCH))
    }

    /// The middle of the line on which the figures over a patch stand.
    fn label(self, index: usize) -> Point {
        let patch = self.patch(index);
        Point::new(patch.center().x, patch.y0 - UNDER_LABEL)
    }
}

/// Figures in single strokes, their feet on a point, in its middle.
fn label(text: &str, foot: Point) -> Vec<BezPath> {
    let request = LetteringRequest {
        text,
        typeface: Typeface::Strokes(StrokeFace::Plain),
        fallbacks: &[],
        axes: &[],
        features: &[],
        size: LetteringSize::Height(Mm::new(LABEL)),
        tracking: Mm::ZERO,
        arc: None,
        along: None,
        align: Align::Centre,
        line_spacing: Percent::new(100.0),
    };
    // Digits and a full stop are in the face; without them the piece would still be right.
    let lines = lettering::set(&request).map(|set| set.drawing.lines).unwrap_or_default();
    lines.into_iter().map(|line| Affine::translate(foot.to_vec2()) * line.path).collect()
}

fn tried_on(number: usize, tried: &Found, patch: Rect, labels: Vec<BezPath>) -> Operation {
    let mut outlines = Vec::new();
    let burn = match tried.operation.kind {
        OperationKind::Cut => {
            outlines.push(patch.to_path(0.1));
            Burn::Lines(outlines.clone())
        }
        OperationKind::Engrave => Burn::Area(filled(patch, labels)),
        OperationKind::Score | OperationKind::Guide => Burn::Lines([labels, lines_on(patch)].concat()),
    };
    let kerf = tried.setting.kerf.filter(|_| tried.operation.kind == OperationKind::Cut);
    let side = Mm::new(PATCH);
    Operation {
        number,
        kind: tried.operation.kind,
        name: format!("try {}", tried.steps[0]),
        figures: tried.operation.figures.clone(),
        burn,
        setting: Some(tried.setting.clone()),
        colour: tried.operation.colour.clone(),
        length: Mm::ZERO,
        area: Mm2::ZERO,
        travel: Mm::ZERO,
        strokes: 0,
        clean_up: CleanUp { outlines, ..CleanUp::default() },
        manner: Manner::default(),
        finished: kerf.map(|kerf| Finished { beam: Beam::OnLine, kerf, width: side, height: side }),
        seams: None,
        numbers: Vec::new(),
        time: Estimate::default(),
        bounds: None,
        span: tried.operation.span,
    }
}

/// The patch and the figures as one area; the patch alone should the figures not become one.
fn filled(patch: Rect, labels: Vec<BezPath>) -> Region {
    let pen = Pen { caps: Caps::Round, corners: Corners::Round };
    let lines: Vec<Line> = labels.into_iter().map(|path| Line { path, width: Some(LABEL_WIDTH), pen }).collect();
    let mut path = patch.to_path(0.1);
    path.extend(Region::from_strokes(&lines).map(|ink| ink.to_path()).unwrap_or_default());
    Region::from_path(&path, FillRule::NonZero).unwrap_or_else(|_| Region::empty())
}

/// Three lines: whether they come out alike is seen better than of one.
fn lines_on(patch: Rect) -> Vec<BezPath> {
    let at = |share: f64| {
        let y = patch.y0 + patch.height() * share;
        kurbo::Line::new((patch.x0, y), (patch.x1, y)).to_path(0.1)
    };
    [0.2, 0.5, 0.8].map(at).to_vec()
}
