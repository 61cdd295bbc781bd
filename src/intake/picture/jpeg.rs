//! JPEG files: grey, colour and inks.

use super::canvas::{Canvas, Picture};
use super::colour::{ToSrgb, inks};
use super::upright::upright;
use super::{KIND_NOT_READ, Note, broken, check_size, see_through};
use zune_core::bytestream::ZCursor;
use zune_core::colorspace::ColorSpace;
use zune_core::options::DecoderOptions;
use zune_jpeg::JpegDecoder;

/// What the markers of a file say (ITU-T T.81, annex B).
#[derive(Debug, Default, PartialEq, Eq)]
struct Markers {
    /// The start of frame: its marker, bits a sample, height, width, components.
    frame: Option<(u8, u8, u16, u16, u8)>,
    /// Whether the end of the image was found.
    is_ended: bool,
}

pub(super) fn read(bytes: &[u8], notes: &mut Vec<Note>) -> Result<Picture, Note> {
    let markers = markers(bytes);
    let (_, _, height, width, components) = check_variant(&markers)?;
    check_size(u64::from(width), u64::from(height))?;
    let space = if components == 1 { ColorSpace::Luma } else { ColorSpace::RGB };
    let (decoder, pixels) = decode(bytes, space, &markers)?;
    if components == 4 {
        notes.push(inks());
    }
    let channels = space.num_components();
    let to_srgb = match decoder.icc_profile() {
        Some(profile) if components != 4 => ToSrgb::from_icc(&profile, channels, notes),
        _ => ToSrgb::Nothing,
    };
    let (width, height) = (usize::from(width), usize::from(height));
    let mut canvas = Canvas::new(width, height, channels);
    let mut samples = Vec::with_capacity(width * channels);
    for row in pixels.chunks_exact(width * channels) {
        samples.clear();
        samples.extend(row.iter().map(|&v| u16::from(v) * 257));
        to_srgb.apply(&mut samples, channels);
        canvas.push(&samples);
    }
    if canvas.rows() != height {
        return Err(broken(format!("breaks off after row {} of {height}", canvas.rows())));
    }
    let exif = decoder.exif().cloned();
    drop(pixels);
    Ok(upright(see_through(canvas, notes)?, exif.as_deref(), notes))
}

fn check_variant(markers: &Markers) -> Result<(u8, u8, u16, u16, u8), Note> {
    let Some(frame) = markers.frame else {
        return Err(broken("breaks off before its picture begins"));
    };
    let variant = match (frame.0, frame.1) {
        (0xc0..=0xc2, 8) => return Ok(frame),
        (0xc9..=0xcb | 0xcd..=0xcf, _) => "uses arithmetic coding".to_owned(),
        (0xc3, _) => "is a lossless JPEG".to_owned(),
        (0xc5..=0xc7, _) => "is a hierarchical JPEG".to_owned(),
        (_, bits) => format!("has {bits} bits a sample"),
    };
    Err(Note::refusal(
        &KIND_NOT_READ,
        format!("{variant}, which is not read"),
        "save it as PNG, or as an ordinary JPEG of 8 bits",
    ))
}

type Jpeg<'a> = JpegDecoder<ZCursor<&'a [u8]>>;

/// The pixels. A strict reading finds what is missing; the lenient one tells where.
fn decode<'a>(bytes: &'a [u8], space: ColorSpace, markers: &Markers) -> Result<(Jpeg<'a>, Vec<u8>), Note> {
    let (decoder, strict) = decode_as(bytes, space, true);
    let error = match strict {
        Ok(pixels) if markers.is_ended => return Ok((decoder, pixels)),
        Ok(pixels) => return Err(cut_short(&pixels, space, markers)),
        Err(error) => error,
    };
    drop(decoder);
    let (decoder, lenient) = decode_as(bytes, space, false);
    match lenient {
        // Bytes between headers harm nothing.
        Ok(pixels) if markers.is_ended && error.contains("between headers") => Ok((decoder, pixels)),
        Ok(pixels) if !markers.is_ended => Err(cut_short(&pixels, space, markers)),
        _ => Err(broken(format!("is damaged: {}", error.chars().take(120).collect::<String>()))),
    }
}

fn decode_as(bytes: &[u8], space: ColorSpace, is_strict: bool) -> (Jpeg<'_>, Result<Vec<u8>, String>) {
    // The same instructions on every machine: the same pixels.
    let options = DecoderOptions::default()
        .set_use_unsafe(false)
        .set_strict_mode(is_strict)
        .set_max_width(usize::from(u16::MAX))
        .set_max_height(usize::from(u16::MAX))
        .jpeg_set_out_colorspace(space);
    let mut decoder = JpegDecoder::new_with_options(ZCursor::new(bytes), options);
    let pixels = decoder.decode().map_err(|e| format!("{e:?}"));
    (decoder, pixels)
}

/// Where the picture goes over into the even grey that missing data leaves.
fn cut_short(pixels: &[u8], space: ColorSpace, markers: &Markers) -> Note {
    let height = markers.frame.map_or(0, |f| usize::from(f.2));
    let line = markers.frame.map_or(1, |f| usize::from(f.3)) * space.num_components();
    let is_even = |row: &[u8]| row.iter().all(|v| v.abs_diff(row[0]) <= 1);
    let even = pixels.chunks_exact(line).rev().take_while(|row| is_even(row)).count();
    if even == 0 || height <= even {
        return broken("breaks off before its end");
    }
    broken(format!("breaks off at about row {} of {height}", height - even))
}

/// Walks the markers of a file.
fn markers(bytes: &[u8]) -> Markers {
    let mut found = Markers::default();
    let mut at = 2;
    while let (Some(&lead), Some(&marker)) = (bytes.get(at), bytes.get(at + 1)) {
        if lead != 0xff || matches!(marker, 0x00 | 0xff) {
            at += 1;
            continue;
        }
        at += 2;
        match marker {
            0xd9 => {
                found.is_ended = true;
                break;
            }
            0x01 | 0xd0..=0xd8 => continue,
            _ => {}
        }
        let Some(length) = bytes.get(at..at + 2) else { break };
        if let Some(frame) = frame(marker, &bytes[at..])
            && found.frame.is_none()
        {
            found.frame = Some(frame);
        }
        at += usize::from(u16::from_be_bytes([length[0], length[1]])).max(2);
    }
    found
}

fn frame(marker: u8, segment: &[u8]) -> Option<(u8, u8, u16, u16, u8)> {
    if !matches!(marker, 0xc0..=0xcf) || matches!(marker, 0xc4 | 0xc8 | 0xcc) {
        return None;
    }
    let [_, _, bits, h1, h0, w1, w0, components] = *segment.first_chunk::<8>()?;
    Some((marker, bits, u16::from_be_bytes([h1, h0]), u16::from_be_bytes([w1, w0]), components))
}
