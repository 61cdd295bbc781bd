//! The width of a cut, at its stock or at the setting that it was cut with.

use super::{Entry, EntryError, ShopText, changed, elsewhere, quoted, says};
use crate::shop::Setting;
use crate::syntax::Edits;
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
/// When the setting stands in another file.
pub fn kerf_of_setting(shop: ShopText, which: &Setting, kerf: Mm) -> Result<Entry, EntryError> {
    let node = shop.setting(which).ok_or_else(|| elsewhere(&which.name))?;
    let now = kerf.to_string();
    let mut edits = Edits::new(shop.text);
    edits.set_property(node, "kerf", &quoted(&now));
    let changes = vec![changed(&format!("kerf of setting `{}`", which.name), says(node, "kerf", shop.text), &now)];
    Ok(Entry { text: edits.apply(), changes })
}
