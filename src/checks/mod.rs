//! Checks of the finished plan: what would go wrong at the machine.
//!
//! In: a [`Job`] (the plan, and the figures and recipe it came from, for places). Out: findings.
//!
//! A check is one file: the rule, the function that looks, and its tests. It is listed in `CHECKS` and has a
//! folder under `tests/cases` with a recipe that raises it.
//!
//! Invariant: a check only looks. It changes nothing, and no check depends on another having run.

mod meeting;
mod material;
mod machine;
mod spot;
mod tilted;
mod measured;
mod cost;
mod dated;
mod rows;
mod focus;
mod outside;
mod bed;
mod run_up;
mod register;
mod marks;
mod fixture;
mod parts_apart;
mod near_cut;
mod cells;
mod nothing;
mod unused;
mod open_outline;
mod filled_and_stroked;
mod without_width;
mod fine;
mod smaller_than_spot;
mod doubled;
mod over_engraved;
mod order;
mod cutting;
mod thin_wall;
mod islands;
mod cut_tips;
mod near_cuts;
mod crossed_cuts;
mod cut_ends;
mod offset_near;
mod photo;
mod both_sides;
mod spread_pieces;
mod turned;
mod through_detail;
mod unchanged;

use crate::cache::Cache;
use crate::diagnostics::{ArtworkPlace, Finding, Sink, place};
use crate::figures::Figures;
use crate::geometry::{Element, Part};
use crate::layout::Frames;
use crate::mending::{FaultKind, Place};
use crate::plan::{Laid, Operation, Plan, Run};
use crate::recipe::{BOARD_NAME, FigureKind, OperationNode, Recipe};
use crate::schema::{Measures, Side, TextValue};
use crate::shop::OperationKind;
use crate::source::{Sources, Span};
use crate::units::Mm;
use kurbo::{BezPath, ParamCurveNearest, Point, Shape};
use rayon::prelude::*;

/// What a check looks at.
#[derive(Clone, Copy, Debug)]
pub struct Job<'a> {
    /// The plan.
    pub plan: &'a Plan,
    /// The figures on the sheet, with the parts of artwork they were made of.
    pub figures: &'a Figures,
    /// The recipe, for the places where things are written.
    pub recipe: &'a Recipe,
    /// The texts, for what is named only in them.
    pub sources: &'a Sources,
    /// What was measured before.
    pub cache: &'a Cache,
    /// The only sheet, or the scrap, that is looked at; everything where none is named.
    pub laid: Option<Laid>,
}

impl Measures for Job<'_> {
    fn measure(&self, figure: &str, side: Side) -> Option<Mm> {
        let frame = self.figures.frame(figure)?;
        Some(Mm::new(if side == Side::Width { frame.width() } else { frame.height() }))
    }
}

impl<'a> Job<'a> {
    /// The runs on the sheet that is looked at, in their order.
    pub fn runs(&self) -> impl Iterator<Item = &'a Run> + use<'a> {
        let laid = self.laid;
        self.plan.runs.iter().filter(move |run| laid.is_none_or(|l| l == run.lay.on))
    }

    /// The operations that burn, run by run, in their order.
    pub fn burning(&self) -> impl Iterator<Item = (&'a Run, &'a Operation)> + use<'a> {
        let all = self.runs().flat_map(|run| run.operations.iter().map(move |o| (run, o)));
        all.filter(|(_, operation)| operation.kind != OperationKind::Guide)
    }

    /// How wide the spot is; `None` where nothing tells, which is told by one check for all.
    pub fn spot(&self) -> Option<Mm> {
        self.plan.machine.known_spot()
    }

    /// An operation as it is written.
    pub fn written(&self, run: &Run, operation: &Operation) -> Option<&'a OperationNode> {
        let (run, operation) = (run.number.checked_sub(1)?, operation.number.checked_sub(1)?);
        self.recipe.runs.get(run)?.operations.get(operation)
    }

    /// Where an operation names a figure.
    pub fn named_at(&self, run: &Run, operation: &Operation, figure: &str) -> Span {
        let named = self.written(run, operation).and_then(|o| o.figures.iter().find(|n| n.value == figure));
        named.map_or(operation.span, |n| n.span)
    }

    /// The figure among several that lies nearest to a point of the sheet.
    pub fn figure_at<'n>(&self, figures: &'n [String], at: Point) -> Option<&'n str> {
        let distance = |name: &&str| {
            let Some(placed) = self.figures.get(name) else { return f64::INFINITY };
            let lines = placed.drawing.lines.iter().map(|l| &l.path);
            placed.drawing.ink.contours().iter().chain(lines).map(|p| reach(p, at)).fold(f64::INFINITY, f64::min)
        };
        figures.iter().map(String::as_str).min_by(|a, b| distance(a).total_cmp(&distance(b)))
    }

    /// Whether the board lies on the sheet that is looked at: on the first, and on others where it is cut.
    pub fn holds_board(&self) -> bool {
        let cuts_board = |o: &Operation| o.kind == OperationKind::Cut && o.figures.iter().any(|n| n == BOARD_NAME);
        self.laid.is_none_or(|on| on == Laid::Sheet(1)) || self.burning().any(|(_, o)| cuts_board(o))
    }

    /// Whether an operation burns only corner marks, which lie in the waste and free nothing.
    pub fn is_marks(&self, operation: &Operation) -> bool {
        let kind = |name: &String| self.recipe.figure(name).map(|f| &f.kind);
        operation.figures.iter().all(|name| matches!(kind(name), Some(FigureKind::Register(_))))
    }

    /// Whether a fault of this kind has been told of one of some artworks there: findings about operations need not say
    /// it again.
    pub fn is_told(&self, figures: &[String], kind: FaultKind, at: Point) -> bool {
        let is_there = |found: &Place| found.at.distance(at) <= found.size.get().min(SAME_PLACE);
        let faults = figures.iter().filter_map(|name| self.figures.get(name)).flat_map(|p| p.faults.iter());
        faults.filter(|f| f.kind == kind).any(|f| f.places.iter().any(is_there))
    }

    /// What of the file of a figure lies nearest to a point of the sheet: an element of an artwork, a place of a trace.
    pub fn element_at(&self, figure: &str, at: Point) -> Option<ArtworkPlace> {
        let place = |file: &TextValue, element: Option<&Element>| ArtworkPlace {
            file: file.text.clone(),
            figure: Some(figure.to_owned()),
            element: element.map(|e| e.name.clone()),
            position: element.map(|e| (e.line, e.column)),
            at: Some(at),
        };
        let artwork = match &self.recipe.figure(figure)?.kind {
            FigureKind::Artwork(artwork) => artwork,
            FigureKind::Trace(trace) => return Some(place(&trace.file, None)),
            _ => return None,
        };
        let parts = self.figures.get(figure)?.drawing.parts.iter();
        let distance = |part: &Part| reach(&part.path, at);
        let nearest = parts.filter(|p| p.element.is_some()).min_by(|a, b| distance(a).total_cmp(&distance(b)))?;
        Some(place(&artwork.file, nearest.element.as_ref()))
    }
}

/// Places of two findings within this (mm) are one.
const SAME_PLACE: f64 = 0.2;

/// Paths whose box is farther from a point than this (mm) are not looked at when it is asked what lies there.
const NEAR: f64 = 5.0;

/// The square of the distance (mm²) from a point to a path; without end where the path lies far off.
fn reach(path: &BezPath, at: Point) -> f64 {
    if !path.bounding_box().inflate(NEAR, NEAR).contains(at) {
        return f64::INFINITY;
    }
    path.segments().map(|s| s.nearest(at, 1e-3).distance_sq).fold(f64::INFINITY, f64::min)
}

/// One check.
pub type Check = fn(&Job, &mut Sink);

/// Checks of a whole job.
static CHECKS: &[Check] = &[
    material::check,
    machine::check,
    spot::check,
    tilted::check,
    measured::check,
    dated::check,
    rows::check,
    focus::check,
    cells::check,
    nothing::check,
    unused::check,
    cost::check,
    fixture::check,
    unchanged::check,
];

/// Checks of each sheet for itself: what is burned on one does not meet what is burned on another. They come in the
/// order of the work: where it lies, what is burned, in which order.
static SHEET_CHECKS: &[Check] = &[
    outside::check,
    bed::check,
    run_up::check,
    register::check,
    marks::check,
    parts_apart::check,
    near_cut::check,
    open_outline::check,
    filled_and_stroked::check,
    without_width::check,
    fine::check,
    smaller_than_spot::check,
    doubled::check,
    over_engraved::check,
    order::check,
    thin_wall::check,
    islands::check,
    cut_tips::check,
    near_cuts::check,
    crossed_cuts::check,
    cut_ends::check,
    offset_near::check,
    photo::check,
    both_sides::check,
    spread_pieces::check,
    turned::check,
    through_detail::check,
];

/// The rules of this floor.
pub static RULES: &[&Finding] = &[
    &material::REFUSED,
    &material::UNDECLARED,
    &material::WITH_CARE,
    &material::ONLY_MARKED,
    &measured::FAR_FROM_MEASURED,
    &measured::TOO_FINE,
    &measured::TOO_COARSE,
    &dated::NOT_DATED,
    &rows::SHOWS_ROWS,
    &rows::BURNS_OVER,
    &focus::OUTSIDE_STOCK,
    &focus::OFF_FACE,
    &focus::CURL,
    &cells::OUTSIDE_CELL,
    &machine::OVER_POWER,
    &machine::OVER_SPEED,
    &machine::IMPLAUSIBLE,
    &machine::NO_AIR,
    &spot::NO_SPOT,
    &tilted::TOO_STEEP,
    &tilted::TILTED,
    &outside::OUTSIDE_BOARD,
    &outside::OUTSIDE_SHEET,
    &bed::OUTSIDE_BED,
    &bed::SHEET_OVER_BED,
    &run_up::ROWS_OUTSIDE_BED,
    &run_up::RUN_UP_SHORT,
    &register::CENTRES_DIFFER,
    &register::STARTS_DIFFER,
    &marks::NOT_IN_WASTE,
    &marks::AT_THE_EDGE,
    &fixture::FIXES_NOTHING,
    &fixture::NOT_ON_SCRAP,
    &parts_apart::PARTS_APART,
    &near_cut::NEAR_CUT,
    &nothing::BURNS_NOTHING,
    &nothing::NOTHING_BURNED,
    &unused::UNUSED_FIGURE,
    &unused::UNUSED_INPUT,
    &cost::TWO_CURRENCIES,
    &open_outline::OPEN_OUTLINE,
    &filled_and_stroked::FILLED_AND_STROKED,
    &without_width::LINE_WITHOUT_WIDTH,
    &fine::FINER_THAN_SPOT,
    &fine::GAP_CLOSES,
    &smaller_than_spot::SMALLER_THAN_SPOT,
    &doubled::DOUBLED_LINES,
    &doubled::BURNED_ONCE,
    &doubled::ENGRAVED_TWICE,
    &over_engraved::ENGRAVINGS_OVERLAP,
    &order::CUT_BEFORE_ENGRAVE,
    &order::OUTER_BEFORE_INNER,
    &order::MARKED_LATE,
    &thin_wall::THIN_WALL,
    &islands::ISLAND_FALLS_OUT,
    &cut_tips::TIP_BURNS_AWAY,
    &near_cuts::NEARER_THAN_KERF,
    &crossed_cuts::LINES_CROSS,
    &cut_ends::OPEN_ENDS,
    &offset_near::NEARER_THAN_SPOT,
    &photo::TOO_FEW_PIXELS,
    &photo::FINER_THAN_SPOT,
    &photo::TWO_INTERVALS,
    &photo::FLAT,
    &photo::ONE_TONE,
    &both_sides::BOTH_SIDES,
    &spread_pieces::OUT_OF_REGISTER,
    &turned::CUT_BEFORE_TURNING,
    &turned::MIRRORED_LETTERING,
    &turned::TURNED_OFF_CENTRE,
    &through_detail::THROUGH_DETAIL,
    &unchanged::NOTHING_CHANGED,
];

/// Runs all checks; their findings come in the order in which they are listed, whichever finishes first.
pub fn check(job: &Job, sink: &mut Sink) {
    let mut laid: Vec<Laid> = job.plan.runs.iter().map(|r| r.lay.on).collect();
    laid.sort();
    laid.dedup();
    let of_sheets = laid.iter().flat_map(|&on| SHEET_CHECKS.iter().map(move |&check| (check, Some(on))));
    let all: Vec<(Check, Option<Laid>)> = CHECKS.iter().map(|&check| (check, None)).chain(of_sheets).collect();
    let results: Vec<Sink> = all
        .par_iter()
        .map(|&(check, laid)| {
            let mut own = Sink::new();
            check(&Job { laid, ..*job }, &mut own);
            own
        })
        .collect();
    for own in results {
        sink.append(own);
    }
}
