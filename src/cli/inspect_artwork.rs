//! `inspect` of an artwork file: what a drawing or a picture holds, and the words that take it apart.

use super::artwork_json::{artwork_json, picture_json};
use super::{CompileArguments, MessageFormat, Outcome, print_findings_of, say};
use crate::diagnostics::{Severity, Sink};
use crate::intake::picture::{AN_SVG, Format, pixels_of};
use crate::intake::svg::{Inventory, SvgRequest, inventory};
use crate::intake::{PictureRequest, read_picture};
use crate::recipe::read_failure;
use crate::source::{DiskFiles, Files, Source, Sources, Span};
use crate::units::number::fixed;
use kurbo::Rect;
use std::fmt::Write;
use std::path::Path;

/// Lines of one list that people are shown.
const SHOWN: usize = 16;
/// Lines of a laser that a picture's size is told for, in a millimetre.
const LINES_PER_MM: f64 = 10.0;

/// Whether a file is an artwork and no recipe.
pub(super) fn is_artwork(path: &Path) -> bool {
    path.extension().is_none_or(|e| !e.eq_ignore_ascii_case("kdl"))
}

pub(super) fn run(arguments: &CompileArguments) -> Outcome {
    let files = DiskFiles::new(Path::new("."), &[]);
    let path = arguments.recipe.display().to_string();
    let opened = files.open_named(&arguments.recipe);
    // Findings point at what named the file, which here is the command.
    let mut sources = Sources::default();
    let text = format!("inspect {path}");
    let end = text.len();
    let id =
        sources.add(Source { name: "the command".to_owned(), path: None, text: text.into(), imported_at: None });
    let node = Span::new(id, "inspect ".len(), end);
    let name = arguments.recipe.file_name().map_or_else(|| path.clone(), |n| n.to_string_lossy().into_owned());
    let mut sink = Sink::new();
    let file = match opened {
        Ok(file) => file,
        Err(error) => {
            sink.push(read_failure(&error, &path, Some(node)));
            print_findings_of(&sink, &sources, arguments.message_format);
            return Outcome::RecipeErrors;
        }
    };
    let json = arguments.message_format != MessageFormat::Human;
    let shown = if is_drawing(&arguments.recipe, &file.bytes) {
        let request = SvgRequest::new(&name, &file.bytes, node);
        inventory(&request, &mut sink).map(|held| {
            if json { artwork_json(&name, &held, sink.iter(), &sources) } else { drawing(&name, &held) }
        })
    } else {
        let request = PictureRequest { file: &name, bytes: &file.bytes, node };
        read_picture(&request, &mut sink).map(|read| {
            let size = (read.width, read.height);
            let kind = Format::of(&file.bytes).name();
            if json { picture_json(&name, kind, size, sink.iter(), &sources) } else { picture(&name, kind, size) }
        })
    };
    if let Some(text) = &shown {
        say(&mut std::io::stdout(), text);
    }
    if shown.is_none() || !json {
        print_findings_of(&sink, &sources, arguments.message_format);
    }
    let denied = arguments.deny.is_some() && sink.count(Severity::Warning) > 0;
    if sink.has_errors() || denied { Outcome::RecipeErrors } else { Outcome::Done }
}

/// Endings of files that are meant as pictures, whatever they hold.
const PICTURES: [&str; 10] = ["png", "jpg", "jpeg", "webp", "gif", "tif", "tiff", "bmp", "heic", "avif"];

/// Whether a file is to be read as a drawing: it holds no picture, and neither its name nor its first bytes say that it
/// was meant as something else.
fn is_drawing(path: &Path, bytes: &[u8]) -> bool {
    let ending = path.extension().map(|e| e.to_string_lossy().to_ascii_lowercase()).unwrap_or_default();
    let is_meant_as_picture = PICTURES.contains(&ending.as_str());
    match Format::of(bytes) {
        Format::Other(AN_SVG) => true,
        Format::Other(_) => !is_meant_as_picture && Format::certainly_other(bytes).is_none(),
        _ => false,
    }
}

fn picture(name: &str, kind: &str, (width, height): (usize, usize)) -> String {
    let mm = |pixels: usize| fixed(pixels as f64 / LINES_PER_MM, 1);
    format!(
        "{name}\n  picture  {kind}, {width} x {height} pixels\n  burned   {} x {} mm at {LINES_PER_MM} lines in a millimetre, one line a pixel\n",
        mm(width),
        mm(height)
    )
}

fn size(frame: Rect) -> String {
    format!("{} x {} mm", fixed(frame.width(), 2), fixed(frame.height(), 2))
}

fn plural(count: usize, one: &str) -> String {
    format!("{count} {one}{}", if count == 1 { "" } else { "s" })
}

fn drawing(name: &str, held: &Inventory) -> String {
    let mut text = format!("{name}\n");
    if let Some(artwork) = &held.artwork {
        match (artwork.page, artwork.physical_size) {
            (Some(page), Some(_)) => drop(writeln!(text, "  page     {}", size(page))),
            (Some(page), None) => drop(writeln!(
                text,
                "  page     no physical size: {} at 1/96 in a pixel, so the recipe has to give one",
                size(page)
            )),
            (None, _) => drop(writeln!(text, "  page     none: the recipe has to give a size")),
        }
        if let Some(frame) = artwork.drawing.bounds() {
            let from = (fixed(frame.x0, 2), fixed(frame.y0, 2));
            let _ = writeln!(
                text,
                "  drawing  {}, {} mm from the left, {} mm from the top",
                size(frame),
                from.0,
                from.1
            );
        }
    }
    let counts: Vec<String> = held.counts.iter().map(|(tag, n)| plural(*n, tag)).collect();
    let _ = writeln!(
        text,
        "  holds    {}",
        if counts.is_empty() { "nothing drawn".to_owned() } else { counts.join(", ") }
    );
    parts(&mut text, held);
    colours(&mut text, held);
    texts(&mut text, held);
    pictures(&mut text, name, held);
    text
}

/// A list under its title; of long ones only the start and a count.
fn list(text: &mut String, title: &str, lines: &[String]) {
    if lines.is_empty() {
        return;
    }
    let _ = writeln!(text, "\n{title}");
    for line in lines.iter().take(SHOWN) {
        let _ = writeln!(text, "  {}", line.trim_end());
    }
    if lines.len() > SHOWN {
        let _ = writeln!(text, "  … and {} more", lines.len() - SHOWN);
    }
}

fn parts(text: &mut String, held: &Inventory) {
    let line = |part: &crate::intake::svg::PartListed| {
        let name = format!("{}{}", "  ".repeat(part.depth.min(8)), part.selector);
        let label = part.label.as_ref().filter(|l| !part.selector.contains(l.as_str()));
        let label = label.map_or_else(String::new, |l| format!("“{l}”"));
        let shapes =
            if part.tag == "g" || part.tag == "svg" { plural(part.shapes, "shape") } else { part.tag.clone() };
        format!("{name:<32} {shapes:<12} {label}")
    };
    // The outer parts come first where not all can be shown.
    let deepest = (0..8).rev().find(|d| held.parts.iter().filter(|p| p.depth <= *d).count() <= SHOWN).unwrap_or(0);
    let shown: Vec<String> = held.parts.iter().filter(|p| p.depth <= deepest).map(line).collect();
    let hidden = held.parts.len() - shown.len();
    list(text, "parts", &shown);
    if hidden > 0 && shown.len() <= SHOWN {
        let _ = writeln!(text, "  … and {hidden} more inside these");
    }
}

fn colours(text: &mut String, held: &Inventory) {
    let Some(artwork) = &held.artwork else { return };
    let lines: Vec<String> = artwork
        .colours
        .iter()
        .map(|used| {
            let (word, much) = if used.is_stroke {
                ("stroke", format!("{} mm", fixed(used.extent, 1)))
            } else {
                ("fill", format!("{} mm²", fixed(used.extent, 1)))
            };
            let [r, g, b] = used.colour;
            let colour = format!("#{r:02x}{g:02x}{b:02x}");
            let shapes = plural(used.shapes, "shape");
            format!("{colour}  {word:<6}  {shapes:>10}  {much:>13}   take \"[{word}=\\\"{colour}\\\"]\"")
        })
        .collect();
    list(text, "colours", &lines);
}

fn texts(text: &mut String, held: &Inventory) {
    let lines: Vec<String> = held
        .texts
        .iter()
        .map(|t| {
            let family = t.family.as_deref().unwrap_or("no font named");
            format!("{:<16} “{}”, {family}", t.element, t.text)
        })
        .collect();
    list(text, "text (outlined once the recipe names its fonts)", &lines);
}

fn pictures(text: &mut String, name: &str, held: &Inventory) {
    let lines: Vec<String> = held
        .pictures
        .iter()
        .map(|p| {
            let what = match &p.bytes {
                Ok(bytes) => {
                    let size = pixels_of(bytes).map_or_else(String::new, |(w, h)| format!(", {w} x {h} pixels"));
                    format!("{}{size}", Format::of(bytes).name())
                }
                Err(why) => why.clone(),
            };
            let frame = p.frame.map_or_else(String::new, |f| format!(", in {}", size(f)));
            let how = if p.element.starts_with('#') && p.bytes.is_ok() {
                format!("   photo \"…\" file=\"{name}\" element=\"{}\"", p.element)
            } else {
                String::new()
            };
            format!("{:<16} {what}{frame}{how}", p.element)
        })
        .collect();
    list(text, "pictures", &lines);
}
