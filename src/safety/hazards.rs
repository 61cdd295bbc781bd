//! What can go wrong with this machine, this material and this work.

use super::circumstances::{Band, Circumstances, Fact};

/// A way to be hurt.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Hazard {
    /// One word or two.
    pub name: &'static str,
    /// What happens.
    pub text: String,
    /// Short names of the sources, comma-separated.
    pub source: &'static str,
}

/// The hazards of a job, the likeliest first.
pub fn hazards(of: &Circumstances) -> Vec<Hazard> {
    let always = [fire(of), fume(of), beam(of), reflection(of), electrical(of), hot_parts(of)];
    always.into_iter().chain(of.is(Fact::AirOn).then(compressed_air)).collect()
}

fn hazard(name: &'static str, text: impl Into<String>, source: &'static str) -> Hazard {
    Hazard { name, text: text.into(), source }
}

fn fire(of: &Circumstances) -> Hazard {
    let mut text = "The commonest serious event. Stock, offcuts and what lies in the tray burn, often under the \
                    sheet where nobody sees it. The raw beam can light things even out of focus."
        .to_owned();
    if of.is(Fact::Cuts) {
        text.push_str(" Small pieces that drop or tip up are kindling.");
    }
    hazard("Fire", text, "UC, UAL, UMD, WISC")
}

fn fume(of: &Circumstances) -> Hazard {
    let mut text =
        "Heat breaks wood, glue and plastic down into fine particles, aldehydes, benzene and acids.".to_owned();
    if of.is(Fact::Enclosed) {
        text.push_str(
            " Particles leave the case each time the lid opens, and after acrylic their number rose for 20 min \
             or more.",
        );
    } else {
        text.push_str(" An open machine gives them straight to the room: catch them at the cut.");
    }
    hazard("Fume", text, "WISC, HSE13, NIOSH76, Munoz, CCA")
}

fn beam(of: &Circumstances) -> Hazard {
    let eye = match of.band() {
        Band::Ultraviolet => "invisible; it burns skin and the front of the eye",
        Band::Visible => "visible; the eye focuses it on the retina, scattered light too",
        Band::NearInfrared => "invisible, and the eye focuses it on the retina: the most treacherous kind",
        Band::FarInfrared => "invisible; it burns the cornea and the skin",
    };
    let case = if of.is(Fact::Enclosed) {
        "Where its label says Class 1, that holds only while it is closed and unmodified; inside, the beam is Class 3B or 4."
    } else {
        "The beam is open, Class 3B or 4: the room, the barriers and the eyewear need their own assessment by a \
         competent person (IEC 60825-1 and ISO 11553-1 treat of it)."
    };
    let text = format!("{}: {eye}. {case} Do not stare at the bright point of the cut.", of.wavelength_text());
    hazard("Beam", text, "WISC, UAL, CSD, UMD")
}

fn reflection(of: &Circumstances) -> Hazard {
    let text = if of.is(Fact::Enclosed) {
        "Bare metal and mirror-like stock or supports can send the beam back to lens or lid."
    } else {
        "Bare metal and mirror-like stock, supports, tools and rings can send the beam into the room."
    };
    hazard("Reflection", text, "practice")
}

fn electrical(of: &Circumstances) -> Hazard {
    let text = if of.is(Fact::Tube) {
        "The tube’s supply is lethal, and stays so after switching off. Panels are for qualified service only."
    } else {
        "Panels and power supplies are for qualified service only."
    };
    hazard("Electrical", text, "practice")
}

fn hot_parts(of: &Circumstances) -> Hazard {
    let text = if of.is(Fact::Cuts) {
        "Cut edges are hot and can be sharp; the gantry moves without warning."
    } else {
        "The burned face stays hot; the gantry moves without warning."
    };
    hazard("Hot, sharp, moving", text, "WISC")
}

fn compressed_air() -> Hazard {
    hazard("Gas", "Air only, unless the manual says otherwise; never oxygen.", "practice")
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::safety::{Judgement, sources_of};
    use crate::shop::LaserKind;
    use crate::units::Mm;

    fn circumstances(nanometres: f64, enclosed: bool) -> Circumstances {
        Circumstances {
            laser: LaserKind::Diode,
            wavelength: Mm::new(nanometres * 1e-6),
            material: Judgement::Unknown,
            facts: [Fact::AirOn].into_iter().chain(enclosed.then_some(Fact::Enclosed)).collect(),
        }
    }

    /// The bounds of 400 and 1400 nm: NIST-based laser manual.
    #[test]
    fn the_eye_is_told_by_the_wavelength() {
        let beam = |nm: f64| beam(&circumstances(nm, true)).text;
        assert!(beam(450.0).contains("retina") && beam(450.0).contains("450 nm"));
        assert!(beam(1064.0).contains("retina") && beam(1064.0).contains("invisible"));
        assert!(beam(10600.0).contains("cornea") && beam(10600.0).starts_with("10.6 µm"));
    }

    /// The wording of classes: University of Wisconsin–Madison.
    #[test]
    fn class_1_is_never_promised_for_an_open_machine() {
        assert!(beam(&circumstances(450.0, true)).text.contains("label says Class 1, that holds only while"));
        assert!(!beam(&circumstances(450.0, false)).text.contains("Class 1"));
    }

    #[test]
    fn every_source_is_explained() {
        for hazard in hazards(&circumstances(450.0, false)) {
            let named = hazard.source.split(", ").count();
            assert_eq!(sources_of([hazard.source]).len(), named, "{}", hazard.source);
        }
    }
}
