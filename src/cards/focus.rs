//! The ramp of focus heights: a tilted sheet, lines across it, each at a height of its own.
//!
//! A machine whose focus is set by hand keeps one height through a run. So the sheet is tilted instead: it lies on the
//! bed with one edge, on a block of known height with the other, and the focus is set once, over its middle. Every line
//! runs along the tilt's axis and so lies at one height.

use super::labels::{HEADING, LINE, Labels, SMALL, legible, room};
use super::page::{EDGE, Head, Page, sheet};
use super::{CardError, On};
use crate::units::Mm;
use crate::units::number::fixed;

/// A ramp as it is asked for.
#[derive(Clone, Debug)]
pub struct FocusWish {
    /// The score setting of the lines; what the lettering is scored with where it is left out.
    pub setting: Option<String>,
    /// Height of the block under the right edge.
    pub rise: Mm,
}

/// Length of the sheet along the tilt where the offcut has none, in mm.
const LONG: f64 = 130.0;

/// Length of a line, in mm.
const LINE_LENGTH: f64 = 16.0;

/// Free between two lines, in mm: their numbers stand side by side.
const LEAST_PITCH: f64 = 8.0;

/// Steps of height that read well, in mm.
const STEPS: [f64; 6] = [0.1, 0.2, 0.25, 0.5, 1.0, 2.0];

/// Fewer lines to either side of the middle give no curve.
const LEAST_LINES: i32 = 3;

/// A line of the ramp.
#[derive(Clone, Copy, Debug, PartialEq)]
struct Line {
    /// From the lower edge of the sheet, level.
    x: f64,
    /// Height of the focus above the stock there.
    height: f64,
}

/// Writes the recipe.
pub(super) fn recipe(wish: &FocusWish, on: &On) -> Result<String, CardError> {
    let long = on.width.map_or(LONG, Mm::get);
    let lines = lines(long, wish.rise.get())?;
    let labels =
        Labels::choose(&On { label_setting: wish.setting.as_deref().or(on.label_setting), ..on.clone() })?;
    let title = format!("focus {}", legible(&on.machine.name));
    let with = "height of the focus above the stock, mm".to_owned();
    let top = (EDGE + LINE * HEADING + LINE * SMALL + 3.0).round();
    let needed = (
        EDGE * 2.0 + room(&title, HEADING).0.max(room(&with, SMALL).0),
        (top + LINE_LENGTH + 1.0 + room("+1.5", SMALL).1).ceil() + EDGE,
    );
    let size = sheet((needed.0.max(long), needed.1), on)?;
    let mut page = Page::new(&head(wish, &labels, &lines, size, on));
    page.lettering("title", &title, HEADING, (EDGE, EDGE));
    page.lettering("says-heights", &with, SMALL, (EDGE, (EDGE + LINE * HEADING).round()));
    page.blank();
    let mut names = vec!["title".to_owned(), "says-heights".to_owned()];
    let mut figures = Vec::new();
    for (i, line) in lines.iter().enumerate() {
        let figure = format!("line-{}", i + 1);
        let body = format!("line {{ point; point down=\"{}\" }}", Mm::new(LINE_LENGTH));
        page.shape(&figure, &body, (line.x, top));
        let says = format!("says-{}", i + 1);
        page.caption(&says, &shown(line.height), SMALL, &figure);
        names.push(says);
        figures.push(figure);
    }
    page.blank();
    checklist(&mut page, on);
    page.run(&labels, on);
    page.labels(&figures, &labels);
    page.labels(&names, &labels);
    page.line("}");
    Ok(page.finish())
}

/// The lines on a sheet of some length whose right edge lies on a block of some height.
///
/// The sheet is the long side of a right triangle and the block its short side, so along the bed, level, the height grows
/// by `rise / √(long² - rise²)`.
fn lines(long: f64, rise: f64) -> Result<Vec<Line>, CardError> {
    if rise >= long / 4.0 {
        return Err(CardError::new(
            format!("a block of {} under a sheet of {} is too steep", Mm::new(rise), Mm::new(long)),
            "take a lower block, a quarter of the length at most, or a longer offcut",
        ));
    }
    let level = libm::sqrt(long * long - rise * rise);
    let slope = rise / level;
    let most = slope * (level / 2.0 - EDGE - LEAST_PITCH / 2.0);
    let fits = |step: &&f64| **step / slope >= LEAST_PITCH && most / **step >= f64::from(LEAST_LINES);
    let Some(step) = STEPS.iter().find(fits) else {
        return Err(CardError::new(
            format!("a block of {} under a sheet of {} leaves no room for lines", Mm::new(rise), Mm::new(long)),
            "take a higher block with `--rise`, or a longer offcut with `--width`; 6 mm under 130 mm are usual",
        ));
    };
    let each_way = (most / step + 1e-9) as i32;
    let line = |i: i32| {
        let height = f64::from(i) * step;
        // To the right the stock rises, and the focus sinks into it.
        Line { x: ((level / 2.0 - height / slope) * 1000.0).round() / 1000.0, height }
    };
    Ok((-each_way..=each_way).rev().map(line).collect())
}

/// A height with its sign.
fn shown(height: f64) -> String {
    let text = fixed(height, 2);
    if height > 0.0 { format!("+{text}") } else { text }
}

/// What the person at the bench has to do, on the job sheet.
fn checklist(page: &mut Page, on: &On) {
    let gauge = if on.machine.focus_gauge.is_some() { "by the gauge" } else { "as the manual says" };
    page.line("checklist {");
    for line in [
        format!("focus set once, {gauge}, over the line in the middle of the sheet, and not touched again"),
        "with the beam off, head pushed by hand over the raised edge: nozzle and head clear it everywhere"
            .to_owned(),
    ] {
        page.line(&format!("    before \"{line}\""));
    }
    page.line("}");
    page.blank();
}

fn head<'a>(wish: &FocusWish, labels: &Labels, lines: &[Line], size: (f64, f64), on: &'a On<'a>) -> Head<'a> {
    let (machine, shop) = (&on.machine.name, on.shop_file);
    let (first, last) = (lines.first().map_or(0.0, |l| l.height), lines.last().map_or(0.0, |l| l.height));
    let example = shown(first);
    Head {
        title: format!("Focus card: {machine}"),
        about: format!(
            "{} lines on a tilted sheet, from {} mm to {} mm of focus height, to find where the beam is narrowest.",
            lines.len(),
            shown(first),
            shown(last)
        ),
        notes: vec![
            format!("A test card: how wide is the beam of `{machine}` at each height, and where is it narrowest?"),
            format!(
                "The focus is not moved: the sheet is tilted, its right edge on a block of {}. Heights say where the",
                wish.rise
            ),
            "focus lies above the stock (a negative one lies in it), as `focus=` does in a setting.".to_owned(),
            labels.note(),
            "Measure how wide each line is burned, with a loupe that has a scale or on a scan. Afterwards:"
                .to_owned(),
            format!(
                "    kerfbook measure focus --shop {shop} --machine {machine} --at \"{example} mm=0.31 mm\" --at …"
            ),
        ],
        size,
        block: Some(wish.rise),
        on,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn heights_follow_the_triangle_of_sheet_and_block() {
        // The lever of a 3-4-5 triangle scaled: a sheet of 130 on a block of 50 spans 120 level (5-12-13).
        assert!(lines(130.0, 50.0).is_err(), "too steep to burn");
        let ramp = lines(130.0, 6.0).unwrap();
        let level = (130.0_f64 * 130.0 - 36.0).sqrt();
        for line in &ramp {
            let stock = line.x * 6.0 / level;
            assert!((stock + line.height - 3.0).abs() < 1e-4, "{line:?}: the focus is level");
        }
        assert_eq!(ramp.iter().filter(|l| l.height == 0.0).count(), 1);
        assert!(ramp.windows(2).all(|w| w[0].x + LEAST_PITCH <= w[1].x + 1e-9 && w[0].height > w[1].height));
    }

    #[test]
    fn a_flat_ramp_is_refused() {
        assert!(lines(130.0, 0.1).is_err());
        assert!(lines(40.0, 2.0).is_err());
    }

    #[test]
    fn heights_have_their_sign() {
        assert_eq!([shown(1.5), shown(0.0), shown(-0.25)], ["+1.5", "0", "-0.25"]);
    }
}
