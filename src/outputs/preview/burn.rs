//! How dark the beam makes a surface.

use super::material::{Colour, Mark};
use crate::plan::{Operation, Plan};
use crate::raster::mix;
use crate::shop::LaserKind;

/// The colour of a surface after a dose from 0 (bare) to 1 (charred black).
pub(super) fn burned(bare: Colour, dose: f32, mark: Mark) -> Colour {
    match mark {
        Mark::Scorch => scorched(bare, dose),
        Mark::Pale(ground) => blend(bare, ground, (dose * 1.3).min(1.0)),
    }
}

/// Wood browns before it blackens: toast at a third of the way, dark brown at three quarters, then char.
fn scorched(bare: Colour, dose: f32) -> Colour {
    const TOAST: f32 = 0.35;
    const BROWN: f32 = 0.75;
    let toast = [bare[0] * 0.60, bare[1] * 0.46, bare[2] * 0.33];
    let brown = [0.05 + bare[0] * 0.05, 0.024 + bare[1] * 0.03, 0.012 + bare[2] * 0.015];
    let charred = [0.018, 0.012, 0.009];
    if dose < TOAST {
        blend(bare, toast, dose.max(0.0) / TOAST)
    } else if dose < BROWN {
        blend(toast, brown, (dose - TOAST) / (BROWN - TOAST))
    } else {
        blend(brown, charred, (dose.min(1.0) - BROWN) / (1.0 - BROWN))
    }
}

/// Blends two colours.
pub(super) fn blend(a: Colour, b: Colour, share: f32) -> Colour {
    [0, 1, 2].map(|i| mix(a[i], b[i], share))
}

/// Energy that turns light wood quite dark, in joules a square millimetre.
///
/// Common practice, no source: a 10 W diode engraves plywood dark at about 50 mm/s with rows 0.1 mm apart
/// (2 J/mm²); wood takes up the far infrared of a CO2 tube much better.
fn dark_energy(kind: LaserKind) -> f64 {
    match kind {
        LaserKind::Diode => 2.0,
        LaserKind::CarbonDioxide => 0.5,
        LaserKind::Fibre => 4.0,
    }
}

/// The dose an operation gives: from the shade that was asked for, else from the energy on each square
/// millimetre. `width` is how far apart its rows are, or how wide its lines, in mm.
pub(super) fn dose(plan: &Plan, operation: &Operation, width: f64) -> f64 {
    let Some(setting) = &operation.setting else { return 0.0 };
    if let Some(shade) = setting.shade {
        return 0.9 * shade.factor().clamp(0.0, 1.0);
    }
    let power = plan.machine.power.get() * setting.power.factor();
    let energy = power * f64::from(setting.passes) / (setting.speed.get() * width).max(1e-6);
    // Rises fast at first and levels off: the char of the first half shields the wood from the second.
    let share = energy / dark_energy(plan.machine.kind);
    (1.05 * share / (share + 0.5)).clamp(0.0, 1.0)
}
