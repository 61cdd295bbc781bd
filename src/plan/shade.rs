//! Powers read from shade cards, and shades read for powers.

use super::card_command::{shade_card, shade_card_with};
use super::missing::Missing;
use super::model::{CardRead, ResolvedSetting};
use super::setting::{Bench, by_name, taken};
use crate::diagnostics::{Diagnostic, Finding, Severity, Sink, near_names, quoted_list};
use crate::recipe::OperationNode;
use crate::schema::Expression;
use crate::shop::{
    BurnedWith, Differs, Setting, SettingValues, ShadeCard, ShadeError, power_for_shade, shade_of_power,
};
use crate::source::Spanned;
use crate::units::Percent;

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
    explanation: "How dark a power burns is measured on a card of patches, for one machine and stock: \
        `kerfbook card shade` makes it, `kerfbook measure shade` turns its readings into a shade card.",
    wrong: "engrave \"sun\" shade=\"35 %\"",
    right: "engrave \"sun\" setting=\"dark\"",
};

pub(super) static WHICH_SHADE_CARD: Finding = Finding {
    rule: "plan/which-shade-card",
    severity: Severity::Error,
    title: "several shade cards could be meant",
    explanation: "`shade-card=` may only be left out where the shop has exactly one for the machine and stock: the power for \
        a shade depends on the setting whose speed, rows and focus the card was burned with.",
    wrong: "engrave \"sun\" shade=\"35 %\"",
    right: "engrave \"sun\" shade=\"35 %\" shade-card=\"birch-tones\"",
};

pub(super) static SHADE_OUTSIDE_CARD: Finding = Finding {
    rule: "plan/shade-outside-card",
    severity: Severity::Error,
    title: "a shade lies outside what was measured",
    explanation: "A shade card is never read beyond its lightest and darkest patch: there nothing is known.",
    wrong: "engrave \"sun\" shade=\"2 %\"",
    right: "engrave \"sun\" shade=\"10 %\"",
};

pub(super) static CARD_OUTDATED: Finding = Finding {
    rule: "plan/shade-card-outdated",
    severity: Severity::Error,
    title: "a shade card was burned with other numbers than its setting has now",
    explanation: "How dark a power burns depends on the speed, the passes, the interval and the focus that it is burned with. \
        A shade card says which those were, and `shade=` takes them from the setting that it names. When the setting has been \
        measured anew since, the card tells nothing of it: it has to be burned again.",
    wrong: "shade-card \"tones\" machine=\"bench-diode\" stock=\"birch-3\" setting=\"dark\" speed=\"90 mm/s\" { … }",
    right: "shade-card \"tones\" machine=\"bench-diode\" stock=\"birch-3\" setting=\"dark\" speed=\"120 mm/s\" { … }",
};

/// How dark numbers burn, and where that was read: on a shade card that was measured with the same speed, passes, interval
/// and focus.
pub(super) fn shade(resolved: &ResolvedSetting, bench: &Bench) -> Option<(Percent, CardRead)> {
    let is_burned_so = |card: &&ShadeCard| {
        let mut settings = bench.shop.settings.iter();
        let base = settings.find(|s| s.name == card.setting && s.is_for(&card.machine, &card.stock));
        base.is_some_and(|base| {
            resolved.speed == base.speed
                && resolved.passes == base.passes
                && resolved.interval == base.interval
                && resolved.focus == base.focus
                && card.burned.differences(&BurnedWith::of(base)).is_empty()
        })
    };
    let named = resolved.card.as_ref().map(|read| read.card.as_str());
    let mut cards = bench.cards().filter(|c| named.is_none_or(|name| c.name == name));
    let card = cards.find(is_burned_so)?;
    let read = shade_of_power(card, resolved.power)?;
    // A tenth of a percent is finer than a shade can be told by eye.
    Some((Percent::new((read.get() * 10.0).round() / 10.0), between(card, resolved.power)?))
}

/// The two patches between which a power lies.
fn between(card: &ShadeCard, power: Percent) -> Option<CardRead> {
    let pair = card.steps.windows(2).find(|w| w[0].0 <= power && power <= w[1].0)?;
    Some(CardRead { card: card.name.clone(), lighter: pair[0], darker: pair[1] })
}

/// The numbers for a shade: those of the card's setting, with the power read from the card.
pub(super) fn by_shade(
    operation: &OperationNode,
    shade: &Spanned<Expression>,
    bench: &Bench,
    missing: &mut Missing,
    sink: &mut Sink,
) -> Option<ResolvedSetting> {
    if let Some(clash) = clash(operation, shade) {
        sink.push(clash);
        return None;
    }
    let wanted = Percent::new(shade.value.constant()?.to_f64());
    let card = card(operation, shade, bench, sink)?;
    let named = Spanned::new(card.setting.clone(), card.span);
    let base = by_name(operation, &named, bench, missing, sink)?;
    if let Some(outdated) = outdated(card, base, shade, bench) {
        sink.push(outdated);
        return None;
    }
    match power_for_shade(card, wanted) {
        Ok(power) => {
            let how = format!("power read from shade card `{}`", card.name);
            // A hundredth of a percent is finer than any machine can be set.
            let power = Percent::new((power.get() * 100.0).round() / 100.0);
            Some(ResolvedSetting { power, how: Some(how), card: between(card, power), ..taken(base, bench) })
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

/// What the setting of a card has otherwise since the card was burned.
fn outdated(card: &ShadeCard, base: &Setting, shade: &Spanned<Expression>, bench: &Bench) -> Option<Diagnostic> {
    let differs = card.burned.differences(&BurnedWith::of(base));
    if differs.is_empty() {
        return None;
    }
    let listed = |of: fn(&Differs) -> &String| {
        differs.iter().map(|d| format!("{} {}", d.word, of(d))).collect::<Vec<_>>().join(", ")
    };
    let message = format!("shade card `{}` was burned with other numbers than `{}` has now", card.name, base.name);
    let command = shade_card_with(&base.name, bench);
    Some(
        Diagnostic::new(&CARD_OUTDATED, message)
            .at(shade.span, "read from this card, burned with this setting")
            .also(card.span, format!("burned with {}", listed(|d| &d.then)))
            .also(base.span, format!("now {}", listed(|d| &d.now)))
            .because("it would come out lighter or darker than the shade that is asked for")
            .repair(format!(
                "burn the card again, which {command} makes, and measure it; or give the setting back its numbers"
            )),
    )
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

fn burn_a_card(bench: &Bench) -> String {
    format!("burn a card of patches, which {} makes, or name a `setting=` instead", shade_card(bench))
}

/// What gives the power besides the shade.
fn clash(operation: &OperationNode, shade: &Spanned<Expression>) -> Option<Diagnostic> {
    if let Some(setting) = &operation.setting {
        return Some(
            Diagnostic::new(&SHADE_AND_SETTING, "`shade` and `setting` both give the power")
                .at(shade.span, "this")
                .also(setting.span, "and this")
                .because("one of the two would be burned, and which one would be a guess")
                .repair("keep one of them"),
        );
    }
    let word = beside_the_card(&operation.overrides)?;
    Some(
        Diagnostic::new(&SHADE_AND_SETTING, format!("`shade` and `{word}` do not go together"))
            .at(shade.span, "reads the power from a card that was burned with its own numbers")
            .because("the card says nothing of other numbers, and the shade would be a guess")
            .repair(format!("leave out `{word}=`, or `shade=`")),
    )
}

/// The card that a shade is read from. Reports it when there is none, or more than one.
fn card<'a>(
    operation: &OperationNode,
    shade: &Spanned<Expression>,
    bench: &Bench<'a>,
    sink: &mut Sink,
) -> Option<&'a ShadeCard> {
    let here: Vec<&ShadeCard> = bench.cards().collect();
    let found = match (&operation.shade_card, here.as_slice()) {
        (Some(name), _) => here.iter().find(|c| c.name == name.value).copied(),
        (None, [only]) => Some(*only),
        (None, _) => None,
    };
    if found.is_some() || bench.shop.is_torn {
        return found;
    }
    let names = || here.iter().map(|c| c.name.as_str());
    let (machine, stock) = (&bench.machine.name, &bench.stock.name);
    sink.push(match &operation.shade_card {
        Some(name) => {
            let diagnostic = Diagnostic::new(
                &NO_SHADE_CARD,
                format!("there is no shade card `{}` for `{machine}` on `{stock}`", name.value),
            )
            .at(name.span, "not measured for this machine and stock")
            .because("the shade would be a guess");
            match near_names(&name.value, names()).first() {
                Some(near) => diagnostic.repair_with(
                    format!("there is a shade card with a similar name: `{near}`"),
                    name.span,
                    format!("\"{near}\""),
                ),
                None if here.is_empty() => diagnostic.repair(burn_a_card(bench)),
                None => diagnostic.repair(format!("measured here: {}", quoted_list(names(), "and"))),
            }
        }
        None if here.is_empty() => {
            Diagnostic::new(&NO_SHADE_CARD, format!("there is no shade card for `{machine}` on `{stock}`"))
                .at(shade.span, "how dark a power burns is not known here")
                .because("the shade would be a guess")
                .repair(burn_a_card(bench))
        }
        None => Diagnostic::new(&WHICH_SHADE_CARD, format!("the shop has {} shade cards here", here.len()))
            .at(shade.span, "read from which one?")
            .because("each was burned with another setting, and gives another power for one shade")
            .repair(format!("add `shade-card=` with {}", quoted_list(names(), "or"))),
    });
    None
}
