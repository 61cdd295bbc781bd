//! Pictures embedded in a drawing: their bytes, and where they lie.
//!
//! A picture is made of pixels, which the drawing cannot show; a `photo` figure burns it. Its place is found by
//! writing a rectangle in its stead and letting the resolver carry that through copies, transforms and view boxes.

use super::document::Document;
use super::prepare::{self, Choice};
use super::{Job, SvgRequest, decode, page};
use crate::intake::budget;
use data_url::DataUrl;
use kurbo::{Affine, Rect};
use std::sync::Arc;

/// Pictures of one drawing that are looked at, at most.
const MOST: usize = 200;

/// A picture embedded in a drawing.
#[derive(Clone, Debug, PartialEq)]
pub struct EmbeddedPicture {
    /// `#id` where its element has one, else its tag and line.
    pub element: String,
    /// Line and column of its element in the file.
    pub position: (usize, usize),
    /// The file that is embedded, or why there is none to be had.
    pub bytes: Result<Arc<[u8]>, String>,
    /// What the drawing says it is, in lower case (`image/png`); empty where it says nothing. Never to be believed.
    pub said_to_be: String,
    /// The box that it fits into, in millimetres from the left top corner of the drawing's page; `None` where the
    /// drawing gives no size.
    pub frame: Option<Rect>,
    /// How the drawing scales, turns and mirrors it; `None` where the drawing gives no size.
    pub movement: Option<Affine>,
}

/// The pictures in what a request takes of a drawing, in the order of the file; none when the drawing cannot be read.
pub fn embedded_pictures(request: &SvgRequest) -> Vec<EmbeddedPicture> {
    let job = Job::of(request, Arc::default());
    budget::run(budget::BUDGET, move || job.pictures()).unwrap_or_default()
}

impl Job {
    fn pictures(&self) -> Vec<EmbeddedPicture> {
        let Ok(mut text) = decode::text(&self.bytes) else { return Vec::new() };
        super::document::declare_lost_prefixes(&mut text);
        let Ok(document) = Document::parse(&text, &self.file) else { return Vec::new() };
        let (page, _) = page::read(&document);
        let choice = Choice { take: &self.take, drop: &self.drop, sets_text: false, frames_pictures: true };
        let Ok(prepared) = prepare::prepare(&document, &page, &choice, &mut super::Census::default()) else {
            return Vec::new();
        };
        let frames = usvg::Tree::from_str(&prepared.svg, &self.options()).ok();
        let mut found: Vec<EmbeddedPicture> = Vec::new();
        let mut seen = std::collections::BTreeSet::new();
        for (id, node) in prepared.pictures.iter().take(MOST) {
            // Copies show the same picture again; the first place is the one that is named.
            if !seen.insert(*node) {
                continue;
            }
            let Some(link) = document.node(*node).and_then(super::document::href) else { continue };
            let (said_to_be, bytes) = unpacked(link);
            let stands_for_it = frames.as_ref().and_then(|tree| tree.node_by_id(id));
            let frame = stands_for_it.map(|node| {
                let b = node.abs_bounding_box();
                let [x0, y0, x1, y1] = [b.left(), b.top(), b.right(), b.bottom()].map(f64::from);
                Rect::new(x0, y0, x1, y1).scale_from_origin(1.0 / page::PX_PER_MM)
            });
            let movement = stands_for_it.map(|node| {
                let t = node.abs_transform();
                Affine::new([t.sx, t.ky, t.kx, t.sy, t.tx, t.ty].map(f64::from))
            });
            let place = document.place(*node);
            found.push(EmbeddedPicture {
                element: document.label(*node),
                position: place.position.unwrap_or_default(),
                bytes,
                said_to_be,
                frame,
                movement,
            });
        }
        found
    }
}

/// What a `data:` address says it holds, and what it does hold (RFC 2397).
fn unpacked(link: &str) -> (String, Result<Arc<[u8]>, String>) {
    // Editors break the text into lines; the standard of addresses knows no blanks.
    let link: String = link.chars().filter(|c| !c.is_ascii_whitespace()).collect();
    let Ok(url) = DataUrl::process(&link) else {
        return (String::new(), Err("its `data:` address holds no comma before the data".to_owned()));
    };
    let mime = url.mime_type();
    // Without a type of its own an address counts as text, which no picture is.
    let has_type = !link["data:".len()..].starts_with([',', ';']);
    let said = if has_type { format!("{}/{}", mime.type_, mime.subtype) } else { String::new() };
    let bytes = match url.decode_to_vec() {
        Ok((bytes, _)) if bytes.is_empty() => Err("its `data:` address holds no data".to_owned()),
        Ok((bytes, _)) => Ok(Arc::from(bytes)),
        Err(_) => Err("its data are no valid base64: they are cut short or damaged".to_owned()),
    };
    (said, bytes)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// RFC 4648, 10: test vectors of base64.
    #[test]
    fn addresses_are_unpacked_whatever_they_say() {
        let of = |link: &str| unpacked(link);
        let text = |t: &str| Ok(Arc::from(t.as_bytes()));
        assert_eq!(of("data:image/png;base64,Zm9vYmFy"), ("image/png".to_owned(), text("foobar")));
        assert_eq!(of("data:;base64,Zm9vYg=="), (String::new(), text("foob")), "an empty type is common");
        assert_eq!(of("data:IMAGE/JPEG;base64,Zm9v\n  YmE="), ("image/jpeg".to_owned(), text("fooba")));
        assert_eq!(of("data:image/png,%66oo"), ("image/png".to_owned(), text("foo")));
        assert!(of("data:image/png;base64,Zm9v*mFy").1.is_err());
        assert!(of("data:image/png;base64,").1.is_err());
        assert!(of("data:image/png").1.is_err());
    }
}
