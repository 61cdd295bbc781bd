//! What is typed behind `measure KIND`.

use crate::cli::bench::ShopArguments;
use crate::cli::{MessageFormat, quantities};
use crate::readings::{FocusReading, ShadeReading};
use crate::units::Mm;
use clap::Args;
use jiff::civil::Date;
use std::path::PathBuf;

#[derive(Debug, Args)]
pub(in crate::cli) struct Writing {
    /// Shows what would be written, and writes nothing.
    #[arg(long)]
    pub print: bool,
}

#[derive(Debug, Args)]
pub(in crate::cli) struct KerfArguments {
    #[command(flatten)]
    pub shop: ShopArguments,
    /// The stock; may be left out where the shop has only one.
    #[arg(long, value_name = "NAME")]
    pub stock: Option<String>,
    /// The machine that the comb was cut on; may be left out where the shop has only one.
    #[arg(long, value_name = "NAME")]
    pub machine: Option<String>,
    /// The setting that the comb was cut with: the kerf is written to it, not to the stock.
    #[arg(long, value_name = "NAME")]
    pub setting: Option<String>,
    /// From the first drawn line of the comb to the last.
    #[arg(long, value_name = "LENGTH", value_parser = quantities::length, requires = "strips", conflicts_with = "whole")]
    pub drawn: Option<Mm>,
    /// Length of the strip that was measured before it was cut up; it has one cut fewer than strips.
    #[arg(long, value_name = "LENGTH", value_parser = quantities::length, requires = "strips")]
    pub whole: Option<Mm>,
    /// How many strips.
    #[arg(long, value_name = "N", requires = "sum", value_parser = clap::value_parser!(u32).range(1..=1000))]
    pub strips: Option<u32>,
    /// All strips together; repeated for every comb of this kind.
    #[arg(long, value_name = "LENGTH", value_parser = quantities::length, requires = "strips")]
    pub sum: Vec<Mm>,
    /// Inside width of a hole; repeated, each with its `--part`.
    #[arg(long, value_name = "LENGTH", value_parser = quantities::length, requires = "part")]
    pub hole: Vec<Mm>,
    /// Outside width of the part that fell out of it.
    #[arg(long, value_name = "LENGTH", value_parser = quantities::length, requires = "hole")]
    pub part: Vec<Mm>,
    /// A table of readings.
    #[arg(long, value_name = "FILE.csv")]
    pub readings: Option<PathBuf>,
    #[command(flatten)]
    pub writing: Writing,
}

#[derive(Debug, Args)]
pub(in crate::cli) struct FocusArguments {
    #[command(flatten)]
    pub shop: ShopArguments,
    /// The machine; may be left out where the shop has only one.
    #[arg(long, value_name = "NAME")]
    pub machine: Option<String>,
    /// Height of the focus above the stock, and the width of the line there; repeated.
    #[arg(long, value_name = "HEIGHT=WIDTH", allow_hyphen_values = true, value_parser = FocusReading::typed)]
    pub at: Vec<FocusReading>,
    /// A table of readings.
    #[arg(long, value_name = "FILE.csv")]
    pub readings: Option<PathBuf>,
    #[command(flatten)]
    pub writing: Writing,
}

#[derive(Debug, Args)]
pub(in crate::cli) struct ShadeArguments {
    #[command(flatten)]
    pub shop: ShopArguments,
    /// The machine; may be left out where the shop has only one.
    #[arg(long, value_name = "NAME")]
    pub machine: Option<String>,
    /// The stock; may be left out where the shop has only one.
    #[arg(long, value_name = "NAME")]
    pub stock: Option<String>,
    /// The engrave setting of which the power was varied.
    #[arg(long, value_name = "NAME")]
    pub setting: String,
    /// Name of the shade card; the one that is there, or `STOCK-shades`, if left out.
    #[arg(long, value_name = "NAME")]
    pub name: Option<String>,
    /// A power, and how dark its patch is; repeated.
    #[arg(long, value_name = "POWER=DARKNESS", value_parser = ShadeReading::typed)]
    pub patch: Vec<ShadeReading>,
    /// A table of readings.
    #[arg(long, value_name = "FILE.csv")]
    pub readings: Option<PathBuf>,
    #[command(flatten)]
    pub writing: Writing,
}

#[derive(Debug, Args)]
pub(in crate::cli) struct SettingsArguments {
    /// The recipe of the card that was burned.
    #[arg(long, value_name = "FILE.recipe.kdl")]
    pub card: PathBuf,
    /// Column and row of the patch that was right, such as `c4`.
    #[arg(long, value_name = "CELL")]
    pub cell: String,
    /// Name of the setting.
    #[arg(long, value_name = "NAME", value_parser = entry_name)]
    pub name: String,
    /// The day on which it was burned.
    #[arg(long, value_name = "YYYY-MM-DD", value_parser = quantities::day)]
    pub on: Date,
    /// What made it the right one, for people.
    #[arg(long, value_name = "TEXT")]
    pub note: Option<String>,
    /// Allows reading in this folder too; may be repeated.
    #[arg(long, value_name = "DIR")]
    pub also_read: Vec<PathBuf>,
    /// How findings in the card and the shop file are written.
    #[arg(long, value_enum, default_value = "human", value_name = "FORMAT")]
    pub message_format: MessageFormat,
    #[command(flatten)]
    pub writing: Writing,
}

fn entry_name(text: &str) -> Result<String, String> {
    let is_name = text.starts_with(char::is_alphabetic)
        && text.chars().all(|c| c.is_alphanumeric() || matches!(c, '-' | '_'))
        && text.chars().count() <= 60;
    if is_name {
        Ok(text.to_owned())
    } else {
        Err("a name is a letter, then letters, digits, `-` and `_`".to_owned())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn days_and_names_are_checked() {
        assert_eq!(quantities::day("2027-03-20").map(|day| day.to_string()).as_deref(), Ok("2027-03-20"));
        for text in ["2027-02-30", "9999-12-31", "2027-3-2", "yesterday"] {
            let error = quantities::day(text).unwrap_err();
            assert!(error.contains("such as 2027-03-20"), "{error}");
        }
        assert!(entry_name("through-2").is_ok() && entry_name("2 through").is_err());
    }
}
