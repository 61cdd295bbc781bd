//! How the job went when it was last burned, and what is different now.

use super::model::{Operation, Plan, ResolvedSetting};
use crate::journal::{Entry, Journal, RunThen, Step};
use crate::shop::{OperationKind, SettingValues};

/// The last time, seen from this job.
#[derive(Clone, Debug)]
pub struct LastTime {
    /// The day, as `2027-08-10`.
    pub day: String,
    /// The first digits of the job's version then.
    pub version: String,
    /// The revision of the project then.
    pub revision: Option<String>,
    /// The runs that were burned, and how they went.
    pub runs: Vec<RunThen>,
    /// Remarks.
    pub notes: Vec<String>,
    /// What is different now, in the order in which it is worked out: bench, inputs, files, numbers.
    pub changes: Vec<Difference>,
    /// The runs of which every number, the machine and the stock are as they were.
    pub unchanged: Vec<String>,
}

/// One thing that is different now.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Difference {
    /// What (`speed of cut board`).
    pub what: String,
    /// How it was; `None` where it was not there.
    pub was: Option<String>,
    /// How it is; `None` where it is gone.
    pub is: Option<String>,
}

impl Difference {
    /// Whether it is what a file holds that differs; `was` and `is` are the first digits of its hash then.
    pub fn is_of_file(&self) -> bool {
        self.what.starts_with(FILE)
    }
}

/// What stands before the path of a file.
const FILE: &str = "file ";

/// Compares a job with the last entry of its journal. The plan's files, inputs and version have to be known.
pub fn last_time(journal: &Journal, plan: &Plan) -> Option<LastTime> {
    let entry = journal.entries.last()?;
    let bench = bench(entry, plan);
    let steps = steps(entry, plan);
    let is_unchanged = |run: &&str| bench.is_empty() && !steps.iter().any(|(of, _)| of == run);
    let burned = entry.runs.iter().map(|r| r.name.as_str());
    let is_there = |name: &&str| plan.runs.iter().any(|run| run.name == *name);
    let unchanged = burned.filter(is_there).filter(is_unchanged).map(str::to_owned).collect();
    let numbers = steps.into_iter().map(|(_, difference)| difference);
    let changes = bench.into_iter().chain(inputs(entry, plan)).chain(files(entry, plan)).chain(numbers).collect();
    Some(LastTime {
        day: entry.day.clone(),
        version: entry.version.clone(),
        revision: entry.revision.clone(),
        runs: entry.runs.clone(),
        notes: entry.notes.clone(),
        changes,
        unchanged,
    })
}

fn bench(entry: &Entry, plan: &Plan) -> Vec<Difference> {
    let pairs = [("machine", &entry.machine, &plan.machine.name), ("stock", &entry.stock, &plan.stock.name)];
    pairs.into_iter().filter_map(|(what, was, is)| differs(what, Some(was), Some(is))).collect()
}

fn inputs(entry: &Entry, plan: &Plan) -> Vec<Difference> {
    let was: Vec<_> = entry.inputs.iter().map(|i| (i.name.as_str(), i.value.clone())).collect();
    let is: Vec<_> = plan.inputs.iter().map(|i| (i.name.as_str(), i.value.clone())).collect();
    compared(&was, &is)
}

/// Files are told by the first digits of their hashes, of which a journal holds fewer than a plan.
fn files(entry: &Entry, plan: &Plan) -> Vec<Difference> {
    let was: Vec<_> = entry.files.iter().map(|f| (f.path.as_str(), f.hash.clone())).collect();
    let shortened = |path: &str, hash: &str| {
        let digits = was.iter().find(|(name, _)| *name == path).map_or(SHORT, |(_, then)| then.len());
        hash.chars().take(digits.max(1)).collect()
    };
    let is: Vec<_> = plan.files.iter().map(|f| (f.path.as_str(), shortened(&f.path, &f.hash))).collect();
    let named = |difference: Difference| Difference { what: format!("{FILE}{}", difference.what), ..difference };
    compared(&was, &is).into_iter().map(named).collect()
}

/// Digits of a hash that tell two files apart.
const SHORT: usize = 12;

/// The numbers of the operations in the runs that were burned, each difference with its run.
fn steps(entry: &Entry, plan: &Plan) -> Vec<(String, Difference)> {
    let burned = |run: &str| entry.runs.iter().any(|r| r.name == run);
    let now: Vec<Now> = plan
        .runs
        .iter()
        .filter(|run| burned(&run.name))
        .flat_map(|run| run.operations.iter().filter_map(|o| Now::of(&run.name, o)))
        .collect();
    let then: Vec<&Step> = entry.steps.iter().filter(|step| burned(&step.run)).collect();
    let mut found = Vec::new();
    for step in &then {
        let what = title(step.operation, &step.name);
        match now.iter().find(|now| now.is(step)) {
            Some(now) => {
                let numbers = numbers(&step.values).into_iter().zip(numbers(&now.values));
                found.extend(numbers.filter_map(|((name, was), (_, is))| {
                    let difference = differs(&format!("{name} of {what}"), was.as_ref(), is.as_ref())?;
                    Some((step.run.clone(), difference))
                }));
            }
            None => found.push((step.run.clone(), Difference { what, was: Some("burned".to_owned()), is: None })),
        }
    }
    for new in now.iter().filter(|now| !then.iter().any(|step| now.is(step))) {
        let what = title(new.operation, new.name);
        found.push((new.run.to_owned(), Difference { what, was: None, is: Some("new".to_owned()) }));
    }
    found
}

/// An operation of the plan, as a journal would remember it.
struct Now<'a> {
    run: &'a str,
    operation: OperationKind,
    name: &'a str,
    values: SettingValues,
}

impl<'a> Now<'a> {
    fn of(run: &'a str, operation: &'a Operation) -> Option<Self> {
        let values = values_of(operation.setting.as_ref()?);
        Some(Self { run, operation: operation.kind, name: &operation.name, values })
    }

    fn is(&self, step: &Step) -> bool {
        self.run == step.run && self.operation == step.operation && self.name == step.name
    }
}

/// The numbers of a resolved setting.
fn values_of(setting: &ResolvedSetting) -> SettingValues {
    SettingValues {
        speed: Some(setting.speed),
        power: Some(setting.power),
        passes: Some(setting.passes),
        interval: setting.interval,
        focus: setting.focus,
        air: setting.air,
    }
}

/// Numbers as text: what is rounded alike is alike.
fn numbers(values: &SettingValues) -> [(&'static str, Option<String>); 6] {
    let on = |air: bool| if air { "on" } else { "off" }.to_owned();
    [
        ("speed", values.speed.map(|v| v.to_string())),
        ("power", values.power.map(|v| v.to_string())),
        ("passes", values.passes.map(|v| v.to_string())),
        ("interval", values.interval.map(|v| v.to_string())),
        ("focus", values.focus.map(|v| v.to_string())),
        ("air", values.air.map(on)),
    ]
}

fn title(operation: OperationKind, name: &str) -> String {
    format!("{operation} {name}")
}

/// Values by name, then and now.
fn compared(was: &[(&str, String)], is: &[(&str, String)]) -> Vec<Difference> {
    let find = |list: &[(&str, String)], name: &str| list.iter().find(|(n, _)| *n == name).map(|(_, v)| v.clone());
    let kept = was.iter().filter_map(|(name, then)| differs(name, Some(then), find(is, name).as_ref()));
    let new = is.iter().filter(|(name, _)| find(was, name).is_none());
    let new = new.map(|(name, now)| Difference { what: (*name).to_owned(), was: None, is: Some(now.clone()) });
    kept.chain(new).collect()
}

fn differs(what: &str, was: Option<&String>, is: Option<&String>) -> Option<Difference> {
    (was != is).then(|| Difference { what: what.to_owned(), was: was.cloned(), is: is.cloned() })
}
