//! `card`: writes the recipe of a test card.

use super::bench::{ShopArguments, machine, stock};
use super::{Outcome, quantities, say};
use crate::cards::{self, FocusWish, KerfWish, On, SettingsWish, ShadeWish, Wish};
use crate::driver;
use crate::shop::{Machine, OperationKind, Stock};
use crate::units::{Mm, MmPerSecond, Percent};
use clap::{Args, Subcommand, ValueEnum};
use std::path::{Path, PathBuf};

/// What a card finds out.
#[derive(Debug, Subcommand)]
pub(super) enum CardCommand {
    /// A grid of speeds and powers: which is right to engrave, score or cut?
    #[command(
        after_help = "Example:\n  kerfbook card settings --operation cut --shop bench.shop.kdl --machine bench-diode --stock birch-3"
    )]
    Settings(SettingsArguments),
    /// A comb of strips, and a hole with its part: how wide is a cut?
    #[command(
        after_help = "Example:\n  kerfbook card kerf --shop bench.shop.kdl --machine bench-diode --stock birch-3 --setting through"
    )]
    Kerf(KerfArguments),
    /// Patches of rising power: how dark does each burn?
    #[command(
        after_help = "Example:\n  kerfbook card shade --shop bench.shop.kdl --machine bench-diode --stock birch-3 --setting dark"
    )]
    Shade(ShadeArguments),
    /// Lines on a tilted sheet: how wide is the beam at each height?
    #[command(
        after_help = "Example:\n  kerfbook card focus --shop bench.shop.kdl --machine bench-diode --stock birch-3 --rise \"6 mm\""
    )]
    Focus(FocusArguments),
}

#[derive(Debug, Args)]
struct Common {
    #[command(flatten)]
    shop: ShopArguments,
    /// The machine; may be left out where the shop has only one.
    #[arg(long, value_name = "NAME")]
    machine: Option<String>,
    /// The stock; may be left out where the shop has only one.
    #[arg(long, value_name = "NAME")]
    stock: Option<String>,
    /// Width of the offcut; as wide as the card needs if left out.
    #[arg(long, value_name = "LENGTH", value_parser = quantities::length)]
    width: Option<Mm>,
    /// Height of the offcut; as high as the card needs if left out.
    #[arg(long, value_name = "LENGTH", value_parser = quantities::length)]
    height: Option<Mm>,
    /// The score setting for the lettering; the gentlest measured one if left out.
    #[arg(long, value_name = "NAME")]
    labels: Option<String>,
    /// Where the recipe is written; `STOCK-KIND.recipe.kdl` here if left out.
    #[arg(long, value_name = "FILE.recipe.kdl")]
    out: Option<PathBuf>,
}

#[derive(Clone, Copy, Debug, ValueEnum)]
enum Burning {
    /// Burns an area.
    Engrave,
    /// Marks a line.
    Score,
    /// Goes through.
    Cut,
}

#[derive(Debug, Args)]
pub(super) struct SettingsArguments {
    #[command(flatten)]
    common: Common,
    /// What is tried.
    #[arg(long, value_enum)]
    operation: Burning,
    /// The speeds, with commas between: `"100 mm/s, 200 mm/s"`.
    #[arg(long, value_name = "LIST", value_delimiter = ',', value_parser = quantities::speed)]
    speeds: Vec<MmPerSecond>,
    /// The powers, with commas between: `"20 %, 40 %"`.
    #[arg(long, value_name = "LIST", value_delimiter = ',', value_parser = quantities::percent)]
    powers: Vec<Percent>,
    /// How many times every patch is burned.
    #[arg(long, default_value_t = 1, value_parser = clap::value_parser!(u32).range(1..=50))]
    passes: u32,
    /// Distance between the rows of an engraved patch; a quarter more than the spot if left out.
    #[arg(long, value_name = "LENGTH", value_parser = quantities::length)]
    interval: Option<Mm>,
    /// Height of the focus above the stock.
    #[arg(long, value_name = "LENGTH", allow_hyphen_values = true, value_parser = quantities::height)]
    focus: Option<Mm>,
}

#[derive(Debug, Args)]
pub(super) struct KerfArguments {
    #[command(flatten)]
    common: Common,
    /// The cut setting; may be left out where there is only one.
    #[arg(long, value_name = "NAME")]
    setting: Option<String>,
    /// How many strips the comb has.
    #[arg(long, default_value_t = 10)]
    strips: u32,
}

#[derive(Debug, Args)]
pub(super) struct ShadeArguments {
    #[command(flatten)]
    common: Common,
    /// The engrave setting of which only the power is varied; may be left out where there is only one.
    #[arg(long, value_name = "NAME")]
    setting: Option<String>,
    /// The powers, with commas between; eight even steps up to the setting's if left out.
    #[arg(long, value_name = "LIST", value_delimiter = ',', value_parser = quantities::percent)]
    powers: Vec<Percent>,
}

#[derive(Debug, Args)]
pub(super) struct FocusArguments {
    #[command(flatten)]
    common: Common,
    /// The score setting of the lines; the gentlest measured one if left out.
    #[arg(long, value_name = "NAME")]
    setting: Option<String>,
    /// Height of the block under the right edge of the sheet.
    #[arg(long, value_name = "LENGTH", default_value = "6 mm", value_parser = quantities::length)]
    rise: Mm,
}

/// Writes a card.
pub(super) fn run(command: CardCommand) -> Outcome {
    let (common, wish, kind) = match command {
        CardCommand::Settings(arguments) => {
            let operation = match arguments.operation {
                Burning::Engrave => OperationKind::Engrave,
                Burning::Score => OperationKind::Score,
                Burning::Cut => OperationKind::Cut,
            };
            let wish = SettingsWish {
                operation,
                speeds: arguments.speeds,
                powers: arguments.powers,
                passes: arguments.passes,
                interval: arguments.interval,
                focus: arguments.focus,
            };
            (arguments.common, Wish::Settings(wish), operation.word())
        }
        CardCommand::Kerf(KerfArguments { common, setting, strips }) => {
            (common, Wish::Kerf(KerfWish { setting, strips }), "kerf")
        }
        CardCommand::Shade(ShadeArguments { common, setting, powers }) => {
            (common, Wish::Shade(ShadeWish { setting, powers }), "shade")
        }
        CardCommand::Focus(FocusArguments { common, setting, rise }) => {
            (common, Wish::Focus(FocusWish { setting, rise }), "focus")
        }
    };
    write(&common, &wish, kind).unwrap_or_else(|outcome| outcome)
}

fn write(common: &Common, wish: &Wish, kind: &str) -> Result<Outcome, Outcome> {
    let open = common.shop.open()?;
    let shop = &open.loaded.shop;
    let machine = machine(shop, common.machine.as_deref())?;
    let stock = stock(shop, common.stock.as_deref())?;
    let out = common.out.clone().unwrap_or_else(|| usual_file(wish, machine, stock, kind));
    let name = out.file_name().map(|n| n.to_string_lossy().into_owned()).unwrap_or_default();
    if !name.ends_with(".recipe.kdl") {
        return Err(wrong(&format!("`{name}` is not named as recipes are: name it `NAME.recipe.kdl`")));
    }
    let shop_file = driver::seen_from_file(&out, &common.shop.shop);
    let on = On {
        shop,
        machine,
        stock,
        shop_file: &shop_file,
        file: &name,
        width: common.width,
        height: common.height,
        label_setting: common.labels.as_deref(),
    };
    let recipe = cards::recipe(wish, &on).map_err(|error| wrong(&error.to_string()))?;
    put(&out, &recipe)
}

/// A file beside where the command runs.
fn usual_file(wish: &Wish, machine: &Machine, stock: &Stock, kind: &str) -> PathBuf {
    let of = if matches!(wish, Wish::Focus(_)) { &machine.name } else { &stock.name };
    PathBuf::from(format!("{of}-{kind}.recipe.kdl"))
}

/// Writes the card, unless another file has that name: somebody may have worked on it.
fn put(out: &Path, recipe: &str) -> Result<Outcome, Outcome> {
    let shown = out.display();
    match std::fs::read(out) {
        Ok(there) if there == recipe.as_bytes() => {}
        Ok(_) => {
            return Err(wrong(&format!(
                "`{shown}` is there already and holds something else; move it, or name another file with `--out`"
            )));
        }
        Err(_) => {
            driver::write_file(out, recipe.as_bytes()).map_err(|error| {
                say(&mut std::io::stderr(), &format!("error: cannot write `{shown}`: {error}\n"));
                Outcome::OutsideFailed
            })?;
        }
    }
    say(&mut std::io::stderr(), &format!("wrote {shown}\nnext: kerfbook build {shown}\n"));
    Ok(Outcome::Done)
}

fn wrong(message: &str) -> Outcome {
    say(&mut std::io::stderr(), &format!("error: {message}\n"));
    Outcome::RecipeErrors
}
