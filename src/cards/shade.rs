//! The wedge of patches: one setting, the power varied.

use super::labels::{HEADING, LINE, Labels, SMALL, legible, room};
use super::measured::measured;
use super::page::{EDGE, Head, Page, left_edge, sheet, unit_size};
use super::{CardError, On};
use crate::shop::{OperationKind, Setting};
use crate::units::number::fixed;
use crate::units::{Mm, Percent};

/// A wedge as it is asked for.
#[derive(Clone, Debug)]
pub struct ShadeWish {
    /// The engrave setting of which only the power is varied; the only one there is where it is left out.
    pub setting: Option<String>,
    /// The powers; eight even steps up to the setting's where there are none.
    pub powers: Vec<Percent>,
}

/// Side of a patch, in mm: a light meter or a few thousand pixels of a scan fit into it.
const PATCH: f64 = 12.0;

/// Free between two patches, in mm: bare stock to compare with.
const GAP: f64 = 4.0;

/// Steps where no powers are named.
const STEPS: usize = 8;

/// More patches than this are refused.
const MOST: usize = 24;

/// Writes the recipe.
pub(super) fn recipe(wish: &ShadeWish, on: &On) -> Result<String, CardError> {
    let setting = measured(on, OperationKind::Engrave, wish.setting.as_deref())?;
    let powers = powers(wish, setting)?;
    let labels = Labels::choose(on)?;
    let titles = titles(setting, on);
    let small_wide = room(&titles[1], SMALL).0.max(room(&titles[2], SMALL).0);
    let titles_wide = room(&titles[0], HEADING).0.max(small_wide);
    let top = (EDGE + LINE * HEADING + 2.0 * LINE * SMALL + 3.0).round();
    let pitch = (PATCH + GAP, (PATCH + 1.0 + room("100 %", SMALL).1 + GAP).ceil());
    let left = left_edge(setting.speed, on);
    let columns = columns(powers.len() + 1, pitch.0, left, on);
    let rows = (powers.len() + 1).div_ceil(columns);
    let needed = (
        (left - EDGE + pitch.0 * columns as f64 - GAP).max(titles_wide).ceil() + 2.0 * EDGE,
        top + pitch.1 * rows as f64 - GAP + EDGE,
    );
    let size = sheet(needed, on)?;
    let mut page = Page::new(&head(setting, &powers, &labels, size, on));
    page.lettering("title", &titles[0], HEADING, (EDGE, EDGE));
    let burned_with = format!("{}\\n{}", titles[1], titles[2]);
    page.lettering("burned-with", &burned_with, SMALL, (EDGE, (EDGE + LINE * HEADING).round()));
    page.blank();
    let place = |i: usize| (left + pitch.0 * (i % columns) as f64, top + pitch.1 * (i / columns) as f64);
    let bare = place(0);
    // Nothing is burned there but the word under it.
    page.lettering("says-bare", "bare", SMALL, (bare.0 + 2.0, bare.1 + PATCH + 1.0));
    let mut names = vec!["title".to_owned(), "burned-with".to_owned(), "says-bare".to_owned()];
    for (i, power) in powers.iter().enumerate() {
        let patch = format!("patch-{}", i + 1);
        page.shape(&patch, &format!("rectangle \"{0}\" \"{0}\"", Mm::new(PATCH)), place(i + 1));
        let says = format!("says-{}", i + 1);
        page.caption(&says, &power.to_string(), SMALL, &patch);
        names.push(says);
    }
    page.blank();
    page.line("// The gentlest is burned first.");
    page.line("run \"card\" trial=#true {");
    page.labels(&names, &labels);
    for (i, power) in powers.iter().enumerate() {
        page.line(&format!("    engrave \"patch-{}\" setting=\"{}\" power=\"{power}\"", i + 1, setting.name));
    }
    page.line("}");
    Ok(page.finish())
}

/// The powers, weakest first.
fn powers(wish: &ShadeWish, setting: &Setting) -> Result<Vec<Percent>, CardError> {
    let mut powers = wish.powers.clone();
    if powers.is_empty() {
        let step = |i: usize| (setting.power.get() * i as f64 / STEPS as f64).round().max(1.0);
        powers = (1..=STEPS).map(|i| Percent::new(step(i).min(setting.power.get()))).collect();
    }
    powers.sort_by(|a, b| a.get().total_cmp(&b.get()));
    powers.dedup();
    if let Some(strong) = powers.iter().find(|p| p.get() > 100.0) {
        return Err(CardError::new(
            format!("{strong} is more power than any machine has"),
            "name powers up to 100 %, or leave out `--powers`",
        ));
    }
    if !(2..=MOST).contains(&powers.len()) {
        return Err(CardError::new(
            format!("a wedge of {} powers gives no curve", powers.len()),
            format!("name 2 to {MOST} different powers, or leave out `--powers` for {STEPS}"),
        ));
    }
    Ok(powers)
}

/// How many patches stand side by side: about two and a half times as many as rows, as far as the offcut allows, and so
/// that the last row is as full as can be.
fn columns(patches: usize, pitch: f64, left: f64, on: &On) -> usize {
    let wanted = libm::ceil(libm::sqrt(2.5 * patches as f64)) as usize;
    let room = on.width.map_or(usize::MAX, |w| ((w.get() - left - EDGE + GAP) / pitch).max(1.0) as usize);
    let most = wanted.clamp(1, room.max(1));
    patches.div_ceil(patches.div_ceil(most))
}

fn titles(setting: &Setting, on: &On) -> [String; 3] {
    let interval = setting.interval.map_or_else(String::new, |i| format!(", interval {i}"));
    let unit = &on.machine.speed_unit;
    let speed = format!("{} {unit}", fixed(setting.speed.get() / unit_size(unit), 1));
    [
        format!("shades {}", legible(&on.stock.name)),
        format!("{}, setting {}", legible(&on.machine.name), legible(&setting.name)),
        format!("{speed}{interval}"),
    ]
}

fn head<'a>(setting: &Setting, powers: &[Percent], labels: &Labels, size: (f64, f64), on: &'a On<'a>) -> Head<'a> {
    let (stock, machine, name, shop) = (&on.stock.name, &on.machine.name, &setting.name, on.shop_file);
    Head {
        title: format!("Shade card: {stock}"),
        about: format!("{} patches of {stock} with {name} on {machine}, only the power varied.", powers.len()),
        notes: vec![
            format!("A test card: how dark does each power burn `{stock}` with `{machine}` and `{name}`?"),
            "Powers above and below the measured one are on trial. Stay with it from the first patch to the last, and stop"
                .to_owned(),
            "as soon as a flame stays.".to_owned(),
            labels.note(),
            "Scan it or photograph it in even light with a linear or sRGB camera profile, no automatic contrast, and read"
                .to_owned(),
            "the mean of every patch and of the bare stock, `bare` as power 0 %. Afterwards:".to_owned(),
            format!("    kerfbook measure shade --shop {shop} --machine {machine} --stock {stock} --setting {name} --readings FILE.csv"),
        ],
        size,
        block: None,
        on,
    }
}
