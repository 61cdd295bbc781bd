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

/// First bytes of files that are met in place of pictures, from their standards.
const OTHERS: [(&[u8], &str); 9] = [
    (b"GIF8", "a GIF picture"),
    (b"II*\0", "a TIFF picture"),
    (b"MM\0*", "a TIFF picture"),
    (b"BM", "a BMP picture"),
    (b"%PDF", "a PDF document"),
    (b"PK\x03\x04", "a ZIP archive"),
    (b"\x1f\x8b", "a file packed with gzip"),
    (b"\0\0\x01\0", "an icon file"),
    (b"\x76\x2f\x31\x01", "an OpenEXR picture"),
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
        return "empty";
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
        "a web page"
    } else if head.contains("<svg") {
        "an SVG drawing"
    } else {
        "no picture"
    }
}

pub(super) fn refusal(what: &'static str) -> Note {
    let repair = match what {
        "empty" | "a web page" => "download or copy the picture again",
        "an SVG drawing" => "bring it in with `artwork`",
        "a PNG whose first bytes were changed on the way" => "copy it again as a binary file",
        _ => "save it as PNG, or as JPEG at high quality",
    };
    Note::refusal(&NOT_A_PICTURE, format!("is {what}"), repair)
}
