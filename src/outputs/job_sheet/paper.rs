//! Where on the paper the content stands.

use crate::shop::Paper;
use kurbo::Size;

/// Left and right edge kept free, in mm: a punched hole fits.
pub(super) const SIDE: f64 = 16.0;
/// Where content starts below the upper edge, in mm.
pub(super) const TOP: f64 = 19.0;
/// The same on the first page, which has its title in its content.
pub(super) const FIRST_TOP: f64 = 13.0;
/// Kept free above the lower edge, in mm.
pub(super) const FOOT: f64 = 17.0;

/// Width and height of a paper, in mm.
pub(super) const fn size(paper: Paper) -> Size {
    Size::new(paper.width().get(), paper.height().get())
}
