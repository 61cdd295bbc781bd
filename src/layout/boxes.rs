//! The arithmetic of boxes.

use crate::recipe::{Anchor, AnchorSide, BOARD_NAME, MirrorAxis, Place, Placing, SHEET_NAME, Size};
use crate::schema::{Expression, Measures, Side};
use crate::source::{Span, Spanned};
use crate::units::Mm;
use kurbo::{Affine, Point, Rect, Vec2};

/// Tells where figures lie on the sheet.
pub trait Frames {
    /// The box of a figure (or of `sheet`) on the sheet; `None` when it is empty or not known.
    fn frame(&self, figure: &str) -> Option<Rect>;
}

/// Reads sizes from boxes, so that calculations may name figures.
struct Sizes<'a>(&'a dyn Frames);

impl Measures for Sizes<'_> {
    fn measure(&self, figure: &str, side: Side) -> Option<Mm> {
        let frame = self.0.frame(figure)?;
        Some(Mm::new(if side == Side::Width { frame.width() } else { frame.height() }))
    }
}

/// Which of its points a figure is put down by when `place` names no other figure.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Rest {
    /// The middle of its box.
    Middle,
    /// The origin of its own frame: for shapes, whose positions count from there.
    Origin,
}

/// Why a figure cannot be placed.
#[derive(Clone, Debug, PartialEq)]
pub enum LayoutProblem {
    /// The figure it refers to has no box, because it is empty.
    NoFrame(Spanned<String>),
    /// A length does not come out above zero.
    NotPositive {
        /// What it came to.
        length: Option<Mm>,
        /// Where it is written.
        span: Span,
    },
    /// The margin leaves nothing of the box it is taken from.
    MarginTooWide {
        /// What is left of the narrower side.
        left: Mm,
        /// Where it is written.
        span: Span,
    },
    /// A figure without width or height is to be stretched to one.
    NoExtent(Span),
}

/// The movement that puts a figure on the sheet.
///
/// `box_after` gives the figure's box after a movement: a turned figure's box is not its turned box.
pub fn movement(
    box_after: &dyn Fn(Affine) -> Rect,
    placing: &Placing,
    rest: Rest,
    frames: &dyn Frames,
) -> Result<Affine, LayoutProblem> {
    let own = box_after(Affine::IDENTITY);
    let turned = mirrored_and_turned(own, placing, frames);
    let scaled = match &placing.size {
        Some(size) => {
            let now = box_after(turned);
            about(now.center(), scale(now, size, frames)?) * turned
        }
        None => turned,
    };
    let now = box_after(scaled);
    let home = home(placing, frames).unwrap_or(now).center();
    let foot = match rest {
        Rest::Middle => now.center(),
        Rest::Origin => scaled * Point::ZERO,
    };
    let shift = match &placing.place {
        Some(place) => place_shift(now, home - foot, place, frames)?,
        None => home - foot,
    };
    Ok(Affine::translate(shift) * scaled)
}

/// The box on whose middle a figure rests without `place`: its cell, or else the board, or else the sheet.
pub fn home(placing: &Placing, frames: &dyn Frames) -> Option<Rect> {
    let cell = placing.home.as_ref().and_then(|cell| frames.frame(cell));
    cell.or_else(|| frames.frame(BOARD_NAME)).or_else(|| frames.frame(SHEET_NAME))
}

/// The value of a length that has to be above zero, or zero or more.
fn length(written: &Spanned<Expression>, zero: bool, frames: &dyn Frames) -> Result<f64, LayoutProblem> {
    let value = written.value.length(&Sizes(frames));
    match value {
        Some(mm) if mm.get() > 0.0 || (zero && mm.get() == 0.0) => Ok(mm.get()),
        length => Err(LayoutProblem::NotPositive { length, span: written.span }),
    }
}

fn about(centre: Point, movement: Affine) -> Affine {
    Affine::translate(centre.to_vec2()) * movement * Affine::translate(-centre.to_vec2())
}

fn mirrored_and_turned(own: Rect, placing: &Placing, frames: &dyn Frames) -> Affine {
    let mut movement = Affine::IDENTITY;
    for axis in &placing.mirror {
        let flip = match axis {
            MirrorAxis::LeftRight => Affine::scale_non_uniform(-1.0, 1.0),
            MirrorAxis::TopBottom => Affine::scale_non_uniform(1.0, -1.0),
        };
        movement = about(own.center(), flip) * movement;
    }
    if let Some(turn) = &placing.turn {
        let degrees = turn.by.value.value(&Sizes(frames)).unwrap_or(0.0);
        // y points down, so a positive angle turns with the clock as it is seen.
        let angle = if turn.clockwise { degrees } else { -degrees }.to_radians();
        let (sin, cos) = libm::sincos(angle);
        movement = about(own.center(), Affine::new([cos, sin, -sin, cos, 0.0, 0.0])) * movement;
    }
    movement
}

fn scale(now: Rect, size: &Size, frames: &dyn Frames) -> Result<Affine, LayoutProblem> {
    let (width, height) = wanted(size, frames)?;
    let ratio = |wanted: Option<f64>, had: f64| match wanted {
        Some(_) if had <= 0.0 => None,
        Some(wanted) => Some(wanted / had),
        None => None,
    };
    let (x, y) = (ratio(width, now.width()), ratio(height, now.height()));
    match (x, y) {
        (Some(x), Some(y)) if size.stretch => Ok(Affine::scale_non_uniform(x, y)),
        (Some(x), Some(y)) => Ok(Affine::scale(x.min(y))),
        (Some(one), None) | (None, Some(one)) => Ok(Affine::scale(one)),
        (None, None) => Err(LayoutProblem::NoExtent(size.span)),
    }
}

fn wanted(size: &Size, frames: &dyn Frames) -> Result<(Option<f64>, Option<f64>), LayoutProblem> {
    let Some(within) = &size.within else {
        let side = |s: &Option<Spanned<Expression>>| s.as_ref().map(|w| length(w, false, frames)).transpose();
        return Ok((side(&size.width)?, side(&size.height)?));
    };
    let frame = frames.frame(&within.value).ok_or_else(|| LayoutProblem::NoFrame(within.clone()))?;
    let margin = size.margin.as_ref().map_or(Ok(0.0), |m| length(m, true, frames))?;
    let (width, height) = (frame.width() - 2.0 * margin, frame.height() - 2.0 * margin);
    let left = width.min(height);
    if left <= 0.0 {
        let span = size.margin.as_ref().map_or(size.span, |m| m.span);
        return Err(LayoutProblem::MarginTooWide { left: Mm::new(left), span });
    }
    Ok((Some(width), Some(height)))
}

/// How far a box is moved by `place`. `home` is the movement it would make without anchors.
fn place_shift(now: Rect, home: Vec2, place: &Place, frames: &dyn Frames) -> Result<Vec2, LayoutProblem> {
    let mut shift = home;
    let frame = |a: &Anchor| frames.frame(&a.figure.value).ok_or_else(|| LayoutProblem::NoFrame(a.figure.clone()));
    // The centre first, so that an edge given besides it decides its own direction.
    if let Some(anchor) = place.anchors.iter().find(|a| a.side == AnchorSide::Centre) {
        shift = frame(anchor)?.center() - now.center();
    } else if !place.anchors.is_empty() {
        // Against an edge, the middles meet in the direction that no edge settles.
        shift = frame(&place.anchors[0])?.center() - now.center();
    }
    for anchor in &place.anchors {
        let other = frame(anchor)?;
        match anchor.side {
            AnchorSide::Centre => {}
            AnchorSide::Left => shift.x = other.x0 - now.x0,
            AnchorSide::Right => shift.x = other.x1 - now.x1,
            AnchorSide::LeftOf => shift.x = other.x0 - now.x1,
            AnchorSide::RightOf => shift.x = other.x1 - now.x0,
            AnchorSide::Top => shift.y = other.y0 - now.y0,
            AnchorSide::Bottom => shift.y = other.y1 - now.y1,
            AnchorSide::Above => shift.y = other.y0 - now.y1,
            AnchorSide::Below => shift.y = other.y1 - now.y0,
        }
    }
    for (direction, by) in &place.shifts {
        let (x, y) = direction.step();
        shift += Vec2::new(x, y) * length(by, true, frames)?;
    }
    Ok(shift)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::recipe::{Direction, Turn};
    use crate::source::SourceId;

    /// A sheet of 100 by 80 with a board of 60 by 40 in its middle.
    struct Bench;
    impl Frames for Bench {
        fn frame(&self, figure: &str) -> Option<Rect> {
            match figure {
                "sheet" => Some(Rect::new(0.0, 0.0, 100.0, 80.0)),
                "board" => Some(Rect::new(20.0, 20.0, 80.0, 60.0)),
                _ => None,
            }
        }
    }

    fn here() -> Span {
        Span::new(SourceId(0), 0, 0)
    }
    fn mm(text: &str) -> Spanned<Expression> {
        Spanned::new(Expression::of(Expression::read_constant(text).unwrap()), here())
    }
    fn anchor(side: AnchorSide) -> Anchor {
        Anchor { side, figure: Spanned::new("board".to_owned(), here()) }
    }
    /// Where a box of 10 by 20 about its own origin comes to lie.
    fn placed(placing: &Placing) -> Rect {
        let own = Rect::new(-5.0, -10.0, 5.0, 10.0);
        let after = |a: Affine| a.transform_rect_bbox(own);
        after(movement(&after, placing, Rest::Middle, &Bench).unwrap())
    }
    fn near(a: Rect, b: Rect) {
        let off = [a.x0 - b.x0, a.y0 - b.y0, a.x1 - b.x1, a.y1 - b.y1];
        assert!(off.iter().all(|d| d.abs() < 1e-9), "{a:?} {b:?}");
    }

    #[test]
    fn without_a_place_it_lies_in_the_middle_of_the_board() {
        near(placed(&Placing::default()), Rect::new(45.0, 30.0, 55.0, 50.0));
    }

    #[test]
    fn edges_decide_their_direction_and_shifts_come_last() {
        let place = Place {
            anchors: vec![anchor(AnchorSide::Centre), anchor(AnchorSide::Bottom)],
            shifts: vec![(Direction::Up, mm("3 mm"))],
            span: here(),
        };
        near(placed(&Placing { place: Some(place), ..Placing::default() }), Rect::new(45.0, 37.0, 55.0, 57.0));
    }

    #[test]
    fn a_turned_figure_is_sized_as_it_is_seen() {
        let size = Size {
            width: None,
            height: None,
            within: Some(Spanned::new("board".to_owned(), here())),
            margin: Some(mm("5 mm")),
            stretch: false,
            span: here(),
        };
        let turn = Turn { by: mm("90 deg"), clockwise: true };
        let placing = Placing { size: Some(size), turn: Some(turn), ..Placing::default() };
        // 20 by 10 after the turn; 50 by 30 is left of the board: 50 by 25 fits.
        near(placed(&placing), Rect::new(25.0, 27.5, 75.0, 52.5));
    }
}
