//! Spot and Rayleigh range of a machine.

use super::{Entry, EntryError, ShopText, changed, quoted, says};
use crate::syntax::{Edits, Node};
use crate::units::Mm;

/// Writes `spot` and `focus rayleigh=` of a machine.
///
/// # Errors
/// When the machine stands in another file.
pub fn beam(shop: ShopText, machine: &str, spot: Mm, rayleigh: Mm) -> Result<Entry, EntryError> {
    let node = shop.named("machine", machine)?;
    let child = |name: &str| node.children.iter().flatten().find(|n: &&Node| n.name.value == name);
    let mut edits = Edits::new(shop.text);
    let mut changes = Vec::new();
    let mut added = Vec::new();
    let now = spot.to_string();
    let value = child("spot").and_then(|n| n.arguments.first());
    let was = value.and_then(|v| shop.text.get(v.span.start..v.span.end)).map(|t| t.trim_matches(['"', '#']));
    changes.push(changed(&format!("spot of `{machine}`"), was, &now));
    match value {
        Some(value) => edits.set_value(value, &quoted(&now)),
        None => added.push(format!("spot {}", quoted(&now))),
    }
    let now = rayleigh.to_string();
    let was = child("focus").and_then(|focus| says(focus, "rayleigh", shop.text));
    changes.push(changed(&format!("Rayleigh range of `{machine}`"), was, &now));
    match child("focus") {
        Some(focus) => edits.set_property(focus, "rayleigh", &quoted(&now)),
        None => added.push(format!("focus rayleigh={}", quoted(&now))),
    }
    if !added.is_empty() {
        edits.append_child(node, &added);
    }
    Ok(Entry { text: edits.apply(), changes })
}
