//! What is written once and placed on pages: the picture and the drawings.

use super::document::PdfError;
use super::drawing::Drawing;
use super::painter::points;
use super::picture::Picture;
use printpdf::{DictItem, ExternalStream, ExternalXObject, XObject, XObjectId};
use std::collections::BTreeMap;

/// The name of the picture.
pub(super) fn picture_id() -> XObjectId {
    XObjectId("Picture".to_owned())
}

/// The name of a drawing.
pub(super) fn drawing_id(number: usize) -> XObjectId {
    XObjectId(format!("Drawing{number}"))
}

fn name(name: &str) -> DictItem {
    DictItem::Name(name.as_bytes().to_vec())
}

fn external(dict: impl IntoIterator<Item = (&'static str, DictItem)>, content: Vec<u8>) -> XObject {
    let dict = dict.into_iter().map(|(key, value)| (key.to_owned(), value)).collect();
    let stream = ExternalStream { dict, content, compress: false };
    XObject::External(ExternalXObject { stream, width: None, height: None, dpi: None })
}

/// A drawing as an object of the file (ISO 32000-1, 8.10.2).
pub(super) fn form(drawing: &Drawing) -> XObject {
    let b = drawing.bounds.inflate(1.0, 1.0);
    let bounds = [b.x0, -b.y1, b.x1, -b.y0].map(|v| DictItem::Real(points(v).0));
    let dict = [
        ("Type", name("XObject")),
        ("Subtype", name("Form")),
        ("BBox", DictItem::Array(bounds.into())),
        ("Resources", DictItem::Dict { map: BTreeMap::new() }),
        ("Filter", name("FlateDecode")),
    ];
    external(dict, drawing.packed.clone())
}

/// A picture as an object of the file (ISO 32000-1, 8.9.5).
pub(super) fn image(picture: &Picture) -> Result<XObject, PdfError> {
    let dict = [
        ("Type", name("XObject")),
        ("Subtype", name("Image")),
        ("Width", DictItem::Int(picture.width.into())),
        ("Height", DictItem::Int(picture.height.into())),
        ("ColorSpace", name("DeviceRGB")),
        ("BitsPerComponent", DictItem::Int(8)),
        ("Filter", name("DCTDecode")),
    ];
    Ok(external(dict, picture.jpeg()?))
}
