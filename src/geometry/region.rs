//! Areas.

use crate::units::Mm2;
use kurbo::{Affine, BezPath, Rect, Shape};

/// Which points a path's contours enclose; the two rules of SVG.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum FillRule {
    /// Inside where the windings do not sum to zero.
    NonZero,
    /// Inside where an odd number of contours is crossed.
    EvenOdd,
}

/// What the outside of a corner becomes when an outline is offset.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Corners {
    /// An arc about the corner.
    Round,
    /// A sharp tip, up to `limit` times half the stroke width (SVG `stroke-miterlimit`); beyond it a bevel.
    Mitre {
        /// The mitre limit, 1 or more.
        limit: f64,
    },
    /// A straight cut.
    Bevel,
}

/// Why a path is refused at the kernel's border.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum GeometryError {
    /// A coordinate is not a finite number.
    NotFinite,
    /// A coordinate lies farther out than any bed: over 10 m.
    TooFar,
    /// More segments than can be worked on in bounded time.
    TooMany,
}

/// An area bounded by closed contours.
///
/// Promises: every contour is closed and finite; contours do not cross themselves or each other; outer
/// contours and holes wind against each other, so that both fill rules give the same area.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Region {
    contours: Vec<BezPath>,
}

impl Region {
    /// The empty area.
    pub const fn empty() -> Self {
        Self { contours: Vec::new() }
    }

    /// Takes contours that already keep the promises of the type; for the kernel's own results.
    pub(crate) fn from_clean_contours(contours: Vec<BezPath>) -> Self {
        Self { contours }
    }

    /// The contours.
    pub fn contours(&self) -> &[BezPath] {
        &self.contours
    }

    /// All contours in one path.
    pub fn to_path(&self) -> BezPath {
        BezPath::from_vec(self.contours.iter().flat_map(|c| c.elements().iter().copied()).collect())
    }

    /// Whether it encloses nothing.
    pub fn is_empty(&self) -> bool {
        self.contours.is_empty()
    }

    /// The enclosed area.
    pub fn area(&self) -> Mm2 {
        Mm2::new(self.contours.iter().map(kurbo::Shape::area).sum::<f64>().abs())
    }

    /// The box around it; `None` when it is empty.
    pub fn bounds(&self) -> Option<Rect> {
        self.contours.iter().map(Shape::bounding_box).reduce(|a, b| a.union(b))
    }

    /// The area moved, turned, mirrored or scaled.
    #[must_use]
    pub fn transform(&self, affine: Affine) -> Self {
        let moved = self.contours.iter().map(|c| affine * c.clone());
        // Mirroring turns every contour round; outer ones are turned back to winding positively.
        let mirrored = affine.determinant() < 0.0;
        Self { contours: moved.map(|c| if mirrored { c.reverse_subpaths() } else { c }).collect() }
    }
}
