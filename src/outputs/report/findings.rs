//! Findings as they stand in a report.

use super::Number;
use super::job::PointReport;
use crate::diagnostics::{ArtworkPlace, Diagnostic, Label, Severity};
use crate::source::{Sources, Span};
use schemars::{JsonSchema, Schema, SchemaGenerator, json_schema};
use serde::Serialize;

/// One finding at one place.
#[derive(Debug, Serialize, JsonSchema)]
#[schemars(rename = "Diagnostic", deny_unknown_fields)]
pub struct FoundReport<'a> {
    /// Stable name of the rule, `area/what-is-wrong`.
    #[schemars(pattern(r"^[a-z0-9-]+/[a-z0-9-]+$"))]
    pub rule: &'static str,
    /// How much it matters.
    #[schemars(schema_with = "severities")]
    pub severity: &'static str,
    /// What is wrong.
    pub message: &'a str,
    /// The place it is about; null for findings about the whole invocation.
    pub place: Option<LabelReport<'a>>,
    /// Other places that have to do with it.
    pub others: Vec<LabelReport<'a>>,
    /// Places in artwork.
    pub artwork: Vec<ArtworkReport<'a>>,
    /// What would happen at the machine or to the output.
    pub consequence: Option<&'a str>,
    /// How to mend it.
    pub repair: Option<RepairReport<'a>>,
    /// The reason of the `allow` that accepts it; null when none does.
    pub accepted_because: Option<&'a str>,
}

/// A place in a text.
#[derive(Debug, Serialize, JsonSchema)]
#[schemars(rename = "Place", deny_unknown_fields)]
pub struct PlaceReport<'a> {
    /// The file, as it is named in messages.
    pub file: &'a str,
    /// Line of its start, from 1.
    pub line: usize,
    /// Column of its start in characters, from 1.
    pub column: usize,
    /// Line of its end, from 1.
    pub end_line: usize,
    /// Column of the first character after it, from 1.
    pub end_column: usize,
}

/// A place in a text and what is said of it.
#[derive(Debug, Serialize, JsonSchema)]
#[schemars(rename = "Label", deny_unknown_fields)]
pub struct LabelReport<'a> {
    /// The place.
    #[serde(flatten)]
    pub place: PlaceReport<'a>,
    /// What is said of it.
    pub text: &'a str,
}

/// A place in an artwork file.
#[derive(Debug, Serialize, JsonSchema)]
#[schemars(rename = "ArtworkPlace", deny_unknown_fields)]
pub struct ArtworkReport<'a> {
    /// The file, as the recipe names it.
    pub file: &'a str,
    /// The element.
    pub element: Option<&'a str>,
    /// Line in the file, from 1.
    pub line: Option<usize>,
    /// Column in the file, from 1.
    pub column: Option<usize>,
    /// Where it lies on the sheet.
    pub at: Option<PointReport>,
}

/// How to mend a finding.
#[derive(Debug, Serialize, JsonSchema)]
#[schemars(rename = "Repair", deny_unknown_fields)]
pub struct RepairReport<'a> {
    /// What to do, in words.
    pub text: &'a str,
    /// The exact replacement, where it is sure.
    pub edit: Option<EditReport<'a>>,
}

/// A replacement of text.
#[derive(Debug, Serialize, JsonSchema)]
#[schemars(rename = "Edit", deny_unknown_fields)]
pub struct EditReport<'a> {
    /// What is replaced.
    pub place: PlaceReport<'a>,
    /// What stands there afterwards.
    pub replacement: &'a str,
}

impl<'a> PlaceReport<'a> {
    /// Where a span lies.
    pub fn of(span: Span, sources: &'a Sources) -> Self {
        let start = sources.position(span.source, span.start);
        let end = sources.position(span.source, span.end);
        Self {
            file: &sources.get(span.source).name,
            line: start.line,
            column: start.column,
            end_line: end.line,
            end_column: end.column,
        }
    }
}

impl<'a> FoundReport<'a> {
    /// A finding, its places looked up.
    pub fn of(found: &'a Diagnostic, sources: &'a Sources) -> Self {
        Self {
            rule: found.finding.rule,
            severity: found.severity.word(),
            message: &found.message,
            place: found.primary.as_ref().map(|l| label(l, sources)),
            others: found.others.iter().map(|l| label(l, sources)).collect(),
            artwork: found.artwork.iter().map(artwork).collect(),
            consequence: found.consequence.as_deref(),
            repair: found.repair.as_ref().map(|repair| RepairReport {
                text: &repair.text,
                edit: repair
                    .edit
                    .as_ref()
                    .map(|(span, replacement)| EditReport { place: PlaceReport::of(*span, sources), replacement }),
            }),
            accepted_because: found.accepted.as_deref(),
        }
    }
}

fn label<'a>(label: &'a Label, sources: &'a Sources) -> LabelReport<'a> {
    LabelReport { place: PlaceReport::of(label.span, sources), text: &label.text }
}

fn artwork(place: &ArtworkPlace) -> ArtworkReport<'_> {
    ArtworkReport {
        file: &place.file,
        element: place.element.as_deref(),
        line: place.position.map(|p| p.0),
        column: place.position.map(|p| p.1),
        at: place.at.map(|p| PointReport { x_mm: Number::new(p.x), y_mm: Number::new(p.y) }),
    }
}

fn severities(_: &mut SchemaGenerator) -> Schema {
    let all = [Severity::Error, Severity::Warning, Severity::Advice];
    json_schema!({ "type": "string", "enum": all.map(Severity::word) })
}
