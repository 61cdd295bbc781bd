//! `measure`: readings of a burned card become entries of the shop file.

mod arguments;
mod patch;
mod put;

use super::bench::{OpenShop, machine, stock};
use super::{Outcome, say};
use crate::diagnostics::quoted_list;
use crate::entries::{self, BurnedNumbers, ShadesEntry};
use crate::readings::{self, Comb, Darkness, FocusReading, KerfReading, ReadingError, Row, ShadeReading};
use crate::shop::{OperationKind, Setting, Shop};
use crate::units::number::fixed;
use crate::units::{Dimension, Mm, Percent};
use arguments::{FocusArguments, KerfArguments, SettingsArguments, ShadeArguments};
use clap::Subcommand;
use put::{of_table, put, refused, said_speed, shop_text, tell};
use std::collections::BTreeSet;

/// What was measured.
#[derive(Debug, Subcommand)]
pub(super) enum MeasureCommand {
    /// The width of a cut, from the strips of a comb or from holes and their parts.
    #[command(
        after_help = "Examples:\n  kerfbook measure kerf --shop bench.shop.kdl --stock birch-3 --drawn \"60 mm\" --strips 10 --sum \"58.4 mm\"\n  kerfbook measure kerf --shop bench.shop.kdl --stock birch-3 --hole \"20.09 mm\" --part \"19.76 mm\"\n\nA table of readings has the columns `drawn,strips,sum`, `whole,strips,sum` or `hole,part`, one reading a row.\nThe kerf is (drawn - sum) / strips, (whole - sum) / (strips - 1), or (hole - part) / 2."
    )]
    Kerf(KerfArguments),
    /// The beam, from the widths of lines at several focus heights.
    #[command(
        after_help = "Example:\n  kerfbook measure focus --shop bench.shop.kdl --machine bench-diode --at \"2 mm=0.25 mm\" --at \"1 mm=0.14 mm\" --at \"0 mm=0.1 mm\" --at \"-1 mm=0.2 mm\" --at \"-2 mm=0.34 mm\"\n\nA table of readings has the columns `height,width`, one line a row."
    )]
    Focus(FocusArguments),
    /// How dark each power burns, from the patches of a wedge.
    #[command(
        after_help = "Examples:\n  kerfbook measure shade --shop bench.shop.kdl --machine bench-diode --stock birch-3 --setting dark --readings wedge.csv\n  kerfbook measure shade --shop bench.shop.kdl --stock birch-3 --setting dark --patch \"10 %=6 %\" --patch \"62 %=91 %\"\n\nA table of readings has the columns `power,luminance` (hundredths of white), `power,grey` (0 to 255, of a scan in sRGB)\nor `power,darkness`; power `0 %` is the bare stock. Repeated powers are averaged."
    )]
    Shade(ShadeArguments),
    /// The patch of a settings card that was right.
    #[command(
        after_help = "Example:\n  kerfbook measure settings --card birch-3-cut.recipe.kdl --cell c4 --name through --on 2027-03-20"
    )]
    Settings(SettingsArguments),
}

/// Turns readings into an entry.
pub(super) fn run(command: MeasureCommand) -> Outcome {
    match command {
        MeasureCommand::Kerf(arguments) => kerf(&arguments),
        MeasureCommand::Focus(arguments) => focus(&arguments),
        MeasureCommand::Shade(arguments) => shade(&arguments),
        MeasureCommand::Settings(arguments) => patch::settings(&arguments),
    }
    .unwrap_or_else(|outcome| outcome)
}

fn kerf(arguments: &KerfArguments) -> Result<Outcome, Outcome> {
    let open = arguments.shop.open()?;
    let stock = stock(&open.loaded.shop, arguments.stock.as_deref())?.name.clone();
    let mut readings = typed_kerfs(arguments)?;
    if let Some(path) = &arguments.readings {
        let layouts: &[&[&str]] = &[&["drawn", "strips", "sum"], &["whole", "strips", "sum"], &["hole", "part"]];
        readings.extend(of_table(path, layouts, kerf_of)?);
    }
    let found = readings::kerf(&readings).map_err(refused)?;
    tell(&found.arithmetic, &found.warnings);
    let kerf = rounded(found.kerf, 3);
    if let Some(name) = &arguments.setting {
        return kerf_of_setting(arguments, &open, (name, &stock), kerf);
    }
    let others = cutting(&open.loaded.shop, &stock);
    if 1 < others.len() {
        let machines = quoted_list(others.iter().map(String::as_str), "and");
        let warning = format!(
            "the kerf of a stock holds for every machine, and {machines} cut `{stock}`: `--machine` and `--setting` write it to \
             the setting that the comb was cut with"
        );
        tell(&[], &[warning]);
    }
    let entry = entries::kerf(shop_text(&open), &stock, kerf).map_err(refused)?;
    let holds = |shop: &Shop| shop.stock(&stock).and_then(|s| s.kerf) == Some(kerf);
    put(&arguments.shop.shop, &open, &entry, holds, &arguments.writing).map(|_| Outcome::Done)
}

/// The machines that have settings to cut a stock.
fn cutting(shop: &Shop, stock: &str) -> BTreeSet<String> {
    let cuts = shop.settings.iter().filter(|s| s.stock == stock && s.operation == OperationKind::Cut);
    cuts.map(|s| s.machine.clone()).collect()
}

/// Writes the kerf of a setting, by its name and stock.
fn kerf_of_setting(
    arguments: &KerfArguments,
    open: &OpenShop,
    (name, stock): (&str, &str),
    kerf: Mm,
) -> Result<Outcome, Outcome> {
    let shop = &open.loaded.shop;
    let machine = &machine(shop, arguments.machine.as_deref())?.name;
    let mut cuts = shop.settings_for(machine, stock, OperationKind::Cut);
    let setting = cuts
        .find(|s| s.name == name)
        .ok_or_else(|| refused(format!("there is no setting `{name}` to cut `{stock}` with `{machine}`")))?;
    let entry = entries::kerf_of_setting(shop_text(open), setting, kerf).map_err(refused)?;
    let holds = |shop: &Shop| {
        let mut all = shop.settings_for(&setting.machine, &setting.stock, OperationKind::Cut);
        all.find(|s| s.name == setting.name).and_then(|s| s.kerf) == Some(kerf)
    };
    put(&arguments.shop.shop, open, &entry, holds, &arguments.writing).map(|_| Outcome::Done)
}

fn typed_kerfs(arguments: &KerfArguments) -> Result<Vec<KerfReading>, Outcome> {
    if arguments.hole.len() != arguments.part.len() {
        return Err(refused(format!(
            "{} of `--hole` and {} of `--part`: every hole needs its part",
            arguments.hole.len(),
            arguments.part.len()
        )));
    }
    let from = match (arguments.drawn, arguments.whole) {
        (Some(long), _) => Some((Comb::Drawn, long)),
        (None, whole) => whole.map(|long| (Comb::Whole, long)),
    };
    let mut all = Vec::new();
    if let Some(strips) = arguments.strips {
        let (from, long) = from.ok_or_else(|| refused("`--strips` needs `--drawn` or `--whole`"))?;
        all.extend(arguments.sum.iter().map(|sum| KerfReading::Comb { from, long, strips, sum: *sum }));
    }
    let pairs = arguments.hole.iter().zip(&arguments.part);
    all.extend(pairs.map(|(hole, part)| KerfReading::Hole { hole: *hole, part: *part }));
    Ok(all)
}

fn kerf_of(row: &Row, columns: &[String]) -> Result<KerfReading, ReadingError> {
    let length = |column| row.quantity(column, Dimension::Length).map(Mm::new);
    if columns.iter().any(|c| c == "hole") {
        return Ok(KerfReading::Hole { hole: length("hole")?, part: length("part")? });
    }
    let from = if columns.iter().any(|c| c == "drawn") { (Comb::Drawn, "drawn") } else { (Comb::Whole, "whole") };
    let strips = row.read("strips", |cell| {
        let count = cell.parse::<u32>().ok().filter(|n| (1..=1000).contains(n));
        count.ok_or_else(|| format!("`{cell}` is no count of strips from 1 to 1000"))
    })?;
    Ok(KerfReading::Comb { from: from.0, long: length(from.1)?, strips, sum: length("sum")? })
}

fn focus(arguments: &FocusArguments) -> Result<Outcome, Outcome> {
    let open = arguments.shop.open()?;
    let machine = machine(&open.loaded.shop, arguments.machine.as_deref())?.name.clone();
    let mut readings = arguments.at.clone();
    if let Some(path) = &arguments.readings {
        readings.extend(of_table(path, &[&["height", "width"]], |row, _| {
            let height = row.read("height", |cell| readings::quantity::any(cell, Dimension::Length))?;
            let width = row.quantity("width", Dimension::Length)?;
            Ok(FocusReading { height: Mm::new(height), width: Mm::new(width) })
        })?);
    }
    let found = readings::beam(&readings).map_err(refused)?;
    tell(&found.arithmetic, &found.warnings);
    let (height, error) = found.height;
    if height.abs() > error * 2.0 {
        let side = if height > Mm::ZERO { "above" } else { "below" };
        say(
            &mut std::io::stdout(),
            &format!(
                "the beam is narrowest {} mm {side} where the gauge puts the focus: correct the gauge, or say so with \
                 `focus=` in the settings\n",
                fixed(height.abs().get(), 2)
            ),
        );
    }
    let (spot, rayleigh) = (rounded(found.spot.0, 3), rounded(found.rayleigh.0, 2));
    let entry = entries::beam(shop_text(&open), &machine, spot, rayleigh).map_err(refused)?;
    let holds =
        |shop: &Shop| shop.machine(&machine).is_some_and(|m| m.spot == spot && m.rayleigh == Some(rayleigh));
    put(&arguments.shop.shop, &open, &entry, holds, &arguments.writing).map(|_| Outcome::Done)
}

fn shade(arguments: &ShadeArguments) -> Result<Outcome, Outcome> {
    let open = arguments.shop.open()?;
    let shop = &open.loaded.shop;
    let machine = machine(shop, arguments.machine.as_deref())?.name.clone();
    let stock = stock(shop, arguments.stock.as_deref())?.name.clone();
    let setting = arguments.setting.clone();
    let burned = shop.settings_for(&machine, &stock, OperationKind::Engrave).find(|s| s.name == setting);
    let burned = burned.ok_or_else(|| {
        refused(format!("there is no setting `{setting}` to engrave with `{machine}` on `{stock}`"))
    })?;
    let burned = burned_with(burned, shop);
    let mut readings = arguments.patch.clone();
    if let Some(path) = &arguments.readings {
        let layouts: &[&[&str]] = &[&["power", "luminance"], &["power", "grey"], &["power", "darkness"]];
        readings.extend(of_table(path, layouts, shade_of)?);
    }
    let found = readings::shades(&readings).map_err(refused)?;
    tell(&found.arithmetic, &found.warnings);
    let steps = found.steps;
    let name = arguments.name.clone();
    let entry = ShadesEntry {
        name,
        machine: machine.clone(),
        stock: stock.clone(),
        setting,
        burned,
        steps: steps.clone(),
    };
    let entry = entries::shades(shop_text(&open), &entry).map_err(refused)?;
    let holds = |shop: &Shop| {
        let card = shop.shade_cards.iter().find(|c| c.machine == machine && c.stock == stock);
        card.is_some_and(|c| c.steps == steps)
    };
    put(&arguments.shop.shop, &open, &entry, holds, &arguments.writing).map(|_| Outcome::Done)
}

/// The numbers of a setting, with its speed in the unit of its machine.
fn burned_with(setting: &Setting, shop: &Shop) -> BurnedNumbers {
    let unit = shop.machine(&setting.machine).map_or("mm/s", |m| m.speed_unit.as_str());
    BurnedNumbers {
        speed: said_speed(setting.speed, unit),
        passes: setting.passes,
        interval: setting.interval,
        focus: setting.focus.unwrap_or(Mm::ZERO),
    }
}

fn shade_of(row: &Row, columns: &[String]) -> Result<ShadeReading, ReadingError> {
    let share = |column| row.read(column, |cell| readings::quantity::zero_or_more(cell, Dimension::Percent));
    let power = Percent::new(share("power")?);
    let darkness = if columns.iter().any(|c| c == "luminance") {
        Darkness::Luminance(share("luminance")?)
    } else if columns.iter().any(|c| c == "grey") {
        Darkness::Grey(row.read("grey", |cell| {
            let grey = cell.parse::<f64>().ok().filter(|g| (0.0..=255.0).contains(g));
            grey.ok_or_else(|| format!("`{cell}` is no grey from 0 to 255"))
        })?)
    } else {
        Darkness::Dark(share("darkness")?)
    };
    Ok(ShadeReading { power, darkness })
}

/// A length as it is written into the file.
fn rounded(value: Mm, decimals: i32) -> Mm {
    let scale = libm::pow(10.0, f64::from(decimals));
    // Through text, so that what is compared later is what was written.
    Mm::new(fixed((value.get() * scale).round() / scale, 3).parse().unwrap_or(value.get()))
}
