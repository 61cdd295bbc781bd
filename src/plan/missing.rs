//! What is said of settings that were never measured: each once, with every place that needs it and what is near.

use super::card_command::settings_card;
use super::estimate::{Pair, estimate};
use super::setting::{Bench, alternatives};
use crate::diagnostics::{Diagnostic, Finding, Severity, Sink, near_names};
use crate::recipe::OperationNode;
use crate::shop::{OperationKind, Setting};
use crate::source::Span;

pub(super) static NO_SETTING: Finding = Finding {
    rule: "plan/no-setting",
    severity: Severity::Error,
    title: "an operation has no measured setting",
    explanation: "Speed and power come from the shop, where they were burned and found right on this machine and this stock. \
        Where there is none, nothing is made up: a guess burns through a mark or leaves a cut half done. `kerfbook card \
        settings` makes a card of small squares at several speeds and powers to burn on an offcut, and `kerfbook measure \
        settings` writes down the one that is right. Where the same material was measured near by, the message says which numbers to try first: those that give each millimetre of a \
        line, or each square millimetre of an area, as much energy, and a cut as much more as the stock is thicker. They are \
        an estimate, and are burned by nobody who has not written them down. None is carried over between wavelengths, \
        because a stock takes up another share of each; between materials; or where thickness, power or spot differ by more \
        than a factor of two, which is our judgement.",
    wrong: "run \"separate\" { cut \"board\" setting=\"trough\" }",
    right: "run \"separate\" { cut \"board\" setting=\"through\" }",
};

/// So many near settings are shown.
const MOST_NEAR: usize = 3;

/// One setting that is not there.
#[derive(Debug)]
struct Wanted {
    kind: OperationKind,
    name: Option<String>,
    places: Vec<Span>,
}

/// All settings that are not there.
#[derive(Debug, Default)]
pub(super) struct Missing {
    all: Vec<Wanted>,
}

impl Missing {
    /// Notes that an operation needs a setting: of that name where it is said, with the place where it is.
    pub fn note(&mut self, operation: &OperationNode, name: Option<(&str, Span)>) {
        let place = name.map_or(operation.head, |(_, span)| span);
        let name = name.map(|(name, _)| name.to_owned());
        match self.all.iter_mut().find(|w| w.kind == operation.kind && w.name == name) {
            Some(wanted) => wanted.places.push(place),
            None => self.all.push(Wanted { kind: operation.kind, name, places: vec![place] }),
        }
    }

    /// Reports each of them.
    pub fn report(&self, bench: &Bench, sink: &mut Sink) {
        for wanted in &self.all {
            match similar(wanted, bench) {
                // Each place of a mistyped name is mended for itself.
                Some(near) => wanted.places.iter().for_each(|&at| sink.push(mistyped(wanted, at, near, bench))),
                None => sink.push(never_measured(wanted, bench)),
            }
        }
    }
}

/// A setting of the operation that was measured here and has a similar name.
fn similar<'a>(wanted: &Wanted, bench: &Bench<'a>) -> Option<&'a str> {
    let is_known_elsewhere = bench.shop.settings.iter().any(|s| Some(&s.name) == wanted.name.as_ref());
    let name = wanted.name.as_ref().filter(|_| !is_known_elsewhere)?;
    let (machine, stock) = (&bench.machine.name, &bench.stock.name);
    let known = bench.shop.settings_for(machine, stock, wanted.kind).map(|s| s.name.as_str());
    near_names(name, known).first().copied()
}

fn begun(wanted: &Wanted, at: Span, bench: &Bench) -> Diagnostic {
    let (machine, stock) = (&bench.machine.name, &bench.stock.name);
    let (message, label) = match &wanted.name {
        Some(name) => (
            format!("there is no setting `{name}` for `{machine}` on `{stock}`"),
            "not measured for this machine and stock",
        ),
        None => {
            (format!("there is no setting to {} with `{machine}` on `{stock}`", wanted.kind), "nothing measured")
        }
    };
    Diagnostic::new(&NO_SETTING, message)
        .at(at, label)
        .because(format!("there is no speed and power to {} with, and none is made up", wanted.kind))
}

fn mistyped(wanted: &Wanted, at: Span, near: &str, bench: &Bench) -> Diagnostic {
    begun(wanted, at, bench).repair_with(
        format!("there is a setting with a similar name: `{near}`"),
        at,
        format!("\"{near}\""),
    )
}

fn never_measured(wanted: &Wanted, bench: &Bench) -> Diagnostic {
    let mut diagnostic = begun(wanted, wanted.places[0], bench);
    for &place in &wanted.places[1..] {
        diagnostic = diagnostic.also(place, "needed here too");
    }
    let near = nearest(wanted, bench);
    for (setting, there) in near.iter().take(MOST_NEAR) {
        let passes = if setting.passes > 1 { format!(", {} passes", setting.passes) } else { String::new() };
        let text = format!(
            "measured with `{}` on `{}`, {} thick: {}, {}{passes}",
            there.machine.name, there.stock.name, there.stock.thickness, setting.speed, setting.power
        );
        diagnostic = diagnostic.also(setting.span, text);
    }
    diagnostic.repair(what_to_do(wanted, &near, bench))
}

/// The settings of the operation that were measured nearest: on this machine with another stock, or on this stock with
/// another machine; the same name and the nearest thickness first.
fn nearest<'a>(wanted: &Wanted, bench: &Bench<'a>) -> Vec<(&'a Setting, Pair<'a>)> {
    let pair =
        |s: &Setting| Some(Pair { machine: bench.shop.machine(&s.machine)?, stock: bench.shop.stock(&s.stock)? });
    let all = bench.shop.settings.iter().filter(|s| s.operation == wanted.kind);
    let mut near: Vec<(&Setting, Pair)> = all.filter_map(|s| Some((s, pair(s)?))).collect();
    near.retain(|(s, _)| (s.machine == bench.machine.name) != (s.stock == bench.stock.name));
    let material = bench.stock.material.to_lowercase();
    near.sort_by(|a, b| {
        let key = |(s, there): &(&Setting, Pair)| {
            (wanted.name.as_ref().is_some_and(|n| *n != s.name), there.stock.material.to_lowercase() != material)
        };
        let step = |there: &Pair| (there.stock.thickness - bench.stock.thickness).abs().get();
        key(a).cmp(&key(b)).then(step(&a.1).total_cmp(&step(&b.1)))
    });
    near
}

/// What to try first, or why nothing can be said.
fn what_to_do(wanted: &Wanted, near: &[(&Setting, Pair)], bench: &Bench) -> String {
    let here = Pair { machine: bench.machine, stock: bench.stock };
    let mut refused = None;
    for (setting, there) in near {
        match estimate(setting, *there, here) {
            Ok(found) => {
                return format!(
                    "try on an offcut first: `{}` is an estimate from `{}` on `{}` with `{}` ({}); burn a card around it, \
                     which {} makes",
                    found.written(),
                    setting.name,
                    there.stock.name,
                    there.machine.name,
                    found.arithmetic,
                    settings_card(bench, wanted.kind)
                );
            }
            Err(why) => refused = refused.or(Some(why)),
        }
    }
    let card = settings_card(bench, wanted.kind);
    let grid = format!("burn a card of speeds and powers on an offcut: {card} makes it");
    match refused {
        Some(why) => format!("{grid}; no estimate can be given: {why}"),
        None => match &wanted.name {
            Some(_) => alternatives(wanted.kind, bench),
            None => grid,
        },
    }
}
