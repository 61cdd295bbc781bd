//! What is left of a run: the recipe compiled as for a build, and other files made of it.

use super::build::{Build, Request, compile};
use crate::diagnostics::Sink;
use crate::figures::{Cache, area_of};
use crate::geometry::{Region, faces};
use crate::intake::{SvgRequest, read_svg};
use crate::outputs::{OutputError, OutputFile, remainder_file, write_remainder};
use crate::plan::{Asked, Plan, Remainder, ResumeError, remainder};
use crate::source::{Files, Source, Sources, Span};
use crate::units::Mm;
use serde_json::Value;
use std::fmt;
use std::path::{Path, PathBuf};

/// Ends of drawn lines nearer to each other than this meet.
const JOINED: Mm = Mm::new(0.5);

/// Pages that differ by less than this are one: drawing programs round pages to tenths.
const SAME_PAGE: Mm = Mm::new(0.1);

/// What is to be made.
#[derive(Clone, Debug)]
pub struct ResumeRequest {
    /// The recipe and its inputs: those of the run that stopped.
    pub build: Request,
    /// The name of the run.
    pub run: String,
    /// Which part of it.
    pub asked: Asked,
    /// The page on which an area was marked, where it was.
    pub marked_on: Option<(Mm, Mm)>,
    /// The folder of the build that the run was burned from; `out/NAME` where none is named.
    pub built: Option<PathBuf>,
}

/// What was made.
#[derive(Debug)]
pub struct Resumed {
    /// What is left.
    pub left: Remainder,
    /// Its files.
    pub files: Vec<OutputFile>,
    /// A name for the folder that holds them.
    pub folder: String,
    /// What is told of the build that the run was burned from.
    pub earlier: Earlier,
}

/// The build that a run was burned from, compared with the recipe as it is now.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Earlier {
    /// There is no report of it.
    Unknown(PathBuf),
    /// Nothing has changed.
    Same,
    /// Strokes may be counted otherwise now.
    Changed(String),
}

/// Why nothing was made.
#[derive(Debug)]
pub enum ResumeFailure {
    /// What was asked for is not there.
    Asked(ResumeError),
    /// An area was marked on a page that is not the sheet's.
    OtherPage {
        /// Width and height of the page.
        page: (Mm, Mm),
        /// Width and height of the sheet.
        sheet: (Mm, Mm),
    },
    /// A file could not be made.
    Output(OutputError),
}

impl fmt::Display for ResumeFailure {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Asked(error) => error.fmt(f),
            Self::OtherPage { page, sheet } => write!(
                f,
                "the area was marked on a page of {} x {}, and the sheet has {} x {}: it would come to lie elsewhere. Mark it on \
                 a copy of the run's own file",
                page.0, page.1, sheet.0, sheet.1
            ),
            Self::Output(error) => error.fmt(f),
        }
    }
}

impl std::error::Error for ResumeFailure {}

/// Compiles a recipe and makes the files of what is left of a run; `None` where the recipe has errors.
pub fn resume(
    request: &ResumeRequest,
    files: &dyn Files,
    cache: &Cache,
) -> (Build, Result<Option<Resumed>, ResumeFailure>) {
    let build = compile(&request.build, files, cache);
    let made = build.plan.as_ref().map(|plan| make(request, plan, files)).transpose();
    (build, made)
}

fn make(request: &ResumeRequest, plan: &Plan, files: &dyn Files) -> Result<Resumed, ResumeFailure> {
    let sheet = (plan.sheet.width, plan.sheet.height);
    let is_other =
        |page: &(Mm, Mm)| [page.0 - sheet.0, page.1 - sheet.1].iter().any(|by| by.get().abs() > SAME_PAGE.get());
    if let Some(page) = request.marked_on.filter(is_other) {
        return Err(ResumeFailure::OtherPage { page, sheet });
    }
    let left = remainder(plan, &request.run, &request.asked).map_err(ResumeFailure::Asked)?;
    let built = request.built.clone().unwrap_or_else(|| PathBuf::from("out").join(&plan.slug));
    let earlier = compare(plan, &built, files);
    let warning = if let Earlier::Changed(why) = &earlier { Some(why.as_str()) } else { None };
    let files = write_remainder(plan, &left, warning).map_err(ResumeFailure::Output)?;
    let file = remainder_file(plan, &left);
    let folder = format!("{}-{}", plan.slug, file.strip_suffix(".svg").unwrap_or(&file));
    Ok(Resumed { left, files, folder, earlier })
}

/// Compares what went into an earlier build with what goes into this one.
fn compare(plan: &Plan, built: &Path, files: &dyn Files) -> Earlier {
    let report = built.join("report.json");
    let Ok(read) = files.open_named(&report) else { return Earlier::Unknown(report) };
    let Ok(report) = serde_json::from_slice::<Value>(&read.bytes) else {
        return Earlier::Changed(format!("`{}` is no report that can be read", report.display()));
    };
    let version = report["kerfbook_version"].as_str().unwrap_or_default();
    if version != env!("CARGO_PKG_VERSION") {
        return Earlier::Changed(format!(
            "the run was made by version {version} of Kerfbook, this by {}: strokes may be counted otherwise. Look at the first \
             and the last stroke in the drawing before anything is burned.",
            env!("CARGO_PKG_VERSION")
        ));
    }
    let names = [("machine", &plan.machine.name), ("stock", &plan.stock.name)];
    if let Some((what, name)) = names.into_iter().find(|(what, name)| report[what]["name"] != name.as_str()) {
        let was = report[what]["name"].as_str().unwrap_or("another");
        return Earlier::Changed(format!(
            "the run was made for the {what} `{was}`, and this is for `{name}`: its settings are others, and it may be started \
             from another point. Resume it for `{was}`."
        ));
    }
    let before: Vec<(&str, &str)> = report["files"]
        .as_array()
        .into_iter()
        .flatten()
        .filter_map(|f| Some((f["path"].as_str()?, f["sha256"].as_str()?)))
        .collect();
    let is_same = |f: &&crate::plan::FileUsed| before.contains(&(f.path.as_str(), f.hash.as_str()));
    let changed: Vec<String> =
        plan.files.iter().filter(|f| !is_same(f)).map(|f| format!("`{}`", f.path)).collect();
    let inputs_differ = plan.inputs.iter().any(|input| {
        let before = report["inputs"].as_array().into_iter().flatten().find(|i| i["name"] == input.name.as_str());
        before.is_some_and(|i| i["value"] != input.value.as_str())
    });
    match (changed.as_slice(), inputs_differ) {
        // What else was read then, such as the table that a row came from, is no part of this job.
        ([], false) => Earlier::Same,
        ([], true) => Earlier::Changed(
            "the run was made with other values of the inputs (`--set`): this may be another piece.".to_owned(),
        ),
        _ => Earlier::Changed(format!(
            "since the run was made, {} changed: strokes may be counted otherwise, and lie elsewhere. Get the files of that time \
             back, or look at the first and the last stroke in the drawing before anything is burned.",
            changed.join(", ")
        )),
    }
}

/// An area that was marked in a file.
#[derive(Clone, Debug)]
pub struct Marked {
    /// The area, from the left top corner of the page.
    pub area: Region,
    /// Width and height of the page.
    pub page: (Mm, Mm),
}

/// The area that a small SVG marks: what is filled in it and what its lines enclose. What is wrong with the file is told to
/// `sink`.
///
/// # Errors
/// Says why it marks nothing.
pub fn marked_area(
    path: &Path,
    files: &dyn Files,
    sources: &mut Sources,
    sink: &mut Sink,
) -> Result<Marked, String> {
    let shown = path.display().to_string();
    let read = files.open_named(path).map_err(|_| format!("`{shown}` cannot be read"))?;
    let text = sources.add(Source {
        name: "--only".to_owned(),
        path: None,
        text: shown.as_str().into(),
        imported_at: None,
    });
    let artwork = read_svg(&SvgRequest::new(&shown, &read.bytes, Span::new(text, 0, shown.len())), sink)
        .ok_or_else(|| format!("`{shown}` marks nothing"))?;
    let Some(page) = artwork.physical_size else {
        return Err(format!(
            "`{shown}` does not say how large it is: give its page width and height in mm, those of the sheet"
        ));
    };
    let filled = area_of(&artwork.drawing).map_err(|_| format!("`{shown}` reaches too far"))?;
    let lines: Vec<_> = artwork.drawing.lines.iter().map(|l| l.path.clone()).collect();
    let enclosed = faces(&lines, JOINED);
    let area = Region::union(&std::iter::once(&filled).chain(&enclosed).collect::<Vec<_>>());
    if area.is_empty() {
        return Err(format!("`{shown}` marks no area: draw a closed outline"));
    }
    Ok(Marked { area, page })
}
