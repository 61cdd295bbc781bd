//! Findings for people at a terminal.

use super::snippet::draw;
use super::wording::{Counts, artwork, visible, wrap};
use crate::diagnostics::{Diagnostic, Severity};
use crate::source::{Sources, Span};
use miette::GraphicalTheme;

/// A circle of imports cannot be, but a long row of them can.
const MAX_TRAIL: usize = 8;

/// More findings than this are counted, not printed: nobody reads them, and most go back to a few mistakes.
const MOST_PRINTED: usize = 100;

/// How findings are printed.
#[allow(clippy::struct_excessive_bools, reason = "each is a wish of its own of the person at the terminal")]
#[derive(Clone, Copy, Debug)]
pub struct HumanOptions {
    /// Columns of the terminal; at least 40 are used.
    pub width: usize,
    /// Whether colours are wanted: a terminal, and no `NO_COLOR`.
    pub colour: bool,
    /// Whether lines may be drawn with characters beyond ASCII.
    pub unicode: bool,
    /// Whether findings that an `allow` accepts are printed too.
    pub accepted: bool,
    /// Whether advice gets one line instead of the whole story.
    pub brief_advice: bool,
}

impl Default for HumanOptions {
    fn default() -> Self {
        Self { width: 80, colour: false, unicode: true, accepted: false, brief_advice: false }
    }
}

/// Writes every finding with the lines it points at, and a closing line that counts them; empty when there is
/// nothing to say.
pub fn human<'a>(
    diagnostics: impl IntoIterator<Item = &'a Diagnostic>,
    sources: &Sources,
    options: HumanOptions,
) -> String {
    let paper = Paper { options, width: options.width.max(40) };
    let mut counts = Counts::default();
    let mut shown = 0;
    let mut text = String::new();
    for diagnostic in diagnostics {
        counts.add(diagnostic);
        if diagnostic.accepted.is_none() || options.accepted {
            shown += 1;
            if shown > MOST_PRINTED {
                continue;
            }
            let is_brief = options.brief_advice && diagnostic.severity == Severity::Advice;
            text.push_str(&if is_brief {
                paper.line(diagnostic, sources)
            } else {
                paper.finding(diagnostic, sources)
            });
            text.push('\n');
        }
    }
    if shown > MOST_PRINTED {
        let rest = shown - MOST_PRINTED;
        text.extend(["and ", &rest.to_string(), " more\n\n"]);
    }
    let words = counts.words();
    if !words.is_empty() {
        let kind = match counts {
            Counts { errors: 1.., .. } => Severity::Error,
            Counts { warnings: 1.., .. } => Severity::Warning,
            _ => Severity::Advice,
        };
        text.push_str(&paper.painted(kind, &words));
        text.push('\n');
    }
    text
}

/// What is written on.
struct Paper {
    options: HumanOptions,
    width: usize,
}

impl Paper {
    fn finding(&self, diagnostic: &Diagnostic, sources: &Sources) -> String {
        let severity = self.painted(diagnostic.severity, diagnostic.severity.word());
        let mut text = format!("{severity} {}\n", self.dimmed(diagnostic.finding.rule));
        let drawing = draw(diagnostic, sources, self.width, self.theme());
        for line in drawing.lines() {
            text.push_str(line.trim_end());
            text.push('\n');
        }
        text.extend(details(diagnostic, sources).iter().map(|(name, words)| self.detail(name, words)));
        text
    }

    /// The finding in a line or two: rule, place, what is wrong.
    fn line(&self, diagnostic: &Diagnostic, sources: &Sources) -> String {
        let severity = self.painted(diagnostic.severity, diagnostic.severity.word());
        let place = diagnostic.primary.as_ref().map_or_else(String::new, |l| sources.place(l.span) + ": ");
        let words = wrap(&visible(&format!("{place}{}", diagnostic.message)), self.width.saturating_sub(2));
        format!("{severity} {}\n  {}\n", self.dimmed(diagnostic.finding.rule), words.join("\n  "))
    }

    /// `name: words`, the further lines indented as far as the first word.
    fn detail(&self, name: &str, words: &str) -> String {
        let indent = name.chars().count() + 4;
        let lines = wrap(&visible(words), self.width.saturating_sub(indent).max(20));
        let name = self.bold(&format!("{name}:"));
        format!("  {name} {}\n", lines.join(&format!("\n{:indent$}", "")))
    }

    fn theme(&self) -> GraphicalTheme {
        let mut theme = match (self.options.colour, self.options.unicode) {
            (true, true) => GraphicalTheme::unicode(),
            (true, false) => GraphicalTheme::ascii(),
            (false, true) => GraphicalTheme::unicode_nocolor(),
            (false, false) => GraphicalTheme::none(),
        };
        if self.options.unicode {
            // One sign a severity: they are told apart without colour too.
            theme.characters.advice = String::from("i");
        }
        theme
    }

    fn painted(&self, severity: Severity, text: &str) -> String {
        let code = match severity {
            Severity::Error => "1;31",
            Severity::Warning => "1;33",
            Severity::Advice => "1;36",
        };
        self.code(code, text)
    }

    fn bold(&self, text: &str) -> String {
        self.code("1", text)
    }

    fn dimmed(&self, text: &str) -> String {
        self.code("2", text)
    }

    /// `text` between the ANSI codes (ECMA-48, "SGR") that switch a style on and off.
    fn code(&self, code: &str, text: &str) -> String {
        if self.options.colour { format!("\u{1b}[{code}m{text}\u{1b}[0m") } else { text.to_owned() }
    }
}

/// What is said below the marked lines, in the order of its printing.
fn details(diagnostic: &Diagnostic, sources: &Sources) -> Vec<(&'static str, String)> {
    let mut list = Vec::new();
    if let Some(label) = &diagnostic.primary {
        let source = sources.get(label.span.source);
        if source.text.is_empty() {
            list.push(("in", format!("{}, {}", source.name, label.text)));
        }
        list.extend(trail(label.span, sources).into_iter().map(|at| ("brought in by", sources.place(at))));
    }
    list.extend(diagnostic.artwork.iter().map(|place| ("artwork", artwork(place))));
    list.extend(diagnostic.consequence.iter().map(|text| ("at the machine", text.clone())));
    list.extend(diagnostic.repair.iter().map(|repair| ("repair", repair.text.clone())));
    list.extend(diagnostic.accepted.iter().map(|reason| ("accepted", reason.clone())));
    list
}

/// The `use` or `from` that brought in the text of `span`, and the ones that brought in theirs.
pub(super) fn trail(span: Span, sources: &Sources) -> Vec<Span> {
    let mut places = Vec::new();
    let mut next = sources.get(span.source).imported_at;
    while let Some(place) = next.filter(|_| places.len() < MAX_TRAIL) {
        places.push(place);
        next = sources.get(place.source).imported_at;
    }
    places
}
