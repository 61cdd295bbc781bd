//! A whole recipe.

use super::allow::{self, ALLOW, Allow};
use super::bench::{self, MACHINE_CHOICE, SHEET, STOCK_CHOICE, SheetSize};
use super::figure::{self, FIGURES, Figure};
use super::inputs::{INPUT, Input};
use super::repeat::{Cell, REPEAT, Repeated};
use super::run::{self, RUN, RunNode};
use crate::diagnostics::{Diagnostic, Finding, Severity};
use crate::schema::{Kind, NodeSpec, Often, Reader, defaulted, required};
use crate::shop::{
    CHECKLIST, LESSON, LessonEntry, Machine, Moment, OperationKind, PAPER, SETTING, Shop, Stock, USE,
    decode_checklist, decode_lesson, decode_paper,
};
use crate::source::{Span, Spanned};
use crate::syntax::Node;
use crate::units::Mm;

pub(super) static NEWER_LANGUAGE: Finding = Finding {
    rule: "recipe/newer-language",
    severity: Severity::Error,
    title: "a recipe is written in a newer language than this program knows",
    explanation: "`language=` says which version of the recipe language a recipe is written in. A newer one may hold words \
        that this program would misread.",
    wrong: "recipe \"Pond\" language=9",
    right: "recipe \"Pond\" language=1",
};

pub(super) static WRONG_FILE_NAME: Finding = Finding {
    rule: "recipe/file-name",
    severity: Severity::Error,
    title: "a file is not named as recipes are",
    explanation: "Recipes are named `NAME.recipe.kdl`, so that people and editors know them; the output folder gets NAME.",
    wrong: "kerfbook build pond.kdl",
    right: "kerfbook build pond.recipe.kdl",
};

/// The version of the recipe language.
const LANGUAGE: u32 = 1;

static ABOUT: NodeSpec = NodeSpec {
    name: "about",
    about: "What the piece is, for people.",
    arguments: &[required("text", Kind::Text, "the text")],
    properties: &[],
    children: &[],
    example: "about \"A burned picture on thin plywood, then cut into a jigsaw.\"",
};

static HEADER: NodeSpec = NodeSpec {
    name: "recipe",
    about: "The title of the recipe and the version of the language it is written in.",
    arguments: &[required("title", Kind::Text, "the title, as it stands on the job sheet")],
    properties: &[defaulted("language", Kind::Count(1, 1_000_000), "1", "the version of the recipe language")],
    children: &[(&ABOUT, Often::AtMostOnce)],
    example: "recipe \"Heron pond keepsake\" language=1 {\n    about \"A burned picture on thin plywood, then cut into a jigsaw.\"\n}",
};

/// A whole recipe file.
pub static RECIPE_FILE: NodeSpec = NodeSpec {
    name: "a recipe file",
    about: "A recipe file (`NAME.recipe.kdl`) describes one piece: what it is made from, what is drawn on it and in which \
        order it is burned.",
    arguments: &[],
    properties: &[],
    children: &[
        (&HEADER, Often::Once),
        (&USE, Often::Any),
        (&INPUT, Often::Any),
        (&MACHINE_CHOICE, Often::Once),
        (&STOCK_CHOICE, Often::Once),
        (&SETTING, Often::Any),
        (&SHEET, Often::Once),
        FIGURES[0],
        FIGURES[1],
        FIGURES[2],
        FIGURES[3],
        FIGURES[4],
        FIGURES[5],
        FIGURES[6],
        FIGURES[7],
        FIGURES[8],
        FIGURES[9],
        FIGURES[10],
        FIGURES[11],
        FIGURES[12],
        (&REPEAT, Often::Any),
        (&RUN, Often::Any),
        (&LESSON, Often::Any),
        (&CHECKLIST, Often::Any),
        (&PAPER, Often::AtMostOnce),
        (&ALLOW, Often::Any),
    ],
    example: "recipe \"Coaster\" language=1\nuse \"bench.shop.kdl\"\nmachine \"bench-diode\"\nstock \"birch-3\"\nsheet \"120 mm\" \"120 mm\"\nboard { circle \"95 mm\" }\nrun \"cut\" { cut \"board\" }",
};

/// A recipe, decoded and with all its files read.
#[derive(Clone, Debug)]
pub struct Recipe {
    /// Its title.
    pub title: String,
    /// What the piece is.
    pub about: String,
    /// The inputs with their values.
    pub inputs: Vec<Input>,
    /// The machine.
    pub machine: Option<Spanned<String>>,
    /// The stock.
    pub stock: Option<Spanned<String>>,
    /// The raw piece.
    pub sheet: Option<SheetSize>,
    /// The figures, in order.
    pub figures: Vec<Figure>,
    /// The figures that stand for one in each row of a table.
    pub repeated: Vec<Repeated>,
    /// The boxes that the figures of rows lie in.
    pub cells: Vec<Cell>,
    /// The runs, in order.
    pub runs: Vec<RunNode>,
    /// Everything the shop files hold, and the recipe's own settings.
    pub shop: Shop,
    /// The recipe's own lessons.
    pub lessons: Vec<LessonEntry>,
    /// The recipe's own additions to the checklists.
    pub reminders: Vec<(Moment, String)>,
    /// Accepted warnings.
    pub allows: Vec<Allow>,
    /// The whole text.
    pub span: Span,
}

impl Recipe {
    /// The figure of a name.
    pub fn figure(&self, name: &str) -> Option<&Figure> {
        self.figures.iter().find(|f| f.name.value == name)
    }

    /// The cell of a `repeat` of a name.
    pub fn cell(&self, name: &str) -> Option<&Cell> {
        self.cells.iter().find(|c| c.name == name)
    }

    /// Lets operations that name a figure of a `repeat` burn that of every row.
    pub(super) fn spread_operations(&mut self) {
        let repeated = &self.repeated;
        let copies = |name: &Spanned<String>| match repeated.iter().find(|r| r.name == name.value) {
            Some(one) => one.copies.iter().map(|c| Spanned::new(c.clone(), name.span)).collect(),
            None => vec![name.clone()],
        };
        for operation in self.runs.iter_mut().flat_map(|r| &mut r.operations) {
            operation.figures = operation.figures.iter().flat_map(copies).collect();
        }
    }

    /// The width of the cut along a figure: that of the first setting that cuts it, else that of the stock. `None` where
    /// neither was measured.
    pub fn kerf_along(&self, figure: &str) -> Option<Mm> {
        let stock = self.chosen_stock()?;
        let mut operations = self.runs.iter().flat_map(|r| &r.operations);
        let cut = operations.find(|o| o.kind == OperationKind::Cut && o.figures.iter().any(|f| f.value == figure));
        let setting = cut.zip(self.chosen_machine()).and_then(|(cut, machine)| {
            let name = cut.setting.as_ref().map(|s| s.value.as_str());
            self.shop.setting_of(name, &machine.name, &stock.name, OperationKind::Cut)
        });
        setting.and_then(|s| s.kerf).or(stock.kerf)
    }

    /// The machine it is burned on; `None` when none is named or known, which is reported.
    pub fn chosen_machine(&self) -> Option<&Machine> {
        self.shop.machine(&self.machine.as_ref()?.value)
    }

    /// The stock it is burned from; `None` when none is named or known, which is reported.
    pub fn chosen_stock(&self) -> Option<&Stock> {
        self.shop.stock(&self.stock.as_ref()?.value)
    }
}

/// Whether a file's language can be read; a newer one gets one clear finding instead of twenty.
pub(super) fn check_language(file: &Node, reader: &mut Reader) -> bool {
    let header = file.children.iter().flatten().find(|n| n.name.value == HEADER.name);
    let written = header.and_then(|h| h.properties.iter().find(|p| p.name.value == "language"));
    let Some(written) = written else { return true };
    let number = match &written.value.data {
        crate::syntax::ValueData::Number(number) => number.parse::<u32>().ok(),
        _ => None,
    };
    if number.is_none_or(|n| n <= LANGUAGE) {
        return true; // A value of a wrong kind is reported when the header is decoded.
    }
    reader.sink.push(
        Diagnostic::new(&NEWER_LANGUAGE, "this recipe is written in a newer language".to_owned())
            .at(written.value.span, format!("this program knows version {LANGUAGE}"))
            .because("words it does not know might be burned wrongly")
            .repair("get a newer version of this program, or the recipe's older version"),
    );
    false
}

/// Decodes a recipe file, all but its `repeat` nodes, which come beside it. `shop` holds what its `use` nodes brought in.
pub(super) fn decode<'n>(
    file: &'n Node,
    inputs: Vec<Input>,
    shop: Shop,
    reader: &mut Reader,
) -> (Recipe, Vec<&'n Node>) {
    let fields = reader.read(file, &RECIPE_FILE);
    let mut recipe = Recipe {
        title: String::new(),
        about: String::new(),
        inputs,
        machine: None,
        stock: None,
        sheet: None,
        figures: Vec::new(),
        repeated: Vec::new(),
        cells: Vec::new(),
        runs: Vec::new(),
        shop,
        lessons: Vec::new(),
        reminders: Vec::new(),
        allows: Vec::new(),
        span: file.span,
    };
    for (spec, node) in fields.children() {
        take(&mut recipe, spec, node, reader);
    }
    (recipe, fields.children_of(&REPEAT).collect())
}

/// Takes one top node into the recipe.
fn take(recipe: &mut Recipe, spec: &'static NodeSpec, node: &Node, reader: &mut Reader) {
    match spec.name {
        "use" | "input" | "repeat" => {} // Read before everything else, or drawn after it.
        "recipe" => header(recipe, node, reader),
        "machine" => recipe.machine = bench::choice(node, &MACHINE_CHOICE, reader),
        "stock" => recipe.stock = bench::choice(node, &STOCK_CHOICE, reader),
        "sheet" => recipe.sheet = bench::sheet(node, reader),
        "setting" => recipe.shop.read_setting(node, reader),
        "run" => recipe.runs.extend(run::decode(node, reader, &mut recipe.allows)),
        "lesson" => recipe.lessons.extend(decode_lesson(node, reader)),
        "checklist" => recipe.reminders.extend(decode_checklist(node, reader)),
        "paper" => recipe.shop.paper = decode_paper(node, reader).or(recipe.shop.paper),
        "allow" => recipe.allows.extend(allow::decode(node, recipe.span, reader)),
        _ => recipe.figures.extend(figure::decode(spec, node, reader, &mut recipe.allows)),
    }
}

fn header(recipe: &mut Recipe, node: &Node, reader: &mut Reader) {
    let fields = reader.read(node, &HEADER);
    recipe.title = fields.text("title").map(|t| t.text).unwrap_or_default();
    if let Some(about) = fields.children_of(&ABOUT).next() {
        recipe.about = reader.read(about, &ABOUT).text("text").map(|t| t.text).unwrap_or_default();
    }
}
