//! `pieces.png`: the pieces of a puzzle pulled apart, so that each is seen with its knobs.
//!
//! The board is painted once, whole, and each piece is taken from it and laid where it lies free of the others. Its edges
//! are dark because the cut runs along them.

use super::PreviewError;
use super::encode::{self, Codes, Packed};
use super::grain::Grain;
use super::marks::Stencils;
use super::mask::{Patch, patch};
use super::material::{Colour, Material};
use super::paint::{self, Scene};
use super::shown;
use super::table::{Shape, table};
use super::view::{Strip, View};
use crate::cache::{Cache, MadeFrom};
use crate::plan::{Lay, Operation, Piece, Plan, Puzzle};
use kurbo::{Affine, BezPath, Vec2};
use rayon::prelude::*;

/// What is painted of the board beyond its outline, in mm: what a piece's rim may take from there.
const AROUND: f64 = 1.0;

/// Paints the pieces pulled apart; `None` where there is no puzzle whose pieces could be.
pub(crate) fn pieces(plan: &Plan, cache: &Cache) -> Option<Result<Vec<u8>, PreviewError>> {
    let puzzle = pulled_apart(plan)?;
    let outline = moved(puzzle);
    let bounds = puzzle.pieces.iter().filter_map(|p| Some(p.outline.bounds()? + p.apart));
    let view = View::around(bounds.reduce(|a, b| a.union(b))?);
    let whole = puzzle.pieces.iter().filter_map(|p| p.outline.bounds()).reduce(|a, b| a.union(b))?;
    let board = View { piece: whole, ..View::at_scale(whole.inflate(AROUND, AROUND), view.scale) };
    let operations = shown::operations(plan, Lay::default());
    let stencils = Stencils::of(plan, &board, operations.iter().map(AsRef::<Operation>::as_ref));
    let material = Material::of(&plan.stock);
    let made_from = stencils
        .tell(&board.whole(), MadeFrom::kind("pieces").shown(&view).path(&outline))
        .number(plan.stock.thickness.get())
        .shown(&material)
        .text(&plan.slug);
    let png = cache.keep(made_from, || {
        let shape = Shape::of(&outline, plan.stock.thickness.get(), &view);
        let scene = |view| Scene { view, material, codes: Codes::new() };
        let (on_board, on_table) = (scene(&board), scene(&view));
        let faces = Faces::of(&on_board, &super::grain(&plan.slug, &on_board), &stencils);
        let laid = Laid::of(puzzle, &view, &faces);
        let strips: Vec<Strip> = view.strips(0.0);
        let packed: Vec<Packed> = strips.par_iter().map(|strip| laid.paint(&on_table, &shape, strip)).collect();
        encode::png(packed.iter(), &view).map_err(|error| error.to_string())
    });
    Some(png.as_ref().clone().map_err(PreviewError))
}

/// The puzzle, where its pieces can be pulled apart.
pub(super) fn pulled_apart(plan: &Plan) -> Option<&Puzzle> {
    plan.puzzle.as_ref().filter(|p| p.pieces.iter().any(|piece| piece.apart != Vec2::ZERO))
}

/// The outlines of the pieces where they lie.
fn moved(puzzle: &Puzzle) -> BezPath {
    let lies = |piece: &Piece| Affine::translate(piece.apart) * piece.outline.to_path();
    BezPath::from_vec(puzzle.pieces.iter().flat_map(|p| lies(p).into_iter()).collect())
}

/// The faces of the whole board, each pixel of it.
struct Faces<'a> {
    view: &'a View,
    colours: Vec<Colour>,
}

impl<'a> Faces<'a> {
    fn of(scene: &Scene<'a>, grain: &Grain, stencils: &Stencils) -> Self {
        let view = scene.view;
        let strips = view.strips(Stencils::reach(view));
        let painted: Vec<Vec<Colour>> = strips
            .par_iter()
            .map(|strip| paint::faces(scene, grain, strip, &stencils.draw(view, strip)))
            .collect();
        Self { view, colours: painted.concat() }
    }

    fn at(&self, x: isize, y: isize) -> Colour {
        let (width, height) = (self.view.width as usize, self.view.height as usize);
        let inside = |v: isize, length: usize| v.clamp(0, length.cast_signed() - 1).cast_unsigned();
        self.colours[inside(y, height) * width + inside(x, width)]
    }
}

/// Pieces on the table: which one each pixel shows, and where on the board that is.
struct Laid<'a> {
    faces: &'a Faces<'a>,
    /// For each pixel the piece, from 1; 0 where the table is bare.
    owners: Vec<u32>,
    /// For each piece the way from a pixel of the picture to one of the board.
    ways: Vec<(isize, isize)>,
}

impl<'a> Laid<'a> {
    fn of(puzzle: &Puzzle, view: &View, faces: &'a Faces<'a>) -> Self {
        let width = view.width as usize;
        let mut owners = vec![0; width * view.height as usize];
        let patches: Vec<Option<Patch>> = puzzle
            .pieces
            .par_iter()
            .map(|piece| patch(&(Affine::translate(piece.apart) * piece.outline.to_path()), view))
            .collect();
        for (owner, patch) in (1..).zip(&patches) {
            for (x, y) in patch.iter().flat_map(Patch::covered) {
                owners[y * width + x] = owner;
            }
        }
        let way = |piece: &Piece| {
            let by = (view.shown.origin() - faces.view.shown.origin() - piece.apart) * view.scale;
            (by.x.round() as isize, by.y.round() as isize)
        };
        Self { faces, owners, ways: puzzle.pieces.iter().map(way).collect() }
    }

    fn paint(&self, scene: &Scene, shape: &Shape, strip: &Strip) -> Packed {
        let width = scene.view.width as usize;
        let mut pixels = Vec::with_capacity(width * (strip.bottom - strip.top) * 3);
        for y in strip.top..strip.bottom {
            for x in 0..width {
                let bare = table(x, y, scene.view);
                let colour = paint::laid(scene, shape, (x, y), bare, || self.face(x, y, width));
                let grit = paint::grit(scene, shape.piece.row(y)[x] >= 1.0, x, y);
                pixels.extend(colour.map(|light| scene.codes.code(light, grit)));
            }
        }
        Packed::new(&pixels, width)
    }

    fn face(&self, x: usize, y: usize, width: usize) -> Colour {
        let owner = self.owners[y * width + x] as usize;
        let (right, down) = owner.checked_sub(1).map_or((0, 0), |index| self.ways[index]);
        self.faces.at(x.cast_signed() + right, y.cast_signed() + down)
    }
}
