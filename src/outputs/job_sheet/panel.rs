//! Panels: a ground or a bar that sets a text apart.

use super::style::{ALERT, LABEL, RULE, TINT, VALUE, hairline};
use super::text::fit_line;
use crate::outputs::pdf::{Align, Artifact, Fragment, Ink, Numbering, Pen, Role};
use kurbo::{Point, Rect, Size};

/// Space between the edge of a panel and its text, in mm.
const PAD: f64 = 3.0;

/// Width that a text in a panel of `width` mm has.
pub(super) fn inner(width: f64) -> f64 {
    width - 2.0 * PAD
}

/// A quiet ground under a text of [`inner`] width.
pub(super) fn quiet(text: &Fragment) -> Fragment {
    on(text, TINT, None)
}

/// A ground with a red bar at its left: not to be overlooked.
pub(super) fn alert(text: &Fragment) -> Fragment {
    on(text, TINT, Some(ALERT))
}

fn on(text: &Fragment, ground: Ink, bar: Option<Ink>) -> Fragment {
    let mut panel = Fragment::new(text.size.width + 2.0 * PAD, text.size.height + 2.0 * PAD - 1.0);
    let Size { width, height } = panel.size;
    let mut behind = Fragment::new(width, height);
    behind.fill(&Rect::new(0.0, 0.0, width, height), ground);
    if let Some(bar) = bar {
        behind.fill(&Rect::new(0.0, 0.0, 1.1, height), bar);
    }
    panel.place((0.0, 0.0), &behind.artifact(Artifact::Background));
    panel.place((PAD, PAD - 0.5), text);
    panel
}

/// An empty box to tick, its middle `middle` mm below the top: the label of an item.
pub(super) fn tick_box(fragment: &mut Fragment, x: f64, middle: f64) {
    fragment.begin(Role::TickBox);
    square(fragment, x, middle);
    fragment.end();
}

/// The same beside a label that says more.
pub(super) fn square(fragment: &mut Fragment, x: f64, middle: f64) {
    let side = 3.6;
    let square = Rect::new(x, middle - side / 2.0, x + side, middle + side / 2.0);
    fragment.stroke(&square, Pen::new(0.3, super::style::INK));
}

/// A line to write on.
pub(super) fn writing_line(fragment: &mut Fragment, from: f64, to: f64, y: f64) {
    fragment.line((from, y), (to, y), Pen::new(0.2, RULE));
}

/// Large values side by side under their names; `size` is that of the type, in points.
pub(super) fn band(values: &[(&str, String)], size: f64, width: f64) -> Fragment {
    let value = VALUE.size(size);
    let height = 8.4 + value.leading() * 0.9;
    let step = width / values.len().max(1) as f64;
    let mut band = Fragment::new(width, height);
    band.line((0.0, height), (width, height), hairline());
    band.begin(Role::List(Numbering::Terms));
    for (i, (name, text)) in values.iter().enumerate() {
        let edge = step * i as f64;
        let x = edge + if i == 0 { 0.0 } else { 3.0 };
        if 0 < i {
            band.line((edge, 2.2), (edge, height - 2.2), hairline());
        }
        let mut pair = Fragment::new(step, height);
        pair.begin(Role::Label);
        pair.text(Point::new(0.0, 4.8), Align::Left, name, LABEL);
        pair.end();
        pair.begin(Role::Body);
        let baseline = 7.4 + value.capital();
        fit_line(&mut pair, Point::new(0.0, baseline), Align::Left, text, value, step - 5.0);
        pair.end();
        band.place((x, 0.0), &pair.tagged(Role::Item));
    }
    band.end();
    band
}
