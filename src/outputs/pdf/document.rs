//! Fragments to the bytes of a PDF file.

use super::drawing::Drawing;
use super::face::{Face, FaceId};
use super::fragment::{Fragment, Mark, POINT, Style};
use super::ink::Ink;
use super::picture::Picture;
use super::{face::Glyph, fragment::Pen};
use flate2::Compression;
use flate2::write::ZlibEncoder;
use kurbo::{BezPath, PathEl, Point, Rect, Size, Vec2};
use lopdf::{Dictionary, Object, StringFormat};
use printpdf::{
    Codepoint, Color, DictItem, ExternalStream, ExternalXObject, Line, LineCapStyle, LineDashPattern,
    LineJoinStyle, LinePoint, Op, PaintMode, ParsedFont, PdfDocument, PdfFont, PdfFontHandle, PdfPage,
    PdfSaveOptions, Polygon, PolygonRing, Pt, Rgb, TextItem, TextMatrix, WindingOrder, XObject, XObjectId,
    XObjectTransform,
};
use rayon::prelude::*;
use sha2::{Digest, Sha256};
use std::collections::{BTreeMap, BTreeSet};
use std::fmt;
use std::io::Write;
use std::sync::Arc;
use subsetter::GlyphRemapper;

/// How hard streams are packed: more takes several times as long for a few hundredths of the size.
const EFFORT: u32 = 4;

/// Why a PDF cannot be written.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) enum PdfError {
    /// A picture cannot be read: why.
    Picture(String),
    /// A font cannot be cut down: why.
    Font(String),
    /// The file cannot be put together: why.
    File(String),
}

impl fmt::Display for PdfError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Picture(why) => write!(f, "the picture cannot be read: {why}"),
            Self::Font(why) => write!(f, "the font cannot be cut down: {why}"),
            Self::File(why) => write!(f, "the file cannot be put together: {why}"),
        }
    }
}

/// What a file says of itself.
#[derive(Clone, Debug)]
pub(crate) struct Properties {
    /// Shown in the window's title.
    pub title: String,
    /// One line about it.
    pub subject: String,
    /// Language of the text, as in `en-GB`.
    pub language: &'static str,
}

/// A page.
#[derive(Clone, Debug)]
pub(crate) struct Page {
    /// What stands on it; its size is the page's, in mm.
    pub content: Fragment,
    /// The entry of the outline that opens here.
    pub bookmark: Option<String>,
}

/// Writes pages as one file, with the picture that fragments may place, and the drawings, by their numbers.
pub(crate) fn write(
    properties: &Properties,
    pages: &[Page],
    picture: Option<&Picture>,
    drawings: &[Arc<Drawing>],
) -> Result<Vec<u8>, PdfError> {
    let fonts = Subset::of_all(pages)?;
    let mut document = PdfDocument::new(&properties.title);
    document.metadata.info.subject.clone_from(&properties.subject);
    for font in &fonts {
        document.resources.fonts.map.insert(font.id(), PdfFont::new(font.parsed()));
    }
    if let Some(picture) = picture {
        document.resources.xobjects.map.insert(picture_id(), image(picture)?);
    }
    for (number, drawing) in drawings.iter().enumerate() {
        document.resources.xobjects.map.insert(drawing_id(number), form(drawing));
    }
    for (number, page) in pages.iter().enumerate() {
        document.pages.push(PdfPage::new(
            printpdf::Mm(page.content.size.width as f32),
            printpdf::Mm(page.content.size.height as f32),
            Painter::new(page.content.size, &fonts).paint(&page.content),
        ));
        if let Some(name) = &page.bookmark {
            let entry = printpdf::PageAnnotation { name: name.clone(), page: number + 1 };
            document.bookmarks.map.insert(printpdf::PageAnnotId(format!("page-{number:04}")), entry);
        }
    }
    finish(&document, properties)
}

/// Takes out what differs between processes or is not true, and saves.
fn finish(document: &PdfDocument, properties: &Properties) -> Result<Vec<u8>, PdfError> {
    let options = PdfSaveOptions { optimize: true, subset_fonts: false, secure: true, image_optimization: None };
    let mut warnings = Vec::new();
    let mut file = document.to_lopdf_document(&options, &mut warnings);
    if let Some(fault) = warnings.iter().find(|w| w.severity == printpdf::PdfParseErrorSeverity::Error) {
        return Err(PdfError::File(fault.msg.clone()));
    }
    "1.7".clone_into(&mut file.version);
    let error = |e: lopdf::Error| PdfError::File(e.to_string());
    // No date, no identifier of the process, and no claim of a standard that the file does not keep.
    if let Ok(info) = file.trailer.get(b"Info").and_then(Object::as_reference)
        && let Ok(info) = file.get_object_mut(info).and_then(Object::as_dict_mut)
    {
        for key in ["CreationDate", "ModDate", "GTS_PDFXVersion", "Identifier", "Trapped", "Author", "Keywords"] {
            info.remove(key.as_bytes());
        }
        let own = Object::String(b"Kerfbook".to_vec(), StringFormat::Literal);
        info.set("Creator", own.clone());
        info.set("Producer", own);
    }
    let catalog = file.catalog_mut().map_err(error)?;
    catalog.remove(b"OutputIntents");
    catalog.remove(b"Metadata");
    catalog.set("Lang", Object::String(properties.language.as_bytes().to_vec(), StringFormat::Literal));
    if catalog.has(b"Outlines") {
        catalog.set("PageMode", Object::Name(b"UseOutlines".to_vec()));
    }
    let mut view = Dictionary::new();
    view.set("DisplayDocTitle", true);
    view.set("PrintScaling", Object::Name(b"None".to_vec()));
    catalog.set("ViewerPreferences", view);
    file.prune_objects();
    pack_streams(&mut file);
    file.trailer.remove(b"ID");
    let mut body = Vec::new();
    file.clone().save_to(&mut body).map_err(|e| PdfError::File(e.to_string()))?;
    let id = Object::String(Sha256::digest(&body)[..16].to_vec(), StringFormat::Hexadecimal);
    file.trailer.set("ID", Object::Array(vec![id.clone(), id]));
    let mut bytes = Vec::new();
    file.save_to(&mut bytes).map_err(|e| PdfError::File(e.to_string()))?;
    Ok(bytes)
}

fn picture_id() -> XObjectId {
    XObjectId("Picture".to_owned())
}

fn drawing_id(number: usize) -> XObjectId {
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
fn form(drawing: &Drawing) -> XObject {
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
fn image(picture: &Picture) -> Result<XObject, PdfError> {
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

/// Packs what is not packed yet: pages and fonts, each on its own.
fn pack_streams(file: &mut lopdf::Document) {
    file.objects.par_iter_mut().for_each(|(_, object)| {
        let Object::Stream(stream) = object else { return };
        if !stream.allows_compression || stream.dict.has(b"Filter") {
            return;
        }
        let packed = pack(&stream.content);
        if packed.len() < stream.content.len() {
            stream.dict.set("Filter", "FlateDecode");
            stream.set_content(packed);
        }
    });
}

/// Packs bytes for a stream with the filter `FlateDecode`.
pub(super) fn pack(bytes: &[u8]) -> Vec<u8> {
    let mut packer = ZlibEncoder::new(Vec::new(), Compression::new(EFFORT));
    // Writing into memory cannot fail.
    let _ = packer.write_all(bytes);
    packer.finish().unwrap_or_default()
}

/// A face cut down to the glyphs in use.
struct Subset {
    id: FaceId,
    program: Vec<u8>,
    renumbered: GlyphRemapper,
}

impl Subset {
    /// The faces that pages use, each cut down to what they use of it.
    fn of_all(pages: &[Page]) -> Result<Vec<Self>, PdfError> {
        let mut used: BTreeMap<FaceId, BTreeSet<u16>> = BTreeMap::new();
        for mark in pages.iter().flat_map(|page| &page.content.marks) {
            if let Mark::Text { glyphs, .. } = mark {
                for glyph in glyphs {
                    used.entry(glyph.face).or_default().insert(glyph.id);
                }
            }
        }
        used.into_iter().map(|(id, glyphs)| Self::of(id, &glyphs)).collect()
    }

    fn of(id: FaceId, used: &BTreeSet<u16>) -> Result<Self, PdfError> {
        let renumbered = GlyphRemapper::new_from_glyphs_sorted(&used.iter().copied().collect::<Vec<_>>());
        let program = subsetter::subset(id.face().bytes, 0, &renumbered)
            .map_err(|e| PdfError::Font(format!("{}: {e}", id.face().name)))?;
        Ok(Self { id, program, renumbered })
    }

    fn face(&self) -> &'static Face {
        self.id.face()
    }

    fn id(&self) -> printpdf::FontId {
        printpdf::FontId(self.face().name.to_owned())
    }

    fn glyph(&self, original: u16) -> u16 {
        self.renumbered.get(original).unwrap_or(0)
    }

    /// The name with six letters before it that tell this subset from others (ISO 32000-1, 9.6.4).
    fn name(&self) -> String {
        let letters = Sha256::digest(&self.program);
        let tag: String = letters.iter().take(6).map(|byte| char::from(b'A' + byte % 26)).collect();
        format!("{tag}+{}", self.face().name)
    }

    fn parsed(&self) -> ParsedFont {
        let metrics = self.face().metrics();
        let widths: BTreeMap<u16, u16> =
            self.renumbered.remapped_gids().map(|old| (self.glyph(old), self.face().advance(old))).collect();
        let mut font = ParsedFont::with_glyph_data(
            self.program.clone(),
            0,
            Some(self.name()),
            BTreeMap::new(),
            widths,
            metrics.units_per_em,
            printpdf::FontMetrics { ascent: metrics.ascent, descent: metrics.descent },
        );
        let [left, bottom, right, top] = metrics.bounds;
        font.pdf_font_metrics.x_min = left;
        font.pdf_font_metrics.y_min = bottom;
        font.pdf_font_metrics.x_max = right;
        font.pdf_font_metrics.y_max = top;
        font.pdf_font_metrics.us_weight_class = self.id.weight_class();
        font
    }
}

/// Turns the marks of one page into operations; state that is already set is not set again.
struct Painter<'a> {
    height: f64,
    fonts: &'a [Subset],
    ops: Vec<Op>,
    fill: Option<Ink>,
    pen: Option<Pen>,
}

impl<'a> Painter<'a> {
    fn new(page: Size, fonts: &'a [Subset]) -> Self {
        let ops = vec![
            Op::SetLineCapStyle { cap: LineCapStyle::Butt },
            Op::SetLineJoinStyle { join: LineJoinStyle::Round },
        ];
        Self { height: page.height, fonts, ops, fill: None, pen: None }
    }

    fn paint(mut self, content: &Fragment) -> Vec<Op> {
        for mark in &content.marks {
            match mark {
                Mark::Text { at, style, glyphs } => self.text(*at, *style, glyphs),
                Mark::Fill { path, ink } => self.fill(path, *ink),
                Mark::Stroke { path, pen } => self.stroke(path, pen),
                Mark::Picture { frame } => self.picture(*frame),
                Mark::Drawing { at, number } => self.drawing(*at, *number),
            }
        }
        self.ops
    }

    /// A point of the page in PDF's frame: points, y up, to a thousandth.
    fn point(&self, p: Point) -> printpdf::Point {
        printpdf::Point { x: points(p.x), y: points(self.height - p.y) }
    }

    fn set_fill(&mut self, ink: Ink) {
        if self.fill != Some(ink) {
            self.ops.push(Op::SetFillColor { col: colour(ink) });
            self.fill = Some(ink);
        }
    }

    fn set_pen(&mut self, pen: &Pen) {
        if self.pen.as_ref() != Some(pen) {
            self.ops.push(Op::SetOutlineColor { col: colour(pen.ink) });
            self.ops.push(Op::SetOutlineThickness { pt: points(pen.width) });
            let dashes: Vec<f32> = pen.dashes.iter().map(|d| points(*d).0).collect();
            self.ops.push(Op::SetLineDashPattern { dash: LineDashPattern::new(0.0, &dashes) });
            self.pen = Some(pen.clone());
        }
    }

    /// Shows a line, each part of it in a span that tells its text where its glyphs do not (ISO 32000-1, 14.9.4).
    fn text(&mut self, at: Point, style: Style, glyphs: &[Glyph]) {
        let mut pen = at;
        for part in glyphs.chunk_by(|a, b| b.whole.is_none() && a.face == b.face) {
            let Some(text) = &part[0].whole else {
                pen = self.part(pen, style, part);
                continue;
            };
            let units = std::iter::once(0xfeff).chain(text.encode_utf16());
            let told = DictItem::Bytes(units.flat_map(u16::to_be_bytes).collect());
            let properties = DictItem::Dict { map: BTreeMap::from([("ActualText".to_owned(), told)]) };
            self.ops.push(Op::BeginMarkedContentWithProperties { tag: "Span".to_owned(), properties });
            pen = self.part(pen, style, part);
            self.ops.push(Op::EndMarkedContentWithProperties);
        }
    }

    /// Shows glyphs of one face; tells where the pen is then.
    fn part(&mut self, at: Point, style: Style, glyphs: &[Glyph]) -> Point {
        let millimetres = |thousandths: f32| f64::from(thousandths) / 1000.0 * style.size * POINT;
        let mut pen = at;
        // Glyphs that stand beside the pen are shown from where they stand; all others in one go.
        for run in glyphs.chunk_by(|a, b| a.face == b.face && a.shift == (0.0, 0.0) && b.shift == (0.0, 0.0)) {
            let (right, up) = run[0].shift;
            self.show(pen + Vec2::new(millimetres(right), -millimetres(up)), style, run);
            pen.x += run.iter().map(|glyph| millimetres(glyph.advance)).sum::<f64>();
        }
        pen
    }

    /// Shows glyphs of one face, one after the other.
    fn show(&mut self, at: Point, style: Style, glyphs: &[Glyph]) {
        let Some(font) = self.fonts.iter().find(|f| f.id == glyphs[0].face) else { return };
        let scale = 1000.0 / f32::from(font.face().metrics().units_per_em);
        let own_width = |id: u16| f32::from(font.face().advance(id)) * scale;
        let items = glyphs.iter().map(|glyph| Codepoint {
            gid: font.glyph(glyph.id),
            offset: own_width(glyph.id) - glyph.advance,
            cid: Some(glyph.text.clone()),
        });
        let items = vec![TextItem::GlyphIds(items.collect())];
        self.set_fill(style.ink);
        let start = self.point(at);
        let handle = PdfFontHandle::External(font.id());
        self.ops.extend([
            Op::StartTextSection,
            Op::SetFont { font: handle, size: Pt(style.size as f32) },
            Op::SetTextMatrix { matrix: TextMatrix::Translate(start.x, start.y) },
            Op::ShowText { items },
            Op::EndTextSection,
        ]);
    }

    fn fill(&mut self, path: &BezPath, ink: Ink) {
        self.set_fill(ink);
        let rings = self.subpaths(path).into_iter().map(|line| PolygonRing { points: line.points }).collect();
        let polygon = Polygon { rings, mode: PaintMode::Fill, winding_order: WindingOrder::NonZero };
        self.ops.push(Op::DrawPolygon { polygon });
    }

    fn stroke(&mut self, path: &BezPath, pen: &Pen) {
        self.set_pen(pen);
        for line in self.subpaths(path) {
            self.ops.push(Op::DrawLine { line });
        }
    }

    fn picture(&mut self, frame: Rect) {
        let corner = self.point(Point::new(frame.x0, frame.y1));
        let transform = XObjectTransform {
            translate_x: Some(corner.x),
            translate_y: Some(corner.y),
            scale_x: Some(points(frame.width()).0),
            scale_y: Some(points(frame.height()).0),
            no_auto_scale: true,
            ..XObjectTransform::default()
        };
        self.ops.push(Op::UseXobject { id: picture_id(), transform });
    }

    /// The drawing leaves behind no colour and no pen, because placing it saves and restores the state.
    fn drawing(&mut self, at: Point, number: usize) {
        let origin = self.point(at);
        let transform = XObjectTransform {
            translate_x: Some(origin.x),
            translate_y: Some(origin.y),
            no_auto_scale: true,
            ..XObjectTransform::default()
        };
        self.ops.push(Op::UseXobject { id: drawing_id(number), transform });
    }

    fn subpaths(&self, path: &BezPath) -> Vec<Line> {
        let mut lines: Vec<Line> = Vec::new();
        let mut last = Point::ZERO;
        for element in path.elements() {
            if let PathEl::MoveTo(p) = element {
                lines.push(Line { points: vec![self.on_line(*p)], is_closed: false });
                last = *p;
                continue;
            }
            let Some(line) = lines.last_mut() else { continue };
            match *element {
                PathEl::LineTo(p) => line.points.push(self.on_line(p)),
                PathEl::QuadTo(a, p) => {
                    let controls = [last + (a - last) * (2.0 / 3.0), p + (a - p) * (2.0 / 3.0)];
                    line.points.extend(controls.map(|c| self.control(c)));
                    line.points.push(self.on_line(p));
                }
                PathEl::CurveTo(a, b, p) => {
                    line.points.extend([a, b].map(|c| self.control(c)));
                    line.points.push(self.on_line(p));
                }
                PathEl::ClosePath => line.is_closed = true,
                PathEl::MoveTo(_) => {}
            }
            last = element.end_point().unwrap_or(last);
        }
        lines
    }

    fn on_line(&self, p: Point) -> LinePoint {
        LinePoint { p: self.point(p), bezier: false }
    }

    fn control(&self, p: Point) -> LinePoint {
        LinePoint { p: self.point(p), bezier: true }
    }
}

fn points(millimetres: f64) -> Pt {
    Pt(((millimetres / POINT * 1000.0).round() / 1000.0) as f32)
}

fn colour(ink: Ink) -> Color {
    let [r, g, b] = [ink.red, ink.green, ink.blue].map(|c| f32::from(c) / 255.0);
    Color::Rgb(Rgb { r, g, b, icc_profile: None })
}
