//! Writes down how a burned job went, in the journal beside its recipe.
//!
//! What was burned is the build that lies in the output folder: its report tells files, inputs and numbers, whatever has been
//! changed in the recipe since.

use super::one_file::write_file;
use crate::diagnostics::{Sink, quoted_list};
use crate::journal::{Entry, FileThen, HEADING, HowItWent, InputThen, RunThen, Step, decode_journal, entry_text};
use crate::recipe::journal_name;
use crate::schema::{Reader, Scope};
use crate::shop::{OperationKind, SettingValues};
use crate::source::{Source, Sources};
use crate::syntax;
use crate::units::{Mm, MmPerSecond, Percent};
use serde::Deserialize;
use std::fmt;
use std::fs;
use std::io;
use std::path::{Path, PathBuf};

/// What is to be written down.
#[derive(Clone, Debug)]
pub struct RecordRequest {
    /// The recipe's file.
    pub recipe: PathBuf,
    /// The folder of the build that was burned.
    pub built: PathBuf,
    /// The runs; all of them where none is named.
    pub runs: Vec<String>,
    /// How they went.
    pub went: HowItWent,
    /// Where they did not.
    pub place: Option<String>,
    /// Remarks.
    pub notes: Vec<String>,
    /// The day, as `2027-08-10`.
    pub day: String,
}

/// What was written down.
#[derive(Clone, Debug)]
pub struct Recorded {
    /// The journal.
    pub journal: PathBuf,
    /// The entry.
    pub entry: Entry,
}

/// Why nothing was written down.
#[derive(Debug)]
pub enum RecordError {
    /// Something that was asked for is not there; a sentence says what, and what to do.
    Asked(String),
    /// The journal that is there cannot be read; its findings tell why.
    Journal(Box<(Sources, Sink)>),
    /// The disk said no.
    Disk(io::Error),
}

impl fmt::Display for RecordError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Asked(why) => f.write_str(why),
            Self::Journal(_) => f.write_str("the journal cannot be read"),
            Self::Disk(error) => write!(f, "{error}"),
        }
    }
}

/// The part of `report.json` that a journal remembers.
#[derive(Debug, Deserialize)]
struct Built {
    recipe: String,
    version: BuiltVersion,
    machine: Named,
    stock: Named,
    inputs: Vec<BuiltInput>,
    files: Vec<BuiltFile>,
    runs: Vec<BuiltRun>,
}

#[derive(Debug, Deserialize)]
struct BuiltVersion {
    sha256: String,
    revision: Option<String>,
}

#[derive(Debug, Deserialize)]
struct Named {
    name: String,
}

#[derive(Debug, Deserialize)]
struct BuiltInput {
    name: String,
    value: String,
}

#[derive(Debug, Deserialize)]
struct BuiltFile {
    path: String,
    sha256: String,
}

#[derive(Debug, Deserialize)]
struct BuiltRun {
    name: String,
    operations: Vec<BuiltOperation>,
}

#[derive(Debug, Deserialize)]
struct BuiltOperation {
    kind: String,
    name: String,
    setting: Option<BuiltSetting>,
}

#[derive(Debug, Deserialize)]
struct BuiltSetting {
    speed_mm_s: f64,
    power_percent: f64,
    passes: u32,
    interval_mm: Option<f64>,
    focus_mm: Option<f64>,
    air: Option<bool>,
}

/// Digits of hashes in a journal: as many as on the job sheet.
const DIGITS: usize = 12;

/// Adds an entry to the journal of a recipe, and starts the journal where there is none.
///
/// # Errors
/// When there is no build of this recipe in the folder, a run is not in it, the journal has mistakes, or the disk fails;
/// the journal is as it was then.
pub fn record(request: &RecordRequest) -> Result<Recorded, RecordError> {
    let built = built(request)?;
    let entry = entry(request, &built)?;
    let journal = journal_of(&request.recipe)?;
    let before = sound_text(&journal)?;
    let text = format!("{}\n{}", before.as_deref().map_or(HEADING.to_owned(), ended), entry_text(&entry));
    write_file(&journal, text.as_bytes()).map_err(RecordError::Disk)?;
    Ok(Recorded { journal, entry })
}

fn built(request: &RecordRequest) -> Result<Built, RecordError> {
    let path = request.built.join("report.json");
    let shown = path.display();
    let bytes = fs::read(&path).map_err(|error| match error.kind() {
        io::ErrorKind::NotFound => RecordError::Asked(format!(
            "there is no `{shown}`: what is recorded is the build that was burned, so build the recipe, or name the folder \
             with `--out`"
        )),
        _ => RecordError::Disk(error),
    })?;
    let built: Built = serde_json::from_slice(&bytes)
        .map_err(|error| RecordError::Asked(format!("`{shown}` is no report of this version: {error}")))?;
    let name = request.recipe.file_name().map(|n| n.to_string_lossy().into_owned()).unwrap_or_default();
    if built.recipe != name {
        return Err(RecordError::Asked(format!("`{shown}` was built from `{}`, not from `{name}`", built.recipe)));
    }
    Ok(built)
}

fn entry(request: &RecordRequest, built: &Built) -> Result<Entry, RecordError> {
    let there = || built.runs.iter().map(|run| run.name.as_str());
    if let Some(unknown) = request.runs.iter().find(|name| there().all(|n| n != name.as_str())) {
        let known = quoted_list(there(), "and");
        return Err(RecordError::Asked(format!("the build has no run `{unknown}`; it has {known}")));
    }
    let is_asked = |name: &str| request.runs.is_empty() || request.runs.iter().any(|run| run == name);
    let run = |name: &str| RunThen { name: name.to_owned(), went: request.went, place: request.place.clone() };
    let short = |hash: &str| hash.chars().take(DIGITS).collect::<String>();
    Ok(Entry {
        day: request.day.clone(),
        version: short(&built.version.sha256),
        revision: built.version.revision.clone(),
        machine: built.machine.name.clone(),
        stock: built.stock.name.clone(),
        runs: there().filter(|name| is_asked(name)).map(run).collect(),
        notes: request.notes.clone(),
        inputs: built
            .inputs
            .iter()
            .map(|input| InputThen { name: input.name.clone(), value: input.value.clone() })
            .collect(),
        files: built
            .files
            .iter()
            .map(|file| FileThen { path: file.path.clone(), hash: short(&file.sha256) })
            .collect(),
        steps: built.runs.iter().filter(|run| is_asked(&run.name)).flat_map(steps).collect(),
    })
}

fn steps(run: &BuiltRun) -> impl Iterator<Item = Step> + '_ {
    run.operations.iter().filter_map(|operation| {
        let setting = operation.setting.as_ref()?;
        Some(Step {
            run: run.name.clone(),
            operation: OperationKind::from_word(&operation.kind)?,
            name: operation.name.clone(),
            values: SettingValues {
                speed: Some(MmPerSecond::new(setting.speed_mm_s)),
                power: Some(Percent::new(setting.power_percent)),
                passes: Some(setting.passes),
                interval: setting.interval_mm.map(Mm::new),
                focus: setting.focus_mm.map(Mm::new),
                air: setting.air,
            },
        })
    })
}

fn journal_of(recipe: &Path) -> Result<PathBuf, RecordError> {
    let name = recipe.file_name().map(|n| n.to_string_lossy().into_owned()).unwrap_or_default();
    match name.strip_suffix(".recipe.kdl").filter(|slug| !slug.is_empty()) {
        Some(slug) => Ok(recipe.with_file_name(journal_name(slug))),
        None => Err(RecordError::Asked(format!("`{name}` is not named `NAME.recipe.kdl`"))),
    }
}

/// The text of the journal that is there, read and found right; `None` where there is none.
fn sound_text(journal: &Path) -> Result<Option<String>, RecordError> {
    let text = match fs::read_to_string(journal) {
        Ok(text) => text,
        Err(error) if error.kind() == io::ErrorKind::NotFound => return Ok(None),
        Err(error) => return Err(RecordError::Disk(error)),
    };
    let (mut sources, mut sink) = (Sources::default(), Sink::new());
    let name = journal.display().to_string();
    let id = sources.add(Source { name, path: None, text: text.as_str().into(), imported_at: None });
    if let Some(document) = syntax::parse(id, &text, &mut sink) {
        decode_journal(&document.into_file(), &mut Reader { scope: &Scope::default(), sink: &mut sink });
    }
    if sink.has_errors() { Err(RecordError::Journal(Box::new((sources, sink)))) } else { Ok(Some(text)) }
}

/// A text with a line break at its end.
fn ended(text: &str) -> String {
    if text.is_empty() || text.ends_with('\n') { text.to_owned() } else { format!("{text}\n") }
}
