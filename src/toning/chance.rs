//! Numbers that look random and are always the same.

/// A number from 0 to below 1 for a place (finaliser of `MurmurHash3`, Appleby, public domain).
pub(super) fn chance(x: usize, y: usize) -> f32 {
    let mut h = (x as u32).wrapping_mul(0x9e37_79b1) ^ (y as u32).wrapping_mul(0x85eb_ca77).rotate_left(15);
    h ^= h >> 16;
    h = h.wrapping_mul(0x85eb_ca6b);
    h ^= h >> 13;
    h = h.wrapping_mul(0xc2b2_ae35);
    h ^= h >> 16;
    (h >> 8) as f32 / 16_777_216.0
}
