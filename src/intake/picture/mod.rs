//! A picture of unknown quality becomes pixels: grey as coded, and luminance.
//!
//! In: the bytes of a file. Out: [`Picture`], upright, over white, in sRGB, and a finding for everything about the file
//! that does not come through as it stands. Steps, in reading order: `format` tells what the file is by its content,
//! `png`, `jpeg` and `webp` give rows of samples, `colour` turns them to sRGB, `canvas` to grey, `upright` turns them.
//!
//! Invariant: no file makes it panic or hang or use a gigabyte, no size is believed before it is checked, and nothing
//! of the file but its pixels, its colour space and its way up is believed: never its dots per inch.

mod canvas;
mod colour;
mod format;
mod jpeg;
mod png;
mod upright;
mod webp;

pub use canvas::Picture;
pub use colour::{coded_of_linear, linear_of_coded};
pub use format::{AN_SVG, Format, way_out};

use super::budget;
use crate::diagnostics::{Diagnostic, Finding, Severity, Sink};
use crate::source::Span;
use crate::units::number::fixed;
use std::sync::{Arc, Mutex, PoisonError};

/// What to read.
#[derive(Clone, Copy, Debug)]
pub struct PictureRequest<'a> {
    /// The file, as the recipe names it.
    pub file: &'a str,
    /// What it holds: PNG, JPEG or WebP.
    pub bytes: &'a Arc<[u8]>,
    /// The node in the recipe, where findings point.
    pub node: Span,
}

/// More pixels than this are refused from the header: a sheet of 600 × 400 mm at ten lines a millimetre takes a third.
pub const MOST_PIXELS: u64 = 64_000_000;

/// The file holds no picture that can be read.
pub static NOT_A_PICTURE: Finding = Finding {
    rule: "picture/not-a-picture",
    severity: Severity::Error,
    title: "a file is no picture that can be read",
    explanation: "PNG, JPEG and WebP files are read, whatever their names are. The file is empty, holds something else \
        (often a web page that a download link gave instead of the picture), or is a picture of another kind. Save it as \
        PNG, or as JPEG at high quality.",
    wrong: "photo \"portrait\" file=\"art/page-not-found.jpg\" { size width=\"80 mm\" }",
    right: "photo \"portrait\" file=\"art/portrait.jpg\" { size width=\"80 mm\" }",
};

/// The file's content is of another kind than its name says.
pub static NAME_DIFFERS: Finding = Finding {
    rule: "picture/name-differs",
    severity: Severity::Advice,
    title: "a picture is of another kind than its name says",
    explanation: "The file is read by its content, so nothing is lost here. Other programs may refuse it, and a JPEG under \
        the name of a PNG has been compressed with loss: look for the original.",
    wrong: "photo \"portrait\" file=\"art/portrait.png\" { size width=\"80 mm\" }",
    right: "photo \"portrait\" file=\"art/portrait.jpg\" { size width=\"80 mm\" }",
};

/// The picture is too large.
pub static TOO_MANY_PIXELS: Finding = Finding {
    rule: "picture/too-many-pixels",
    severity: Severity::Error,
    title: "a picture has more pixels than can be worked on",
    explanation: "Pictures of up to 64 million pixels are read. The size stands in the file's header and is looked at \
        before anything is unpacked, because a file of a megabyte can claim gigabytes. A laser that draws ten lines a \
        millimetre uses four million pixels on a sheet of 200 × 200 mm; more are only averaged away.",
    wrong: "photo \"wall\" file=\"art/poster-30000x40000.png\" { size width=\"200 mm\" }",
    right: "photo \"wall\" file=\"art/poster-3000x4000.png\" { size width=\"200 mm\" }",
};

/// The file is cut short or damaged.
pub static BROKEN: Finding = Finding {
    rule: "picture/broken",
    severity: Severity::Error,
    title: "a picture file is cut short or damaged",
    explanation: "A download or a copy that broke off leaves half a picture, and viewers show the rest in grey without a \
        word. What is missing would be burned as a grey block, so the file is refused.",
    wrong: "photo \"portrait\" file=\"art/half-downloaded.jpg\" { size width=\"80 mm\" }",
    right: "photo \"portrait\" file=\"art/portrait.jpg\" { size width=\"80 mm\" }",
};

/// The file uses a variant of its format that is not read.
pub static KIND_NOT_READ: Finding = Finding {
    rule: "picture/variant-not-read",
    severity: Severity::Error,
    title: "a picture file uses a variant of its format that is not read",
    explanation: "JPEG files with arithmetic coding, with 12 bits a sample, lossless or hierarchical ones (ITU-T T.81) are \
        rare and hardly any program reads them. Save the picture as PNG or as an ordinary JPEG.",
    wrong: "photo \"scan\" file=\"art/twelve-bit.jpg\" { size width=\"80 mm\" }",
    right: "photo \"scan\" file=\"art/scan.png\" { size width=\"80 mm\" }",
};

/// Nothing can be seen in the picture.
pub static TRANSPARENT: Finding = Finding {
    rule: "picture/fully-transparent",
    severity: Severity::Error,
    title: "nothing can be seen in a picture",
    explanation: "Every pixel of it is fully transparent. Over white, as the stock lies, that is an empty sheet.",
    wrong: "photo \"portrait\" file=\"art/empty-layer.png\" { size width=\"80 mm\" }",
    right: "photo \"portrait\" file=\"art/portrait.png\" { size width=\"80 mm\" }",
};

/// The picture is partly transparent.
pub static OVER_WHITE: Finding = Finding {
    rule: "picture/over-white",
    severity: Severity::Advice,
    title: "a picture is partly transparent",
    explanation: "It is laid over white, as a viewer shows it on a white page: where it is fully transparent, nothing is \
        burned. On stocks that burn light, `invert` turns that round.",
    wrong: "photo \"portrait\" file=\"art/cut-out.png\" { size width=\"80 mm\" }",
    right: "photo \"portrait\" file=\"art/cut-out-on-white.png\" { size width=\"80 mm\" }",
};

/// The picture was turned upright.
pub static TURNED: Finding = Finding {
    rule: "picture/turned-upright",
    severity: Severity::Advice,
    title: "a picture was turned as its camera noted",
    explanation: "Cameras store the picture as the sensor saw it and note which way was up (EXIF orientation). It is \
        turned or mirrored accordingly, so width and height count as one sees them.",
    wrong: "photo \"portrait\" file=\"art/from-the-phone.jpg\" { size width=\"80 mm\" }",
    right: "photo \"portrait\" file=\"art/saved-upright.jpg\" { size width=\"80 mm\" }",
};

/// The picture's colours were converted.
pub static COLOURS_CONVERTED: Finding = Finding {
    rule: "picture/colours-converted",
    severity: Severity::Advice,
    title: "a picture's colours were converted",
    explanation: "The file names a colour space of its own (an ICC profile, or a gamma). Its values were converted to \
        sRGB, on which all tones here are counted.",
    wrong: "photo \"portrait\" file=\"art/wide-gamut.jpg\" { size width=\"80 mm\" }",
    right: "photo \"portrait\" file=\"art/srgb.jpg\" { size width=\"80 mm\" }",
};

/// The picture's colours are read approximately.
pub static COLOURS_GUESSED: Finding = Finding {
    rule: "picture/colours-approximate",
    severity: Severity::Warning,
    title: "a picture's tones are only approximately right",
    explanation: "Inks (CMYK) and colour profiles made of tables cannot be converted exactly here: inks are multiplied, and \
        other values are read as if they were sRGB. Tones may come out lighter or darker than meant. Convert the \
        picture to sRGB in a program that holds its profile.",
    wrong: "photo \"print\" file=\"art/for-the-printer-cmyk.jpg\" { size width=\"80 mm\" }",
    right: "photo \"print\" file=\"art/srgb.jpg\" { size width=\"80 mm\" }",
};

/// The file holds several pictures.
pub static SEVERAL: Finding = Finding {
    rule: "picture/several",
    severity: Severity::Advice,
    title: "a file holds several pictures",
    explanation: "Of an animation the first picture is taken.",
    wrong: "photo \"wave\" file=\"art/animated.png\" { size width=\"80 mm\" }",
    right: "photo \"wave\" file=\"art/third-frame.png\" { size width=\"80 mm\" }",
};

/// Reading takes too long.
pub static TOO_SLOW: Finding = Finding {
    rule: "picture/too-slow",
    severity: Severity::Error,
    title: "a picture takes too long to read",
    explanation: "Reading one picture may take thirty seconds; a photo of 24 million pixels takes less than one. The file \
        was made to exhaust programs, or the computer is very busy.",
    wrong: "photo \"portrait\" file=\"art/thousand-scans.jpg\" { size width=\"80 mm\" }",
    right: "photo \"portrait\" file=\"art/portrait.png\" { size width=\"80 mm\" }",
};

/// The reader failed.
pub static READER_FAILED: Finding = Finding {
    rule: "picture/reader-failed",
    severity: Severity::Error,
    title: "the reader failed on a picture",
    explanation: "This is a fault of the program, not of the file. Saving the picture as PNG often avoids it. Please \
        report it with the file.",
    wrong: "photo \"portrait\" file=\"art/portrait.jpg\" { size width=\"80 mm\" }",
    right: "photo \"portrait\" file=\"art/portrait.png\" { size width=\"80 mm\" }",
};

/// The rules that reading a picture may raise.
pub static RULES: &[&Finding] = &[
    &NOT_A_PICTURE,
    &NAME_DIFFERS,
    &TOO_MANY_PIXELS,
    &BROKEN,
    &KIND_NOT_READ,
    &TRANSPARENT,
    &OVER_WHITE,
    &TURNED,
    &COLOURS_CONVERTED,
    &COLOURS_GUESSED,
    &SEVERAL,
    &TOO_SLOW,
    &READER_FAILED,
];

/// One picture is unpacked at a time, so that several large ones do not need their memory together.
static ONE_AT_A_TIME: Mutex<()> = Mutex::new(());

/// Reads a picture. `None` when there is nothing to go on with; the sink then holds an error.
pub fn read_picture(request: &PictureRequest, sink: &mut Sink) -> Option<Picture> {
    let bytes = Arc::clone(request.bytes);
    let outcome = {
        let _turn = ONE_AT_A_TIME.lock().unwrap_or_else(PoisonError::into_inner);
        budget::run(budget::BUDGET, move || decode(&bytes))
    };
    let say = |note: Note| note.diagnostic(request);
    match outcome {
        Ok((picture, notes)) => {
            let format = Format::of(request.bytes);
            if picture.is_ok()
                && let Some(note) = name_differs(request.file, format)
            {
                sink.push(say(note));
            }
            for note in notes {
                sink.push(say(note));
            }
            return picture.map_err(|note| sink.push(say(note))).ok();
        }
        Err(budget::Failure::TooSlow) => sink.push(say(Note::refusal(
            &TOO_SLOW,
            format!("takes longer than {} s to read", budget::BUDGET.as_secs()),
            "save the picture as PNG, or make it smaller",
        ))),
        Err(budget::Failure::Panicked | budget::Failure::NoThread) => sink.push(say(Note::refusal(
            &READER_FAILED,
            "made the reader fail",
            "save the picture as PNG, and report the fault",
        ))),
    }
    None
}

/// Pixels in a row and rows of a picture as they are stored, from its header alone; `None` when it is none that is read.
pub fn pixels_of(bytes: &Arc<[u8]>) -> Option<(u32, u32)> {
    let format = match Format::of(bytes) {
        Format::Png => image::ImageFormat::Png,
        Format::Jpeg => image::ImageFormat::Jpeg,
        Format::WebP => image::ImageFormat::WebP,
        Format::Other(_) => return None,
    };
    let bytes = Arc::clone(bytes);
    let header =
        move || image::ImageReader::with_format(std::io::Cursor::new(&bytes[..]), format).into_dimensions().ok();
    budget::run(budget::BUDGET, header).ok().flatten()
}

fn decode(bytes: &[u8]) -> (Result<Picture, Note>, Vec<Note>) {
    let mut notes = Vec::new();
    let picture = match Format::of(bytes) {
        Format::Png => png::read(bytes, &mut notes),
        Format::Jpeg => jpeg::read(bytes, &mut notes),
        Format::WebP => webp::read(bytes, &mut notes),
        Format::Other(what) => Err(format::refusal(what)),
    };
    (picture, notes)
}

/// Something to be said of a file, before it is known where the recipe names it.
#[derive(Debug)]
struct Note {
    finding: &'static Finding,
    /// Goes on after the file's name.
    message: String,
    consequence: &'static str,
    repair: &'static str,
}

const NOTHING_BURNED: &str = "nothing of it is burned";

impl Note {
    fn refusal(finding: &'static Finding, message: impl Into<String>, repair: &'static str) -> Self {
        Self { finding, message: message.into(), consequence: NOTHING_BURNED, repair }
    }

    fn diagnostic(self, request: &PictureRequest) -> Diagnostic {
        Diagnostic::new(self.finding, format!("`{}` {}", request.file, self.message))
            .at(request.node, "this file")
            .because(self.consequence)
            .repair(self.repair)
    }
}

fn name_differs(file: &str, format: Format) -> Option<Note> {
    let suffix = file.rsplit_once('.')?.1.to_ascii_lowercase();
    let named = match suffix.as_str() {
        "png" | "apng" => Format::Png,
        "jpg" | "jpeg" | "jpe" | "jfif" => Format::Jpeg,
        "webp" => Format::WebP,
        "gif" | "tif" | "tiff" | "bmp" | "heic" | "avif" | "svg" => Format::Other("file of another kind"),
        _ => return None,
    };
    (named != format).then(|| Note {
        finding: &NAME_DIFFERS,
        message: format!("is really a {}", format.name()),
        consequence: "it is read by its content, so nothing is lost here",
        repair: "give it the right ending; if it was a JPEG, look for the original without loss",
    })
}

/// Refuses a picture by the size in its header.
fn check_size(width: u64, height: u64) -> Result<(), Note> {
    if width == 0 || height == 0 {
        return Err(broken(format!("says that it is {width} × {height} pixels large")));
    }
    let pixels = width.saturating_mul(height);
    if pixels <= MOST_PIXELS {
        return Ok(());
    }
    let millions = fixed(pixels as f64 / 1e6, 0);
    Err(Note::refusal(
        &TOO_MANY_PIXELS,
        format!(
            "has {width} × {height} pixels, {millions} million; at most {} million are read",
            MOST_PIXELS / 1_000_000
        ),
        "make it smaller in a picture editor; ten pixels a millimetre on the stock are plenty",
    ))
}

fn broken(message: impl Into<String>) -> Note {
    Note {
        finding: &BROKEN,
        message: message.into(),
        consequence: "the missing part would be burned as a grey block, so nothing of it is burned",
        repair: "copy or download it again, or save it anew from a program that shows it whole",
    }
}

/// Says what becomes of what can be seen through.
fn see_through(canvas: canvas::Canvas, notes: &mut Vec<Note>) -> Result<Picture, Note> {
    let (picture, has_clear, has_ink) = canvas.finish();
    if !has_ink {
        return Err(Note::refusal(
            &TRANSPARENT,
            "is fully transparent",
            "save it again with its picture in it, or choose another file",
        ));
    }
    if has_clear {
        notes.push(Note {
            finding: &OVER_WHITE,
            message: "is partly transparent; it is laid over white".into(),
            consequence: "where it is fully transparent it counts as white",
            repair: "nothing needs to be done; put a background behind it to have another tone there",
        });
    }
    Ok(picture)
}
