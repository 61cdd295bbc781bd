//! What a file is, by its first bytes.

use super::{NOT_A_PICTURE, Note};

/// What a file is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Format {
    /// PNG (W3C Portable Network Graphics).
    Png,
    /// JPEG (ITU-T T.81).
    Jpeg,
    /// WebP (RFC 9649).
    WebP,
    /// None of these; what it seems to be.
    Other(&'static str),
}

/// What [`Format::Other`] says of a drawing.
pub const AN_SVG: &str = "an SVG drawing";

/// What [`Format::Other`] says of a font.
const A_FONT: &str = "a font";
const A_WEB_PAGE: &str = "a web page";
const EMPTY: &str = "empty";
const UNKNOWN: &str = "no picture";

/// First bytes of files that are met in place of pictures, from their standards.
const OTHERS: [(&[u8], &str); 15] = [
    (b"GIF8", "a GIF picture"),
    (b"II*\0", "a TIFF picture"),
    (b"MM\0*", "a TIFF picture"),
    (b"BM", "a BMP picture"),
    (b"%PDF", "a PDF document"),
    (b"PK\x03\x04", "a ZIP archive"),
    (b"\x1f\x8b", "a file packed with gzip"),
    (b"\0\0\x01\0", "an icon file"),
    (b"\x76\x2f\x31\x01", "an OpenEXR picture"),
    (b"%!PS", "a PostScript document"),
    (b"\0\x01\0\0", A_FONT),
    (b"OTTO", A_FONT),
    (b"ttcf", A_FONT),
    (b"wOFF", A_FONT),
    (b"wOF2", A_FONT),
];

/// The eight bytes that a PNG begins with.
const PNG_SIGNATURE: &[u8] = b"\x89PNG\r\n\x1a\n";

impl Format {
    /// Tells what a file is.
    pub fn of(bytes: &[u8]) -> Self {
        if bytes.starts_with(PNG_SIGNATURE) {
            Self::Png
        } else if bytes.starts_with(&[0xff, 0xd8, 0xff]) {
            Self::Jpeg
        } else if bytes.starts_with(b"RIFF") && bytes.get(8..12) == Some(b"WEBP") {
            Self::WebP
        } else {
            Self::Other(other(bytes))
        }
    }

    /// What a file certainly is that holds neither a picture that is read nor a drawing, by its first bytes.
    pub fn certainly_other(bytes: &[u8]) -> Option<&'static str> {
        let is_packed = bytes.starts_with(b"\x1f\x8b"); // May be a drawing.
        match Self::of(bytes) {
            Self::Other(what) if !is_packed && !matches!(what, EMPTY | AN_SVG | A_WEB_PAGE | UNKNOWN) => {
                Some(what)
            }
            _ => None,
        }
    }

    /// Its name.
    pub const fn name(self) -> &'static str {
        match self {
            Self::Png => "PNG",
            Self::Jpeg => "JPEG",
            Self::WebP => "WebP",
            Self::Other(what) => what,
        }
    }
}

fn other(bytes: &[u8]) -> &'static str {
    if bytes.iter().all(u8::is_ascii_whitespace) {
        return EMPTY;
    }
    if let Some((_, what)) = OTHERS.iter().find(|(start, _)| bytes.starts_with(start)) {
        return what;
    }
    if bytes.get(4..8) == Some(b"ftyp") {
        return "a HEIC or AVIF picture, or a film";
    }
    // A transfer as text or with the eighth bit cut off changes the signature: that is what it is there for.
    if bytes.get(1..4) == Some(b"PNG") || bytes.starts_with(b"PNG") {
        return "a PNG whose first bytes were changed on the way";
    }
    let head = String::from_utf8_lossy(&bytes[..bytes.len().min(1024)]).to_ascii_lowercase();
    if head.contains("<html") || head.contains("<!doctype html") {
        A_WEB_PAGE
    } else if head.contains("<svg") {
        AN_SVG
    } else {
        UNKNOWN
    }
}

pub(super) fn refusal(what: &'static str) -> Note {
    Note::refusal(&NOT_A_PICTURE, format!("is {what}"), way_out(what))
}

/// What to do with a file that is something else than a picture that is read.
pub fn way_out(what: &str) -> &'static str {
    match what {
        EMPTY | A_WEB_PAGE => "download or copy the picture again",
        AN_SVG => "bring it in with `artwork`",
        A_FONT => "name it as the `font` of a `lettering`",
        "a PDF document" | "a PostScript document" => "export the drawing in it as SVG",
        "a PNG whose first bytes were changed on the way" => "copy it again as a binary file",
        _ => "save it as PNG, or as JPEG at high quality",
    }
}
