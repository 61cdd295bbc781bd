//! Findings as SARIF 2.1.0 (OASIS standard, <https://docs.oasis-open.org/sarif/sarif/v2.1.0/>), which editors and code
//! hosts read.

use crate::diagnostics::{Diagnostic, Finding, Label, Severity};
use crate::source::{Sources, Span};
use serde::Serialize;
use std::collections::BTreeMap;

const SCHEMA: &str = "https://docs.oasis-open.org/sarif/sarif/v2.1.0/errata01/os/schemas/sarif-schema-2.1.0.json";

/// Writes one SARIF log with one run. Every rule that was raised is explained in it; accepted findings are
/// marked as suppressed in the source, with their reason.
pub fn sarif<'a>(diagnostics: impl IntoIterator<Item = &'a Diagnostic>, sources: &'a Sources) -> String {
    sarif_of_all(diagnostics.into_iter().map(|diagnostic| (diagnostic, sources)))
}

/// The same for the findings of several builds, each with its own texts.
pub fn sarif_of_all<'a>(diagnostics: impl IntoIterator<Item = (&'a Diagnostic, &'a Sources)>) -> String {
    let diagnostics: Vec<(&Diagnostic, &Sources)> = diagnostics.into_iter().collect();
    let mut rules: BTreeMap<&str, &'static Finding> = BTreeMap::new();
    rules.extend(diagnostics.iter().map(|(d, _)| (d.finding.rule, d.finding)));
    let index: BTreeMap<&str, usize> = rules.keys().enumerate().map(|(i, rule)| (*rule, i)).collect();
    let log = Log {
        schema: SCHEMA,
        version: "2.1.0",
        runs: [Run {
            tool: Tool {
                driver: Driver {
                    name: "kerfbook",
                    version: env!("CARGO_PKG_VERSION"),
                    rules: rules.values().map(|f| rule(f)).collect(),
                },
            },
            column_kind: "unicodeCodePoints",
            results: diagnostics.iter().map(|(d, sources)| result(d, index[d.finding.rule], sources)).collect(),
        }],
    };
    // Strings and numbers only: this cannot fail.
    serde_json::to_string_pretty(&log).unwrap_or_default() + "\n"
}

#[derive(Serialize)]
struct Log<'a> {
    #[serde(rename = "$schema")]
    schema: &'static str,
    version: &'static str,
    runs: [Run<'a>; 1],
}

#[derive(Serialize)]
#[serde(rename_all = "camelCase")]
struct Run<'a> {
    tool: Tool,
    column_kind: &'static str,
    results: Vec<ResultObject<'a>>,
}

#[derive(Serialize)]
struct Tool {
    driver: Driver,
}

#[derive(Serialize)]
struct Driver {
    name: &'static str,
    version: &'static str,
    rules: Vec<Rule>,
}

#[derive(Serialize)]
#[serde(rename_all = "camelCase")]
struct Rule {
    id: &'static str,
    short_description: Message,
    full_description: Message,
    help: Help,
    default_configuration: Configuration,
}

#[derive(Serialize)]
struct Configuration {
    level: &'static str,
}

#[derive(Serialize)]
struct Help {
    text: String,
    markdown: String,
}

#[derive(Serialize)]
struct Message {
    text: String,
}

impl Message {
    fn new(text: impl Into<String>) -> Self {
        Self { text: text.into() }
    }
}

#[derive(Serialize)]
#[serde(rename_all = "camelCase")]
struct ResultObject<'a> {
    rule_id: &'static str,
    rule_index: usize,
    level: &'static str,
    message: Message,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    locations: Vec<Location>,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    related_locations: Vec<Location>,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    fixes: Vec<Fix<'a>>,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    suppressions: Vec<Suppression<'a>>,
}

#[derive(Serialize)]
#[serde(rename_all = "camelCase")]
struct Location {
    #[serde(skip_serializing_if = "Option::is_none")]
    id: Option<usize>,
    #[serde(rename = "physicalLocation")]
    place: PhysicalLocation,
    #[serde(skip_serializing_if = "Option::is_none")]
    message: Option<Message>,
}

#[derive(Serialize)]
#[serde(rename_all = "camelCase")]
struct PhysicalLocation {
    artifact_location: ArtifactLocation,
    #[serde(skip_serializing_if = "Option::is_none")]
    region: Option<Region>,
}

#[derive(Serialize)]
struct ArtifactLocation {
    uri: String,
}

#[derive(Serialize)]
#[serde(rename_all = "camelCase")]
struct Region {
    start_line: usize,
    start_column: usize,
    #[serde(skip_serializing_if = "Option::is_none")]
    end_line: Option<usize>,
    #[serde(skip_serializing_if = "Option::is_none")]
    end_column: Option<usize>,
}

#[derive(Serialize)]
#[serde(rename_all = "camelCase")]
struct Fix<'a> {
    description: Message,
    artifact_changes: [Change<'a>; 1],
}

#[derive(Serialize)]
#[serde(rename_all = "camelCase")]
struct Change<'a> {
    artifact_location: ArtifactLocation,
    replacements: [Replacement<'a>; 1],
}

#[derive(Serialize)]
#[serde(rename_all = "camelCase")]
struct Replacement<'a> {
    deleted_region: Region,
    inserted_content: Content<'a>,
}

#[derive(Serialize)]
struct Content<'a> {
    text: &'a str,
}

#[derive(Serialize)]
struct Suppression<'a> {
    kind: &'static str,
    justification: &'a str,
}

const fn level(severity: Severity) -> &'static str {
    match severity {
        Severity::Error => "error",
        Severity::Warning => "warning",
        Severity::Advice => "note",
    }
}

fn rule(finding: &'static Finding) -> Rule {
    let Finding { rule, severity, title, explanation, wrong, right } = finding;
    Rule {
        id: rule,
        short_description: Message::new(*title),
        full_description: Message::new(*explanation),
        help: Help {
            text: format!("{explanation}\n\nWrong:\n{wrong}\n\nRight:\n{right}\n"),
            markdown: format!("{explanation}\n\nWrong:\n```kdl\n{wrong}\n```\n\nRight:\n```kdl\n{right}\n```\n"),
        },
        default_configuration: Configuration { level: level(*severity) },
    }
}

fn result<'a>(diagnostic: &'a Diagnostic, rule_index: usize, sources: &Sources) -> ResultObject<'a> {
    ResultObject {
        rule_id: diagnostic.finding.rule,
        rule_index,
        level: level(diagnostic.severity),
        message: Message::new(message(diagnostic)),
        locations: diagnostic.primary.iter().map(|l| location(l, None, sources)).collect(),
        related_locations: related(diagnostic, sources),
        fixes: fixes(diagnostic, sources),
        suppressions: diagnostic
            .accepted
            .iter()
            .map(|reason| Suppression { kind: "inSource", justification: reason })
            .collect(),
    }
}

/// SARIF has one text for message, consequence and repair.
fn message(diagnostic: &Diagnostic) -> String {
    let artwork = diagnostic.artwork.iter().map(|place| format!("artwork: {}", super::wording::artwork(place)));
    let consequence = diagnostic.consequence.iter().map(|text| format!("at the machine: {text}"));
    let repair = diagnostic.repair.iter().map(|repair| format!("repair: {}", repair.text));
    let lines: Vec<String> =
        std::iter::once(diagnostic.message.clone()).chain(artwork).chain(consequence).chain(repair).collect();
    lines.join("\n")
}

/// The other places in texts, then those in artwork.
fn related(diagnostic: &Diagnostic, sources: &Sources) -> Vec<Location> {
    let labels = diagnostic.others.iter().enumerate().map(|(i, l)| location(l, Some(i), sources));
    let count = diagnostic.others.len();
    let artwork = diagnostic.artwork.iter().enumerate().map(|(i, place)| Location {
        id: Some(count + i),
        place: PhysicalLocation {
            artifact_location: ArtifactLocation { uri: uri(&place.file) },
            region: place.position.map(|(start_line, start_column)| Region {
                start_line,
                start_column,
                end_line: None,
                end_column: None,
            }),
        },
        message: place.element.clone().map(Message::new),
    });
    labels.chain(artwork).collect()
}

fn location(label: &Label, id: Option<usize>, sources: &Sources) -> Location {
    Location {
        id,
        place: PhysicalLocation {
            artifact_location: ArtifactLocation { uri: uri(&sources.get(label.span.source).name) },
            region: Some(region(label.span, sources)),
        },
        message: (!label.text.is_empty()).then(|| Message::new(label.text.as_str())),
    }
}

fn fixes<'a>(diagnostic: &'a Diagnostic, sources: &Sources) -> Vec<Fix<'a>> {
    let Some(repair) = &diagnostic.repair else { return Vec::new() };
    let fix = |(span, text): &'a (Span, String)| Fix {
        description: Message::new(repair.text.as_str()),
        artifact_changes: [Change {
            artifact_location: ArtifactLocation { uri: uri(&sources.get(span.source).name) },
            replacements: [Replacement {
                deleted_region: region(*span, sources),
                inserted_content: Content { text },
            }],
        }],
    };
    repair.edit.iter().map(fix).collect()
}

fn region(span: Span, sources: &Sources) -> Region {
    let start = sources.position(span.source, span.start);
    let end = sources.position(span.source, span.end);
    Region {
        start_line: start.line,
        start_column: start.column,
        end_line: Some(end.line),
        end_column: Some(end.column),
    }
}

/// A relative reference of RFC 3986: every byte outside its unreserved characters and `/` is percent-encoded.
fn uri(name: &str) -> String {
    let encoded = |byte: u8| match byte {
        b'A'..=b'Z' | b'a'..=b'z' | b'0'..=b'9' | b'-' | b'.' | b'_' | b'~' | b'/' => char::from(byte).to_string(),
        _ => format!("%{byte:02X}"),
    };
    name.replace('\\', "/").bytes().map(encoded).collect()
}
