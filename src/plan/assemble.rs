//! From recipe and figures to a plan.

use super::colours::paint;
use super::cost::cost;
use super::cutting::Manner;
use super::kerf::{CutLines, cut_lines};
use super::lay::{Fixture, Laid, Lay, Turned};
use super::measure::{Ends, count_strokes, measure, run_time};
use super::missing::Missing;
use super::model::{
    ArtworkUsed, Burn, CleanUp, FigureUsed, Finished, InlayUsed, InputUsed, Operation, Plan, ResolvedSetting, Run,
    SeamCut, Sheet, Version,
};
use super::setting::{self, Bench};
use super::test_piece::test_piece;
use super::time::Estimate;
use super::travel::{self, Order};
use super::{cutting, per_piece, photo, pieces, strokes};
use crate::cache::Cache;
use crate::diagnostics::Sink;
use crate::figures::{Figures, Fit, Placed, Sizes, fit_of, geometry_failure};
use crate::geometry::Region;
use crate::layout::Frames;
use crate::recipe::{BOARD_NAME, Figure, FigureKind, LaidIn, MirrorAxis, OperationNode, Recipe, RunNode, Written};
use crate::shop::OperationKind;
use crate::source::{Sources, Span};
use crate::units::{Mm, Mm2};
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
    sources: &Sources,
    cache: &Cache,
    sink: &mut Sink,
) -> Option<Plan> {
    let (machine, stock) = (recipe.chosen_machine()?, recipe.chosen_stock()?);
    let bench = Bench { shop: &recipe.shop, machine, stock, sources };
    let mut missing = Missing::default();
    let on = On { recipe, bench: &bench, figures, cache, turned: None, same_sheet: &[] };
    let lays = lays(recipe, figures);
    let laid_on = |on: Laid| -> Vec<&OperationNode> {
        let runs = recipe.runs.iter().zip(&lays).filter(|(_, lay)| lay.on == on);
        runs.flat_map(|(run, _)| &run.operations).collect()
    };
    let numbered = recipe.runs.iter().zip(&lays).enumerate();
    let mut runs: Vec<Run> = numbered
        .map(|(i, (r, lay))| run(i + 1, *lay, r, On { same_sheet: &laid_on(lay.on), ..on }, &mut missing, sink))
        .collect();
    missing.report(&bench, sink);
    paint(&mut runs, machine);
    let kinds: Vec<OperationKind> = runs.iter().flat_map(|r| &r.operations).map(|o| o.kind).collect();
    let sheet = recipe.sheet.as_ref()?;
    let size = Sheet {
        width: Mm::new(figures.sheet().width()),
        height: Mm::new(figures.sheet().height()),
        curl: sheet.curl.as_ref().map(|c| c.value).or(stock.curl),
        is_offcut: sheet.is_offcut,
        block: sheet.block,
        span: sheet.span,
    };
    let lessons = recipe.shop.lessons.iter().chain(&recipe.lessons);
    Some(Plan {
        title: recipe.title.clone(),
        about: recipe.about.clone(),
        recipe: name.to_owned(),
        slug: slug.to_owned(),
        version: Version::default(),
        cost: cost(&runs, &size, machine, stock),
        sheet: size,
        board: figures.get(BOARD_NAME).map(|b| b.drawing.ink.clone()),
        machine: machine.clone(),
        stock: stock.clone(),
        paper: recipe.shop.paper.unwrap_or_default(),
        inputs: recipe.inputs.iter().map(input_used).collect(),
        files: Vec::new(),
        figures: recipe.figures.iter().filter_map(|f| figure_used(f, recipe, figures)).collect(),
        puzzle: pieces::puzzle(pieces::On { recipe, figures, cache }),
        fixtures: recipe.figures.iter().filter_map(|f| fixture(f, figures)).collect(),
        lessons: lessons.filter(|l| l.fits(machine, stock, &kinds)).map(|l| l.lesson.clone()).collect(),
        reminders: recipe.shop.reminders.iter().chain(&recipe.reminders).cloned().collect(),
        accepted: Vec::new(),
        warnings: Vec::new(),
        last_time: None,
        test_piece: test_piece(&runs, machine),
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
    let Fit { gap, insert_kerf, pocket_kerf } = fit_of(&figure.name.value, inlay, recipe, figures)?;
    let placed = figures.get(&figure.name.value)?;
    let path = placed.frame?;
    // Of an insert, the beam takes half the kerf on every side; to an opening, it adds as much.
    let more = if inlay.is_insert { -insert_kerf } else { pocket_kerf };
    Some(InlayUsed {
        of: inlay.of.value.clone(),
        is_insert: inlay.is_insert,
        gap,
        insert_kerf,
        pocket_kerf,
        finished: (Mm::new(path.width()) + more, Mm::new(path.height()) + more),
        movement: placed.movement,
    })
}

fn fixture(figure: &Figure, figures: &Figures) -> Option<Fixture> {
    let FigureKind::Fixture(written) = &figure.kind else { return None };
    let length = |written: &Written| written.value.length(&Sizes(figures));
    Some(Fixture {
        name: figure.name.value.clone(),
        corner: written.corner,
        arm: length(&written.arm)?,
        width: length(&written.width)?,
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
    /// Everything that is burned on the same sheet.
    same_sheet: &'a [&'a OperationNode],
}

/// How the sheet lies for each run.
fn lays(recipe: &Recipe, figures: &Figures) -> Vec<Lay> {
    let board = figures.frame(BOARD_NAME).unwrap_or(figures.sheet());
    let mut sheet = 1;
    let mut used = false;
    let lay = |run: &RunNode| {
        let on = if run.laid_in == LaidIn::Scrap {
            Laid::Scrap
        } else {
            sheet += usize::from(run.laid_in == LaidIn::Fresh && used);
            used = true;
            Laid::Sheet(sheet)
        };
        let turned = run.turned.as_ref().map(|t| Turned { over: t.value, about: board.center() });
        Lay { on, turned }
    };
    recipe.runs.iter().map(lay).collect()
}

fn run(number: usize, lay: Lay, node: &RunNode, on: On, missing: &mut Missing, sink: &mut Sink) -> Run {
    let on = On { turned: lay.turned.map(|t| t.over), ..on };
    let settings: Vec<Option<ResolvedSetting>> =
        node.operations.iter().map(|o| resolve(o, on.bench, missing, sink)).collect();
    let results: Vec<(Option<Measured>, Sink)> = node
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
    let mut ends = Vec::new();
    for (found, own) in results {
        sink.append(own);
        let Some((operation, of_operation)) = found else { continue };
        operations.push(operation);
        ends.extend(of_operation);
    }
    count_strokes(&mut operations);
    let burned =
        operations.iter().filter(|o: &&Operation| o.kind != OperationKind::Guide).filter_map(|o| o.bounds);
    Run {
        number,
        name: node.name.value.clone(),
        lay,
        start: node.start.as_ref().map(|s| s.value),
        burned: burned.reduce(|a, b| a.union(b)),
        time: run_time(&operations, &ends, on.bench.machine),
        operations,
        span: node.head,
    }
}

fn resolve(
    operation: &OperationNode,
    bench: &Bench,
    missing: &mut Missing,
    sink: &mut Sink,
) -> Option<ResolvedSetting> {
    if operation.kind == OperationKind::Guide { None } else { setting::resolve(operation, bench, missing, sink) }
}

/// An operation, and where the head begins and ends it; `None` for what is not burned.
type Measured = (Operation, Option<Ends>);

/// What an operation comes to. `None` when a figure or its setting is missing, which has been reported.
fn operation(
    index: usize,
    node: &OperationNode,
    setting: Option<ResolvedSetting>,
    on: On,
    sink: &mut Sink,
) -> Option<Measured> {
    let placed: Vec<&Placed> = node.figures.iter().map(|n| on.figures.get(&n.value)).collect::<Option<_>>()?;
    let is_burned = node.kind != OperationKind::Guide;
    if is_burned && setting.is_none() {
        return None;
    }
    if !photo::may_burn(node, &placed, sink) {
        return None;
    }
    let Burned { burn, clean_up, manner, finished, seams } =
        match (&setting, placed.first().filter(|p| p.photo.is_some())) {
            (Some(setting), Some(placed)) => {
                let from = photo::On { recipe: on.recipe, bench: on.bench, cache: on.cache };
                let dots = photo::dots(node, placed, setting, from, sink)?;
                Burned::only(Burn::Dots(Box::new(dots)))
            }
            _ => burn(node, &placed, setting.as_ref().and_then(|s| s.kerf), on, sink),
        };
    let mut operation = Operation {
        number: index + 1,
        kind: node.kind,
        name: operation_name(node),
        figures: node.figures.iter().map(|n| n.value.clone()).collect(),
        burn,
        clean_up,
        manner,
        finished,
        seams,
        setting,
        colour: String::new(),
        length: Mm::ZERO,
        area: Mm2::ZERO,
        travel: Mm::ZERO,
        strokes: 0,
        numbers: Vec::new(),
        time: Estimate::default(),
        bounds: None,
        span: node.head,
    };
    let ends = measure(&mut operation, on.bench.machine);
    Some((operation, ends))
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
    manner: Manner,
    finished: Option<Finished>,
    seams: Option<SeamCut>,
}

impl Burned {
    fn only(burn: Burn) -> Self {
        Self { burn, clean_up: CleanUp::default(), manner: Manner::default(), finished: None, seams: None }
    }
}

fn burn(node: &OperationNode, placed: &[&Placed], kerf: Option<Mm>, on: On, sink: &mut Sink) -> Burned {
    let drawings = placed.iter().map(|p| p.burned(on.turned).as_ref());
    let CutLines { lines, finished, seams } = match (node.kind, node.per_piece) {
        (OperationKind::Engrave, _) => {
            let area = strokes::area_of(drawings, on.cache).unwrap_or_else(|error| {
                sink.push(geometry_failure(error, node.head));
                Region::empty()
            });
            return Burned::only(Burn::Area(area));
        }
        (OperationKind::Guide, _) => {
            return Burned::only(Burn::Lines(strokes::lines_of(drawings)));
        }
        (OperationKind::Score, _) => CutLines { lines: strokes::lines_of(drawings), ..CutLines::default() },
        (OperationKind::Cut, Some(asked)) => {
            let from = per_piece::On { recipe: on.recipe, figures: on.figures, kerf, cache: on.cache };
            per_piece::lines(node, asked, placed, from, sink)
        }
        (OperationKind::Cut, None) => cut_lines(node, placed, on.recipe, (on.bench.stock, kerf), sink),
    };
    // While seams are cut, pieces come loose.
    let order = if seams.is_some() { Order::InsideOut } else { Order::Free };
    let (strokes, clean_up) = strokes::cleaned(&lines, on.bench.machine.spot);
    let (lines, manner) = if node.kind == OperationKind::Cut {
        let kerf = on.bench.stock.kerf.unwrap_or(on.bench.machine.spot);
        let from = cutting::On { figures: on.figures, kerf, same_sheet: on.same_sheet };
        cutting::burned(node, strokes, order, from, sink)
    } else {
        (travel::ordered(strokes, order), Manner::default())
    };
    Burned { burn: Burn::Lines(lines), clean_up, manner, finished, seams }
}
