//! Which numbers an operation is burned with.

use super::card_command::settings_card;
use super::missing::Missing;
use super::model::ResolvedSetting;
use super::shade::{by_shade, shade};
use super::trial;
use crate::diagnostics::{Diagnostic, Finding, Severity, Sink, quoted_list};
use crate::recipe::OperationNode;
use crate::shop::{Machine, OperationKind, Setting, SettingValues, ShadeCard, Shop, Stock};
use crate::source::{Sources, Spanned};

pub(super) static WHICH_SETTING: Finding = Finding {
    rule: "plan/which-setting",
    severity: Severity::Error,
    title: "several settings could be meant",
    explanation: "`setting=` may only be left out where the shop has exactly one for the operation, machine and stock.",
    wrong: "engrave \"heron\"",
    right: "engrave \"heron\" setting=\"dark\"",
};

pub(super) static OTHER_OPERATION: Finding = Finding {
    rule: "plan/setting-for-other-operation",
    severity: Severity::Error,
    title: "a setting was measured for another operation",
    explanation: "Numbers that cut through would burn a hole as an engraving, and numbers that mark would not cut.",
    wrong: "cut \"board\" setting=\"light\"",
    right: "cut \"board\" setting=\"through\"",
};

/// What settings are looked for in.
pub(super) struct Bench<'a> {
    pub shop: &'a Shop,
    pub machine: &'a Machine,
    pub stock: &'a Stock,
    pub sources: &'a Sources,
}

/// Finds the numbers of an operation. Notes it when they were not measured; reports what else is wrong.
pub(super) fn resolve(
    operation: &OperationNode,
    bench: &Bench,
    missing: &mut Missing,
    sink: &mut Sink,
) -> Option<ResolvedSetting> {
    let mut resolved = match &operation.shade {
        Some(shade) => by_shade(operation, shade, bench, missing, sink)?,
        None if trial::states_all(operation) => return trial::numbers(operation, bench, sink),
        None => taken(find(operation, bench, missing, sink)?, bench),
    };
    apply(&operation.overrides, &mut resolved);
    resolved.is_trial = operation.is_trial && !resolved.overridden.is_empty();
    (resolved.shade, resolved.card) = shade(&resolved, bench).unzip();
    Some(resolved)
}

impl<'a> Bench<'a> {
    fn is_here(&self, machine: &str, stock: &str) -> bool {
        machine == self.machine.name && stock == self.stock.name
    }

    /// The shade cards for this machine and stock.
    pub fn cards(&self) -> impl Iterator<Item = &'a ShadeCard> {
        self.shop.shade_cards.iter().filter(|c| self.is_here(&c.machine, &c.stock))
    }
}

/// The numbers of a setting, with the kerf of its stock where it has none of its own.
pub(super) fn taken(setting: &Setting, bench: &Bench) -> ResolvedSetting {
    let is_cut = setting.operation == OperationKind::Cut;
    ResolvedSetting {
        name: setting.name.clone(),
        speed: setting.speed,
        power: setting.power,
        passes: setting.passes,
        interval: setting.interval,
        focus: setting.focus,
        air: setting.air,
        kerf: setting.kerf.or(bench.stock.kerf.filter(|_| is_cut)),
        shade: None,
        card: None,
        measured: setting.measured.clone(),
        how: setting.how.clone(),
        overridden: Vec::new(),
        is_trial: false,
    }
}

/// Puts the values that the recipe writes in place over the shop's.
fn apply(overrides: &SettingValues, resolved: &mut ResolvedSetting) {
    let mut note = |word, is_written: bool| {
        if is_written {
            resolved.overridden.push(word);
        }
    };
    note("speed", overrides.speed.is_some());
    note("power", overrides.power.is_some());
    note("passes", overrides.passes.is_some());
    note("interval", overrides.interval.is_some());
    note("focus", overrides.focus.is_some());
    note("air", overrides.air.is_some());
    resolved.speed = overrides.speed.unwrap_or(resolved.speed);
    resolved.power = overrides.power.unwrap_or(resolved.power);
    resolved.passes = overrides.passes.unwrap_or(resolved.passes);
    resolved.interval = overrides.interval.or(resolved.interval);
    resolved.focus = overrides.focus.or(resolved.focus);
    resolved.air = overrides.air.or(resolved.air);
}

fn find<'a>(
    operation: &OperationNode,
    bench: &Bench<'a>,
    missing: &mut Missing,
    sink: &mut Sink,
) -> Option<&'a Setting> {
    match &operation.setting {
        Some(name) => by_name(operation, name, bench, missing, sink),
        None => the_only_one(operation, bench, missing, sink),
    }
}

/// The setting of a name that was measured here.
pub(super) fn by_name<'a>(
    operation: &OperationNode,
    name: &Spanned<String>,
    bench: &Bench<'a>,
    missing: &mut Missing,
    sink: &mut Sink,
) -> Option<&'a Setting> {
    let is_it = |s: &&Setting| s.name == name.value && bench.is_here(&s.machine, &s.stock);
    match bench.shop.settings.iter().find(is_it) {
        Some(found) if found.operation == operation.kind => Some(found),
        Some(found) => {
            sink.push(
                Diagnostic::new(
                    &OTHER_OPERATION,
                    format!(
                        "setting `{}` was measured to {}, not to {}",
                        name.value, found.operation, operation.kind
                    ),
                )
                .at(name.span, format!("used to {}", operation.kind))
                .also(found.span, "measured here")
                .because("its power and speed do something else to the stock")
                .repair(alternatives(operation.kind, bench)),
            );
            None
        }
        None if bench.shop.is_torn => None,
        None => {
            missing.note(operation, Some((&name.value, name.span)));
            None
        }
    }
}

fn the_only_one<'a>(
    operation: &OperationNode,
    bench: &Bench<'a>,
    missing: &mut Missing,
    sink: &mut Sink,
) -> Option<&'a Setting> {
    let known: Vec<&Setting> =
        bench.shop.settings_for(&bench.machine.name, &bench.stock.name, operation.kind).collect();
    match known.as_slice() {
        [only] => return Some(only),
        [] if bench.shop.is_torn => {}
        [] => missing.note(operation, None),
        several => sink.push(
            Diagnostic::new(
                &WHICH_SETTING,
                format!("the shop has {} settings to {} here", several.len(), operation.kind),
            )
            .at(operation.head, "which one?")
            .repair(format!("add `setting=` with {}", quoted_list(several.iter().map(|s| s.name.as_str()), "or"))),
        ),
    }
    None
}

/// What was measured to do so here.
pub(super) fn alternatives(kind: OperationKind, bench: &Bench) -> String {
    let known = bench.shop.settings_for(&bench.machine.name, &bench.stock.name, kind);
    let list = quoted_list(known.map(|s| s.name.as_str()), "and");
    if list.is_empty() {
        let card = settings_card(bench, kind);
        format!("nothing is measured to {kind} here: burn a card of speeds and powers first, which {card} makes")
    } else {
        format!("measured to {kind} here: {list}")
    }
}
