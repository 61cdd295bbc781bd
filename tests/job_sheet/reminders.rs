//! Every line of the checklists, every hazard and sign, both ways: a recipe that brings it and one that does not.
//!
//! The tables below name every line there is; a line that is added without a row here fails.

use super::printed::{Printed, flat};
use super::recipes::{Job, SHOP, compiled};
use kerfbook::outputs::job_sheet::{circumstances, job_sheet};
use kerfbook::plan::{HowItWent, LastTime, RunThen};
use kerfbook::safety::{self, Circumstances, Judgement};
use std::collections::{BTreeMap, BTreeSet};

/// Open diode, no air assist: marks on plain wood in one run, with measured numbers.
const MARKS: &str = r#"
machine "open-diode"
stock "lime-3"
sheet "80 mm" "60 mm"
shape "bar" { rectangle "30 mm" "10 mm"; place centre="sheet" }
shape "ring" { circle "40 mm"; place centre="sheet" }
run "all" { engrave "bar" setting="mark"; score "ring" setting="line" }
"#;

/// Enclosed tube with air assist and a gauge: two runs that cut, in two passes, small parts on bridges from a curled sheet, with
/// changed and unmeasured numbers and an accepted finding.
const CUTS: &str = r#"
machine "shut-tube"
stock "lime-3"
sheet "80 mm" "60 mm" curl="0.4 mm"
board { rectangle "60 mm" "40 mm" }
shape "disc" { circle "15 mm"; place centre="board" }
shape "line" { line { point; point right="20 mm" }; place centre="sheet" up="28 mm"; allow "layout/outside-board" because="a trial of the beam beside the board" }
run "marks" { score "line" setting="guess" }
run "out" { cut "disc" "board" setting="through" beam="waste-side" tabs=2 tab="0.5 mm" speed="14 mm/s" }
"#;

/// Two sheets laid into a corner of scrap, one of them turned over.
const SHEETS: &str = r#"
machine "shut-tube"
stock "lime-3"
sheet "200 mm" "160 mm"
board { rectangle "160 mm" "120 mm" }
register "marks" around="board" gap="4 mm" arm="5 mm"
fixture "stop" corner="left-top" arm="80 mm" width="20 mm"
shape "bar" { rectangle "50 mm" "30 mm"; place centre="board" }
run "stop" sheet="scrap" start="page" { cut "stop" setting="through" }
run "back" turned="left-right" start="page" { cut "marks" setting="through"; score "bar" setting="line" }
run "front" start="page" { score "marks" setting="line"; cut "board" setting="through" }
run "more" sheet="fresh" start="page" { cut "board" setting="through" }
"#;

/// A photo.
const PHOTO: &str = r#"
machine "open-diode"
stock "lime-3"
sheet "80 mm" "60 mm"
photo "dusk" file="dots.png" { size width="20 mm"; place centre="sheet" }
run "all" { engrave "dusk" setting="mark" }
"#;

/// Burns for hours.
const SLOW: &str = r#"
machine "open-diode"
stock "lime-3"
sheet "80 mm" "60 mm"
shape "bar" { rectangle "50 mm" "30 mm"; place centre="sheet" }
run "all" { engrave "bar" setting="slow" }
"#;

/// Numbers on trial, on a tilted sheet.
const TRIAL: &str = r#"
machine "open-diode"
stock "lime-3"
sheet "80 mm" "60 mm" block="3 mm"
shape "bar" { rectangle "10 mm" "10 mm"; place centre="sheet" }
run "grid" trial=#true { engrave "bar" speed="240 mm/s" power="20 %" interval="0.1 mm" }
"#;

/// A bed on which no test piece finds room.
const TINY: &str = r#"
machine "shut-fibre"
stock "lime-3"
sheet "16 mm" "16 mm"
shape "bar" { rectangle "8 mm" "8 mm"; place centre="sheet" }
run "all" { engrave "bar" setting="mark" }
"#;

const JOBS: [(&str, &str); 7] = [
    ("marks", MARKS),
    ("cuts", CUTS),
    ("sheets", SHEETS),
    ("photo", PHOTO),
    ("slow", SLOW),
    ("trial", TRIAL),
    ("tiny", TINY),
];

/// Stands on every sheet.
const EVERY: (&str, &str) = ("", "");

/// Line; the job that brings it and the one that does not, or both empty where it is on every sheet.
const LINES: &[(&str, (&str, &str))] = &[
    ("trained", EVERY),
    ("material", EVERY),
    ("scrap", ("sheets", "cuts")),
    ("sheets", ("sheets", "cuts")),
    ("lid", ("cuts", "marks")),
    ("barriers", ("marks", "cuts")),
    ("extraction", EVERY),
    ("extinguisher", EVERY),
    ("bed", EVERY),
    ("small-parts", ("cuts", "sheets")),
    ("optics", EVERY),
    ("cooling", ("cuts", "marks")),
    ("air", ("cuts", "marks")),
    ("flat", ("marks", "trial")),
    ("tilted", ("trial", "marks")),
    ("curl", ("cuts", "sheets")),
    ("stops", ("sheets", "cuts")),
    ("focus", ("marks", "trial")),
    ("gauge", ("cuts", "marks")),
    ("box", EVERY),
    ("eyewear-enclosed", ("cuts", "marks")),
    ("eyewear-open", ("marks", "cuts")),
    ("test-piece", ("cuts", "trial")),
    ("test-by-hand", ("tiny", "cuts")),
    ("changed", ("cuts", "marks")),
    ("unmeasured", ("cuts", "marks")),
    ("accepted", ("cuts", "marks")),
    ("trial", ("trial", "marks")),
    ("trial-order", ("trial", "marks")),
    ("long", ("slow", "marks")),
    ("files", EVERY),
    ("watch", EVERY),
    ("flame", EVERY),
    ("trial-watch", ("trial", "marks")),
    ("photo", ("photo", "marks")),
    ("alarm", EVERY),
    ("tipped", ("cuts", "marks")),
    ("glow", ("cuts", "marks")),
    ("fire-enclosed", ("cuts", "marks")),
    ("fire-open", ("marks", "cuts")),
    ("fire-extraction", EVERY),
    ("hands-enclosed", ("cuts", "marks")),
    ("hands-open", ("marks", "cuts")),
    ("pause", EVERY),
    ("wait", EVERY),
    ("embers", EVERY),
    ("note", EVERY),
    ("resume-enclosed", ("cuts", "marks")),
    ("resume-open", ("marks", "cuts")),
    ("resume-air", ("cuts", "marks")),
    ("resume-whole", EVERY),
    ("charred", ("cuts", "marks")),
    ("lost", EVERY),
    ("never", EVERY),
    ("smoke-enclosed", ("cuts", "marks")),
    ("smoke-open", ("marks", "cuts")),
    ("cold", EVERY),
    ("hands", EVERY),
    ("knife", ("cuts", "sheets")),
    ("counted", ("cuts", "marks")),
    ("contact", EVERY),
    ("tray", EVERY),
    ("recorded-cuts", ("cuts", "marks")),
    ("recorded-marks", ("marks", "cuts")),
    ("between-embers", ("cuts", "marks")),
    ("between-still", ("cuts", "marks")),
    ("between-register", ("cuts", "marks")),
    ("between-focus", ("cuts", "marks")),
    ("between-file", ("cuts", "marks")),
];

/// Hazard, a sentence of it, the job that brings it and the one that does not.
const HAZARDS: &[(&str, &str, (&str, &str))] = &[
    ("Fire", "The commonest serious event.", EVERY),
    ("Fire", "Stock, offcuts and what lies in the tray burn, often under the sheet where nobody sees it.", EVERY),
    ("Fire", "The raw beam can light things even out of focus.", EVERY),
    ("Fire", "Small pieces that drop or tip up are kindling.", ("cuts", "marks")),
    ("Fume", "Heat breaks wood, glue and plastic down into fine particles, aldehydes, benzene and acids.", EVERY),
    (
        "Fume",
        "Particles leave the case each time the lid opens, and after acrylic their number rose for 20 min or more.",
        ("cuts", "marks"),
    ),
    ("Fume", "An open machine gives them straight to the room: catch them at the cut.", ("marks", "cuts")),
    ("Beam", "450 nm: visible; the eye focuses it on the retina, scattered light too.", ("marks", "cuts")),
    ("Beam", "10.6 µm: invisible; it burns the cornea and the skin.", ("cuts", "marks")),
    (
        "Beam",
        "1064 nm: invisible, and the eye focuses it on the retina: the most treacherous kind.",
        ("tiny", "marks"),
    ),
    (
        "Beam",
        "Where its label says Class 1, that holds only while it is closed and unmodified; inside, the beam is Class 3B or 4.",
        ("cuts", "marks"),
    ),
    (
        "Beam",
        "The beam is open, Class 3B or 4: the room, the barriers and the eyewear need their own assessment by a \
         competent person (IEC 60825-1 and ISO 11553-1 treat of it).",
        ("marks", "cuts"),
    ),
    ("Beam", "Do not stare at the bright point of the cut.", EVERY),
    (
        "Reflection",
        "Bare metal and mirror-like stock or supports can send the beam back to lens or lid.",
        ("cuts", "marks"),
    ),
    (
        "Reflection",
        "Bare metal and mirror-like stock, supports, tools and rings can send the beam into the room.",
        ("marks", "cuts"),
    ),
    (
        "Electrical",
        "The tube’s supply is lethal, and stays so after switching off. Panels are for qualified service only.",
        ("cuts", "marks"),
    ),
    ("Electrical", "Panels and power supplies are for qualified service only.", ("marks", "cuts")),
    (
        "Hot, sharp, moving",
        "Cut edges are hot and can be sharp; the gantry moves without warning.",
        ("cuts", "marks"),
    ),
    ("Hot, sharp, moving", "The burned face stays hot; the gantry moves without warning.", ("marks", "cuts")),
    ("Gas", "Air only, unless the manual says otherwise; never oxygen.", ("cuts", "marks")),
];

fn jobs() -> BTreeMap<&'static str, (Job, Option<String>)> {
    let made = JOBS.into_iter().map(|(name, body)| (name, Job::of(body)));
    made.map(|(name, job)| {
        let text = job.text();
        (name, (job, text))
    })
    .collect()
}

/// Whether the text stands where it should: in the job that brings it and not in the other, or in all.
fn stands_where_it_should(
    jobs: &BTreeMap<&'static str, (Job, Option<String>)>,
    (brings, lacks): (&str, &str),
    what: &str,
    said_in: impl Fn(&Circumstances) -> String,
) {
    let stands_in = |name: &str| -> Option<bool> {
        let (job, text) = &jobs[name];
        Some(text.as_ref()?.contains(&flat(&said_in(&circumstances(&job.plan)))))
    };
    if brings.is_empty() {
        for name in jobs.keys() {
            assert_ne!(stands_in(name), Some(false), "`{what}` is missing on the sheet of `{name}`");
        }
    } else {
        assert_ne!(stands_in(brings), Some(false), "`{what}` is missing on the sheet of `{brings}`");
        assert_ne!(stands_in(lacks), Some(true), "`{what}` stands on the sheet of `{lacks}`");
    }
}

#[test]
fn every_line_stands_on_the_sheets_it_belongs_to_and_on_no_other() {
    let named: BTreeSet<&str> = LINES.iter().map(|(name, _)| *name).collect();
    let known: BTreeSet<&str> = safety::reminders().map(|line| line.name).collect();
    assert_eq!(named, known, "every line has a row in the table");
    let jobs = jobs();
    for line in safety::reminders() {
        let (_, at) = LINES.iter().find(|(name, _)| *name == line.name).expect("it has a row");
        assert_eq!(*at == EVERY, line.is_on_every_sheet(), "{}", line.name);
        stands_where_it_should(&jobs, *at, line.name, |of| line.line(of).text);
    }
}

#[test]
fn every_hazard_stands_on_the_sheets_it_belongs_to_and_on_no_other() {
    let jobs = jobs();
    for (name, sentence, at) in HAZARDS {
        stands_where_it_should(&jobs, *at, &format!("{name}: {sentence}"), |_| (*sentence).to_owned());
    }
    // What is left of a hazard when the sentences of the table are taken out was added without a row.
    for (name, (job, _)) in &jobs {
        for hazard in safety::hazards(&circumstances(&job.plan)) {
            let known = HAZARDS.iter().filter(|(of, ..)| *of == hazard.name);
            let rest = known.fold(hazard.text.clone(), |text, (_, sentence, _)| text.replace(sentence, ""));
            assert_eq!(rest.trim(), "", "{name}: {}", hazard.name);
        }
    }
}

#[test]
fn every_sign_stands_on_every_sheet() {
    for (name, (_, text)) in jobs() {
        let Some(text) = text else { return };
        for sign in safety::SIGNS {
            assert!(text.contains(sign.number) && text.contains(sign.name), "{name}: {}", sign.number);
        }
    }
}

/// A bench on which a material of any name can be marked.
fn on(material: &str) -> String {
    SHOP.replace("stock \"lime-3\" material=\"basswood\"", &format!("stock \"lime-3\" material=\"{material}\""))
}

/// A refused material stops the build; what is asked for with others stands on the first page and among the lines to tick.
#[test]
fn every_material_is_refused_or_comes_with_its_conditions() {
    let (mut refused, mut with_care, mut plain) = (0, 0, 0);
    for material in safety::materials() {
        let build = compiled(&on(material), MARKS);
        let rules: Vec<&str> = build.findings.iter().map(|d| d.finding.rule).collect();
        match safety::judge(material) {
            Judgement::Refused { .. } => {
                refused += 1;
                assert!(build.plan.is_none() && rules.contains(&"material/refused"), "{material}: {rules:?}");
            }
            Judgement::Unknown => panic!("{material} is in the table and is not known"),
            Judgement::Known { .. } => {
                plain += 1;
                assert!(!rules.iter().any(|rule| rule.starts_with("material/")), "{material}: {rules:?}");
            }
            Judgement::Caution { conditions, .. } => {
                with_care += 1;
                assert!(rules.contains(&"material/with-care"), "{material}: {rules:?}");
                let sheet = Printed::new(&job_sheet(&build.plan.expect("it builds"), None).expect("it prints"));
                let (Some(first), Some(text)) = (sheet.page_text(1), sheet.text()) else { continue };
                for condition in conditions {
                    let condition = flat(condition);
                    assert!(first.contains(&condition), "{material}: `{condition}` is missing on page 1");
                    assert!(1 < text.matches(&condition).count(), "{material}: `{condition}` cannot be ticked");
                }
            }
        }
    }
    assert!(10 < refused && 5 < with_care && 1 < plain, "{refused} {with_care} {plain}");
    let unknown = compiled(&on("moon cheese"), MARKS);
    assert!(unknown.plan.is_none());
    assert!(unknown.findings.iter().any(|d| d.finding.rule == "material/undeclared"));
}

/// What stands under the heading of the safety lists.
fn lists_of(text: &str) -> &str {
    &text[text.find("Safety The machine’s manual").expect("the lists have a heading")..]
}

/// The four moments, and the headings of their lists.
const MOMENTS: [(&str, &str); 4] = [
    ("before", "Before the start"),
    ("during", "While it burns"),
    ("pausing", "Pausing and resuming"),
    ("after", "After Lesson:"),
];

/// Lessons and the shop's own lines of all moments stand first in the list of theirs, if they fit the job.
#[test]
fn lessons_and_lines_of_the_shop_join_the_list_of_their_moment() {
    let lessons: String = MOMENTS
        .map(|(moment, _)| {
            format!(
                "lesson \"it failed {moment}\" {moment}=\"mend it {moment}\"\nchecklist {{ {moment} \"our line {moment}\" }}\n"
            )
        })
        .concat();
    let shop = format!("{SHOP}{lessons}lesson \"a cut failed\" before=\"mend the cut\" when=\"operation cut\"\n");
    let Some(text) = Job::in_shop(&shop, MARKS).text() else { return };
    let text = lists_of(&text);
    let starts = MOMENTS.map(|(_, heading)| text.find(heading).unwrap_or_else(|| panic!("{heading} is missing")));
    for (i, (moment, _)) in MOMENTS.iter().enumerate() {
        let end = starts.get(i + 1).copied().unwrap_or(text.len());
        let list = &text[starts[i]..end];
        let wanted = format!("Lesson: mend it {moment} (it failed {moment})");
        assert!(list.contains(&wanted), "`{wanted}` is not in its list: {list}");
        assert!(list.contains(&format!("our line {moment}")), "{moment}");
    }
    assert!(!text.contains("mend the cut"), "a lesson of cuts stands on the sheet of a job without any");
    let Some(cuts) = Job::in_shop(&shop, CUTS).text() else { return };
    assert!(cuts.contains("Lesson: mend the cut (a cut failed)"));
}

/// A run that did not go well is thought of before the next start; one that did is not.
#[test]
fn what_went_wrong_last_time_is_ticked_before_the_start() {
    let mut plan = Job::of(CUTS).plan;
    let run = |name: &str, went| RunThen { name: name.to_owned(), went, place: None };
    plan.last_time = Some(LastTime {
        day: "2028-02-03".to_owned(),
        version: String::new(),
        revision: None,
        runs: vec![run("marks", HowItWent::Well), run("out", HowItWent::NotThrough)],
        notes: Vec::new(),
        changes: Vec::new(),
        unchanged: Vec::new(),
    });
    let Some(text) = Printed::new(&job_sheet(&plan, None).expect("it prints")).text() else { return };
    let before = lists_of(&text);
    assert!(before.contains("Last time, 2028-02-03: out "), "{before}");
    assert!(!before.contains("Last time, 2028-02-03: marks"), "{before}");
}
