//! `preview.png`: what the finished piece should look like.
//!
//! In: a [`Plan`]. Out: a PNG that knows its own scale (`pHYs`), of the board cut out of its sheet and laid
//! on a light table, or of the whole sheet where no board is named.
//!
//! All shading is done in linear light and encoded as sRGB at the very end. Lengths inside are pixels
//! unless a name says `mm`; colours are linear red, green and blue from 0 to 1.
//!
//! Invariant: it shows what the plan burns and nothing else, and its bytes depend on the plan alone: noise
//! comes from integer hashes, and no function of the platform's mathematics library is called.

mod view;
mod noise;
mod plane;
mod mask;
mod material;
mod grain;
mod burn;
mod marks;
mod table;
mod paint;
mod encode;

use crate::plan::Plan;
use marks::Marks;
use material::Material;
use std::fmt;
use table::Table;
use view::View;

/// Why a preview could not be made.
#[derive(Debug)]
pub struct PreviewError(String);

impl fmt::Display for PreviewError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.0)
    }
}

impl std::error::Error for PreviewError {}

/// Paints the finished piece; the bytes are a PNG.
pub fn preview(plan: &Plan) -> Result<Vec<u8>, PreviewError> {
    let view = View::of(plan);
    let material = Material::of(&plan.stock);
    let piece = mask::piece(plan, &view);
    let marks = Marks::of(plan, &view);
    let table = Table::around(&piece, plan, &view);
    let picture = paint::paint(&paint::Scene { plan, view: &view, material, piece, marks, table });
    encode::png(&picture, &view).map_err(|error| PreviewError(error.to_string()))
}
