//! Fragments to the bytes of a PDF file.

use super::drawing::Drawing;
use super::file::finish;
use super::fragment::Fragment;
use super::objects::{drawing_id, form, image, picture_id};
use super::painter::Painter;
use super::picture::Picture;
use super::subset::Subset;
use super::tree::Tree;
use printpdf::{PdfDocument, PdfFont, PdfPage};
use std::fmt;
use std::sync::Arc;

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
        document.resources.fonts.map.insert(font.name_in_file(), PdfFont::new(font.parsed()));
    }
    if let Some(picture) = picture {
        document.resources.xobjects.map.insert(picture_id(), image(picture)?);
    }
    for (number, drawing) in drawings.iter().enumerate() {
        document.resources.xobjects.map.insert(drawing_id(number), form(drawing));
    }
    let mut tree = Tree::new();
    for (number, page) in pages.iter().enumerate() {
        document.pages.push(PdfPage::new(
            printpdf::Mm(page.content.size.width as f32),
            printpdf::Mm(page.content.size.height as f32),
            Painter::new(page.content.size, &fonts, &mut tree).paint(&page.content),
        ));
        if let Some(name) = &page.bookmark {
            let entry = printpdf::PageAnnotation { name: name.clone(), page: number + 1 };
            document.bookmarks.map.insert(printpdf::PageAnnotId(format!("page-{number:04}")), entry);
        }
    }
    finish(&document, tree, properties)
}
