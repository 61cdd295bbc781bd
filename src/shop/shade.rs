//! `shade-card`: how dark each power burns, and the power for a wanted shade.

use super::burned::{BURNED_FOCUS, BURNED_INTERVAL, BURNED_PASSES, BURNED_SPEED, BurnedWith};
use super::model::ShadeCard;
use crate::diagnostics::{Diagnostic, Finding, Severity};
use crate::schema::{Kind, NodeSpec, Often, PERCENT, Reader, required};
use crate::syntax::Node;
use crate::units::{Dimension, Percent};

pub(super) static BAD_CARD: Finding = Finding {
    rule: "shop/bad-shade-card",
    severity: Severity::Error,
    title: "a shade card cannot be read backwards",
    explanation: "A wanted shade is turned into a power by reading the card backwards. That needs two steps or more, \
        power rising from step to step, and darkness rising with it. Average the readings of two cards rather than \
        leave a step that goes back.",
    wrong: "step power=\"10 %\" darkness=\"30 %\"\nstep power=\"20 %\" darkness=\"20 %\"",
    right: "step power=\"10 %\" darkness=\"20 %\"\nstep power=\"20 %\" darkness=\"30 %\"",
};

static STEP: NodeSpec = NodeSpec {
    name: "step",
    about: "One patch of the card: the power it was burned with and how dark it came out.",
    arguments: &[],
    properties: &[
        required("power", PERCENT, "the power of the patch"),
        required(
            "darkness",
            Kind::Quantity { dimension: Dimension::Percent, zero: true },
            "0 % is the bare stock, 100 % the darkest that the stock burns",
        ),
    ],
    children: &[],
    example: "step power=\"20 %\" darkness=\"30 %\"",
};

/// `shade-card` in a shop file.
pub static SHADE_CARD: NodeSpec = NodeSpec {
    name: "shade-card",
    about: "Measured darkness against power, for one machine, stock and engrave setting. `shade=` reads it backwards, as long \
        as the setting has the numbers that the patches were burned with.",
    arguments: &[required("name", Kind::NewName, "its name")],
    properties: &[
        required("machine", Kind::NameOf("machine"), "the machine it was burned on"),
        required("stock", Kind::NameOf("stock"), "the stock it was burned on"),
        required("setting", Kind::NameOf("setting"), "the engrave setting of which only the power was varied"),
        BURNED_SPEED,
        BURNED_PASSES,
        BURNED_INTERVAL,
        BURNED_FOCUS,
    ],
    children: &[(&STEP, Often::Any)],
    example: "shade-card \"birch-tones\" machine=\"bench-diode\" stock=\"birch-3\" setting=\"dark\" {\n    \
        step power=\"10 %\" darkness=\"6 %\"\n    step power=\"40 %\" darkness=\"55 %\"\n    step power=\"80 %\" darkness=\"100 %\"\n}",
};

/// Decodes a `shade-card` of a shop file.
pub(super) fn decode(node: &Node, reader: &mut Reader) -> Option<ShadeCard> {
    let fields = reader.read(node, &SHADE_CARD);
    let name = fields.name("name")?;
    let (mut steps, mut places) = (Vec::new(), Vec::new());
    for child in fields.children_of(&STEP) {
        let step = reader.read(child, &STEP);
        let pair = (step.known("power")?, step.known("darkness")?);
        steps.push((Percent::new(pair.0), Percent::new(pair.1)));
        places.push(step.head());
    }
    let fault = match steps.windows(2).position(|w| w[0].0 >= w[1].0 || w[0].1 >= w[1].1) {
        Some(index) => Some((places[index + 1], "power and darkness have to rise from step to step")),
        None if steps.len() < 2 => Some((fields.head(), "needs two steps or more")),
        None => None,
    };
    if let Some((place, why)) = fault {
        reader.sink.push(
            Diagnostic::new(&BAD_CARD, format!("shade card `{}` cannot be read backwards", name.value))
                .at(place, why)
                .because("one shade would stand for several powers")
                .repair("put the steps in order of power; where one goes back, average the readings of two cards"),
        );
        return None;
    }
    let card = ShadeCard {
        name: name.value,
        machine: fields.text("machine")?.text,
        stock: fields.text("stock")?.text,
        setting: fields.text("setting")?.text,
        burned: BurnedWith::take(&fields),
        steps,
        span: name.span,
    };
    fields.is_whole().then_some(card)
}

/// Why a card cannot give a power for a shade.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum ShadeError {
    /// The shade lies outside what was measured.
    Outside {
        /// The lightest shade on the card.
        lightest: Percent,
        /// The darkest shade on the card.
        darkest: Percent,
    },
}

/// The power that gives a wanted shade, by a monotone cubic through the card read backwards.
///
/// Fritsch and Carlson (SIAM J. Numer. Anal. 17, 1980, cited from memory): a cubic Hermite curve whose slopes are the
/// weighted harmonic means of the neighbouring chords never overshoots, so a shade between two patches
/// always gets a power between theirs. Nothing outside the measured range is given.
pub fn power_for_shade(card: &ShadeCard, shade: Percent) -> Result<Percent, ShadeError> {
    let points: Vec<(f64, f64)> = card.steps.iter().map(|(p, d)| (d.get(), p.get())).collect();
    let outside = || ShadeError::Outside {
        lightest: card.steps.first().map_or(Percent::ZERO, |s| s.1),
        darkest: card.steps.last().map_or(Percent::ZERO, |s| s.1),
    };
    monotone_cubic(&points, shade.get()).map(Percent::new).ok_or_else(outside)
}

/// The value at `x` of the monotone cubic through points whose x rises; `None` beyond them or with fewer than two.
pub fn monotone_cubic(points: &[(f64, f64)], x: f64) -> Option<f64> {
    let index = points.windows(2).position(|w| w[0].0 <= x && x <= w[1].0)?;
    let slopes = slopes(points);
    let ((x0, y0), (x1, y1)) = (points[index], points[index + 1]);
    let h = x1 - x0;
    let t = (x - x0) / h;
    let (t2, t3) = (t * t, t * t * t);
    Some(
        y0 * (2.0 * t3 - 3.0 * t2 + 1.0)
            + slopes[index] * h * (t3 - 2.0 * t2 + t)
            + y1 * (3.0 * t2 - 2.0 * t3)
            + slopes[index + 1] * h * (t3 - t2),
    )
}

/// The shade that a power gives, by the same curve; `None` outside what was measured.
pub fn shade_of_power(card: &ShadeCard, power: Percent) -> Option<Percent> {
    let (first, last) = (card.steps.first()?, card.steps.last()?);
    if power < first.0 || last.0 < power {
        return None;
    }
    // The curve only rises, so halving the range sixty times pins the shade beyond any measurement.
    let (mut low, mut high) = (first.1.get(), last.1.get());
    for _ in 0..60 {
        let middle = f64::midpoint(low, high);
        match power_for_shade(card, Percent::new(middle)) {
            Ok(found) if found < power => low = middle,
            _ => high = middle,
        }
    }
    Some(Percent::new(high))
}

/// Slopes at the points: inside, the weighted harmonic means of Fritsch and Butland (SIAM J. Sci. Stat. Comput. 5, 1984,
/// from memory); at the ends, the slope of the parabola through three points, limited so that the curve does not turn
/// back. This is the rule of `scipy.interpolate.PchipInterpolator`.
fn slopes(points: &[(f64, f64)]) -> Vec<f64> {
    let h: Vec<f64> = points.windows(2).map(|w| w[1].0 - w[0].0).collect();
    let d: Vec<f64> = points.windows(2).map(|w| (w[1].1 - w[0].1) / (w[1].0 - w[0].0)).collect();
    let last = d.len() - 1;
    if last == 0 {
        return vec![d[0]; 2];
    }
    let inner = (1..=last).map(|i| {
        let (w1, w2) = (2.0 * h[i] + h[i - 1], h[i] + 2.0 * h[i - 1]);
        if d[i - 1] * d[i] <= 0.0 { 0.0 } else { (w1 + w2) / (w1 / d[i - 1] + w2 / d[i]) }
    });
    let first = end_slope(h[0], h[1], d[0], d[1]);
    let end = end_slope(h[last], h[last - 1], d[last], d[last - 1]);
    std::iter::once(first).chain(inner).chain(std::iter::once(end)).collect()
}

fn end_slope(h0: f64, h1: f64, d0: f64, d1: f64) -> f64 {
    let slope = ((2.0 * h0 + h1) * d0 - h0 * d1) / (h0 + h1);
    if slope * d0 <= 0.0 {
        0.0
    } else if d0 * d1 < 0.0 && slope.abs() > 3.0 * d0.abs() {
        3.0 * d0
    } else {
        slope
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::source::{SourceId, Span};

    fn card(steps: &[(f64, f64)]) -> ShadeCard {
        ShadeCard {
            name: "tones".into(),
            machine: "m".into(),
            stock: "s".into(),
            burned: BurnedWith::default(),
            setting: "dark".into(),
            steps: steps.iter().map(|(p, d)| (Percent::new(*p), Percent::new(*d))).collect(),
            span: Span::new(SourceId(0), 0, 0),
        }
    }

    /// Values of `scipy.interpolate.PchipInterpolator`, scipy 1.17.1, worked out once for this test. The cards are steep and
    /// flat, with steps of all sizes; the first and last places lie beside the ends, where the slopes are one-sided.
    #[test]
    fn agrees_with_a_reference_implementation() {
        type Case<'a> = (&'a [(f64, f64)], &'a [(f64, f64)]);
        let cases: [Case; 6] = [
            (
                &[(10.0, 6.0), (25.0, 30.0), (40.0, 55.0), (60.0, 80.0), (80.0, 100.0)],
                &[
                    (20.0, 18.822_875_411_041),
                    (35.0, 27.970_884_278_177),
                    (70.0, 51.392_491_145_218),
                    (95.0, 74.649_276_859_504),
                ],
            ),
            (
                &[(5.0, 0.0), (30.0, 2.0), (31.0, 50.0), (90.0, 51.0), (92.0, 100.0)],
                &[
                    (1.0, 20.734_814_671_332),
                    (1.5, 27.295_572_755_248),
                    (3.0, 30.057_473_213_885),
                    (25.0, 30.491_207_535_967),
                    (49.0, 30.941_253_781_91),
                    (50.5, 60.492_665_131_128),
                    (60.0, 90.896_652_606_711),
                    (99.0, 91.999_931_782_464),
                ],
            ),
            (
                &[(1.0, 1.0), (2.0, 10.0), (40.0, 11.0), (41.0, 12.0), (100.0, 90.0)],
                &[
                    (5.0, 1.119_224_379_786),
                    (9.5, 1.856_615_036_775),
                    (10.5, 20.794_098_698_621),
                    (11.5, 40.630_845_436_036),
                    (13.0, 41.901_290_363_734),
                    (50.0, 73.481_382_835_937),
                    (89.0, 99.479_810_803_587),
                ],
            ),
            (
                &[(4.0, 3.0), (70.0, 8.0), (74.0, 95.0)],
                &[
                    (4.0, 19.748_733_523_547),
                    (7.0, 65.279_191_965_251),
                    (9.0, 70.128_587_954_733),
                    (40.0, 72.887_761_346_351),
                    (90.0, 73.997_088_773_016),
                ],
            ),
            (&[(20.0, 10.0), (75.0, 90.0)], &[(10.0, 20.0), (33.0, 35.8125), (90.0, 75.0)]),
            (
                &[(1.0, 0.0), (2.0, 40.0), (98.0, 45.0), (100.0, 100.0)],
                &[
                    (10.0, 1.029_967_032_61),
                    (39.0, 1.934_130_785_533),
                    (42.0, 35.792_318_418_153),
                    (44.0, 87.962_543_824_785),
                    (46.0, 98.098_706_045_875),
                    (80.0, 99.863_438_089_402),
                ],
            ),
        ];
        for (steps, reference) in cases {
            let card = card(steps);
            for &(shade, expected) in reference {
                let power = power_for_shade(&card, Percent::new(shade)).unwrap().get();
                assert!((power - expected).abs() < 1e-9, "{steps:?} at {shade}: {power} {expected}");
            }
        }
    }

    #[test]
    fn a_shade_between_two_patches_gets_a_power_between_theirs() {
        let card = card(&[(5.0, 0.0), (30.0, 2.0), (31.0, 50.0), (90.0, 51.0), (92.0, 100.0)]);
        for pair in card.steps.windows(2) {
            for part in 0..=100 {
                let shade = pair[0].1 + (pair[1].1 - pair[0].1) * (f64::from(part) / 100.0);
                let power = power_for_shade(&card, shade.min(pair[1].1)).unwrap();
                assert!(
                    pair[0].0 - Percent::new(1e-9) <= power && power <= pair[1].0 + Percent::new(1e-9),
                    "{shade}"
                );
            }
        }
    }

    #[test]
    fn the_card_reads_both_ways() {
        let card = card(&[(10.0, 6.0), (25.0, 30.0), (40.0, 55.0), (60.0, 80.0), (80.0, 100.0)]);
        for power in [10.0, 17.5, 39.0, 61.0, 80.0] {
            let shade = shade_of_power(&card, Percent::new(power)).unwrap();
            assert!((power_for_shade(&card, shade).unwrap().get() - power).abs() < 1e-9);
        }
        assert_eq!(shade_of_power(&card, Percent::new(9.0)), None);
    }

    #[test]
    fn nothing_outside_the_measured_range() {
        let card = card(&[(10.0, 6.0), (40.0, 55.0)]);
        assert!(power_for_shade(&card, Percent::new(5.0)).is_err());
        assert!(power_for_shade(&card, Percent::new(56.0)).is_err());
        assert_eq!(power_for_shade(&card, Percent::new(6.0)).unwrap().get(), 10.0);
    }
}
