//! The text of a card's recipe, and whether its sheet has room where it is burned.

use super::labels::Labels;
use super::{CardError, On};
use crate::shop::StartPoint;
use crate::units::number::fixed;
use crate::units::{Mm, MmPerSecond, Percent, parse_unit};
use std::fmt::Write;

/// Free along the edges of the sheet, in mm: offcuts are seldom square.
pub(super) const EDGE: f64 = 6.0;

/// Where engraved rows may begin, in mm from the left edge of the sheet: a sheet whose corner is that of the page lies at
/// the edge of the bed, and the head has to speed up within the bed.
pub(super) fn left_edge(speed: MmPerSecond, on: &On) -> f64 {
    let machine = on.machine;
    if machine.start != StartPoint::Page {
        return EDGE;
    }
    let speed = speed.min(machine.top_speed).get();
    let way = machine.run_up.map_or(speed * speed / (2.0 * machine.acceleration.get()), Mm::get);
    EDGE.max((way + 0.5).ceil())
}

/// A sheet as large as a card needs, or the offcut that it has to fit.
pub(super) fn sheet(needed: (f64, f64), on: &On) -> Result<(f64, f64), CardError> {
    let (width, height) = (on.width.map_or(needed.0, Mm::get), on.height.map_or(needed.1, Mm::get));
    if width < needed.0 || height < needed.1 {
        let needs = format!("{} x {}", Mm::new(needed.0), Mm::new(needed.1));
        return Err(CardError::new(
            format!("the card needs {needs}, and the offcut has {} x {}", Mm::new(width), Mm::new(height)),
            "take a larger offcut, or ask for fewer patches",
        ));
    }
    let (machine, stock) = (on.machine, on.stock);
    let bed = (machine.bed_width.get(), machine.bed_height.get());
    if width > bed.0 || height > bed.1 {
        return Err(CardError::new(
            format!(
                "a card of {} x {} is larger than the bed of `{}`, which has {} x {}",
                Mm::new(width),
                Mm::new(height),
                machine.name,
                machine.bed_width,
                machine.bed_height
            ),
            "give it a smaller offcut with `--width` and `--height`, or ask for fewer patches",
        ));
    }
    // A sheet may be turned, so its sides are compared by length.
    let fits = |(w, h): (Mm, Mm)| {
        let (long, short) = (w.max(h).get(), w.min(h).get());
        width.max(height) <= long && width.min(height) <= short
    };
    if let Some((w, h)) = stock.sheet.filter(|s| !fits(*s)) {
        return Err(CardError::new(
            format!(
                "a card of {} x {} is larger than a sheet of `{}`, which has {w} x {h}",
                Mm::new(width),
                Mm::new(height),
                stock.name
            ),
            "give it a smaller offcut with `--width` and `--height`, or ask for fewer patches",
        ));
    }
    Ok((width, height))
}

/// What stands at the head of a card.
pub(super) struct Head<'a> {
    pub title: String,
    pub about: String,
    /// Comment lines: what to do with the card.
    pub notes: Vec<String>,
    pub size: (f64, f64),
    /// Height of a block under the right edge.
    pub block: Option<Mm>,
    pub on: &'a On<'a>,
}

/// The text of a recipe as it grows.
pub(super) struct Page {
    text: String,
}

impl Page {
    pub fn new(head: &Head) -> Self {
        let mut page = Self { text: "/- kdl-version 2\n".to_owned() };
        head.notes.iter().for_each(|note| page.line(&format!("// {note}")));
        page.line(&format!("recipe \"{}\" language=1 {{", head.title));
        page.line(&format!("    about \"{}\"", head.about));
        page.line("}");
        page.line(&format!("use {}", quoted(head.on.shop_file)));
        page.blank();
        page.line(&format!("machine \"{}\"", head.on.machine.name));
        page.line(&format!("stock \"{}\"", head.on.stock.name));
        let block = head.block.map(|block| format!(" block=\"{block}\"")).unwrap_or_default();
        page.line(&format!("sheet \"{}\" \"{}\" offcut=#true{block}", Mm::new(head.size.0), Mm::new(head.size.1)));
        page.blank();
        page
    }

    pub fn line(&mut self, line: &str) {
        let _ = writeln!(self.text, "{line}");
    }

    pub fn blank(&mut self) {
        self.text.push('\n');
    }

    /// A shape whose box has its left top corner at a point of the sheet.
    pub fn shape(&mut self, name: &str, body: &str, at: (f64, f64)) {
        self.line(&format!("shape \"{name}\" {{ {body}; {} }}", placed(at)));
    }

    /// A text of `height` mm with its left top corner at a point of the sheet.
    pub fn lettering(&mut self, name: &str, text: &str, height: f64, at: (f64, f64)) {
        self.line(&format!(
            "lettering \"{name}\" \"{text}\" {} {{ {} }}",
            face(height, "align=\"left\" "),
            placed(at)
        ));
    }

    /// A text that hangs under a figure, its middle under the middle of that.
    pub fn caption(&mut self, name: &str, text: &str, height: f64, under: &str) {
        let gap = Mm::new(1.0);
        self.line(&format!(
            "lettering \"{name}\" \"{text}\" {} {{ place below=\"{under}\" down=\"{gap}\" }}",
            face(height, "")
        ));
    }

    /// The operation that scores the lettering.
    pub fn labels(&mut self, names: &[String], labels: &Labels) {
        let quoted: Vec<String> = names.iter().map(|n| format!("\"{n}\"")).collect();
        let lines: Vec<String> = quoted.chunks(8).map(|some| some.join(" ")).collect();
        self.line(&format!("    score {} {}", lines.join(" \\\n        "), labels.words()));
    }

    /// Begins the run; on trial where its lettering is, and where the beam is yet to be measured.
    pub fn run(&mut self, labels: &Labels, on: &On) {
        let is_trial = matches!(labels, Labels::Trial(..)) || on.machine.known_spot().is_none();
        self.line(&format!("run \"card\"{} {{", if is_trial { " trial=#true" } else { "" }));
    }

    pub fn finish(self) -> String {
        self.text
    }
}

fn face(height: f64, align: &str) -> String {
    format!("strokes=\"plain\" height=\"{}\" {align}leading=\"100 %\"", Mm::new(height))
}

fn placed((x, y): (f64, f64)) -> String {
    format!("place left=\"sheet\" top=\"sheet\" right=\"{}\" down=\"{}\"", Mm::new(x), Mm::new(y))
}

/// A text in quotes, as KDL reads it back.
pub(super) fn quoted(text: &str) -> String {
    let escaped: String = text.chars().fold(String::new(), |mut all, c| {
        if matches!(c, '"' | '\\') {
            all.push('\\');
        }
        all.push(c);
        all
    });
    format!("\"{escaped}\"")
}

/// A speed in the unit in which the shop says speeds, rounded down so that it never goes beyond a limit.
pub(super) fn said(speed: MmPerSecond, unit: &str) -> String {
    let thousandths = libm::floor(speed.get() / unit_size(unit) * 1000.0 + 1e-6);
    format!("{} {unit}", fixed(thousandths / 1000.0, 3))
}

/// How many mm/s one of a unit of speed is.
pub(super) fn unit_size(unit: &str) -> f64 {
    parse_unit(unit).map_or(1.0, |u| u.size.0 as f64 / u.size.1 as f64)
}

/// The numbers of an operation as a recipe states them.
#[derive(Clone, Debug)]
pub(super) struct Stated {
    pub speed: MmPerSecond,
    pub power: Percent,
    pub passes: u32,
    pub interval: Option<Mm>,
    pub focus: Option<Mm>,
    pub air: Option<bool>,
}

impl Stated {
    pub fn words(&self, unit: &str) -> String {
        let mut words = format!("speed=\"{}\" power=\"{}\"", said(self.speed, unit), self.power);
        if self.passes > 1 {
            let _ = write!(words, " passes={}", self.passes);
        }
        if let Some(interval) = self.interval {
            let _ = write!(words, " interval=\"{interval}\"");
        }
        if let Some(focus) = self.focus {
            let _ = write!(words, " focus=\"{focus}\"");
        }
        if let Some(air) = self.air {
            let _ = write!(words, " air={}", if air { "#true" } else { "#false" });
        }
        words
    }
}
