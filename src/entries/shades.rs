//! A shade card.

use super::{Entry, EntryError, ShopText, changed, names, quoted, says};
use crate::syntax::{Edits, Node};
use crate::units::{Mm, Percent};

/// A shade card to be written.
#[derive(Clone, Debug)]
pub struct ShadesEntry {
    /// Its name; the one of the card that is there, or one made from the stock, where it is left out.
    pub name: Option<String>,
    /// The machine it was burned on.
    pub machine: String,
    /// The stock it was burned on.
    pub stock: String,
    /// The engrave setting of which the power was varied.
    pub setting: String,
    /// The numbers of that setting, which the patches were burned with.
    pub burned: BurnedNumbers,
    /// Power and darkness of every patch, both rising.
    pub steps: Vec<(Percent, Percent)>,
}

/// What all patches of a card were burned with.
#[derive(Clone, Debug)]
pub struct BurnedNumbers {
    /// Speed, in the unit in which the shop says speeds.
    pub speed: String,
    /// Passes.
    pub passes: u32,
    /// Distance between rows.
    pub interval: Option<Mm>,
    /// Height of the focus.
    pub focus: Mm,
}

impl BurnedNumbers {
    /// Every property with its value as it is written.
    fn properties(&self) -> Vec<(&'static str, String)> {
        let mut all = vec![("speed", quoted(&self.speed)), ("passes", self.passes.to_string())];
        all.extend(self.interval.map(|interval| ("interval", quoted(&interval.to_string()))));
        all.push(("focus", quoted(&self.focus.to_string())));
        all
    }
}

/// Writes a shade card: a new one, or new steps into the one that is there. A machine and a stock have one card.
///
/// # Errors
/// When they have a card of another name.
pub fn shades(shop: ShopText, entry: &ShadesEntry) -> Result<Entry, EntryError> {
    let is_here = |n: &&Node| {
        says(n, "machine", shop.text) == Some(&entry.machine) && says(n, "stock", shop.text) == Some(&entry.stock)
    };
    let Some(card) = shop.of("shade-card").find(is_here) else { return Ok(new_card(shop, entry)) };
    let name = names(card).unwrap_or_default();
    if entry.name.as_deref().is_some_and(|wanted| wanted != name) {
        return Err(EntryError {
            message: format!("`{}` on `{}` have a shade card already, `{name}`", entry.machine, entry.stock),
            repair: "leave out `--name` to measure that one anew; a machine and a stock have one card".to_owned(),
        });
    }
    Ok(new_steps(shop, entry, card, name))
}

fn new_card(shop: ShopText, entry: &ShadesEntry) -> Entry {
    let name = entry.name.clone().unwrap_or_else(|| format!("{}-shades", entry.stock));
    let burned = entry.burned.properties().into_iter().map(|(word, value)| format!(" {word}={value}"));
    let mut lines = vec![format!(
        "shade-card {} machine={} stock={} setting={}{} {{",
        quoted(&name),
        quoted(&entry.machine),
        quoted(&entry.stock),
        quoted(&entry.setting),
        burned.collect::<String>()
    )];
    lines.extend(entry.steps.iter().map(|step| format!("    {}", line(*step))));
    lines.push("}".to_owned());
    let mut edits = Edits::new(shop.text);
    shop.add(&mut edits, &["shade-card", "setting", "stock", "machine"], &lines);
    Entry { text: edits.apply(), changes: vec![format!("shade card `{name}`: new, {} steps", entry.steps.len())] }
}

fn line((power, darkness): (Percent, Percent)) -> String {
    format!("step power={} darkness={}", quoted(&power.to_string()), quoted(&darkness.to_string()))
}

/// Steps of a power that was measured again get their darkness, others are taken out, new ones come in by their power.
fn new_steps(shop: ShopText, entry: &ShadesEntry, card: &Node, name: &str) -> Entry {
    let mut edits = Edits::new(shop.text);
    let mut changes = Vec::new();
    if says(card, "setting", shop.text) != Some(&entry.setting) {
        changes.push(changed(&format!("setting of `{name}`"), says(card, "setting", shop.text), &entry.setting));
        edits.set_property(card, "setting", &quoted(&entry.setting));
    }
    for (word, value) in entry.burned.properties() {
        let (was, now) = (says(card, word, shop.text), value.trim_matches('"'));
        if was.is_some_and(|was| was != now) {
            changes.push(changed(&format!("{word} of `{name}`"), was, now));
        }
        edits.set_property(card, word, &value);
    }
    let old: Vec<(f64, &Node)> = card.children.iter().flatten().filter_map(|n| Some((power_of(n)?, n))).collect();
    let is_measured = |power: f64| entry.steps.iter().find(|s| same(s.0.get(), power));
    for (power, node) in &old {
        let what = format!("darkness at {} in `{name}`", Percent::new(*power));
        let was = says(node, "darkness", shop.text);
        if let Some((_, darkness)) = is_measured(*power) {
            let now = darkness.to_string();
            changes.push(changed(&what, was, &now));
            edits.set_property(node, "darkness", &quoted(&now));
        } else {
            changes.push(format!("{what}: was {}, is gone: not measured this time", was.unwrap_or_default()));
        }
    }
    let is_new = |s: &&(Percent, Percent)| !old.iter().any(|(power, _)| same(*power, s.0.get()));
    let new: Vec<(Percent, Percent)> = entry.steps.iter().filter(is_new).copied().collect();
    for (power, darkness) in &new {
        changes.push(changed(&format!("darkness at {power} in `{name}`"), None, &darkness.to_string()));
    }
    let (kept, gone): (Vec<_>, Vec<_>) = old.into_iter().partition(|(power, _)| is_measured(*power).is_some());
    put_in(&mut edits, card, &new, &kept, &gone);
    Entry { text: edits.apply(), changes }
}

/// Puts new steps behind the last kept one of less power, or before all of them; takes out what is gone. Where none is
/// kept, they stand where the first one stood.
fn put_in(
    edits: &mut Edits,
    card: &Node,
    new: &[(Percent, Percent)],
    kept: &[(f64, &Node)],
    gone: &[(f64, &Node)],
) {
    let lines: Vec<String> = new.iter().map(|step| line(*step)).collect();
    let mut removed = gone;
    match (kept.first(), gone.split_first()) {
        (Some((_, first)), _) => {
            for (step, line) in new.iter().zip(&lines) {
                match kept.iter().rfind(|(power, _)| *power < step.0.get()) {
                    Some((_, before)) => edits.insert_after(before, std::slice::from_ref(line), false),
                    None => edits.insert_before(first, line),
                }
            }
        }
        (None, Some(((_, first), rest))) => {
            edits.replace(first, &lines);
            removed = rest;
        }
        (None, None) => lines.iter().for_each(|line| edits.append_child(card, std::slice::from_ref(line))),
    }
    for (_, node) in removed {
        edits.remove(node);
    }
}

fn power_of(step: &Node) -> Option<f64> {
    let power = step.properties.iter().find(|p| p.name.value == "power")?;
    crate::units::parse_quantity(power.value.text()?, 0).ok().map(|(quantity, _)| quantity.to_f64())
}

/// Whether two powers are the same to what is printed.
fn same(one: f64, other: f64) -> bool {
    (one - other).abs() < 0.005
}
