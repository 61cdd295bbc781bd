//! PNG files, every type of them.

use super::canvas::{Canvas, Picture};
use super::colour::ToSrgb;
use super::upright::upright;
use super::{Note, SEVERAL, broken, check_size, see_through};
use png::{BitDepth, Decoder, DecodingError, Info, Reader, Transformations};
use std::io::Cursor;

type Png<'a> = Reader<Cursor<&'a [u8]>>;

pub(super) fn read(bytes: &[u8], notes: &mut Vec<Note>) -> Result<Picture, Note> {
    let mut decoder = Decoder::new(Cursor::new(bytes));
    decoder.set_ignore_text_chunk(true);
    decoder.ignore_checksums(false);
    // Palettes, fewer than eight bits and keyed transparency are spread out; sixteen bits stay.
    decoder.set_transformations(Transformations::EXPAND);
    let header = decoder.read_header_info().map_err(|e| damaged(&e, None))?;
    check_size(u64::from(header.width), u64::from(header.height))?;
    let mut reader = decoder.read_info().map_err(|e| damaged(&e, None))?;
    if reader.info().animation_control.is_some_and(|a| a.num_frames > 1) {
        notes.push(Note {
            finding: &SEVERAL,
            message: "is an animation; its first picture is taken".into(),
            consequence: "the others are not burned",
            repair: "nothing needs to be done; save the wanted picture as a file of its own to choose another",
        });
    }
    let channels = reader.output_color_type().0.samples();
    let to_srgb = colour_space(reader.info(), channels, notes);
    let canvas = rows(&mut reader, channels, &to_srgb)?;
    check_end(&mut reader)?;
    let exif = reader.info().exif_metadata.as_deref();
    Ok(upright(see_through(canvas, notes)?, exif, notes))
}

/// Names of colour spaces in order of rank (PNG, third edition, 4.3).
fn colour_space(info: &Info, channels: usize, notes: &mut Vec<Note>) -> ToSrgb {
    if let Some(profile) = &info.icc_profile {
        return ToSrgb::from_icc(profile, channels, notes);
    }
    match (info.srgb, info.gama_chunk) {
        (None, Some(gamma)) => ToSrgb::from_gamma(f64::from(gamma.into_value()), channels, notes),
        _ => ToSrgb::Nothing,
    }
}

fn rows(reader: &mut Png, channels: usize, to_srgb: &ToSrgb) -> Result<Canvas, Note> {
    let (width, height) = (reader.info().width as usize, reader.info().height as usize);
    let depth = reader.output_color_type().1;
    let mut canvas = Canvas::new(width, height, channels);
    let mut samples = Vec::with_capacity(width * channels);
    let mut add = |canvas: &mut Canvas, row: &[u8]| {
        spread(row, depth, &mut samples);
        to_srgb.apply(&mut samples, channels);
        canvas.push(&samples);
    };
    if reader.info().interlaced {
        let size = reader.output_buffer_size().ok_or_else(|| broken("has a size that makes no sense"))?;
        let mut buffer = vec![0; size];
        let frame = reader.next_frame(&mut buffer).map_err(|e| damaged(&e, None))?;
        buffer.chunks_exact(frame.line_size).take(height).for_each(|row| add(&mut canvas, row));
        return Ok(canvas);
    }
    while canvas.rows() < height {
        match reader.next_row() {
            Ok(Some(row)) => add(&mut canvas, row.data()),
            Ok(None) => return Err(broken(format!("breaks off after row {} of {height}", canvas.rows()))),
            Err(error) => return Err(damaged(&error, Some((canvas.rows(), height)))),
        }
    }
    Ok(canvas)
}

/// Checksums of the last data come after the last row. A missing end behind them costs no pixel.
fn check_end(reader: &mut Png) -> Result<(), Note> {
    match reader.finish() {
        Err(error) if !is_end(&error) => Err(damaged(&error, None)),
        _ => Ok(()),
    }
}

fn is_end(error: &DecodingError) -> bool {
    matches!(error, DecodingError::IoError(e) if e.kind() == std::io::ErrorKind::UnexpectedEof)
}

/// Bytes to samples in 65535ths.
fn spread(row: &[u8], depth: BitDepth, samples: &mut Vec<u16>) {
    samples.clear();
    if depth == BitDepth::Sixteen {
        samples.extend(row.chunks_exact(2).map(|pair| u16::from_be_bytes([pair[0], pair[1]])));
    } else {
        samples.extend(row.iter().map(|&v| u16::from(v) * 257));
    }
}

fn damaged(error: &DecodingError, rows: Option<(usize, usize)>) -> Note {
    let place = rows.map_or(String::new(), |(done, all)| format!(" after row {done} of {all}"));
    if is_end(error) {
        return broken(format!("breaks off{place}"));
    }
    broken(format!("is damaged{place}: {}", tidy(&error.to_string())))
}

/// A library's message as part of a sentence.
fn tidy(message: &str) -> String {
    message.trim_end_matches('.').chars().take(120).collect()
}
