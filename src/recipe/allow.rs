//! `allow`: accepting one warning, with the reason.

use crate::diagnostics::{Diagnostic, Finding, Severity, Sink, near_names};
use crate::schema::{Fields, Kind, NodeSpec, Reader, required};
use crate::source::{Span, Spanned};

pub(super) static UNKNOWN_RULE: Finding = Finding {
    rule: "allow/unknown-rule",
    severity: Severity::Error,
    title: "`allow` names a rule that does not exist",
    explanation: "The name of a rule stands first in each finding, behind its severity; `explain rules` lists them all.",
    wrong: "allow \"layout/outside-the-board\" because=\"it hangs over on purpose\"",
    right: "allow \"layout/outside-board\" because=\"it hangs over on purpose\"",
};

pub(super) static NOT_EXCUSABLE: Finding = Finding {
    rule: "allow/not-excusable",
    severity: Severity::Error,
    title: "`allow` is used on an error",
    explanation: "Only warnings and advice can be accepted. An error means that nothing right or safe can be written.",
    wrong: "allow \"material/refused\" because=\"just this once\"",
    right: "stock \"birch-3\"",
};

pub(super) static EXCUSES_NOTHING: Finding = Finding {
    rule: "allow/excuses-nothing",
    severity: Severity::Warning,
    title: "an `allow` accepts nothing",
    explanation: "What it accepted is mended or has moved. A reason that no longer fits would hide the next finding, so \
        it is better removed.",
    wrong: "allow \"layout/outside-board\" because=\"…\"",
    right: "(remove it)",
};

/// `allow`.
pub static ALLOW: NodeSpec = NodeSpec {
    name: "allow",
    about: "Accepts one warning about the node it stands in, and says why. The reason goes on the job sheet.",
    arguments: &[required("rule", Kind::Verbatim, "the rule, as it stands first in the finding")],
    properties: &[required("because", Kind::Text, "why it is all right here")],
    children: &[],
    example: "allow \"layout/outside-board\" because=\"the ears stick out on purpose\"",
};

/// One accepted warning.
#[derive(Clone, Debug)]
pub struct Allow {
    /// The rule.
    pub rule: Spanned<String>,
    /// Why.
    pub because: String,
    /// The node it stands in: what it excuses has to lie there.
    pub scope: Span,
    /// Where it is written.
    pub head: Span,
}

/// Takes the `allow`s among a node's children.
pub(super) fn take(fields: &Fields, reader: &mut Reader) -> Vec<Allow> {
    let nodes: Vec<_> = fields.children_of(&ALLOW).collect();
    nodes.into_iter().filter_map(|node| decode(node, fields.node().span, reader)).collect()
}

/// Decodes one `allow` that excuses findings inside `scope`.
pub(super) fn decode(node: &crate::syntax::Node, scope: Span, reader: &mut Reader) -> Option<Allow> {
    let own = reader.read(node, &ALLOW);
    Some(Allow { rule: own.name("rule")?, because: own.text("because")?.text, scope, head: own.head() })
}

/// Marks the findings that are accepted, and reports `allow`s that are wrong or idle.
///
/// `rules` are all rules there are; whether an idle `allow` is worth a word can only be said when all checks
/// have run, so `is_complete` is off when an error stopped the build before.
pub fn apply_allows(allows: &[Allow], rules: &[&'static Finding], is_complete: bool, sink: &mut Sink) {
    for allow in allows {
        let Some(rule) = rules.iter().find(|r| r.rule == allow.rule.value) else {
            let near = near_names(&allow.rule.value, rules.iter().map(|r| r.rule));
            let diagnostic = Diagnostic::new(&UNKNOWN_RULE, format!("there is no rule `{}`", allow.rule.value))
                .at(allow.rule.span, "not a rule");
            sink.push(match near.first() {
                Some(near) => diagnostic.repair_with(
                    format!("there is a rule with a similar name: `{near}`"),
                    allow.rule.span,
                    format!("\"{near}\""),
                ),
                None => {
                    diagnostic.repair("write the rule as it stands first in the finding that is to be accepted")
                }
            });
            continue;
        };
        if rule.severity == Severity::Error {
            sink.push(
                Diagnostic::new(&NOT_EXCUSABLE, format!("`{}` is an error and cannot be accepted", rule.rule))
                    .at(allow.head, "has no effect")
                    .repair("mend what it points at, and remove this"),
            );
            continue;
        }
        if !accept(allow, sink) && is_complete {
            sink.push(
                Diagnostic::new(&EXCUSES_NOTHING, format!("nothing here breaks `{}`", allow.rule.value))
                    .at(allow.head, "accepts nothing")
                    .repair("remove it"),
            );
        }
    }
}

fn accept(allow: &Allow, sink: &mut Sink) -> bool {
    let lies_in_scope = |span: Span| {
        span.source == allow.scope.source && allow.scope.start <= span.start && span.end <= allow.scope.end
    };
    let mut found = false;
    for diagnostic in sink.iter_mut() {
        let here = diagnostic.primary.as_ref().is_some_and(|label| lies_in_scope(label.span));
        if here && diagnostic.finding.rule == allow.rule.value && diagnostic.severity != Severity::Error {
            diagnostic.accepted = Some(allow.because.clone());
            found = true;
        }
    }
    found
}
