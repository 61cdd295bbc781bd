//! One build, from top to bottom.

use super::atomic::replace_folder;
use crate::checks::{self, Job};
use crate::diagnostics::{Severity, Sink};
use crate::figures::{Bench, Cache, evaluate};
use crate::outputs::{self, OutputFile};
use crate::plan::{Accepted, FileUsed, Plan, Version, Warned, assemble, last_time};
use crate::recipe::{Given, Instead, LoadRequest, Loaded, apply_allows, journal_name, load};
use crate::source::{Access, Files, Source, Sources, sha256};
use crate::units::Mm;
use std::io;
use std::path::{Path, PathBuf};

/// What is to be built.
#[derive(Clone, Debug, Default)]
pub struct Request {
    /// The recipe's file.
    pub recipe: PathBuf,
    /// `--set` values, in order.
    pub sets: Vec<(String, String)>,
    /// Values for inputs from elsewhere, such as a row of a table.
    pub given: Vec<Given>,
    /// What the piece is burned on and from instead of what the recipe says.
    pub instead: Instead,
}

/// A build.
#[derive(Debug)]
pub struct Build {
    /// All texts, for the places of findings.
    pub sources: Sources,
    /// The findings, in the order of the text.
    pub findings: Sink,
    /// The resolved job; `None` when there are errors.
    pub plan: Option<Plan>,
    /// The name of the recipe's file without its endings.
    pub slug: String,
    /// Every path that was asked for: what a watch watches.
    pub accesses: Vec<Access>,
}

/// Compiles a recipe and makes its files; the files are `None` when there are errors.
pub fn build(
    request: &Request,
    files: &dyn Files,
    cache: &Cache,
) -> (Build, Result<Option<Vec<OutputFile>>, outputs::OutputError>) {
    let build = compile(request, files, cache);
    let made = match &build.plan {
        None => Ok(None),
        Some(plan) => {
            let findings: Vec<_> = build.findings.iter().cloned().collect();
            let sources = named_from(&request.recipe, &build.sources);
            outputs::write_all(plan, &findings, &sources, cache).map(Some)
        }
    };
    (build, made)
}

/// Compiles a recipe: reads it, works out its figures, plans it and checks the plan.
pub fn compile(request: &Request, files: &dyn Files, cache: &Cache) -> Build {
    cache.start_round();
    let mut sources = Sources::default();
    let mut sink = Sink::new();
    // The bare name: from where the command was run must not show in what is built.
    let name = request.recipe.file_name().map(|n| n.to_string_lossy().into_owned()).unwrap_or_default();
    let loaded = load(
        &LoadRequest {
            path: request.recipe.clone(),
            sets: request.sets.clone(),
            given: request.given.clone(),
            instead: request.instead.clone(),
        },
        files,
        &mut sources,
        &mut sink,
    );
    let slug = loaded.as_ref().map(|l| l.slug.clone()).unwrap_or_default();
    let from = From { path: &request.recipe, name: &name, files, sources: &sources, cache };
    let mut plan = loaded.and_then(|l| plan(&l, from, &mut sink));
    sink.sort();
    if sink.has_errors() {
        plan = None;
    }
    if let Some(plan) = &mut plan {
        plan.accepted = accepted(&sink);
        plan.warnings = warnings(&sink);
    }
    Build { sources, findings: sink, plan, slug, accesses: files.accesses() }
}

/// What a plan is made from, besides the recipe.
#[derive(Clone, Copy)]
struct From<'a> {
    /// The recipe's file.
    path: &'a Path,
    /// Its bare name.
    name: &'a str,
    files: &'a dyn Files,
    sources: &'a Sources,
    cache: &'a Cache,
}

/// From a decoded recipe to a checked plan.
fn plan(loaded: &Loaded, from: From, sink: &mut Sink) -> Option<Plan> {
    let Loaded { recipe, slug, journal } = loaded;
    let From { files, sources, cache, .. } = from;
    let size = |w: &crate::recipe::SheetSize| Some((w.width.value.length(&())?, w.height.value.length(&())?));
    let sheet: (Mm, Mm) = recipe.sheet.as_ref().and_then(size).unwrap_or_default();
    let figures = evaluate(Bench { recipe, files, sources, cache }, sheet, sink);
    let mut plan = assemble(recipe, slug, from.name, &figures, sources, cache, sink);
    if let Some(plan) = &mut plan {
        plan.files = files_used(&files.accesses(), from.path, &journal_name(slug));
        plan.version = Version { content: content(plan), revision: files.revision() };
        plan.last_time = journal.as_ref().and_then(|journal| last_time(journal, plan));
    }
    // Checks of a plan with holes in it would tell of things that are only missing.
    let is_complete = !sink.has_errors();
    if let (true, Some(plan)) = (is_complete, &plan) {
        checks::check(&Job { plan, figures: &figures, recipe, sources, cache, laid: None }, sink);
    }
    apply_allows(&recipe.allows, &crate::rules::all(), is_complete, sink);
    plan
}

/// The hash of everything that a job is made from.
fn content(plan: &Plan) -> String {
    let files = plan.files.iter().map(|f| format!("file {} {}\n", f.hash, f.path));
    let inputs = plan.inputs.iter().map(|i| format!("input {} {:?}\n", i.name, i.value));
    let made_by = format!("kerfbook {}\n", env!("CARGO_PKG_VERSION"));
    sha256(std::iter::once(made_by).chain(files).chain(inputs).collect::<String>().as_bytes())
}

/// The texts under names as seen from the recipe's folder, so that outputs do not tell where a command was run.
fn named_from(recipe: &Path, sources: &Sources) -> Sources {
    let folder = std::path::absolute(recipe).unwrap_or_else(|_| recipe.to_path_buf());
    let folder = folder.parent().unwrap_or(Path::new("")).to_path_buf();
    let mut renamed = Sources::default();
    for (_, source) in sources.iter() {
        let named = std::path::absolute(&source.name).ok().filter(|_| source.path.is_some());
        let name = named.map_or_else(|| source.name.clone(), |path| seen_from(&folder, &path));
        renamed.add(Source { name, ..source.clone() });
    }
    renamed
}

/// The files that were read, named as seen from the recipe's folder, sorted. The journal is none of what a job is made from.
fn files_used(accesses: &[Access], recipe: &Path, journal: &str) -> Vec<FileUsed> {
    let folder = std::path::absolute(recipe).unwrap_or_else(|_| recipe.to_path_buf());
    let folder = folder.parent().unwrap_or(Path::new("")).to_path_buf();
    let mut used: Vec<FileUsed> = accesses
        .iter()
        .filter_map(|a| Some(FileUsed { path: seen_from(&folder, &a.path), hash: a.hash.clone()? }))
        .filter(|file| file.path != journal)
        .collect();
    used.sort_by(|a, b| a.path.cmp(&b.path));
    used
}

/// A file as a file elsewhere names it: relative to the folder of that, with `/`.
pub fn seen_from_file(file: &Path, other: &Path) -> String {
    let whole = |path: &Path| {
        let absolute = std::path::absolute(path).unwrap_or_else(|_| path.to_path_buf());
        // Where they exist, links and `..` are resolved, so that the way from one to the other is the real one.
        let folder = absolute.parent().map(|f| f.canonicalize().unwrap_or_else(|_| f.to_path_buf()));
        folder.map(|f| f.join(absolute.file_name().unwrap_or_default())).unwrap_or(absolute)
    };
    let (file, other) = (whole(file), whole(other));
    seen_from(file.parent().unwrap_or(Path::new("")), &other)
}

/// A path as it is written from a folder, with `/`: `../bench.shop.kdl`.
fn seen_from(folder: &Path, path: &Path) -> String {
    let (from, to): (Vec<_>, Vec<_>) = (folder.components().collect(), path.components().collect());
    let shared = from.iter().zip(&to).take_while(|(a, b)| a == b).count();
    let up = std::iter::repeat_n("..".to_owned(), from.len() - shared);
    let down = to[shared..].iter().map(|c| c.as_os_str().to_string_lossy().into_owned());
    up.chain(down).collect::<Vec<_>>().join("/")
}

fn accepted(sink: &Sink) -> Vec<Accepted> {
    let one = |d: &crate::diagnostics::Diagnostic| {
        let reason = d.accepted.clone()?;
        Some(Accepted { rule: d.finding.rule, message: d.message.clone(), reason })
    };
    sink.iter().filter_map(one).collect()
}

fn warnings(sink: &Sink) -> Vec<Warned> {
    let open = sink.iter().filter(|d| d.severity == Severity::Warning && d.accepted.is_none());
    open.map(|d| Warned { rule: d.finding.rule, message: d.message.clone() }).collect()
}

/// Puts the files of a build into `folder` as one step; a failure leaves what was there.
pub fn write(folder: &Path, files: Vec<OutputFile>) -> io::Result<()> {
    let files: Vec<(String, Vec<u8>)> = files.into_iter().map(|f| (f.path, f.bytes)).collect();
    replace_folder(folder, &files)
}

/// The project of a recipe: the nearest folder above it that holds `.git`; else the folder in which the command runs,
/// if the recipe lies in it; else the recipe's own folder.
pub fn project_root(recipe: &Path) -> PathBuf {
    let recipe = std::path::absolute(recipe).unwrap_or_else(|_| recipe.to_path_buf());
    let folder = recipe.parent().unwrap_or(Path::new("/"));
    let marked = folder.ancestors().find(|a| a.join(".git").exists()).map(Path::to_path_buf);
    let here = || std::env::current_dir().ok().filter(|here| folder.starts_with(here));
    marked.or_else(here).unwrap_or_else(|| folder.to_path_buf())
}
