//! Which numbers an operation is burned with.

use super::model::ResolvedSetting;
use crate::diagnostics::{Diagnostic, Finding, Severity, Sink, near_names, quoted_list};
use crate::recipe::OperationNode;
use crate::shop::{
    Machine, Setting, SettingValues, ShadeCard, ShadeError, Shop, Stock, power_for_shade, shade_of_power,
};
use crate::source::Spanned;
use crate::units::Percent;

pub(super) static NO_SETTING: Finding = Finding {
    rule: "plan/no-setting",
    severity: Severity::Error,
    title: "an operation has no measured setting",
    explanation: "Speed and power come from the shop, where they were burned and found right on this machine and this stock. \
        Where there is none, nothing is made up: a guess burns through a mark or leaves a cut half done. Burn a grid of \
        small squares at several speeds and powers on an offcut, and write down the one that is right.",
    wrong: "run \"separate\" { cut \"board\" setting=\"trough\" }",
    right: "run \"separate\" { cut \"board\" setting=\"through\" }",
};

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

pub(super) static SHADE_AND_SETTING: Finding = Finding {
    rule: "plan/shade-and-setting",
    severity: Severity::Error,
    title: "an operation gives its power twice",
    explanation: "`shade=` reads the power from a shade card; `setting=` and `power=` give one too.",
    wrong: "engrave \"sun\" shade=\"35 %\" setting=\"dark\"",
    right: "engrave \"sun\" shade=\"35 %\"",
};

pub(super) static NO_SHADE_CARD: Finding = Finding {
    rule: "plan/no-shade-card",
    severity: Severity::Error,
    title: "a shade is asked for and no shade card was measured",
    explanation: "How dark a power burns is measured on a card of patches, for one machine and stock.",
    wrong: "engrave \"sun\" shade=\"35 %\"",
    right: "engrave \"sun\" setting=\"dark\"",
};

pub(super) static SHADE_OUTSIDE_CARD: Finding = Finding {
    rule: "plan/shade-outside-card",
    severity: Severity::Error,
    title: "a shade lies outside what was measured",
    explanation: "A shade card is never read beyond its lightest and darkest patch: there nothing is known.",
    wrong: "engrave \"sun\" shade=\"2 %\"",
    right: "engrave \"sun\" shade=\"10 %\"",
};

/// What settings are looked for in.
pub(super) struct Bench<'a> {
    pub shop: &'a Shop,
    pub machine: &'a Machine,
    pub stock: &'a Stock,
}

/// Finds the numbers of an operation; reports it when there are none.
pub(super) fn resolve(operation: &OperationNode, bench: &Bench, sink: &mut Sink) -> Option<ResolvedSetting> {
    let mut resolved = match &operation.shade {
        Some(shade) => by_shade(operation, shade, bench, sink)?,
        None => taken(find(operation, bench, sink)?),
    };
    apply(&operation.overrides, &mut resolved);
    resolved.shade = shade(&resolved, bench);
    Some(resolved)
}

/// How dark numbers burn, where a shade card was measured with the same speed, interval and focus.
fn shade(resolved: &ResolvedSetting, bench: &Bench) -> Option<Percent> {
    let card = bench.card()?;
    let base =
        bench.shop.settings.iter().find(|s| s.name == card.setting && bench.is_here(&s.machine, &s.stock))?;
    let same = resolved.speed == base.speed
        && resolved.passes == base.passes
        && resolved.interval == base.interval
        && resolved.focus == base.focus;
    let read = shade_of_power(card, resolved.power).filter(|_| same)?;
    // A tenth of a percent is finer than a shade can be told by eye.
    Some(Percent::new((read.get() * 10.0).round() / 10.0))
}

impl<'a> Bench<'a> {
    fn is_here(&self, machine: &str, stock: &str) -> bool {
        machine == self.machine.name && stock == self.stock.name
    }

    /// The shade card for this machine and stock.
    fn card(&self) -> Option<&'a ShadeCard> {
        self.shop.shade_cards.iter().find(|c| self.is_here(&c.machine, &c.stock))
    }
}

fn taken(setting: &Setting) -> ResolvedSetting {
    ResolvedSetting {
        name: setting.name.clone(),
        speed: setting.speed,
        power: setting.power,
        passes: setting.passes,
        interval: setting.interval,
        focus: setting.focus,
        air: setting.air,
        shade: None,
        measured: setting.measured.clone(),
        how: setting.how.clone(),
        overridden: Vec::new(),
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

fn find<'a>(operation: &OperationNode, bench: &Bench<'a>, sink: &mut Sink) -> Option<&'a Setting> {
    match &operation.setting {
        Some(name) => by_name(operation, name, bench, sink),
        None => the_only_one(operation, bench, sink),
    }
}

fn by_name<'a>(
    operation: &OperationNode,
    name: &Spanned<String>,
    bench: &Bench<'a>,
    sink: &mut Sink,
) -> Option<&'a Setting> {
    let here = |s: &&Setting| bench.is_here(&s.machine, &s.stock);
    let named: Vec<&Setting> = bench.shop.settings.iter().filter(|s| s.name == name.value).collect();
    match named.iter().copied().find(here) {
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
                .repair(alternatives(operation, bench)),
            );
            None
        }
        None if bench.shop.is_torn => None,
        None => {
            sink.push(unknown(operation, name, &named, bench));
            None
        }
    }
}

fn unknown(
    operation: &OperationNode,
    name: &Spanned<String>,
    elsewhere: &[&Setting],
    bench: &Bench,
) -> Diagnostic {
    let (machine, stock) = (&bench.machine.name, &bench.stock.name);
    let diagnostic =
        Diagnostic::new(&NO_SETTING, format!("there is no setting `{}` for `{machine}` on `{stock}`", name.value))
            .at(name.span, "not measured for this machine and stock")
            .because(format!("there is no speed and power to {} with, and none is made up", operation.kind));
    if let Some(other) = elsewhere.first() {
        return diagnostic.also(other.span, format!("measured on `{}` with `{}`", other.stock, other.machine)).repair(
            "measure it on this stock: burn a grid of speeds and powers on an offcut, and add it to the shop file",
        );
    }
    let known = bench.shop.settings_for(machine, stock, operation.kind).map(|s| s.name.as_str());
    match near_names(&name.value, known).first() {
        Some(near) => diagnostic.repair_with(
            format!("there is a setting with a similar name: `{near}`"),
            name.span,
            format!("\"{near}\""),
        ),
        None => diagnostic.repair(alternatives(operation, bench)),
    }
}

fn the_only_one<'a>(operation: &OperationNode, bench: &Bench<'a>, sink: &mut Sink) -> Option<&'a Setting> {
    let known: Vec<&Setting> =
        bench.shop.settings_for(&bench.machine.name, &bench.stock.name, operation.kind).collect();
    let diagnostic = match known.as_slice() {
        [only] => return Some(only),
        [] if bench.shop.is_torn => return None,
        [] => Diagnostic::new(
            &NO_SETTING,
            format!(
                "there is no setting to {} with `{}` on `{}`",
                operation.kind, bench.machine.name, bench.stock.name
            ),
        )
        .at(operation.head, "nothing measured")
        .because("there is no speed and power to burn with, and none is made up")
        .repair("burn a grid of speeds and powers on an offcut, and add the right one to the shop file"),
        several => Diagnostic::new(
            &WHICH_SETTING,
            format!("the shop has {} settings to {} here", several.len(), operation.kind),
        )
        .at(operation.head, "which one?")
        .repair(format!("add `setting=` with {}", quoted_list(several.iter().map(|s| s.name.as_str()), "or"))),
    };
    sink.push(diagnostic);
    None
}

fn alternatives(operation: &OperationNode, bench: &Bench) -> String {
    let known = bench.shop.settings_for(&bench.machine.name, &bench.stock.name, operation.kind);
    let list = quoted_list(known.map(|s| s.name.as_str()), "and");
    if list.is_empty() {
        format!(
            "nothing is measured to {} here: burn a grid of speeds and powers on an offcut first",
            operation.kind
        )
    } else {
        format!("measured to {} here: {list}", operation.kind)
    }
}

/// The first number written in place that the shade card was not burned with.
fn beside_the_card(overrides: &SettingValues) -> Option<&'static str> {
    [
        ("power", overrides.power.is_some()),
        ("speed", overrides.speed.is_some()),
        ("passes", overrides.passes.is_some()),
        ("interval", overrides.interval.is_some()),
        ("focus", overrides.focus.is_some()),
    ]
    .into_iter()
    .find_map(|(word, is_written)| is_written.then_some(word))
}

fn by_shade(
    operation: &OperationNode,
    shade: &Spanned<crate::schema::Expression>,
    bench: &Bench,
    sink: &mut Sink,
) -> Option<ResolvedSetting> {
    if let Some(setting) = &operation.setting {
        sink.push(
            Diagnostic::new(&SHADE_AND_SETTING, "`shade` and `setting` both give the power".to_owned())
                .at(shade.span, "this")
                .also(setting.span, "and this")
                .because("one of the two would be burned, and which one would be a guess")
                .repair("keep one of them"),
        );
        return None;
    }
    if let Some(word) = beside_the_card(&operation.overrides) {
        sink.push(
            Diagnostic::new(&SHADE_AND_SETTING, format!("`shade` and `{word}` do not go together"))
                .at(shade.span, "reads the power from a card that was burned with its own numbers")
                .because("the card says nothing of other numbers, and the shade would be a guess")
                .repair(format!("leave out `{word}=`, or `shade=`")),
        );
        return None;
    }
    let wanted = Percent::new(shade.value.constant()?.to_f64());
    let Some(card) = bench.card() else {
        if bench.shop.is_torn {
            return None;
        }
        sink.push(
            Diagnostic::new(
                &NO_SHADE_CARD,
                format!("there is no shade card for `{}` on `{}`", bench.machine.name, bench.stock.name),
            )
            .at(shade.span, "how dark a power burns is not known here")
            .because("the shade would be a guess")
            .repair("measure a card of patches, or name a `setting=` instead"),
        );
        return None;
    };
    let named = Spanned::new(card.setting.clone(), card.span);
    let base = by_name(operation, &named, bench, sink)?;
    match power_for_shade(card, wanted) {
        Ok(power) => {
            let how = format!("power read from shade card `{}`", card.name);
            // A hundredth of a percent is finer than any machine can be set.
            let power = Percent::new((power.get() * 100.0).round() / 100.0);
            Some(ResolvedSetting { power, how: Some(how), ..taken(base) })
        }
        Err(ShadeError::Outside { lightest, darkest }) => {
            sink.push(
                Diagnostic::new(&SHADE_OUTSIDE_CARD, format!("a shade of {wanted} was not measured"))
                    .at(shade.span, format!("the card goes from {lightest} to {darkest}"))
                    .also(card.span, "this card")
                    .because("beyond the card nothing is known")
                    .repair("ask for a shade on the card, or burn a card that goes farther"),
            );
            None
        }
    }
}
