//! What masks and patterns draw, as areas: bright or dark, and nothing between.

use super::cut::PaintedLine;
use super::painter::{Painter, affine, held_near, lines_of, rule_of};
use super::tone::{Flat, Tone, encoded_luminance};
use crate::geometry::Region;
use kurbo::{Affine, Rect, Shape};
use usvg::{Group, MaskType, Node, Paint, Path};

/// Values this close to nothing or to all count as that.
const NEAR: f64 = 0.1;

/// What a shape does to a stencil.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Effect {
    Add,
    Remove,
    Nothing,
}

/// How the paints of a stencil are read.
#[derive(Clone, Copy, Debug)]
pub(super) enum Reading {
    /// As ink: dark adds, white takes away and hides.
    Ink,
    /// As a mask of a kind.
    Mask(MaskType),
}

/// Areas drawn shape by shape.
#[derive(Default)]
pub(super) struct Stencil {
    /// What shows.
    pub on: Region,
    /// What hides.
    pub off: Region,
    /// Whether something in it is neither all nor nothing, or is no flat area.
    pub is_rough: bool,
    pending: Vec<Region>,
    effect: Option<Effect>,
}

impl Reading {
    /// What a flat paint does, and whether that is all that can be said of it.
    fn effect(self, flat: Flat) -> (Effect, bool) {
        match self {
            Self::Ink => match flat.tone() {
                Tone::Dark => (Effect::Add, true),
                Tone::White => (Effect::Remove, true),
                Tone::Neither => (Effect::Nothing, true),
            },
            Self::Mask(MaskType::Alpha) => {
                let effect = if flat.alpha >= 0.5 { Effect::Add } else { Effect::Nothing };
                (effect, flat.alpha <= NEAR || flat.alpha >= 1.0 - NEAR)
            }
            // A mask shows by the brightness of what it draws, on nothing, which is dark.
            Self::Mask(MaskType::Luminance) => {
                let bright = encoded_luminance(flat.rgb);
                let (over_dark, over_bright) = (bright * flat.alpha, 1.0 - flat.alpha + bright * flat.alpha);
                let is_flat = |v: f64| v <= NEAR || v >= 1.0 - NEAR;
                let effect = match () {
                    () if over_dark >= 0.5 => Effect::Add,
                    () if over_bright < 0.5 => Effect::Remove,
                    () => Effect::Nothing,
                };
                (effect, flat.alpha <= NEAR || is_flat(over_dark) && is_flat(over_bright))
            }
        }
    }
}

impl Stencil {
    fn lay(&mut self, region: Region, effect: Effect) {
        if effect == Effect::Nothing || region.is_empty() {
            return;
        }
        if self.effect != Some(effect) {
            self.settle();
            self.effect = Some(effect);
        }
        self.pending.push(region);
    }

    /// Lays down what was collected.
    fn settle(&mut self) {
        let all = std::mem::take(&mut self.pending);
        if all.is_empty() {
            return;
        }
        let new = Region::union(&all.iter().collect::<Vec<_>>());
        let (gains, loses) = match self.effect {
            Some(Effect::Remove) => (&mut self.off, &mut self.on),
            _ => (&mut self.on, &mut self.off),
        };
        *gains = if gains.is_empty() { new.clone() } else { Region::union(&[&*gains, &new]) };
        if !loses.is_empty() {
            *loses = loses.subtract(&new);
        }
    }

    fn keep_inside(&mut self, area: &Region) {
        self.settle();
        self.on = self.on.overlap(area);
        self.off = self.off.overlap(area);
    }
}

/// What holds in a group of a stencil.
#[derive(Clone)]
struct Held {
    alpha: f64,
    clip: Option<Region>,
}

impl Painter<'_, '_> {
    /// What `group` draws, inside `bounds`, where `to_frame` leads from its own units to the working frame.
    pub(super) fn stencil(&mut self, group: &Group, bounds: Rect, to_frame: Affine, reading: Reading) -> Stencil {
        let mut stencil = Stencil::default();
        self.stencil_group(group, to_frame, reading, &Held { alpha: 1.0, clip: None }, &mut stencil);
        let edge =
            Region::from_path(&held_near(to_frame * bounds.to_path(0.1)), crate::geometry::FillRule::NonZero);
        stencil.keep_inside(&edge.unwrap_or_default());
        stencil
    }

    fn stencil_group(
        &mut self,
        group: &Group,
        to_frame: Affine,
        reading: Reading,
        around: &Held,
        out: &mut Stencil,
    ) {
        let mut held = Held { alpha: around.alpha * f64::from(group.opacity().get()), clip: around.clip.clone() };
        // Step by step: inside patterns, the resolver does not bring its absolute transforms up to date.
        let at = to_frame * affine(group.transform());
        let clip = group.clip_path().map(|clip| self.clip_region(clip, at));
        let mask = group.mask().map(|mask| self.mask_region(mask, at));
        for region in [clip, mask].into_iter().flatten() {
            held.clip = Some(held.clip.map_or_else(|| region.clone(), |outer| outer.overlap(&region)));
        }
        for child in group.children() {
            match child {
                Node::Group(inner) => self.stencil_group(inner, at, reading, &held, out),
                Node::Path(path) if path.is_visible() => self.stencil_path(path, at, reading, &held, out),
                Node::Path(_) => {}
                Node::Image(_) | Node::Text(_) => out.is_rough = true,
            }
        }
    }

    fn stencil_path(&mut self, path: &Path, to_frame: Affine, reading: Reading, held: &Held, out: &mut Stencil) {
        let outline = self.outline_of(path);
        if !self.counts(&outline) {
            return;
        }
        let placed = held_near(to_frame * outline.clone());
        let mut lay = |region: Region, paint: &Paint, opacity: f32| {
            let flat = Flat::of(paint, opacity);
            let (effect, is_flat) = reading.effect(Flat { alpha: flat.alpha * held.alpha, ..flat });
            out.is_rough |= !is_flat || !matches!(paint, Paint::Color(_));
            let region = held.clip.as_ref().map_or_else(|| region.clone(), |clip| region.overlap(clip));
            out.lay(region, effect);
        };
        if let Some(fill) = path.fill() {
            lay(
                Region::from_path(&placed, rule_of(fill.rule())).unwrap_or_default(),
                fill.paint(),
                fill.opacity().get(),
            );
        }
        if let Some(stroke) = path.stroke() {
            let bands: Vec<Region> = lines_of(&placed, stroke, to_frame)
                .iter()
                .map(|line: &PaintedLine| line.band_through(to_frame))
                .collect();
            let all = Region::union(&bands.iter().collect::<Vec<_>>());
            lay(all, stroke.paint(), stroke.opacity().get());
        }
    }
}
