//! `resume`: what is left of a run that stopped.

use super::{CompileArguments, MessageFormat, Outcome, print_findings_of, say};
use crate::diagnostics::place::way;
use crate::diagnostics::{Severity, Sink};
use crate::driver::{self, Earlier, ResumeFailure, ResumeRequest, Resumed};
use crate::figures::Cache;
use crate::geometry::{FillRule, Region};
use crate::plan::{Asked, BackTo, Part};
use crate::source::Sources;
use crate::units::{Dimension, Mm, parse_quantity};
use clap::Args;
use kurbo::{Rect, Shape};
use std::path::{Path, PathBuf};

/// What a build has and a remainder has not.
const JOB_SHEET: &str = "job-sheet.pdf";

/// No bed is larger than this (mm).
const FARTHEST: f64 = 10_000.0;

#[derive(Clone, Debug, Args)]
pub(super) struct ResumeArguments {
    #[command(flatten)]
    compile: CompileArguments,
    /// The run, by its name.
    #[arg(long, value_name = "NAME")]
    run: String,
    #[command(flatten)]
    part: PartArguments,
    /// The operation that is meant, by its number in the run: of `--after-row` the engraving, of `--only` and `--pieces` what
    /// is burned there; all cuts if left out.
    #[arg(long, value_name = "N")]
    operation: Option<usize>,
    /// How far lines that are cut off go on beyond what was asked for.
    #[arg(long, value_name = "LENGTH", default_value = "1 mm", value_parser = length)]
    overlap: Mm,
    /// Burns lines whole that reach into what was asked for.
    #[arg(long)]
    whole: bool,
    /// How many times everything is burned, instead of what the setting says.
    #[arg(long, value_name = "N", value_parser = clap::value_parser!(u32).range(1..=50))]
    passes: Option<u32>,
    /// The folder for the outputs; `out/NAME-NN-RUN-left` if left out.
    #[arg(long, value_name = "DIR")]
    out: Option<PathBuf>,
    /// The folder of the build that the run was burned from, to see whether anything changed; `out/NAME` if left out.
    #[arg(long, value_name = "DIR")]
    built: Option<PathBuf>,
}

#[derive(Clone, Debug, Args)]
#[group(required = true, multiple = false)]
struct PartArguments {
    /// What comes after this stroke, as the job sheet counts them.
    #[arg(long, value_name = "STROKE")]
    after: Option<usize>,
    /// The rows of an engraving farther than this from the top edge of the sheet, and what comes after it. Rows are taken to be
    /// burned from the top down.
    #[arg(long, value_name = "LENGTH", value_parser = length)]
    after_row: Option<Mm>,
    /// What comes after the stroke that frees this piece of the puzzle.
    #[arg(long, value_name = "PIECE")]
    after_piece: Option<usize>,
    /// The cuts round pieces that hang on, such as 3,7.
    #[arg(long, value_name = "PIECES", value_delimiter = ',')]
    pieces: Vec<usize>,
    /// The cuts in a box, `"X,Y WxH"` in mm from the sheet's left top corner, or in what a small SVG on the page of the sheet
    /// marks.
    #[arg(long, value_name = "BOX or SVG", allow_hyphen_values = true)]
    only: Option<String>,
}

/// A length that is neither negative nor beyond any bed.
fn length(text: &str) -> Result<Mm, String> {
    let expected = || "expected a length such as \"42 mm\"".to_owned();
    let (quantity, used) = parse_quantity(text.trim(), 0).map_err(|_| expected())?;
    let value = quantity.to_f64();
    let is_length = used == text.trim().len() && quantity.dimension == Dimension::Length;
    if is_length && (0.0..=FARTHEST).contains(&value) { Ok(Mm::new(value)) } else { Err(expected()) }
}

/// `120,40 60x30`, with or without `mm`.
fn rectangle(text: &str) -> Result<Rect, String> {
    let expected = || {
        format!("`{text}` is no box: expected \"X,Y WxH\" in mm, such as \"120,40 60x30\", or a file `NAME.svg`")
    };
    let plain = text.replace("mm", " ").replace('×', "x");
    let (corner, size) = plain.split_once('x').ok_or_else(expected)?;
    let numbers: Option<Vec<f64>> = corner
        .split([',', ' '])
        .chain(size.split(' '))
        .filter(|t| !t.is_empty())
        .map(|t| t.parse().ok())
        .collect();
    match numbers.as_deref() {
        Some(&[x, y, w, h]) if [x, y, w, h].iter().all(|v| v.abs() <= FARTHEST) && 0.0 < w && 0.0 < h => {
            Ok(Rect::new(x, y, x + w, y + h))
        }
        _ => Err(expected()),
    }
}

/// Runs the command.
pub(super) fn run(arguments: &ResumeArguments) -> Outcome {
    let (part, marked_on) = match arguments.part() {
        Ok(found) => found,
        Err(why) => return refused(&why),
    };
    let asked = Asked {
        part,
        operation: arguments.operation,
        overlap: arguments.overlap,
        whole: arguments.whole,
        passes: arguments.passes,
    };
    let request = ResumeRequest {
        build: arguments.compile.request(),
        run: arguments.run.clone(),
        asked,
        marked_on,
        built: arguments.built.clone(),
    };
    let (build, made) = driver::resume(&request, &arguments.compile.files(), &Cache::default());
    // What was advised was read when the run was built.
    let is_loud = build.findings.iter().any(|d| d.severity != Severity::Advice);
    let is_asked = arguments.compile.message_format != MessageFormat::Human;
    let outcome = if is_loud || is_asked { arguments.compile.report(&build, true) } else { Outcome::Done };
    match made {
        Err(failure @ ResumeFailure::Output(_)) => {
            say(&mut std::io::stderr(), &format!("error: {failure}\n"));
            Outcome::OutsideFailed
        }
        Err(failure) => refused(&failure.to_string()),
        Ok(Some(resumed)) if outcome == Outcome::Done => arguments.write(resumed),
        Ok(_) => Outcome::RecipeErrors,
    }
}

fn refused(why: &str) -> Outcome {
    say(&mut std::io::stderr(), &format!("error: {why}\n"));
    Outcome::BadUsage
}

impl ResumeArguments {
    /// How many threads work.
    pub(super) const fn jobs(&self) -> Option<usize> {
        self.compile.jobs
    }

    /// The part that is asked for, and the page on which an area was marked.
    fn part(&self) -> Result<(Part, Option<(Mm, Mm)>), String> {
        let PartArguments { after, after_row, after_piece, pieces, only } = &self.part;
        let part = match (after, after_row, after_piece, only) {
            (Some(stroke), ..) => Part::After(*stroke),
            (_, Some(from_top), ..) => Part::AfterRow { from_top: *from_top },
            (_, _, Some(piece), _) => Part::AfterPiece(*piece),
            (.., Some(only)) => return self.area(only),
            _ => Part::Pieces(pieces.clone()),
        };
        Ok((part, None))
    }

    fn area(&self, only: &str) -> Result<(Part, Option<(Mm, Mm)>), String> {
        let path = Path::new(only);
        if path.extension().is_some_and(|e| e.eq_ignore_ascii_case("svg")) {
            let (mut sources, mut sink) = (Sources::default(), Sink::new());
            let marked = driver::marked_area(path, &self.compile.files(), &mut sources, &mut sink);
            print_findings_of(&sink, &sources, self.compile.message_format);
            return marked.map(|m| (Part::Within(m.area), Some(m.page)));
        }
        let area = Region::from_path(&rectangle(only)?.to_path(0.1), FillRule::NonZero);
        area.map(|area| (Part::Within(area), None)).map_err(|_| format!("`{only}` reaches too far"))
    }

    fn write(&self, resumed: Resumed) -> Outcome {
        let folder = self.out.clone().unwrap_or_else(|| Path::new("out").join(&resumed.folder));
        let quiet = self.compile.quiet || self.compile.message_format != MessageFormat::Human;
        if let Earlier::Changed(why) = &resumed.earlier {
            say(&mut std::io::stderr(), &format!("warning: {why}\n"));
        }
        if folder.join(JOB_SHEET).exists() {
            return refused(&format!(
                "`{}` holds a build, whose job sheet is needed now: name another folder with `--out`",
                folder.display()
            ));
        }
        let said = summary(&resumed);
        let count = resumed.files.len();
        if let Err(error) = driver::write(&folder, resumed.files) {
            say(&mut std::io::stderr(), &format!("error: cannot write `{}`: {error}\n", folder.display()));
            return Outcome::OutsideFailed;
        }
        if !quiet {
            say(&mut std::io::stderr(), &format!("{said}\nwrote {count} files to {}\n", folder.display()));
        }
        Outcome::Done
    }
}

/// What is left, how it is started, and what it was compared with.
fn summary(resumed: &Resumed) -> String {
    let left = &resumed.left;
    let burned = left.run.operations.iter().filter(|o| left.marks_again != Some(o.number));
    let strokes: usize = burned.map(|o| o.numbers.len()).sum();
    let what = match (left.rows_below, left.after) {
        (Some(line), _) => {
            format!(
                "the rows from {line} down are left, and what comes after them: {strokes} of {} strokes",
                left.strokes
            )
        }
        (None, Some(stroke)) => format!("after stroke {stroke} of {}, {strokes} are left", left.strokes),
        (None, None) => format!("{strokes} stretches are burned once more"),
    };
    let start = match left.back_to {
        BackTo::Page => "started from the page, as the run".to_owned(),
        BackTo::SamePoint => match left.marks_again {
            Some(marks) => {
                format!("started where the run was: operation {marks} burns the corner marks once more")
            }
            None => "started where the run was".to_owned(),
        },
        BackTo::Moved(by) => format!("start the head elsewhere: {} of where the run was started", way(by)),
    };
    let known = match &resumed.earlier {
        Earlier::Unknown(path) => {
            format!(
                "\nthere is no `{}` to compare with: whether anything changed since is not known",
                path.display()
            )
        }
        Earlier::Same | Earlier::Changed(_) => String::new(),
    };
    format!("{what}; {start}{known}")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn boxes_are_read_with_and_without_units() {
        let wanted = Ok(Rect::new(120.0, 40.0, 180.0, 70.5));
        for text in ["120,40 60x30.5", "120 mm, 40 mm 60 mm x 30.5 mm", "120,40 60 × 30.5"] {
            assert_eq!(rectangle(text), wanted, "{text}");
        }
        for text in ["", "120,40", "120,40 60x0", "1,2,3 4x5", "nan,0 10x10", "0,0 1e9x1", "0,0 infx1", "a,b cxd"]
        {
            assert!(rectangle(text).is_err(), "{text}");
        }
    }

    #[test]
    fn lengths_need_a_unit_and_a_bed() {
        assert_eq!(length("42 mm"), Ok(Mm::new(42.0)));
        assert_eq!(length("1 in"), Ok(Mm::new(25.4)));
        for text in ["42", "-1 mm", "1 mm/s", "9999999 mm", "42 mm or so", ""] {
            assert!(length(text).is_err(), "{text}");
        }
    }
}
