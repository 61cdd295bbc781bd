//! How large the document is: its width, height and view box.

use super::document::{Document, XmlError, id_of};
use crate::diagnostics::{Finding, Severity};
use crate::units::Mm;
use kurbo::Rect;
use std::str::FromStr;
use svgtypes::{AspectRatio, ViewBox};

/// CSS pixels in a millimetre: 96 to the inch of 25.4 mm (W3C CSS Values and Units 3, absolute lengths).
pub(super) const PX_PER_MM: f64 = 96.0 / 25.4;

/// What a viewer takes where a document gives no size at all (CSS 2.1, replaced elements).
const DEFAULT_PX: (f64, f64) = (300.0, 150.0);

/// Width or height cannot be used.
pub static BAD_SIZE: Finding = Finding {
    rule: "artwork/bad-size",
    severity: Severity::Error,
    title: "the width or height of an artwork file cannot be used",
    explanation: "The root element of an SVG says how large the drawing is. A size that is negative, zero or in a \
                  unit that SVG does not have leaves the scale open, and programs then pick one silently: the piece \
                  comes out in another size at every machine. Decimals take a point, not a comma.",
    wrong: "<svg width=\"10,5mm\" height=\"8mm\" viewBox=\"0 0 105 80\">",
    right: "<svg width=\"10.5mm\" height=\"8mm\" viewBox=\"0 0 105 80\">",
};

/// The view box cannot be used.
pub static BAD_VIEW_BOX: Finding = Finding {
    rule: "artwork/bad-view-box",
    severity: Severity::Error,
    title: "the view box of an artwork file cannot be used",
    explanation: "`viewBox` holds four numbers: the left and top edge of the drawing, its width and its height, both \
                  over zero. Without it one unit of the drawing is 1/96 inch, so a view box that is skipped changes \
                  the size of everything.",
    wrong: "<svg width=\"100mm\" height=\"50mm\" viewBox=\"0 0 0 0\">",
    right: "<svg width=\"100mm\" height=\"50mm\" viewBox=\"0 0 100 50\">",
};

/// Size and view box have different proportions.
pub static ASPECT_DIFFERS: Finding = Finding {
    rule: "artwork/aspect-differs",
    severity: Severity::Warning,
    title: "size and view box of an artwork file have different proportions",
    explanation: "SVG then scales the drawing by one factor until it fits inside the page, and leaves margins at two \
                  sides, unless `preserveAspectRatio` says otherwise. The drawing is smaller than the page, which \
                  shows only when it is measured on the board.",
    wrong: "<svg width=\"100mm\" height=\"100mm\" viewBox=\"0 0 100 50\">",
    right: "<svg width=\"100mm\" height=\"50mm\" viewBox=\"0 0 100 50\">",
};

/// The rules after which the size of a drawing is not known.
pub(super) static SIZES: [&Finding; 2] = [&BAD_SIZE, &BAD_VIEW_BOX];

/// The page of a document.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Page {
    /// Width and height in CSS pixels.
    pub size: (f64, f64),
    /// Whether both were given in units of length.
    pub physical: bool,
    /// Whether the document gives an edge at all, by a size or a view box.
    pub bounded: bool,
    /// The view box, where there is one.
    pub view_box: Option<ViewBox>,
}

impl Page {
    /// Width and height, where the document states them in units of length.
    pub(super) fn physical_size(&self) -> Option<(Mm, Mm)> {
        // Pixels and back leaves a last digit that nobody wrote.
        let mm = |px: f64| Mm::new((px / PX_PER_MM * 1e9).round() / 1e9);
        self.physical.then(|| (mm(self.size.0), mm(self.size.1)))
    }

    /// The page in millimetres.
    pub(super) fn rect_mm(&self) -> Rect {
        Rect::new(0.0, 0.0, self.size.0 / PX_PER_MM, self.size.1 / PX_PER_MM)
    }
}

/// A width or height attribute.
#[derive(Clone, Copy, Debug, PartialEq)]
enum Side {
    /// Not given, or `auto`.
    Absent,
    /// A share of a viewport that is not known here: hundredths.
    Share(f64),
    /// Pixels or bare numbers: no physical size.
    Pixels(f64),
    /// A unit of length, converted to pixels.
    Physical(f64),
}

/// Reads the root's size; faults are returned beside the best page that is left.
pub(super) fn read(document: &Document) -> (Page, Vec<XmlError>) {
    let root = document.xml.root_element();
    let mut faults = Vec::new();
    let mut fault = |finding, message, attribute: &str, repair| {
        let place = document.place_in_attribute(id_of(root), attribute, 0).position;
        faults.push(XmlError { finding, message, place, repair });
    };

    let mut side = |name: &'static str| match root.attribute(name).map_or(Ok(Side::Absent), parse_side) {
        Ok(side) => side,
        Err(why) => {
            let value = root.attribute(name).unwrap_or_default().escape_debug().to_string();
            fault(&BAD_SIZE, format!("gives the {name} `{value}`: {why}"), name, SIZE_REPAIR);
            Side::Absent
        }
    };
    let (width, height) = (side("width"), side("height"));

    let view_box = match root.attribute("viewBox").map(parse_view_box) {
        None => None,
        Some(Ok(view_box)) => Some(view_box),
        Some(Err(why)) => {
            let value = root.attribute("viewBox").unwrap_or_default().escape_debug().to_string();
            fault(&BAD_VIEW_BOX, format!("gives the view box `{value}`: {why}"), "viewBox", VIEW_BOX_REPAIR);
            None
        }
    };

    let page = resolve(width, height, view_box);
    let aspect =
        root.attribute("preserveAspectRatio").and_then(|a| AspectRatio::from_str(a).ok()).unwrap_or_default();
    if aspect.align != svgtypes::Align::None
        && let Some(difference) = aspect_difference(&page)
    {
        fault(&ASPECT_DIFFERS, difference, "viewBox", ASPECT_REPAIR);
    }
    (page, faults)
}

const SIZE_REPAIR: &str = "write a number over zero and mm, cm, in, pt, pc, Q or px, such as `10.5mm`";
const VIEW_BOX_REPAIR: &str = "write four numbers: left, top, width and height, the last two over zero";
const ASPECT_REPAIR: &str = "give width, height and view box the same proportions; in the drawing's editor, fit the page \
                             to the drawing";

fn parse_side(text: &str) -> Result<Side, &'static str> {
    let text = text.trim();
    if text.is_empty() || text == "auto" {
        return Ok(Side::Absent);
    }
    if text.contains(',') {
        return Err("a comma stands where SVG has a point");
    }
    let unit_at = text.rfind(|c: char| c.is_ascii_digit() || c == '.').map_or(0, |i| i + 1);
    let (number, unit) = text.split_at(unit_at);
    let number: f64 = number.trim().parse().map_err(|_| "that is no number")?;
    if !number.is_finite() || number <= 0.0 {
        return Err("a size has to be over zero");
    }
    let inches = |per_inch: f64| Ok(Side::Physical(number * 96.0 / per_inch));
    match unit.trim().to_ascii_lowercase().as_str() {
        "" | "px" => Ok(Side::Pixels(number)),
        "%" => Ok(Side::Share(number)),
        "in" => inches(1.0),
        "cm" => inches(2.54),
        "mm" => inches(25.4),
        "q" => inches(101.6),
        "pt" => inches(72.0),
        "pc" => inches(6.0),
        // Relative to a font that is not known here: usual defaults, and no physical size.
        "em" | "rem" => Ok(Side::Pixels(number * 16.0)),
        "ex" => Ok(Side::Pixels(number * 8.0)),
        _ => Err("SVG has no such unit"),
    }
}

fn parse_view_box(text: &str) -> Result<ViewBox, &'static str> {
    let numbers: Vec<f64> = text
        .split(|c: char| c.is_ascii_whitespace() || c == ',')
        .filter(|word| !word.is_empty())
        .map(|word| word.parse::<f64>().map_err(|_| "it holds something that is no number"))
        .collect::<Result<_, _>>()?;
    let [x, y, w, h] = numbers.as_slice() else { return Err("it does not hold four numbers") };
    if numbers.iter().any(|n| !n.is_finite()) {
        return Err("a number in it is too large");
    }
    if *w <= 0.0 || *h <= 0.0 {
        return Err("its width and height have to be over zero");
    }
    Ok(ViewBox::new(*x, *y, *w, *h))
}

fn resolve(width: Side, height: Side, view_box: Option<ViewBox>) -> Page {
    let known = |side: Side| match side {
        Side::Pixels(px) | Side::Physical(px) => Some(px),
        Side::Absent | Side::Share(_) => None,
    };
    let share = |side: Side| if let Side::Share(s) = side { s / 100.0 } else { 1.0 };
    let size = match (known(width), known(height), view_box) {
        (Some(w), Some(h), _) => (w, h),
        (Some(w), None, Some(v)) => (w, v.h * w / v.w),
        (None, Some(h), Some(v)) => (v.w * h / v.h, h),
        // Both sides have to shrink by one factor, or the drawing would be letterboxed for nothing.
        (None, None, Some(v)) => (v.w * share(width).min(share(height)), v.h * share(width).min(share(height))),
        (w, h, None) => (w.unwrap_or(DEFAULT_PX.0), h.unwrap_or(DEFAULT_PX.1)),
    };
    let is_physical = |side: Side| matches!(side, Side::Physical(_));
    let physical = match (is_physical(width), is_physical(height)) {
        (true, true) => true,
        (true, false) => height == Side::Absent && view_box.is_some(),
        (false, true) => width == Side::Absent && view_box.is_some(),
        (false, false) => false,
    };
    let bounded = view_box.is_some() || (known(width).is_some() && known(height).is_some());
    Page { size, physical, bounded, view_box }
}

/// What to say when page and view box differ by more than a hundredth.
fn aspect_difference(page: &Page) -> Option<String> {
    let view = page.view_box?;
    let (w, h) = page.size;
    let ratio = (w / h) / (view.w / view.h);
    if (0.99..=1.01).contains(&ratio) {
        return None;
    }
    let scale = (w / view.w).min(h / view.h);
    let mm = |px: f64| Mm::new(px / PX_PER_MM);
    Some(format!(
        "is {} by {}, but its view box fills only {} by {} of that",
        mm(w),
        mm(h),
        mm(view.w * scale),
        mm(view.h * scale)
    ))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn page(attributes: &str) -> (Page, Vec<&'static str>) {
        let text = format!("<svg xmlns='http://www.w3.org/2000/svg' {attributes}/>");
        let document = Document::parse(&text, "a.svg").unwrap();
        let (page, faults) = read(&document);
        (page, faults.iter().map(|f| f.finding.rule).collect())
    }

    fn physical(attributes: &str) -> (f64, f64) {
        let (page, faults) = page(attributes);
        assert!(faults.is_empty(), "{attributes}: {faults:?}");
        let (w, h) = page.physical_size().expect(attributes);
        (w.get(), h.get())
    }

    /// W3C CSS Values and Units 3, "Absolute lengths": 1 in = 2.54 cm = 25.4 mm = 101.6 Q = 72 pt = 6 pc = 96 px.
    #[test]
    fn absolute_units_are_those_of_css() {
        let close = |a: (f64, f64), b: (f64, f64)| (a.0 - b.0).abs() < 1e-9 && (a.1 - b.1).abs() < 1e-9;
        assert!(close(physical("width='1in' height='2.54cm'"), (25.4, 25.4)));
        assert!(close(physical("width='1pt' height='1pc'"), (0.352_777_777_8, 4.233_333_333_3)));
        assert!(close(physical("width='1Q' height='1mm'"), (0.25, 1.0)));
        let (px, _) = page("width='1px' height='1'");
        assert!((px.rect_mm().x1 - 0.264_583_333_3).abs() < 1e-9);
        assert_eq!(px.physical_size(), None);
    }

    #[test]
    fn a_missing_side_follows_the_view_box() {
        assert_eq!(physical("width='100mm' viewBox='0 0 100 50'"), (100.0, 50.0));
        assert_eq!(physical("height='50mm' viewBox='0 0 100 50'"), (100.0, 50.0));
    }

    #[test]
    fn no_physical_size_is_told_apart() {
        for attributes in [
            "",
            "viewBox='0 0 24 24'",
            "width='100%' height='100%'",
            "width='24' height='24px'",
            "width='10mm'",
            "width='10mm' height='24' viewBox='0 0 10 24'",
            "width='auto' height='10mm'",
        ] {
            assert_eq!(page(attributes).0.physical_size(), None, "{attributes}");
        }
        assert!(!page("width='100%' height='100%'").0.bounded);
        assert_eq!(page("width='50%' height='100%' viewBox='0 0 24 24'").0.size, (12.0, 12.0));
    }

    #[test]
    fn odd_sizes_are_faults() {
        for attributes in [
            "width='-10mm' height='5mm'",
            "width='0' height='5'",
            "width='10,5mm' height='8mm'",
            "width='10furlong' height='8mm'",
            "width='1e999mm' height='8mm'",
            "width='wide' height='8mm'",
        ] {
            assert_eq!(page(attributes).1, ["artwork/bad-size"], "{attributes}");
        }
        for attributes in ["viewBox='0 0 0 0'", "viewBox='0 0 10'", "viewBox='0 0 -10 10'", "viewBox='a b c d'"] {
            assert_eq!(page(attributes).1, ["artwork/bad-view-box"], "{attributes}");
        }
    }

    #[test]
    fn different_proportions_say_what_is_left() {
        let text = "<svg xmlns='http://www.w3.org/2000/svg' width='100mm' height='100mm' viewBox='0 0 100 50'/>";
        let document = Document::parse(text, "a.svg").unwrap();
        let faults = read(&document).1;
        assert_eq!(faults[0].finding.rule, "artwork/aspect-differs");
        assert!(faults[0].message.contains("100 mm by 50 mm"), "{}", faults[0].message);
        assert!(page("width='100mm' height='100mm' viewBox='0 0 100 50' preserveAspectRatio='none'").1.is_empty());
    }
}
