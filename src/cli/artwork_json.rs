//! What an artwork file holds, as JSON for programs: `inspect FILE.svg --message-format json`.

use crate::diagnostics::Diagnostic;
use crate::intake::picture::pixels_of;
use crate::intake::svg::{EmbeddedPicture, Inventory};
use crate::outputs::report::{FoundReport, Number};
use crate::source::Sources;
use kurbo::Rect;
use schemars::JsonSchema;
use schemars::generate::SchemaSettings;
use serde::Serialize;
use std::collections::BTreeMap;

/// What an artwork file holds.
#[derive(Debug, Serialize, JsonSchema)]
#[schemars(deny_unknown_fields)]
pub struct ArtworkReport<'a> {
    /// The file.
    pub file: &'a str,
    /// The drawing in it; null for a picture made of pixels.
    pub drawing: Option<DrawingReport<'a>>,
    /// The picture that it is; null for a drawing.
    pub picture: Option<PictureReport>,
    /// What is wrong with it, and what would be lost.
    pub findings: Vec<FoundReport<'a>>,
}

/// A drawing.
#[derive(Debug, Serialize, JsonSchema)]
#[schemars(deny_unknown_fields)]
pub struct DrawingReport<'a> {
    /// Its page, in millimetres; null where it has none. Without a physical size, pixels count as 1/96 inch.
    pub page_mm: Option<BoxReport>,
    /// Whether it says how large it is in units of length.
    pub has_physical_size: bool,
    /// The box around all that it draws, from the left top corner of its page, in millimetres.
    pub drawn_mm: Option<BoxReport>,
    /// How many elements of each tag it draws.
    pub counts: &'a BTreeMap<String, usize>,
    /// Its named parts, each after the part that it stands in.
    pub parts: Vec<PartReport<'a>>,
    /// Its flat colours, as painted, parts hidden beneath others counted in.
    pub colours: Vec<ColourReport>,
    /// Its texts.
    pub texts: Vec<TextReport<'a>>,
    /// Pictures embedded in it.
    pub pictures: Vec<EmbeddedReport<'a>>,
}

/// A box.
#[derive(Debug, Serialize, JsonSchema)]
#[schemars(deny_unknown_fields)]
pub struct BoxReport {
    /// Left edge.
    pub left: Number,
    /// Top edge.
    pub top: Number,
    /// Width.
    pub width: Number,
    /// Height.
    pub height: Number,
}

/// A part that can be taken.
#[derive(Debug, Serialize, JsonSchema)]
#[schemars(deny_unknown_fields)]
pub struct PartReport<'a> {
    /// A selector that finds it.
    pub selector: &'a str,
    /// The name that its editor shows.
    pub label: Option<&'a str>,
    /// Its tag.
    pub tag: &'a str,
    /// Named parts around it.
    pub depth: usize,
    /// Shapes, texts and pictures in it.
    pub shapes: usize,
}

/// A colour.
#[derive(Debug, Serialize, JsonSchema)]
#[schemars(deny_unknown_fields)]
pub struct ColourReport {
    /// As `#rrggbb`.
    pub colour: String,
    /// `fill` or `stroke`.
    pub paints: &'static str,
    /// Shapes that are painted with it.
    pub shapes: usize,
    /// The area that it fills; null for strokes.
    pub area_mm2: Option<Number>,
    /// The length that it strokes; null for fills.
    pub length_mm: Option<Number>,
    /// The selector that finds it.
    pub selector: String,
}

/// A text.
#[derive(Debug, Serialize, JsonSchema)]
#[schemars(deny_unknown_fields)]
pub struct TextReport<'a> {
    /// `#id`, or tag and line.
    pub element: &'a str,
    /// What it says.
    pub text: &'a str,
    /// The font families it asks for.
    pub family: Option<&'a str>,
}

/// An embedded picture.
#[derive(Debug, Serialize, JsonSchema)]
#[schemars(deny_unknown_fields)]
pub struct EmbeddedReport<'a> {
    /// `#id`, or tag and line.
    pub element: &'a str,
    /// Its size in bytes; null when it cannot be unpacked.
    pub bytes: Option<usize>,
    /// Pixels in a row, as they are stored; null when its header cannot be read.
    pub width_px: Option<u32>,
    /// Rows, as they are stored; null when its header cannot be read.
    pub height_px: Option<u32>,
    /// Why it cannot be unpacked.
    pub fault: Option<&'a str>,
    /// The box that it fits into.
    pub frame_mm: Option<BoxReport>,
}

/// A picture made of pixels.
#[derive(Debug, Serialize, JsonSchema)]
#[schemars(deny_unknown_fields)]
pub struct PictureReport {
    /// `PNG`, `JPEG` or `WebP`, by its content.
    pub kind: String,
    /// Pixels in a row, upright.
    pub width_px: usize,
    /// Rows, upright.
    pub height_px: usize,
}

fn boxed(frame: Rect) -> BoxReport {
    BoxReport {
        left: Number::new(frame.x0),
        top: Number::new(frame.y0),
        width: Number::new(frame.width()),
        height: Number::new(frame.height()),
    }
}

fn written(report: &ArtworkReport) -> String {
    // Strings and numbers only: this cannot fail.
    let mut text = serde_json::to_string_pretty(report).unwrap_or_default();
    text.push('\n');
    text
}

/// What a drawing holds.
pub fn artwork_json<'a>(
    file: &str,
    held: &Inventory,
    findings: impl Iterator<Item = &'a Diagnostic>,
    sources: &Sources,
) -> String {
    let artwork = held.artwork.as_ref();
    let colour = |used: &crate::intake::svg::ColourUse| {
        let [r, g, b] = used.colour;
        let (colour, paints) = (format!("#{r:02x}{g:02x}{b:02x}"), if used.is_stroke { "stroke" } else { "fill" });
        ColourReport {
            selector: format!("[{paints}=\"{colour}\"]"),
            colour,
            paints,
            shapes: used.shapes,
            area_mm2: (!used.is_stroke).then(|| Number::new(used.extent)),
            length_mm: used.is_stroke.then(|| Number::new(used.extent)),
        }
    };
    let drawing = DrawingReport {
        page_mm: artwork.and_then(|a| a.page).map(boxed),
        has_physical_size: artwork.is_some_and(|a| a.physical_size.is_some()),
        drawn_mm: artwork.and_then(|a| a.drawing.bounds()).map(boxed),
        counts: &held.counts,
        parts: held
            .parts
            .iter()
            .map(|p| PartReport {
                selector: &p.selector,
                label: p.label.as_deref(),
                tag: &p.tag,
                depth: p.depth,
                shapes: p.shapes,
            })
            .collect(),
        colours: artwork.map_or(&[][..], |a| &a.colours).iter().map(colour).collect(),
        texts: held
            .texts
            .iter()
            .map(|t| TextReport { element: &t.element, text: &t.text, family: t.family.as_deref() })
            .collect(),
        pictures: held.pictures.iter().map(embedded).collect(),
    };
    let findings = findings.map(|found| FoundReport::of(found, sources)).collect();
    written(&ArtworkReport { file, drawing: Some(drawing), picture: None, findings })
}

fn embedded(picture: &EmbeddedPicture) -> EmbeddedReport<'_> {
    let pixels = picture.bytes.as_ref().ok().and_then(pixels_of);
    EmbeddedReport {
        element: &picture.element,
        bytes: picture.bytes.as_ref().ok().map(|b| b.len()),
        width_px: pixels.map(|p| p.0),
        height_px: pixels.map(|p| p.1),
        fault: picture.bytes.as_ref().err().map(String::as_str),
        frame_mm: picture.frame.map(boxed),
    }
}

/// What a picture is.
pub fn picture_json<'a>(
    file: &str,
    kind: &str,
    (width_px, height_px): (usize, usize),
    findings: impl Iterator<Item = &'a Diagnostic>,
    sources: &Sources,
) -> String {
    let picture = Some(PictureReport { kind: kind.to_owned(), width_px, height_px });
    let findings = findings.map(|found| FoundReport::of(found, sources)).collect();
    written(&ArtworkReport { file, drawing: None, picture, findings })
}

/// The JSON Schema (2020-12) of both, as it stands in `schema/artwork.schema.json`.
pub fn artwork_schema() -> String {
    let generator = SchemaSettings::draft2020_12().for_serialize().into_generator();
    let schema = generator.into_root_schema_for::<ArtworkReport>();
    format!("{:#}\n", schema.as_value())
}
