//! What a workshop owns and has measured.
//!
//! In: the nodes of a shop file (or the few that a recipe may hold itself). Out: a [`Shop`], in which a
//! recipe finds its machine, stock, settings, shade cards and lessons by name.
//!
//! Invariant: nothing here is ever invented. A setting that is not in a shop does not exist.

mod model;
mod price;
mod machine;
mod optics;
mod stock;
mod setting;
mod burned;
mod shade;
mod tone;
mod lesson;
mod paper;
mod file;

pub use burned::{BurnedWith, Differs};
pub use file::{SHOP_FILE, Shop, ShopEntry, USE, decode_shop};
pub use lesson::{CHECKLIST, Fits, LESSON, LessonEntry, decode_checklist, decode_lesson};
pub use machine::{MACHINE, START_POINTS};
pub use model::{
    LaserKind, Lesson, Machine, Moment, OperationKind, Setting, ShadeCard, SpotFrom, StartPoint, Stock,
};
pub use optics::{Optics, Waist};
pub use paper::{PAPER, Paper, decode_paper};
pub use price::Price;
pub use setting::{
    AIR_SLOT, FOCUS_SLOT, INTERVAL_SLOT, PASSES_SLOT, POWER_SLOT, SETTING, SPEED_SLOT, SettingPart, SettingValues,
    decode_setting, setting_part,
};
pub use shade::{SHADE_CARD, ShadeError, monotone_cubic, power_for_shade, shade_of_power};
pub use stock::STOCK;
pub use tone::{DITHERS, TONE_CARD, ToneCard};

use crate::diagnostics::Finding;

/// The rules of this floor.
pub static RULES: &[&Finding] = &[
    &file::DOUBLED_NAME,
    &setting::LIKE_NOTHING,
    &setting::INCOMPLETE_SETTING,
    &setting::KERF_OF_MARK,
    &optics::OPTICS_DIFFER,
    &stock::KERF_IMPLAUSIBLE,
    &shade::BAD_CARD,
    &tone::BAD_TONE_CARD,
    &stock::TONES_ALIKE,
    &price::UNREADABLE_PRICE,
    &lesson::NO_ACTION,
    &lesson::BAD_FIT,
];
