//! Unsharp mask: what a softened copy lacks is added once more.

use crate::raster::Plane;

/// Deviation of the softened copy, in dots: what the spot smears.
const RADIUS: f32 = 1.2;

/// Differences below this are noise and are left.
const NOISE: f32 = 0.01;

/// Sharpens `plane` (values 0 to 1) by `amount`.
pub fn sharpen(plane: &mut Plane, amount: f32) {
    if amount <= 0.0 || plane.width == 0 || plane.height == 0 {
        return;
    }
    let soft = plane.blurred(RADIUS);
    for (value, soft) in plane.values.iter_mut().zip(&soft.values) {
        let detail = *value - soft;
        let kept = (detail.abs() - NOISE).max(0.0);
        *value = (*value + amount * kept.copysign(detail)).clamp(0.0, 1.0);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_edge_grows_steeper_and_even_tone_stays() {
        let values: Vec<f32> = (0..40 * 10).map(|i| if i % 40 < 20 { 0.3 } else { 0.6 }).collect();
        let mut plane = Plane { width: 40, height: 10, values };
        sharpen(&mut plane, 0.8);
        let row = plane.row(5);
        assert!(row[19] < 0.27 && row[20] > 0.63, "{row:?}");
        assert!((row[2] - 0.3).abs() < 1e-4 && (row[37] - 0.6).abs() < 1e-4);
    }
}
