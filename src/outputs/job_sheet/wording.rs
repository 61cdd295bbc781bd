//! Quantities as they are read at the bench.

use super::text::{clipped, kept};
use crate::outputs::pdf::{Style, Weight, Word};
use crate::plan::{Estimate, Operation, Plan};
use crate::units::number::fixed;
use crate::units::{Mm, MmPerSecond, Seconds, parse_unit};
use kurbo::Point;

/// `304.8 mm (12 in)`.
pub(super) fn both(length: Mm) -> String {
    kept(&format!("{length} ({} in)", fixed(length.inches(), 3)))
}

/// `215.9 × 279.4 mm`.
pub(super) fn size(width: Mm, height: Mm) -> String {
    kept(&format!("{} × {height}", fixed(width.get(), 3)))
}

/// `8.5 × 11 in`.
pub(super) fn size_in_inches(width: Mm, height: Mm) -> String {
    kept(&format!("{} × {} in", fixed(width.inches(), 3), fixed(height.inches(), 3)))
}

/// `x 12.5 mm, y 30 mm`.
pub(super) fn place(point: Point) -> String {
    format!("{}, {}", kept(&format!("x {}", Mm::new(point.x))), kept(&format!("y {}", Mm::new(point.y))))
}

/// Names and commands, which stand between backticks in a message, in semibold: on paper nobody types a backtick.
pub(super) fn quoted(message: &str, style: Style) -> Vec<Word> {
    let weight = |i: usize| if i % 2 == 1 { style.weight(Weight::Semibold) } else { style };
    message.split('`').enumerate().map(|(i, part)| Word::new(part, weight(i))).collect()
}

/// A lead-in in semibold and what follows it, names and commands in semibold too.
pub(super) fn led(lead: &str, rest: &str, style: Style) -> Vec<Word> {
    let mut words = vec![Word::new(lead, style.weight(Weight::Semibold))];
    words.extend(quoted(&format!(" {rest}"), style));
    words
}

/// `x 0.492 in, y 1.181 in`.
pub(super) fn place_in_inches(point: Point) -> String {
    let inches = |v: f64| fixed(Mm::new(v).inches(), 3);
    format!("{}, {}", kept(&format!("x {} in", inches(point.x))), kept(&format!("y {} in", inches(point.y))))
}

/// `42 s`, `4 min 15 s`, `17 min`, `1 h 5 min`: no finer than an estimate can be, and rounded up, for nobody complains of
/// a job that ends early.
pub(super) fn duration(time: Seconds) -> String {
    let seconds = time.get().clamp(0.0, 1e9).ceil() as u64;
    let steps = match seconds {
        0..20 => 1,
        20..120 => 5,
        120..300 => 15,
        300..7200 => 60,
        _ => 300,
    };
    let seconds = seconds.div_ceil(steps) * steps;
    let text = match (seconds / 3600, seconds / 60 % 60, seconds % 60) {
        (0, 0, s) => format!("{s} s"),
        (0, m, 0) => format!("{m} min"),
        (0, m, s) => format!("{m} min {s} s"),
        (h, m, _) => format!("{h} h {m} min"),
    };
    kept(&text)
}

/// `± 12 %`.
pub(super) fn doubt(time: &Estimate) -> String {
    kept(&format!("± {}", time.doubt()))
}

/// `17 min ± 12 %`.
pub(super) fn estimated(time: &Estimate) -> String {
    kept(&format!("{} {}", duration(time.likely), doubt(time)))
}

/// A speed in the shop's unit; `None` when that is mm/s already or no unit of speed.
pub(super) fn shop_speed(speed: MmPerSecond, unit: &str) -> Option<String> {
    let unit = parse_unit(unit).ok().filter(|u| u.symbol != MmPerSecond::UNIT)?;
    let (numerator, denominator) = (unit.size.0 as f64, unit.size.1 as f64);
    let is_speed = unit.dimension == crate::units::Dimension::Speed;
    is_speed.then(|| kept(&format!("{} {}", fixed(speed.get() * denominator / numerator, 1), unit.symbol)))
}

/// What is burned in one pass: lengths from 10 m on in metres, areas from 1 cm² on in square centimetres.
pub(super) fn amount(operation: &Operation) -> String {
    let area = operation.area.get();
    let text = match operation.length.get() {
        _ if 100.0 <= area => format!("{} cm²", fixed(area / 100.0, 1)),
        _ if 0.0 < area => format!("{} mm²", fixed(area, 1)),
        length if 10_000.0 <= length => format!("{} m", fixed(length / 1000.0, 2)),
        length => format!("{} mm", fixed(length, 0)),
    };
    kept(&text)
}

/// The first twelve digits of a hash: enough to tell two files apart.
pub(super) fn short_hash(hash: &str) -> String {
    hash.chars().take(12).collect()
}

/// `heron.recipe.kdl · version 0123456789ab · revision 89abcdef01`.
pub(super) fn recipe_line(plan: &Plan) -> String {
    let version = &plan.version;
    let revision = version.revision.as_ref().map_or_else(String::new, |r| format!(" · revision {r}"));
    format!("{} · version {}{revision}", clipped(&plan.recipe, 80), short_hash(&version.content))
}

/// Time of all runs.
pub(super) fn total_time(plan: &Plan) -> Estimate {
    plan.runs.iter().map(|run| run.time).sum()
}

/// `1 run`, `2 runs`.
pub(super) fn count(number: usize, one: &str, many: &str) -> String {
    kept(&format!("{number} {}", if number == 1 { one } else { many }))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn times_read_like_a_clock() {
        let read = |s: f64| duration(Seconds::new(s)).replace('\u{a0}', " ");
        assert_eq!(read(0.0), "0 s");
        assert_eq!(read(11.2), "12 s");
        assert_eq!(read(41.2), "45 s");
        assert_eq!(read(252.0), "4 min 15 s");
        assert_eq!(read(301.0), "6 min");
        assert_eq!(read(3600.0), "1 h 0 min");
        assert_eq!(read(3899.5), "1 h 5 min");
        assert_eq!(read(7201.0), "2 h 5 min");
        assert_eq!(read(f64::NAN), "0 s");
    }

    /// 100 in/min = 42.333 mm/s and 3000 mm/min = 50 mm/s: NIST SP 811 method.
    #[test]
    fn speeds_are_said_in_the_shops_unit() {
        let said = |speed, unit| shop_speed(MmPerSecond::new(speed), unit).map(|s| s.replace('\u{a0}', " "));
        assert_eq!(said(127.0 / 3.0, "in/min").as_deref(), Some("100 in/min"));
        assert_eq!(said(50.0, "mm/min").as_deref(), Some("3000 mm/min"));
        assert_eq!(said(50.0, "mm/s"), None);
        assert_eq!(said(50.0, "mm"), None);
        assert_eq!(said(50.0, "furlong"), None);
    }
}
