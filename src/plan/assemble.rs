//! From recipe and figures to a plan.

use super::colours::paint;
use super::kerf::{CutLines, cut_lines};
use super::lay::{Lay, Turned};
use super::model::{
    ArtworkUsed, Burn, CleanUp, FigureUsed, Finished, InlayUsed, InputUsed, Operation, Piece, Plan, Puzzle,
    ResolvedSetting, Run, SeamCut, Sheet,
};
use super::order::{self, Order};
use super::rows::{Rows, rows};
use super::setting::{self, Bench};
use super::time::{line_time, move_time, row_time};
use super::{per_piece, photo, strokes, time};
use crate::cache::Cache;
use crate::diagnostics::Sink;
use crate::figures::{Figures, Fit, Placed, fit_of};
use crate::geometry::length;
use crate::layout::Frames;
use crate::recipe::{BOARD_NAME, Figure, FigureKind, MirrorAxis, OperationNode, Recipe, RunNode};
use crate::shop::{Machine, OperationKind, Stock};
use crate::source::Span;
use crate::units::{Mm, Mm2, Seconds};
use kurbo::{Rect, Shape, Vec2};
use rayon::prelude::*;
use std::collections::BTreeMap;
use std::sync::Arc;

/// Makes the plan of a recipe whose figures have been worked out.
///
/// `None` when machine, stock or sheet are missing, which has been reported then. Operations whose figures or
/// settings could not be resolved are left out; the findings say so, and nothing is written then.
pub fn assemble(
    recipe: &Recipe,
    slug: &str,
    name: &str,
    figures: &Figures,
    cache: &Cache,
    sink: &mut Sink,
) -> Option<Plan> {
    let (machine, stock) = (recipe.chosen_machine()?, recipe.chosen_stock()?);
    let bench = Bench { shop: &recipe.shop, machine, stock };
    let on = On { recipe, bench: &bench, figures, cache, turned: None };
    let lays = lays(recipe, figures);
    let numbered = recipe.runs.iter().zip(lays).enumerate();
    let mut runs: Vec<Run> = numbered.map(|(i, (r, lay))| run(i + 1, lay, r, on, sink)).collect();
    paint(&mut runs, machine);
    let kinds: Vec<OperationKind> = runs.iter().flat_map(|r| &r.operations).map(|o| o.kind).collect();
    let sheet = recipe.sheet.as_ref()?;
    let lessons = recipe.shop.lessons.iter().chain(&recipe.lessons);
    Some(Plan {
        title: recipe.title.clone(),
        about: recipe.about.clone(),
        recipe: name.to_owned(),
        slug: slug.to_owned(),
        sheet: Sheet {
            width: Mm::new(figures.sheet().width()),
            height: Mm::new(figures.sheet().height()),
            span: sheet.span,
        },
        board: figures.get(BOARD_NAME).map(|b| b.drawing.ink.clone()),
        machine: machine.clone(),
        stock: stock.clone(),
        inputs: recipe.inputs.iter().map(input_used).collect(),
        files: Vec::new(),
        figures: recipe.figures.iter().filter_map(|f| figure_used(f, recipe, figures)).collect(),
        puzzle: recipe.figures.iter().find_map(|f| puzzle(f, figures, stock, cache)),
        lessons: lessons.filter(|l| l.fits(machine, stock, &kinds)).map(|l| l.lesson.clone()).collect(),
        reminders: recipe.shop.reminders.iter().chain(&recipe.reminders).cloned().collect(),
        accepted: Vec::new(),
        runs,
    })
}

/// Where each figure is written, for checks that point at one.
pub fn figure_spans(recipe: &Recipe) -> BTreeMap<String, Span> {
    recipe.figures.iter().map(|f| (f.name.value.clone(), f.head)).collect()
}

fn input_used(input: &crate::recipe::Input) -> InputUsed {
    InputUsed {
        name: input.name.value.clone(),
        value: input.written.clone(),
        about: input.about.clone(),
        is_default: input.is_default,
    }
}

fn figure_used(figure: &Figure, recipe: &Recipe, figures: &Figures) -> Option<FigureUsed> {
    let placed = figures.get(&figure.name.value)?;
    Some(FigureUsed {
        name: figure.name.value.clone(),
        kind: figure.word,
        bounds: placed.frame,
        area: placed.drawing.ink.area(),
        outlines: placed.drawing.ink.contours().len() + placed.drawing.lines.len(),
        inlay: inlay_used(figure, recipe, figures),
        trace: placed.trace.clone(),
        changes: placed.changes.clone(),
        artwork: artwork_used(figure, placed),
    })
}

fn artwork_used(figure: &Figure, placed: &Placed) -> Option<ArtworkUsed> {
    let file = match &figure.kind {
        FigureKind::Artwork(artwork) => &artwork.file,
        FigureKind::Trace(trace) => &trace.file,
        _ => return None,
    };
    Some(ArtworkUsed { file: file.text.clone(), drawing: Arc::clone(&placed.drawing) })
}

fn inlay_used(figure: &Figure, recipe: &Recipe, figures: &Figures) -> Option<InlayUsed> {
    let FigureKind::Inlay(inlay) = &figure.kind else { return None };
    let Fit { gap, insert_kerf, pocket_kerf } = fit_of(inlay, recipe, figures)?;
    let path = figures.get(&figure.name.value)?.frame?;
    // Of an insert, the beam takes half the kerf on every side; to an opening, it adds as much.
    let more = if inlay.is_insert { -insert_kerf } else { pocket_kerf };
    Some(InlayUsed {
        of: inlay.of.value.clone(),
        is_insert: inlay.is_insert,
        gap,
        insert_kerf,
        pocket_kerf,
        finished: (Mm::new(path.width()) + more, Mm::new(path.height()) + more),
    })
}

fn puzzle(figure: &Figure, figures: &Figures, stock: &Stock, cache: &Cache) -> Option<Puzzle> {
    let FigureKind::Puzzle(written) = &figure.kind else { return None };
    let layout = figures.get(&figure.name.value)?.puzzle.as_ref()?;
    let apart = per_piece::apart(layout, stock.kerf?, cache);
    let piece = |(i, p): (usize, &crate::puzzle::PuzzlePiece)| Piece {
        number: p.number,
        is_whimsy: p.is_whimsy,
        outline: p.outline.clone(),
        middle: p.middle,
        room: p.room,
        neighbours: p.neighbours.clone(),
        knobs: p.knobs,
        sockets: p.sockets,
        apart: apart.as_ref().as_ref().map_or(Vec2::ZERO, |all| all[i]),
    };
    Some(Puzzle {
        name: figure.name.value.clone(),
        seed: written.seed.text.clone(),
        rows: layout.rows,
        columns: layout.columns,
        pieces: layout.pieces.iter().enumerate().map(piece).collect(),
        seams: layout.seams.clone(),
        proofs: layout.proofs.clone(),
    })
}

/// What operations are worked out from.
#[derive(Clone, Copy)]
struct On<'a> {
    recipe: &'a Recipe,
    bench: &'a Bench<'a>,
    figures: &'a Figures,
    cache: &'a Cache,
    /// How the sheet is turned over.
    turned: Option<MirrorAxis>,
}

/// How the sheet lies for each run.
fn lays(recipe: &Recipe, figures: &Figures) -> Vec<Lay> {
    let board = figures.frame(BOARD_NAME).unwrap_or(figures.sheet());
    let mut sheet = 1;
    let mut used = false;
    let lay = |run: &RunNode| {
        sheet += usize::from(run.is_fresh && used);
        used = true;
        let turned = run.turned.as_ref().map(|t| Turned { over: t.value, about: board.center() });
        Lay { sheet, turned }
    };
    recipe.runs.iter().map(lay).collect()
}

fn run(number: usize, lay: Lay, node: &RunNode, on: On, sink: &mut Sink) -> Run {
    let on = On { turned: lay.turned.map(|t| t.over), ..on };
    let settings: Vec<Option<ResolvedSetting>> =
        node.operations.iter().map(|o| resolve(o, on.bench, sink)).collect();
    let results: Vec<(Option<Operation>, Sink)> = node
        .operations
        .par_iter()
        .zip(settings)
        .enumerate()
        .map(|(index, (written, setting))| {
            let mut own = Sink::new();
            (operation(index, written, setting, on, &mut own), own)
        })
        .collect();
    let mut operations = Vec::with_capacity(results.len());
    for (operation, own) in results {
        sink.append(own);
        operations.extend(operation);
    }
    let burned =
        operations.iter().filter(|o: &&Operation| o.kind != OperationKind::Guide).filter_map(|o| o.bounds);
    Run {
        number,
        name: node.name.value.clone(),
        lay,
        burned: burned.reduce(|a, b| a.union(b)),
        time: operations.iter().map(|o| o.time).sum::<Seconds>() + between(&operations, on.bench.machine),
        operations,
        span: node.head,
    }
}

fn resolve(operation: &OperationNode, bench: &Bench, sink: &mut Sink) -> Option<ResolvedSetting> {
    if operation.kind == OperationKind::Guide { None } else { setting::resolve(operation, bench, sink) }
}

/// Time for the moves from one operation's place to the next, taken from middle to middle.
fn between(operations: &[Operation], machine: &Machine) -> Seconds {
    let middles: Vec<_> = operations
        .iter()
        .filter(|o| o.kind != OperationKind::Guide)
        .filter_map(|o| o.bounds.map(|b| b.center()))
        .collect();
    middles
        .windows(2)
        .map(|w| move_time(Mm::new(w[0].distance(w[1])), machine.travel_speed, machine.acceleration))
        .sum()
}

/// What an operation comes to. `None` when a figure or its setting is missing, which has been reported.
fn operation(
    index: usize,
    node: &OperationNode,
    setting: Option<ResolvedSetting>,
    on: On,
    sink: &mut Sink,
) -> Option<Operation> {
    let placed: Vec<&Placed> = node.figures.iter().map(|n| on.figures.get(&n.value)).collect::<Option<_>>()?;
    let is_burned = node.kind != OperationKind::Guide;
    if is_burned && setting.is_none() {
        return None;
    }
    if !photo::may_burn(node, &placed, sink) {
        return None;
    }
    let Burned { burn, clean_up, finished, seams } = match (&setting, placed.first().filter(|p| p.photo.is_some()))
    {
        (Some(setting), Some(placed)) => {
            let from = photo::On { recipe: on.recipe, bench: on.bench, cache: on.cache };
            let dots = photo::dots(node, placed, setting, from, sink)?;
            Burned::only(Burn::Dots(Box::new(dots)))
        }
        _ => burn(node, &placed, on, sink),
    };
    let mut operation = Operation {
        number: index + 1,
        kind: node.kind,
        name: operation_name(node),
        figures: node.figures.iter().map(|n| n.value.clone()).collect(),
        burn,
        clean_up,
        finished,
        seams,
        setting,
        colour: String::new(),
        length: Mm::ZERO,
        area: Mm2::ZERO,
        travel: Mm::ZERO,
        strokes: 0,
        time: Seconds::ZERO,
        bounds: None,
        span: node.head,
    };
    measure(&mut operation, on.bench.machine);
    Some(operation)
}

fn operation_name(node: &OperationNode) -> String {
    let all: Vec<&str> = node.figures.iter().map(|n| n.value.as_str()).collect();
    let joined = all.join("-");
    // A file name has room for a few figures; the number in front keeps it unlike all others.
    if joined.chars().count() <= 60 { joined } else { format!("{}-and-{}-more", all[0], all.len() - 1) }
}

/// What an operation burns, what was done to its lines for that, and what a cut comes to.
struct Burned {
    burn: Burn,
    clean_up: CleanUp,
    finished: Option<Finished>,
    seams: Option<SeamCut>,
}

impl Burned {
    fn only(burn: Burn) -> Self {
        Self { burn, clean_up: CleanUp::default(), finished: None, seams: None }
    }
}

fn burn(node: &OperationNode, placed: &[&Placed], on: On, sink: &mut Sink) -> Burned {
    let drawings = placed.iter().map(|p| p.burned(on.turned).as_ref());
    let CutLines { lines, finished, seams } = match (node.kind, node.per_piece) {
        (OperationKind::Engrave, _) => return Burned::only(Burn::Area(strokes::area_of(drawings, on.cache))),
        (OperationKind::Guide, _) => {
            return Burned::only(Burn::Lines(strokes::drawn(strokes::lines_of(drawings))));
        }
        (OperationKind::Score, _) => CutLines { lines: strokes::lines_of(drawings), ..CutLines::default() },
        (OperationKind::Cut, Some(asked)) => {
            let from =
                per_piece::On { recipe: on.recipe, figures: on.figures, stock: on.bench.stock, cache: on.cache };
            per_piece::lines(node, asked, placed, from, sink)
        }
        (OperationKind::Cut, None) => cut_lines(node, placed, on.recipe, on.bench.stock, sink),
    };
    // While seams are cut, pieces come loose.
    let order = if seams.is_some() { Order::InsideOut } else { Order::Nearest };
    let (lines, clean_up) = strokes::cleaned(&lines, on.bench.machine.spot, order);
    Burned { burn: Burn::Lines(lines), clean_up, finished, seams }
}

fn measure(operation: &mut Operation, machine: &Machine) {
    let passes = f64::from(operation.setting.as_ref().map_or(1, |s| s.passes));
    match &operation.burn {
        Burn::Area(region) => {
            operation.area = region.area();
            operation.bounds = region.bounds();
            let Some(setting) = &operation.setting else { return };
            let interval = setting.interval.unwrap_or(machine.spot);
            let found: Rows = rows(region, interval);
            operation.length = found.burned;
            operation.time = row_time(&found, interval, setting.speed, machine.acceleration) * passes;
        }
        Burn::Dots(dots) => {
            let found = dots.rows();
            operation.bounds = Some(dots.bounds);
            operation.length = found.burned;
            operation.area = Mm2::new(found.burned.get() * dots.interval.get());
            let Some(setting) = &operation.setting else { return };
            operation.time = row_time(&found, dots.interval, setting.speed, machine.acceleration) * passes;
        }
        Burn::Lines(lines) => {
            operation.strokes = lines.len();
            operation.length = lines.iter().map(length).sum();
            operation.travel = order::travel(lines);
            operation.bounds = lines.iter().map(Shape::bounding_box).reduce(|a: Rect, b| a.union(b));
            let Some(setting) = &operation.setting else { return };
            let burning: Seconds = lines.iter().map(|l| line_time(l, setting.speed, machine.acceleration)).sum();
            let moving: Seconds = order::moves(lines)
                .map(|d| time::move_time(Mm::new(d), machine.travel_speed, machine.acceleration))
                .sum();
            operation.time = (burning + moving) * passes;
        }
    }
}
