//! Colours on paper.

/// An sRGB colour.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct Ink {
    /// Red.
    pub red: u8,
    /// Green.
    pub green: u8,
    /// Blue.
    pub blue: u8,
}

impl Ink {
    /// The paper.
    pub(crate) const WHITE: Self = Self::hex(0xff_ffff);

    /// From `0xrrggbb`.
    pub(crate) const fn hex(rgb: u32) -> Self {
        let [_, red, green, blue] = rgb.to_be_bytes();
        Self { red, green, blue }
    }

    /// From `#rrggbb`; `None` for anything else.
    pub(crate) fn parse(text: &str) -> Option<Self> {
        let digits =
            text.strip_prefix('#').filter(|d| d.len() == 6 && d.bytes().all(|b| b.is_ascii_hexdigit()))?;
        u32::from_str_radix(digits, 16).ok().map(Self::hex)
    }

    /// A share of it on white paper.
    pub(crate) fn share(self, share: f64) -> Self {
        let paler = |channel: u8| (255.0 - (255.0 - f64::from(channel)) * share).round() as u8;
        Self { red: paler(self.red), green: paler(self.green), blue: paler(self.blue) }
    }

    /// Contrast against another colour, 1 to 21, by WCAG 2.2 (relative luminance over sRGB).
    pub(crate) fn contrast(self, other: Self) -> f64 {
        let (a, b) = (self.luminance(), other.luminance());
        (a.max(b) + 0.05) / (a.min(b) + 0.05)
    }

    /// The ink of a pair that reads better on this ground.
    pub(crate) fn legible(self, dark: Self) -> Self {
        if self.contrast(dark) < self.contrast(Self::WHITE) { Self::WHITE } else { dark }
    }

    fn luminance(self) -> f64 {
        let linear = |channel: u8| {
            let c = f64::from(channel) / 255.0;
            if c <= 0.04045 { c / 12.92 } else { libm::pow((c + 0.055) / 1.055, 2.4) }
        };
        0.2126 * linear(self.red) + 0.7152 * linear(self.green) + 0.0722 * linear(self.blue)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// WCAG 2.2 SC 1.4.3 and its well-known edge greys.
    #[test]
    fn contrast_follows_wcag() {
        let against_white = |rgb: u32| Ink::hex(rgb).contrast(Ink::WHITE);
        assert!((against_white(0) - 21.0).abs() < 1e-9);
        assert!((against_white(0x76_7676) - 4.5422).abs() < 1e-4);
        assert!((against_white(0x77_7777) - 4.4781).abs() < 1e-4);
    }

    #[test]
    fn colours_are_read_strictly() {
        assert_eq!(Ink::parse("#0072b2"), Some(Ink::hex(0x00_72b2)));
        for bad in ["", "#fff", "0072b2", "#0072bg", "#0072b2ff", "#ü072b"] {
            assert_eq!(Ink::parse(bad), None, "{bad}");
        }
    }
}
