//! WebP files.

use super::canvas::{Canvas, Picture};
use super::colour::ToSrgb;
use super::upright::upright;
use super::{Note, SEVERAL, broken, check_size, see_through};
use image::codecs::webp::WebPDecoder;
use image::{ColorType, ImageDecoder, ImageError};
use std::io::Cursor;

pub(super) fn read(bytes: &[u8], notes: &mut Vec<Note>) -> Result<Picture, Note> {
    let mut decoder = WebPDecoder::new(Cursor::new(bytes)).map_err(|e| damaged(&e))?;
    let (width, height) = decoder.dimensions();
    check_size(u64::from(width), u64::from(height))?;
    if decoder.has_animation() {
        notes.push(Note {
            finding: &SEVERAL,
            message: "is an animation; its first picture is taken".into(),
            consequence: "the others are not burned",
            repair: "nothing needs to be done; save the wanted picture as a file of its own to choose another",
        });
    }
    let channels = if decoder.color_type() == ColorType::Rgba8 { 4 } else { 3 };
    let to_srgb = match decoder.icc_profile() {
        Ok(Some(profile)) => ToSrgb::from_icc(&profile, channels, notes),
        _ => ToSrgb::Nothing,
    };
    let exif = decoder.exif_metadata().ok().flatten();
    let mut pixels = vec![0; width as usize * height as usize * channels];
    decoder.read_image(&mut pixels).map_err(|e| damaged(&e))?;
    let mut canvas = Canvas::new(width as usize, height as usize, channels);
    let mut samples = Vec::with_capacity(width as usize * channels);
    for row in pixels.chunks_exact(width as usize * channels) {
        samples.clear();
        samples.extend(row.iter().map(|&v| u16::from(v) * 257));
        to_srgb.apply(&mut samples, channels);
        canvas.push(&samples);
    }
    drop(pixels);
    Ok(upright(see_through(canvas, notes)?, exif.as_deref(), notes))
}

fn damaged(error: &ImageError) -> Note {
    let why: String = error.to_string().trim_end_matches('.').chars().take(120).collect();
    broken(format!("is cut short or damaged: {why}"))
}
