//! Where the glyphs of a line stand: along a straight baseline, around a circle or along any line.

use super::error::LetteringError;
use super::shaping::{Glyph, ShapedLine};
use super::track::{Along, MOST_TURN, TightTurn, Track};
use super::{Align, Arc, ArcSide, LetteringRequest, SetLine, advance_of};
use crate::units::Mm;
use kurbo::{Affine, Vec2};
use std::f64::consts::TAU;

/// A glyph and where it stands.
pub(super) struct PlacedGlyph {
    /// Which glyph.
    pub(super) glyph: Glyph,
    /// From its own origin to its place, in mm, y down; moves and turns only.
    pub(super) affine: Affine,
}

/// What is the same for all lines of a setting; lengths in mm.
pub(super) struct Setting {
    scale: f64,
    tracking: f64,
    spacing: f64,
    align: Align,
    arc: Option<Arc>,
}

/// The share of a line that lies before x = 0.
pub(super) fn share_before(align: Align) -> f64 {
    match align {
        Align::Left => 0.0,
        Align::Centre => 0.5,
        Align::Right => 1.0,
    }
}

impl Setting {
    /// The setting of letters whose em is `em` font units, at `scale` mm to the unit.
    pub(super) fn new(request: &LetteringRequest, em: f64, scale: f64) -> Self {
        Self {
            scale,
            tracking: request.tracking.get(),
            spacing: request.line_spacing.factor() * em * scale,
            align: request.align,
            arc: request.arc,
        }
    }

    /// A line's length and place.
    pub(super) fn describe(&self, index: usize, line: &ShapedLine) -> SetLine {
        SetLine {
            advance: Mm::new(advance_of(line, self.scale, self.tracking)),
            baseline: Mm::new(self.spacing * index as f64),
        }
    }

    /// Places the glyphs of the line with this index.
    pub(super) fn place(&self, index: usize, line: &ShapedLine) -> Result<Vec<PlacedGlyph>, LetteringError> {
        let baseline = self.spacing * index as f64;
        let length = advance_of(line, self.scale, self.tracking);
        let bend = self.arc.map(|arc| Bend::new(arc, index, baseline, length)).transpose()?;
        let mut origin = -share_before(self.align) * length;
        let mut placed = Vec::new();
        for cluster in &line.clusters {
            let advance = cluster.advance * self.scale;
            let stand = match &bend {
                None => Affine::translate((origin, baseline)),
                Some(bend) => bend.stand(origin, advance),
            };
            for glyph in &cluster.glyphs {
                let shift = Affine::translate((glyph.x * self.scale, -glyph.y * self.scale));
                placed.push(PlacedGlyph { glyph: glyph.id, affine: stand * shift });
            }
            origin += advance + self.tracking;
        }
        Ok(placed)
    }
}

/// Places the one line of a setting along a line; says where letters turn too far from each other.
pub(super) fn place_along(
    along: &Along,
    setting: &Setting,
    line: &ShapedLine,
    capitals: f64,
) -> Result<(Vec<PlacedGlyph>, Vec<TightTurn>), LetteringError> {
    let track = Track::new(along, capitals)?;
    let length = advance_of(line, setting.scale, setting.tracking);
    if track.length() < length {
        let (length, offered) = (Mm::new(length), Mm::new(track.length()));
        return Err(LetteringError::LineTooShort { length, offered });
    }
    // A closed line is met at its start, an open one at its start, its middle or its end.
    let share = share_before(setting.align);
    let meets = if track.is_closed() { 0.0 } else { share * track.length() };
    let mut origin = meets - share * length + along.shift.get();
    if !track.is_closed() && (origin < -1e-9 || track.length() + 1e-9 < origin + length) {
        let (length, offered) = (Mm::new(length + along.shift.get().abs()), Mm::new(track.length()));
        return Err(LetteringError::LineTooShort { length, offered });
    }
    let (mut placed, mut turns, mut before) = (Vec::new(), Vec::new(), None::<Vec2>);
    for cluster in &line.clusters {
        let advance = cluster.advance * setting.scale;
        let (start, end) = (track.point(origin), track.point(origin + advance));
        let middle = track.point(origin + advance / 2.0);
        let chord = end - start;
        let direction = if chord.hypot() > 1e-9 { chord.normalize() } else { Vec2::new(1.0, 0.0) };
        // Both feet on the line, or the middle where the line bends away: halfway between the two.
        let at = start.midpoint(end).midpoint(middle);
        if !cluster.glyphs.is_empty() {
            if let Some(last) = before {
                let degrees = libm::atan2(last.cross(direction), last.dot(direction)).to_degrees();
                if MOST_TURN < degrees.abs() {
                    turns.push(TightTurn { at: start, degrees });
                }
            }
            before = Some(direction);
        }
        let turn = Affine::new([direction.x, direction.y, -direction.y, direction.x, at.x, at.y]);
        let stand = turn * Affine::translate((-advance / 2.0, 0.0));
        for glyph in &cluster.glyphs {
            let shift = Affine::translate((glyph.x * setting.scale, -glyph.y * setting.scale));
            placed.push(PlacedGlyph { glyph: glyph.id, affine: stand * shift });
        }
        origin += advance + setting.tracking;
    }
    Ok((placed, turns))
}

/// The circle of one line; its centre is the origin.
struct Bend {
    radius: f64,
    side: ArcSide,
}

impl Bend {
    /// Lines below the first come nearer to the centre over the top, and lie farther out under the bottom.
    fn new(arc: Arc, index: usize, baseline: f64, length: f64) -> Result<Self, LetteringError> {
        let radius = match arc.side {
            ArcSide::OverTop => arc.radius.get() - baseline,
            ArcSide::UnderBottom => arc.radius.get() + baseline,
        };
        if radius <= 0.0 {
            return Err(LetteringError::ArcTooSmall { line: index + 1, radius: Mm::new(radius) });
        }
        if TAU * radius < length {
            let (length, around) = (Mm::new(length), Mm::new(TAU * radius));
            return Err(LetteringError::ArcTooShort { line: index + 1, length, around });
        }
        Ok(Self { radius, side: arc.side })
    }

    /// Puts a cluster on the circle: its mid-advance on the arc at its distance along the baseline,
    /// turned so that its baseline is the tangent there.
    fn stand(&self, origin: f64, advance: f64) -> Affine {
        let angle = (origin + advance / 2.0) / self.radius;
        let (sine, cosine) = libm::sincos(angle);
        let (point, sine) = match self.side {
            ArcSide::OverTop => (Vec2::new(self.radius * sine, -self.radius * cosine), sine),
            ArcSide::UnderBottom => (Vec2::new(self.radius * sine, self.radius * cosine), -sine),
        };
        // kurbo's own rotation uses the platform's sine, which differs between machines.
        let turn = Affine::new([cosine, sine, -sine, cosine, point.x, point.y]);
        turn * Affine::translate((-advance / 2.0, 0.0))
    }
}
