//! The lists to tick: before, while it burns, at a pause, after, and between two runs.

use super::circumstances::Circumstances;
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
struct Line {
    moment: Moment,
    text: &'static str,
    source: &'static str,
    applies: fn(&Circumstances) -> bool,
}

const fn line(
    moment: Moment,
    text: &'static str,
    source: &'static str,
    applies: fn(&Circumstances) -> bool,
) -> Line {
    Line { moment, text, source, applies }
}

const fn always(_: &Circumstances) -> bool {
    true
}
const fn enclosed(of: &Circumstances) -> bool {
    of.enclosed
}
const fn open(of: &Circumstances) -> bool {
    !of.enclosed
}
const fn has_air(of: &Circumstances) -> bool {
    of.air_assist
}
const fn several_runs(of: &Circumstances) -> bool {
    of.runs > 1
}
fn cuts(of: &Circumstances) -> bool {
    of.cuts()
}

const fn trial(of: &Circumstances) -> bool {
    of.is_trial
}
const fn flat(of: &Circumstances) -> bool {
    !of.is_tilted
}
const fn tilted(of: &Circumstances) -> bool {
    of.is_tilted
}
const fn measured(of: &Circumstances) -> bool {
    !of.is_trial
}

use Moment::{After, Before, During, Pausing};

#[rustfmt::skip] // One line of the list is one line of the sheet; broken up it could not be read through.
static LINES: &[Line] = &[
    line(Before, "Trained and authorised; manual and shop rules read; not alone in the building, not tired", "CUCFL, UMass", always),
    line(Before, "Material known by name and safety data sheet, the one this sheet names; nothing taped underneath; thickness measured", "Ottawa, UMD, UT", always),
    line(Before, "Lid, panels, interlocks, emergency stop and key working; nothing bypassed", "UAL, UMD", enclosed),
    line(Before, "Barriers or curtains closed, door signed and shut, bystanders out; emergency stop and key working; nothing bypassed", "UAL, UMD", open),
    line(Before, "Extraction running to the outside or into an approved filter before the first pulse; ducts and filters clean", "UVA, WISC, UMass, Auburn", always),
    line(Before, "The right extinguisher for this site within reach and in date, fire blanket, way out clear, phone at hand, smoke alarm live", "ISU, CUCFL, Ottawa", always),
    line(Before, "Bed, tray and lens area free of scraps, dust, flammable liquids and spray cans", "Ottawa, UMD, UC", always),
    line(Before, "Lens, mirrors and nozzle clean; cooling running", "practice", always),
    line(Before, "Air assist on where the table of the run says so", "Ottawa", has_air),
    line(Before, "Sheet flat, held down with weights or pins that do not burn, outside the travel of the head; small gap beneath; support not shiny", "practice", flat),
    line(Before, "Sheet tilted as this sheet says: straight, not bent, both edges held down with weights or pins that do not burn, outside the travel of the head; support not shiny", "practice", tilted),
    line(Before, "Focus set for this thickness; height looked at in all four corners", "practice", flat),
    line(Before, "Start point set and outer box traced with the beam off or at its weakest; nothing outside sheet, margin and clamps", "practice", always),
    line(Before, "Eyewear where the manual or the laser safety officer calls for it: marked for {wavelength} and with the optical density they state; for bystanders too", "CSD", enclosed),
    line(Before, "Eyewear on everyone in the room: marked for {wavelength}, with the optical density that the manual or the laser safety officer states", "CSD", open),
    line(Before, "Test square burned on an offcut of this very sheet; width of cut and settings as on this sheet", "practice", measured),
    line(Before, "Numbers on trial: nobody knows yet what they do to this stock; an offcut is burned, nothing that must not be lost, and a hand is at the stop", "practice", trial),
    line(Before, "The order of this sheet is kept at the machine: the gentlest numbers are burned first, the strongest last", "practice", trial),
    line(Before, "Files at the machine are those of this sheet: run names and recipe hash compared", "practice", always),

    line(During, "Somebody stays and watches the burn the whole time: no phone, no “just a minute”", "ISU, UAL, Ottawa, UVA", always),
    line(During, "A small flame that goes along with the beam and dies may be usual; one that stays, grows or wanders is not: stop", "UVA, UAL", always),
    line(During, "Numbers on trial: watched from the first patch to the last; as soon as a flame stays or the stock chars deep, stop and leave out all that is stronger", "practice", trial),
    line(During, "Strong smell, smoke of an odd colour, lost airflow, a wrong noise, a touching head, an alarm: stop", "practice", always),
    line(During, "A piece that tips up or drops into the path of the head: stop", "practice", cuts),
    line(During, "Fire: stop, follow the posted plan, cut the power, keep the lid shut if the manual says so, raise the alarm early, leave if it is not out at once", "ISU", enclosed),
    line(During, "Fire: stop, follow the posted plan, cut the power, raise the alarm early, leave if it is not out at once", "ISU", open),
    line(During, "Extractor on or off in a fire: sites differ, so follow the local plan, known before the start", "ISU", always),
    line(During, "Lid stays shut; no hands, tools or mirrors inside; nobody leans on the machine", "UAL", enclosed),
    line(During, "No hands, tools, rings or mirrors near the beam; nobody passes the barrier; nobody leans on the bench", "UAL", open),

    line(Pausing, "Pause with the machine’s own control; whoever must leave stops the job and puts the machine into its safe state", "practice", always),
    line(Pausing, "Wait until motion has ended and smoke has cleared before opening or reaching in; extraction stays on", "practice", always),
    line(Pausing, "Look beneath the sheet for embers; take nothing away that holds the sheet in register", "practice", always),
    line(Pausing, "Write down run, step, pass and last finished shape; who paused, when and why", "practice", always),
    line(Pausing, "Before resuming: lid and interlocks closed, airflow and air assist on, sheet not moved (two marks or the outer box traced again), loose pieces out, focus as it was", "practice", enclosed),
    line(Pausing, "Before resuming: barriers closed, eyewear on, airflow and air assist on, sheet not moved (two marks or the outer box traced again), loose pieces out, focus as it was", "practice", open),
    line(Pausing, "Resume at the start of a whole step or shape; no second cut along a charred line without a fresh look", "practice", always),
    line(Pausing, "If the start point was lost, find it again from the marks on the sheet; if that fails, scrap the piece", "practice", always),
    line(Pausing, "After a fire, a crash, a power cut or any interlock event do not resume: inspect, tell the responsible person, start a new job", "practice", always),

    line(After, "Lid shut and extraction running until the smoke is gone: half a minute at the very least, longer for plastics, as the manual says", "CUCFL, UVA, Munoz", enclosed),
    line(After, "Extraction running until the smoke is gone: half a minute at the very least, longer for plastics, as the manual says", "CUCFL, UVA, Munoz", open),
    line(After, "Stay until stock, offcuts and tray are cold; look for embers; scraps into a metal bin, not among paper", "practice", always),
    line(After, "Gloves for hot or sharp parts; hands washed; no food nearby", "Auburn", always),
    line(After, "Pieces counted against this sheet, the tray searched for those that dropped", "practice", cuts),
    line(After, "A piece for food, for a child or for the skin: residues looked into, product-safety rules kept", "UT, practice", always),
    line(After, "Tray emptied and cleaned; faults and near misses written down; machine off and locked", "practice", always),
    line(After, "Measured width of cut, sheet, settings and time written down for the next recipe", "practice", always),
];

#[rustfmt::skip]
static BETWEEN: &[Line] = &[
    line(Pausing, "Motion ended, smoke cleared, no ember on or under the sheet; extraction stays on", "practice", always),
];

/// Where the sheet stays as it lies.
#[rustfmt::skip]
static IN_PLACE: &[Line] = &[
    line(Pausing, "Sheet not moved: nothing that holds it was touched", "practice", several_runs),
    line(Pausing, "Register: two marks or the outer box of the last run traced again with the beam off or at its weakest", "practice", always),
];

#[rustfmt::skip]
static BEFORE_NEXT: &[Line] = &[
    line(Pausing, "Focus as the next table says; head free of loose pieces and clamps", "practice", always),
    line(Pausing, "The next file is loaded, and its page is the whole sheet", "practice", always),
];

/// The lines of one moment, the material's conditions with those before the start.
pub fn checklist(moment: Moment, of: &Circumstances) -> Vec<CheckLine> {
    let mut lines = chosen(LINES, moment, of);
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
    let in_between = if handling.is_empty() {
        chosen(IN_PLACE, Pausing, of)
    } else {
        handling.into_iter().map(|text| CheckLine { text, source: "practice" }).collect()
    };
    [chosen(BETWEEN, Pausing, of), in_between, chosen(BEFORE_NEXT, Pausing, of)].concat()
}

fn chosen(lines: &[Line], moment: Moment, of: &Circumstances) -> Vec<CheckLine> {
    let chosen = lines.iter().filter(|line| line.moment == moment && (line.applies)(of));
    chosen
        .map(|line| CheckLine {
            text: line.text.replace("{wavelength}", &of.wavelength_text()),
            source: line.source,
        })
        .collect()
}
