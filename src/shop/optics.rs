//! A focused beam: how narrow it gets, and how quickly it widens away from there.
//!
//! Widths are diameters at 1/e² of the middle's irradiance, as ISO 11146-1 has them for a beam of that shape; a burned line
//! is wider or narrower, as the stock and the power will have it. What was measured is always used instead.

use super::model::{Machine, SpotFrom};
use crate::diagnostics::{Diagnostic, Finding, Severity, Sink};
use crate::source::Span;
use crate::units::Mm;
use crate::units::number::fixed;
use std::f64::consts::PI;

pub(super) static OPTICS_DIFFER: Finding = Finding {
    rule: "shop/optics-differ",
    severity: Severity::Warning,
    title: "what was measured of the beam and what its optics should give differ",
    explanation: "The spot of a good beam is 4 × wavelength × focal length × quality / (π × width on the lens), and the beam is √2 \
        times as wide a Rayleigh range away from there: π × spot² / (4 × wavelength × quality). A measured value that is \
        half as large again, or as much smaller, tells of a slip of the unit, a dirty or wrong lens, or a beam that is not as \
        its manual says; so far apart is our judgement. The measured value is used.",
    wrong: "spot \"0.8 mm\"\noptics focal=\"50.8 mm\" beam=\"7 mm\"",
    right: "spot \"0.11 mm\"\noptics focal=\"50.8 mm\" beam=\"7 mm\"",
};

/// Stands in for a spot of which nothing tells: workshop lasers focus to about 0.05 to 0.2 mm (common practice, no source).
const USUAL_SPOT: Mm = Mm::new(0.1);

/// A measured value may be this many times what was worked out, or its inverse, before it is told.
const FAR_APART: f64 = 1.5;

/// What the lens and the beam on it are.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Optics {
    /// Focal length of the lens.
    pub focal: Mm,
    /// Diameter of the beam where it meets the lens.
    pub beam: Mm,
    /// Quality of the beam, M²: 1 for the best there can be.
    pub quality: f64,
}

impl Optics {
    /// The diameter of the focused spot, 4·λ·f·M² / (π·D).
    ///
    /// Saleh and Teich, Fundamentals of Photonics, section 3.2 (from memory); for lenses whose Rayleigh range is small
    /// beside their focal length, as all of workshops are.
    pub fn spot(self, wavelength: Mm) -> Mm {
        Mm::new(4.0 * wavelength.get() * self.focal.get() * self.quality / (PI * self.beam.get()))
    }
}

/// The narrowest place of a focused beam.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Waist {
    /// Its diameter.
    pub spot: Mm,
    /// How far from it the beam is √2 times as wide, and its irradiance half.
    pub rayleigh: Mm,
}

impl Waist {
    /// The waist of a beam with that spot: the Rayleigh range is π·d² / (4·λ·M²) (ISO 11146-1).
    pub fn of_spot(spot: Mm, wavelength: Mm, quality: f64) -> Self {
        let rayleigh = PI * spot.get() * spot.get() / (4.0 * wavelength.get() * quality);
        Self { spot, rayleigh: Mm::new(rayleigh) }
    }

    /// The diameter of the beam so far from its narrowest place (the hyperbola of ISO 11146-1).
    pub fn width_at(self, off: Mm) -> Mm {
        let ratio = off / self.rayleigh;
        self.spot * (1.0 + ratio * ratio).sqrt()
    }

    /// The irradiance in its middle so far from the narrowest place, as a share of that there.
    pub fn irradiance_at(self, off: Mm) -> f64 {
        let ratio = off / self.rayleigh;
        1.0 / (1.0 + ratio * ratio)
    }
}

impl Machine {
    /// The diameter of the focused spot, where something tells it.
    pub fn known_spot(&self) -> Option<Mm> {
        (self.spot_from != SpotFrom::Nothing).then_some(self.spot)
    }

    /// The narrowest place of its beam: with the Rayleigh range as measured, else as its optics give it for its spot.
    /// `None` where neither is known.
    pub fn waist(&self) -> Option<Waist> {
        let spot = self.known_spot()?;
        let measured = self.rayleigh.map(|rayleigh| Waist { spot, rayleigh });
        measured.or_else(|| Some(Waist::of_spot(spot, self.wavelength, self.optics?.quality)))
    }
}

/// Where the three things that are said of a beam are written.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Written {
    pub spot: Option<Span>,
    pub optics: Option<Span>,
    pub rayleigh: Option<Span>,
}

/// Works the spot out where it was not measured, and compares what was measured with the optics.
pub(super) fn complete(machine: &mut Machine, written: Written, sink: &mut Sink) {
    let computed = machine.optics.map(|optics| optics.spot(machine.wavelength));
    (machine.spot, machine.spot_from) = match (written.spot, computed) {
        (Some(_), _) => (machine.spot, SpotFrom::Measured),
        (None, Some(spot)) => (spot, SpotFrom::Optics),
        (None, None) => (USUAL_SPOT, SpotFrom::Nothing),
    };
    let (Some(optics), Some(at)) = (machine.optics, written.optics) else { return };
    if let (Some(span), Some(computed)) = (written.spot, computed) {
        compare("the spot", (machine.spot, span), (computed, at), sink);
    }
    if let (Some(span), Some(measured)) = (written.rayleigh, machine.rayleigh) {
        let computed = Waist::of_spot(machine.spot, machine.wavelength, optics.quality).rayleigh;
        compare("the Rayleigh range", (measured, span), (computed, at), sink);
    }
}

fn compare(what: &str, measured: (Mm, Span), computed: (Mm, Span), sink: &mut Sink) {
    let ratio = measured.0 / computed.0;
    if (1.0 / FAR_APART..=FAR_APART).contains(&ratio) {
        return;
    }
    let (times, than) = if ratio > 1.0 { (ratio, "as large as") } else { (1.0 / ratio, "smaller than") };
    // How many times is of no use where it is a slip of the unit.
    let times = if times < 100.0 { fixed(times, 1) } else { "more than 100".to_owned() };
    sink.push(
        Diagnostic::new(&OPTICS_DIFFER, format!("{what} was measured {times} times {than} its optics make it"))
            .at(measured.1, format!("{} as measured", measured.0))
            .also(computed.1, format!("{} as worked out from this", computed.0))
            .because("one of the two is wrong, and the widths of lines and the room for focus rest on them")
            .repair("measure again, look at the units, at the lens and whether it is clean, and at `beam`: the width on the lens"),
    );
}

#[cfg(test)]
mod tests {
    use super::*;

    const CO2: Mm = Mm::new(0.0106);
    const BLUE: Mm = Mm::new(0.00045);

    fn optics(focal: f64, beam: f64, quality: f64) -> Optics {
        Optics { focal: Mm::new(focal), beam: Mm::new(beam), quality }
    }

    /// Spots in µm and Rayleigh ranges in mm, worked out once with `laserbeamsize` (its `z_rayleigh`, from ISO 11146-1) and
    /// by the formula of Saleh and Teich, section 3.2 (from memory).
    #[test]
    fn spots_and_rayleigh_ranges_of_usual_lenses() {
        let lenses = [
            (CO2, optics(50.8, 7.0, 1.0), 97.945, 0.710_80),
            (CO2, optics(50.8, 7.0, 1.3), 127.328, 0.924_04),
            (CO2, optics(50.8, 5.0, 1.0), 137.12, 1.3932),
            (CO2, optics(38.1, 7.0, 1.0), 73.46, 0.3998),
            (CO2, optics(101.6, 7.0, 1.0), 195.89, 2.8432),
            (CO2, optics(50.8, 4.0, 1.2), 205.68, 2.6122),
            (BLUE, optics(20.0, 4.0, 10.0), 28.648, 0.143_24),
        ];
        for (wavelength, optics, spot_um, rayleigh) in lenses {
            let spot = optics.spot(wavelength);
            let waist = Waist::of_spot(spot, wavelength, optics.quality);
            assert!((spot.get() * 1000.0 - spot_um).abs() < 6e-3, "{optics:?}: {spot}");
            assert!((waist.rayleigh.get() - rayleigh).abs() < 6e-5, "{optics:?}: {waist:?}");
        }
    }

    /// A measured spot of 80 µm with M² 10 at 450 nm: 1.11701 mm, by `laserbeamsize`.
    #[test]
    fn a_measured_spot_has_its_own_rayleigh_range() {
        let waist = Waist::of_spot(Mm::new(0.08), BLUE, 10.0);
        assert!((waist.rayleigh.get() - 1.117_01).abs() < 5e-6, "{waist:?}");
    }

    /// The widths of the first lens 0.5, 1, 2 and 3 mm off focus and its irradiance at 1 mm, by `laserbeamsize.beam_radius`.
    #[test]
    fn the_beam_widens_as_a_hyperbola() {
        let waist = Waist::of_spot(optics(50.8, 7.0, 1.0).spot(CO2), CO2, 1.0);
        for (off, width_um) in [(0.5, 119.75), (1.0, 169.06), (2.0, 292.48), (-3.0, 424.83)] {
            let width = waist.width_at(Mm::new(off));
            assert!((width.get() * 1000.0 - width_um).abs() < 6e-3, "{off}: {width}");
        }
        assert!((waist.irradiance_at(Mm::new(1.0)) - 0.336).abs() < 5e-4);
    }

    /// A depth of focus needs its definition: 2 zR (the confocal parameter), and where the spot has grown by a tenth or by
    /// a twentieth: ± √(1.1² − 1) zR and ± √(1.05² − 1) zR.
    #[test]
    fn the_depth_of_focus_has_three_usual_definitions() {
        let waist = Waist::of_spot(optics(50.8, 7.0, 1.0).spot(CO2), CO2, 1.0);
        assert!((2.0 * waist.rayleigh.get() - 1.4216).abs() < 1e-4);
        for (growth, depth) in [(1.1, 0.6515), (1.05, 0.4551)] {
            let half = Mm::new(depth / 2.0);
            assert!((waist.width_at(half) / waist.spot - growth).abs() < 1e-4, "{growth}");
        }
        assert!((waist.width_at(waist.rayleigh) / waist.spot - std::f64::consts::SQRT_2).abs() < 1e-12);
        assert!((waist.irradiance_at(waist.rayleigh) - 0.5).abs() < 1e-12);
    }

    /// The waist behind a lens whose beam is 7 mm wide on it, exactly: 97.9353 µm at 50.79006 mm (Kogelnik and Li, Applied
    /// Optics 5, 1966; worked out once with `raytracing.GaussianBeam`). The simple formula is off by a hundredth of a percent.
    #[test]
    fn the_simple_formula_is_near_the_exact_one() {
        let simple = optics(50.8, 7.0, 1.0).spot(CO2).get() * 1000.0;
        assert!((simple / 97.9353 - 1.0).abs() < 1.1e-4, "{simple}");
    }
}
