//! A whole shop file, and what several of them hold together.

use super::lesson::{CHECKLIST, LESSON, LessonEntry, decode_checklist, decode_lesson};
use super::machine::{self, MACHINE};
use super::model::{Machine, Moment, OperationKind, Setting, ShadeCard, Stock};
use super::paper::{PAPER, Paper, decode_paper};
use super::setting::{SETTING, decode_setting, setting_part};
use super::shade::{self, SHADE_CARD};
use super::stock::{self, STOCK};
use super::tone::{self, TONE_CARD, ToneCard};
use crate::diagnostics::{Diagnostic, Finding, Severity, Sink};
use crate::schema::{Kind, NodeSpec, Often, Reader, required};
use crate::source::Span;
use crate::syntax::Node;

pub(super) static DOUBLED_NAME: Finding = Finding {
    rule: "shop/doubled-name",
    severity: Severity::Error,
    title: "two things of one kind have one name",
    explanation: "Names decide what is burned, so two machines, stocks or shade cards of one name are an error wherever \
        they come from; so are two settings of one name for the same machine and stock. There is no overriding: \
        `setting \"mine\" like=\"other\"` makes a new one.",
    wrong: "stock \"birch-3\" material=\"birch plywood\" thickness=\"3 mm\"\nstock \"birch-3\" material=\"birch plywood\" thickness=\"3.2 mm\"",
    right: "stock \"birch-3\" material=\"birch plywood\" thickness=\"3 mm\"\nstock \"birch-3-thick\" material=\"birch plywood\" thickness=\"3.2 mm\"",
};

/// `use`, in recipes and in shop files.
pub static USE: NodeSpec = NodeSpec {
    name: "use",
    about: "Brings in the machines, stocks, settings, shade cards and lessons of a shop file.",
    arguments: &[required("path", Kind::Verbatim, "the shop file, relative to the file that this stands in")],
    properties: &[],
    children: &[],
    example: "use \"../bench.shop.kdl\"",
};

/// A whole shop file.
pub static SHOP_FILE: NodeSpec = NodeSpec {
    name: "a shop file",
    about: "A shop file (`NAME.shop.kdl`) holds what a workshop owns and has measured. Recipes bring it in with `use`.",
    arguments: &[],
    properties: &[],
    children: &[
        (&USE, Often::Any),
        (&MACHINE, Often::Any),
        (&STOCK, Often::Any),
        (&SETTING, Often::Any),
        (&SHADE_CARD, Often::Any),
        (&TONE_CARD, Often::Any),
        (&LESSON, Often::Any),
        (&CHECKLIST, Often::Any),
        (&PAPER, Often::AtMostOnce),
    ],
    example: "stock \"birch-3\" material=\"birch plywood\" thickness=\"3.1 mm\" kerf=\"0.15 mm\"",
};

/// Everything that the shop files of a recipe hold together.
#[derive(Clone, Debug, Default)]
pub struct Shop {
    /// Machines.
    pub machines: Vec<Machine>,
    /// Stocks.
    pub stocks: Vec<Stock>,
    /// Settings.
    pub settings: Vec<Setting>,
    /// Shade cards.
    pub shade_cards: Vec<ShadeCard>,
    /// Tone cards.
    pub tone_cards: Vec<ToneCard>,
    /// Lessons.
    pub lessons: Vec<LessonEntry>,
    /// Additions to the checklists.
    pub reminders: Vec<(Moment, String)>,
    /// What job sheets are printed on. Of several shop files, the one that brings in the others has the last word.
    pub paper: Option<Paper>,
    /// Whether a part could not be read, which has been reported: what is not found may stand there.
    pub is_torn: bool,
}

/// One named thing, to be looked for by name.
pub trait ShopEntry {
    /// What it is called in messages.
    const WHAT: &'static str;
    /// Its name.
    fn name(&self) -> &str;
    /// Where it is defined.
    fn span(&self) -> Span;
    /// Whether two of them cannot stand side by side.
    fn clashes(&self, other: &Self) -> bool {
        self.name() == other.name()
    }
}

macro_rules! shop_entry {
    ($kind:ty, $what:literal) => {
        impl ShopEntry for $kind {
            const WHAT: &'static str = $what;
            fn name(&self) -> &str {
                &self.name
            }
            fn span(&self) -> Span {
                self.span
            }
        }
    };
}
shop_entry!(Machine, "machine");
shop_entry!(Stock, "stock");
shop_entry!(ShadeCard, "shade card");
shop_entry!(ToneCard, "tone card");

impl ShopEntry for Setting {
    const WHAT: &'static str = "setting";
    fn name(&self) -> &str {
        &self.name
    }
    fn span(&self) -> Span {
        self.span
    }
    /// One name may stand for several machines and stocks, so that a recipe moves between them by one word.
    fn clashes(&self, other: &Self) -> bool {
        self.name == other.name && self.machine == other.machine && self.stock == other.stock
    }
}

impl Shop {
    /// The machine of a name.
    pub fn machine(&self, name: &str) -> Option<&Machine> {
        self.machines.iter().find(|m| m.name == name)
    }

    /// The stock of a name.
    pub fn stock(&self, name: &str) -> Option<&Stock> {
        self.stocks.iter().find(|s| s.name == name)
    }

    /// Decodes a `setting` and adds it unless its name is taken.
    pub fn read_setting(&mut self, node: &Node, reader: &mut Reader) {
        let part = setting_part(node, reader);
        let setting = part.and_then(|p| decode_setting(p, self, reader.sink));
        self.is_torn |= !add_one(&mut self.settings, setting, reader.sink);
    }

    /// The setting that an operation is burned with there: the named one, or the only one where none is named.
    pub fn setting_of(
        &self,
        name: Option<&str>,
        machine: &str,
        stock: &str,
        operation: OperationKind,
    ) -> Option<&Setting> {
        let mut fitting = self.settings.iter().filter(|s| {
            s.is_for(machine, stock) && s.operation == operation && name.is_none_or(|name| s.name == name)
        });
        let first = fitting.next()?;
        fitting.next().is_none().then_some(first)
    }

    /// The settings for one machine, stock and operation.
    pub fn settings_for<'a>(
        &'a self,
        machine: &'a str,
        stock: &'a str,
        operation: OperationKind,
    ) -> impl Iterator<Item = &'a Setting> {
        self.settings.iter().filter(move |s| s.machine == machine && s.stock == stock && s.operation == operation)
    }
}

fn add<T: ShopEntry>(list: &mut Vec<T>, entry: T, sink: &mut Sink) {
    if let Some(first) = list.iter().find(|e| e.clashes(&entry)) {
        sink.push(
            Diagnostic::new(&DOUBLED_NAME, format!("there are two {}s named `{}`", T::WHAT, entry.name()))
                .at(entry.span(), "second")
                .also(first.span(), "first")
                .because("which of them is burned would depend on the order of the files")
                .repair("give one of them another name"),
        );
    } else {
        list.push(entry);
    }
}

/// Decodes a shop file into `shop`, which holds what was brought in before it.
pub fn decode_shop(file: &Node, shop: &mut Shop, reader: &mut Reader) {
    let fields = reader.read(file, &SHOP_FILE);
    for (spec, node) in fields.children() {
        match spec.name {
            "use" => {} // Followed before.
            "machine" => shop.is_torn |= !add_one(&mut shop.machines, machine::decode(node, reader), reader.sink),
            "stock" => shop.is_torn |= !add_one(&mut shop.stocks, stock::decode(node, reader), reader.sink),
            "shade-card" => {
                shop.is_torn |= !add_one(&mut shop.shade_cards, shade::decode(node, reader), reader.sink);
            }
            "tone-card" => {
                shop.is_torn |= !add_one(&mut shop.tone_cards, tone::decode(node, reader), reader.sink);
            }
            "setting" => shop.read_setting(node, reader),
            "paper" => shop.paper = decode_paper(node, reader).or(shop.paper),
            "lesson" => shop.lessons.extend(decode_lesson(node, reader)),
            _ => shop.reminders.extend(decode_checklist(node, reader)),
        }
    }
}

/// Adds an entry; tells whether there was one.
fn add_one<T: ShopEntry>(list: &mut Vec<T>, entry: Option<T>, sink: &mut Sink) -> bool {
    let is_there = entry.is_some();
    if let Some(entry) = entry {
        add(list, entry, sink);
    }
    is_there
}
