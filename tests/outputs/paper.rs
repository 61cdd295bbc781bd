//! Pages of a PDF as they are printed: every matrix applied, in mm from the left top corner of the paper.

use kurbo::{Affine, BezPath, Point, Rect, Shape, Size, Vec2};
use lopdf::content::{Content, Operation};
use lopdf::{Dictionary, Document, Object};

/// Points in a millimetre: the PDF's unit is 1/72 in (ISO 32000-1, 8.3.2.3).
const POINTS: f64 = 72.0 / 25.4;

/// A page.
pub struct Sheet {
    /// Its size.
    pub size: Size,
    /// Lines drawn on the page itself.
    pub strokes: Vec<BezPath>,
    /// Lines and areas of the forms that it places (ISO 32000-1, 8.10).
    pub drawn: Vec<BezPath>,
    /// White areas that reach beyond the paper.
    pub covers: Vec<Rect>,
    /// From the origin of its forms to where they lie on the paper; all lie at the same place.
    pub origin: Vec2,
}

/// Every page of a file.
pub fn sheets(pdf: &[u8]) -> Vec<Sheet> {
    let document = Document::load_mem(pdf).expect("a PDF");
    document.get_pages().into_values().map(|id| sheet(&document, id)).collect()
}

/// The names in the outline of a file, in its order.
pub fn bookmarks(pdf: &[u8]) -> Vec<String> {
    let document = Document::load_mem(pdf).expect("a PDF");
    let catalog = document.catalog().expect("a catalogue");
    let mut next = catalog.get_deref(b"Outlines", &document).and_then(Object::as_dict).ok();
    next = next.and_then(|outlines| outlines.get_deref(b"First", &document).and_then(Object::as_dict).ok());
    let mut names = Vec::new();
    while let Some(entry) = next {
        names.push(lopdf::decode_text_string(entry.get(b"Title").expect("a title")).expect("text"));
        next = entry.get_deref(b"Next", &document).and_then(Object::as_dict).ok();
    }
    names
}

fn sheet(document: &Document, id: lopdf::ObjectId) -> Sheet {
    let page = document.get_dictionary(id).expect("a page");
    for key in [&b"Rotate"[..], b"UserUnit", b"CropBox"] {
        let changes = page.get(key).is_ok_and(|v| v.as_float().is_ok_and(|v| v != 0.0 && v != 1.0));
        assert!(!changes, "the page is turned or scaled");
    }
    let media = numbers(page.get(b"MediaBox").and_then(Object::as_array).expect("a box"));
    let size = Size::new((media[2] - media[0]) / POINTS, (media[3] - media[1]) / POINTS);
    let to_paper = Affine::new([1.0 / POINTS, 0.0, 0.0, -1.0 / POINTS, 0.0, size.height]);
    let (own, shared) = document.get_page_resources(id).expect("resources");
    let resources = own.or_else(|| document.get_dictionary(*shared.first()?).ok());
    let content = Content::decode(&document.get_page_content(id)).expect("operators");
    let mut reader = Reader { document, sheet: Sheet::bare(size), to_paper, origins: Vec::new() };
    reader.run(&content.operations, resources, Affine::IDENTITY, false);
    let Reader { mut sheet, origins, .. } = reader;
    if let Some(&first) = origins.first() {
        assert!(origins.iter().all(|o| (*o - first).hypot() < 1e-3), "forms lie at different places: {origins:?}");
        sheet.origin = first;
    }
    sheet
}

impl Sheet {
    const fn bare(size: Size) -> Self {
        Self { size, strokes: Vec::new(), drawn: Vec::new(), covers: Vec::new(), origin: Vec2::ZERO }
    }
}

struct Reader<'a> {
    document: &'a Document,
    sheet: Sheet,
    to_paper: Affine,
    origins: Vec<Vec2>,
}

impl Reader<'_> {
    /// Follows operators (ISO 32000-1, tables 57, 59, 60 and 87).
    fn run(&mut self, operations: &[Operation], resources: Option<&Dictionary>, start: Affine, is_form: bool) {
        let (mut matrix, mut saved) = (start, Vec::new());
        let (mut path, mut is_white) = (BezPath::new(), false);
        for operation in operations {
            let n = numbers(&operation.operands);
            match operation.operator.as_str() {
                "q" => saved.push((matrix, is_white)),
                "Q" => (matrix, is_white) = saved.pop().expect("a saved state"),
                "cm" => matrix *= Affine::new(n[..6].try_into().expect("six numbers")),
                "rg" => is_white = n == [1.0, 1.0, 1.0],
                "m" => path.move_to((n[0], n[1])),
                "l" => path.line_to((n[0], n[1])),
                "c" => path.curve_to((n[0], n[1]), (n[2], n[3]), (n[4], n[5])),
                "h" => path.close_path(),
                "re" => path.extend(Rect::new(n[0], n[1], n[0] + n[2], n[1] + n[3]).to_path(0.1)),
                "v" | "y" => panic!("curves are written with both control points"),
                "Do" => self.place(&operation.operands[0], resources, matrix),
                "S" | "s" | "f" | "f*" | "F" | "B" | "b" | "B*" | "b*" | "n" => {
                    let done = std::mem::take(&mut path);
                    let painted = self.to_paper * matrix * done;
                    self.paint(painted, operation.operator.as_str(), is_white, is_form);
                }
                _ => {}
            }
        }
    }

    fn paint(&mut self, path: BezPath, operator: &str, is_white: bool, is_form: bool) {
        let bounds = path.bounding_box();
        let paper = Rect::from_origin_size((0.0, 0.0), self.sheet.size);
        if is_form {
            self.sheet.drawn.push(path);
        } else if operator == "S" || operator == "s" {
            self.sheet.strokes.push(path);
        } else if is_white && !paper.inflate(1.0, 1.0).contains_rect(bounds) {
            self.sheet.covers.push(bounds);
        }
    }

    fn place(&mut self, name: &Object, resources: Option<&Dictionary>, matrix: Affine) {
        let named = || -> lopdf::Result<&lopdf::Stream> {
            let all = resources.expect("resources").get_deref(b"XObject", self.document)?.as_dict()?;
            all.get_deref(name.as_name()?, self.document)?.as_stream()
        };
        let form = named().expect("a form of that name");
        assert_eq!(form.dict.get(b"Subtype").and_then(Object::as_name).expect("a kind"), b"Form");
        let own = form
            .dict
            .get(b"Matrix")
            .and_then(Object::as_array)
            .map_or(Affine::IDENTITY, |m| Affine::new(numbers(m)[..6].try_into().expect("six numbers")));
        let matrix = matrix * own;
        // A form's origin is that of the sheet, its left top corner.
        self.origins.push((self.to_paper * matrix * Point::ORIGIN).to_vec2());
        let content = Content::decode(&form.decompressed_content().expect("packed")).expect("operators");
        let resources = form.dict.get_deref(b"Resources", self.document).and_then(Object::as_dict).ok();
        self.run(&content.operations, resources, matrix, true);
    }
}

fn numbers(operands: &[Object]) -> Vec<f64> {
    operands.iter().filter_map(|o| o.as_float().ok()).map(f64::from).collect()
}
