//! How it went the last time, and what is different now.

use super::flow::Flow;
use super::panel;
use super::style::{BODY, SMALL, STRONG};
use super::text::{MOST_LINES, clipped, paragraph};
use super::wording::led;
use crate::outputs::pdf::{Align, Fragment, Word};
use crate::plan::{Difference, HowItWent, LastTime, Plan, RunThen};

/// So many differences are listed; more are counted.
const MOST_DIFFERENCES: usize = 12;
/// So many remarks are shown.
const MOST_NOTES: usize = 4;

/// Writes the panel, where a journal tells of a last time.
pub(super) fn write(flow: &mut Flow, plan: &Plan) {
    let Some(last) = &plan.last_time else { return };
    let text = words(last, panel::inner(flow.width()));
    let went_well = last.runs.iter().all(|run| run.went == HowItWent::Well);
    flow.gap(4.0);
    flow.place(&if went_well { panel::quiet(&text) } else { panel::alert(&text) });
}

fn words(last: &LastTime, width: f64) -> Fragment {
    let all_well = last.runs.iter().all(|run| run.went == HowItWent::Well) && !last.runs.is_empty();
    let told = if all_well {
        let names: Vec<String> = last.runs.iter().map(|run| clipped(&run.name, 40)).collect();
        format!("{} went well.", names.join(", "))
    } else {
        last.runs.iter().map(|run| format!("{}.", outcome(run))).collect::<Vec<_>>().join(" ")
    };
    let mut all = paragraph(
        &led(&format!("Last time, {}:", clipped(&last.day, 20)), &told, BODY),
        width,
        Align::Left,
        MOST_LINES,
    );
    for note in last.notes.iter().take(MOST_NOTES) {
        let quoted = format!("“{}”", clipped(note, 300));
        all.stack(0.6, &paragraph(&[Word::new(quoted, BODY)], width, Align::Left, MOST_LINES));
    }
    all.stack(0.6, &paragraph(&since(last), width, Align::Left, MOST_LINES));
    all
}

/// How a run went, and where it did not go well.
pub(super) fn outcome(run: &RunThen) -> String {
    let place = run.place.as_ref().map_or_else(String::new, |place| format!(": {}", clipped(place, 200)));
    format!("{} {}{place}", clipped(&run.name, 40), run.went)
}

fn since(last: &LastTime) -> Vec<Word> {
    if last.changes.is_empty() {
        return vec![Word::new("Nothing has changed since: the same files, inputs and numbers.", SMALL)];
    }
    let mut words = vec![Word::new("Different now:", STRONG.size(SMALL.size))];
    let shown = last.changes.len().min(MOST_DIFFERENCES);
    for (i, change) in last.changes.iter().take(MOST_DIFFERENCES).enumerate() {
        let end = if i + 1 < shown { ";" } else { "" };
        words.push(Word::new(format!(" {}{end}", difference(change)), SMALL));
    }
    match last.changes.len() - shown {
        0 => words.push(Word::new(".", SMALL)),
        more => words.push(Word::new(format!("; and {more} more, in report.json."), SMALL)),
    }
    words
}

fn difference(change: &Difference) -> String {
    let what = clipped(&change.what, 80);
    match (&change.was, &change.is) {
        (Some(_), Some(_)) if change.is_of_file() => format!("{what} has changed"),
        (Some(was), Some(is)) => format!("{what} {} (was {})", clipped(is, 60), clipped(was, 60)),
        (None, Some(_)) => format!("{what} is new"),
        (Some(_), None) => format!("{what} is gone"),
        (None, None) => what,
    }
}
