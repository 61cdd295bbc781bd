//! Test cards: recipes that are burned to measure a shop.
//!
//! In: a machine and a stock of a shop, and what is to be found out. Out: the text of a recipe like any other, which builds,
//! is checked and gets a job sheet. Every patch says its numbers beside it, and the gentlest is burned first.
//!
//! Invariant: numbers that nobody has measured are burned on trial only, and the card says so; none goes beyond what the
//! machine has.

mod error;
mod focus;
mod kerf;
mod labels;
mod measured;
mod page;
mod settings;
mod shade;
mod spread;

pub use error::CardError;
pub use focus::FocusWish;
pub use kerf::KerfWish;
pub use settings::SettingsWish;
pub use shade::ShadeWish;

use crate::safety::{Judgement, judge};
use crate::shop::{Machine, Shop, Stock};
use crate::units::Mm;

/// What is to be found out.
#[derive(Clone, Debug)]
pub enum Wish {
    /// Which speed and power is right for an operation.
    Settings(SettingsWish),
    /// How wide a cut is.
    Kerf(KerfWish),
    /// How dark each power burns.
    Shade(ShadeWish),
    /// How wide the beam is at each height.
    Focus(FocusWish),
}

/// Where a card is burned, and how large it may be.
#[derive(Clone, Debug)]
pub struct On<'a> {
    /// The shop, for what is measured already.
    pub shop: &'a Shop,
    /// The machine.
    pub machine: &'a Machine,
    /// The stock.
    pub stock: &'a Stock,
    /// The shop file as seen from the folder of the card, with `/`.
    pub shop_file: &'a str,
    /// The name that the card's file will have, for the commands it tells.
    pub file: &'a str,
    /// Width of the offcut; a card is as wide as it needs to be without it.
    pub width: Option<Mm>,
    /// Height of the offcut.
    pub height: Option<Mm>,
    /// The score setting for the lettering; the gentlest measured one is taken without it.
    pub label_setting: Option<&'a str>,
}

/// Writes the recipe of a card.
///
/// # Errors
/// When the material may not be burned, when a setting is missing or several could be meant, when a wish goes beyond
/// the machine, and when the card has no room on the offcut, the sheet or the bed.
pub fn recipe(wish: &Wish, on: &On) -> Result<String, CardError> {
    burnable(on.stock)?;
    if on.shop_file.chars().chain(on.file.chars()).any(char::is_control) {
        return Err(CardError::new(
            "a file name holds a control character",
            "give the shop file and the card plain names",
        ));
    }
    match wish {
        Wish::Settings(wish) => settings::recipe(wish, on),
        Wish::Kerf(wish) => kerf::recipe(wish, on),
        Wish::Shade(wish) => shade::recipe(wish, on),
        Wish::Focus(wish) => focus::recipe(wish, on),
    }
}

/// Nothing is burned to try what may not be burned at all.
fn burnable(stock: &Stock) -> Result<(), CardError> {
    let shown = &stock.material;
    match judge(shown) {
        Judgement::Refused { material, why, .. } => Err(CardError::new(
            format!("`{shown}` may not be burned (taken as: {material}): it {why}"),
            "choose another stock",
        )),
        Judgement::Unknown => Err(CardError::new(
            format!("`{shown}` is not a known material, and nobody can say what its smoke holds"),
            "write the full name of the material into the shop file, as the safety data sheet of its maker gives it",
        )),
        Judgement::Caution { .. } | Judgement::Known { .. } => Ok(()),
    }
}
