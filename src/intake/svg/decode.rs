//! Bytes to text: size caps, gzip, encodings, and files that are not SVG at all.

use crate::diagnostics::{Finding, Severity};
use crate::intake::picture::{Format, way_out};
use std::io::Read;

/// More text than this is refused: twenty times the largest drawing met in practice.
pub const MAX_TEXT_BYTES: usize = 64 * 1024 * 1024;

/// The file is not an SVG, or cannot be read as text.
pub static NOT_SVG: Finding = Finding {
    rule: "artwork/not-svg",
    severity: Severity::Error,
    title: "an artwork file is not an SVG",
    explanation: "The file is empty, is something else under the name of an SVG (often a web page that a download \
                  link gave instead of the drawing), or is cut short. Nothing can be taken from it. Open it in a \
                  text editor: an SVG shows `<svg` near its top.",
    wrong: "artwork \"heron\" file=\"art/page-not-found.svg\"",
    right: "artwork \"heron\" file=\"art/heron.svg\"",
};

/// The file is larger than can be worked on.
pub static TOO_LARGE: Finding = Finding {
    rule: "artwork/too-large",
    severity: Severity::Error,
    title: "an artwork file is larger than can be worked on",
    explanation: "Text, elements and path segments are limited, so that a broken or hostile file cannot use up the \
                  computer. The limits lie far above any drawing that a workshop laser can burn. A traced photo is \
                  the usual cause: trace it with less detail.",
    wrong: "artwork \"meadow\" file=\"art/traced-photo.svg\"",
    right: "artwork \"meadow\" file=\"art/traced-with-less-detail.svg\"",
};

/// Why a file gave no text.
#[derive(Debug, PartialEq, Eq)]
pub(super) struct Refusal {
    pub finding: RefusalKind,
    pub message: String,
    pub repair: &'static str,
}

/// Which finding a refusal belongs to.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum RefusalKind {
    NotSvg,
    TooLarge,
}

impl RefusalKind {
    pub(super) fn finding(self) -> &'static Finding {
        match self {
            Self::NotSvg => &NOT_SVG,
            Self::TooLarge => &TOO_LARGE,
        }
    }
}

/// The text of an SVG or SVGZ file. Byte offsets in it are offsets in the decoded file.
pub(super) fn text(bytes: &[u8]) -> Result<String, Refusal> {
    let unpacked;
    let bytes = if bytes.starts_with(&[0x1f, 0x8b]) {
        unpacked = unpack(bytes)?;
        &unpacked
    } else {
        bytes
    };
    if bytes.len() > MAX_TEXT_BYTES {
        return Err(too_large(&format!("{} MB of text", bytes.len() >> 20)));
    }
    let text = decode(bytes)?;
    check_it_is_svg(&text)?;
    Ok(blank_late_declaration(text))
}

fn not_svg(message: impl Into<String>, repair: &'static str) -> Refusal {
    Refusal { finding: RefusalKind::NotSvg, message: message.into(), repair }
}

fn too_large(what: &str) -> Refusal {
    Refusal {
        finding: RefusalKind::TooLarge,
        message: format!("holds {what}; at most {} MB can be read", MAX_TEXT_BYTES >> 20),
        repair: "simplify the drawing in its editor, or remove pictures embedded in it",
    }
}

fn unpack(bytes: &[u8]) -> Result<Vec<u8>, Refusal> {
    let mut out = Vec::new();
    let limit = MAX_TEXT_BYTES as u64 + 1;
    flate2::read::MultiGzDecoder::new(bytes).take(limit).read_to_end(&mut out).map_err(|error| {
        not_svg(
            format!("is compressed, but cannot be unpacked: {error}"),
            "save or download the file again; it is probably cut short",
        )
    })?;
    if out.len() > MAX_TEXT_BYTES {
        return Err(too_large(&format!("more than {} MB of text once it is unpacked", MAX_TEXT_BYTES >> 20)));
    }
    Ok(out)
}

fn decode(bytes: &[u8]) -> Result<String, Refusal> {
    let encoding = match encoding_rs::Encoding::for_bom(bytes) {
        Some((encoding, _)) => encoding,
        None => match utf16_without_bom(bytes) {
            Some(encoding) => encoding,
            None => declared_encoding(bytes)?,
        },
    };
    let (text, _, broken) = encoding.decode(bytes);
    if broken && let Some(kind) = picture(bytes) {
        return Err(not_svg(
            format!("is a picture of pixels ({kind})"),
            "use `photo` to engrave it in dots, or `trace` to make outlines or lines of it",
        ));
    }
    if let (true, Some(what)) = (broken, Format::certainly_other(bytes)) {
        return Err(not_svg(format!("is not SVG: it is {what}"), way_out(what)));
    }
    if broken {
        return Err(not_svg(
            format!("is not valid {} text", encoding.name()),
            "save it again as UTF-8, or declare its real encoding in the first line",
        ));
    }
    Ok(text.into_owned())
}

/// What kind of picture it is, if it is one of those that can be burned otherwise.
fn picture(bytes: &[u8]) -> Option<&'static str> {
    match Format::of(bytes) {
        Format::Other(_) => None,
        format => Some(format.name()),
    }
}

/// `<` and `?` or `s` with a zero byte before or after each: text of two bytes a character.
fn utf16_without_bom(bytes: &[u8]) -> Option<&'static encoding_rs::Encoding> {
    match bytes {
        [b'<', 0, _, 0, ..] => Some(encoding_rs::UTF_16LE),
        [0, b'<', 0, _, ..] => Some(encoding_rs::UTF_16BE),
        _ => None,
    }
}

/// The encoding named in the XML declaration; UTF-8 where there is none.
fn declared_encoding(bytes: &[u8]) -> Result<&'static encoding_rs::Encoding, Refusal> {
    let head = String::from_utf8_lossy(&bytes[..bytes.len().min(200)]).into_owned();
    let declaration = head.trim_start().strip_prefix("<?xml").and_then(|rest| rest.split_once("?>")).map(|d| d.0);
    let label = declaration
        .and_then(|d| d.split_once("encoding"))
        .and_then(|(_, rest)| rest.split(['"', '\'']).nth(1).map(str::to_owned));
    let Some(label) = label else { return Ok(encoding_rs::UTF_8) };
    match encoding_rs::Encoding::for_label(label.as_bytes()) {
        // Declared as two bytes a character, but written with one: the declaration was left behind.
        Some(e) if e == encoding_rs::UTF_16LE || e == encoding_rs::UTF_16BE => Ok(encoding_rs::UTF_8),
        Some(encoding) => Ok(encoding),
        None => Err(not_svg(
            format!("declares the encoding `{}`, which is not known", label.escape_default()),
            "save it again as UTF-8",
        )),
    }
}

/// Tells what lies there instead of an SVG, in the words of someone who opened it.
fn check_it_is_svg(text: &str) -> Result<(), Refusal> {
    let start = text.trim_start();
    if start.is_empty() {
        return Err(not_svg("is empty", "save or download the file again"));
    }
    let head: String = start.chars().take(4000).collect::<String>().to_ascii_lowercase();
    if head.contains("<svg") || head.contains(":svg") {
        return Ok(());
    }
    if head.contains("<html") || head.contains("<!doctype html") {
        return Err(not_svg(
            "is not SVG: it looks like HTML",
            "download the drawing itself; the link gave a web page instead",
        ));
    }
    let known = [("%pdf", "PDF"), ("\u{fffd}png", "PNG"), ("gif8", "GIF"), ("%!ps", "PostScript")];
    if let Some((_, name)) = known.iter().find(|(magic, _)| head.starts_with(magic)) {
        return Err(not_svg(format!("is not SVG: it looks like {name}"), "export the drawing as SVG"));
    }
    if !head.starts_with('<') {
        return Err(not_svg("is not SVG: it does not start with `<`", "export the drawing as SVG"));
    }
    // A long comment or document type may stand before the root element: let the XML parser speak.
    Ok(())
}

/// XML allows nothing before its declaration, yet many files have an empty line there. Blanks keep every
/// later line and column what they are in the file.
fn blank_late_declaration(text: String) -> String {
    let trimmed = text.trim_start();
    let lead = text.len() - trimmed.len();
    if lead == 0 || !trimmed.starts_with("<?xml") {
        return text;
    }
    let Some(end) = trimmed.find("?>").map(|i| lead + i + 2) else { return text };
    let blanks: String = text[lead..end].chars().map(|c| if c == '\n' { '\n' } else { ' ' }).collect();
    format!("{}{blanks}{}", &text[..lead], &text[end..])
}

#[cfg(test)]
mod tests {
    use super::*;

    const DRAWING: &str = "<svg xmlns=\"http://www.w3.org/2000/svg\"><title>Gräser</title></svg>";

    #[test]
    fn encodings_are_told_by_mark_zero_bytes_or_declaration() {
        let with_mark: Vec<u8> =
            [0xff, 0xfe].into_iter().chain(DRAWING.encode_utf16().flat_map(u16::to_le_bytes)).collect();
        assert_eq!(text(&with_mark).unwrap(), DRAWING);
        let big: Vec<u8> = DRAWING.encode_utf16().flat_map(u16::to_be_bytes).collect();
        assert_eq!(text(&big).unwrap(), DRAWING);
        let declared = format!("<?xml version='1.0' encoding='ISO-8859-1'?>{DRAWING}");
        let latin: Vec<u8> = declared.chars().map(|c| c as u8).collect();
        assert_eq!(text(&latin).unwrap(), declared);
        assert_eq!(text(&[b"\xef\xbb\xbf", DRAWING.as_bytes()].concat()).unwrap(), DRAWING);
    }

    #[test]
    fn what_is_not_svg_is_named() {
        let says = |bytes: &[u8]| text(bytes).unwrap_err().message;
        assert_eq!(says(b""), "is empty");
        assert_eq!(says(b" \n\t"), "is empty");
        assert!(says(b"<!DOCTYPE html><html><body>404").contains("HTML"));
        assert!(says(b"%PDF-1.4").contains("PDF"));
        assert!(says(b"\xff\xd8\xff\xe0").contains("picture of pixels (JPEG)"));
        assert!(says(&[0x1f, 0x8b, 8, 0, 0, 0]).contains("cannot be unpacked"));
    }

    #[test]
    fn an_unpacked_bomb_stops_at_the_cap() {
        use std::io::Write;
        let mut packer = flate2::write::GzEncoder::new(Vec::new(), flate2::Compression::fast());
        let block = vec![b' '; 1 << 20];
        for _ in 0..=(MAX_TEXT_BYTES >> 20) {
            packer.write_all(&block).unwrap();
        }
        let bomb = packer.finish().unwrap();
        assert!(bomb.len() < 1 << 20);
        assert_eq!(text(&bomb).unwrap_err().finding, RefusalKind::TooLarge);
    }

    #[test]
    fn a_declaration_after_an_empty_line_keeps_later_places() {
        let late = format!("\n<?xml version=\"1.0\"?>\n{DRAWING}");
        let out = text(late.as_bytes()).unwrap();
        assert_eq!(out.len(), late.len());
        assert_eq!(out.find("<svg"), late.find("<svg"));
        assert!(roxmltree::Document::parse(&out).is_ok());
    }
}
