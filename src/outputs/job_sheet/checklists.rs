//! Safety: what can go wrong, and the lists to tick before, during, at a pause and after.

use super::flow::Flow;
use super::last_time::outcome;
use super::panel::{self, tick_box};
use super::signs;
use super::style::{ALERT, BODY, HEADING, LABEL, SMALL, SOFT, hairline};
use super::text::{MOST_LINES, clipped, heading, paragraph, text};
use super::wording::led;
use crate::outputs::pdf::{Align, Artifact, Fragment, Numbering, Role, Weight, Word};
use crate::plan::{HowItWent, LastTime, Plan};
use crate::safety::{self, Circumstances, Source};
use crate::shop::Moment;

/// Room of the sources at the right, in mm.
const SOURCES: f64 = 25.0;
/// Free above and below a line, in mm.
const PAD: f64 = 0.72;
/// Room of the tick boxes at the left, in mm.
const BOXES: f64 = 6.5;

/// The moments, in order, and how a job passes through them.
const MOMENTS: [(Moment, &str); 4] = [
    (Moment::Before, "Before the start"),
    (Moment::During, "While it burns"),
    (Moment::Pausing, "Pausing and resuming"),
    (Moment::After, "After"),
];

/// Writes the section.
pub(super) fn write(flow: &mut Flow, plan: &Plan, of: &Circumstances) {
    flow.turn();
    flow.section("Safety", "", 40.0);
    let width = flow.width();
    flow.place(&panel::alert(&limits(panel::inner(width))));
    flow.gap(3.0);
    let mut notes: Vec<&'static str> = Vec::new();
    flow.begin(Role::List(Numbering::Terms));
    for hazard in safety::hazards(of) {
        notes.push(hazard.source);
        flow.place(&hazard_row(&hazard, width));
    }
    flow.end();
    for (moment, title) in MOMENTS {
        notes.extend(list(flow, plan, of, moment, (title, Role::Subheading)));
    }
    flow.gap(5.0);
    flow.head(&text("Signs that belong at the machine, after their meanings in ISO 7010", SMALL, width), 22.0);
    flow.gap(1.5);
    flow.place(&signs::row(width));
    sources(flow, &safety::sources_of(notes));
}

fn limits(width: f64) -> Fragment {
    let first = "The machine’s manual and local codes come before this sheet.";
    paragraph(&led(first, safety::LIMITS, BODY), width, Align::Left, MOST_LINES)
}

fn hazard_row(hazard: &safety::Hazard, width: f64) -> Fragment {
    let mut row = Fragment::new(width, 0.0);
    let body = paragraph(&[Word::new(&hazard.text, BODY)], width - 33.0 - SOURCES + 1.0, Align::Left, MOST_LINES);
    let name = text(hazard.name, BODY.weight(Weight::Semibold), 31.0);
    let source = paragraph(&[Word::new(hazard.source, LABEL)], SOURCES - 2.0, Align::Right, 3);
    let height = name.size.height;
    row.place((0.0, PAD), &name.tagged(Role::Label));
    row.begin(Role::Body);
    row.place((33.0, PAD), &body);
    row.place((width - SOURCES + 2.0, PAD + 0.4), &source);
    row.end();
    row.size.height = body.size.height.max(height).max(source.size.height + 0.4) + 2.0 * PAD;
    row.line((0.0, row.size.height), (width, row.size.height), hairline());
    row.tagged(Role::Item)
}

/// Writes the list of a moment under its title, which has the role of a heading; hands back the sources it names.
pub(super) fn list(
    flow: &mut Flow,
    plan: &Plan,
    of: &Circumstances,
    moment: Moment,
    (title, role): (&str, Role),
) -> Vec<&'static str> {
    let width = flow.width();
    let lines = safety::checklist(moment, of);
    let mut items: Vec<Fragment> = Vec::new();
    for lesson in plan.lessons.iter().filter(|lesson| lesson.moment == moment) {
        let words = vec![
            Word::new("Lesson:", BODY.weight(Weight::Semibold).ink(ALERT)),
            Word::new(format!(" {}", lesson.action), BODY.weight(Weight::Semibold)),
            Word::new(format!(" ({})", lesson.text), BODY.ink(SOFT)),
        ];
        items.push(item(&words, "from this shop", width));
    }
    for (_, reminder) in plan.reminders.iter().filter(|(due, _)| *due == moment) {
        items.push(item(&[Word::new(reminder, BODY.weight(Weight::Semibold))], "from this shop", width));
    }
    if moment == Moment::Before {
        items.extend(went_wrong(plan).map(|words| item(&words, "from the journal", width)));
    }
    items.extend(lines.iter().map(|line| item(&[Word::new(&line.text, BODY)], line.source, width)));
    flow.gap(5.0);
    let first: f64 = items.iter().take(2).map(|i| i.size.height).sum();
    flow.head(&heading(title, HEADING.size(12.5), width, role), first);
    flow.begin(Role::List(Numbering::Boxes));
    for (i, item) in items.iter().enumerate() {
        // The last two lines of a list stay together: one alone at the top of a page is overlooked.
        let last = if i + 2 == items.len() { items[i + 1].size.height } else { 0.0 };
        if flow.room() < item.size.height + last {
            flow.turn();
            // Only the eye needs it again, as it needs the head of a table.
            let again = text(&format!("{title} (continued)"), HEADING.size(12.5), width);
            flow.place(&again.artifact(Artifact::Pagination));
        }
        flow.place(item);
    }
    flow.end();
    lines.into_iter().map(|line| line.source).collect()
}

/// What did not go well when the job was last burned: nobody starts again without having thought of it.
fn went_wrong(plan: &Plan) -> impl Iterator<Item = Vec<Word>> + '_ {
    let bad = |last: &'_ LastTime| -> Vec<(String, String)> {
        let bad = last.runs.iter().filter(|run| run.went != HowItWent::Well);
        bad.map(|run| (last.day.clone(), outcome(run))).collect()
    };
    plan.last_time.iter().flat_map(bad).map(|(day, outcome)| {
        vec![
            Word::new(format!("Last time, {}:", clipped(&day, 20)), BODY.weight(Weight::Semibold).ink(ALERT)),
            Word::new(format!(" {outcome}. What was the reason, and what is different now?"), BODY),
        ]
    })
}

fn item(words: &[Word], source: &str, width: f64) -> Fragment {
    let body = paragraph(words, width - BOXES - SOURCES, Align::Left, MOST_LINES);
    let source = paragraph(&[Word::new(source, LABEL)], SOURCES - 2.0, Align::Right, 3);
    let mut item = Fragment::new(width, 0.0);
    tick_box(&mut item, 0.0, PAD + BODY.leading() / 2.0);
    item.begin(Role::Body);
    item.place((BOXES, PAD), &body);
    item.place((width - SOURCES + 2.0, PAD + 0.4), &source);
    item.end();
    item.size.height = body.size.height.max(source.size.height + 0.4) + 2.0 * PAD;
    item.line((BOXES, item.size.height), (width, item.size.height), hairline());
    item.tagged(Role::Item)
}

fn sources(flow: &mut Flow, named: &[Source]) {
    let width = flow.width();
    let mut words = vec![Word::new("Sources.", LABEL.weight(Weight::Semibold))];
    for source in named {
        words.push(Word::new(format!(" {}:", source.key), LABEL.weight(Weight::Semibold)));
        words.push(Word::new(format!(" {}.", source.title), LABEL));
    }
    flow.gap(2.0);
    flow.place(&paragraph(&words, width, Align::Left, MOST_LINES));
}
