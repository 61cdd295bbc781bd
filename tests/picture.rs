//! Pictures from files: every kind of them, and what is not one.

mod corpora;
mod hostile;
mod kinds;
mod turned;

use kerfbook::diagnostics::Sink;
use kerfbook::intake::{Picture, PictureRequest, read_picture};
use kerfbook::source::{SourceId, Span};

/// Reads a picture; the findings as `rule: message`.
fn read(file: &str, bytes: &[u8]) -> (Option<Picture>, Vec<String>) {
    let mut sink = Sink::new();
    let bytes = bytes.into();
    let request = PictureRequest { file, bytes: &bytes, node: Span::new(SourceId(0), 0, 0) };
    let picture = read_picture(&request, &mut sink);
    let said = sink.iter().map(|d| format!("{}: {}", d.finding.rule, d.message)).collect();
    assert_eq!(picture.is_none(), sink.has_errors(), "an error exactly when there is no picture");
    (picture, said)
}

/// The bytes of a picture in a format.
fn encoded(picture: &image::DynamicImage, format: image::ImageFormat) -> Vec<u8> {
    let mut bytes = std::io::Cursor::new(Vec::new());
    picture.write_to(&mut bytes, format).unwrap();
    bytes.into_inner()
}
