//! The last steps to the bytes of a file: its structure, what it says of itself, streams packed, an identifier.

use super::document::{PdfError, Properties};
use super::tree::Tree;
use flate2::Compression;
use flate2::write::ZlibEncoder;
use lopdf::{Dictionary, Object, ObjectId, SaveOptions, StringFormat, dictionary};
use printpdf::{PdfDocument, PdfSaveOptions};
use rayon::prelude::*;
use sha2::{Digest, Sha256};
use std::io::Write;

/// How hard streams are packed: more takes several times as long for a few hundredths of the size.
const EFFORT: u32 = 4;

/// So many objects are packed together: more pack better, fewer are faster to find one in.
const OBJECTS: usize = 200;

/// Saves a document: with its structure, without what differs between processes or is not true.
pub(super) fn finish(document: &PdfDocument, tree: Tree, properties: &Properties) -> Result<Vec<u8>, PdfError> {
    let options = PdfSaveOptions { optimize: true, subset_fonts: false, secure: true, image_optimization: None };
    let mut warnings = Vec::new();
    let mut file = document.to_lopdf_document(&options, &mut warnings);
    if let Some(fault) = warnings.iter().find(|w| w.severity == printpdf::PdfParseErrorSeverity::Error) {
        return Err(PdfError::File(fault.msg.clone()));
    }
    "1.7".clone_into(&mut file.version);
    tell_less(&mut file);
    file.prune_objects();
    let pages: Vec<ObjectId> = file.page_iter().collect();
    let structure = tree.write(&mut file, &pages);
    describe(&mut file, structure, properties).map_err(|error| PdfError::File(error.to_string()))?;
    pack_streams(&mut file);
    save(file).map_err(|error| PdfError::File(error.to_string()))
}

/// Takes out dates, the identifier of the process, and claims of standards that the file does not keep.
fn tell_less(file: &mut lopdf::Document) {
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
    if let Ok(catalog) = file.catalog_mut() {
        catalog.remove(b"OutputIntents");
        catalog.remove(b"Metadata");
    }
}

/// What the catalogue says: the structure, the language, how the file is shown first.
fn describe(file: &mut lopdf::Document, structure: ObjectId, properties: &Properties) -> lopdf::Result<()> {
    let catalog = file.catalog_mut()?;
    catalog.set("Lang", Object::String(properties.language.as_bytes().to_vec(), StringFormat::Literal));
    catalog.set("StructTreeRoot", Object::Reference(structure));
    catalog.set("MarkInfo", dictionary! { "Marked" => true });
    if catalog.has(b"Outlines") {
        catalog.set("PageMode", Object::Name(b"UseOutlines".to_vec()));
    }
    let mut view = Dictionary::new();
    view.set("DisplayDocTitle", true);
    view.set("PrintScaling", Object::Name(b"None".to_vec()));
    catalog.set("ViewerPreferences", view);
    Ok(())
}

/// The bytes, with an identifier made from them. Elements of the structure are many and alike, so they are packed together
/// (ISO 32000-1, 7.5.7).
fn save(mut file: lopdf::Document) -> std::io::Result<Vec<u8>> {
    let options = || {
        SaveOptions::builder()
            .use_object_streams(true)
            .use_xref_streams(true)
            .max_objects_per_stream(OBJECTS)
            .compression_level(EFFORT)
            .build()
    };
    let to_bytes = |mut file: lopdf::Document| {
        let mut bytes = Vec::new();
        file.save_with_options(&mut bytes, options()).map(|()| bytes).map_err(std::io::Error::other)
    };
    file.trailer.remove(b"ID");
    let body = to_bytes(file.clone())?;
    let id = Object::String(Sha256::digest(&body)[..16].to_vec(), StringFormat::Hexadecimal);
    file.trailer.set("ID", Object::Array(vec![id.clone(), id]));
    to_bytes(file)
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
