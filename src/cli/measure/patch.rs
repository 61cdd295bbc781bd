//! The patch of a settings card that was right: its numbers become a setting.

use super::arguments::SettingsArguments;
use super::put::{put, refused, said_speed, shop_text, tell};
use crate::cli::bench::ShopArguments;
use crate::cli::{Outcome, print_findings};
use crate::driver::{self, Request};
use crate::entries::{self, SettingEntry};
use crate::figures::Cache;
use crate::plan::{Operation, Plan, ResolvedSetting};
use crate::shop::{Setting, Shop};
use crate::source::{DiskFiles, Source};
use crate::units::Mm;
use std::path::PathBuf;

/// Finds the patch on its card, and writes its numbers into the shop file that the card brings in.
pub(super) fn settings(arguments: &SettingsArguments) -> Result<Outcome, Outcome> {
    let files = DiskFiles::new(&driver::project_root(&arguments.card), &arguments.also_read);
    let request = Request { recipe: arguments.card.clone(), ..Request::default() };
    let build = driver::compile(&request, &files, &Cache::default());
    let Some(plan) = build.plan.as_ref() else {
        print_findings(&build, arguments.message_format, true);
        return Err(Outcome::RecipeErrors);
    };
    let operation = burned(plan, &arguments.cell)?;
    let entry = setting_of(plan, operation, arguments)?;
    let source = build.sources.get(build.sources.entrance(plan.stock.span.source));
    let path = shop_path(source).ok_or_else(|| refused("the card brings in no shop file"))?;
    let (also_read, message_format) = (arguments.also_read.clone(), arguments.message_format);
    let shop = ShopArguments { shop: path, also_read, message_format };
    let open = shop.open()?;
    let (name, kind) = (entry.name.clone(), entry.operation);
    let numbers = operation.setting.clone();
    let before = &open.loaded.shop;
    let is_named = |s: &&Setting| s.name == name && s.is_for(&entry.machine, &entry.stock);
    let known = before.settings.iter().find(is_named);
    let written = entries::setting(shop_text(&open), &entry, known).map_err(refused)?;
    let holds = |shop: &Shop| {
        let mut all = shop.settings_for(&entry.machine, &entry.stock, kind);
        // A speed is written in the unit of the shop, with three decimals.
        all.find(|s| s.name == name).zip(numbers.as_ref()).is_some_and(|(s, n)| {
            (s.speed.get() / n.speed.get() - 1.0).abs() < 1e-3 && s.power == n.power && s.passes == n.passes
        })
    };
    let resting = cards_on(before, &entry, numbers.as_ref());
    let after = put(&shop.shop, &open, &written, holds, &arguments.writing)?;
    tell(&[], &[resting, moved_along(before, &after, &entry)].concat());
    Ok(Outcome::Done)
}

/// What to say of the settings that are `like` the one that was measured: what they do not state themselves is another
/// number now, which nobody has burned.
fn moved_along(before: &Shop, after: &Shop, entry: &SettingEntry) -> Vec<String> {
    let is_same = |a: &Setting, b: &Setting| a.name == b.name && a.is_for(&b.machine, &b.stock);
    let is_own = |s: &Setting| s.name == entry.name && s.is_for(&entry.machine, &entry.stock);
    let others = after.settings.iter().filter(|s| !is_own(s));
    let moved = others.filter_map(|now| {
        let was = before.settings.iter().find(|was| is_same(was, now))?;
        let numbers = numbers(was).into_iter().zip(numbers(now));
        let changed = numbers.filter(|(was, now)| was.1 != now.1);
        let said: Vec<String> =
            changed.map(|((word, was), (_, now))| format!("{word} from {was} to {now}")).collect();
        (!said.is_empty()).then(|| {
            format!(
                "`{}` for `{}` on `{}` is `like` it and changes too, which nobody has burned: {}",
                now.name,
                now.machine,
                now.stock,
                said.join(", ")
            )
        })
    });
    moved.collect()
}

/// The numbers that a setting takes from one that it is `like`.
fn numbers(setting: &Setting) -> [(&'static str, String); 6] {
    let length = |length: Option<Mm>| length.map_or_else(|| "not said".to_owned(), |l| l.to_string());
    let air = match setting.air {
        Some(true) => "on",
        Some(false) => "off",
        None => "not said",
    };
    [
        ("speed", setting.speed.to_string()),
        ("power", setting.power.to_string()),
        ("passes", setting.passes.to_string()),
        ("interval", length(setting.interval)),
        ("focus", length(setting.focus)),
        ("air", air.to_owned()),
    ]
}

/// What to say of the cards that were burned with the numbers which a setting had before.
fn cards_on(shop: &Shop, entry: &SettingEntry, now: Option<&ResolvedSetting>) -> Vec<String> {
    let before = shop.settings_for(&entry.machine, &entry.stock, entry.operation).find(|s| s.name == entry.name);
    let is_as_before = |was: &Setting, is: &ResolvedSetting| {
        was.speed == is.speed && was.passes == is.passes && was.interval == is.interval && was.focus == is.focus
    };
    if before.zip(now).is_none_or(|(was, is)| is_as_before(was, is)) {
        return Vec::new();
    }
    let is_on = |setting: &str, machine: &str, stock: &str| {
        setting == entry.name && machine == entry.machine && stock == entry.stock
    };
    let shades = shop.shade_cards.iter().filter(|c| is_on(&c.setting, &c.machine, &c.stock)).map(|c| &c.name);
    let tones = shop.tone_cards.iter().filter(|c| is_on(&c.setting, &c.machine, &c.stock)).map(|c| &c.name);
    let stale = |card| {
        format!(
            "card `{card}` was burned with the numbers that `{}` had before: burn it again, or take it out",
            entry.name
        )
    };
    shades.chain(tones).map(stale).collect()
}

/// Where a shop file lies: as seen from where the command runs, else in full.
fn shop_path(source: &Source) -> Option<PathBuf> {
    let named = PathBuf::from(&source.name);
    if named.exists() { Some(named) } else { source.path.clone() }
}

/// The operation that burned a patch.
fn burned<'a>(plan: &'a Plan, cell: &str) -> Result<&'a Operation, Outcome> {
    let cell = cell.to_lowercase();
    let tried =
        || plan.runs.iter().flat_map(|r| &r.operations).filter(|o| o.setting.as_ref().is_some_and(|s| s.is_trial));
    let found = tried().find(|o| o.figures.len() == 1 && o.figures[0] == cell);
    found.ok_or_else(|| {
        let cells: Vec<&str> = tried().filter(|o| o.figures.len() == 1).map(|o| o.figures[0].as_str()).collect();
        match cells.as_slice() {
            [] => refused("nothing on this card is on trial: it is no settings card"),
            cells => {
                let (first, last) = (cells.iter().min().unwrap_or(&""), cells.iter().max().unwrap_or(&""));
                refused(format!("the card has no patch `{cell}`; it has `{first}` to `{last}`"))
            }
        }
    })
}

fn setting_of(plan: &Plan, operation: &Operation, arguments: &SettingsArguments) -> Result<SettingEntry, Outcome> {
    let setting = operation.setting.as_ref().ok_or_else(|| refused("that patch has no numbers"))?;
    let unit = &plan.machine.speed_unit;
    let card = arguments.card.file_name().map(|n| n.to_string_lossy().into_owned()).unwrap_or_default();
    let note = arguments.note.as_ref().map(|n| format!(": {n}")).unwrap_or_default();
    Ok(SettingEntry {
        name: arguments.name.clone(),
        machine: plan.machine.name.clone(),
        stock: plan.stock.name.clone(),
        operation: operation.kind,
        speed: said_speed(setting.speed, unit),
        power: setting.power,
        passes: setting.passes,
        interval: setting.interval,
        focus: setting.focus,
        air: setting.air,
        measured: arguments.on.to_string(),
        how: format!("{} of the card {card}{note}", arguments.cell.to_uppercase()),
    })
}
