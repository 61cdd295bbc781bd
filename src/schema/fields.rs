//! One node checked against its description.

use super::decoded::{Decoded, TextValue};
use super::expression::Expression;
use super::scope::Scope;
use super::spec::{Need, NodeSpec, Often, Slot};
use super::values::{decode, holds};
use crate::diagnostics::{Diagnostic, Finding, Severity, Sink, near_names, quoted_list};
use crate::source::{Span, Spanned};
use crate::syntax::{Node, Value, ValueData};
use std::collections::{BTreeMap, BTreeSet};

pub(super) static UNKNOWN_NODE: Finding = Finding {
    rule: "schema/unknown-node",
    severity: Severity::Error,
    title: "a node is not known here",
    explanation: "Nothing is silently ignored: a mistyped node would leave out a cut or a lesson without a word. \
        `explain NODE` lists what may stand inside a node.",
    wrong: "run \"separate\" { cutt \"board\" }",
    right: "run \"separate\" { cut \"board\" }",
};

pub(super) static UNKNOWN_PROPERTY: Finding = Finding {
    rule: "schema/unknown-property",
    severity: Severity::Error,
    title: "a property is not known here",
    explanation: "Nothing is silently ignored. `explain NODE` lists the properties of a node.",
    wrong: "lettering \"date\" \"4 May\" font=\"fonts/a.ttf\" hight=\"12 mm\"",
    right: "lettering \"date\" \"4 May\" font=\"fonts/a.ttf\" height=\"12 mm\"",
};

pub(super) static DOUBLED_PROPERTY: Finding = Finding {
    rule: "schema/doubled-property",
    severity: Severity::Error,
    title: "a property is written twice",
    explanation: "KDL would silently take the last one. Here two values for one thing are an error.",
    wrong: "offset \"halo\" of=\"sun\" by=\"2 mm\" by=\"3 mm\"",
    right: "offset \"halo\" of=\"sun\" by=\"3 mm\"",
};

pub(super) static SURPLUS_ARGUMENT: Finding = Finding {
    rule: "schema/surplus-argument",
    severity: Severity::Error,
    title: "there is a value too many",
    explanation: "A node takes the arguments that its description lists and no more. A unit that slipped out of its \
        quotes (`8.5 in`) is the usual cause.",
    wrong: "sheet \"12 in\" \"12 in\" \"3 mm\"",
    right: "sheet \"12 in\" \"12 in\"",
};

pub(super) static MISSING_VALUE: Finding = Finding {
    rule: "schema/missing-value",
    severity: Severity::Error,
    title: "a value has to be written and is not",
    explanation: "Some arguments and properties cannot be left out, because no default would be safe to burn.",
    wrong: "offset \"halo\" of=\"sun\"",
    right: "offset \"halo\" of=\"sun\" by=\"2 mm\"",
};

pub(super) static MISSING_NODE: Finding = Finding {
    rule: "schema/missing-node",
    severity: Severity::Error,
    title: "a node has to be there and is not",
    explanation: "A recipe needs a title, a sheet, a machine and a stock before anything can be planned, and a machine in a \
        shop file a laser, a bed, a spot and a motion.",
    wrong: "machine \"attic\" {\n    laser \"diode\" wavelength=\"450 nm\" power=\"5 W\"\n    bed \"300 mm\" \"200 mm\"\n    \
        spot \"0.1 mm\"\n}",
    right: "machine \"attic\" {\n    laser \"diode\" wavelength=\"450 nm\" power=\"5 W\"\n    bed \"300 mm\" \"200 mm\"\n    \
        spot \"0.1 mm\"\n    motion top=\"200 mm/s\" acceleration=\"1000 mm/s2\"\n}",
};

pub(super) static DOUBLED_NODE: Finding = Finding {
    rule: "schema/doubled-node",
    severity: Severity::Error,
    title: "a node stands twice where one is wanted",
    explanation: "Two sheets or two boards would contradict each other; neither is taken in silence.",
    wrong: "sheet \"12 in\" \"12 in\"\nsheet \"10 in\" \"12 in\"",
    right: "sheet \"12 in\" \"12 in\"",
};

pub(super) static NO_CHILDREN: Finding = Finding {
    rule: "schema/no-children",
    severity: Severity::Error,
    title: "a node that holds nothing has braces with nodes in them",
    explanation: "This node is complete without children. What stands in the braces probably belongs one level up.",
    wrong: "sheet \"12 in\" \"12 in\" { board { } }",
    right: "sheet \"12 in\" \"12 in\"\nboard { rectangle \"100 mm\" \"60 mm\" }",
};

/// The property that every node takes: it switches the node on.
const WHEN: &str = "when";

/// Reads nodes against their descriptions.
#[derive(Debug)]
pub struct Reader<'a> {
    /// The inputs.
    pub scope: &'a Scope,
    /// Where findings go.
    pub sink: &'a mut Sink,
}

/// The checked content of one node, to be taken by name.
#[derive(Debug)]
pub struct Fields<'n> {
    node: &'n Node,
    spec: &'static NodeSpec,
    values: BTreeMap<&'static str, Vec<Decoded>>,
    spans: BTreeMap<&'static str, Span>,
    children: Vec<(&'static NodeSpec, &'n Node)>,
    is_whole: bool,
}

impl Reader<'_> {
    /// Checks a node and decodes its values. What does not fit is reported and left out.
    pub fn read<'n>(&mut self, node: &'n Node, spec: &'static NodeSpec) -> Fields<'n> {
        let mut fields = Fields {
            node,
            spec,
            values: BTreeMap::new(),
            spans: BTreeMap::new(),
            children: Vec::new(),
            is_whole: true,
        };
        self.arguments(&mut fields);
        self.properties(&mut fields);
        self.children(&mut fields);
        fields
    }

    fn arguments(&mut self, fields: &mut Fields) {
        let (node, spec) = (fields.node, fields.spec);
        let last = spec.arguments.last();
        for (index, value) in node.arguments.iter().enumerate() {
            let slot = spec.arguments.get(index).or(last.filter(|s| s.need == Need::Repeated));
            match slot {
                Some(slot) => self.value(fields, slot, value),
                None => self.surplus(fields, value),
            }
        }
        for slot in spec.arguments.iter().skip(node.arguments.len()) {
            self.absent(fields, slot);
        }
    }

    fn surplus(&mut self, fields: &mut Fields, value: &Value) {
        let spec = fields.spec;
        let takes = match spec.arguments {
            [] => "takes no argument".to_owned(),
            list => format!("takes {}", quoted_list(list.iter().map(|s| s.name), "and")),
        };
        let mut diagnostic =
            Diagnostic::new(&SURPLUS_ARGUMENT, format!("`{}` {takes}; this is one too many", spec.name))
                .at(value.span, "has no meaning here");
        if let ValueData::Text(word) = &value.data
            && crate::units::parse_unit(word).is_ok()
        {
            diagnostic = diagnostic.repair("put the number and its unit into one pair of quotes: `\"8.5 in\"`");
        } else {
            let properties = quoted_list(spec.properties.iter().map(|s| s.name), "and");
            diagnostic = diagnostic.repair(match properties.as_str() {
                "" => "remove it".to_owned(),
                names => format!("remove it, or say what it is: `name=value` with {names}"),
            });
        }
        self.sink.push(diagnostic);
        fields.is_whole = false;
    }

    fn properties(&mut self, fields: &mut Fields) {
        let (node, spec) = (fields.node, fields.spec);
        let mut seen: BTreeMap<&str, Span> = BTreeMap::new();
        for property in &node.properties {
            let name = property.name.value.as_str();
            if let Some(first) = seen.insert(name, property.span) {
                self.sink.push(
                    Diagnostic::new(&DOUBLED_PROPERTY, format!("`{name}` is written twice"))
                        .at(property.span, "second")
                        .also(first, "first")
                        .repair("keep one of them"),
                );
                continue;
            }
            if name == WHEN && !spec.properties.iter().any(|s| s.name == WHEN) {
                continue; // The parent has read it.
            }
            if let Some(slot) = spec.properties.iter().find(|s| s.name == name) {
                self.value(fields, slot, &property.value);
            } else {
                self.unknown_property(fields, &property.name);
                // It may be the mistyped name of what is then missed.
                fields.is_whole = false;
            }
        }
        for slot in spec.properties.iter().filter(|s| !seen.contains_key(s.name)) {
            self.absent(fields, slot);
        }
    }

    fn unknown_property(&mut self, fields: &mut Fields, name: &Spanned<String>) {
        let known = || fields.spec.properties.iter().map(|s| s.name);
        let diagnostic =
            Diagnostic::new(&UNKNOWN_PROPERTY, format!("`{}` has no property `{}`", fields.spec.name, name.value))
                .at(name.span, "not known here");
        let near = near_names(&name.value, known());
        let as_child = fields.spec.children.iter().any(|(c, _)| c.name == name.value);
        self.sink.push(match near.as_slice() {
            _ if as_child => {
                diagnostic.repair(format!("`{0}` is a node of its own: write `{{ {0} … }}`", name.value))
            }
            [only] => diagnostic.repair_with(
                format!("there is a property with a similar name: `{only}`"),
                name.span,
                (*only).to_owned(),
            ),
            [] if fields.spec.properties.is_empty() => diagnostic.repair("it takes no properties"),
            [] => diagnostic.repair(format!("it has {}", quoted_list(known(), "and"))),
            _ => diagnostic
                .repair(format!("properties with similar names: {}", quoted_list(near.iter().copied(), "and"))),
        });
    }

    fn value(&mut self, fields: &mut Fields, slot: &'static Slot, value: &Value) {
        fields.spans.entry(slot.name).or_insert(value.span);
        match decode(value, slot, self.scope, self.sink) {
            Some(decoded) => fields.values.entry(slot.name).or_default().push(decoded),
            None => fields.is_whole = false,
        }
    }

    /// Reports a required value that is absent, or puts the default in its place.
    fn absent(&mut self, fields: &mut Fields, slot: &'static Slot) {
        match slot.need {
            Need::Optional => {}
            Need::Required | Need::Repeated => {
                if !fields.values.contains_key(slot.name) {
                    self.sink.push(missing(fields, slot));
                    fields.is_whole = false;
                }
            }
            Need::Default(written) => {
                let value = default_value(slot, written, fields.node.head);
                if let Some(decoded) = decode(&value, slot, self.scope, self.sink) {
                    fields.values.entry(slot.name).or_default().push(decoded);
                }
            }
        }
    }

    fn children(&mut self, fields: &mut Fields) {
        let (node, spec) = (fields.node, fields.spec);
        let written = node.children.as_deref().unwrap_or_default();
        if let (Some(first), true) = (written.first(), spec.children.is_empty()) {
            self.sink.push(
                Diagnostic::new(&NO_CHILDREN, format!("`{}` holds no nodes", spec.name))
                    .at(first.head, "cannot stand inside it")
                    .also(node.head, "this node is complete without braces")
                    .repair("move what stands in the braces one level up"),
            );
            fields.is_whole = false;
            return;
        }
        for child in written {
            match spec.children.iter().find(|(s, _)| s.name == child.name.value) {
                Some((child_spec, _)) if self.is_on(child, child_spec) => {
                    fields.children.push((child_spec, child));
                }
                Some(_) => {}
                None => {
                    self.unknown_node(spec, child);
                    fields.is_whole = false;
                }
            }
        }
        self.count_children(fields);
    }

    /// Whether the node's `when` holds; a `when` that cannot be read has been reported and counts as on.
    fn is_on(&mut self, child: &Node, spec: &NodeSpec) -> bool {
        let own = spec.properties.iter().any(|s| s.name == WHEN);
        let written = child.properties.iter().find(|p| p.name.value == WHEN && !own);
        written.is_none_or(|p| holds(&p.value, self.scope, self.sink).unwrap_or(true))
    }

    fn unknown_node(&mut self, spec: &NodeSpec, child: &Node) {
        let name = &child.name;
        let known = || spec.children.iter().map(|(s, _)| s.name);
        let near = near_names(&name.value, known());
        let message = format!("`{}` is not known inside {}", name.value, place_name(spec));
        let diagnostic = Diagnostic::new(&UNKNOWN_NODE, message).at(name.span, "not known here");
        self.sink.push(match near.as_slice() {
            [only] => diagnostic.repair_with(
                format!("there is a node with a similar name: `{only}`"),
                name.span,
                (*only).to_owned(),
            ),
            [] => diagnostic.repair(format!("here may stand {}", quoted_list(known(), "or"))),
            _ => diagnostic
                .repair(format!("nodes with similar names: {}", quoted_list(near.iter().copied(), "and"))),
        });
    }

    fn count_children(&mut self, fields: &mut Fields) {
        for (spec, often) in fields.spec.children {
            let mut of_kind = fields.children.iter().filter(|(s, _)| s.name == spec.name).map(|(_, n)| *n);
            let (first, second) = (of_kind.next(), of_kind.next());
            match (often, first, second) {
                (Often::Once, None, _) => {
                    self.sink.push(
                        Diagnostic::new(
                            &MISSING_NODE,
                            format!("{} needs a `{}`", place_name(fields.spec), spec.name),
                        )
                        .at(fields.node.head, format!("no `{}` in it", spec.name))
                        .repair(format!("add it: `{}`", in_one_line(spec.example))),
                    );
                    fields.is_whole = false;
                }
                (Often::Once | Often::AtMostOnce, Some(first), Some(second)) => {
                    self.sink.push(
                        Diagnostic::new(&DOUBLED_NODE, format!("`{}` stands twice", spec.name))
                            .at(second.head, "second")
                            .also(first.head, "first")
                            .repair("keep one of them"),
                    );
                    fields.is_whole = false;
                }
                _ => {}
            }
        }
    }
}

/// An example as it is shown within a sentence: closed, and without what stands in its braces where that takes lines.
fn in_one_line(example: &str) -> String {
    let mut lines = example.lines();
    let first = lines.next().unwrap_or_default();
    if lines.next().is_none() { first.to_owned() } else { format!("{first} … }}") }
}

/// `` `run` ``, or the file itself for the node that stands for a whole text.
fn place_name(spec: &NodeSpec) -> String {
    if spec.name.contains(' ') { spec.name.to_owned() } else { format!("`{}`", spec.name) }
}

fn missing(fields: &Fields, slot: &Slot) -> Diagnostic {
    let is_argument = fields.spec.arguments.iter().any(|s| s.name == slot.name);
    let sample = match slot.kind {
        super::Kind::Quantity { dimension, .. } | super::Kind::Signed(dimension) => dimension.sample().to_owned(),
        super::Kind::Count(low, _) => low.max(3).to_string(),
        _ => "\"…\"".to_owned(),
    };
    let written = if is_argument { sample } else { format!("{}={sample}", slot.name) };
    Diagnostic::new(
        &MISSING_VALUE,
        format!("`{}` needs `{}`: {}", fields.spec.name, slot.name, slot.kind.expects()),
    )
    .at(fields.node.head, format!("missing: {}", slot.about))
    .repair(format!("add `{written}`"))
}

/// The default of a slot as if it had been written.
fn default_value(slot: &Slot, written: &str, span: Span) -> Value {
    let data = match slot.kind {
        super::Kind::Count(..) => ValueData::Number(written.to_owned()),
        super::Kind::Flag => ValueData::Flag(written == "#true"),
        _ => ValueData::Text(written.to_owned()),
    };
    Value { data, annotation: None, span, inner: None }
}

impl<'n> Fields<'n> {
    /// The node itself.
    pub const fn node(&self) -> &'n Node {
        self.node
    }

    /// What is underlined when the node as a whole is meant.
    pub const fn head(&self) -> Span {
        self.node.head
    }

    /// Whether everything in the node was right; if not, it has been reported.
    pub const fn is_whole(&self) -> bool {
        self.is_whole
    }

    /// Where a value is written; the node's head when it is a default.
    pub fn span_of(&self, slot: &str) -> Span {
        self.spans.get(slot).copied().unwrap_or(self.node.head)
    }

    fn one(&self, slot: &str) -> Option<&Decoded> {
        debug_assert!(
            self.spec.arguments.iter().chain(self.spec.properties).any(|s| s.name == slot),
            "`{}` describes no `{slot}`",
            self.spec.name
        );
        self.values.get(slot)?.first()
    }

    /// A text, a path, a name or a colour.
    pub fn text(&self, slot: &str) -> Option<TextValue> {
        match self.one(slot)? {
            Decoded::Text(text) => Some(text.clone()),
            _ => None,
        }
    }

    /// A name with its place.
    pub fn name(&self, slot: &str) -> Option<Spanned<String>> {
        self.text(slot).map(|t| Spanned::new(t.text, t.span))
    }

    /// All values of a repeated argument.
    pub fn names(&self, slot: &str) -> Vec<Spanned<String>> {
        let all = self.values.get(slot).map(Vec::as_slice).unwrap_or_default();
        all.iter()
            .filter_map(|d| match d {
                Decoded::Text(text) => Some(Spanned::new(text.text.clone(), text.span)),
                _ => None,
            })
            .collect()
    }

    /// A quantity that may name figures.
    pub fn quantity(&self, slot: &str) -> Option<Spanned<Expression>> {
        match self.one(slot)? {
            Decoded::Quantity(quantity) => Some(quantity.clone()),
            _ => None,
        }
    }

    /// A quantity that names no figure, as a float in the base unit of its dimension.
    pub fn known(&self, slot: &str) -> Option<f64> {
        Some(self.quantity(slot)?.value.constant()?.to_f64())
    }

    /// A whole number.
    pub fn count(&self, slot: &str) -> Option<u32> {
        match self.one(slot)? {
            Decoded::Count(count) => Some(*count),
            _ => None,
        }
    }

    /// A switch; off where it is not written.
    pub fn flag(&self, slot: &str) -> bool {
        matches!(self.one(slot), Some(Decoded::Flag(true)))
    }

    /// A switch, if it is written.
    pub fn flag_if_written(&self, slot: &str) -> Option<bool> {
        match self.one(slot)? {
            Decoded::Flag(flag) => Some(*flag),
            _ => None,
        }
    }

    /// One of some words.
    pub fn word(&self, slot: &str) -> Option<&'static str> {
        match self.one(slot)? {
            Decoded::Word(word) => Some(word),
            _ => None,
        }
    }

    /// A value of any kind.
    pub fn raw(&self, slot: &str) -> Option<Value> {
        match self.one(slot)? {
            Decoded::Raw(value) => Some(value.clone()),
            _ => None,
        }
    }

    /// The children, in order, each with its description; those switched off are left out.
    pub fn children(&self) -> impl Iterator<Item = (&'static NodeSpec, &'n Node)> + '_ {
        self.children.iter().copied()
    }

    /// The children of one kind, in order.
    pub fn children_of(&self, spec: &'static NodeSpec) -> impl Iterator<Item = &'n Node> + '_ {
        self.children.iter().filter(move |(s, _)| s.name == spec.name).map(|(_, n)| *n)
    }

    /// The names of all slots and children, for tests that compare them with what a decoder takes.
    pub fn known_names(&self) -> BTreeSet<&'static str> {
        let slots = self.spec.arguments.iter().chain(self.spec.properties).map(|s| s.name);
        slots.chain(self.spec.children.iter().map(|(s, _)| s.name)).collect()
    }
}
