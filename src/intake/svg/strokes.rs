//! What becomes of strokes.

/// What becomes of the strokes of a drawing.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Strokes {
    /// Lines with a width: their middles are scored and cut.
    #[default]
    CentreLines,
    /// The areas that they ink: their edges are scored and cut.
    Areas,
}
