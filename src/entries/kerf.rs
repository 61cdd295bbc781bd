//! The width of a cut, at its stock or at the setting that it was cut with.

use super::{Entry, EntryError, ShopText, changed, names, quoted, says};
use crate::shop::Setting;
use crate::syntax::{Edits, Node};
use crate::units::Mm;

/// Writes `kerf=` of a stock.
///
/// # Errors
/// When the stock stands in another file.
pub fn kerf(shop: ShopText, stock: &str, kerf: Mm) -> Result<Entry, EntryError> {
    let node = shop.named("stock", stock)?;
    let now = kerf.to_string();
    let mut edits = Edits::new(shop.text);
    edits.set_property(node, "kerf", &quoted(&now));
    let changes = vec![changed(&format!("kerf of `{stock}`"), says(node, "kerf", shop.text), &now)];
    Ok(Entry { text: edits.apply(), changes })
}

/// Writes `kerf=` of a setting.
///
/// # Errors
/// When the setting stands in another file, or takes its machine or stock from another one.
pub fn kerf_of_setting(shop: ShopText, which: &Setting, kerf: Mm) -> Result<Entry, EntryError> {
    let is_it = |node: &&Node| {
        names(node) == Some(&which.name)
            && says(node, "machine", shop.text) == Some(&which.machine)
            && says(node, "stock", shop.text) == Some(&which.stock)
    };
    let node = shop.of("setting").find(is_it).ok_or_else(|| EntryError {
        message: format!(
            "setting `{}` does not stand in this shop file itself, with its machine and stock",
            which.name
        ),
        repair: "write `kerf=` there by hand".to_owned(),
    })?;
    let now = kerf.to_string();
    let mut edits = Edits::new(shop.text);
    edits.set_property(node, "kerf", &quoted(&now));
    let changes = vec![changed(&format!("kerf of setting `{}`", which.name), says(node, "kerf", shop.text), &now)];
    Ok(Entry { text: edits.apply(), changes })
}
