//! The comb for the width of a cut, and a hole with the part that falls out of it.

use super::labels::{HEADING, LINE, Labels, SMALL, legible, room};
use super::measured::measured;
use super::page::{EDGE, Head, Page, sheet};
use super::{CardError, On};
use crate::shop::OperationKind;
use crate::units::Mm;
use std::fmt::Write;

/// A comb as it is asked for.
#[derive(Clone, Debug)]
pub struct KerfWish {
    /// The cut setting; the only one there is where it is left out.
    pub setting: Option<String>,
    /// How many strips.
    pub strips: u32,
}

/// Width of a strip, in mm: narrow enough for many, wide enough to stand in a calliper.
const STRIP: f64 = 6.0;

/// Height of the comb, in mm.
const HEIGHT: f64 = 30.0;

/// Side of the hole, in mm: the inner jaws of a calliper go in.
const HOLE: f64 = 20.0;

/// Free between comb and hole, in mm.
const BETWEEN: f64 = 12.0;

/// Fewer strips give too coarse a number, more are too many to hold together.
const STRIPS: std::ops::RangeInclusive<u32> = 2..=20;

/// Writes the recipe.
pub(super) fn recipe(wish: &KerfWish, on: &On) -> Result<String, CardError> {
    if !STRIPS.contains(&wish.strips) {
        return Err(CardError::new(
            format!("a comb of {} strips cannot be measured", wish.strips),
            format!("ask for {} to {} strips; 10 are usual", STRIPS.start(), STRIPS.end()),
        ));
    }
    let setting = measured(on, OperationKind::Cut, wish.setting.as_deref())?;
    let labels = Labels::choose(on)?;
    let long = STRIP * f64::from(wish.strips);
    let title = format!("kerf {}", legible(&on.stock.name));
    let with = format!("{}, setting {}", legible(&on.machine.name), legible(&setting.name));
    let top = EDGE + LINE * HEADING + LINE * SMALL + 3.0;
    let captions = [
        format!("{} strips\\ndrawn {}", wish.strips, Mm::new(long)),
        format!("hole and part\\ndrawn {}", Mm::new(HOLE)),
    ];
    let hole_at = EDGE + long + BETWEEN;
    let right = [(EDGE, &title, HEADING), (EDGE, &with, SMALL)].map(|(x, text, height)| x + room(text, height).0);
    let caption_right = hole_at + HOLE / 2.0 + room(&captions[1], SMALL).0 / 2.0;
    let needed = (
        right.into_iter().fold(caption_right, f64::max).ceil() + EDGE,
        (top + HEIGHT + 1.0 + room(&captions[0], SMALL).1).ceil() + EDGE,
    );
    let size = sheet(needed, on)?;
    let mut page = Page::new(&head(wish, &labels, &setting.name, long, size, on));
    page.lettering("title", &title, HEADING, (EDGE, EDGE));
    page.lettering("burned-with", &with, SMALL, (EDGE, (EDGE + LINE * HEADING).round()));
    page.blank();
    let top = top.round();
    page.line("// The strips hang on the rails until these are cut.");
    page.shape("strips", &path(&teeth(wish.strips)), (EDGE, top));
    page.shape("rails", &path(&format!("M 0 0 H {long} M 0 {HEIGHT} H {long}")), (EDGE, top));
    page.shape("hole", &format!("rectangle \"{0}\" \"{0}\"", Mm::new(HOLE)), (hole_at, top));
    page.caption("says-strips", &captions[0], SMALL, "strips");
    page.caption("says-hole", &captions[1], SMALL, "hole");
    page.blank();
    page.run(&labels, on);
    page.labels(&["title", "burned-with", "says-strips", "says-hole"].map(str::to_owned), &labels);
    for figure in ["strips", "rails", "hole"] {
        page.line(&format!("    cut \"{figure}\" setting=\"{}\"", setting.name));
    }
    page.line("}");
    Ok(page.finish())
}

/// The lines between the strips, and one at either end.
fn teeth(strips: u32) -> String {
    (0..=strips).fold(String::new(), |mut path, i| {
        let _ = write!(path, "{}M {} 0 V {HEIGHT}", if i == 0 { "" } else { " " }, STRIP * f64::from(i));
        path
    })
}

fn path(data: &str) -> String {
    format!("path \"{data}\" unit=\"mm\"")
}

fn head<'a>(
    wish: &KerfWish,
    labels: &Labels,
    setting: &str,
    long: f64,
    size: (f64, f64),
    on: &'a On<'a>,
) -> Head<'a> {
    let (stock, machine, shop) = (&on.stock.name, &on.machine.name, on.shop_file);
    let (strips, long) = (wish.strips, Mm::new(long));
    // A kerf that is written to the stock holds for every machine.
    let cuts = on.shop.settings.iter().filter(|s| s.stock == *stock && s.operation == OperationKind::Cut);
    let is_shared = cuts.into_iter().any(|s| s.machine != *machine || s.kerf.is_some());
    let mine = if is_shared { format!(" --machine {machine} --setting {setting}") } else { String::new() };
    Head {
        title: format!("Kerf card: {stock}"),
        about: format!(
            "A comb of {strips} strips between {} lines, and a hole with its part, cut with {setting} on {machine}.",
            strips + 1
        ),
        notes: vec![
            format!("A test card: how wide is a cut through `{stock}` with `{machine}`?"),
            labels.note(),
            format!(
                "Push all {strips} strips together, in their order and burned side to burned side, and measure over"
            ),
            "them with a calliper; then the hole and the part, each both ways. Afterwards:".to_owned(),
            format!(
                "    kerfbook measure kerf --shop {shop} --stock {stock}{mine} --drawn \"{long}\" --strips {strips} --sum \"…\""
            ),
            format!("    kerfbook measure kerf --shop {shop} --stock {stock}{mine} --hole \"…\" --part \"…\""),
        ],
        size,
        block: None,
        on,
    }
}
