//! The paper and where on it the content stands.

use crate::units::Mm;
use kurbo::Size;

/// A paper to print on.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum PageSize {
    /// 210 × 297 mm (ISO 216).
    #[default]
    A4,
    /// 8.5 × 11 in.
    Letter,
}

/// Left and right edge kept free, in mm: a punched hole fits.
pub(super) const SIDE: f64 = 16.0;
/// Where content starts below the upper edge, in mm.
pub(super) const TOP: f64 = 19.0;
/// The same on the first page, which has its title in its content.
pub(super) const FIRST_TOP: f64 = 13.0;
/// Kept free above the lower edge, in mm.
pub(super) const FOOT: f64 = 17.0;

impl PageSize {
    /// Width.
    pub const fn width(self) -> Mm {
        match self {
            Self::A4 => Mm::new(210.0),
            Self::Letter => Mm::new(215.9),
        }
    }

    /// Height.
    pub const fn height(self) -> Mm {
        match self {
            Self::A4 => Mm::new(297.0),
            Self::Letter => Mm::new(279.4),
        }
    }

    /// Both, in mm.
    pub(super) const fn size(self) -> Size {
        Size::new(self.width().get(), self.height().get())
    }
}
