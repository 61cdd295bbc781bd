//! The measured setting that a card is burned with.

use super::{CardError, On};
use crate::diagnostics::quoted_list;
use crate::shop::{OperationKind, Setting};

/// The setting of a name, or the only one there is.
pub(super) fn measured<'a>(
    on: &On<'a>,
    kind: OperationKind,
    wanted: Option<&str>,
) -> Result<&'a Setting, CardError> {
    let (machine, stock) = (&on.machine.name, &on.stock.name);
    let known: Vec<&Setting> = on.shop.settings_for(machine, stock, kind).collect();
    let names = || quoted_list(known.iter().map(|s| s.name.as_str()), "and");
    if known.is_empty() {
        return Err(CardError::new(
            format!(
                "nothing is measured to {kind} with `{machine}` on `{stock}`, and this card is burned with it"
            ),
            format!("make a card of speeds and powers first: `kerfbook card settings --operation {kind} …`"),
        ));
    }
    let found = match wanted {
        Some(name) => known.iter().find(|s| s.name == name),
        None if known.len() == 1 => known.first(),
        None => {
            return Err(CardError::new(
                format!("the shop has {} settings to {kind} here: {}", known.len(), names()),
                "say with `--setting` which of them is meant",
            ));
        }
    };
    found.copied().ok_or_else(|| {
        CardError::new(
            format!(
                "there is no setting `{}` to {kind} with `{machine}` on `{stock}`",
                wanted.unwrap_or_default()
            ),
            format!("measured here: {}", names()),
        )
    })
}
