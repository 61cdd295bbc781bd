//! `inspect`: what a recipe was resolved to, as text.

use super::{CompileArguments, MessageFormat, Outcome, inspect_artwork, say};
use crate::driver;
use crate::figures::{Cache, Traced};
use crate::mending::Change;
use crate::outputs::report_json;
use crate::plan::{Beam, Laid, Operation, Plan, Puzzle, Run, SeamCut};
use crate::units::number::fixed;
use std::fmt::Write;

pub(super) fn run(arguments: &CompileArguments) -> Outcome {
    if inspect_artwork::is_artwork(&arguments.recipe) {
        return inspect_artwork::run(arguments);
    }
    let build = driver::compile(&arguments.request(), &arguments.files(), &Cache::default());
    let outcome = if arguments.message_format == MessageFormat::Json {
        if build.findings.has_errors() { Outcome::RecipeErrors } else { Outcome::Done }
    } else {
        arguments.report(&build, true)
    };
    let Some(plan) = &build.plan else {
        if arguments.message_format == MessageFormat::Json {
            return arguments.report(&build, true);
        }
        return outcome;
    };
    if arguments.message_format == MessageFormat::Json {
        let findings: Vec<_> = build.findings.iter().cloned().collect();
        return match report_json(plan, &findings, &build.sources) {
            Ok(report) => {
                say(&mut std::io::stdout(), &String::from_utf8_lossy(&report));
                outcome
            }
            Err(error) => {
                say(&mut std::io::stderr(), &format!("error: {error}\n"));
                Outcome::OutsideFailed
            }
        };
    }
    say(&mut std::io::stdout(), &overview(plan));
    outcome
}

fn overview(plan: &Plan) -> String {
    let mut text = format!("{}\n", plan.title);
    let _ = writeln!(text, "  sheet    {} x {}", plan.sheet.width, plan.sheet.height);
    let _ = writeln!(text, "  machine  {}, start at {}", plan.machine.name, plan.machine.start.word());
    let _ = writeln!(text, "  stock    {}, {}, {}", plan.stock.name, plan.stock.material, plan.stock.thickness);
    inputs(plan, &mut text);
    figures(plan, &mut text);
    for run in &plan.runs {
        run_lines(run, &mut text);
    }
    if let Some(puzzle) = &plan.puzzle {
        let _ = write!(text, "\npuzzle {}: {} pieces", puzzle.name, puzzle.pieces.len());
        let _ = match &puzzle.drawn {
            Some(drawn) => writeln!(
                text,
                " in {} rows and {} columns, narrowest neck {}, least undercut {}",
                drawn.rows, drawn.columns, drawn.proofs.narrowest_neck.value, drawn.proofs.least_undercut.value
            ),
            None => writeln!(text, ", their seams traced"),
        };
        pieces(puzzle, &mut text);
    }
    let _ = writeln!(text, "\nfiles");
    for file in &plan.files {
        let _ = writeln!(text, "  {}  {}", &file.hash[..file.hash.len().min(12)], file.path);
    }
    text
}

/// A number; a dash where it is not known.
fn counted(number: Option<usize>) -> String {
    number.map_or_else(|| "–".to_owned(), |number| number.to_string())
}

/// A line for each piece.
fn pieces(puzzle: &Puzzle, text: &mut String) {
    let _ = writeln!(text, "  piece        size, mm      area, mm²  knobs  sockets  beside");
    for piece in &puzzle.pieces {
        let size = piece.outline.bounds().unwrap_or_default().size();
        let size = format!("{} x {}", fixed(size.width, 1), fixed(size.height, 1));
        let beside: Vec<String> = piece.neighbours.iter().map(usize::to_string).collect();
        let _ = writeln!(
            text,
            "  {:>5}  {size:>14}  {:>13}  {:>5}  {:>7}  {}",
            piece.number,
            fixed(piece.outline.area().get(), 1),
            counted(piece.knobs),
            counted(piece.sockets),
            beside.join(", ")
        );
    }
}

fn inputs(plan: &Plan, text: &mut String) {
    if plan.inputs.is_empty() {
        return;
    }
    let _ = writeln!(text, "\ninputs");
    for input in &plan.inputs {
        let origin = if input.is_default { "default" } else { "set" };
        let _ = writeln!(text, "  {:<12} {} ({origin}; {})", input.name, input.value, input.about);
    }
}

fn figures(plan: &Plan, text: &mut String) {
    let _ = writeln!(text, "\nfigures (mm from the sheet's left and top edge)");
    for figure in &plan.figures {
        let place = figure.bounds.map_or_else(
            || "empty".to_owned(),
            |b| {
                format!(
                    "{:>7} {:>7}   {} x {}",
                    fixed(b.x0, 2),
                    fixed(b.y0, 2),
                    fixed(b.width(), 2),
                    fixed(b.height(), 2)
                )
            },
        );
        let _ = writeln!(text, "  {:<12} {:<10} {place}", figure.name, figure.kind);
        if let Some(traced) = &figure.trace {
            trace_line(traced, text);
        }
        figure.changes.iter().for_each(|change| mend_line(change, text));
        if let Some(inlay) = &figure.inlay {
            let _ = writeln!(
                text,
                "     {} of {}: gap {} mm a side, kerf of insert {} and pocket {}; comes out {} x {} mm",
                if inlay.is_insert { "insert" } else { "pocket" },
                inlay.of,
                fixed(inlay.gap.get(), 3),
                inlay.insert_kerf,
                inlay.pocket_kerf,
                fixed(inlay.finished.0.get(), 2),
                fixed(inlay.finished.1.get(), 2)
            );
        }
    }
}

/// How a picture was traced.
fn trace_line(traced: &Traced, text: &mut String) {
    let width = traced.line_width.map_or_else(String::new, |w| format!(", lines drawn {w} wide"));
    let areas = traced.areas.map_or_else(String::new, |a| format!(", {a} areas with the one about it"));
    let _ = writeln!(
        text,
        "     traced as {}: {}, drawn from {} of black on; a pixel is {}; specks left out: {}{areas}{width}",
        traced.reading, traced.paper, traced.threshold, traced.pixel, traced.specks
    );
}

/// What a mend did, where it did anything.
fn mend_line(change: &Change, text: &mut String) {
    let Some(greatest) = change.places.first() else { return };
    let _ = writeln!(
        text,
        "     mended {}: {} place{}, the greatest {}; {} mm of lines, {} mm² of ink, {} segments instead of {}",
        change.kind.word(),
        change.places.len(),
        if change.places.len() == 1 { "" } else { "s" },
        greatest.size,
        signed(change.length.get()),
        signed(change.area.get()),
        change.segments.1,
        change.segments.0
    );
}

/// A change with its sign.
fn signed(by: f64) -> String {
    let text = fixed(by, 2);
    if by > 0.0 && text != "0" { format!("+{text}") } else { text }
}

fn run_lines(run: &Run, text: &mut String) {
    let side = run.lay.turned.map_or_else(String::new, |t| format!(", back up, turned {}", t.over.word()));
    let sheet = match run.lay.on {
        Laid::Sheet(1) => String::new(),
        Laid::Sheet(number) => format!(", sheet {number}"),
        Laid::Scrap => ", on scrap".to_owned(),
    };
    let start = run.start.map_or_else(String::new, |s| format!(", start at {}", s.word()));
    let _ = writeln!(
        text,
        "\nrun {} {}{sheet}{side}{start}, {} s ± {}",
        run.number,
        run.name,
        fixed(run.time.likely.get(), 0),
        run.time.doubt()
    );
    for operation in &run.operations {
        operation_line(operation, text);
    }
}

fn operation_line(operation: &Operation, text: &mut String) {
    let how = operation.setting.as_ref().map_or_else(String::new, |s| {
        format!("{}: {}, {}, {} pass{}", s.name, s.speed, s.power, s.passes, if s.passes == 1 { "" } else { "es" })
    });
    let _ = writeln!(
        text,
        "  {:>2} {:<8} {:<24} {how}; {}",
        operation.number,
        operation.kind.word(),
        operation.name,
        operation.length
    );
    clean_up_line(operation, text);
    if let Some(seams) = operation.seams {
        let gap = seams.gap().map_or_else(|| "a gap not known".to_owned(), |g| format!("{g} between pieces"));
        let how = if matches!(seams, SeamCut::PerPiece { .. }) { ", pulled apart" } else { "" };
        let _ = writeln!(text, "     seams {}{how}, from the middle outwards, {gap}", seams.word());
    }
    if let Some(finished) = &operation.finished {
        let of = |beam| {
            let (width, height) = finished.size(beam);
            format!("{} x {}", fixed(width.get(), 2), fixed(height.get(), 2))
        };
        let _ = writeln!(
            text,
            "     beam {}: the largest part comes out {} mm (kerf {}; on-line {}, waste-side {})",
            finished.beam.word(),
            of(finished.beam),
            finished.kerf,
            of(Beam::OnLine),
            of(Beam::WasteSide)
        );
    }
}

/// What was done to the lines, where it was more than nothing.
fn clean_up_line(operation: &Operation, text: &mut String) {
    let done = &operation.clean_up;
    if done.drawn.lines != operation.strokes || done.saved.get() >= 0.01 {
        let _ = writeln!(
            text,
            "     {} lines drawn, {} strokes burned; {} ends joined, {} mm burned once instead of twice",
            done.drawn.lines,
            operation.strokes,
            done.joined,
            fixed(done.saved.get(), 2)
        );
    }
}
