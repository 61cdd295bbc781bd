//! `setting`: numbers that have been burned and found right.

use super::file::Shop;
use super::model::{OperationKind, Setting};
use super::stock::judge_kerf;
use crate::diagnostics::{Diagnostic, Finding, Severity, Sink, near_names};
use crate::schema::{Choice, Fields, Kind, LENGTH, NodeSpec, PERCENT, Reader, SPEED, Slot, optional, required};
use crate::source::{Span, Spanned};
use crate::syntax::Node;
use crate::units::{Dimension, Mm, MmPerSecond, Percent};

pub(super) static LIKE_NOTHING: Finding = Finding {
    rule: "shop/like-nothing",
    severity: Severity::Error,
    title: "`like` names a setting that is not known",
    explanation: "`setting \"gentle\" like=\"through\"` takes every value that it does not state from `through`, which \
        has to be defined in the shop file or brought in by `use`.",
    wrong: "setting \"gentle\" like=\"trough\" speed=\"6 in/min\"",
    right: "setting \"gentle\" like=\"through\" speed=\"6 in/min\"",
};

pub(super) static INCOMPLETE_SETTING: Finding = Finding {
    rule: "shop/incomplete-setting",
    severity: Severity::Error,
    title: "a setting lacks a value",
    explanation: "A setting says for which machine, stock and operation it was measured, at which speed and power. \
        Engraving also needs the distance between its rows. Nothing is filled in by guessing.",
    wrong: "setting \"dark\" machine=\"bench-diode\" stock=\"birch-3\" operation=\"engrave\" speed=\"120 mm/s\"",
    right: "setting \"dark\" machine=\"bench-diode\" stock=\"birch-3\" operation=\"engrave\" speed=\"120 mm/s\" power=\"60 %\" interval=\"0.1 mm\"",
};

pub(super) static KERF_OF_MARK: Finding = Finding {
    rule: "shop/kerf-of-mark",
    severity: Severity::Error,
    title: "a setting that does not cut has a kerf",
    explanation: "The kerf is the width of a cut that goes through. It belongs to the setting that cuts; how wide a mark is \
        follows from the spot.",
    wrong: "setting \"light\" machine=\"bench-diode\" stock=\"birch-3\" operation=\"score\" speed=\"60 mm/s\" power=\"18 %\" kerf=\"0.1 mm\"",
    right: "setting \"light\" machine=\"bench-diode\" stock=\"birch-3\" operation=\"score\" speed=\"60 mm/s\" power=\"18 %\"",
};

static BURNING: &[Choice] = &[
    Choice { word: "engrave", about: "burns an area" },
    Choice { word: "score", about: "marks a line" },
    Choice { word: "cut", about: "goes through" },
];

/// `speed=`, in settings and where an operation overrides one.
pub const SPEED_SLOT: Slot = optional("speed", SPEED, "the speed of the head while it burns");
/// `power=`.
pub const POWER_SLOT: Slot = optional("power", PERCENT, "the power, in hundredths of the machine's");
/// `passes=`.
pub const PASSES_SLOT: Slot = optional("passes", Kind::Count(1, 50), "how many times everything is burned");
/// `interval=`.
pub const INTERVAL_SLOT: Slot =
    optional("interval", LENGTH, "the distance between the rows of an engraved area").fixed();
/// `focus=`.
pub const FOCUS_SLOT: Slot = optional(
    "focus",
    Kind::Signed(Dimension::Length),
    "the height of the focus above the stock's upper face; negative is inside the stock",
)
.fixed();
/// `air=`.
pub const AIR_SLOT: Slot = optional("air", Kind::Flag, "whether air assist is on");

/// `setting`, in a shop file or in a recipe.
pub static SETTING: NodeSpec = NodeSpec {
    name: "setting",
    about: "Numbers that were burned on one machine and stock and found right.",
    arguments: &[required("name", Kind::NewName, "its name in recipes")],
    properties: &[
        optional("like", Kind::NameOf("setting"), "the setting from which everything not stated is taken"),
        optional("machine", Kind::NameOf("machine"), "the machine it was measured on"),
        optional("stock", Kind::NameOf("stock"), "the stock it was measured on"),
        optional("operation", Kind::Word(BURNING), "what it does to the stock"),
        SPEED_SLOT,
        POWER_SLOT,
        PASSES_SLOT,
        INTERVAL_SLOT,
        FOCUS_SLOT,
        AIR_SLOT,
        optional(
            "kerf",
            LENGTH,
            "the full width of the cut it makes, as measured; that of the stock if left out. `like` does not bring it along",
        )
        .fixed(),
        optional("measured", Kind::Text, "when it was measured"),
        optional("how", Kind::Text, "how it was measured, for people"),
    ],
    children: &[],
    example: "setting \"birch-cut\" machine=\"bench-diode\" stock=\"birch-3\" operation=\"cut\" speed=\"5 in/min\" power=\"95 %\" passes=1 air=#true measured=\"2026-09-12\"",
};

/// A setting as it is written: everything but the name may be missing until `like` has been followed.
#[derive(Clone, Debug)]
pub struct SettingPart {
    /// Its name.
    pub name: Spanned<String>,
    /// The setting it is like.
    pub like: Option<Spanned<String>>,
    /// The machine.
    pub machine: Option<String>,
    /// The stock.
    pub stock: Option<String>,
    /// What it does.
    pub operation: Option<OperationKind>,
    /// The numbers.
    pub values: SettingValues,
    /// The width of the cut it makes, and where that is written.
    pub kerf: Option<Spanned<Mm>>,
    /// When it was measured.
    pub measured: Option<String>,
    /// How it was measured.
    pub how: Option<String>,
    /// What is underlined when the whole is meant.
    pub head: Span,
}

/// The numbers that a setting holds and an operation may override.
#[derive(Clone, Debug, Default)]
pub struct SettingValues {
    /// Speed of the head.
    pub speed: Option<MmPerSecond>,
    /// Power in hundredths.
    pub power: Option<Percent>,
    /// Passes.
    pub passes: Option<u32>,
    /// Distance between rows.
    pub interval: Option<Mm>,
    /// Focus above the upper face.
    pub focus: Option<Mm>,
    /// Air assist.
    pub air: Option<bool>,
}

impl SettingValues {
    /// Takes the numbers from a node that has their slots; only areas have an interval.
    pub fn take(fields: &Fields, operation: OperationKind) -> Self {
        let is_area = operation == OperationKind::Engrave;
        Self {
            speed: fields.known("speed").map(MmPerSecond::new),
            power: fields.known("power").map(Percent::new),
            passes: fields.count("passes"),
            interval: if is_area { fields.known("interval").map(Mm::new) } else { None },
            focus: fields.known("focus").map(Mm::new),
            air: fields.flag_if_written("air"),
        }
    }

    /// What is written here, and below it what is written there.
    pub fn over(self, below: &Self) -> Self {
        Self {
            speed: self.speed.or(below.speed),
            power: self.power.or(below.power),
            passes: self.passes.or(below.passes),
            interval: self.interval.or(below.interval),
            focus: self.focus.or(below.focus),
            air: self.air.or(below.air),
        }
    }
}

/// Decodes a `setting` as it is written.
pub fn setting_part(node: &Node, reader: &mut Reader) -> Option<SettingPart> {
    let fields = reader.read(node, &SETTING);
    let part = SettingPart {
        name: fields.name("name")?,
        like: fields.name("like"),
        machine: fields.text("machine").map(|t| t.text),
        stock: fields.text("stock").map(|t| t.text),
        operation: fields.word("operation").and_then(OperationKind::from_word),
        values: SettingValues::take(&fields, OperationKind::Engrave),
        kerf: fields.known("kerf").map(|kerf| Spanned::new(Mm::new(kerf), fields.span_of("kerf"))),
        measured: fields.text("measured").map(|t| t.text),
        how: fields.text("how").map(|t| t.text),
        head: fields.head(),
    };
    if let Some(kerf) = &part.kerf {
        judge_kerf(Some(kerf.value), kerf.span, reader.sink);
    }
    fields.is_whole().then_some(part)
}

/// Completes a setting: follows `like` among the settings known so far, then looks for gaps.
///
/// A setting that only changes numbers keeps the date of the one it is like, but not as its own
/// measurement: `how` then says that it was derived.
pub fn decode_setting(part: SettingPart, shop: &Shop, sink: &mut Sink) -> Option<Setting> {
    let base = match &part.like {
        None => None,
        Some(like) => Some(find_like(&part, like, shop, sink)?),
    };
    let values = part.values.clone().over(&base.map(values_of).unwrap_or_default());
    let machine = part.machine.clone().or_else(|| base.map(|b| b.machine.clone()));
    let stock = part.stock.clone().or_else(|| base.map(|b| b.stock.clone()));
    let operation = part.operation.or_else(|| base.map(|b| b.operation));
    let gaps = [
        ("machine", machine.is_none()),
        ("stock", stock.is_none()),
        ("operation", operation.is_none()),
        ("speed", values.speed.is_none()),
        ("power", values.power.is_none()),
        ("interval", operation == Some(OperationKind::Engrave) && values.interval.is_none()),
    ];
    report_gaps(&part, &gaps, sink)?;
    let kerf = kerf_of_cut(&part, operation?, sink)?;
    let derived = base.map(|b| format!("derived from `{}`; not yet measured itself", b.name));
    Some(Setting {
        name: part.name.value,
        machine: machine?,
        stock: stock?,
        operation: operation?,
        speed: values.speed?,
        power: values.power?,
        passes: values.passes.unwrap_or(1),
        interval: values.interval,
        focus: values.focus,
        air: values.air,
        kerf,
        measured: part.measured,
        how: part.how.or(derived),
        span: part.name.span,
    })
}

/// The width of its cut, where it is one. `None` where a mark has a kerf, which is reported.
#[allow(clippy::option_option, reason = "the outer one says that it makes sense, the inner one that it is there")]
fn kerf_of_cut(part: &SettingPart, operation: OperationKind, sink: &mut Sink) -> Option<Option<Mm>> {
    let Some(kerf) = &part.kerf else { return Some(None) };
    if operation == OperationKind::Cut {
        return Some(Some(kerf.value));
    }
    sink.push(
        Diagnostic::new(
            &KERF_OF_MARK,
            format!("setting `{}` is to {operation}, which has no kerf", part.name.value),
        )
        .at(kerf.span, "the width of a cut")
        .because("nothing would be worked out with it")
        .repair("leave it out, or write it at the setting that cuts"),
    );
    None
}

fn values_of(setting: &Setting) -> SettingValues {
    SettingValues {
        speed: Some(setting.speed),
        power: Some(setting.power),
        passes: Some(setting.passes),
        interval: setting.interval,
        focus: setting.focus,
        air: setting.air,
    }
}

/// The setting that `like` names; where several stocks have one of that name, the one for the same stock.
fn find_like<'a>(
    part: &SettingPart,
    like: &Spanned<String>,
    shop: &'a Shop,
    sink: &mut Sink,
) -> Option<&'a Setting> {
    let known = &shop.settings;
    let fits = |s: &&Setting| {
        s.name == like.value
            && part.machine.as_ref().is_none_or(|m| *m == s.machine)
            && part.stock.as_ref().is_none_or(|k| *k == s.stock)
    };
    let found = known.iter().find(fits).or_else(|| known.iter().find(|s| s.name == like.value));
    if found.is_none() && !shop.is_torn {
        let near = near_names(&like.value, known.iter().map(|s| s.name.as_str()));
        let diagnostic = Diagnostic::new(&LIKE_NOTHING, format!("there is no setting `{}`", like.value))
            .at(like.span, "not known here");
        sink.push(match near.first() {
            Some(near) => diagnostic.repair_with(
                format!("there is a setting with a similar name: `{near}`"),
                like.span,
                format!("\"{near}\""),
            ),
            None => diagnostic.repair("bring it in with `use`, or define it above"),
        });
    }
    found
}

fn report_gaps(part: &SettingPart, gaps: &[(&str, bool)], sink: &mut Sink) -> Option<()> {
    let missing: Vec<&str> = gaps.iter().filter(|(_, gap)| *gap).map(|(name, _)| *name).collect();
    if missing.is_empty() {
        return Some(());
    }
    let list = crate::diagnostics::quoted_list(missing.iter().copied(), "and");
    sink.push(
        Diagnostic::new(&INCOMPLETE_SETTING, format!("setting `{}` lacks {list}", part.name.value))
            .at(part.head, "incomplete")
            .because("the machine would need a guess, and a guess would be burned")
            .repair(format!("add {list}, or take what is missing from a measured setting with `like=`")),
    );
    None
}
