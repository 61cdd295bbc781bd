//! `lesson` and `checklist`: what to think of, and when.

use super::model::{Lesson, Machine, Moment, OperationKind, Stock};
use crate::diagnostics::{Diagnostic, Finding, Severity};
use crate::schema::{Fields, Kind, NodeSpec, Often, Reader, Slot, optional, required};
use crate::source::Span;
use crate::syntax::Node;

pub(super) static NO_ACTION: Finding = Finding {
    rule: "shop/lesson-without-action",
    severity: Severity::Error,
    title: "a lesson does not say what to do",
    explanation: "A lesson stands on the job sheet at the moment when it can still help: `before`, `during`, `pausing` \
        or `after`, one of them, with what to do then.",
    wrong: "lesson \"the sheet curled and two seams did not go through\"",
    right: "lesson \"the sheet curled and two seams did not go through\" before=\"weigh the corners down, check focus at all four\"",
};

pub(super) static BAD_FIT: Finding = Finding {
    rule: "shop/bad-lesson-condition",
    severity: Severity::Error,
    title: "it is not clear which jobs a lesson fits",
    explanation: "`when` on a lesson names a `stock`, a `machine`, an `operation` or a `material`, followed by its name: \
        `when=\"stock birch-3\"`. Without it the lesson fits every job.",
    wrong: "lesson \"…\" before=\"…\" when=\"birch-3\"",
    right: "lesson \"…\" before=\"…\" when=\"stock birch-3\"",
};

/// `lesson`, in a shop file or in a recipe.
pub static LESSON: NodeSpec = NodeSpec {
    name: "lesson",
    about: "What went wrong once. It stands on every later job sheet that it fits.",
    arguments: &[required("text", Kind::Text, "what happened")],
    properties: &[
        optional("before", Kind::Text, "what to do before the start"),
        optional("during", Kind::Text, "what to do while it burns"),
        optional("pausing", Kind::Text, "what to do when a job is paused or resumed"),
        optional("after", Kind::Text, "what to do afterwards"),
        optional(
            "when",
            Kind::Text,
            "the jobs it fits: `stock NAME`, `machine NAME`, `operation NAME` or `material WORD`",
        ),
    ],
    children: &[],
    example: "lesson \"the sheet curled and two seams did not go through\" before=\"weigh down all four corners and check the focus at each\" when=\"stock birch-3\"",
};

const LINE_TEXT: &[Slot] = &[required("text", Kind::Text, "what to check")];
static LINE_BEFORE: NodeSpec =
    line("before", "A line of the list to go through before the start.", "before \"the bed shield is in\"");
static LINE_DURING: NodeSpec =
    line("during", "A line of the list for the time it burns.", "during \"the fan can be heard\"");
static LINE_PAUSING: NodeSpec =
    line("pausing", "A line of the list for pausing and resuming.", "pausing \"note the last finished piece\"");
static LINE_AFTER: NodeSpec =
    line("after", "A line of the list to go through afterwards.", "after \"empty the tray\"");

const fn line(name: &'static str, about: &'static str, example: &'static str) -> NodeSpec {
    NodeSpec { name, about, arguments: LINE_TEXT, properties: &[], children: &[], example }
}

/// `checklist` in a shop file.
pub static CHECKLIST: NodeSpec = NodeSpec {
    name: "checklist",
    about: "The shop's own additions to the checklists of the job sheet.",
    arguments: &[],
    properties: &[],
    children: &[
        (&LINE_BEFORE, Often::Any),
        (&LINE_DURING, Often::Any),
        (&LINE_PAUSING, Often::Any),
        (&LINE_AFTER, Often::Any),
    ],
    example: "checklist {\n    before \"the bed shield is in and the air gap is set\"\n}",
};

const MOMENTS: [Moment; 4] = [Moment::Before, Moment::During, Moment::Pausing, Moment::After];

/// A lesson and the jobs it fits.
#[derive(Clone, Debug)]
pub struct LessonEntry {
    /// The lesson.
    pub lesson: Lesson,
    /// The jobs it fits; all without it.
    pub fits: Option<Fits>,
}

/// A condition on jobs.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Fits {
    /// Jobs on one stock.
    Stock(String),
    /// Jobs on one machine.
    Machine(String),
    /// Jobs with one kind of operation.
    Operation(OperationKind),
    /// Jobs on a stock whose material holds a word.
    Material(String),
}

impl LessonEntry {
    /// Whether it belongs on the sheet of such a job.
    pub fn fits(&self, machine: &Machine, stock: &Stock, operations: &[OperationKind]) -> bool {
        match &self.fits {
            None => true,
            Some(Fits::Stock(name)) => *name == stock.name,
            Some(Fits::Machine(name)) => *name == machine.name,
            Some(Fits::Operation(kind)) => operations.contains(kind),
            Some(Fits::Material(word)) => stock.material.to_lowercase().contains(&word.to_lowercase()),
        }
    }
}

/// Decodes a `lesson`.
pub fn decode_lesson(node: &Node, reader: &mut Reader) -> Option<LessonEntry> {
    let fields = reader.read(node, &LESSON);
    let text = fields.text("text")?;
    let mut actions = MOMENTS.into_iter().filter_map(|m| Some((m, fields.text(m.word())?.text)));
    let (first, second) = (actions.next(), actions.next());
    let (Some((moment, action)), None) = (first, second) else {
        reader.sink.push(
            Diagnostic::new(&NO_ACTION, "a lesson has to say once what to do, and when".to_owned())
                .at(fields.head(), "expected one of `before`, `during`, `pausing` and `after`")
                .because("the lesson would stand on the job sheet without telling what to do")
                .repair("write what to do, and when: `before=\"weigh down all four corners\"`"),
        );
        return None;
    };
    let fits = match fields.text("when") {
        None => None,
        Some(when) => Some(read_fit(&when.text, when.span, reader)?),
    };
    let lesson = Lesson { text: text.text, moment, action, span: fields.head() };
    fields.is_whole().then_some(LessonEntry { lesson, fits })
}

fn read_fit(text: &str, span: Span, reader: &mut Reader) -> Option<Fits> {
    let (kind, name) = text.split_once(' ').unwrap_or((text, ""));
    let name = name.trim().to_owned();
    let fits = match kind {
        _ if name.is_empty() => None,
        "stock" => Some(Fits::Stock(name)),
        "machine" => Some(Fits::Machine(name)),
        "operation" => OperationKind::from_word(&name).map(Fits::Operation),
        "material" => Some(Fits::Material(name)),
        _ => None,
    };
    if fits.is_none() {
        reader.sink.push(
            Diagnostic::new(&BAD_FIT, format!("`{text}` does not say which jobs the lesson fits"))
                .at(span, "expected `stock NAME`, `machine NAME`, `operation NAME` or `material WORD`")
                .because("the lesson would be missing from the sheet on the day it is needed")
                .repair("say first what kind of thing it names: `when=\"stock birch-3\"`"),
        );
    }
    fits
}

/// Decodes a `checklist` into its lines.
pub fn decode_checklist(node: &Node, reader: &mut Reader) -> Vec<(Moment, String)> {
    let fields = reader.read(node, &CHECKLIST);
    let line = |(spec, child): (&'static NodeSpec, &Node), reader: &mut Reader| {
        let moment = MOMENTS.into_iter().find(|m| m.word() == spec.name)?;
        let line: Fields = reader.read(child, spec);
        Some((moment, line.text("text")?.text))
    };
    fields.children().filter_map(|child| line(child, reader)).collect()
}
