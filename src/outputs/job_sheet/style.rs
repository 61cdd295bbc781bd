//! Type and colour of the sheet. Sizes are points of type, widths millimetres.

use crate::outputs::pdf::{Ink, Pen, Style, Weight};

/// Text.
pub(super) const INK: Ink = Ink::hex(0x1a_1a1a);
/// Labels and sources: quieter, still 7 : 1.
pub(super) const SOFT: Ink = Ink::hex(0x55_5555);
/// Headings.
pub(super) const ACCENT: Ink = Ink::hex(0x1d_4a50);
/// What must not be overlooked (the red of ISO 3864-4, from a secondary table).
pub(super) const ALERT: Ink = Ink::hex(0x9b_2423);
/// Ground of panels.
pub(super) const TINT: Ink = Ink::hex(0xf3_f1ea);
/// Hairlines.
pub(super) const RULE: Ink = Ink::hex(0xb5_b1a6);
/// Figures of a drawing that only show where something is.
pub(super) const GHOST: Ink = Ink::hex(0xd9_d5ca);

const fn style(weight: Weight, size: f64, ink: Ink) -> Style {
    Style { weight, size, ink }
}

/// The title of the job.
pub(super) const TITLE: Style = style(Weight::Semibold, 24.0, INK);
/// The heading of a section.
pub(super) const SECTION: Style = style(Weight::Semibold, 15.0, ACCENT);
/// The heading of a part.
pub(super) const HEADING: Style = style(Weight::Semibold, 11.0, ACCENT);
/// Numbers to set at the machine.
pub(super) const VALUE: Style = style(Weight::Semibold, 12.0, INK);
/// What is read.
pub(super) const BODY: Style = style(Weight::Regular, 10.0, INK);
/// What is found in what is read.
pub(super) const STRONG: Style = style(Weight::Semibold, 10.0, INK);
/// Second in rank.
pub(super) const SMALL: Style = style(Weight::Regular, 8.5, INK);
/// Names of values, sources.
pub(super) const LABEL: Style = style(Weight::Regular, 8.0, SOFT);

/// Between two rows.
pub(super) fn hairline() -> Pen {
    Pen::new(0.18, RULE)
}

/// Under a heading.
pub(super) fn rule() -> Pen {
    Pen::new(0.5, ACCENT)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// WCAG 2.2 SC 1.4.3: text 4.5 : 1 against its ground.
    #[test]
    fn text_can_be_read() {
        for style in [TITLE, SECTION, HEADING, VALUE, BODY, STRONG, SMALL, LABEL, BODY.ink(ALERT)] {
            for ground in [Ink::WHITE, TINT] {
                let contrast = style.ink.contrast(ground);
                assert!(contrast >= 4.5, "{style:?} on {ground:?}: {contrast}");
            }
        }
    }
}
