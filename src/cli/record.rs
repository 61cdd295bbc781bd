//! `record`: writes down how a burned job went.

use super::{Outcome, human_options, quantities, say};
use crate::diagnostics::render::human;
use crate::driver::{RecordError, RecordRequest, Recorded, record};
use crate::journal::HowItWent;
use clap::Args;
use clap::builder::{PossibleValuesParser, TypedValueParser};
use jiff::Zoned;
use jiff::civil::Date;
use std::io;
use std::path::PathBuf;

/// What is recorded.
#[derive(Clone, Debug, Args)]
pub(super) struct RecordArguments {
    /// The recipe, `NAME.recipe.kdl`.
    recipe: PathBuf,
    /// How it went.
    #[arg(long, value_name = "HOW", value_parser = how())]
    went: HowItWent,
    /// A run that was burned; may be repeated. All of them if left out.
    #[arg(long = "run", value_name = "NAME")]
    runs: Vec<String>,
    /// Where it did not go well: `"left bottom corner, piece 4"`.
    #[arg(long = "where", value_name = "TEXT")]
    place: Option<String>,
    /// A remark for the next job sheet; may be repeated.
    #[arg(long = "note", value_name = "TEXT")]
    notes: Vec<String>,
    /// The day; today if left out.
    #[arg(long, value_name = "YYYY-MM-DD", value_parser = quantities::day)]
    on: Option<Date>,
    /// The folder of the build that was burned; `out/NAME` if left out.
    #[arg(long, value_name = "DIR")]
    out: Option<PathBuf>,
}

fn how() -> impl TypedValueParser<Value = HowItWent> {
    PossibleValuesParser::new(HowItWent::ALL.map(HowItWent::word))
        .map(|word| HowItWent::from_word(&word).unwrap_or(HowItWent::Well))
}

/// Records, and says where.
pub(super) fn run(arguments: &RecordArguments) -> Outcome {
    match record(&request(arguments)) {
        Ok(recorded) => {
            say(&mut io::stderr(), &confirmation(&recorded));
            Outcome::Done
        }
        Err(RecordError::Journal(found)) => {
            let (sources, sink) = *found;
            say(&mut io::stderr(), &human(sink.iter(), &sources, human_options()));
            say(&mut io::stderr(), "error: nothing is recorded until the journal is mended\n");
            Outcome::RecipeErrors
        }
        Err(error @ RecordError::Asked(_)) => {
            say(&mut io::stderr(), &format!("error: {error}\n"));
            Outcome::RecipeErrors
        }
        Err(error @ RecordError::Disk(_)) => {
            say(&mut io::stderr(), &format!("error: cannot write the journal: {error}\n"));
            Outcome::OutsideFailed
        }
    }
}

fn request(arguments: &RecordArguments) -> RecordRequest {
    let name = arguments.recipe.file_name().map(|n| n.to_string_lossy().into_owned()).unwrap_or_default();
    let slug = name.strip_suffix(".recipe.kdl").unwrap_or(&name);
    RecordRequest {
        recipe: arguments.recipe.clone(),
        built: arguments.out.clone().unwrap_or_else(|| PathBuf::from("out").join(slug)),
        runs: arguments.runs.clone(),
        went: arguments.went,
        place: arguments.place.clone(),
        notes: arguments.notes.clone(),
        day: arguments.on.unwrap_or_else(|| Zoned::now().date()).to_string(),
    }
}

fn confirmation(recorded: &Recorded) -> String {
    let runs: Vec<String> = recorded.entry.runs.iter().map(|run| format!("{} {}", run.name, run.went)).collect();
    format!(
        "recorded in {}: {}, version {}: {}\n",
        recorded.journal.display(),
        recorded.entry.day,
        recorded.entry.version,
        runs.join("; ")
    )
}
