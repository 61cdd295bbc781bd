//! The figures in a report, and what they were made of.

use super::Number;
use super::job::{BoxReport, PointReport, SizeReport};
use crate::plan::MendKind;
use schemars::{JsonSchema, Schema, SchemaGenerator, json_schema};
use serde::Serialize;

/// A figure.
#[derive(Debug, Serialize, JsonSchema)]
#[schemars(rename = "Figure", deny_unknown_fields)]
pub struct FigureReport<'a> {
    /// Its name.
    pub name: &'a str,
    /// The recipe word it was made with.
    pub kind: &'static str,
    /// The box it takes on the sheet; null when it is empty.
    pub bounds: Option<BoxReport>,
    /// Its inked area.
    pub area_mm2: Number,
    /// How many closed outlines and lines it has.
    pub outlines: usize,
    /// The numbers of an inlay; null for all other figures.
    pub inlay: Option<InlayReport<'a>>,
    /// How it was traced; null for all figures that are no traced picture.
    pub trace: Option<TraceReport>,
    /// What was mended in it, in the order in which the mends took effect.
    pub mends: Vec<MendReport>,
}

/// How a picture was traced.
#[derive(Debug, Serialize, JsonSchema)]
#[schemars(rename = "Trace", deny_unknown_fields)]
pub struct TraceReport {
    /// What was read in it.
    #[schemars(schema_with = "readings")]
    pub reading: &'static str,
    /// What kind of picture it is, in words.
    pub picture: &'static str,
    /// What counted as drawn, from paper (0) to black (100).
    pub threshold_percent: Number,
    /// How wide a pixel becomes on the piece.
    pub pixel_mm: Number,
    /// Specks and pinholes that were left out.
    pub specks: usize,
    /// The areas that its seams part, what lies about the drawing among them; null for other readings.
    pub areas: Option<usize>,
    /// The width of its lines as drawn: half of them are at most as wide. Null for outlines.
    pub line_width_mm: Option<Number>,
}

/// What one mend of an artwork has changed.
#[derive(Debug, Serialize, JsonSchema)]
#[schemars(rename = "Mend", deny_unknown_fields)]
pub struct MendReport {
    /// Which mend, as the recipe writes it.
    #[schemars(schema_with = "mends")]
    pub mend: &'static str,
    /// Up to which length it went; null for crossings, which know none.
    pub up_to_mm: Option<Number>,
    /// In how many places it changed something.
    pub places: usize,
    /// The size of the greatest of them: how wide a gap, how long a stretch or loop, how far off a stray part.
    pub greatest_mm: Option<Number>,
    /// Where that is.
    pub at: Option<PointReport>,
    /// By how much outlines and lines together became longer.
    pub length_change_mm: Number,
    /// By how much the inked area became larger.
    pub area_change_mm2: Number,
    /// Segments before it.
    pub segments_before: usize,
    /// Segments after it.
    pub segments_after: usize,
}

/// The insert or the pocket of a figure.
#[derive(Debug, Serialize, JsonSchema)]
#[schemars(rename = "Inlay", deny_unknown_fields)]
pub struct InlayReport<'a> {
    /// The figure that is inlaid.
    pub of: &'a str,
    /// Which of the two it is.
    #[schemars(schema_with = "pieces")]
    pub piece: &'static str,
    /// The gap between insert and pocket on each side; negative where the insert is pressed in.
    pub gap_mm: Number,
    /// Kerf of the insert's stock.
    pub insert_kerf_mm: Number,
    /// Kerf of the pocket's stock.
    pub pocket_kerf_mm: Number,
    /// Size of the insert, or of the opening, after burning.
    pub finished: SizeReport,
}

fn mends(_: &mut SchemaGenerator) -> Schema {
    json_schema!({ "enum": MendKind::ALL.map(MendKind::word) })
}

fn readings(_: &mut SchemaGenerator) -> Schema {
    json_schema!({ "enum": ["outlines", "centre-lines", "seams"] })
}

fn pieces(_: &mut SchemaGenerator) -> Schema {
    json_schema!({ "type": "string", "enum": ["insert", "pocket"] })
}
