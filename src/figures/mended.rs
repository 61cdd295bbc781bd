//! Artwork judged at the size it is burned at, and put right where the recipe asks for it.
//!
//! Lengths of `mend` count on the piece, so an artwork is placed first. Where a mend has changed its box, as dropping a
//! stray part does, it is placed once more.

use super::bench::Bench;
use crate::cache::{Cache, MadeFrom};
use crate::diagnostics::Sink;
use crate::geometry::Drawing;
use crate::mending::{self, Change, Fault, MendKind, Mended, Mends, Scale, Site};
use crate::recipe::{Figure, Mend};
use crate::shop::OperationKind;
use crate::units::Mm;
use kurbo::Affine;
use std::sync::Arc;

/// An artwork on the sheet.
pub(super) struct Judged {
    /// The drawing, mended.
    pub drawing: Arc<Drawing>,
    /// From the frame of its file to the sheet.
    pub movement: Affine,
    /// What was mended.
    pub changes: Vec<Change>,
    /// What is still wrong with it.
    pub faults: Arc<Vec<Fault>>,
}

/// Places what was drawn from a file, mends it and tells what was changed and what is still wrong.
///
/// `placing` gives the movement that puts a drawing on the sheet. `None` when there is none, which was reported.
pub(super) fn placed(
    file: &str,
    mend: Option<&Mend>,
    figure: &Figure,
    own: &Drawing,
    bench: Bench,
    placing: &dyn Fn(&Drawing, &mut Sink) -> Option<Affine>,
    sink: &mut Sink,
) -> Option<Judged> {
    let site = Site { name: &figure.name.value, file, head: figure.head, mends: mend.is_some() };
    let Some(scale) = scale(figure, bench.recipe) else {
        let movement = placing(own, sink)?;
        let drawing = Arc::new(own.transform(movement));
        return Some(Judged { drawing, movement, changes: Vec::new(), faults: Arc::default() });
    };
    let (mut own, mut changes) = (own.clone(), Vec::new());
    if let Some(mend) = mend {
        let wanted = mend.mends(scale.spot);
        let is_stray = |kind: MendKind| kind == MendKind::Stray;
        for stage in [true, false] {
            let now: Mends = wanted.iter().filter(|(kind, _)| is_stray(*kind) == stage).collect();
            if now.iter().next().is_none() {
                continue;
            }
            let movement = placing(&own, sink)?;
            let before = own.transform(movement);
            let mended = mended(&before, &now, bench.cache);
            mending::tell(&mended.changes, &before, site, &|kind| mend.written(kind), sink);
            if mended.changes.iter().any(|c| !c.places.is_empty()) {
                own = mended.drawing.transform(movement.inverse());
            }
            changes.extend(mended.changes.iter().cloned());
        }
        mending::tell_of_idle(&changes, site, mend.head, &|kind| mend.written(kind), sink);
    }
    let movement = placing(&own, sink)?;
    let drawing = Arc::new(own.transform(movement));
    let faults = faults(&drawing, &scale, bench.cache);
    for fault in faults.iter() {
        sink.push(mending::report(fault, &drawing, &scale, site));
    }
    Some(Judged { drawing, movement, changes, faults })
}

/// Against what a figure is judged; `None` without a machine, which was reported.
fn scale(figure: &Figure, recipe: &crate::recipe::Recipe) -> Option<Scale> {
    let machine = recipe.chosen_machine()?;
    let name = &figure.name.value;
    let operations = || recipe.runs.iter().flat_map(|r| &r.operations);
    let burned = |kind| operations().any(|o| o.kind == kind && o.figures.iter().any(|f| f.value == *name));
    let made_from = recipe.figures.iter().any(|f| f.made_from().is_some_and(|of| of == name));
    Some(Scale {
        spot: machine.spot,
        kerf: recipe.kerf_along(name),
        scored: burned(OperationKind::Score),
        cut: burned(OperationKind::Cut) || made_from,
    })
}

fn mended(before: &Drawing, wanted: &Mends, cache: &Cache) -> Arc<Mended> {
    cache.keep(made_from("mended", before).shown(wanted), || mending::mended(before, wanted))
}

fn faults(drawing: &Drawing, scale: &Scale, cache: &Cache) -> Arc<Vec<Fault>> {
    cache.keep(made_from("faults", drawing).shown(scale), || mending::found(drawing, scale))
}

/// A key of everything in a drawing that mending looks at.
fn made_from(kind: &str, drawing: &Drawing) -> MadeFrom {
    let start = MadeFrom::kind(kind);
    let ink = drawing.ink.contours().iter().fold(start, MadeFrom::path);
    let width = |w: Option<Mm>| w.map_or(f64::NAN, Mm::get);
    let line = |key: MadeFrom, l: &crate::geometry::Line| key.path(&l.path).number(width(l.width)).shown(&l.pen);
    let lines = drawing.lines.iter().fold(ink.text("lines"), line);
    drawing.parts.iter().fold(lines.text("parts"), |key, part| key.path(&part.path).shown(&part.open))
}
