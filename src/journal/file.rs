//! The language of journals.

use super::model::{Entry, FileThen, HowItWent, InputThen, Journal, RunThen, Step, day};
use crate::diagnostics::{Diagnostic, Finding, Severity};
use crate::schema::{Choice, Fields, Kind, NodeSpec, Often, Reader, optional, required};
use crate::shop::{
    AIR_SLOT, FOCUS_SLOT, INTERVAL_SLOT, OperationKind, PASSES_SLOT, POWER_SLOT, SPEED_SLOT, SettingValues,
};
use crate::syntax::Node;

pub(super) static NOT_A_DAY: Finding = Finding {
    rule: "journal/not-a-day",
    severity: Severity::Warning,
    title: "an entry of a journal has no day",
    explanation: "Each entry of a journal begins with the day on which the job was burned, as year, month and day: `2027-08-10`. The \
        next job sheet shows it. Years from 2000 to 2199 are taken.",
    wrong: "burned \"9999-12-31\" version=\"3f2a9c01b7de\" machine=\"bench-diode\" stock=\"birch-3\"",
    right: "burned \"2027-08-10\" version=\"3f2a9c01b7de\" machine=\"bench-diode\" stock=\"birch-3\"",
};

static HOW: [Choice; HowItWent::ALL.len()] = {
    let [well, not_through, dark, light, shifted, stopped, spoiled] = HowItWent::ALL;
    [
        choice(well),
        choice(not_through),
        choice(dark),
        choice(light),
        choice(shifted),
        choice(stopped),
        choice(spoiled),
    ]
};

const fn choice(went: HowItWent) -> Choice {
    Choice { word: went.word(), about: went.about() }
}

static OPERATIONS: &[Choice] = &[
    Choice { word: "engrave", about: "burned an area" },
    Choice { word: "score", about: "marked a line" },
    Choice { word: "cut", about: "went through" },
];

static RUN_THEN: NodeSpec = NodeSpec {
    name: "run",
    about: "A run that was burned, and how it went.",
    arguments: &[required("name", Kind::Verbatim, "its name in the recipe then")],
    properties: &[
        required("went", Kind::Word(&HOW), "how it went"),
        optional("where", Kind::Verbatim, "where it did not, for people"),
    ],
    children: &[],
    example: "run \"separate\" went=\"not-through\" where=\"left bottom corner\"",
};

static NOTE: NodeSpec = NodeSpec {
    name: "note",
    about: "A remark, for people; it stands on the next job sheet.",
    arguments: &[required("text", Kind::Verbatim, "the remark")],
    properties: &[],
    children: &[],
    example: "note \"the sheet had curled over night\"",
};

static INPUT_THEN: NodeSpec = NodeSpec {
    name: "input",
    about: "An input of the recipe and the value it was given.",
    arguments: &[required("name", Kind::Verbatim, "its name"), required("value", Kind::Verbatim, "its value")],
    properties: &[],
    children: &[],
    example: "input \"day\" \"2027-08-14\"",
};

static FILE_THEN: NodeSpec = NodeSpec {
    name: "file",
    about: "A file that was read, and what was in it.",
    arguments: &[
        required("path", Kind::Verbatim, "its path from the recipe's folder"),
        required("hash", Kind::Verbatim, "the first digits of its SHA-256"),
    ],
    properties: &[],
    children: &[],
    example: "file \"art/heron.svg\" \"6b86b273ff34\"",
};

static STEP: NodeSpec = NodeSpec {
    name: "step",
    about: "An operation and the numbers it was burned with.",
    arguments: &[
        required("run", Kind::Verbatim, "the run"),
        required("operation", Kind::Word(OPERATIONS), "what it did to the stock"),
        required("name", Kind::Verbatim, "its name, made from its figures"),
    ],
    properties: &[SPEED_SLOT, POWER_SLOT, PASSES_SLOT, INTERVAL_SLOT, FOCUS_SLOT, AIR_SLOT],
    children: &[],
    example: "step \"separate\" \"cut\" \"board\" speed=\"5.08 mm/s\" power=\"95 %\" passes=2 focus=\"-1 mm\" air=#true",
};

static BURNED: NodeSpec = NodeSpec {
    name: "burned",
    about: "One time that the job was burned. `kerfbook record` writes it, from the build that was burned.",
    arguments: &[required("day", Kind::Verbatim, "the day, as `2027-08-10`")],
    properties: &[
        required("version", Kind::Verbatim, "the first digits of the job's version, as on the job sheet"),
        optional(
            "revision",
            Kind::Verbatim,
            "the revision of the project, where it is kept under version control",
        ),
        required("machine", Kind::Verbatim, "the machine"),
        required("stock", Kind::Verbatim, "the stock"),
    ],
    children: &[
        (&RUN_THEN, Often::Any),
        (&NOTE, Often::Any),
        (&INPUT_THEN, Often::Any),
        (&FILE_THEN, Often::Any),
        (&STEP, Often::Any),
    ],
    example: "burned \"2027-08-10\" version=\"3f2a9c01b7de\" machine=\"bench-diode\" stock=\"birch-3\" {\n    run \"separate\" went=\"not-through\" where=\"left bottom corner\"\n    \
        note \"the sheet had curled over night\"\n}",
};

/// A whole journal.
pub static JOURNAL_FILE: NodeSpec = NodeSpec {
    name: "a journal",
    about: "A journal (`NAME.journal.kdl`, beside `NAME.recipe.kdl`) holds what was burned and how it went. The next job \
        sheet shows the last entry, and what has changed since. Entries may be mended by hand.",
    arguments: &[],
    properties: &[],
    children: &[(&BURNED, Often::Any)],
    example: "burned \"2027-08-10\" version=\"3f2a9c01b7de\" machine=\"bench-diode\" stock=\"birch-3\" { run \"separate\" went=\"well\" }",
};

/// Decodes a journal; what does not fit is reported, and its entry left out.
pub fn decode_journal(file: &Node, reader: &mut Reader) -> Journal {
    let fields = reader.read(file, &JOURNAL_FILE);
    let entries = fields.children_of(&BURNED).filter_map(|node| entry(node, reader)).collect();
    Journal { entries }
}

fn entry(node: &Node, reader: &mut Reader) -> Option<Entry> {
    let fields = reader.read(node, &BURNED);
    if let Some(written) = fields.text("day").filter(|written| day(&written.text).is_none()) {
        reader.sink.push(
            Diagnostic::new(&NOT_A_DAY, format!("`{}` is no day on which anything was burned", written.text))
                .at(written.span, "expected year, month and day")
                .because("the next job sheet would show it as the day of the last time")
                .repair("write the day as `2027-08-10`"),
        );
    }
    let mut entry = Entry {
        day: text(&fields, "day")?,
        version: text(&fields, "version")?,
        revision: text(&fields, "revision"),
        machine: text(&fields, "machine")?,
        stock: text(&fields, "stock")?,
        runs: Vec::new(),
        notes: Vec::new(),
        inputs: Vec::new(),
        files: Vec::new(),
        steps: Vec::new(),
    };
    for (spec, child) in fields.children() {
        let own = reader.read(child, spec);
        match spec.name {
            "run" => entry.runs.extend(run_then(&own)),
            "note" => entry.notes.extend(text(&own, "text")),
            "input" => entry.inputs.extend(input_then(&own)),
            "file" => entry.files.extend(file_then(&own)),
            _ => entry.steps.extend(step(&own)),
        }
    }
    fields.is_whole().then_some(entry)
}

fn text(fields: &Fields, slot: &str) -> Option<String> {
    fields.text(slot).map(|t| t.text)
}

fn run_then(fields: &Fields) -> Option<RunThen> {
    Some(RunThen {
        name: text(fields, "name")?,
        went: fields.word("went").and_then(HowItWent::from_word)?,
        place: text(fields, "where"),
    })
}

fn input_then(fields: &Fields) -> Option<InputThen> {
    Some(InputThen { name: text(fields, "name")?, value: text(fields, "value")? })
}

fn file_then(fields: &Fields) -> Option<FileThen> {
    Some(FileThen { path: text(fields, "path")?, hash: text(fields, "hash")? })
}

fn step(fields: &Fields) -> Option<Step> {
    Some(Step {
        run: text(fields, "run")?,
        operation: fields.word("operation").and_then(OperationKind::from_word)?,
        name: text(fields, "name")?,
        values: SettingValues::take(fields, OperationKind::Engrave),
    })
}
