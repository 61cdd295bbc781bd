//! Findings for programs: one JSON object a line, and a closing one that counts them.

use super::wording::Counts;
use crate::diagnostics::{ArtworkPlace, Diagnostic, Label};
use crate::source::{Position, Sources, Span};
use serde::Serialize;

/// Version of the shape of the objects; raised when a field changes its meaning or goes.
pub const JSON_SCHEMA: u32 = 1;

/// Writes one object a finding and a closing summary, each on a line of its own.
///
/// Lines and columns count from 1, columns in characters; `offset` counts bytes from the start of the file.
pub fn json<'a>(diagnostics: impl IntoIterator<Item = &'a Diagnostic>, sources: &'a Sources) -> String {
    json_of_all(diagnostics.into_iter().map(|diagnostic| (diagnostic, sources)))
}

/// The same for the findings of several builds, each with its own texts.
pub fn json_of_all<'a>(diagnostics: impl IntoIterator<Item = (&'a Diagnostic, &'a Sources)>) -> String {
    let mut counts = Counts::default();
    let mut text = String::new();
    let mut line = |object: Line| {
        // Strings and numbers only: this cannot fail.
        text.push_str(&serde_json::to_string(&object).unwrap_or_default());
        text.push('\n');
    };
    for (diagnostic, sources) in diagnostics {
        counts.add(diagnostic);
        line(Line::Finding(Box::new(finding(diagnostic, sources))));
    }
    let Counts { errors, warnings, advice, accepted } = counts;
    line(Line::Summary { schema: JSON_SCHEMA, errors, warnings, advice, accepted });
    text
}

#[derive(Serialize)]
#[serde(tag = "kind", rename_all = "kebab-case")]
enum Line<'a> {
    Finding(Box<FindingLine<'a>>),
    Summary { schema: u32, errors: usize, warnings: usize, advice: usize, accepted: usize },
}

#[derive(Serialize)]
struct FindingLine<'a> {
    schema: u32,
    rule: &'static str,
    severity: &'static str,
    message: &'a str,
    #[serde(flatten)]
    place: Option<Place<'a>>,
    label: Option<&'a str>,
    labels: Vec<LabelObject<'a>>,
    imported_at: Vec<Place<'a>>,
    artwork: Vec<Artwork<'a>>,
    consequence: Option<&'a str>,
    repair: Option<RepairObject<'a>>,
    accepted: Option<&'a str>,
}

#[derive(Serialize)]
struct Place<'a> {
    file: &'a str,
    start: Point,
    end: Point,
}

#[derive(Serialize)]
struct Point {
    line: usize,
    column: usize,
    offset: usize,
}

#[derive(Serialize)]
struct LabelObject<'a> {
    #[serde(flatten)]
    place: Place<'a>,
    text: &'a str,
}

#[derive(Serialize)]
struct Artwork<'a> {
    file: &'a str,
    element: Option<&'a str>,
    line: Option<usize>,
    column: Option<usize>,
    x_mm: Option<f64>,
    y_mm: Option<f64>,
}

#[derive(Serialize)]
struct RepairObject<'a> {
    text: &'a str,
    edits: Vec<LabelObject<'a>>,
}

fn finding<'a>(diagnostic: &'a Diagnostic, sources: &'a Sources) -> FindingLine<'a> {
    let primary = diagnostic.primary.as_ref();
    FindingLine {
        schema: JSON_SCHEMA,
        rule: diagnostic.finding.rule,
        severity: diagnostic.severity.word(),
        message: &diagnostic.message,
        place: primary.map(|l| place(l.span, sources)),
        label: primary.map(|l| l.text.as_str()),
        labels: diagnostic.others.iter().map(|l| label(l, sources)).collect(),
        imported_at: primary.map(|l| trail(l.span, sources)).unwrap_or_default(),
        artwork: diagnostic.artwork.iter().map(artwork).collect(),
        consequence: diagnostic.consequence.as_deref(),
        repair: diagnostic.repair.as_ref().map(|repair| RepairObject {
            text: &repair.text,
            edits: repair
                .edit
                .iter()
                .map(|(span, text)| LabelObject { place: place(*span, sources), text })
                .collect(),
        }),
        accepted: diagnostic.accepted.as_deref(),
    }
}

fn place(span: Span, sources: &Sources) -> Place<'_> {
    let point = |offset: usize| {
        let Position { line, column } = sources.position(span.source, offset);
        Point { line, column, offset }
    };
    Place { file: &sources.get(span.source).name, start: point(span.start), end: point(span.end) }
}

fn label<'a>(label: &'a Label, sources: &'a Sources) -> LabelObject<'a> {
    LabelObject { place: place(label.span, sources), text: &label.text }
}

fn trail(span: Span, sources: &Sources) -> Vec<Place<'_>> {
    super::human::trail(span, sources).into_iter().map(|span| place(span, sources)).collect()
}

fn artwork(place: &ArtworkPlace) -> Artwork<'_> {
    Artwork {
        file: &place.file,
        element: place.element.as_deref(),
        line: place.position.map(|p| p.0),
        column: place.position.map(|p| p.1),
        x_mm: place.at.map(|p| micrometres(p.x)),
        y_mm: place.at.map(|p| micrometres(p.y)),
    }
}

/// Rounded to a micrometre, so that the last bits of a calculation do not show.
fn micrometres(millimetres: f64) -> f64 {
    (millimetres * 1000.0).round() / 1000.0 + 0.0
}
