//! A plan's numbers, gathered into the shape of a report.

use super::bench::{MachineReport, StockReport};
use super::estimates::{CostReport, DoubtReport, MoneyReport};
use super::figure::{FigureReport, InlayReport, MendReport, TraceReport};
use super::job::{
    BoxReport, CleanUpReport, DotsReport, FileReport, FinishedReport, InputReport, LessonReport, OnceReport,
    OperationReport, PictureReport, PointReport, RegionReport, ReminderReport, RunReport, SeamsReport, SizeReport,
    VersionReport,
};
use super::manner::MannerReport;
use super::{FoundReport, Number, PlaceReport, Report, burn, last_time, puzzle, start, test_piece};
use crate::diagnostics::Diagnostic;
use crate::geometry::Region;
use crate::outputs::dots_of;
use crate::outputs::names::{layer_file, picture_file, run_file};
use crate::outputs::preview::pictures;
use crate::plan::{
    Beam, Change, CleanUp, Dots, Estimate, FigureUsed, FileUsed, Finished, InlayUsed, InputUsed, MendKind,
    Operation, Plan, Run, Traced, Version,
};
use crate::shop::{Lesson, Machine, OperationKind, SpotFrom, Stock};
use crate::source::Sources;
use crate::units::Mm;
use kurbo::{Point, Rect};

/// The shape's version.
const REPORT_VERSION: u32 = 1;

/// Gathers the report of a job.
pub fn collect<'a>(plan: &'a Plan, diagnostics: &'a [Diagnostic], sources: &'a Sources) -> Report<'a> {
    let total: Estimate = plan.runs.iter().map(|r| r.time).sum();
    Report {
        report_version: REPORT_VERSION,
        kerfbook_version: env!("CARGO_PKG_VERSION"),
        title: &plan.title,
        about: &plan.about,
        recipe: &plan.recipe,
        version: version(&plan.version),
        sheet: size(plan.sheet.width, plan.sheet.height),
        is_offcut: plan.sheet.is_offcut,
        block_mm: plan.sheet.block.map(mm),
        board: plan.board.as_ref().map(region),
        machine: machine(&plan.machine),
        stock: stock(&plan.stock, plan.sheet.curl),
        inputs: plan.inputs.iter().map(input).collect(),
        files: plan.files.iter().map(file).collect(),
        figures: plan.figures.iter().map(figure).collect(),
        runs: plan.runs.iter().map(|r| run(plan, r, sources)).collect(),
        puzzle: plan.puzzle.as_ref().map(puzzle::puzzle),
        pictures: pictures(plan).into_iter().map(|(file, shows)| PictureReport { file, shows }).collect(),
        cost: CostReport::of(&plan.cost),
        time_s: Number::new(total.likely.get()),
        time_doubt: DoubtReport::of(&total),
        lessons: plan.lessons.iter().map(lesson).collect(),
        reminders: plan
            .reminders
            .iter()
            .map(|(moment, text)| ReminderReport { moment: moment.word(), text })
            .collect(),
        last_time: plan.last_time.as_ref().map(last_time::last_time),
        test_piece: plan.test_piece.as_ref().map(test_piece::test_piece),
        diagnostics: diagnostics.iter().map(|d| FoundReport::of(d, sources)).collect(),
    }
}

fn version(version: &Version) -> VersionReport<'_> {
    VersionReport { sha256: &version.content, revision: version.revision.as_deref() }
}

pub(super) fn mm(length: Mm) -> Number {
    Number::new(length.get())
}

pub(super) fn size(width: Mm, height: Mm) -> SizeReport {
    SizeReport { width_mm: mm(width), height_mm: mm(height) }
}

pub(super) fn point(p: Point) -> PointReport {
    PointReport { x_mm: Number::new(p.x), y_mm: Number::new(p.y) }
}

pub(super) fn bounds(rect: Rect) -> BoxReport {
    BoxReport {
        left_mm: Number::new(rect.x0),
        top_mm: Number::new(rect.y0),
        right_mm: Number::new(rect.x1),
        bottom_mm: Number::new(rect.y1),
        width_mm: Number::new(rect.width()),
        height_mm: Number::new(rect.height()),
        centre: point(rect.center()),
    }
}

fn region(region: &Region) -> RegionReport {
    RegionReport { bounds: region.bounds().map(bounds), area_mm2: Number::new(region.area().get()) }
}

fn machine(machine: &Machine) -> MachineReport<'_> {
    MachineReport {
        name: &machine.name,
        about: &machine.about,
        kind: machine.kind.word(),
        wavelength_nm: Number::new(machine.wavelength.get() * 1e6),
        power_w: Number::new(machine.power.get()),
        bed: size(machine.bed_width, machine.bed_height),
        spot_mm: machine.known_spot().map(mm),
        spot_is_measured: machine.spot_from == SpotFrom::Measured,
        rayleigh_mm: machine.waist().map(|w| mm(w.rayleigh)),
        focus_depth_mm: machine.focus_depth.map(mm),
        top_speed_mm_s: Number::new(machine.top_speed.get()),
        travel_speed_mm_s: Number::new(machine.travel_speed.get()),
        acceleration_mm_s2: Number::new(machine.acceleration.get()),
        corner_mm: machine.corner.map(mm),
        run_up_mm: machine.run_up.map(mm),
        skips_gaps: machine.skips_gaps,
        hourly: machine.hourly.as_ref().map(MoneyReport::of),
        start: machine.start.word(),
        focus_gauge: machine.focus_gauge.as_deref(),
        air_assist: machine.air_assist,
        enclosed: machine.enclosed,
    }
}

fn stock(stock: &Stock, curl: Option<Mm>) -> StockReport<'_> {
    StockReport {
        name: &stock.name,
        about: &stock.about,
        material: &stock.material,
        thickness_mm: mm(stock.thickness),
        sheet: stock.sheet.map(|(width, height)| size(width, height)),
        price: stock.price.as_ref().map(MoneyReport::of),
        kerf_mm: stock.kerf.map(mm),
        curl_mm: curl.map(mm),
    }
}

fn input(input: &InputUsed) -> InputReport<'_> {
    InputReport { name: &input.name, value: &input.value, about: &input.about, is_default: input.is_default }
}

fn file(file: &FileUsed) -> FileReport<'_> {
    FileReport { path: &file.path, sha256: &file.hash }
}

fn figure(figure: &FigureUsed) -> FigureReport<'_> {
    FigureReport {
        name: &figure.name,
        kind: figure.kind,
        bounds: figure.bounds.map(bounds),
        area_mm2: Number::new(figure.area.get()),
        outlines: figure.outlines,
        inlay: figure.inlay.as_ref().map(inlay),
        trace: figure.trace.as_ref().map(trace),
        mends: figure.changes.iter().map(mend).collect(),
    }
}

fn trace(traced: &Traced) -> TraceReport {
    TraceReport {
        reading: traced.reading,
        picture: traced.paper,
        threshold_percent: Number::new(traced.threshold.get()),
        pixel_mm: mm(traced.pixel),
        specks: traced.specks,
        areas: traced.areas,
        line_width_mm: traced.line_width.map(mm),
    }
}

fn mend(change: &Change) -> MendReport {
    let greatest = change.places.first();
    MendReport {
        mend: change.kind.word(),
        up_to_mm: (change.kind != MendKind::Crossings).then(|| mm(change.up_to)),
        places: change.places.len(),
        greatest_mm: greatest.map(|p| mm(p.size)),
        at: greatest.map(|p| point(p.at)),
        length_change_mm: mm(change.length),
        area_change_mm2: Number::new(change.area.get()),
        segments_before: change.segments.0,
        segments_after: change.segments.1,
    }
}

fn inlay(inlay: &InlayUsed) -> InlayReport<'_> {
    InlayReport {
        of: &inlay.of,
        piece: if inlay.is_insert { "insert" } else { "pocket" },
        gap_mm: mm(inlay.gap),
        insert_kerf_mm: mm(inlay.insert_kerf),
        pocket_kerf_mm: mm(inlay.pocket_kerf),
        finished: size(inlay.finished.0, inlay.finished.1),
    }
}

fn run<'a>(plan: &'a Plan, run: &'a Run, sources: &'a Sources) -> RunReport<'a> {
    let reach = plan.reach(run);
    RunReport {
        number: run.number,
        name: &run.name,
        file: run_file(plan, run),
        sheet: run.lay.on.sheet(),
        turned: run.lay.turned.map(|t| t.over.word()),
        burned: run.burned.map(bounds),
        burned_on_page: run.burned_on_page().map(bounds),
        start: start::start(plan, run),
        charred_on_page: reach.map(|r| bounds(r.charred)),
        head_on_page: reach.map(|r| bounds(r.head)),
        time_s: Number::new(run.time.likely.get()),
        time_doubt: DoubtReport::of(&run.time),
        operations: run.operations.iter().map(|o| operation(plan, run, o, sources)).collect(),
        place: PlaceReport::of(run.span, sources),
    }
}

fn operation<'a>(
    plan: &'a Plan,
    run: &'a Run,
    operation: &'a Operation,
    sources: &'a Sources,
) -> OperationReport<'a> {
    OperationReport {
        number: operation.number,
        kind: operation.kind.word(),
        name: &operation.name,
        file: layer_file(plan, run, operation),
        figures: &operation.figures,
        setting: operation.setting.as_ref().map(burn::setting),
        focus: plan.focus_of(operation).map(burn::focus),
        colour: &operation.colour,
        length_mm: mm(operation.length),
        area_mm2: Number::new(operation.area.get()),
        travel_mm: mm(operation.travel),
        strokes: operation.strokes,
        first_stroke: operation.numbers.first().copied(),
        last_stroke: operation.numbers.last().copied(),
        clean_up: matches!(operation.kind, OperationKind::Score | OperationKind::Cut)
            .then(|| clean_up(&operation.clean_up)),
        manner: (operation.kind == OperationKind::Cut).then(|| MannerReport::of(&operation.manner)),
        finished: operation.finished.as_ref().map(finished),
        seams: operation.seams.map(|s| SeamsReport { cut: s.word(), gap_mm: s.gap().map(mm) }),
        dots: dots_of(operation).map(|d| dots(plan, run, operation, d)),
        time_s: Number::new(operation.time.likely.get()),
        time_doubt: DoubtReport::of(&operation.time),
        bounds: operation.bounds.map(bounds),
        place: PlaceReport::of(operation.span, sources),
    }
}

fn dots<'a>(plan: &Plan, run: &Run, operation: &Operation, dots: &'a Dots) -> DotsReport<'a> {
    DotsReport {
        file: picture_file(plan, run, operation),
        columns: dots.bitmap.width,
        rows: dots.bitmap.height,
        interval_mm: mm(dots.interval),
        pitch_mm: mm(dots.pitch),
        dither: dots.dither,
        coverage_percent: Number::new(dots.coverage * 100.0),
        source_pixels_per_mm: Number::new(dots.pixels_per_mm),
        tone_card: dots.tone_card.as_deref(),
    }
}

/// So many stretches are told at most: a drawing that lies on itself has thousands.
const MOST_STRETCHES: usize = 100;

fn clean_up(done: &CleanUp) -> CleanUpReport {
    let mut longest: Vec<_> = done.once.iter().collect();
    longest.sort_by(|a, b| b.length.get().total_cmp(&a.length.get()));
    let once = longest.into_iter().take(MOST_STRETCHES);
    CleanUpReport {
        drawn_lines: done.drawn.lines,
        drawn_length_mm: mm(done.drawn.length),
        saved_mm: mm(done.saved),
        joined: done.joined,
        once: once.map(|o| OnceReport { at: point(o.at), length_mm: mm(o.length) }).collect(),
    }
}

fn finished(finished: &Finished) -> FinishedReport {
    let of = |beam| {
        let (width, height) = finished.size(beam);
        size(width, height)
    };
    FinishedReport {
        beam: finished.beam.word(),
        kerf_mm: mm(finished.kerf),
        size: of(finished.beam),
        on_line: of(Beam::OnLine),
        waste_side: of(Beam::WasteSide),
    }
}

fn lesson(lesson: &Lesson) -> LessonReport<'_> {
    LessonReport { text: &lesson.text, moment: lesson.moment.word(), action: &lesson.action }
}
