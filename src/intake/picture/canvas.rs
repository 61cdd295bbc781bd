//! Rows of samples become grey: as coded, and as luminance.

use super::colour::{DECODED, linear_of_coded};
use crate::raster::Plane;

/// The largest sample: full light, or fully opaque.
const FULL: u32 = 65_535;

/// A picture that was read: upright, over white, in sRGB.
#[derive(Clone, Debug, PartialEq)]
pub struct Picture {
    /// Pixels in a row.
    pub width: usize,
    /// Rows.
    pub height: usize,
    /// sRGB-coded grey, 0 black to 65535 white.
    grey: Vec<u16>,
    /// Relative luminance; where there is none, the picture is grey, and it follows from the coded values.
    light: Option<Vec<u16>>,
}

impl Picture {
    /// Grey as sRGB codes it, 0 black to 1 white: what a drawing is traced from.
    ///
    /// Of a colour it is the weighted mean of the coded channels (weights of ITU-R BT.709).
    pub fn coded(&self) -> Plane {
        self.plane(&self.grey)
    }

    /// Relative luminance, 0 black to 1 white: what a photo is toned from (IEC 61966-2-1 and ITU-R BT.709).
    pub fn luminance(&self) -> Plane {
        self.plane(&self.luminance_samples())
    }

    /// Relative luminance in 65535ths, row by row.
    pub fn luminance_samples(&self) -> std::borrow::Cow<'_, [u16]> {
        match &self.light {
            Some(light) => light.into(),
            None => self.grey.iter().map(|&v| DECODED[usize::from(v)]).collect::<Vec<_>>().into(),
        }
    }

    fn plane(&self, samples: &[u16]) -> Plane {
        let values = samples.iter().map(|&v| f32::from(v) / 65_535.0).collect();
        Plane { width: self.width, height: self.height, values }
    }

    /// A picture from grey sRGB codes, row by row, in 65535ths.
    pub fn of_grey(width: usize, height: usize, grey: Vec<u16>) -> Self {
        debug_assert_eq!(grey.len(), width * height);
        Self { width, height, grey, light: None }
    }

    /// The same picture with its pixels in another order.
    pub(super) fn rearranged(self, (width, height): (usize, usize), arrange: impl Fn(&[u16]) -> Vec<u16>) -> Self {
        Self { width, height, grey: arrange(&self.grey), light: self.light.as_deref().map(arrange) }
    }
}

/// A picture while its rows arrive.
pub(super) struct Canvas {
    picture: Picture,
    channels: usize,
    has_clear: bool,
    has_ink: bool,
}

impl Canvas {
    /// For rows of 1 (grey), 2 (grey, alpha), 3 (red, green, blue) or 4 channels.
    pub(super) fn new(width: usize, height: usize, channels: usize) -> Self {
        let room = || Vec::with_capacity(width * height);
        let light = (channels >= 3).then(room);
        let picture = Picture { width, height, grey: room(), light };
        Self { picture, channels, has_clear: false, has_ink: channels % 2 == 1 }
    }

    /// How many rows have arrived.
    pub(super) fn rows(&self) -> usize {
        self.picture.grey.len() / self.picture.width
    }

    /// Adds a row of samples in 65535ths.
    pub(super) fn push(&mut self, row: &[u16]) {
        for pixel in row.chunks_exact(self.channels) {
            let (colour, alpha) = match self.channels {
                2 | 4 => (&pixel[..self.channels - 1], u32::from(pixel[self.channels - 1])),
                _ => (pixel, FULL),
            };
            self.has_clear |= alpha < FULL;
            self.has_ink |= alpha > 0;
            // Viewers mix in coded values, and the recipe's author has seen the picture in a viewer.
            let over_white = |c: u16| ((u32::from(c) * alpha + FULL * (FULL - alpha) + FULL / 2) / FULL) as u16;
            match *colour {
                [grey] => self.picture.grey.push(over_white(grey)),
                [r, g, b] => self.colour([over_white(r), over_white(g), over_white(b)]),
                _ => {}
            }
        }
    }

    fn colour(&mut self, rgb: [u16; 3]) {
        self.picture.grey.push(weighed(rgb));
        if let Some(light) = &mut self.picture.light {
            light.push(weighed(rgb.map(linear_of_coded)));
        }
    }

    /// The picture; whether some of it is transparent; whether any of it is not.
    pub(super) fn finish(self) -> (Picture, bool, bool) {
        (self.picture, self.has_clear, self.has_ink)
    }
}

/// The weights of ITU-R BT.709.
fn weighed([r, g, b]: [u16; 3]) -> u16 {
    ((2126 * u32::from(r) + 7152 * u32::from(g) + 722 * u32::from(b) + 5000) / 10_000) as u16
}
