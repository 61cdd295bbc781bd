//! What the stock is made of.

use super::Job;
use crate::diagnostics::{Diagnostic, Finding, Severity, Sink};
use crate::safety::{Judgement, judge, only_marked};
use crate::shop::OperationKind;

pub(super) static REFUSED: Finding = Finding {
    rule: "material/refused",
    severity: Severity::Error,
    title: "the material may not be burned",
    explanation: "Some materials give off poisons or eat lungs and machine when they are burned; what nobody can name may be \
        one of them. Nothing is written for them, and no `allow` changes that. A stock is judged by the full name of \
        its material.",
    wrong: "stock \"sheet-2\" material=\"vinyl\" thickness=\"2 mm\"",
    right: "stock \"birch-3\" material=\"birch plywood\" thickness=\"3.1 mm\"",
};

pub(super) static UNDECLARED: Finding = Finding {
    rule: "material/undeclared",
    severity: Severity::Error,
    title: "the material is not one that is known",
    explanation: "What a material gives off when it burns can only be said of one that is named: `birch plywood`, `cast \
        acrylic`, `card`. A trade name says nothing of what is in it; the maker's safety data sheet does.",
    wrong: "stock \"offcut\" material=\"the white stuff\" thickness=\"3 mm\"",
    right: "stock \"offcut\" material=\"cast acrylic\" thickness=\"3 mm\"",
};

pub(super) static WITH_CARE: Finding = Finding {
    rule: "material/with-care",
    severity: Severity::Advice,
    title: "the material may only be burned on conditions",
    explanation: "The message lists what is asked for with this material; it stands on the job sheet too. The machine's \
        manual, the supplier's safety data sheet and local rules come first.",
    wrong: "stock \"board-3\" material=\"MDF\" thickness=\"3 mm\"",
    right: "allow \"material/with-care\" because=\"data sheet read; the extraction is on while it burns\"",
};

pub(super) static ONLY_MARKED: Finding = Finding {
    rule: "material/only-marked",
    severity: Severity::Warning,
    title: "a material that is only marked would be cut",
    explanation: "A small laser does not part metal, glass or stone. Where it would have to, heat goes into the piece until it \
        cracks or warps, and bare metal sends the beam back. (Common practice, no source; the machine's manual says what \
        yours may cut.)",
    wrong: "stock \"plaque\" material=\"slate\" thickness=\"5 mm\"\nrun \"all\" { cut \"board\" }",
    right: "stock \"plaque\" material=\"slate\" thickness=\"5 mm\"\nrun \"all\" { score \"board\" }",
};

/// Judges the material of the stock, and what is done to it.
pub(super) fn check(job: &Job, sink: &mut Sink) {
    of_the_stock(job, sink);
    let stock = &job.plan.stock;
    let Some(taken_as) = only_marked(&stock.material) else { return };
    for (_, operation) in job.burning().filter(|(_, operation)| operation.kind == OperationKind::Cut) {
        let message = format!("this cuts `{}`, which is only marked", stock.material);
        sink.push(
            Diagnostic::new(&ONLY_MARKED, message)
                .at(operation.span, "would be cut through")
                .also(stock.span, format!("taken as: {taken_as}"))
                .because(
                    "the beam does not go through; the piece cracks or warps, and bare metal sends the beam back",
                )
                .repair("`score` or `engrave` it, and get the piece cut to its size"),
        );
    }
}

fn of_the_stock(job: &Job, sink: &mut Sink) {
    let stock = &job.plan.stock;
    let named = job.recipe.stock.as_ref().map_or(stock.span, |s| s.span);
    let shown = &stock.material;
    let diagnostic = match judge(shown) {
        Judgement::Known { .. } => return,
        Judgement::Refused { material, why, .. } => {
            Diagnostic::new(&REFUSED, format!("`{shown}` may not be burned"))
                .at(named, format!("taken as: {material}"))
                .because(why)
                .repair("choose another stock; this cannot be accepted with `allow`")
        }
        Judgement::Unknown => Diagnostic::new(&UNDECLARED, format!("`{shown}` is not a known material"))
            .at(named, "nobody can say what it gives off")
            .because("its smoke may be poisonous or eat the machine")
            .repair("write the full name of the material, as its maker's safety data sheet gives it"),
        Judgement::Caution { material, conditions, .. } => {
            Diagnostic::new(&WITH_CARE, format!("`{shown}` is burned on conditions"))
                .at(named, format!("taken as: {material}"))
                .because(conditions.iter().map(|c| begun_small(c)).collect::<Vec<_>>().join("; "))
                .repair("see to them; an `allow` says on the job sheet that you have")
        }
    };
    sink.push(diagnostic.also(stock.span, "described here"));
}

/// A condition as a part of a sentence.
fn begun_small(condition: &str) -> String {
    let mut letters = condition.chars();
    letters.next().map_or_else(String::new, |first| first.to_lowercase().chain(letters).collect())
}
