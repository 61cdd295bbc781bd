//! The lists to tick: before, while it burns, at a pause, after, and between two runs.

use super::circumstances::{Circumstances, Fact};
use super::judge::Judgement;
use crate::shop::Moment;

/// One line to tick.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct CheckLine {
    /// What to see to.
    pub text: String,
    /// Short names of the sources, comma-separated.
    pub source: &'static str,
}

/// A line and when it applies. `{wavelength}` in the text becomes the machine's.
#[derive(Debug)]
pub struct Reminder {
    /// Its name among all reminders; it stays the same when the wording changes.
    pub name: &'static str,
    /// When it is due; between two runs counts as a pause.
    pub moment: Moment,
    text: &'static str,
    source: &'static str,
    /// All of these have to hold.
    when: &'static [Fact],
    /// None of these may hold.
    unless: &'static [Fact],
}

const fn line(name: &'static str, moment: Moment, text: &'static str, source: &'static str) -> Reminder {
    Reminder { name, moment, text, source, when: &[], unless: &[] }
}

impl Reminder {
    /// The same line, only where all of `facts` hold.
    const fn when(self, facts: &'static [Fact]) -> Self {
        Self { when: facts, ..self }
    }

    /// The same line, only where none of `facts` holds.
    const fn unless(self, facts: &'static [Fact]) -> Self {
        Self { unless: facts, ..self }
    }

    /// Whether it stands on every sheet, whatever the job.
    pub const fn is_on_every_sheet(&self) -> bool {
        self.when.is_empty() && self.unless.is_empty()
    }

    fn applies(&self, of: &Circumstances) -> bool {
        self.when.iter().all(|&fact| of.is(fact)) && !self.unless.iter().any(|&fact| of.is(fact))
    }

    /// The line as it stands on the sheet.
    pub fn line(&self, of: &Circumstances) -> CheckLine {
        CheckLine { text: self.text.replace("{wavelength}", &of.wavelength_text()), source: self.source }
    }
}

use Moment::{After, Before, During, Pausing};

#[rustfmt::skip] // One line of the list is one line of the sheet; broken up it could not be read through.
static LINES: &[Reminder] = &[
    line("trained", Before, "Trained and authorised; manual and shop rules read; not alone in the building, not tired", "CUCFL, UMass"),
    line("material", Before, "Material known by name and safety data sheet, the one this sheet names; nothing taped underneath; thickness measured", "Ottawa, UMD, UT"),
    line("scrap", Before, "Scrap for the corner: known by name and safety data sheet as well; what nobody can name does not go in", "Ottawa, UMD, UT").when(&[Fact::Scrap]),
    line("sheets", Before, "All sheets at hand, of one batch; the thickness of each measured", "practice").when(&[Fact::SeveralSheets]),
    line("lid", Before, "Lid, panels, interlocks, emergency stop and key working; nothing bypassed", "UAL, UMD").when(&[Fact::Enclosed]),
    line("barriers", Before, "Barriers or curtains closed, door signed and shut, bystanders out; emergency stop and key working; nothing bypassed", "UAL, UMD").unless(&[Fact::Enclosed]),
    line("extraction", Before, "Extraction running to the outside or into an approved filter before the first pulse; ducts and filters clean", "UVA, WISC, UMass, Auburn"),
    line("extinguisher", Before, "The right extinguisher for this site within reach and in date, fire blanket, way out clear, phone at hand, smoke alarm live", "ISU, CUCFL, Ottawa"),
    line("bed", Before, "Bed, tray and lens area free of scraps, dust, flammable liquids and spray cans", "Ottawa, UMD, UC"),
    line("small-parts", Before, "Small parts or small waste: a fine support under them, so that none drops through or tips up; the tray beneath empty", "practice").when(&[Fact::SmallParts]),
    line("optics", Before, "Lens, nozzle and mirrors, where the manual has them cleaned: clean and dry", "practice"),
    line("cooling", Before, "Cooling of the tube running; flow, level and temperature of the water as the manual says", "practice").when(&[Fact::Tube]),
    line("air", Before, "Air assist on where the table of the run says so", "Ottawa").when(&[Fact::AirOn]),
    line("flat", Before, "Sheet flat, held down with weights or pins that do not burn, outside the travel of the head; small gap beneath; support not shiny", "practice").unless(&[Fact::Tilted]),
    line("tilted", Before, "Sheet tilted as this sheet says: straight, not bent, both edges held down with weights or pins that do not burn, outside the travel of the head; support not shiny", "practice").when(&[Fact::Tilted]),
    line("curl", Before, "This sheet was measured as curled: pressed down until it lies flat, or its focus set as the table allows", "practice").when(&[Fact::Curled]),
    line("stops", Before, "Stops or a corner for the sheet firm, so that it comes to lie as before when it is laid in again", "practice").when(&[Fact::TurnedOver]),
    line("focus", Before, "Focus set for this thickness; height looked at in all four corners", "practice").unless(&[Fact::Tilted]),
    line("gauge", Before, "What sets the focus taken out again before the head moves", "practice").when(&[Fact::Gauge]),
    line("box", Before, "Start point set and outer box traced with the beam off or at its weakest; nothing outside sheet, margin and clamps", "practice"),
    line("eyewear-enclosed", Before, "Eyewear where the manual or the laser safety officer calls for it: marked for {wavelength} and with the optical density they state; for bystanders too", "CSD").when(&[Fact::Enclosed]),
    line("eyewear-open", Before, "Eyewear on everyone in the room: marked for {wavelength}, with the optical density that the manual or the laser safety officer states", "CSD").unless(&[Fact::Enclosed]),
    line("test-piece", Before, "Test piece (test-piece.svg) burned on an offcut of this very sheet and looked at: width of cut and shades as this sheet says", "practice").when(&[Fact::TestPiece]).unless(&[Fact::Trial]),
    line("test-by-hand", Before, "A test burned by hand on an offcut of this very sheet: width of cut and settings as on this sheet", "practice").unless(&[Fact::TestPiece, Fact::Trial]),
    line("changed", Before, "Numbers marked † are not those of the shop: set as the table says, not from memory", "practice").when(&[Fact::Changed]).unless(&[Fact::Trial]),
    line("unmeasured", Before, "A setting of this job was never measured: its numbers are a guess until the test piece has shown what they do", "practice").when(&[Fact::Unmeasured]).unless(&[Fact::Trial]),
    line("accepted", Before, "Accepted findings, near the end of this sheet, read: their reasons still hold", "practice").when(&[Fact::Accepted]),
    line("trial", Before, "Numbers on trial: nobody knows yet what they do to this stock; an offcut is burned, nothing that must not be lost, and a hand is at the stop", "practice").when(&[Fact::Trial]),
    line("trial-order", Before, "The order of this sheet is kept at the machine: the gentlest numbers are burned first, the strongest last", "practice").when(&[Fact::Trial]),
    line("long", Before, "It burns for more than half an hour: who watches next is agreed, and nobody leaves before that person stands there", "ISU, practice").when(&[Fact::Long]),
    line("files", Before, "Files at the machine are those of this sheet: run names and recipe hash compared", "practice"),

    line("watch", During, "Somebody stays and watches the burn the whole time: no phone, no “just a minute”", "ISU, UAL, Ottawa, UVA"),
    line("flame", During, "A small flame that goes along with the beam and dies may be usual; one that stays, grows or wanders is not: stop", "UVA, UAL"),
    line("trial-watch", During, "Numbers on trial: watched from the first patch to the last; as soon as a flame stays or the stock chars deep, stop and leave out all that is stronger", "practice").when(&[Fact::Trial]),
    line("photo", During, "Photo: its first rows looked at; where dots run together into black or smoke settles on them, stop", "practice").when(&[Fact::Photo]),
    line("alarm", During, "Strong smell, smoke of an odd colour, lost airflow, a wrong noise, a touching head, an alarm: stop", "practice"),
    line("tipped", During, "A piece that tips up or drops into the path of the head: stop", "practice").when(&[Fact::Cuts]),
    line("glow", During, "Cuts of several passes: each pass meets charred edges, which light more easily; an edge that glows on behind the beam: stop", "practice").when(&[Fact::Cuts, Fact::SeveralPasses]),
    line("fire-enclosed", During, "Fire: stop, follow the posted plan, cut the power, keep the lid shut if the manual says so, raise the alarm early, leave if it is not out at once", "ISU").when(&[Fact::Enclosed]),
    line("fire-open", During, "Fire: stop, follow the posted plan, cut the power, raise the alarm early, leave if it is not out at once", "ISU").unless(&[Fact::Enclosed]),
    line("fire-extraction", During, "Extractor on or off in a fire: sites differ, so follow the local plan, known before the start", "ISU"),
    line("hands-enclosed", During, "Lid stays shut; no hands, tools or mirrors inside; nobody leans on the machine", "UAL").when(&[Fact::Enclosed]),
    line("hands-open", During, "No hands, tools, rings or mirrors near the beam; nobody passes the barrier; nobody leans on the bench", "UAL").unless(&[Fact::Enclosed]),

    line("pause", Pausing, "Pause with the machine’s own control; whoever must leave stops the job and puts the machine into its safe state", "practice"),
    line("wait", Pausing, "Wait until motion has ended and smoke has cleared before opening or reaching in; extraction stays on", "practice"),
    line("embers", Pausing, "Look beneath the sheet for embers; take nothing away that holds the sheet in register", "practice"),
    line("note", Pausing, "Write down run, step, pass and last finished shape; who paused, when and why", "practice"),
    line("resume-enclosed", Pausing, "Before resuming: lid and interlocks closed, airflow on, sheet not moved (two marks or the outer box traced again), loose pieces out, focus as it was", "practice").when(&[Fact::Enclosed]),
    line("resume-open", Pausing, "Before resuming: barriers closed, eyewear on, airflow on, sheet not moved (two marks or the outer box traced again), loose pieces out, focus as it was", "practice").unless(&[Fact::Enclosed]),
    line("resume-air", Pausing, "Air assist on again before the beam is", "practice").when(&[Fact::AirOn]),
    line("resume-whole", Pausing, "Resume at the start of a whole step or shape", "practice"),
    line("charred", Pausing, "No second cut along a charred line without a fresh look", "practice").when(&[Fact::Cuts]),
    line("lost", Pausing, "If the start point was lost, find it again from the marks on the sheet; if that fails, scrap the piece", "practice"),
    line("never", Pausing, "After a fire, a crash, a power cut or any interlock event do not resume: inspect, tell the responsible person, start a new job", "practice"),

    line("smoke-enclosed", After, "Lid shut and extraction running until the smoke is gone: half a minute at the very least, longer for plastics, as the manual says", "CUCFL, UVA, Munoz").when(&[Fact::Enclosed]),
    line("smoke-open", After, "Extraction running until the smoke is gone: half a minute at the very least, longer for plastics, as the manual says", "CUCFL, UVA, Munoz").unless(&[Fact::Enclosed]),
    line("cold", After, "Stay until stock, offcuts and tray are cold; look for embers; scraps into a metal bin, not among paper", "practice"),
    line("hands", After, "Gloves for hot or sharp parts; hands washed; no food nearby", "Auburn"),
    line("knife", After, "Bridges cut with a sharp knife, away from the hand that holds, on a firm ground; small parts held down, not in the fingers", "practice").when(&[Fact::Bridges]),
    line("counted", After, "Pieces counted against this sheet, the tray searched for those that dropped", "practice").when(&[Fact::Cuts]),
    line("contact", After, "A piece for food, for a child or for the skin: residues looked into, product-safety rules kept", "UT, practice"),
    line("tray", After, "Tray emptied and cleaned; faults and near misses written down; machine off and locked", "practice"),
    line("recorded-cuts", After, "Measured width of cut, sheet, settings and time written down for the next recipe", "practice").when(&[Fact::Cuts]),
    line("recorded-marks", After, "Sheet, settings, how dark they came out, and time written down for the next recipe", "practice").unless(&[Fact::Cuts]),
];

#[rustfmt::skip]
static BETWEEN: &[Reminder] = &[
    line("between-embers", Pausing, "Motion ended, smoke cleared, no ember on or under the sheet; extraction stays on", "practice").when(&[Fact::SeveralRuns]),
];

/// Where the sheet stays as it lies.
#[rustfmt::skip]
static IN_PLACE: &[Reminder] = &[
    line("between-still", Pausing, "Sheet not moved: nothing that holds it was touched", "practice").when(&[Fact::SeveralRuns]),
    line("between-register", Pausing, "Register: two marks or the outer box of the last run traced again with the beam off or at its weakest", "practice").when(&[Fact::SeveralRuns]),
];

#[rustfmt::skip]
static BEFORE_NEXT: &[Reminder] = &[
    line("between-focus", Pausing, "Focus as the next table says; head free of loose pieces and clamps", "practice").when(&[Fact::SeveralRuns]),
    line("between-file", Pausing, "The next file is loaded, and its page is the whole sheet", "practice").when(&[Fact::SeveralRuns]),
];

/// Every line there is, whatever the job; the conditions of materials are not among them.
pub fn reminders() -> impl Iterator<Item = &'static Reminder> {
    LINES.iter().chain(BETWEEN).chain(IN_PLACE).chain(BEFORE_NEXT)
}

/// The lines of one moment, the material's conditions with those before the start.
pub fn checklist(moment: Moment, of: &Circumstances) -> Vec<CheckLine> {
    let due = LINES.iter().filter(|line| line.moment == moment && line.applies(of));
    let mut lines: Vec<CheckLine> = due.map(|line| line.line(of)).collect();
    if moment == Before
        && let Judgement::Caution { conditions, source, .. } = &of.material
    {
        lines.extend(conditions.iter().map(|text| CheckLine { text: (*text).to_owned(), source }));
    }
    lines
}

/// What to see to when one run is done and the next is to begin. Where the sheet does not stay as it lies, `handling`
/// says what is done with it.
pub fn between_runs(of: &Circumstances, handling: Vec<String>) -> Vec<CheckLine> {
    let chosen = |lines: &[Reminder]| -> Vec<CheckLine> {
        lines.iter().filter(|line| line.applies(of)).map(|line| line.line(of)).collect()
    };
    let in_between = if handling.is_empty() {
        chosen(IN_PLACE)
    } else {
        handling.into_iter().map(|text| CheckLine { text, source: "practice" }).collect()
    };
    [chosen(BETWEEN), in_between, chosen(BEFORE_NEXT)].concat()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::safety::sources_of;
    use std::collections::BTreeSet;

    #[test]
    fn every_line_has_a_name_of_its_own_and_sources_that_are_explained() {
        let names: BTreeSet<&str> = reminders().map(|line| line.name).collect();
        assert_eq!(names.len(), reminders().count());
        for line in reminders() {
            assert_eq!(sources_of([line.source]).len(), line.source.split(", ").count(), "{}", line.name);
        }
    }
}
