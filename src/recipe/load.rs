//! From files to a recipe: reading, `use`, inputs, decoding, names.

use super::document::{self, Recipe, WRONG_FILE_NAME};
use super::figure::FIGURES;
use super::inputs::{self, Given, INPUT};
use super::names;
use super::repeat;
use crate::diagnostics::{Diagnostic, Finding, Severity, Sink, quoted_list};
use crate::journal::{Journal, decode_journal};
use crate::schema::{Reader, Scope};
use crate::shop::{Shop, USE, decode_shop};
use crate::source::{FileBytes, Files, ReadError, Source, SourceId, Sources, Span, Spanned};
use crate::syntax::{self, Document, Node};
use std::collections::BTreeSet;
use std::path::{Path, PathBuf};
use std::sync::Arc;

pub(super) static UNREADABLE: Finding = Finding {
    rule: "source/unreadable",
    severity: Severity::Error,
    title: "a file cannot be read",
    explanation: "Paths are relative to the file they stand in, with `/` between folders. A `--set` path is relative to where \
        the command runs.",
    wrong: "use \"bech.shop.kdl\"",
    right: "use \"bench.shop.kdl\"",
};

pub(super) static OUTSIDE_PROJECT: Finding = Finding {
    rule: "source/outside-project",
    severity: Severity::Error,
    title: "a path leads out of the project's folder",
    explanation: "A recipe from someone else must not read files elsewhere on the machine. The project is the nearest folder \
        above the recipe that holds `.git`; else the folder in which the command runs, if the recipe lies in it; else the \
        recipe's own folder. `--also-read DIR` allows another folder.",
    wrong: "artwork \"a\" file=\"../../../photos/a.svg\"",
    right: "kerfbook build a.recipe.kdl --also-read ~/photos",
};

pub(super) static NOT_TEXT: Finding = Finding {
    rule: "source/not-text",
    severity: Severity::Error,
    title: "a recipe or shop file is not UTF-8 text",
    explanation: "KDL files are UTF-8. An editor that saved another encoding, or a picture renamed to `.kdl`, is the usual \
        cause.",
    wrong: "(a file saved as UTF-16)",
    right: "(the same file saved as UTF-8)",
};

pub(super) static NOT_A_RECIPE: Finding = Finding {
    rule: "source/not-a-recipe",
    severity: Severity::Error,
    title: "a drawing or a picture is to be built as if it were a recipe",
    explanation: "What is built is a recipe: a text that says how large an artwork becomes, where it lies and how it is burned. \
        `inspect` lists what an artwork holds.",
    wrong: "kerfbook build art/heron.svg",
    right: "kerfbook build heron.recipe.kdl",
};

pub(super) static USE_CIRCLE: Finding = Finding {
    rule: "source/use-circle",
    severity: Severity::Error,
    title: "files bring in each other in a circle",
    explanation: "A shop file may bring in another, but not in the end itself.",
    wrong: "// a.shop.kdl\nuse \"b.shop.kdl\"\n// b.shop.kdl\nuse \"a.shop.kdl\"",
    right: "// a.shop.kdl\nuse \"b.shop.kdl\"",
};

/// What is to be loaded.
#[derive(Clone, Debug)]
pub struct LoadRequest {
    /// The recipe's file.
    pub path: PathBuf,
    /// `--set` values, in order.
    pub sets: Vec<(String, String)>,
    /// Values for inputs from elsewhere.
    pub given: Vec<Given>,
    /// What the piece is burned on and from instead of what the recipe says.
    pub instead: Instead,
}

/// A machine and a stock in place of those that a recipe names.
#[derive(Clone, Debug, Default)]
pub struct Instead {
    /// The name of a machine of the shop.
    pub machine: Option<String>,
    /// The name of a stock of the shop.
    pub stock: Option<String>,
}

/// A loaded recipe.
#[derive(Debug)]
pub struct Loaded {
    /// The recipe, as far as it could be decoded.
    pub recipe: Recipe,
    /// The name of the recipe's file without its endings.
    pub slug: String,
    /// What was burned from it before, where a journal lies beside it.
    pub journal: Option<Journal>,
}

/// Reads a recipe and everything it uses. `None` when not even its text could be read.
pub fn load(request: &LoadRequest, files: &dyn Files, sources: &mut Sources, sink: &mut Sink) -> Option<Loaded> {
    let shown = shown_path(&request.path);
    if let Some((word, what)) = artwork_by_name(&request.path) {
        sink.push(not_a_recipe(&request.path, word, what, sources));
        return None;
    }
    let slug = slug(&request.path, sink);
    let read = files.open_named(&request.path);
    let file = match read {
        Ok(file) => file,
        Err(error) => {
            sink.push(read_failure(&error, &shown, None));
            return None;
        }
    };
    let root = parse_file(&file, shown, None, sources, sink)?;
    let mut importer = Importer { files, sources, sink, open: vec![file.path.clone()], done: BTreeSet::new() };
    let mut shop = Shop::default();
    importer.import_all(&root, &mut shop);
    let setters = inputs::setters(&request.sets, &request.given, sources);
    if !document::check_language(&root, &mut Reader { scope: &Scope::default(), sink }) {
        return None;
    }
    let input_nodes: Vec<&Node> = children_named(&root, INPUT.name).collect();
    let (inputs, scope) = inputs::decode(&input_nodes, &setters, sink);
    let (mut recipe, repeats) = document::decode(&root, inputs, shop, &mut Reader { scope: &scope, sink });
    put_instead(&mut recipe, &request.instead, sources);
    let mut broken = broken_figures(&root, &recipe);
    let mut from = repeat::From { files, sources, scope: &scope };
    for node in repeats {
        repeat::decode(node, &mut recipe, &mut from, &mut broken, sink);
    }
    recipe.spread_operations();
    names::check(&recipe, &broken, sink);
    let journal = journal_beside((&file.path, &request.path), &slug, files, sources, sink);
    Some(Loaded { recipe, slug, journal })
}

/// The name of the journal of a recipe.
pub fn journal_name(slug: &str) -> String {
    format!("{slug}.journal.kdl")
}

/// Reads the journal beside a recipe, where there is one; the recipe by where it lies, and as it was named.
fn journal_beside(
    (recipe, named): (&Path, &Path),
    slug: &str,
    files: &dyn Files,
    sources: &mut Sources,
    sink: &mut Sink,
) -> Option<Journal> {
    let name = journal_name(slug);
    let file = match files.read(&name, Some(recipe)) {
        Ok(file) => file,
        // Nobody asked for it, so where it cannot be there is nothing to tell.
        Err(ReadError::NotFound { .. } | ReadError::OutsideProject { .. } | ReadError::BadPath { .. }) => {
            return None;
        }
        Err(error) => {
            sink.push(read_failure(&error, &name, None));
            return None;
        }
    };
    let root = parse_file(&file, beside(&shown_path(named), &name), None, sources, sink)?;
    Some(decode_journal(&root, &mut Reader { scope: &Scope::default(), sink }))
}

/// Each name that stands in place of the recipe's becomes a text of its own, so that messages can point into it.
fn put_instead(recipe: &mut Recipe, instead: &Instead, sources: &mut Sources) {
    let mut named = |option: &str, name: &String| {
        let text = name.as_str().into();
        let id = sources.add(Source { name: option.to_owned(), path: None, text, imported_at: None });
        Spanned::new(name.clone(), Span::new(id, 0, name.len()))
    };
    if let Some(machine) = &instead.machine {
        recipe.machine = Some(named("--machine", machine));
    }
    if let Some(stock) = &instead.stock {
        recipe.stock = Some(named("--stock", stock));
    }
}

/// A shop file that was read for itself.
#[derive(Debug)]
pub struct LoadedShop {
    /// What it and the files that it brings in hold.
    pub shop: Shop,
    /// Its own top nodes.
    pub nodes: Vec<Node>,
    /// Its own text.
    pub source: SourceId,
}

/// Reads a shop file and everything it uses. `None` when not even its text could be read.
pub fn load_shop(path: &Path, files: &dyn Files, sources: &mut Sources, sink: &mut Sink) -> Option<LoadedShop> {
    match files.open_named(path) {
        Ok(file) => load_shop_text(&file, path, files, sources, sink),
        Err(error) => {
            sink.push(read_failure(&error, &shown_path(path), None));
            None
        }
    }
}

/// Reads a shop file whose text is at hand; `path` is what it is called in messages.
pub fn load_shop_text(
    file: &FileBytes,
    path: &Path,
    files: &dyn Files,
    sources: &mut Sources,
    sink: &mut Sink,
) -> Option<LoadedShop> {
    let root = parse_file(file, shown_path(path), None, sources, sink)?;
    let mut importer = Importer { files, sources, sink, open: vec![file.path.clone()], done: BTreeSet::new() };
    let mut shop = Shop::default();
    importer.import_all(&root, &mut shop);
    decode_shop(&root, &mut shop, &mut Reader { scope: &Scope::default(), sink });
    Some(LoadedShop { shop, source: root.span.source, nodes: root.children.unwrap_or_default() })
}

/// The node that brings in a file, and what the file is by its ending, where that is an artwork.
fn artwork_by_name(path: &Path) -> Option<(&'static str, &'static str)> {
    match path.extension()?.to_string_lossy().to_ascii_lowercase().as_str() {
        "svg" | "svgz" => Some(("artwork", "a drawing")),
        "png" | "jpg" | "jpeg" | "webp" => Some(("photo", "a picture")),
        _ => None,
    }
}

fn not_a_recipe(path: &Path, word: &str, what: &str, sources: &mut Sources) -> Diagnostic {
    let name = path.file_name().map(|n| n.to_string_lossy().into_owned()).unwrap_or_default();
    let stem = path.file_stem().map(|n| n.to_string_lossy().into_owned()).unwrap_or_default();
    let shown = shown_path(path);
    let id = sources.add(Source { name: shown.clone(), path: None, text: "".into(), imported_at: None });
    let node = format!("{word} \"{stem}\" file=\"{name}\" {{ size width=\"80 mm\" }}");
    Diagnostic::new(&NOT_A_RECIPE, format!("`{shown}` is {what}, and no recipe"))
        .at(Span::new(id, 0, 0), "expected a file named `NAME.recipe.kdl`")
        .because("it says neither how it is burned nor on what")
        .repair(format!(
            "write a recipe with `{node}` in it; `kerfbook inspect {shown}` lists what the file holds"
        ))
}

/// Names of figures that are written but could not be decoded: they have been reported, so references to
/// them say nothing more.
fn broken_figures(root: &Node, recipe: &Recipe) -> BTreeSet<String> {
    FIGURES
        .iter()
        .flat_map(|(spec, _)| children_named(root, spec.name))
        .map(|node| match node.arguments.first().and_then(|v| v.text()) {
            Some(name) => name.to_owned(),
            None => node.name.value.clone(),
        })
        .filter(|name| recipe.figure(name).is_none())
        .collect()
}

fn children_named<'a>(root: &'a Node, name: &'a str) -> impl Iterator<Item = &'a Node> {
    root.children.iter().flatten().filter(move |n| n.name.value == name)
}

/// The path as it is shown in messages and reports: relative to where the command runs if possible, with `/`.
fn shown_path(path: &Path) -> String {
    path.to_string_lossy().replace('\\', "/")
}

fn slug(path: &Path, sink: &mut Sink) -> String {
    let name = path.file_name().map(|n| n.to_string_lossy().into_owned()).unwrap_or_default();
    name.strip_suffix(".recipe.kdl").filter(|s| !s.is_empty()).map_or_else(
        || {
            sink.push(
                Diagnostic::new(&WRONG_FILE_NAME, format!("`{name}` is not named as recipes are"))
                    .repair(format!("name it `{}.recipe.kdl`", name.trim_end_matches(".kdl"))),
            );
            name.clone()
        },
        str::to_owned,
    )
}

/// Parses a file into a node that stands for the whole text.
fn parse_file(
    file: &FileBytes,
    name: String,
    imported_at: Option<Span>,
    sources: &mut Sources,
    sink: &mut Sink,
) -> Option<Node> {
    let text: Arc<str> = match std::str::from_utf8(&file.bytes) {
        Ok(text) => text.into(),
        Err(error) => {
            let readable = String::from_utf8_lossy(&file.bytes[..error.valid_up_to()]);
            let line = readable.matches('\n').count() + 1;
            let message = format!("`{name}` is not UTF-8 text");
            let id = sources.add(Source { name, path: Some(file.path.clone()), text: "".into(), imported_at });
            sink.push(
                Diagnostic::new(&NOT_TEXT, message)
                    .at(Span::new(id, 0, 0), format!("line {line} holds bytes that are none"))
                    .repair("save it as UTF-8 in a text editor"),
            );
            return None;
        }
    };
    let id = sources.add(Source { name, path: Some(file.path.clone()), text: Arc::clone(&text), imported_at });
    syntax::parse(id, &text, sink).map(Document::into_file)
}

/// Brings in shop files.
struct Importer<'a> {
    files: &'a dyn Files,
    sources: &'a mut Sources,
    sink: &'a mut Sink,
    /// The files being read, outermost first.
    open: Vec<PathBuf>,
    /// Files that have been brought in; a second `use` of one adds nothing.
    done: BTreeSet<PathBuf>,
}

impl Importer<'_> {
    fn import_all(&mut self, root: &Node, shop: &mut Shop) {
        for node in children_named(root, USE.name) {
            let scope = Scope::default();
            let path = Reader { scope: &scope, sink: &mut *self.sink }.read(node, &USE).text("path");
            if let Some(path) = path {
                self.import(&path.text, path.span, shop);
            }
        }
    }

    fn import(&mut self, path: &str, span: Span, shop: &mut Shop) {
        let from = self.sources.get(span.source).path.clone();
        let file = match self.files.read(path, from.as_deref()) {
            Ok(file) => file,
            Err(error) => {
                self.sink.push(read_failure(&error, path, Some(span)));
                shop.is_torn = true;
                return;
            }
        };
        if let Some(start) = self.open.iter().position(|p| *p == file.path) {
            self.circle(start, &file.path, span);
            return;
        }
        if !self.done.insert(file.path.clone()) {
            return;
        }
        let name = beside(&self.sources.get(span.source).name, path);
        let Some(root) = parse_file(&file, name, Some(span), self.sources, self.sink) else {
            shop.is_torn = true;
            return;
        };
        self.open.push(file.path);
        self.import_all(&root, shop);
        self.open.pop();
        let scope = Scope::default();
        decode_shop(&root, shop, &mut Reader { scope: &scope, sink: &mut *self.sink });
    }

    fn circle(&mut self, start: usize, path: &Path, span: Span) {
        let name = |p: &PathBuf| p.file_name().map(|n| n.to_string_lossy().into_owned()).unwrap_or_default();
        let mut trail: Vec<String> = self.open[start..].iter().map(name).collect();
        trail.push(name(&path.to_path_buf()));
        self.sink.push(
            Diagnostic::new(&USE_CIRCLE, "these files bring in each other in a circle".to_owned())
                .at(span, trail.join(" uses "))
                .repair("remove one of the `use` nodes"),
        );
    }
}

/// The name of a file that stands at `path` seen from the file `name`.
pub(super) fn beside(name: &str, path: &str) -> String {
    let mut parts: Vec<&str> = name.split('/').collect();
    parts.pop();
    for part in path.split('/') {
        match part {
            "." => {}
            ".." if parts.last().is_some_and(|p| *p != "..") => {
                parts.pop();
            }
            other => parts.push(other),
        }
    }
    parts.join("/")
}

/// The finding for a file that could not be read.
pub fn read_failure(error: &ReadError, path: &str, span: Option<Span>) -> Diagnostic {
    let rule = if matches!(error, ReadError::OutsideProject { .. }) { &OUTSIDE_PROJECT } else { &UNREADABLE };
    let (message, repair) = match error {
        ReadError::NotFound { near } if near.is_empty() => {
            let repair =
                "put it there, or correct the path: it counts from the folder of the file that it stands in";
            (format!("there is no file `{path}`"), Some(repair.to_owned()))
        }
        ReadError::NotFound { near } => {
            let names = quoted_list(near.iter().map(String::as_str), "and");
            (format!("there is no file `{path}`"), Some(format!("in that folder there is {names}")))
        }
        ReadError::NotAFile => (format!("`{path}` is not a regular file"), None),
        ReadError::TooLarge { bytes } => {
            (format!("`{path}` is {} MB large; at most 256 MB are read", bytes / 1_048_576), None)
        }
        ReadError::OutsideProject { root, real } => (
            format!("`{path}` leads out of the project"),
            Some(format!(
                "put the file below `{}`, or allow its folder with `--also-read {}`",
                shown_path(root),
                real.parent().map(shown_path).unwrap_or_default()
            )),
        ),
        ReadError::BadPath { why } => (format!("`{path}` is no portable path: {why}"), None),
        ReadError::Failed { why } => (format!("`{path}` cannot be read: {why}"), None),
    };
    let mut diagnostic = Diagnostic::new(rule, message);
    if let Some(span) = span {
        diagnostic = diagnostic.at(span, "named here");
    }
    match repair {
        Some(repair) => diagnostic.repair(repair),
        None => diagnostic,
    }
}
