//! A setting that was burned on a card and found right.

use super::{Entry, EntryError, ShopText, changed, elsewhere, quoted, says};
use crate::shop::{OperationKind, Setting};
use crate::syntax::Edits;
use crate::units::{Mm, Percent};

/// A setting to be written.
#[derive(Clone, Debug)]
pub struct SettingEntry {
    /// Its name.
    pub name: String,
    /// The machine it was burned on.
    pub machine: String,
    /// The stock it was burned on.
    pub stock: String,
    /// What it does.
    pub operation: OperationKind,
    /// Speed, in the unit in which the shop says speeds.
    pub speed: String,
    /// Power.
    pub power: Percent,
    /// Passes.
    pub passes: u32,
    /// Distance between rows.
    pub interval: Option<Mm>,
    /// Height of the focus.
    pub focus: Option<Mm>,
    /// Air assist.
    pub air: Option<bool>,
    /// The day it was burned.
    pub measured: String,
    /// How it was found.
    pub how: String,
}

impl SettingEntry {
    /// Every property with its value as it is written. What a setting takes from another one that it is `like` may be
    /// another number, so that those say everything.
    fn properties(&self, is_like_another: bool) -> Vec<(&'static str, String)> {
        let mut all = vec![
            ("machine", quoted(&self.machine)),
            ("stock", quoted(&self.stock)),
            ("operation", quoted(self.operation.word())),
            ("speed", quoted(&self.speed)),
            ("power", quoted(&self.power.to_string())),
        ];
        if self.passes > 1 || is_like_another {
            all.push(("passes", self.passes.to_string()));
        }
        let focus = self.focus.or(is_like_another.then_some(Mm::ZERO));
        let lengths = [("interval", self.interval), ("focus", focus)];
        all.extend(lengths.into_iter().filter_map(|(name, value)| Some((name, quoted(&value?.to_string())))));
        if let Some(air) = self.air.or(is_like_another.then_some(false)) {
            all.push(("air", if air { "#true" } else { "#false" }.to_owned()));
        }
        all.push(("measured", quoted(&self.measured)));
        // In texts of a shop file braces are for inputs; doubled they are braces.
        all.push(("how", quoted(&self.how.replace('{', "{{").replace('}', "}}"))));
        all
    }
}

/// Writes a setting: a new one behind the others, or the numbers of one that is there, `known`, whatever it is `like`.
///
/// # Errors
/// When the setting stands in another file or does something else.
pub fn setting(shop: ShopText, entry: &SettingEntry, known: Option<&Setting>) -> Result<Entry, EntryError> {
    let title = format!("setting `{}`", entry.name);
    let mut edits = Edits::new(shop.text);
    let Some(known) = known else {
        let words: Vec<String> =
            entry.properties(false).iter().map(|(name, value)| format!("{name}={value}")).collect();
        let line = format!("setting {} {}", quoted(&entry.name), words.join(" "));
        let changes = vec![format!("{title}: new, {} at {} and {}", entry.operation, entry.speed, entry.power)];
        shop.add(&mut edits, &["setting", "stock", "machine"], &[line]);
        return Ok(Entry { text: edits.apply(), changes });
    };
    let node = shop.setting(known).ok_or_else(|| elsewhere(&entry.name))?;
    if known.operation != entry.operation {
        return Err(EntryError {
            message: format!(
                "{title} is there already, and is to {}, not to {}",
                known.operation, entry.operation
            ),
            repair: "give the new one another name with `--name`".to_owned(),
        });
    }
    let is_like_another = node.properties.iter().any(|p| p.name.value == "like");
    let written = entry.properties(is_like_another);
    let mut changes = Vec::new();
    for (name, value) in &written {
        let (was, now) = (says(node, name, shop.text), value.trim_matches(['"', '#']));
        // For which machine and stock, and to do what, it is known by already.
        if was.is_none() && ["machine", "stock", "operation"].contains(name) {
            continue;
        }
        if was != Some(now) {
            changes.push(changed(&format!("{name} of {title}"), was, now));
        }
        edits.set_property(node, name, value);
    }
    // What the card did not say is no part of what was burned.
    for name in ["passes", "interval", "focus", "air"] {
        let is_said = written.iter().any(|(n, _)| *n == name);
        if let Some(property) = node.properties.iter().find(|p| p.name.value == name && !is_said) {
            changes.push(format!(
                "{name} of {title}: was {}, is not said now",
                says(node, name, shop.text).unwrap_or("")
            ));
            edits.remove_property(property);
        }
    }
    Ok(Entry { text: edits.apply(), changes })
}
