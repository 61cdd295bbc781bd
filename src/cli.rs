//! The command line: arguments to the driver, results to text and exit codes.

use crate::diagnostics::render::{HumanOptions, human, json, sarif};
use crate::diagnostics::{Severity, Sink};
use crate::driver::{self, Build, Request};
use crate::figures::Cache;
use crate::outputs::{OutputError, OutputFile};
use crate::recipe::Instead;
use crate::source::{DiskFiles, Sources};
use clap::{Args, Parser, Subcommand, ValueEnum};
use std::io::{IsTerminal, Write};
use std::path::{Path, PathBuf};
use std::process::ExitCode;

pub mod artwork_json;
mod bench;
mod card;
mod each;
mod explain;
mod inspect;
mod inspect_artwork;
mod measure;
mod quantities;
mod record;
mod resume;
mod watch;

/// Turns a recipe for a burned and cut piece into files for the machine and paper for the bench.
#[derive(Debug, Parser)]
#[command(
    name = "kerfbook",
    version,
    max_term_width = 100,
    after_help = "Example:\n  kerfbook build recipes/heron-pond/heron-pond.recipe.kdl --set day=2028-06-01"
)]
struct Arguments {
    #[command(subcommand)]
    command: Command,
}

#[derive(Debug, Subcommand)]
enum Command {
    /// Compiles a recipe and writes everything.
    #[command(
        after_help = "Examples:\n  kerfbook build pond.recipe.kdl --set day=2028-06-01 --out pond-files\n  kerfbook build place-card.recipe.kdl --each guests.csv"
    )]
    Build(BuildEachArguments),
    /// Compiles a recipe and writes nothing.
    #[command(after_help = "Example:\n  kerfbook check pond.recipe.kdl --deny warnings")]
    Check(CompileArguments),
    /// Builds again whenever the recipe or anything it reads is saved.
    #[command(after_help = "Example:\n  kerfbook watch pond.recipe.kdl")]
    Watch(BuildArguments),
    /// Explains a rule or a node of the recipe language.
    #[command(
        after_help = "Examples:\n  kerfbook explain layout/outside-board\n  kerfbook explain place\n  kerfbook explain units\n  kerfbook explain rules"
    )]
    Explain {
        /// A rule, a node, `units`, `rules` or `nodes`.
        topic: String,
    },
    /// Makes the files to burn what is left of a run that stopped, or what did not go through, back in register.
    #[command(
        after_help = "Examples:\n  kerfbook resume pond.recipe.kdl --run separate --after 8\n  kerfbook resume pond.recipe.kdl --run picture --after-row \"142 mm\"\n  kerfbook resume pond.recipe.kdl --run separate --pieces 3,7 --passes 1\n  kerfbook resume pond.recipe.kdl --run separate --only \"120,40 60x30\""
    )]
    Resume(resume::ResumeArguments),
    /// Shows what a recipe was resolved to, or what an artwork file holds.
    #[command(after_help = "Examples:\n  kerfbook inspect pond.recipe.kdl\n  kerfbook inspect art/heron.svg")]
    Inspect(CompileArguments),
    /// Writes the recipe of a test card, which is burned to measure the shop.
    #[command(
        subcommand,
        after_help = "Example:\n  kerfbook card settings --operation engrave --shop bench.shop.kdl --machine bench-diode --stock birch-3"
    )]
    Card(card::CardCommand),
    /// Turns readings of a burned card into entries of the shop file.
    #[command(
        subcommand,
        after_help = "Example:\n  kerfbook measure kerf --shop bench.shop.kdl --stock birch-3 --drawn \"60 mm\" --strips 10 --sum \"58.4 mm\""
    )]
    Measure(measure::MeasureCommand),
    /// Writes down how a burned job went, for the next job sheet.
    #[command(
        after_help = "Example:\n  kerfbook record pond.recipe.kdl --went not-through --run separate --where \"left bottom corner\""
    )]
    Record(record::RecordArguments),
}

#[derive(Clone, Debug, Args)]
struct CompileArguments {
    /// The recipe, `NAME.recipe.kdl`.
    recipe: PathBuf,
    /// Gives an input a value; may be repeated.
    #[arg(long = "set", value_name = "NAME=VALUE", value_parser = name_and_value)]
    set: Vec<(String, String)>,
    /// Burns it on another machine of the shop: every setting is looked up again.
    #[arg(long, value_name = "NAME")]
    machine: Option<String>,
    /// Makes it from another stock of the shop: every setting is looked up again.
    #[arg(long, value_name = "NAME")]
    stock: Option<String>,
    /// Allows reading in this folder too; may be repeated.
    #[arg(long, value_name = "DIR")]
    also_read: Vec<PathBuf>,
    /// How findings are written.
    #[arg(long, value_enum, default_value = "human", value_name = "FORMAT")]
    message_format: MessageFormat,
    /// Lets findings of this severity fail the build.
    #[arg(long, value_enum, value_name = "WHAT")]
    deny: Option<Deny>,
    /// Says nothing but findings.
    #[arg(long, short)]
    quiet: bool,
    /// How many threads work; as many as the machine has cores if left out.
    #[arg(long, short, value_name = "N")]
    jobs: Option<usize>,
}

#[derive(Clone, Debug, Args)]
struct BuildArguments {
    #[command(flatten)]
    compile: CompileArguments,
    /// The folder for the outputs; `out/NAME` if left out.
    #[arg(long, value_name = "DIR")]
    out: Option<PathBuf>,
}

#[derive(Clone, Debug, Args)]
struct BuildEachArguments {
    #[command(flatten)]
    build: BuildArguments,
    /// Builds one job for each row of a CSV table, in a folder for each: its columns are inputs.
    #[arg(long, value_name = "TABLE")]
    each: Option<PathBuf>,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
enum MessageFormat {
    /// For people.
    Human,
    /// One JSON object a line.
    Json,
    /// SARIF 2.1.0.
    Sarif,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
enum Deny {
    /// Warnings.
    Warnings,
}

/// How a command ended.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Outcome {
    /// It did what was asked.
    Done,
    /// The recipe has errors.
    RecipeErrors,
    /// What was asked for is not there.
    BadUsage,
    /// The outside world failed: disk, terminal.
    OutsideFailed,
}

impl From<Outcome> for ExitCode {
    fn from(outcome: Outcome) -> Self {
        match outcome {
            Outcome::Done => Self::SUCCESS,
            Outcome::RecipeErrors => Self::from(1),
            Outcome::BadUsage => Self::from(2),
            Outcome::OutsideFailed => Self::from(3),
        }
    }
}

/// Runs the command line. Exit codes: 0 done, 1 the recipe has errors, 2 wrong usage, 3 the outside world failed.
pub fn run() -> ExitCode {
    let arguments = match Arguments::try_parse() {
        Ok(arguments) => arguments,
        Err(error) => {
            let _ = error.print();
            return if error.use_stderr() { ExitCode::from(2) } else { ExitCode::SUCCESS };
        }
    };
    match arguments.command {
        Command::Build(BuildEachArguments { build, each }) => in_pool(build.compile.jobs, || match &each {
            Some(table) => each::run(&build, table),
            None => build_once(&build),
        })
        .into(),
        Command::Check(check) => in_pool(check.jobs, || check_once(&check)).into(),
        Command::Resume(resume) => in_pool(resume.jobs(), || resume::run(&resume)).into(),
        Command::Watch(watch) => in_pool(watch.compile.jobs, || watch::run(&watch)).into(),
        Command::Explain { topic } => explain::run(&topic),
        Command::Card(command) => card::run(command).into(),
        Command::Measure(command) => measure::run(command).into(),
        Command::Inspect(inspect) => in_pool(inspect.jobs, || inspect::run(&inspect)).into(),
        Command::Record(arguments) => record::run(&arguments).into(),
    }
}

fn name_and_value(text: &str) -> Result<(String, String), String> {
    let (name, value) = text.split_once('=').ok_or("expected NAME=VALUE, such as day=2028-06-01")?;
    Ok((name.trim().to_owned(), value.to_owned()))
}

/// Works in a pool of the wanted number of threads; the results never depend on it.
fn in_pool(jobs: Option<usize>, work: impl FnOnce() -> Outcome + Send) -> Outcome {
    let pool = rayon::ThreadPoolBuilder::new().num_threads(jobs.unwrap_or(0)).build();
    match pool {
        Ok(pool) => pool.install(work),
        Err(_) => work(),
    }
}

impl CompileArguments {
    fn request(&self) -> Request {
        let instead = Instead { machine: self.machine.clone(), stock: self.stock.clone() };
        Request { recipe: self.recipe.clone(), sets: self.set.clone(), instead, ..Request::default() }
    }

    fn files(&self) -> DiskFiles {
        DiskFiles::new(&driver::project_root(&self.recipe), &self.also_read)
    }

    /// Prints the findings and says how it ended.
    fn report(&self, build: &Build, brief_advice: bool) -> Outcome {
        print_findings(build, self.message_format, brief_advice);
        self.outcome(build)
    }

    /// How a build ended.
    fn outcome(&self, build: &Build) -> Outcome {
        let denied = self.deny == Some(Deny::Warnings) && build.findings.count(Severity::Warning) > 0;
        if build.findings.has_errors() || denied { Outcome::RecipeErrors } else { Outcome::Done }
    }
}

impl BuildArguments {
    fn folder(&self, build: &Build) -> PathBuf {
        self.out.clone().unwrap_or_else(|| PathBuf::from("out").join(&build.slug))
    }
}

/// Findings for people go to standard error; those for programs are the output asked for.
///
/// `check` tells every finding whole; a build, which is run again and again, tells advice in a line.
fn print_findings(build: &Build, format: MessageFormat, brief_advice: bool) {
    match format {
        MessageFormat::Human => {
            let options = HumanOptions { brief_advice, ..human_options() };
            say(&mut std::io::stderr(), &human(build.findings.iter(), &build.sources, options));
        }
        MessageFormat::Json => say(&mut std::io::stdout(), &json(build.findings.iter(), &build.sources)),
        MessageFormat::Sarif => say(&mut std::io::stdout(), &sarif(build.findings.iter(), &build.sources)),
    }
}

/// Prints the findings about a file that no recipe names; advice in a line.
fn print_findings_of(findings: &Sink, sources: &Sources, format: MessageFormat) {
    let text = match format {
        MessageFormat::Human => {
            let options = HumanOptions { brief_advice: true, ..human_options() };
            return say(&mut std::io::stderr(), &human(findings.iter(), sources, options));
        }
        MessageFormat::Json => json(findings.iter(), sources),
        MessageFormat::Sarif => sarif(findings.iter(), sources),
    };
    say(&mut std::io::stdout(), &text);
}

/// Colour only on a terminal, and never where `NO_COLOR` asks for none.
fn human_options() -> HumanOptions {
    let terminal = std::io::stderr().is_terminal();
    let no_colour = std::env::var_os("NO_COLOR").is_some_and(|v| !v.is_empty());
    let width = std::env::var("COLUMNS").ok().and_then(|c| c.parse().ok()).unwrap_or(100);
    HumanOptions { width, colour: terminal && !no_colour, ..HumanOptions::default() }
}

/// Writes text; a closed pipe at the other end is no reason to fail loudly.
fn say(to: &mut impl Write, text: &str) {
    let _ = to.write_all(text.as_bytes()).and_then(|()| to.flush());
}

fn check_once(arguments: &CompileArguments) -> Outcome {
    let build = driver::compile(&arguments.request(), &arguments.files(), &Cache::default());
    let outcome = arguments.report(&build, false);
    if outcome == Outcome::Done && !arguments.quiet && arguments.message_format == MessageFormat::Human {
        say(&mut std::io::stderr(), &format!("{} is ready to build\n", arguments.recipe.display()));
    }
    outcome
}

fn build_once(arguments: &BuildArguments) -> Outcome {
    let started = std::time::Instant::now();
    let outcome = build_with(arguments, &arguments.compile.files(), &Cache::default()).1;
    let quiet = arguments.compile.quiet || arguments.compile.message_format != MessageFormat::Human;
    if outcome == Outcome::Done && !quiet {
        say(&mut std::io::stderr(), &format!("in {:.2} s\n", started.elapsed().as_secs_f64()));
    }
    outcome
}

/// Builds and writes; used by `build` and by every round of `watch`.
fn build_with(arguments: &BuildArguments, files: &DiskFiles, cache: &Cache) -> (Build, Outcome) {
    let (build, made) = driver::build(&arguments.compile.request(), files, cache);
    let outcome = arguments.compile.report(&build, true);
    let folder = arguments.folder(&build);
    let quiet = arguments.compile.quiet || arguments.compile.message_format != MessageFormat::Human;
    let written = write_made(&folder, made, outcome, quiet);
    (build, written)
}

fn cannot_write(folder: &Path, error: &std::io::Error) -> Outcome {
    say(&mut std::io::stderr(), &format!("error: cannot write `{}`: {error}\n", folder.display()));
    Outcome::OutsideFailed
}

/// Writes what a build made, unless it has failed.
fn write_made(
    folder: &Path,
    made: Result<Option<Vec<OutputFile>>, OutputError>,
    outcome: Outcome,
    quiet: bool,
) -> Outcome {
    let made = match made {
        Ok(made) => made,
        Err(error) => {
            say(&mut std::io::stderr(), &format!("error: {error}\n"));
            return Outcome::OutsideFailed;
        }
    };
    let (Some(made), Outcome::Done) = (made, outcome) else { return Outcome::RecipeErrors };
    let count = made.len();
    if let Err(error) = driver::write(folder, made) {
        return cannot_write(folder, &error);
    }
    if !quiet {
        say(&mut std::io::stderr(), &format!("wrote {count} files to {}\n", folder.display()));
    }
    Outcome::Done
}
