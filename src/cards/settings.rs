//! The grid of speeds and powers.

use super::labels::{HEADING, LINE, Labels, SMALL, legible, room};
use super::page::{EDGE, Head, Page, Stated, left_edge, said, sheet};
use super::spread::{energy, powers, speeds};
use super::{CardError, On};
use crate::shop::OperationKind;
use crate::units::{Mm, MmPerSecond, Percent};

/// A grid as it is asked for.
#[derive(Clone, Debug)]
pub struct SettingsWish {
    /// What is tried.
    pub operation: OperationKind,
    /// The speeds; spread by what the stock receives where there are none.
    pub speeds: Vec<MmPerSecond>,
    /// The powers.
    pub powers: Vec<Percent>,
    /// How many times every patch is burned.
    pub passes: u32,
    /// Distance between the rows of an engraved patch; a little more than the spot where it is left out.
    pub interval: Option<Mm>,
    /// Height of the focus above the stock.
    pub focus: Option<Mm>,
}

/// Side of a patch, in mm: large enough to judge by eye, and to fall out when it is cut.
const PATCH: f64 = 10.0;

/// Speeds or powers beyond this have no letter or digit of their own.
const MOST: usize = 9;

/// One patch of the grid.
struct Patch {
    name: String,
    label: String,
    at: (f64, f64),
    stated: Stated,
}

/// Writes the recipe.
pub(super) fn recipe(wish: &SettingsWish, on: &On) -> Result<String, CardError> {
    let grid = Grid::of(wish, on)?;
    let labels = Labels::choose(on)?;
    let titles = titles(wish, &grid, on);
    let fastest = grid.speeds.iter().copied().fold(MmPerSecond::ZERO, MmPerSecond::max);
    let left = if wish.operation == OperationKind::Engrave { left_edge(fastest, on) } else { EDGE };
    let places = Places::of(&grid, &titles, left);
    let size = sheet(places.needed, on)?;
    let mut page = Page::new(&head(wish, &labels, size, on));
    let mut names = write_titles(&mut page, &titles);
    names.extend(write_axes(&mut page, &grid, &places));
    page.blank();
    let mut patches = patches(&grid, &places, wish, on);
    for patch in &patches {
        page.shape(&patch.name, &format!("rectangle \"{0}\" \"{0}\"", Mm::new(PATCH)), patch.at);
        let name = format!("says-{}", patch.name);
        page.caption(&name, &patch.label, SMALL, &patch.name);
        names.push(name);
    }
    page.blank();
    page.line("// The gentlest is burned first.");
    page.line("run \"card\" trial=#true {");
    page.labels(&names, &labels);
    let dose = |p: &Patch| energy(p.stated.power, p.stated.passes, p.stated.speed);
    patches.sort_by(|a, b| dose(a).total_cmp(&dose(b)));
    for patch in &patches {
        page.line(&format!(
            "    {} \"{}\" {}",
            wish.operation,
            patch.name,
            patch.stated.words(&on.machine.speed_unit)
        ));
    }
    page.line("}");
    Ok(page.finish())
}

/// The numbers that are tried.
struct Grid {
    /// Fastest first: one row each.
    speeds: Vec<MmPerSecond>,
    /// Weakest first: one column each.
    powers: Vec<Percent>,
    interval: Option<Mm>,
    unit: String,
}

impl Grid {
    fn of(wish: &SettingsWish, on: &On) -> Result<Self, CardError> {
        let machine = on.machine;
        let interval = match wish.operation {
            OperationKind::Engrave => Some(wish.interval.map_or_else(|| usual_interval(on), Ok)?),
            _ => None,
        };
        let mut speeds = wish.speeds.clone();
        if speeds.is_empty() {
            speeds = self::speeds(wish.operation, interval, fastest(wish.operation, on), on);
        }
        let mut powers = if wish.powers.is_empty() { powers(wish.operation) } else { wish.powers.clone() };
        speeds.sort_by(|a, b| b.get().total_cmp(&a.get()));
        powers.sort_by(|a, b| a.get().total_cmp(&b.get()));
        speeds.dedup();
        powers.dedup();
        if let Some(fast) = speeds.iter().find(|s| **s > machine.top_speed) {
            return Err(CardError::new(
                format!("{fast} is faster than `{}` can go, which is {}", machine.name, machine.top_speed),
                "name slower speeds, or leave out `--speeds`",
            ));
        }
        if let Some(strong) = powers.iter().find(|p| p.get() > 100.0) {
            return Err(CardError::new(
                format!("{strong} is more power than `{}` has", machine.name),
                "name powers up to 100 %, or leave out `--powers`",
            ));
        }
        if speeds.len() > MOST || powers.len() > MOST {
            return Err(CardError::new(
                format!("a card of {} speeds and {} powers is too much to look at", speeds.len(), powers.len()),
                format!("name {MOST} of each at most, and burn a second card round the best patch"),
            ));
        }
        Ok(Self { speeds, powers, interval, unit: machine.speed_unit.clone() })
    }

    fn label(&self, speed: MmPerSecond, power: Percent) -> String {
        format!("{}\\n{power}", said(speed, &self.unit))
    }
}

/// The interval that suits the spot of the machine.
fn usual_interval(on: &On) -> Result<Mm, CardError> {
    on.machine.known_spot().map(suiting).ok_or_else(|| {
        CardError::new(
            format!("nothing says how wide the spot of `{}` is, so no interval can be proposed", on.machine.name),
            "measure the beam first, on the card that `kerfbook card focus` makes, or give `--interval`",
        )
    })
}

/// Rows a little farther apart than the spot is wide leave no bare stripes: a quarter more (our judgement).
fn suiting(spot: Mm) -> Mm {
    Mm::new((spot.get() * 125.0).round().max(1.0) / 100.0)
}

/// The fastest speed that is tried: for rows the head has to speed up within the bed, beside a card of some width.
fn fastest(operation: OperationKind, on: &On) -> MmPerSecond {
    let machine = on.machine;
    if operation != OperationKind::Engrave {
        return machine.top_speed;
    }
    let card = on.width.unwrap_or(Mm::new(120.0)).get();
    let beside = ((machine.bed_width.get() - card) / 2.0).max(1.0);
    let reached = libm::sqrt(2.0 * machine.acceleration.get() * beside);
    machine.top_speed.min(MmPerSecond::new(reached))
}

/// Where everything stands, in mm.
struct Places {
    needed: (f64, f64),
    origin: (f64, f64),
    pitch: (f64, f64),
}

impl Places {
    /// `left` is where patches may begin.
    fn of(grid: &Grid, titles: &[(String, f64)], left: f64) -> Self {
        let said = |(s, p): (&MmPerSecond, &Percent)| room(&grid.label(*s, *p), SMALL);
        let all = grid.speeds.iter().flat_map(|s| grid.powers.iter().map(move |p| (s, p))).map(said);
        let (wide, high) = all.fold((PATCH, 0.0), |(w, h), (a, b)| (f64::max(w, a), f64::max(h, b)));
        let pitch = (wide + 3.0, PATCH + 1.0 + high + 3.0);
        let titles_high: f64 = titles.iter().map(|(_, h)| h * LINE).sum();
        let titles_wide = titles.iter().map(|(t, h)| room(t, *h).0).fold(0.0, f64::max);
        // The letters of the columns stand above, the digits of the rows at the left.
        let origin = (left.max(EDGE + HEADING + 3.0), EDGE + titles_high + 1.5 + HEADING + 2.5);
        let right = origin.0 + pitch.0 * grid.powers.len() as f64;
        let needed = (
            right.max(EDGE + titles_wide).ceil() + EDGE - 3.0,
            (origin.1 + pitch.1 * grid.speeds.len() as f64).ceil() + EDGE - 3.0,
        );
        Self { needed, origin, pitch }
    }

    /// Left top corner of a patch, in the middle of its column.
    fn patch(&self, row: usize, column: usize) -> (f64, f64) {
        let aside = (self.pitch.0 - 3.0 - PATCH) / 2.0;
        let x = self.origin.0 + self.pitch.0 * column as f64 + aside;
        (tidy(x), tidy(self.origin.1 + self.pitch.1 * row as f64))
    }
}

/// Tenths of a millimetre are fine enough for a place.
fn tidy(value: f64) -> f64 {
    (value * 10.0).round() / 10.0
}

fn letter(column: usize) -> char {
    char::from(b'a' + column as u8)
}

fn patches(grid: &Grid, places: &Places, wish: &SettingsWish, on: &On) -> Vec<Patch> {
    let air = (wish.operation == OperationKind::Cut && on.machine.air_assist).then_some(true);
    let cells = (0..grid.speeds.len()).flat_map(|row| (0..grid.powers.len()).map(move |column| (row, column)));
    let patch = |(row, column): (usize, usize)| {
        let (speed, power) = (grid.speeds[row], grid.powers[column]);
        Patch {
            name: format!("{}{}", letter(column), row + 1),
            label: grid.label(speed, power),
            at: places.patch(row, column),
            stated: Stated { speed, power, passes: wish.passes, interval: grid.interval, focus: wish.focus, air },
        }
    };
    cells.map(patch).collect()
}

/// The lines at the head of the card, and how high they are.
fn titles(wish: &SettingsWish, grid: &Grid, on: &On) -> Vec<(String, f64)> {
    let mut kept = Vec::new();
    if let Some(interval) = grid.interval {
        kept.push(format!("interval {interval}"));
    }
    kept.push(format!("{} {}", wish.passes, if wish.passes == 1 { "pass" } else { "passes" }));
    if let Some(focus) = wish.focus {
        kept.push(format!("focus {focus}"));
    }
    vec![
        (format!("{} {}", wish.operation, legible(&on.stock.name)), HEADING),
        (format!("{}, {}", legible(&on.machine.name), kept.join(", ")), SMALL),
    ]
}

fn write_titles(page: &mut Page, titles: &[(String, f64)]) -> Vec<String> {
    let mut y = EDGE;
    let mut names = Vec::new();
    for (i, (text, height)) in titles.iter().enumerate() {
        let name = format!("title-{}", i + 1);
        page.lettering(&name, text, *height, (EDGE, tidy(y)));
        names.push(name);
        y += height * LINE;
    }
    names
}

/// Letters above the columns, digits beside the rows.
fn write_axes(page: &mut Page, grid: &Grid, places: &Places) -> Vec<String> {
    let mut names = Vec::new();
    for column in 0..grid.powers.len() {
        let (x, y) = places.patch(0, column);
        let name = format!("column-{}", letter(column));
        let shown = letter(column).to_ascii_uppercase().to_string();
        let at = (tidy(x + PATCH / 2.0 - HEADING * 0.42), tidy(y - HEADING - 2.5));
        page.lettering(&name, &shown, HEADING, at);
        names.push(name);
    }
    for row in 0..grid.speeds.len() {
        let (_, y) = places.patch(row, 0);
        let name = format!("row-{}", row + 1);
        page.lettering(&name, &(row + 1).to_string(), HEADING, (EDGE, tidy(y + PATCH / 2.0 - HEADING / 2.0)));
        names.push(name);
    }
    names
}

fn head<'a>(wish: &SettingsWish, labels: &Labels, size: (f64, f64), on: &'a On<'a>) -> Head<'a> {
    let (kind, stock, machine) = (wish.operation, &on.stock.name, &on.machine.name);
    let wanted = match kind {
        OperationKind::Cut => "the fastest square that drops out by itself",
        OperationKind::Score => "the outline that is as dark and fine as you want it",
        OperationKind::Engrave | OperationKind::Guide => {
            "the square that is as dark as you want it, and not deeper"
        }
    };
    Head {
        title: format!("Settings card: {kind} {stock}"),
        about: format!("Squares of {stock} at several speeds and powers on {machine}. Look for {wanted}."),
        notes: vec![
            format!("A test card: which speed and power is right to {kind} `{stock}` with `{machine}`?"),
            "Its numbers are on trial: nobody has burned them yet. Stay with it from the first square to the last,"
                .to_owned(),
            "burn the squares in this order, and stop as soon as a flame stays.".to_owned(),
            labels.note(),
            format!("Afterwards, for {wanted}, say in column C, row 4:"),
            format!("    kerfbook measure settings --card {} --cell c4 --name NAME --on DATE", on.file),
        ],
        size,
        block: None,
        on,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_usual_interval_lies_between_one_and_two_spots() {
        assert_eq!(suiting(Mm::new(0.08)).get(), 0.1);
        assert_eq!(suiting(Mm::new(0.2)).get(), 0.25);
        assert!(suiting(Mm::new(0.004)).get() > 0.004);
    }
}
