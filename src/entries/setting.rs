//! A setting that was burned on a card and found right.

use super::{Entry, EntryError, ShopText, changed, names, quoted, says};
use crate::shop::OperationKind;
use crate::syntax::{Edits, Node};
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
    /// Every property with its value as it is written.
    fn properties(&self) -> Vec<(&'static str, String)> {
        let mut all = vec![
            ("machine", quoted(&self.machine)),
            ("stock", quoted(&self.stock)),
            ("operation", quoted(self.operation.word())),
            ("speed", quoted(&self.speed)),
            ("power", quoted(&self.power.to_string())),
        ];
        if self.passes > 1 {
            all.push(("passes", self.passes.to_string()));
        }
        let lengths = [("interval", self.interval), ("focus", self.focus)];
        all.extend(lengths.into_iter().filter_map(|(name, value)| Some((name, quoted(&value?.to_string())))));
        if let Some(air) = self.air {
            all.push(("air", if air { "#true" } else { "#false" }.to_owned()));
        }
        all.push(("measured", quoted(&self.measured)));
        // In texts of a shop file braces are for inputs; doubled they are braces.
        all.push(("how", quoted(&self.how.replace('{', "{{").replace('}', "}}"))));
        all
    }

    /// Whether a node is this setting, measured before.
    fn is(&self, node: &Node, text: &str) -> bool {
        names(node) == Some(&self.name)
            && says(node, "machine", text) == Some(&self.machine)
            && says(node, "stock", text) == Some(&self.stock)
    }
}

/// Writes a setting: a new one behind the others, or the numbers of one that is there.
///
/// # Errors
/// When a setting of that name does something else, or has numbers that a card did not try.
pub fn setting(shop: ShopText, entry: &SettingEntry) -> Result<Entry, EntryError> {
    let title = format!("setting `{}`", entry.name);
    let mut edits = Edits::new(shop.text);
    let Some(node) = shop.of("setting").find(|n| entry.is(n, shop.text)) else {
        let words: Vec<String> =
            entry.properties().iter().map(|(name, value)| format!("{name}={value}")).collect();
        let line = format!("setting {} {}", quoted(&entry.name), words.join(" "));
        let changes = vec![format!("{title}: new, {} at {} and {}", entry.operation, entry.speed, entry.power)];
        shop.add(&mut edits, &["setting", "stock", "machine"], &[line]);
        return Ok(Entry { text: edits.apply(), changes });
    };
    if let Some(other) = says(node, "operation", shop.text).filter(|o| *o != entry.operation.word()) {
        return Err(EntryError {
            message: format!("{title} is there already, and is to {other}, not to {}", entry.operation),
            repair: "give the new one another name with `--name`".to_owned(),
        });
    }
    let written = entry.properties();
    let mut changes = Vec::new();
    for (name, value) in &written {
        let (was, now) = (says(node, name, shop.text), value.trim_matches(['"', '#']));
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
