//! Engraved areas of different operations that lie on each other.

use super::Job;
use super::place::place;
use crate::cache::MadeFrom;
use crate::diagnostics::{Diagnostic, Finding, Severity, Sink, quoted_list};
use crate::figures::area_of;
use crate::geometry::{Corners, Region};
use crate::plan::{Burn, Operation, Run};
use crate::shop::OperationKind;
use crate::units::number::fixed;
use crate::units::{Mm, Mm2};
use kurbo::{BezPath, Point, Rect, Shape};
use rayon::prelude::*;
use std::sync::Arc;

pub(super) static ENGRAVINGS_OVERLAP: Finding = Finding {
    rule: "burn/engravings-overlap",
    severity: Severity::Warning,
    title: "two engravings overlap",
    explanation: "Where areas of two operations lie on each other, the second burns into what the first has burned: darker and \
        deeper than either setting says, and charred at high power. Areas of one operation are burned once. A figure that is \
        named twice is another finding.",
    wrong: "shape \"sky\" { rectangle \"60 mm\" \"40 mm\" }\nshape \"moon\" { circle \"20 mm\" }\n\
        run \"picture\" { engrave \"sky\" shade=\"35 %\"; engrave \"moon\" setting=\"dark\" }",
    right: "shape \"sky\" { subtract { rectangle \"60 mm\" \"40 mm\"; figure \"moon\" } }\nshape \"moon\" { circle \"20 mm\" }\n\
        run \"picture\" { engrave \"sky\" shade=\"35 %\"; engrave \"moon\" setting=\"dark\" }",
};

/// At most so many pairs are looked at: far more than any piece has that overlaps by a slip.
const MOST_PAIRS: usize = 2_000;

/// An operation and the figures it engraves.
type Engraving<'a> = (&'a Run, &'a Operation);

/// Compares each engraving with those that are burned before it.
pub(super) fn check(job: &Job, sink: &mut Sink) {
    let engraved: Vec<Engraving> = job.burning().filter(|(_, o)| o.kind == OperationKind::Engrave).collect();
    let meets = |a: &Engraving, b: &Engraving| {
        a.1.bounds.zip(b.1.bounds).is_some_and(|(a, b)| a.overlaps(b)) && engraved_first(a, b)
    };
    let pairs = engraved.iter().flat_map(|b| engraved.iter().filter(move |a| meets(a, b)).map(move |a| (*a, *b)));
    let pairs: Vec<(Engraving, Engraving)> = pairs.take(MOST_PAIRS).collect();
    let found: Vec<Option<Arc<Option<Overlap>>>> =
        pairs.par_iter().map(|(lower, upper)| overlap(job, lower.1, upper.1)).collect();
    for ((lower, upper), found) in pairs.into_iter().zip(found) {
        if let Some(Some(overlap)) = found.as_deref() {
            sink.push(report(job, lower, upper, overlap));
        }
    }
}

fn engraved_first(a: &Engraving, b: &Engraving) -> bool {
    (a.0.number, a.1.number) < (b.0.number, b.1.number)
}

/// What two engravings share.
#[derive(Debug)]
struct Overlap {
    area: Mm2,
    /// A place well inside the largest part of it.
    at: Point,
}

/// What two engravings share that is wider than the spot; figures that both name are left out.
fn overlap(job: &Job, lower: &Operation, upper: &Operation) -> Option<Arc<Option<Overlap>>> {
    let room = lower.bounds?.intersect(upper.bounds?);
    let (below, above) = (own_area(job, lower, upper)?, own_area(job, upper, lower)?);
    let (below, above) = (within(&below, room), within(&above, room));
    if below.is_empty() || above.is_empty() {
        return None;
    }
    let spot = job.plan.machine.spot;
    let made_from =
        MadeFrom::kind("engravings overlap").number(spot.get()).paths(below.contours()).paths(above.contours());
    Some(job.cache.keep(made_from, || shared(&below, &above, spot)))
}

/// What an operation engraves of figures that the other does not name.
fn own_area(job: &Job, operation: &Operation, other: &Operation) -> Option<Region> {
    if !operation.figures.iter().any(|name| other.figures.contains(name)) {
        return operation.burn.area().cloned();
    }
    let own = operation.figures.iter().filter(|name| !other.figures.contains(name));
    let areas = own.map(|name| area_of(&job.figures.get(name)?.drawing).ok()).collect::<Option<Vec<_>>>()?;
    Some(Region::union(&areas.iter().collect::<Vec<_>>()))
}

/// The contours of an area that reach into a box: all that matters there, for what holds a contour reaches in too.
fn within(region: &Region, room: Rect) -> Region {
    let reaches = |c: &&BezPath| c.bounding_box().overlaps(room);
    Region::from_clean_contours(region.contours().iter().filter(reaches).cloned().collect())
}

fn shared(below: &Region, above: &Region, spot: Mm) -> Option<Overlap> {
    let shared = below.overlap(above);
    if shared.is_empty() || shared.offset(spot / -2.0, Corners::Round).is_empty() {
        return None;
    }
    let parts = shared.parts();
    let largest = parts.iter().max_by(|a, b| a.area().get().total_cmp(&b.area().get()))?;
    Some(Overlap { area: shared.area(), at: largest.interior_point()?.0 })
}

fn report(job: &Job, lower: Engraving, upper: Engraving, overlap: &Overlap) -> Diagnostic {
    let (below, above) = (figure_over(job, lower, overlap.at), figure_over(job, upper, overlap.at));
    let how = |engraving: Engraving| {
        let setting = engraving.1.setting.as_ref();
        let shade = |shade| format!(", shade {shade}");
        setting.map_or_else(String::new, |s| {
            format!(" with setting `{}`{}", s.name, s.shade.map(shade).unwrap_or_default())
        })
    };
    let area = fixed(overlap.area.get(), 2);
    let mut diagnostic = Diagnostic::new(
        &ENGRAVINGS_OVERLAP,
        format!("{area} mm² of `{above}` are engraved over `{below}`, which is engraved already"),
    )
    .at(job.named_at(upper.0, upper.1, above), format!("second{}, {}", how(upper), place(overlap.at)))
    .also(job.named_at(lower.0, lower.1, below), format!("first{}", how(lower)));
    for name in [above, below] {
        diagnostic = job.element_at(name, overlap.at).into_iter().fold(diagnostic, Diagnostic::in_artwork);
    }
    diagnostic
        .because("it is burned twice there: darker and deeper than either setting says, and charred at high power")
        .repair(repair(lower, upper, (below, above)))
}

/// The figure of an engraving that covers a place; the nearest one where rounding says that none does.
fn figure_over<'a>(job: &Job, engraving: Engraving<'a>, at: Point) -> &'a str {
    let figures = &engraving.1.figures;
    let covers = |name: &&String| {
        let placed = job.figures.get(name).filter(|p| p.frame.is_some_and(|f| f.contains(at)));
        placed.is_some_and(|p| area_of(&p.drawing).is_ok_and(|area| area.contains(at)))
    };
    let found = if figures.len() > 1 { figures.iter().find(covers) } else { None };
    found.map(String::as_str).or_else(|| job.figure_at(figures, at)).unwrap_or(&figures[0])
}

fn repair(lower: Engraving, upper: Engraving, (below, above): (&str, &str)) -> String {
    let subtract = format!(
        "engrave a shape with `subtract {{ figure \"{below}\"; figure \"{above}\" }}` in place of `{below}`"
    );
    match (&lower.1.burn, &upper.1.burn) {
        (Burn::Area(_), Burn::Area(_)) if lower.0.number == upper.0.number && burn_alike(lower.1, upper.1) => {
            format!("write {} in one `engrave`, or {subtract}", quoted_list([below, above], "and"))
        }
        (Burn::Dots(_), _) => {
            format!("give the photo `{below}` a `vignette` that leaves room for `{above}`, or move one of them")
        }
        _ => subtract,
    }
}

/// Whether two operations burn with the same numbers.
fn burn_alike(a: &Operation, b: &Operation) -> bool {
    let numbers = |o: &Operation| o.setting.as_ref().map(|s| (s.speed, s.power, s.passes, s.interval));
    numbers(a) == numbers(b)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::FillRule;

    const SPOT: Mm = Mm::new(0.08);

    fn rectangle(x: f64, y: f64, w: f64, h: f64) -> Region {
        Region::from_path(&Rect::new(x, y, x + w, y + h).to_path(0.1), FillRule::NonZero).unwrap()
    }

    #[test]
    fn only_what_the_beam_can_show_is_an_overlap() {
        let sky = rectangle(0.0, 0.0, 60.0, 40.0);
        let found = shared(&sky, &rectangle(50.0, 10.0, 30.0, 5.0), SPOT).unwrap();
        assert!((found.area.get() - 50.0).abs() < 1e-6 && sky.contains(found.at));
        // Half a spot wide along a whole edge, and side by side.
        assert!(shared(&sky, &rectangle(59.96, 0.0, 10.0, 40.0), SPOT).is_none());
        assert!(shared(&sky, &rectangle(60.0, 0.0, 10.0, 40.0), SPOT).is_none());
    }

    #[test]
    fn contours_away_from_the_box_do_not_matter() {
        let far = Region::union(&[&rectangle(0.0, 0.0, 5.0, 5.0), &rectangle(90.0, 0.0, 5.0, 5.0)]);
        assert_eq!(within(&far, Rect::new(80.0, 0.0, 100.0, 9.0)).area().get().round(), 25.0);
    }
}
